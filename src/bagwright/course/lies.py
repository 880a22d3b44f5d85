"""What a ball can lie in on a course, in the order in which overlapping features win.

The numbers are stored in rasters and in kernels; they never change their meaning.
"""

from __future__ import annotations

from enum import IntEnum


class Lie(IntEnum):
    """Where the ball lies. The first six are played from; `GREEN` is putted from; the rest cost a penalty."""

    TEE = 0
    FAIRWAY = 1
    ROUGH = 2
    """Light rough: the usual ground between fairway and trees."""
    DEEP = 3
    """Deep rough: scrub, heath, long grass."""
    SAND = 4
    RECOVERY = 5
    """Under trees."""
    GREEN = 6
    WATER = 7
    """A yellow penalty area: relief on the line back or where it was played from."""
    WATER_RED = 8
    """A red penalty area: relief also at its side."""
    OUT = 9
    """Out of bounds: stroke and distance."""


PLAYED_FROM = (Lie.TEE, Lie.FAIRWAY, Lie.ROUGH, Lie.DEEP, Lie.SAND, Lie.RECOVERY)
"""Lies that a full decision is taken from, in the order of a pattern table's first axis."""

LETTERS = {
    Lie.TEE: "T", Lie.FAIRWAY: "F", Lie.ROUGH: "R", Lie.DEEP: "D", Lie.SAND: "S", Lie.RECOVERY: "X",
    Lie.GREEN: "G", Lie.WATER: "W", Lie.WATER_RED: "L", Lie.OUT: "O",
}  # fmt: skip
"""One letter each, for pictures and tables that must not rely on colour."""
