"""Numbers in tags, cards and overlays: read or refused, never guessed."""

from __future__ import annotations

import re

from bagwright.errors import InputError
from bagwright.units import find_unit, parse_quantity

PARS = (3, 7)
"""Pars that a hole may have: the usual 3 to 5, and those of the longest holes there are (common practice)."""
_WHOLE = re.compile(r"\s*0*([0-9]{1,3})\s*\Z")


def whole(text: str | None, low: int, high: int) -> int | None:
    """Give a whole number in [low, high], or None where the text is none."""
    match = _WHOLE.match(text or "")
    if match is None:
        return None
    number = int(match[1])
    return number if low <= number <= high else None


def length_m(text: str | None, low: float, high: float, unit: str = "m") -> float | None:
    """Give a length in metres in [low, high] as a tag has it ("366", "400 yd"), None where it is none."""
    if text is None or not text.strip():
        return None
    try:
        value = parse_quantity(text, "length", unit)
    except InputError:
        return None
    return value if low <= value <= high else None


def par_of(text: str | None) -> int | None:
    """Give a par, one of `PARS`."""
    return whole(text, *PARS)


def stroke_index_of(text: str | None) -> int | None:
    """Give a stroke index from 1 to 36."""
    return whole(text, 1, 36)


def height_m(text: str | None) -> float | None:
    """Give a height above sea level, metres ("123", "123.4 m", "400 ft")."""
    return length_m(text, -450.0, 6000.0)


def unit_named(text: str) -> str | None:
    """Give "m" or "yd" where a word names one of them, else None."""
    unit = find_unit(text)
    return unit.name if unit is not None and unit.name in ("m", "yd") else None
