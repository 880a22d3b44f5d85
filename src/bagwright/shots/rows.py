"""What a row is when it is no shot: blank, headings again, units, an average, a club's heading."""

from __future__ import annotations

import re
from collections.abc import Sequence

from bagwright.bag.names import parse_club_name
from bagwright.shots.headers import Heading, plain, understand
from bagwright.shots.quantities import BY_NAME
from bagwright.shots.words import MISSING, SUMMARY_ALONE, SUMMARY_WORDS
from bagwright.units import find_unit

_DIGIT = re.compile(r"[0-9]")
_UNIT_BRACKETS = re.compile(r"^[(\[{]\s*(.{1,20}?)\s*[)\]}]$")
_UNITS_ROW_WORD = re.compile(r"[(\[]?(?:[a-z#:]{1,4}|[lr+\-=/, ]{1,12}|ratio|none|text|hh:mm(?::ss)?)[)\]]?")
_CLUB_KEY = re.compile(r"^\s*(?:club|build|schläger|palo)\s*[:=]\s*", re.IGNORECASE)


def is_blank(row: Sequence[str]) -> bool:
    """Tell whether no cell holds anything."""
    return not any(cell.strip() for cell in row)


def is_summary(cell: str) -> bool:
    """Tell whether a cell is a label such as "Average", "7 iron avg.", "Std. Dev" or "Max"."""
    simple = plain(cell).strip(" :=()[]*")
    if not simple or len(simple) > 60:
        return False
    if simple in SUMMARY_ALONE or simple in SUMMARY_WORDS:
        return True
    words = [word.strip("():") for word in simple.split()]
    return len(words) <= 6 and (words[0] in SUMMARY_WORDS or words[-1] in SUMMARY_WORDS)


def unit_word(cell: str) -> str:
    """Return the unit's name in a cell that is nothing but a unit, also in brackets; else ""."""
    simple = cell.strip()[:30]
    inside = _UNIT_BRACKETS.match(simple)
    unit = find_unit(inside[1] if inside else simple)
    return unit.name if unit is not None else ""


def is_units_row(row: Sequence[str]) -> bool:
    """Tell whether every filled cell is a unit, a dash or words such as "L/R", and one is a unit."""
    units = 0
    for cell in row:
        simple = cell.strip()[:30].casefold()
        if simple in MISSING:
            continue
        if unit_word(cell):
            units += 1
        elif not _UNITS_ROW_WORD.fullmatch(simple):
            return False
    return units > 0


def headings_in(row: Sequence[str], columns: dict[str, str] | None = None) -> list[Heading]:
    """Every cell of a row understood as a heading."""
    return [understand(cell, columns) if cell.strip() else Heading(cell) for cell in row]


def heading_score(headings: Sequence[Heading], row: Sequence[str]) -> int:
    """How much a row looks like headings: 0 for no, else the number of headings that are known.

    A row of headings knows at least one measure, and few of its cells are numbers.
    """
    measures = sum(heading.name in BY_NAME or heading.name == "?" for heading in headings)
    known = sum(bool(heading.name) for heading in headings)
    filled = [cell for cell in row if cell.strip()]
    numbers = sum(_is_number(cell) for cell in filled)
    if measures == 0 or numbers * 4 > len(filled):
        return 0
    plain_enough = any(heading.name in BY_NAME and heading.unit is not None for heading in headings)
    return known if known >= 2 or plain_enough or len(filled) == 1 else 0


def _is_number(cell: str) -> bool:
    tidy = cell.strip()[:60]
    return bool(_DIGIT.search(tidy)) and not re.search(r"[^\W\d_]{3,}", tidy)


def club_heading(row: Sequence[str]) -> str:
    """Return the club named by a row that holds one cell and nothing else; "" when it names none."""
    filled = [cell.strip() for cell in row if cell.strip()]
    if len(filled) != 1 or len(filled[0]) > 60:
        return ""
    text = _CLUB_KEY.sub("", filled[0])
    return text if text != filled[0] or parse_club_name(text) is not None else ""
