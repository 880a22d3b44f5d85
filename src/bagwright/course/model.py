"""A model hole: what a scorecard says, as numbers that can be changed, and the shapes made of them.

Lengths run along the hole's way from the back tee; sides are metres from the way, positive to the right.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from shapely import Point as Dot
from shapely import affinity
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from bagwright.course.along import length_of, point_at
from bagwright.course.hole import Feature, Point
from bagwright.course.lies import Lie
from bagwright.course.shapes import polygons_only
from bagwright.course.telling import length_told

Side = Literal["left", "right"]

TEE_M = (8.0, 10.0)
"""Width and depth of every teeing ground (common practice)."""
FAIRWAY_WIDTH_M = {4: 30.0, 5: 32.0}
"""Fairway's width by par (33 and 35 yd; common practice). A par 3 has an apron only."""
FAIRWAY_FROM_M = 130.0
"""Where the fairway begins, from the back tee (common practice)."""
APRON_M = 15.0
"""Mown ground in front of a par 3's green (common practice)."""
GREEN_WIDTH_M, GREEN_DEPTH_M = 24.0, 28.0
"""An oval of some 530 square metres, a usual size (common practice)."""
ROUGH_M = 15.0
"""Light rough on both sides of the fairway; beyond it is deep rough (common practice)."""
EDGE_M = 90.0
"""How far to the side the model's ground is laid (judgement)."""
BEYOND_M = 120.0
"""How far a way is drawn on straight behind the tee and beyond the pin, to lay ground there."""
MOST_PATCHES = 60
"""Once a hole has so many pieces of ground and trees from its words, further words are not read."""


@dataclass(frozen=True, slots=True)
class Band:
    """Ground beside the way, from `near_m` to `far_m` to one side of it, between two lengths along it."""

    lie: Lie
    from_m: float
    to_m: float
    near_m: float
    far_m: float
    side: Side


@dataclass(frozen=True, slots=True)
class Across:
    """Ground right across the hole between two lengths along the way."""

    lie: Lie
    from_m: float
    to_m: float
    half_m: float = 60.0


@dataclass(frozen=True, slots=True)
class Oval:
    """An oval with its middle `at_m` along and `side_m` right of the way."""

    lie: Lie
    at_m: float
    side_m: float
    along_m: float
    across_m: float


@dataclass(frozen=True, slots=True)
class Ring:
    """Ground around the green, from `near_m` to `far_m` off its edge."""

    lie: Lie
    near_m: float
    far_m: float


Ground = Band | Across | Oval | Ring


@dataclass(slots=True)
class ModelHole:
    """A hole of a scorecard in numbers. What was not said holds the stated usual figures."""

    number: int
    par: int
    length_m: float
    fairway_width_m: float = 0.0
    fairway_from_m: float = FAIRWAY_FROM_M
    green_width_m: float = GREEN_WIDTH_M
    green_depth_m: float = GREEN_DEPTH_M
    rough_width_m: float = ROUGH_M
    dogleg_at_m: float | None = None
    dogleg_rad: float = 0.0
    """Turn at the bend, positive to the right."""
    climb_m: float | None = None
    """Height of the pin above the back tee."""
    ground: list[Ground] = field(default_factory=list)
    sources: list[str] = field(default_factory=list)
    """Name of every piece of `ground`, in its order: `words 2/1` is the first piece of the second phrase."""
    trees: list[tuple[float, float]] = field(default_factory=list)
    """Single trees: along the way, right of it."""
    yards: bool = False
    """Whether its lengths are told in yards."""

    def __post_init__(self) -> None:
        if self.fairway_width_m <= 0.0:
            self.fairway_width_m = FAIRWAY_WIDTH_M.get(self.par, FAIRWAY_WIDTH_M[5] if self.par > 5 else 20.0)

    def told(self, metres: float) -> str:
        """Write a length as the card has it."""
        return length_told(metres, self.yards)

    @property
    def half_m(self) -> float:
        """Half the fairway's width."""
        return self.fairway_width_m / 2

    @property
    def front_m(self) -> float:
        """Length along the way to the green's front edge."""
        return self.length_m - self.green_depth_m / 2

    def way(self) -> tuple[Point, ...]:
        """The way: north from the back tee at (0, 0), turned at the bend, to the pin."""
        at = self.dogleg_at_m
        if at is None or not 0.0 < at < self.length_m:
            return ((0.0, 0.0), (0.0, self.length_m))
        rest = self.length_m - at
        pin = (rest * math.sin(self.dogleg_rad), at + rest * math.cos(self.dogleg_rad))
        return ((0.0, 0.0), (0.0, at), pin)


