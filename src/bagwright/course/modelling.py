"""From a scorecard to a course of model holes."""

from __future__ import annotations

import json
from collections.abc import Mapping

from bagwright.course import limits
from bagwright.course.asking import Asked, name_of
from bagwright.course.card import Card, CardRow
from bagwright.course.hole import Course, Hole, Question, Tee
from bagwright.course.model import MOST_PATCHES, ModelHole, shapes_of
from bagwright.course.modelasked import ask_model
from bagwright.course.numbers_of_model import apply_numbers, numbers_of
from bagwright.course.pars import par_by_length, reading
from bagwright.course.phrase import Phrase, phrases_of
from bagwright.course.values import PARS, par_of, unit_named
from bagwright.course.wording import FIRST, apply_phrase
from bagwright.errors import InputError
from bagwright.units import M_PER_YD
from bagwright.words import first_upper, join, tell


def course_of_card(card: Card, asked: Asked, numbers: Mapping[int, Mapping[str, object]]) -> Course:
    """Make the model holes of a card. `numbers` are the overlay's own by hole."""
    unit = _unit(card, asked)
    holes, notes = [], {}
    for row in card.holes:
        hole, model = _hole(card, row, unit, asked, numbers.get(row.number, {}))
        holes.append(hole)
        notes[f"model {row.number}"] = json.dumps(numbers_of(model), sort_keys=True)
        notes[f"words {row.number}"] = row.words
    notes |= {f"read {name}": asked.readings[name] for name in sorted(asked.readings, key=_natural)}
    ask_model(card, unit == "yd", asked)
    return Course(
        card.name, tuple(holes), None, None, _in_order(asked), "card", "", None,
        {key: value for key, value in notes.items() if value},
    )  # fmt: skip


def _natural(name: str) -> tuple[int, ...]:
    """Order names such as "7 words 2" by their numbers."""
    return tuple(int(word) for word in name.split() if word.isdigit())


def _in_order(asked: Asked) -> tuple[Question, ...]:
    """Give the questions hole by hole, the course's first; the words of a hole in their order."""

    def place(question: Question) -> tuple[int, int]:
        number = question.key.partition(" ")[2]
        return question.hole, int(number) if number.isdigit() else 0

    return tuple(sorted(asked.questions, key=place))


def _unit(card: Card, asked: Asked) -> str:
    """Give the unit of lengths without one: the card's, the answer's, else metres and a question."""
    bare = sorted({tee for hole in card.holes for tee, (_, unit) in hole.lengths.items() if not unit})
    told = asked.told(0, "unit")
    answered = unit_named(told) if told else None  # Checked before: `answering.check_answers`.
    units = {unit for hole in card.holes for _, unit in hole.lengths.values() if unit}
    if answered or card.unit:
        return answered or card.unit
    if bare:
        asked.ask(
            0,
            "unit",
            tell(
                "The card does not say whether lengths are in yards or metres ({names}).",
                names=join(", ", bare[:6]),
            ),
            tell("They are read as metres."),
            tell('Answer "yd" or "m", or write the unit into the heading: "white (yd)".'),
        )
    elif len(units) > 1 and any(char.isdigit() for hole in card.holes for char in hole.words):
        asked.ask(
            0,
            "unit",
            tell("The card has lengths in yards and in metres."),
            tell("Figures among its words without a unit are read as metres."),
            tell('Answer "yd" or "m", or write the unit behind each figure.'),
        )
    return units.pop() if len(units) == 1 else "m"


