"""One cell: a number, a number with unit and side, a lower bound, nothing, or an error with its reason."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from bagwright.shots.quantities import Quantity
from bagwright.shots.words import CENTRE, LEFT, MISSING, RIGHT
from bagwright.units import M_PER_FT, M_PER_IN, Unit, find_unit
from bagwright.words import tell

_LONGEST = 64
_TIDY = str.maketrans({"−": "-", "\u00a0": " ", "\u2007": " ", "\u2009": " ", "\u202f": " ", "’": "'"})
_CELL = re.compile(
    r"(?P<before>[^\W\d_]{1,12}\.?(?=[ +\-0-9.]))? ?(?P<least>>=?|≥)? ?"
    r"(?P<number>[+-]?(?:[0-9](?:[0-9.,' ]*[0-9.,])?(?:(?<=[0-9])e[+-]?[0-9]{1,3})?|[.,][0-9]+))"
    r"(?P<plus> ?\+)? ?(?P<after>[^0-9+\-_][^0-9_]{0,24})?",
    re.IGNORECASE,
)
_FEET_INCHES = re.compile(
    r"([0-9]{1,3})\s*(?:'|′|ft|feet)\s*([0-9]{1,2}(?:\.[0-9]{1,3})?)\s*(?:\"|″|''|in|inch|inches)?"
)
_GROUPS = {mark: re.compile(rf"[+-]?[0-9]{{1,3}}(?:{re.escape(mark)}[0-9]{{3}})+") for mark in ",.' "}
_EITHER = {mark: re.compile(rf"[+-]?[1-9][0-9]{{0,2}}{re.escape(mark)}[0-9]{{3}}") for mark in ",."}


class CellError(Exception):
    """A cell cannot be read; the text is the reason, in words for the user."""


class TwoReadingsError(CellError):
    """A cell such as "1,234" in a file that does not show which mark is the decimal one."""


@dataclass(frozen=True, slots=True)
class Cell:
    """What a cell holds: `value` (NaN: not measured), the cell's own `unit`, `side` as -1, 0 or +1."""

    value: float
    unit: Unit | None = None
    side: int | None = None
    at_least: bool = False


NOTHING = Cell(math.nan)


def read_cell(text: str, quantity: Quantity, comma: bool | None) -> Cell:
    """Return the measure in a cell; `comma` says whether the decimal mark is a comma (None: not known).

    Raises CellError with the reason when the cell is not exactly one number; nothing is guessed.
    """
    tidy = text.strip().translate(_TIDY)
    if tidy.casefold() in MISSING:
        return NOTHING
    if len(tidy) > _LONGEST:
        raise CellError(tell("too long for a number"))
    if quantity.dimension == "length" and (feet := _FEET_INCHES.fullmatch(tidy.casefold())):
        return Cell(int(feet[1]) * M_PER_FT + float(feet[2]) * M_PER_IN, find_unit("m"))
    match = _CELL.fullmatch(tidy)
    if match is None:
        raise CellError(_why_not(tidy))
    value = number(match["number"].strip(), comma)
    before, after = match["before"] or "", (match["after"] or "").strip()
    unit, side = _words(before, after, quantity)
    at_least = bool(match["least"] or match["plus"])
    if at_least and quantity.name not in ("carry_m", "total_m"):
        raise CellError(tell("only a carry or a total can be a lower bound"))
    return Cell(_sided(value, side, match["number"]), unit, side, at_least)


def _why_not(tidy: str) -> str:
    if tidy.casefold().lstrip("+-") in ("inf", "infinity", "∞"):
        return tell("not a finite number")
    if any(c.isdigit() and not c.isascii() for c in tidy):
        return tell("not written in the digits 0 to 9")
    return tell("not a number")


