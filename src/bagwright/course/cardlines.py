"""A scorecard as lines of text, one a hole, as somebody types or pastes it.

    Our course
    1: par 4, index 7, white 366 m, yellow 340 m, water left at 210, bunkers short
    Hole 2 - par 3, 151 m, green 25x30
    Loch 3: Par 5, Vorgabe 1, Gelb 480 m; Wasser quer bei 380

Behind the number stand par, stroke index and lengths in any order; what follows them are the hole's words.
"""

from __future__ import annotations

import re

from bagwright.course.card import Card, CardRow
from bagwright.course.phrase import phrases_of
from bagwright.course.values import unit_named
from bagwright.errors import InputError
from bagwright.shots.texts import clean
from bagwright.words import tell

ONLY_TEE = "tee"
"""Name of the tee of a length that stands without one."""
_MOST_FACTS = 20
_LINE = re.compile(
    r"(?:(?:hole|loch|bahn|no\.?|nr\.?)\s*)?([1-9][0-9]?)(?:\s*[:.)–-]\s*|\s+)(\S.*)\Z", re.IGNORECASE
)
_PAR = re.compile(r"par\s*:?\s*([3-7])(?![\w.])", re.IGNORECASE)
_INDEX = re.compile(
    r"(?:stroke index|index|s\.?i\.?|hcp|hdcp|handicap|vorgabe)\s*:?\s*([0-9]{1,2})(?![\w.])", re.IGNORECASE
)
_LENGTH = re.compile(
    r"(?:([^\W\d_][^\W\d_]*(?:[ -][^\W\d_]+)?)\s*:?\s*)?([0-9]{2,4})"
    r"\s*(yards?|yds?|y|met(?:re|er)s?|m)?\.?(?=[\s,;|]|\Z)",
    re.IGNORECASE,
)
_OVER = re.compile(r"\s*(?:[,;|:–-]|\Z)")
_BETWEEN = re.compile(r"[\s,;|]+")
_KEY = re.compile(r"(name|course|club|platz|units?|einheit)\s*:\s*(\S.*)\Z", re.IGNORECASE)


def card_of_lines(text: str, file: str) -> Card | None:
    """Read lines; None where no line has a hole with a length. Raises InputError for a hole given twice."""
    card = Card(file)
    for place, raw in enumerate(text.splitlines(), start=1):
        line = clean(raw, 1200)
        match = _LINE.match(line)
        hole = _hole(int(match[1]), match[2]) if match is not None else None
        if hole is None:
            if line:
                _head(card, line)
            continue
        if any(other.number == hole.number for other in card.holes):
            raise InputError(
                tell(
                    "{file}, line {line}: hole {number} stands there twice.",
                    file=file,
                    line=place,
                    number=hole.number,
                ),
                tell("Correct the numbers."),
            )
        card.holes.append(hole)
    if not card.holes:
        return None
    card.tees = tuple(dict.fromkeys(tee for hole in card.holes for tee in hole.lengths))
    return card


def _head(card: Card, line: str) -> None:
    """Take a line that is no hole: the unit, or the name above the holes; any other is counted."""
    match = _KEY.match(line)
    if match is not None and match[1].lower() in ("unit", "units", "einheit"):
        card.unit = unit_named(match[2]) or card.unit
    elif not card.name and not card.holes:
        card.name = (match[2] if match is not None else line)[:120]
    else:
        card.left_out += 1


def _hole(number: int, rest: str) -> CardRow | None:
    """Take the facts off the front of a line; None where there is no length among them."""
    hole = CardRow(number)
    for _ in range(_MOST_FACTS):
        rest = _BETWEEN.sub("", rest, count=1) if _BETWEEN.match(rest) else rest
        used = _fact(hole, rest)
        if not used:
            break
        rest = rest[used:]
    hole.words = rest.strip(" ,;|:-–")
    return hole if hole.lengths else None


def _fact(hole: CardRow, text: str) -> int:
    """Take one fact off the front of a text; gives how many characters it has, 0 where there is none."""
    for pattern, name in ((_PAR, "par"), (_INDEX, "stroke_index")):
        match = pattern.match(text)
        if match is not None and getattr(hole, name) is None and 1 <= int(match[1]) <= 36:
            setattr(hole, name, int(match[1]))
            return match.end()
    match = _LENGTH.match(text)
    if match is None or not _is_tee(match[1]) or int(match[2]) < 30 or not _ends(text[match.end() :]):
        return 0
    name = match[1] or ONLY_TEE
    if name in hole.lengths:
        return 0
    hole.lengths[name] = (float(match[2]), (unit_named(match[3]) or "") if match[3] else "")
    return match.end()


def _ends(rest: str) -> bool:
    """Whether a length is over here: "white 366 yellow 340", "white 366 water left", not "hills 200 left"."""
    if _OVER.match(rest) is not None or _fact(CardRow(0), rest.lstrip()) > 0:
        return True
    first = " ".join(rest.split()[:2])
    return bool(first) and phrases_of(first, "m")[0].subject != ""


def _is_tee(name: str | None) -> bool:
    """Whether words before a figure name a tee: they mean nothing among the words of a hole."""
    if name is None:
        return True
    return all(not phrase.subject and not phrase.sides for phrase in phrases_of(name, "m"))
