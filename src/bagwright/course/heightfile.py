"""Files of heights (ESRI ASCII grid, table of points, SRTM tile) read onto the course's frame.

Only differences of height matter, so every zero will do; heights are metres. A grid without a projection of
its own is read by its figures: a cell below 0.1 with corners inside +-180 and +-90 is in degrees (WGS 84),
anything else in metres of the course's frame (x east, y north of `Course.origin`; a hole's own frame on a
card, which is refused as no two holes share one).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagwright.course import limits
from bagwright.course.heightgrid import Grid, ascii_grid, tile_grid
from bagwright.course.heightpoints import Points, grid_of_points, points_of
from bagwright.course.hole import Course, Heights, Hole
from bagwright.course.plane import Plane
from bagwright.errors import InputError
from bagwright.words import tell

Floats = NDArray[np.float64]

AROUND_M = 150.0
"""How far around the holes heights are kept (judgement)."""
_COARSEST_M = 200.0


def read_heights(raw: bytes, file: str, course: Course) -> Heights:
    """Read a file of heights for a course. Raises InputError for what is none or lies elsewhere."""
    if course.source == "card":
        raise InputError(
            tell("{file} gives heights, but the holes of a scorecard have no place.", file=file),
            tell('Say the climb among a hole\'s words ("uphill 12 m"), or draw a map.'),
        )
    box = box_of(course)
    if len(raw) in (1201 * 1201 * 2, 3601 * 3601 * 2):
        return _onto(tile_grid(raw, file), course, box, file)
    if raw[:4] in (b"II*\x00", b"MM\x00*", b"II+\x00", b"MM\x00+"):
        raise InputError(
            tell("{file} is a TIFF; its heights are not read.", file=file),
            tell("Save it as an ESRI ASCII grid (.asc) in degrees, WGS 84."),
        )
    text = _text(raw, file)
    if text.lstrip()[:5].lower() == "ncols":
        return _onto(ascii_grid(text, file), course, box, file)
    points = points_of(text, file)
    return grid_of_points(_in_metres(points, course), box, file)


def box_of(course: Course) -> tuple[float, float, float, float]:
    """Give the box of a course's holes with some ground around: least x, y, greatest x, y, metres."""
    spots = np.array([p for hole in course.holes for p in (*hole.way, *(t.at for t in hole.tees), hole.pin)])
    low, high = spots.min(axis=0) - AROUND_M, spots.max(axis=0) + AROUND_M
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def lifted(hole: Hole, heights: Heights) -> Hole:
    """Give a hole whose tees and pin have the grid's heights, where it knows them: one source for all."""
    from scipy.ndimage import map_coordinates

    z = np.asarray(heights.z, dtype=np.float64)
    spots = np.array([tee.at for tee in hole.tees] + [hole.pin])
    at = (spots.T - [[heights.x0_m], [heights.y0_m]]) / heights.step_m
    found = map_coordinates(z, at, order=1, mode="constant", cval=np.nan)
    if not np.isfinite(found).all():
        return hole
    tees = tuple(replace(tee, height_m=float(h)) for tee, h in zip(hole.tees, found, strict=False))
    return replace(hole, tees=tees, pin_height_m=float(found[-1]))


def _text(raw: bytes, file: str) -> str:
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(
            tell("{file} is no text of heights (byte {byte}).", file=file, byte=error.start + 1),
            tell("Give an ESRI ASCII grid (.asc), a CSV with columns lon, lat, z, or an SRTM tile (.hgt)."),
        ) from error


def _in_metres(points: Points, course: Course) -> Points:
    if not points.degrees:
        return points
    assert course.origin is not None  # noqa: S101 - a map has one; cards were refused
    return Points(Plane(*course.origin).xy(points.xy[:, 1], points.xy[:, 0]), points.z, False)


def _onto(grid: Grid, course: Course, box: tuple[float, float, float, float], file: str) -> Heights:
    """Read a grid at the points of one in the course's frame, of about the same step."""
    from scipy.ndimage import map_coordinates

    step = _step(grid, course, file)
    x = np.arange(box[0], box[2] + step, step)
    y = np.arange(box[1], box[3] + step, step)
    if len(x) * len(y) > limits.HEIGHT_CELLS:
        raise InputError(
            tell(
                "{file}: the course's heights would have {cells:,} cells.", file=file, cells=len(x) * len(y)
            ),
            tell("Give a grid of a metre a cell or coarser."),
        )
    east, north = (np.ravel(v) for v in np.meshgrid(x, y, indexing="ij"))
    at: Any = east, north
    if grid.degrees and course.origin is not None:
        found = Plane(*course.origin).latlon(np.column_stack((east, north)))
        turned = grid.x0 + (found[:, 1] - grid.x0 + 180.0) % 360.0 - 180.0
        at = turned, found[:, 0]
    steps = np.array([(at[1] - grid.y0) / grid.dy, (at[0] - grid.x0) / grid.dx])
    z = map_coordinates(grid.z, steps, order=1, mode="constant", cval=np.nan).reshape(len(x), len(y))
    return checked(Heights(box[0], box[1], step, z), file)


def _step(grid: Grid, course: Course, file: str) -> float:
    step = grid.dy * (Plane(*course.origin).metres_per_deg[1] if grid.degrees and course.origin else 1.0)
    if not step <= _COARSEST_M:
        raise InputError(
            tell("{file} has a height every {step:.0f} m only.", file=file, step=step),
            tell("Give a grid of {most:.0f} m a cell or finer.", most=_COARSEST_M),
        )
    return max(1.0, step)


def checked(heights: Heights, file: str) -> Heights:
    """Give the heights, unless none of them is known on the course."""
    if not np.isfinite(np.asarray(heights.z)).any():
        raise InputError(
            tell("{file} has no height where the course lies.", file=file),
            tell(
                "Give the grid of this place: in degrees (WGS 84), or in metres east and north "
                "of the course's zero."
            ),
        )
    return heights
