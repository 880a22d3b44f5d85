"""Lengths as a card's readings tell them: in the card's own unit."""

from __future__ import annotations

from bagwright.units import M_PER_FT, M_PER_YD
from bagwright.words import tell


def length_told(metres: float, yards: bool) -> str:
    """Write a length in whole yards or metres."""
    if yards:
        return tell("{value:.0f} yd", value=metres / M_PER_YD)
    return tell("{value:.0f} m", value=metres)


def size_told(long_m: float, wide_m: float, yards: bool) -> str:
    """Write length and width."""
    if yards:
        return tell("{long:.0f} x {wide:.0f} yd", long=long_m / M_PER_YD, wide=wide_m / M_PER_YD)
    return tell("{long:.0f} x {wide:.0f} m", long=long_m, wide=wide_m)


def height_told(metres: float, yards: bool) -> str:
    """Write a height: feet beside yards, metres beside metres."""
    if yards:
        return tell("{value:.0f} ft", value=metres / M_PER_FT)
    return tell("{value:.1f} m", value=metres)
