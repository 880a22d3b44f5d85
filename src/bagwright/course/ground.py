"""What lies where on a hole, as shapes in the hole's own frame: the common ground of raster and picture.

Where features overlap the higher wins: out of bounds > water > bunker > green > tee > single tree > fairway
> wood > scrub > rough. Features of other holes that reach into the picture count as what they are to the
player of this one: another fairway is fairway, another green must not be played from (it is played as rough
here), and any tee but the chosen one is mown ground where nothing may be teed up.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon, box
from shapely.geometry import Point as Spot

from bagwright.course.hole import Course, Feature, Hole, Point, Tee
from bagwright.course.lies import Lie
from bagwright.course.raster import CELL_M
from bagwright.course.way import Frame, frame_of, played_way
from bagwright.errors import InputError
from bagwright.units import M_PER_YD
from bagwright.words import tell

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

MARGIN_M = 60.0 * M_PER_YD
"""Ground about the hole, at least, unless the course ends sooner."""
REACH_M = 100.0 * M_PER_YD
"""No feature of the hole widens the picture farther from its way than this (a fairway of many holes)."""
TREE_RADIUS_M = 3.0
"""A single tree hinders a swing within this distance of its trunk (judgement: half a crown)."""
GREEN_RADIUS_M = 3.0
"""Where a pin stands on no green, so much about it is read as green."""
TEE_RADIUS_M = 1.5
"""Where a tee marker stands on no tee, so much about it is read as tee."""
RIM = 2
"""Cells at the edge of every raster that are out of bounds."""
_MOST_CELLS = 4_000_000

ORDER = (
    Lie.ROUGH, Lie.DEEP, Lie.RECOVERY, Lie.FAIRWAY, Lie.TEE, Lie.GREEN, Lie.SAND, Lie.WATER_RED, Lie.WATER,
    Lie.OUT,
)  # fmt: skip
"""Lies from the lowest to the highest where features overlap (single trees come after the fairway)."""


@dataclass(frozen=True, slots=True)
class Patch:
    """One area of a hole's ground, in the hole's frame.

    `lie` is what it is to the player of this hole, `looks` what it is on the map.
    """

    lie: Lie
    looks: Lie
    shape: BaseGeometry
    own: bool
    source: str


@dataclass(frozen=True, slots=True)
class Ground:
    """A hole from one tee: frame, extent of the raster, patches from the lowest to the highest."""

    hole: Hole
    tee: Tee
    frame: Frame
    x0_m: float
    y0_m: float
    nx: int
    ny: int
    pin_m: Point
    way_m: tuple[Point, ...]
    patches: tuple[Patch, ...]
    notes: tuple[str, ...]

    @property
    def extent(self) -> tuple[float, float, float, float]:
        """Least x and y, greatest x and y, metres."""
        return (self.x0_m, self.y0_m, self.x0_m + self.nx * CELL_M, self.y0_m + self.ny * CELL_M)


def hole_of(course: Course, number: int) -> Hole:
    """Give a hole by its number. Raises InputError that names those there are."""
    for hole in course.holes:
        if hole.number == number:
            return hole
    have = ", ".join(str(hole.number) for hole in course.holes) or "none"
    raise InputError(
        tell("There is no hole {number} on this course.", number=number), tell("Holes: {have}.", have=have)
    )


def tee_of(hole: Hole, name: str | None) -> Tee:
    """Give a hole's tee by its name, the first without one. Raises InputError that names those there are."""
    if not hole.tees:
        raise InputError(
            tell("Hole {number} has no tee.", number=hole.number), tell("Add one in the overlay file.")
        )
    try:
        return hole.tee(name)
    except KeyError as error:
        have = ", ".join(tee.name[:40] for tee in hole.tees)
        raise InputError(
            tell('Hole {number} has no tee "{name}".', number=hole.number, name=str(name)[:40]),
            tell("Tees: {have}.", have=have),
        ) from error


