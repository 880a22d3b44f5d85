"""A hole of a course as a raster of lies, with the places of relief and the heights."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from bagwright.course.ground import RIM, Ground, ground_of
from bagwright.course.heights import heights_of
from bagwright.course.hole import Course
from bagwright.course.lies import Lie
from bagwright.course.raster import CELL_M, Raster
from bagwright.course.relief import relief_of
from bagwright.course.way import way_length
from bagwright.units import M_PER_YD

PAR_3_TO_M = 250.0 * M_PER_YD
PAR_4_TO_M = 470.0 * M_PER_YD
"""Longest par 3 and par 4 where nobody says the par: what a scratch man reaches in one and in two (World
Handicap System, Course Rating System Manual 2020, section 3)."""


def raster_of(course: Course, number: int, tee: str | None = None) -> Raster:
    """Make the raster of a hole from one of its tees (the first where none is named).

    Raises InputError for a hole or tee that is not there, and for a hole of impossible length.
    """
    ground = ground_of(course, number, tee)
    lie, fairway = paint(ground)
    relief = relief_of(lie, fairway, _in_cells(ground, ground.pin_m), _cell(ground, (0.0, 0.0)))
    length = way_length(ground.way_m)
    height, height_notes = heights_of(course.heights, ground)
    return Raster(
        number=number,
        par=ground.hole.par or par_of(length),
        tee=ground.tee.name,
        length_m=length,
        cell_m=CELL_M,
        x0_m=ground.x0_m,
        y0_m=ground.y0_m,
        lie=lie,
        relief=relief,
        height_m=height,
        tee_m=(0.0, 0.0),
        pin_m=ground.pin_m,
        turn_rad=ground.frame.turn_rad if course.source != "card" else None,
        stroke_index=ground.hole.stroke_index,
        way_m=ground.way_m,
        notes=ground.notes + height_notes,
    )


def par_of(length_m: float) -> int:
    """Give the par that a length suggests where nobody says one."""
    return 3 if length_m <= PAR_3_TO_M else 4 if length_m <= PAR_4_TO_M else 5


def paint(ground: Ground) -> tuple[NDArray[np.uint8], NDArray[np.bool_]]:
    """Paint the patches on a grid from the lowest to the highest: what lies at each cell's centre counts.

    Also says which cells are fairway of this hole itself.
    """
    lie = np.full((ground.nx, ground.ny), int(Lie.ROUGH), dtype=np.uint8)
    own = np.zeros(lie.shape, dtype=np.bool_)
    for patch in ground.patches:
        window, inside = covered(patch.shape, ground)
        lie[window][inside] = int(patch.lie)
        own[window][inside] = patch.own and patch.looks is Lie.FAIRWAY
    for edge in (np.s_[:RIM], np.s_[-RIM:], np.s_[:, :RIM], np.s_[:, -RIM:]):
        lie[edge] = int(Lie.OUT)
    return lie, own & (lie == int(Lie.FAIRWAY))


def covered(shape: Any, ground: Ground) -> tuple[tuple[slice, slice], NDArray[np.bool_]]:
    """Say which cells of the ground have their centre in the shape: a window of the grid and a mask of it."""
    x_low, y_low, x_high, y_high = shape.bounds
    i0, i1 = _span(x_low, x_high, ground.x0_m, ground.nx)
    j0, j1 = _span(y_low, y_high, ground.y0_m, ground.ny)
    x = ground.x0_m + (np.arange(i0, i1) + 0.5) * CELL_M
    y = ground.y0_m + (np.arange(j0, j1) + 0.5) * CELL_M
    shapely.prepare(shape)
    inside: NDArray[np.bool_] = shapely.contains_xy(shape, x[:, None], y[None, :])
    return (slice(i0, i1), slice(j0, j1)), inside


def _span(low: float, high: float, start: float, n: int) -> tuple[int, int]:
    """First cell and the one after the last that a length touches."""
    first = int(np.clip(np.floor((low - start) / CELL_M), 0, n))
    last = int(np.clip(np.ceil((high - start) / CELL_M), first, n))
    return first, last


def _in_cells(ground: Ground, at: tuple[float, float]) -> tuple[float, float]:
    """Give a point in units of cells, so that (0.5, 0.5) is the centre of the first one."""
    return ((at[0] - ground.x0_m) / CELL_M, (at[1] - ground.y0_m) / CELL_M)


def _cell(ground: Ground, at: tuple[float, float]) -> tuple[int, int]:
    x, y = _in_cells(ground, at)
    return int(x), int(y)
