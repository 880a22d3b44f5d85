"""A raster as the solver reads it: kinds of cells, putts, penalties, relief, heights; lengths in cells."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagwright.course.lies import Lie
from bagwright.course.raster import Raster
from bagwright.errors import InputError
from bagwright.strokes.patterns import PatternTable
from bagwright.strokes.states import lies_played

PLAYED, CONSTANT, RELIEF, FLAG = 0, 1, 2, 3
"""Kinds of cells, as in the kernels."""
NEXT = "Draw the hole's raster again from its map or card."


@dataclass(frozen=True, slots=True)
class Cells:
    """One hole. Flat arrays over cells unless said otherwise."""

    raster: Raster
    kind: NDArray[np.int8]
    putts: NDArray[np.float32]
    putts_square: NDArray[np.float32]
    relief: NDArray[np.int32]
    penalty: NDArray[np.float32]
    height: NDArray[np.float32]
    """(rows, columns), cells; zeros on flat ground."""
    hilly: bool
    tee: tuple[float, float]
    pin: tuple[float, float]
    wind: tuple[float, float]
    """Cosine and sine of where the wind comes from, in the raster's frame."""

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        rows, columns = self.raster.lie.shape
        return rows, columns


def cells_of(raster: Raster, table: PatternTable, out_of_bounds_drop: bool = False) -> Cells:
    """Read a raster. Where a penalty area has no relief, the ball is played again: stroke and distance."""
    _check(raster)
    lie = raster.lie.ravel()
    own = np.arange(lie.size)
    relief = np.asarray(raster.relief, np.int32).ravel()
    wet = (lie == Lie.WATER) | (lie == Lie.WATER_RED)
    out = lie == Lie.OUT
    stands = np.isin(lie[relief], (int(Lie.WATER), int(Lie.WATER_RED), int(Lie.OUT)), invert=True)
    kind = np.zeros(lie.size, np.int8)
    kind[lie == Lie.GREEN] = CONSTANT
    kind[wet | out] = FLAG
    penalty = np.zeros(lie.size, np.float32)
    takes = stands & (relief != own) & (wet | (out & out_of_bounds_drop))
    kind[takes] = RELIEF
    penalty[takes] = np.where(out[takes], 2.0, 1.0)
    x, y = raster.centres()
    away = np.hypot(x[:, None] - raster.pin_m[0], y[None, :] - raster.pin_m[1]).ravel()
    height, hilly = _heights(raster)
    frame = raster.turn_rad or 0.0
    wind = table.wind_from_rad - frame if table.wind_from_rad is not None else 0.0
    c = raster.cell_m
    return Cells(
        raster, kind, np.interp(away, table.putt_m, table.putts).astype(np.float32),
        np.interp(away, table.putt_m, table.putts_square).astype(np.float32),
        relief, penalty, height, hilly,
        ((raster.tee_m[0] - raster.x0_m) / c, (raster.tee_m[1] - raster.y0_m) / c),
        ((raster.pin_m[0] - raster.x0_m) / c, (raster.pin_m[1] - raster.y0_m) / c),
        (math.cos(wind), math.sin(wind)),
    )  # fmt: skip


def _heights(raster: Raster) -> tuple[NDArray[np.float32], bool]:
    if raster.height_m is None:
        return np.zeros(raster.lie.shape, np.float32), False
    known = np.asarray(raster.height_m, np.float32)
    if not bool(np.isfinite(known).all()):
        raise InputError(f"hole {raster.number}: a height of the raster is missing or infinite.", NEXT)
    return np.ascontiguousarray(known / np.float32(raster.cell_m)), bool(np.ptp(known) > 0)


def _check(raster: Raster) -> None:
    lie, relief = raster.lie, raster.relief
    where = f"hole {raster.number}"
    if lie.ndim != 2 or relief.shape != lie.shape:
        raise InputError(f"{where}: relief has the shape {relief.shape}, lies have {lie.shape}.", NEXT)
    if int(lie.max()) > Lie.OUT:
        raise InputError(f"{where}: a cell has the lie {int(lie.max())}; the last is {int(Lie.OUT)}.", NEXT)
    if int(relief.min()) < 0 or int(relief.max()) >= lie.size:
        raise InputError(f"{where}: a cell of relief lies outside the raster.", NEXT)
    edges = (lie[0], lie[-1], lie[:, 0], lie[:, -1])
    if not all(bool((edge == Lie.OUT).all()) for edge in edges):
        raise InputError(f"{where}: the outermost cells of the raster are not out of bounds.", NEXT)
    if raster.cell(*raster.tee_m) is None or raster.cell(*raster.pin_m) is None:
        raise InputError(f"{where}: tee or pin lie outside the raster.", NEXT)
    if not bool((lie == Lie.GREEN).any()):
        raise InputError(f"{where}: no cell is green, so the hole cannot be holed out.", NEXT)


def check_playable(cells: Cells, allowed: NDArray[np.bool_]) -> None:
    """Refuse a hole on which a lie forbids every shot: nothing could be played from there."""
    here = {int(k) for k in np.unique(lies_played(cells.raster.lie)) if k <= Lie.RECOVERY} | {int(Lie.TEE)}
    for lie in sorted(here):
        if not bool(allowed[lie].any()):
            raise InputError(
                f"hole {cells.raster.number} has spots with the lie {Lie(lie).name.lower()}, "
                "from which no shot is allowed.",
                "Allow at least one shot from every lie.",
            )