def ground_of(course: Course, number: int, tee: str | None = None) -> Ground:
    """Lay out the ground of a hole from one of its tees, the first where none is named."""
    hole = hole_of(course, number)
    start = tee_of(hole, tee)
    frame = frame_of(hole, start)
    way = _points(frame, played_way(hole, start))
    own = [(feature, _moved(feature.shape, frame)) for feature in hole.features]
    bounds = None if course.bounds is None else _moved(course.bounds, frame)
    x0, y0, nx, ny = _extent(way, own, bounds)
    whole = box(x0, y0, x0 + nx * CELL_M, y0 + ny * CELL_M)
    patches, notes = _own_patches(own, whole)
    if course.source != "card":
        others, said = _other_patches(course, hole, frame, whole)
        patches, notes = patches + others, notes + said
    patches += _tree_patches(course, hole, frame, whole)
    patches += _forced(patches, way, notes, start)
    if bounds is not None:
        patches.append(Patch(Lie.OUT, Lie.OUT, whole.difference(bounds), True, "bounds"))
    patches = [patch for patch in patches if not patch.shape.is_empty]
    patches.sort(key=_rank)
    return Ground(hole, start, frame, x0, y0, nx, ny, way[-1], way, tuple(patches), tuple(notes))


def _rank(patch: Patch) -> tuple[float, int]:
    """Where a patch stands in the pile; of equals the hole's own lies on top."""
    place = float(ORDER.index(patch.looks))
    if patch.source == "tree":
        place = ORDER.index(Lie.FAIRWAY) + 0.5
    return (place, int(patch.own) + int(patch.source == "forced"))


def _moved(shape: BaseGeometry, frame: Frame) -> BaseGeometry:
    moved: BaseGeometry = shapely.transform(shape, frame.local)
    return moved if moved.is_valid else shapely.make_valid(moved)


def _points(frame: Frame, points: tuple[Point, ...]) -> tuple[Point, ...]:
    return tuple((float(x), float(y)) for x, y in frame.local(np.array(points)))


def _extent(
    way: tuple[Point, ...], own: list[tuple[Feature, BaseGeometry]], bounds: BaseGeometry | None
) -> tuple[float, float, int, int]:
    """Corner and size, on whole cells from the tee, so that a mirrored hole has the mirrored raster."""
    xs, ys = zip(*way, strict=True)
    low, high = np.array([min(xs), min(ys)]), np.array([max(xs), max(ys)])
    reach_low, reach_high = low - REACH_M, high + REACH_M
    for feature, shape in own:
        if feature.lie in (Lie.TEE, Lie.FAIRWAY, Lie.GREEN, Lie.SAND) and not shape.is_empty:
            corners = np.array(shape.bounds)
            low = np.maximum(np.minimum(low, corners[:2]), reach_low)
            high = np.minimum(np.maximum(high, corners[2:]), reach_high)
    low, high = low - MARGIN_M, high + MARGIN_M
    if bounds is not None and not bounds.is_empty:
        corners = np.array(bounds.bounds)
        low = np.maximum(low, np.minimum(corners[:2], np.min(way, axis=0) - RIM * CELL_M))
        high = np.minimum(high, np.maximum(corners[2:], np.max(way, axis=0) + RIM * CELL_M))
    first = np.floor(low / CELL_M).astype(int) - RIM
    last = np.ceil(high / CELL_M).astype(int) + RIM
    nx, ny = (int(n) for n in last - first)
    if nx * ny > _MOST_CELLS:
        raise InputError(
            tell("A hole of {nx} x {ny} yd is too large to be one.", nx=nx, ny=ny),
            tell("Draw its way in the overlay file."),
        )
    return float(first[0] * CELL_M), float(first[1] * CELL_M), nx, ny


