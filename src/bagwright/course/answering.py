"""What the answer to a question may be, and whether one given fits.

Every question can be answered with "as read": its reading is right. Some take something new as well; what
says the rest is drawn or typed as a correction, never as an answer.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from bagwright.course.asking import AS_READ
from bagwright.course.hole import Question
from bagwright.course.values import PARS, length_m, unit_named, whole
from bagwright.errors import InputError
from bagwright.words import tell

Takes = Literal["nothing", "course", "drawn", "length", "number", "par", "unit", "words"]
"""What a question takes beside "as read": nothing; a course's name; "as drawn"; a length ("28 m"); a hole's
number; a par; "m" or "yd"; words of a card."""

FAIRWAY_M, GREEN_M = (5.0, 120.0), (5.0, 80.0)
"""Limits of a fairway's width and a green's diameter, metres."""
_AS_DRAWN = "as drawn"


def takes(question: Question) -> Takes:
    """Say what a question takes beside "as read"."""
    return takes_of(question.hole, question.key)


def takes_of(hole: int, key: str) -> Takes:
    """Say it by the hole (0 for the course) and the question's key."""
    word = key.partition(" ")[0]
    if hole:
        found: dict[str, Takes] = {"par": "par", "fairway": "length", "green": "length"}
        return "words" if key.startswith("words ") else found.get(key, "nothing")
    known: dict[str, Takes] = {"course": "course", "unit": "unit", "number": "number", "turned": "drawn"}
    return known.get(word, "nothing")


def split_name(name: str) -> tuple[int, str]:
    """Take a question's name apart: `7 par` is the par of hole 7, `bounds` is of the course (hole 0)."""
    number, _, rest = name.partition(" ")
    if rest and number.isdigit() and number.isascii() and len(number) <= 2:
        return int(number), rest
    return 0, name


def check_answers(answers: Mapping[str, str]) -> None:
    """Raise InputError for an answer that its question does not take; what it takes is said."""
    for name, answer in answers.items():
        check_answer(name, answer)


def check_answer(name: str, answer: str) -> None:
    """Raise InputError where the answer says nothing that the question takes."""
    hole, key = split_name(name)
    kind = takes_of(hole, key)
    text = answer.strip().casefold()
    if text == AS_READ or kind in ("course", "words"):
        return
    fits = {
        "nothing": False,
        "drawn": text == _AS_DRAWN,
        "length": length_m(answer, *(FAIRWAY_M if key == "fairway" else GREEN_M)) is not None,
        "number": whole(answer, 1, 99) is not None,
        "par": whole(answer, *PARS) is not None,
        "unit": unit_named(answer) is not None,
    }
    if not fits[kind]:
        raise InputError(
            tell('The answer "{answer}" to "{name}" cannot be used.', answer=answer[:40], name=name[:60]),
            _wanted(kind),
        )


def _wanted(kind: Takes) -> str:
    if kind == "drawn":
        return tell('Answer "as read" or "as drawn".')
    if kind == "length":
        return tell('Answer "as read", or with a length such as "28 m" or "30 yd".')
    if kind == "number":
        return tell('Answer "as read", or with a hole\'s number from 1 to 99.')
    if kind == "par":
        return tell('Answer "as read", or with a par from {low} to {high}.', low=PARS[0], high=PARS[1])
    if kind == "unit":
        return tell('Answer "as read", "m" or "yd".')
    return tell('It can only be answered "as read"; correct the course instead, as the question says.')
