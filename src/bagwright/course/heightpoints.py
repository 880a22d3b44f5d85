"""Heights as a table of points: read, and laid on a grid by straight lines between neighbours."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagwright.course.hole import Heights
from bagwright.errors import InputError
from bagwright.shots.texts import clean
from bagwright.words import tell

Floats = NDArray[np.float64]

MOST_POINTS = 200_000
STEP_M = 5.0
"""Step of the grid that points are laid on."""
_HEADINGS = {
    "x": ("x", "x_m", "east", "east_m", "easting"), "y": ("y", "y_m", "north", "north_m", "northing"),
    "lon": ("lon", "long", "longitude", "lng", "länge"), "lat": ("lat", "latitude", "breite"),
    "z": ("z", "z_m", "h", "ele", "ele_m", "elevation", "height", "height_m", "altitude", "höhe"),
}  # fmt: skip
"""Headings of the columns: x, y in metres of the course's frame, or lon, lat in degrees; z in metres."""
_ROLE = {word: role for role, words in _HEADINGS.items() for word in words}


@dataclass(frozen=True, slots=True)
class Points:
    """Points (n, 2) and their heights (n,): x east and y north in metres, or longitude and latitude."""

    xy: Floats
    z: Floats
    degrees: bool


def points_of(text: str, file: str) -> Points:
    """Read a table of points. Raises InputError that names the row and the value."""
    lines = text.splitlines()
    first = lines[0] if lines else ""
    delimiter = max(";\t,", key=first.count)
    roles = [_ROLE.get(cell.strip().strip('"').lower(), "") for cell in first.split(delimiter)]
    pairs = {frozenset(("x", "y", "z")): False, frozenset(("lon", "lat", "z")): True}
    degrees = pairs.get(frozenset(role for role in roles if role))
    if degrees is None:
        raise InputError(
            tell("{file} is no file of heights: its first row does not name the columns.", file=file),
            tell(
                'Write "lon,lat,z" (degrees, WGS 84, metres) or "x,y,z" (metres east and north), '
                "or give a .asc grid."
            ),
        )
    if len(lines) - 1 > MOST_POINTS:
        raise InputError(
            tell(
                "{file} has {n:,} points, more than {most:,}.", file=file, n=len(lines) - 1, most=MOST_POINTS
            ),
            tell("Cut it to the golf course, or give a .asc grid."),
        )
    places = [roles.index(role) for role in (("lon", "lat", "z") if degrees else ("x", "y", "z"))]
    reader = csv.reader(io.StringIO("\n".join(lines[1:])), delimiter=delimiter)
    found = [_row(row, places, file, line) for line, row in enumerate(reader, start=2) if any(row)]
    if len(found) < 3:
        raise InputError(
            tell("{file} has {n} points of height, fewer than 3.", file=file, n=len(found)),
            tell("Add points."),
        )
    table = np.array(found, dtype=np.float64)
    return Points(table[:, :2], table[:, 2], degrees)


def _row(row: list[str], places: list[int], file: str, line: int) -> list[float]:
    try:
        values = [float(row[place].strip()) for place in places]
    except (ValueError, IndexError):
        values = [float("nan")]
    if len(values) < 3 or not (
        abs(values[0]) < 1e6 and abs(values[1]) < 1e6 and -500.0 <= values[2] <= 9000.0
    ):
        raise InputError(
            tell(
                '{file}, row {line}: "{row}" is no point of height.',
                file=file,
                line=line,
                row=clean(",".join(row), 60),
            ),
            tell(
                "Write three numbers with a point as the decimal sign; heights in metres from -500 to 9,000."
            ),
        )
    return values


def grid_of_points(points: Points, box: tuple[float, float, float, float], file: str) -> Heights:
    """Lay points (in metres) on a grid over a box; beyond their hull heights are unknown."""
    from scipy.interpolate import LinearNDInterpolator
    from scipy.spatial import QhullError

    inside = (
        (points.xy[:, 0] >= box[0] - 500.0) & (points.xy[:, 0] <= box[2] + 500.0)
        & (points.xy[:, 1] >= box[1] - 500.0) & (points.xy[:, 1] <= box[3] + 500.0)
    )  # fmt: skip
    x, y = np.arange(box[0], box[2] + STEP_M, STEP_M), np.arange(box[1], box[3] + STEP_M, STEP_M)
    try:
        if int(inside.sum()) < 3:
            raise ValueError("fewer than 3 points lie on the course")
        between = LinearNDInterpolator(points.xy[inside], points.z[inside])
    except (QhullError, ValueError) as error:
        raise InputError(
            tell("{file}: its points do not span the course.", file=file),
            tell(
                "Give points around all holes: lon, lat in degrees, or x, y in metres from the course's zero."
            ),
        ) from error
    z = between(*np.meshgrid(x, y, indexing="ij"))
    return Heights(box[0], box[1], STEP_M, z)
