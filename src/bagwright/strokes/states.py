"""Where decisions are taken: a small grid to start with, and every cell of the raster to end with.

On the small grid each lie has its own smooth field of values (a node every `COARSE` cells, every `FINE` near
the pin); a cell reads its own lie's field between four nodes. On the raster each cell that is played from is
a state of its own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagwright.course.lies import Lie

LYING = (Lie.FAIRWAY, Lie.ROUGH, Lie.DEEP, Lie.SAND, Lie.RECOVERY)
"""Lies of a ball in play; one that comes to rest on a teeing ground lies as on a fairway."""
COARSE, FINE, NEAR = 8.0, 2.5, 50.0
"""Steps of the two grids and half the side of the fine one, cells: judgement."""

Singles = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class States:
    """Spots with their lies, and how each cell of the raster reads them: four slots and weights."""

    x: Singles
    y: Singles
    lie: NDArray[np.int64]
    slot: NDArray[np.int32]
    weight: Singles
    tee: int
    lead: NDArray[np.bool_]
    """Every second spot each way: those are looked at first, the others follow them."""

    @property
    def n(self) -> int:
        """How many."""
        return len(self.x)


def lies_played(lie: NDArray[np.uint8]) -> NDArray[np.int64]:
    """Give the lie that a ball at rest has in each cell: a teeing ground counts as fairway."""
    return np.where(lie == Lie.TEE, int(Lie.FAIRWAY), lie.astype(np.int64))


def on_raster(lie: NDArray[np.uint8], tee: tuple[float, float]) -> States:
    """One state a cell, at its centre, and the tee at the end."""
    rows, columns = lie.shape
    here = lies_played(lie)
    i, j = np.nonzero(here <= Lie.RECOVERY)
    index = np.zeros((rows, columns), np.int32)
    index[i, j] = np.arange(len(i))
    slot = np.repeat(index.reshape(-1, 1), 4, 1)
    weight = np.zeros((rows * columns, 4), np.float32)
    weight[:, 0] = 1
    return States(
        np.append(i + 0.5, tee[0]).astype(np.float32), np.append(j + 0.5, tee[1]).astype(np.float32),
        np.append(here[i, j], int(Lie.TEE)).astype(np.int64), slot, weight, len(i),
        np.zeros(len(i) + 1, np.bool_),
    )  # fmt: skip


def on_grid(
    lie: NDArray[np.uint8],
    tee: tuple[float, float],
    pin: tuple[float, float],
    steps: tuple[float, float, float] = (COARSE, FINE, NEAR),
) -> States:
    """Two grids a lie: a coarse one everywhere and a fine one around the pin; `steps` as the constants."""
    step, step_near, half = steps
    rows, columns = lie.shape
    x, y = np.meshgrid(np.arange(rows) + 0.5, np.arange(columns) + 0.5, indexing="ij")
    low = (max(pin[0] - half, 0.0), max(pin[1] - half, 0.0))
    high = (min(pin[0] + half, float(rows)), min(pin[1] + half, float(columns)))
    coarse = _grid((0.0, 0.0), (float(rows), float(columns)), step)
    fine = _grid(low, high, step_near)
    near = _inside(fine, x, y)
    per = coarse[3] * coarse[4]
    both = [_corner(grid, x, y, base) for grid, base in ((coarse, 0), (fine, per))]
    corner, a, b, stride = (np.where(near, f, c) for c, f in zip(*both, strict=True))
    slots = per + fine[3] * fine[4]
    here = lies_played(lie)
    slot = np.zeros((rows * columns, 4), np.int32)
    weight = np.zeros((rows * columns, 4), np.float32)
    xs: list[NDArray[np.float64]] = []
    ys: list[NDArray[np.float64]] = []
    lies: list[NDArray[np.int64]] = []
    leads: list[NDArray[np.bool_]] = []
    count = 0
    for kind in LYING:
        m = here == kind
        if not m.any():
            continue
        k, s, p, q = corner[m], stride[m], a[m], b[m]
        four = np.stack([k, k + 1, k + s, k + s + 1], -1)
        used = np.unique(four)
        number = np.zeros(slots, np.int32)
        number[used] = count + np.arange(len(used))
        flat = m.ravel()
        slot[flat] = number[four]
        weight[flat] = np.stack([(1 - p) * (1 - q), (1 - p) * q, p * (1 - q), p * q], -1)
        px, py, even = _places(coarse, fine, per, used)
        leads.append(even)
        xs.append(px)
        ys.append(py)
        lies.append(np.full(len(used), int(kind)))
        count += len(used)
    return States(
        np.append(np.concatenate(xs), tee[0]).astype(np.float32),
        np.append(np.concatenate(ys), tee[1]).astype(np.float32),
        np.append(np.concatenate(lies), int(Lie.TEE)).astype(np.int64), slot, weight, count,
        np.append(np.concatenate(leads), True),
    )  # fmt: skip


Grid = tuple[float, float, float, int, int]
"""Start x, start y, step, rows, columns."""


def _grid(low: tuple[float, float], high: tuple[float, float], step: float) -> Grid:
    n, m = (math.ceil((b - a) / step) + 1 for a, b in zip(low, high, strict=True))
    return low[0], low[1], step, n, m


def _inside(grid: Grid, x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.bool_]:
    x0, y0, step, n, m = grid
    return np.asarray((x >= x0) & (x < x0 + step * (n - 1)) & (y >= y0) & (y < y0 + step * (m - 1)))


def _corner(
    grid: Grid, x: NDArray[np.float64], y: NDArray[np.float64], base: int
) -> tuple[NDArray[np.int64], NDArray[np.float64], NDArray[np.float64], NDArray[np.int64]]:
    x0, y0, step, n, m = grid
    a, b = np.clip((x - x0) / step, 0, n - 1.0001), np.clip((y - y0) / step, 0, m - 1.0001)
    i, j = a.astype(np.int64), b.astype(np.int64)
    return base + i * m + j, a - i, b - j, np.full(x.shape, m)


def _places(
    coarse: Grid, fine: Grid, per: int, used: NDArray[np.int64]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.bool_]]:
    inner = used >= per
    k = np.where(inner, used - per, used)
    m = np.where(inner, fine[4], coarse[4])
    step = np.where(inner, fine[2], coarse[2])
    x0, y0 = np.where(inner, fine[0], coarse[0]), np.where(inner, fine[1], coarse[1])
    even = (k // m % 2 == 0) & (k % m % 2 == 0)
    return x0 + step * (k // m), y0 + step * (k % m), even
