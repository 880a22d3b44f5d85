"""Small courses made by hand for the tests of rasters and pictures; all in yards, given in metres."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
import shapely
from shapely.geometry import Point as Spot
from shapely.geometry import Polygon, box

from bagwright.course.hole import Course, Feature, Heights, Hole, Tee
from bagwright.course.lies import Lie
from bagwright.units import M_PER_YD


def yd(shape: Polygon) -> Polygon:
    """Give a shape drawn in yards in metres."""
    return shapely.transform(shape, lambda points: points * M_PER_YD)


def blob(x: float, y: float, r: float, seed: int = 0, long: float = 1.0) -> Polygon:
    """A smooth round shape about (x, y) yards."""
    rng = np.random.default_rng(seed)
    t = np.linspace(0.0, 2 * math.pi, 49)[:-1]
    wave = 1.0 + sum(rng.uniform(0, 0.12) * np.cos(k * t + rng.uniform(0, 6.3)) for k in (2, 3))
    return Polygon(np.column_stack((x + r * long * wave * np.cos(t), y + r * wave * np.sin(t))))


def hole(
    number: int = 1,
    way: Iterable[tuple[float, float]] = ((0, 0), (0, 250), (40, 400)),
    more: Iterable[tuple[Lie, Polygon]] = (),
    fairway: Polygon | None = None,
    **changed: object,
) -> Hole:
    """A hole north along its way (yards), with tee, fairway and green, and further features."""
    points = tuple((x * M_PER_YD, y * M_PER_YD) for x, y in way)
    (x0, y0), (x1, y1) = (drawn_way := tuple(way))[0], drawn_way[-1]
    strip = fairway or shapely.LineString([*way]).buffer(16).difference(
        box(x0 - 50, y0 - 50, x0 + 50, y0 + 120)
    )
    drawn = [
        (Lie.TEE, box(x0 - 4, y0 - 4, x0 + 4, y0 + 4)),
        (Lie.FAIRWAY, strip),
        (Lie.GREEN, Spot(x1, y1).buffer(13)),
        *more,
    ]
    fields: dict = {
        "par": 4,
        "stroke_index": number,
        "tees": (Tee("white", points[0], 10.0), Tee("red", (points[0][0], points[0][1] + 45.0), 9.0)),
        "pin": points[-1],
        "pin_height_m": 14.0,
        "way": points,
        "features": tuple(Feature(lie, yd(shape), f"way/{i}") for i, (lie, shape) in enumerate(drawn)),
    } | changed
    return Hole(number=number, **fields)


def course(
    *holes: Hole, bounds: Polygon | None = None, source: str = "map", heights: Heights | None = None
) -> Course:
    """A course of these holes."""
    return Course(
        "Made", holes, (40.0, -35.0), None if bounds is None else yd(bounds), (), source, "", heights
    )


MORE = (
    (Lie.WATER_RED, blob(45, 200, 22, 3, 1.5)),
    (Lie.WATER, Polygon([(-80, 330), (90, 340), (90, 352), (-80, 342)])),
    (Lie.SAND, blob(-22, 240, 7, 5)),
    (Lie.SAND, blob(24, 402, 6, 6)),
    (Lie.RECOVERY, blob(-60, 220, 25, 7, 1.2)),
    (Lie.DEEP, blob(-50, 120, 15, 8)),
)
BOUNDS = Polygon([(-90, -50), (85, -45), (115, 470), (-70, 455)])


def usual() -> Course:
    """One dogleg with everything on it, inside its bounds."""
    return course(hole(more=MORE, trees=((15.0, 150.0), (-30.0, 300.0))), bounds=BOUNDS)