def _hole(
    card: Card, row: CardRow, unit: str, asked: Asked, numbers: Mapping[str, object]
) -> tuple[Hole, ModelHole]:
    lengths = _lengths(card, row, unit)
    longest = max(lengths.values())
    par = _par(row, longest, asked)
    model = ModelHole(row.number, par, longest, yards=unit == "yd")
    _words(model, str(numbers.get("words", row.words)), unit, asked)
    apply_numbers(model, numbers)
    tees = sorted(lengths.items(), key=lambda pair: -pair[1])
    features, places, trees = shapes_of(model, tees)
    way = model.way()
    level = 0.0 if model.climb_m is not None else None
    made = tuple(
        Tee(name, at, level, length, row.pars.get(name.lower()), row.indices.get(name.lower()))
        for (name, length), at in zip(tees, places, strict=True)
    )
    hole = Hole(
        row.number, par, row.stroke_index, made, way[-1], way, tuple(features), tuple(trees),
        model.climb_m, row.name,
    )  # fmt: skip
    return hole, model


def _lengths(card: Card, row: CardRow, unit: str) -> dict[str, float]:
    found = {}
    low, high = limits.HOLE_M
    for tee, (figure, own) in row.lengths.items():
        length = figure * (M_PER_YD if (own or unit) == "yd" else 1.0)
        if not low <= length <= high:
            raise InputError(
                tell(
                    "{file}: hole {number}, {tee}: {figure:g} {value} is no length of a hole ({low:.0f}"
                    " to {high:.0f} m).",
                    file=card.file,
                    number=row.number,
                    tee=tee,
                    figure=figure,
                    value=own or unit,
                    low=low,
                    high=high,
                ),
                tell("Correct it, or leave the cell empty."),
            )
        found[tee] = length
    if not found:
        raise InputError(
            tell("{file}: hole {number} has no length from any tee.", file=card.file, number=row.number),
            tell("Fill one in."),
        )
    return found


def _par(row: CardRow, length: float, asked: Asked) -> int:
    par = par_of(asked.told(row.number, "par")) or row.par
    if par is not None:
        return par
    asked.ask(
        row.number,
        "par",
        tell("Hole {number}: nobody says its par.", number=row.number),
        tell("It is a {length}.", length=reading(length)),
        tell("Answer with a par from {low} to {high}.", low=PARS[0], high=PARS[1]),
    )
    return par_by_length(length)


def _words(model: ModelHole, words: str, unit: str, asked: Asked) -> None:
    """Read the words of one hole. How they were read is noted; what was not understood is asked."""
    phrases = phrases_of(words, unit)
    order = sorted(range(len(phrases)), key=lambda k: phrases[k].subject not in FIRST)
    for k in order:
        key = f"words {k + 1}"
        told = asked.told(model.number, key)
        if told is None:
            _read(model, phrases[k], key, asked, told_anew=False)
        elif told.strip().casefold() not in ("none", "nothing", "nichts"):
            for phrase in phrases_of(told, unit):
                _read(model, phrase, key, asked, told_anew=True)
        model.sources += [f"{key}/{n}" for n in range(1, len(model.ground) - len(model.sources) + 1)]


def _read(model: ModelHole, phrase: Phrase, key: str, asked: Asked, *, told_anew: bool) -> None:
    room = len(model.ground) + len(model.trees) < MOST_PATCHES
    said = apply_phrase(model, phrase) if room else None
    rest = tell(' The words "{rest}" were not understood.', rest=phrase.rest[:80]) if phrase.rest else ""
    number, text = model.number, phrase.text[:120]
    doubt = tell(" {doubt}", doubt=phrase.doubt) if phrase.doubt else ""
    if said is not None and not rest and (told_anew or not doubt):
        asked.readings[name_of(number, key)] = tell('"{text}": {said}.', text=text, said=said)
        return
    if told_anew:
        raise InputError(
            tell(
                'The answer "{text}" to "{number} {key}" is not understood.',
                text=text,
                number=number,
                key=key,
            ),
            tell('Write it like "water left at 210", "bunkers short", or "none" to leave it out.'),
        )
    asked.ask(
        number,
        key,
        tell('Hole {number}: "{text}".', number=number, text=text),
        tell("Not read: nothing of it is in the model.")
        if said is None
        else tell("{said}.{doubt}{rest}", said=first_upper(said), doubt=doubt, rest=rest),
        tell('Answer with other words, "none" to leave it out, or "as read".'),
    )
