"""Grids of heights as files have them: an ESRI ASCII grid, or an SRTM tile."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagwright.course import limits
from bagwright.errors import InputError
from bagwright.words import tell

Floats = NDArray[np.float64]

LOWEST_M, HIGHEST_M = -500.0, 9_000.0
"""Heights outside these are no heights of ground."""
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


def ascii_grid(text: str, file: str) -> Grid:
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


def tile_grid(raw: bytes, file: str) -> Grid:
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
