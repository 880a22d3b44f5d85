"""What to play from a spot, and what the alternatives cost."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from bagwright.course.lies import PLAYED_FROM, Lie
from bagwright.course.raster import Raster
from bagwright.errors import InputError
from bagwright.report.strokes.balls import lie_at
from bagwright.strokes.alternatives import alternatives
from bagwright.strokes.patterns import PatternTable
from bagwright.strokes.result import HoleStrokes
from bagwright.units import System
from bagwright.words import tell

MOST = 8


@dataclass(frozen=True, slots=True)
class Choice:
    """One shot from a spot: where it is aimed, its expected strokes, and what it costs above the least."""

    club: str
    words: str
    aim_side_m: float
    """How far right of the pin the aim passes, as far away as the pin is."""
    strokes: float
    costs: float
    out: float
    """Chance of stroke and distance."""
    end_m: tuple[float, float]
    """Where a ball that comes off ends on average, metres in the hole's frame."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A place of a hole: its lie, how far the pin is, the strokes to hole out, and what could be played."""

    at_m: tuple[float, float]
    lie: Lie
    to_pin_m: float
    strokes: float
    choices: tuple[Choice, ...]


def spot_of(
    hole: HoleStrokes, raster: Raster, table: PatternTable, at_m: tuple[float, float], system: System
) -> Spot:
    """Ask at a spot; shots are said in the reader's units.

    Raises InputError where nothing is played from: beyond, in water, on the green.
    """
    lie = Lie(int(lie_at(raster, np.array([at_m]))[0]))
    to_pin = math.dist(at_m, raster.pin_m)
    if lie is Lie.GREEN:
        raise InputError(
            tell("On the green nothing is chosen: the ball is putted."),
            tell("Ask from a spot beside the green."),
        )
    found = alternatives(hole, raster, table, *at_m, most=MOST) if lie in PLAYED_FROM else ()
    if not found:
        raise InputError(tell("From there nothing is played."), tell("Ask from a spot in play."))
    bearing = math.atan2(raster.pin_m[1] - at_m[1], raster.pin_m[0] - at_m[0])
    choices = tuple(
        Choice(
            table.shots[one.shot].club,
            table.shots[one.shot].said(system),
            to_pin * math.sin(one.aim_rad - bearing),
            one.strokes,
            one.more,
            one.out,
            one.finish_m,
        )
        for one in found
    )
    return Spot(at_m, lie, to_pin, found[0].strokes, choices)
