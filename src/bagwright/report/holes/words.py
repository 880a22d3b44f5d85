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

HEADINGS = ("what", "where", "begins", "is passed at", "from the way", "to the pin")
"""Headings of the table of what lies in play; all but the first two in the reader's unit."""

_NAMES = {
    Lie.SAND: "bunker",
    Lie.WATER: "penalty area (yellow)",
    Lie.WATER_RED: "penalty area (red)",
    Lie.OUT: "out of bounds",
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
            f"{what} {where}, {begins} to {ends} {self.unit} from the tee"
            for what, where, begins, ends, _, _ in self.rows
        ]
        return " ".join(self.sentences) + (f" In play: {'; '.join(told)}." if told else "")


def hole_words(course: Course, ground: Ground, system: System, facts: Facts | None = None) -> HoleWords:
    """Say a hole from one tee."""
    facts = facts or facts_of(ground)
    unit = distance_unit(system)
    hole = ground.hole
    name = f", {clean(hole.name, 60)}" if hole.name else ""
    sentences = [
        _first(ground, facts, system),
        *_shape(facts, system),
        *_green(facts, system),
        *ground.notes,
    ]
    if course.source == "card":
        sentences.append("Drawn from the card's words as a model; it is no map.")
    rows = tuple(_row(thing, unit.factor) for thing in facts.in_play)
    return HoleWords(f"Hole {hole.number}{name}", tuple(sentences), rows, unit.name)


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
        return "Green level with the tee."
    return (
        f"Green {size:.0f} {'ft' if system == 'yards' else 'm'} {'above' if rise_m > 0 else 'below'} the tee."
    )


def card_words(ground: Ground, facts: Facts, system: System) -> str:
    """Par, index, tee and length in one line: "Par 4, index 7, white tee, 387 yd (card 385)"."""
    hole = ground.hole
    parts = [] if hole.par is None else [f"Par {hole.par}"]
    parts += [] if hole.stroke_index is None else [f"index {hole.stroke_index}"]
    parts.append(f"{clean(ground.tee.name, 24)} tee")
    length = length_words(facts.length_m, system)
    if facts.card_length_m is not None and abs(facts.card_length_m - facts.length_m) >= 0.6:
        length += f" (card {facts.card_length_m / distance_unit(system).factor:.0f})"
    return ", ".join([*parts, length])


def _first(ground: Ground, facts: Facts, system: System) -> str:
    return card_words(ground, facts, system) + "."


def _shape(facts: Facts, system: System) -> list[str]:
    said = [_bend(bend, system) for bend in facts.bends] or ["Straight."]
    rise = rise_words(facts.rise_m, system)
    if facts.fairway_from_m is not None and facts.fairway_from_m > 20.0:
        said.append(f"The fairway begins {length_words(facts.fairway_from_m, system)} from the tee.")
    return said + ([rise] if rise else [])


def _bend(bend: Bend, system: System) -> str:
    side = "right" if bend.turn_rad > 0 else "left"
    return (
        f"Dogleg {side} at {length_words(bend.at_m, system)}, {abs(math.degrees(bend.turn_rad)):.0f} degrees."
    )


def _green(facts: Facts, system: System) -> list[str]:
    if facts.front_m is None or facts.back_m is None:
        return ["No green is drawn."]
    unit = distance_unit(system)
    front, middle, back = (x / unit.factor for x in (facts.front_m, facts.middle_m, facts.back_m))
    return [f"Green: front {front:.0f}, pin {middle:.0f}, back {back:.0f} {unit.name} along the way."]


def _row(thing: InPlay, factor: float) -> tuple[str, ...]:
    figures = (thing.reach_m, thing.carry_m, thing.aside_m, thing.to_green_m)
    where = "across" if thing.side == "across" else thing.side
    return (_NAMES[thing.lie], where, *(f"{x / factor:.0f}" for x in figures))
