"""Files of heights (ESRI ASCII grid, table of points, SRTM tile) read onto the course's frame.

Only differences of height matter, so every zero will do; heights are metres. A grid without a projection of
its own is read by its figures: a cell below 0.1 with corners inside +-180 and +-90 is in degrees (WGS 84),
anything else in metres of the course's frame (x east, y north of `Course.origin`; a hole's own frame on a
card, which is refused as no two holes share one).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagwright.course import limits
from bagwright.course.heightpoints import Points, grid_of_points, points_of
from bagwright.course.hole import Course, Heights
from bagwright.course.plane import Plane
from bagwright.errors import InputError
from bagwright.words import tell

Floats = NDArray[np.float64]

LOWEST_M, HIGHEST_M = -500.0, 9_000.0
"""Heights outside these are no heights of ground."""
AROUND_M = 150.0
"""How far around the holes heights are kept."""
_COARSEST_M = 200.0
_KEYS = {"ncols", "nrows", "xllcorner", "xllcenter", "yllcorner", "yllcenter", "cellsize", "nodata_value"}
_TILE = re.compile(r"([NS])([0-9]{2})([EW])([0-9]{3})", re.IGNORECASE)
_VOID = -32768


@dataclass(frozen=True, slots=True)
class Grid:
    """Heights as a file has them: `z[row, column]`, the first row the most southern one."""

    x0: float
    y0: float
    """Centre of the south-western cell: longitude and latitude, or metres east and north."""
    dx: float
    dy: float
    z: Floats
    degrees: bool


def read_heights(raw: bytes, file: str, course: Course) -> Heights:
    """Read a file of heights for a course. Raises InputError for what is none or lies elsewhere."""
    if course.source == "card":
        raise InputError(
            tell("{file} gives heights, but the holes of a scorecard have no place.", file=file),
            tell('Say the climb among a hole\'s words ("uphill 12 m"), or draw a map.'),
        )
    box = box_of(course)
    if len(raw) in (1201 * 1201 * 2, 3601 * 3601 * 2):
        return _onto(_tile(raw, file), course, box, file)
    if raw[:4] in (b"II*\x00", b"MM\x00*", b"II+\x00", b"MM\x00+"):
        raise InputError(
            tell("{file} is a TIFF; its heights are not read.", file=file),
            tell("Save it as an ESRI ASCII grid (.asc) in degrees, WGS 84."),
        )
    text = _text(raw, file)
    if text.lstrip()[:5].lower() == "ncols":
        return _onto(_ascii(text, file), course, box, file)
    points = points_of(text, file)
    return grid_of_points(_in_metres(points, course), box, file)


def box_of(course: Course) -> tuple[float, float, float, float]:
    """Give the box of a course's holes with some ground around: least x, y, greatest x, y, metres."""
    spots = np.array([p for hole in course.holes for p in (*hole.way, *(t.at for t in hole.tees), hole.pin)])
    low, high = spots.min(axis=0) - AROUND_M, spots.max(axis=0) + AROUND_M
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


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


def _ascii(text: str, file: str) -> Grid:
    """Read an ESRI ASCII grid: six lines of keys, then rows from north to south."""
    head: dict[str, float] = {}
    lines = text.splitlines()
    while lines and lines[0].strip() and lines[0].split()[0].lower() in _KEYS:
        words = lines.pop(0).split()
        head[words[0].lower()] = _number(words[1] if len(words) == 2 else "", words[0], file)
    columns, rows = (_count(head, key, file) for key in ("ncols", "nrows"))
    cell = head.get("cellsize", 0.0)
    if not cell > 0.0:
        raise InputError(tell("{file} gives no cellsize above 0.", file=file), tell("Export the grid again."))
    if columns * rows > limits.HEIGHT_CELLS:
        raise InputError(
            tell(
                "{file} has {cells:,} cells, more than {most:,}.",
                file=file,
                cells=columns * rows,
                most=limits.HEIGHT_CELLS,
            ),
            tell("Cut it to the golf course."),
        )
    z = _cells("\n".join(lines), columns, rows, file)
    void = head.get("nodata_value", -9999.0)
    z = np.where((z == void) | (z < LOWEST_M) | (z > HIGHEST_M), np.nan, z)
    x0, y0 = (_corner(head, axis, cell, file) for axis in "xy")
    degrees = cell < 0.1 and abs(x0) <= 180.0 and abs(y0) <= 90.0
    return Grid(x0, y0, cell, cell, z[::-1], degrees)


def _cells(text: str, columns: int, rows: int, file: str) -> Floats:
    try:
        z = np.array(text.split(), dtype=np.float64)
    except ValueError as error:
        raise InputError(
            tell("{file} holds a cell that is no number ({reason}).", file=file, reason=str(error)[-60:]),
            tell("Export the grid again with a point as the decimal sign."),
        ) from error
    if z.size != columns * rows:
        raise InputError(
            tell(
                "{file} has {n:,} cells, not {columns} x {rows}.",
                file=file,
                n=z.size,
                columns=columns,
                rows=rows,
            ),
            tell("Export the grid again."),
        )
    return z.reshape(rows, columns)


def _corner(head: dict[str, float], axis: str, cell: float, file: str) -> float:
    """Give the centre of the south-western cell on one axis."""
    if f"{axis}llcenter" in head:
        return head[f"{axis}llcenter"]
    if f"{axis}llcorner" in head:
        return head[f"{axis}llcorner"] + cell / 2
    raise InputError(
        tell("{file} gives no {axis}llcorner.", file=file, axis=axis), tell("Export the grid again.")
    )


def _count(head: dict[str, float], key: str, file: str) -> int:
    value = head.get(key, 0.0)
    if not (value >= 2 and value == int(value) and value <= 1e5):
        raise InputError(
            tell("{file}: {key} is {value:g}, not a whole number from 2.", file=file, key=key, value=value),
            tell("Export the grid again."),
        )
    return int(value)


def _number(text: str, key: str, file: str) -> float:
    try:
        value = float(text) if len(text) < 40 and "_" not in text else math.nan
    except ValueError:
        value = math.nan
    if not abs(value) < 1e9:
        raise InputError(
            tell('{file}: {key} is "{value}", not a number.', file=file, key=key[:20], value=text[:30]),
            tell("Export the grid again."),
        )
    return value


def _tile(raw: bytes, file: str) -> Grid:
    """Read an SRTM tile: big-endian int16 from north to south, a degree a side, points on its edges."""
    match = _TILE.search(file)
    if match is None:
        raise InputError(
            tell(
                '{file} looks like an SRTM tile, but its name does not say where it lies ("N40W035.hgt").',
                file=file,
            ),
            tell("Give it the name of its south-western corner."),
        )
    n = math.isqrt(len(raw) // 2)
    z = np.frombuffer(raw, dtype=">i2").reshape(n, n)[::-1].astype(np.float64)
    z[(z == _VOID) | (z < LOWEST_M) | (z > HIGHEST_M)] = np.nan
    lat = float(match[2]) * (1.0 if match[1].upper() == "N" else -1.0)
    lon = float(match[4]) * (1.0 if match[3].upper() == "E" else -1.0)
    return Grid(lon, lat, 1.0 / (n - 1), 1.0 / (n - 1), z, True)


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