def shapes_of(
    hole: ModelHole, tees: Sequence[tuple[str, float]]
) -> tuple[list[Feature], list[Point], list[Point]]:
    """Give a model hole's features, the places of its tees (name, length to the pin) and its single trees.

    Every feature has a name of its own for corrections: `model/green`, `model/tee white`, `words 2/1`.
    """
    layer = _Layer(hole)
    green = layer.oval(Oval(Lie.GREEN, hole.length_m, 0.0, hole.green_depth_m, hole.green_width_m))
    features = _plain(hole, layer, green)
    places = [point_at(hole.way(), hole.length_m - length) for _, length in tees]
    for name, length in tees:
        back = hole.length_m - length
        shape = layer.strip(back - TEE_M[1] / 2, back + TEE_M[1] / 2, TEE_M[0])
        features.append(Feature(Lie.TEE, shape, f"model/tee {name}"))
    features.append(Feature(Lie.GREEN, green, "model/green"))
    for source, ground in zip(hole.sources, hole.ground, strict=True):
        shape = layer.shape(ground, green)
        if not shape.is_empty and shape.area > 0.01:
            features.append(Feature(ground.lie, shape, source))
    return features, places, [layer.point(s, t) for s, t in hole.trees]


def _plain(hole: ModelHole, layer: _Layer, green: BaseGeometry) -> list[Feature]:
    """The ground of every model hole: light rough, deep rough on both sides, fairway or apron."""
    edge, end = hole.half_m + hole.rough_width_m, hole.length_m + hole.green_depth_m / 2 + hole.rough_width_m
    found = [Feature(Lie.ROUGH, layer.strip(0.0, end, 2 * edge), "model/rough")]
    sides: tuple[Side, Side] = ("left", "right")
    for side in sides:
        shape = layer.band(Band(Lie.DEEP, 0.0, end, edge, EDGE_M, side))
        found.append(Feature(Lie.DEEP, shape, f"model/deep {side}"))
    start = hole.fairway_from_m if hole.par > 3 else hole.front_m - APRON_M
    if 0.0 < start < hole.front_m:
        strip = layer.strip(start, hole.length_m, hole.fairway_width_m)
        found.append(
            Feature(Lie.FAIRWAY, polygons_only(strip.difference(green.buffer(0.5))), "model/fairway")
        )
    return found


class _Layer:
    """Lays ground along a hole's way, which goes on straight behind the tee and beyond the pin."""

    def __init__(self, hole: ModelHole) -> None:
        way = hole.way()
        self._way = way
        first, last = point_at(way, -BEYOND_M), point_at(way, length_of(way) + BEYOND_M)
        self._line = LineString([first, *way[1:-1], last] if len(way) > 2 else [first, last])

    def _part(self, from_m: float, to_m: float) -> LineString:
        low, high = sorted((from_m + BEYOND_M, to_m + BEYOND_M))
        return substring(self._line, max(0.0, low), max(min(high, self._line.length), 0.0))

    def strip(self, from_m: float, to_m: float, width_m: float) -> BaseGeometry:
        """Ground on both sides of the way between two lengths along it."""
        part = self._part(from_m, to_m)
        if not isinstance(part, LineString) or width_m <= 0.0:
            return Polygon()
        return polygons_only(part.buffer(width_m / 2, quad_segs=8, cap_style="flat", join_style="mitre"))

    def band(self, band: Band) -> BaseGeometry:
        """Ground on one side of the way."""
        part = self._part(band.from_m, band.to_m)
        if not isinstance(part, LineString) or band.far_m <= band.near_m:
            return Polygon()
        sign = 1.0 if band.side == "left" else -1.0  # Shapely's left of a line is positive.
        wide = part.buffer(sign * band.far_m, single_sided=True, join_style="mitre")
        if band.near_m <= 0.0:
            return polygons_only(wide)
        longer = self._part(band.from_m - 1.0, band.to_m + 1.0)
        return polygons_only(
            wide.difference(longer.buffer(band.near_m, cap_style="flat", join_style="mitre"))
        )

    def oval(self, oval: Oval) -> BaseGeometry:
        """An oval, turned as the way runs at its middle."""
        x, y = self.point(oval.at_m, oval.side_m)
        ahead = np.subtract(self.point(oval.at_m + 0.5, 0.0), self.point(oval.at_m - 0.5, 0.0))
        disc = affinity.scale(Dot(0.0, 0.0).buffer(0.5, quad_segs=12), oval.across_m, oval.along_m)
        turned = affinity.rotate(disc, math.atan2(-ahead[0], ahead[1]), origin=(0, 0), use_radians=True)
        return affinity.translate(turned, x, y)

    def point(self, along_m: float, side_m: float) -> Point:
        """Give the point so far along the way and so far right of it."""
        a, b = point_at(self._way, along_m - 0.5), point_at(self._way, along_m + 0.5)
        step = math.dist(a, b) or 1.0
        x, y = point_at(self._way, along_m)
        return x + side_m * (b[1] - a[1]) / step, y - side_m * (b[0] - a[0]) / step

    def shape(self, ground: Ground, green: BaseGeometry) -> BaseGeometry:
        """Any piece of ground; a ring lies about `green`."""
        if isinstance(ground, Band):
            return self.band(ground)
        if isinstance(ground, Across):
            return self.strip(ground.from_m, ground.to_m, 2 * ground.half_m)
        if isinstance(ground, Oval):
            return self.oval(ground)
        inner = green.buffer(ground.near_m) if ground.near_m > 0.0 else green
        return polygons_only(green.buffer(ground.far_m).difference(inner))