def number(text: str, comma: bool | None) -> float:
    """Return a number with its decimal mark and thousands marks. Raises CellError or TwoReadingsError."""
    plain = text
    for mark in "' ":
        if mark in plain:
            head = re.split(r"[.,]", plain, maxsplit=1)[0]
            if not _GROUPS[mark].fullmatch(head):
                raise CellError(tell("not a number"))
            plain = plain.replace(mark, "")
    value = float(_with_point(plain, comma))
    if not math.isfinite(value):
        raise CellError(tell("not a finite number"))
    return value


def _with_point(text: str, comma: bool | None) -> str:
    commas, points = text.count(","), text.count(".")
    if commas and points:
        return _both_marks(text)
    if not commas and not points:
        return text
    mark = "," if commas else "."
    if commas + points > 1:
        if not _GROUPS[mark].fullmatch(text):
            raise CellError(tell("not a number"))
        return text.replace(mark, "")
    if _EITHER[mark].fullmatch(text):
        if mark == "," and comma is None:
            raise TwoReadingsError(tell("the comma can be the decimal mark or part the thousands"))
        if (mark == ",") != bool(comma):
            return text.replace(mark, "")
    return text.replace(",", ".")


def _both_marks(text: str) -> str:
    """Read a number with both marks: the last is the decimal one, the other must part thousands."""
    decimal, thousands = (",", ".") if text.rindex(",") > text.rindex(".") else (".", ",")
    whole, _, rest = text.rpartition(decimal)
    if not _GROUPS[thousands].fullmatch(whole) or not rest.isdigit():
        raise CellError(tell("decimal and thousands marks do not fit together"))
    return whole.replace(thousands, "") + "." + rest


def decimal_evidence(text: str) -> str:
    """Return the decimal mark that a cell shows beyond doubt: "," or "." or "" when it shows none."""
    match = _CELL.fullmatch(text.strip().translate(_TIDY)[: _LONGEST + 1])
    if match is None:
        return ""
    digits = match["number"].strip()
    commas, points = digits.count(","), digits.count(".")
    if commas and points:
        return "," if digits.rindex(",") > digits.rindex(".") else "."
    mark = "," if commas == 1 else "." if points == 1 else ""
    return "" if mark and _EITHER[mark].fullmatch(digits) else mark


def _words(before: str, after: str, quantity: Quantity) -> tuple[Unit | None, int | None]:
    """Return the unit and the side among the words around the number."""
    unit: Unit | None = None
    side: int | None = None
    whole = find_unit(after) if after else None
    if whole is not None and whole.dimension == quantity.dimension:
        unit, after = whole, ""
    for word in ([before] if before else []) + after.split():
        found, letter = find_unit(word), side_of(word)
        fits = found is not None and found.dimension == quantity.dimension
        if fits and unit is None and word != before:
            unit = found
        elif letter is not None and quantity.sided and side is None:
            side = letter
        elif letter is not None and not quantity.sided:
            raise CellError(
                tell('"{word}" is a side, but {heading} has none', word=word, heading=quantity.heading)
            )
        elif found is not None and not fits:
            raise CellError(
                tell("{found} is no unit of {heading}", found=found.name, heading=quantity.heading)
            )
        else:
            raise CellError(tell('"{word}" is neither a unit nor a side', word=word))
    return unit, side


def side_of(word: str) -> int | None:
    """+1 for a word that means right, -1 for left, 0 for the centre line, None for any other word."""
    simple = word.strip().rstrip(".").casefold()
    if simple in RIGHT:
        return 1
    if simple in LEFT:
        return -1
    return 0 if simple in CENTRE else None


def _sided(value: float, side: int | None, written: str) -> float:
    """Return the value with its side as the sign. A sign that contradicts the letter is an error."""
    if side is None:
        return value
    if value == 0.0:
        return 0.0
    if side == 0:
        raise CellError(tell("on the centre line, but not 0"))
    if written[0] in "+-" and (written[0] == "-") != (side < 0):
        raise CellError(tell("the sign and the side contradict each other"))
    return side * abs(value)
