"""What lies in play on a hole, as distances: bunkers, penalty areas, bounds; and the hole's figures."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString
from shapely.ops import unary_union

from bagwright.course.ground import Ground, Patch, polygons
from bagwright.course.lies import Lie
from bagwright.course.way import beside, way_length
from bagwright.units import M_PER_YD

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

Side = Literal["left", "right", "across"]

BESIDE_M = 35.0 * M_PER_YD
"""What lies farther from the way than this is not told of (judgement: a wide miss of a long club)."""
MOST_JOINED = 3_000
"""Points up to which areas of one lie that touch are told of as one: joining takes long for hostile maps."""
_TOLD = (Lie.SAND, Lie.WATER, Lie.WATER_RED, Lie.OUT)
_STEP_M = 2.0
_STRAIGHT_RAD = math.radians(10.0)
"""A bend smaller than this is no dogleg (judgement)."""


@dataclass(frozen=True, slots=True)
class InPlay:
    """One thing near the way. Distances are straight from the tee; NaN is never used."""

    lie: Lie
    side: Side
    reach_m: float
    """To where it begins."""
    carry_m: float
    """To where it ends: a ball that carries this far is over or past it."""
    aside_m: float
    """From the way to its nearest point; 0 where it crosses the way."""
    to_green_m: float
    """From its nearest point to the pin."""


@dataclass(frozen=True, slots=True)
class Bend:
    """A dogleg: how far along the way it turns, how much, and to which side."""

    at_m: float
    turn_rad: float
    """Positive to the right."""


@dataclass(frozen=True, slots=True)
class Facts:
    """A hole from one tee in figures, metres."""

    length_m: float
    card_length_m: float | None
    front_m: float | None
    middle_m: float
    back_m: float | None
    """To the green's front, the pin and the green's back along the way; None where no green is drawn."""
    rise_m: float | None
    """The pin over the tee."""
    bends: tuple[Bend, ...]
    in_play: tuple[InPlay, ...]
    fairway_from_m: float | None
    """Where the first fairway begins, straight from the tee."""


def facts_of(ground: Ground) -> Facts:
    """Measure a hole."""
    length = way_length(ground.way_m)
    front, back = _green(ground, length)
    tee, pin = ground.tee.height_m, ground.hole.pin_height_m
    return Facts(
        length,
        ground.tee.card_length_m,
        front,
        length,
        back,
        None if tee is None or pin is None else pin - tee,
        _bends(ground),
        in_play(ground),
        _fairway(ground),
    )


def _along(points: NDArray[np.float64], ground: Ground) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Along the way, and to its right: y of the hole's frame is right already, so the sign turns."""
    along, left = beside(points, ground.way_m)
    return along, -left


def _corners(shape: BaseGeometry) -> NDArray[np.float64]:
    parts = [np.array(part.exterior.segmentize(_STEP_M).coords) for part in polygons(shape)]
    return np.vstack(parts) if parts else np.empty((0, 2))


def _green(ground: Ground, length: float) -> tuple[float | None, float | None]:
    """Where the green begins and ends on the line of the last leg."""
    leg = np.subtract(ground.way_m[-1], ground.way_m[-2])
    unit = leg / np.hypot(*leg)
    greens = [p.shape for p in ground.patches if p.lie is Lie.GREEN and p.own and p.source != "forced"]
    if not greens:
        return None, None
    ahead = (_corners(unary_union(greens)) - ground.way_m[-1]) @ unit
    return length + float(ahead.min()), length + float(ahead.max())


def _bends(ground: Ground) -> tuple[Bend, ...]:
    found, done = [], 0.0
    way = ground.way_m
    for a, b, c in zip(way, way[1:], way[2:], strict=False):
        done += math.dist(a, b)
        before, after = math.atan2(b[1] - a[1], b[0] - a[0]), math.atan2(c[1] - b[1], c[0] - b[0])
        turn = math.remainder(after - before, 2.0 * math.pi)
        if abs(turn) >= _STRAIGHT_RAD:
            found.append(Bend(done, turn))
    return tuple(found)


def _fairway(ground: Ground) -> float | None:
    """Where the way comes to fairway first: what lies over the fairway (a pond, a bunker) is none."""
    mown = [p.shape for p in ground.patches if p.looks is Lie.FAIRWAY and p.own]
    if not mown:
        return None
    way, tee = LineString(ground.way_m), shapely.Point(0.0, 0.0)
    for patch in ground.patches:
        if patch.looks in _TOLD:
            way = way.difference(_usable(patch))
    lines = [way.intersection(shape) for shape in mown]
    return min((float(line.distance(tee)) for line in lines if not line.is_empty), default=None)


def in_play(ground: Ground) -> tuple[InPlay, ...]:
    """Give what lies within `BESIDE_M` of the way, the nearest to the tee first."""
    way = LineString(ground.way_m)
    strip = way.buffer(BESIDE_M, cap_style="flat").union(shapely.Point(ground.pin_m).buffer(BESIDE_M))
    found = []
    for lie in _TOLD:
        cut = [_usable(p).intersection(strip) for p in ground.patches if p.looks is lie]
        whole = [unary_union(cut)] if sum(map(shapely.get_num_coordinates, cut)) <= MOST_JOINED else cut
        for part in (part for shape in whole for part in polygons(shape)):
            if part.area > 4.0:
                found.append(_measured(lie, part, way, ground))
    return tuple(sorted(found, key=lambda thing: (thing.reach_m, thing.lie)))


def _usable(patch: Patch) -> BaseGeometry:
    return patch.shape if patch.shape.is_valid else shapely.make_valid(patch.shape)


def _measured(lie: Lie, part: BaseGeometry, way: LineString, ground: Ground) -> InPlay:
    points = _corners(part)
    from_tee = np.hypot(*points.T)
    _, right = _along(points, ground)
    crosses = bool(part.intersects(way))
    middle = float(right[np.abs(right).argmin()]) if not crosses else 0.0
    side: Side = "across" if crosses else "right" if middle > 0 else "left"
    to_green = float(np.hypot(*(points - ground.pin_m).T).min())
    return InPlay(lie, side, float(from_tee.min()), float(from_tee.max()), abs(middle), to_green)
