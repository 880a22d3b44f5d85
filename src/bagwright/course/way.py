"""A hole's own frame, its way from a tee, and how far along and beside it points lie."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagwright.course.hole import Hole, Point, Tee
from bagwright.errors import InputError
from bagwright.words import tell

Floats = NDArray[np.float64]

SHORTEST_M = 20.0
"""A hole shorter than this is a slip of the map (judgement)."""
LONGEST_M = 1500.0
"""And so is one longer than this."""
_SAME_M = 1e-9
_BEND_AFTER_M = 30.0
"""Points of the way nearer in front of the tee are passed over: a forward tee may stand beside one."""


@dataclass(frozen=True, slots=True)
class Frame:
    """The frame of a hole: x from the tee towards the pin, y to the right of it, metres."""

    origin: Point
    east: float
    north: float
    """Direction of x in the course's frame, a unit vector."""

    @property
    def turn_rad(self) -> float:
        """Bearing of x, clockwise from north."""
        return math.atan2(self.east, self.north)

    def local(self, points: Any) -> Floats:
        """Bring points (n, 2) of the course's frame into this one."""
        moved = np.asarray(points, dtype=np.float64) - self.origin
        along = moved[:, 0] * self.east + moved[:, 1] * self.north
        right = moved[:, 0] * self.north - moved[:, 1] * self.east
        return np.column_stack((along, right))

    def course(self, points: Any) -> Floats:
        """Bring points (n, 2) of this frame back into the course's."""
        given = np.asarray(points, dtype=np.float64)
        east = given[:, 0] * self.east + given[:, 1] * self.north
        north = given[:, 0] * self.north - given[:, 1] * self.east
        return np.column_stack((east, north)) + self.origin


def frame_of(hole: Hole, tee: Tee) -> Frame:
    """Lay the frame from the tee to the pin. Raises InputError where that is no length of a hole."""
    east, north = hole.pin[0] - tee.at[0], hole.pin[1] - tee.at[1]
    length = math.hypot(east, north)
    if not SHORTEST_M <= length <= LONGEST_M:
        raise InputError(
            tell(
                'Hole {number} is {length:.0f} m from the tee "{name}" to the pin.',
                number=hole.number,
                length=length,
                name=tee.name[:40],
            ),
            tell(
                "Expected {shortest_m:.0f} to {longest_m:.0f} m: correct tee or pin in the overlay file.",
                shortest_m=SHORTEST_M,
                longest_m=LONGEST_M,
            ),
        )
    return Frame(tee.at, east / length, north / length)


def played_way(hole: Hole, tee: Tee) -> tuple[Point, ...]:
    """Give the way from this tee: the tee, the bends in front of it, the pin (course's frame)."""
    if len(hole.way) < 3:
        return (tee.at, hole.pin)
    along, _ = beside(np.array(hole.way), hole.way)
    start, _ = beside(np.array([tee.at]), hole.way)
    bends = [
        point for point, at in zip(hole.way[1:-1], along[1:-1], strict=True) if at > start[0] + _BEND_AFTER_M
    ]
    return (tee.at, *bends, hole.pin)


def way_length(way: tuple[Point, ...]) -> float:
    """Length of a way, metres."""
    return math.fsum(math.dist(a, b) for a, b in pairwise(way))


def beside(points: Floats, way: tuple[Point, ...]) -> tuple[Floats, Floats]:
    """Say how far along the way points (n, 2) lie, and how far from it, positive to its right hand.

    The first and the last leg go on beyond their ends, so a point behind the tee lies at a negative length.
    The side is reckoned in a frame like the course's (x east, y north); see `Frame` for the hole's, whose y
    is to the right already and turns the sign.
    """
    nearest, beam = np.full(len(points), np.inf), np.zeros(len(points))
    along, side = np.zeros(len(points)), np.zeros(len(points))
    done, legs = 0.0, _legs(way)
    for i, (a, b) in enumerate(legs):
        leg = np.subtract(b, a)
        length = float(np.hypot(*leg))
        unit = leg / length
        moved = points - a
        t = moved @ unit
        low, high = (-np.inf if i == 0 else 0.0), (np.inf if i == len(legs) - 1 else length)
        t_in = np.clip(t, low, high)
        off = np.hypot(*(moved - t_in[:, None] * unit).T)
        cross = moved[:, 0] * unit[1] - moved[:, 1] * unit[0]
        # Where the nearest place is a bend both legs are as near: the one more abeam says the side.
        same = np.abs(off - nearest) <= _SAME_M
        better = np.where(same, np.abs(cross) > beam, off < nearest)
        nearest = np.where(better, off, nearest)
        beam = np.where(better, np.abs(cross), beam)
        along = np.where(better, done + t_in, along)
        side = np.where(better, np.copysign(off, cross), side)
        done += length
    return along, side


def _legs(way: tuple[Point, ...]) -> list[tuple[Point, Point]]:
    legs = [(a, b) for a, b in pairwise(way) if math.dist(a, b) > 1e-6]
    if not legs:
        raise InputError(tell("A hole's way has no length."), tell("Draw it from the tee to the pin."))
    return legs