def _own_patches(own: list[tuple[Feature, BaseGeometry]], whole: Polygon) -> tuple[list[Patch], list[str]]:
    patches = []
    tees = [shape for feature, shape in own if feature.lie is Lie.TEE]
    chosen = min(range(len(tees)), key=lambda i: tees[i].distance(Spot(0.0, 0.0)), default=None)
    for feature, shape in own:
        if not shape.intersects(whole):
            continue
        played = feature.lie
        if feature.lie is Lie.TEE and chosen is not None and shape is not tees[chosen]:
            played = Lie.FAIRWAY
        patches.append(Patch(played, feature.lie, shape, True, feature.source))
    return patches, []


_TO_OTHERS = {Lie.GREEN: Lie.ROUGH, Lie.TEE: Lie.FAIRWAY}


def _key(feature: Feature) -> tuple[Any, ...]:
    return (feature.lie, feature.source, feature.shape.bounds)


def _near(course: Course, hole: Hole, frame: Frame, whole: Polygon) -> Iterator[tuple[int, Feature]]:
    """Features of other holes whose box touches this one's, each once, with the number of their hole."""
    corners = frame.course(np.array(whole.exterior.coords))
    low, high = corners.min(axis=0), corners.max(axis=0)
    seen = {_key(feature) for feature in hole.features}
    for other in course.holes:
        for feature in other.features if other is not hole else ():
            x_low, y_low, x_high, y_high = feature.shape.bounds or (math.nan,) * 4
            touches = x_low <= high[0] and x_high >= low[0] and y_low <= high[1] and y_high >= low[1]
            if touches and _key(feature) not in seen:
                seen.add(_key(feature))
                yield other.number, feature


def _other_patches(course: Course, hole: Hole, frame: Frame, whole: Polygon) -> tuple[list[Patch], list[str]]:
    patches, greens = [], set()
    for number, feature in _near(course, hole, frame, whole):
        shape = _moved(feature.shape, frame)
        if shape.intersects(whole):
            played = _TO_OTHERS.get(feature.lie, feature.lie)
            patches.append(Patch(played, feature.lie, shape, False, feature.source))
            if feature.lie is Lie.GREEN:
                greens.add(number)
    notes = [
        tell("The green of hole {number} is a wrong green here; it is played as rough.", number=number)
        for number in sorted(greens)
    ]
    return patches, notes


def _tree_patches(course: Course, hole: Hole, frame: Frame, whole: Polygon) -> list[Patch]:
    near = dict.fromkeys(hole.trees)
    if course.source != "card":
        near |= dict.fromkeys(tree for other in course.holes for tree in other.trees)
    if not near:
        return []
    spots = shapely.points(frame.local(np.array(list(near))))
    spots = spots[shapely.intersects(spots, whole)]
    return [
        Patch(Lie.RECOVERY, Lie.RECOVERY, disc, True, "tree")
        for disc in shapely.buffer(spots, TREE_RADIUS_M, quad_segs=4)
    ]


def _forced(patches: list[Patch], way: tuple[Point, ...], notes: list[str], tee: Tee) -> list[Patch]:
    """Give a little green about a pin that stands on none, and a little tee about such a marker."""
    forced = []
    for at, lie, radius in ((way[-1], Lie.GREEN, GREEN_RADIUS_M), (way[0], Lie.TEE, TEE_RADIUS_M)):
        spot = Spot(*at)
        if any(patch.lie is lie and patch.own and patch.shape.covers(spot) for patch in patches):
            continue
        forced.append(Patch(lie, lie, spot.buffer(radius), True, "forced"))
        if lie is Lie.GREEN:
            notes.append(
                tell("The pin stands on no green; {radius:.0f} m about it are read as green.", radius=radius)
            )
    return forced


def polygons(shape: BaseGeometry) -> Iterator[Polygon]:
    """Give the polygons of a shape, whatever it is made of."""
    if isinstance(shape, Polygon):
        yield shape
    elif isinstance(shape, MultiPolygon) or hasattr(shape, "geoms"):
        for part in shape.geoms:
            yield from polygons(part)
