"""A hole in words: what the picture shows, for those who read rather than look."""

from __future__ import annotations

import math
from dataclasses import dataclass

from bagwright.course.ground import Ground
from bagwright.course.hole import Course
from bagwright.course.lies import Lie
from bagwright.course.reach import Bend, Facts, InPlay, facts_of
from bagwright.report.safe import clean
from bagwright.units import M_PER_FT, System, distance_unit
from bagwright.words import join, tell, term

HEADINGS = (
    *(tell("what"), tell("where"), tell("begins")),
    *(tell("is passed at"), tell("from the way"), tell("to the pin")),
)
"""Headings of the table of what lies in play; all but the first two in the reader's unit."""

_NAMES = {
    Lie.SAND: tell("bunker"),
    Lie.WATER: tell("penalty area (yellow)"),
    Lie.WATER_RED: tell("penalty area (red)"),
    Lie.OUT: tell("out of bounds"),
}


@dataclass(frozen=True, slots=True)
class HoleWords:
    """A hole in words: a title, sentences, and rows under `HEADINGS`."""

    title: str
    sentences: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    unit: str

    @property
    def text(self) -> str:
        """All of it as running text, for a picture's description."""
        told = [
            tell(
                "{what} {where}, {begins} to {ends} {unit} from the tee",
                what=what,
                where=where,
                begins=begins,
                ends=ends,
                unit=self.unit,
            )
            for what, where, begins, ends, _, _ in self.rows
        ]
        play = [tell("In play: {told}.", told=join("; ", told))] if told else []
        return join(" ", [*self.sentences, *play])


def hole_words(course: Course, ground: Ground, system: System, facts: Facts | None = None) -> HoleWords:
    """Say a hole from one tee."""
    facts = facts or facts_of(ground)
    unit = distance_unit(system)
    hole = ground.hole
    sentences = [
        _first(ground, facts, system),
        *_shape(facts, system),
        *_green(facts, system),
        *ground.notes,
    ]
    if course.source == "card":
        sentences.append(tell("Drawn from the card's words as a model; it is no map."))
    rows = tuple(_row(thing, unit.factor) for thing in facts.in_play)
    title = (
        tell("Hole {number}, {name}", number=hole.number, name=clean(hole.name, 60))
        if hole.name
        else tell("Hole {number}", number=hole.number)
    )
    return HoleWords(title, tuple(sentences), rows, unit.name)


def length_words(metres: float, system: System) -> str:
    """Write a length with its unit."""
    unit = distance_unit(system)
    return f"{metres / unit.factor:.0f} {unit.name}"


def rise_words(rise_m: float | None, system: System) -> str:
    """Say how the green lies to the tee, "" where nobody knows."""
    if rise_m is None:
        return ""
    size = abs(rise_m) / (M_PER_FT if system == "yards" else 1.0)
    if abs(rise_m) < 1.0:
        return tell("Green level with the tee.")
    told = {"size": size, "unit": "ft" if system == "yards" else "m"}
    return (
        tell("Green {size:.0f} {unit} above the tee.", **told)
        if rise_m > 0
        else tell("Green {size:.0f} {unit} below the tee.", **told)
    )


def card_words(ground: Ground, facts: Facts, system: System) -> str:
    """Par, index, tee and length in one line: "Par 4, index 7, white tee, 387 yd (card 385)"."""
    hole = ground.hole
    parts = [] if hole.par is None else [tell("Par {par}", par=hole.par)]
    parts += [] if hole.stroke_index is None else [tell("index {index}", index=hole.stroke_index)]
    parts.append(tell("{tee} tee", tee=clean(ground.tee.name, 24)))
    length = length_words(facts.length_m, system)
    if facts.card_length_m is not None and abs(facts.card_length_m - facts.length_m) >= 0.6:
        on_card = facts.card_length_m / distance_unit(system).factor
        length = tell("{length} (card {on_card:.0f})", length=length, on_card=on_card)
    return join(", ", [*parts, length])


def _first(ground: Ground, facts: Facts, system: System) -> str:
    return tell("{words}.", words=card_words(ground, facts, system))


def _shape(facts: Facts, system: System) -> list[str]:
    said = [_bend(bend, system) for bend in facts.bends] or [tell("Straight.")]
    rise = rise_words(facts.rise_m, system)
    if facts.fairway_from_m is not None and facts.fairway_from_m > 20.0:
        said.append(
            tell(
                "The fairway begins {length} from the tee.",
                length=length_words(facts.fairway_from_m, system),
            )
        )
    return said + ([rise] if rise else [])


def _bend(bend: Bend, system: System) -> str:
    told = {"at": length_words(bend.at_m, system), "degrees": abs(math.degrees(bend.turn_rad))}
    return (
        tell("Dogleg right at {at}, {degrees:.0f} degrees.", **told)
        if bend.turn_rad > 0
        else tell("Dogleg left at {at}, {degrees:.0f} degrees.", **told)
    )


def _green(facts: Facts, system: System) -> list[str]:
    if facts.front_m is None or facts.back_m is None:
        return [tell("No green is drawn.")]
    unit = distance_unit(system)
    front, middle, back = (x / unit.factor for x in (facts.front_m, facts.middle_m, facts.back_m))
    return [
        tell(
            "Green: front {front:.0f}, pin {pin:.0f}, back {back:.0f} {unit} along the way.",
            front=front,
            pin=middle,
            back=back,
            unit=unit.name,
        )
    ]


def _row(thing: InPlay, factor: float) -> tuple[str, ...]:
    figures = (thing.reach_m, thing.carry_m, thing.aside_m, thing.to_green_m)
    where = tell("across") if thing.side == "across" else term(thing.side)
    return (_NAMES[thing.lie], where, *(f"{x / factor:.0f}" for x in figures))
