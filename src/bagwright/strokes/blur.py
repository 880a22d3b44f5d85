"""The widths at which a hole's fields are blurred, and the kernels that lead from one to the next.

Every blob of a shot pattern is read as a few points of a field blurred almost as wide as the blob is narrow,
so the blur takes up the jumps at the edges of hazards and a few points are exact. Kernels are the discrete
analogue of the normal (T. Lindeberg, "Scale-space for discrete signals", IEEE Transactions on Pattern
Analysis and Machine Intelligence 12, 1990, 234-254; from memory): their variances add exactly. Two
corrections keep the book: a field constant within cells adds 1/12 of a cell squared (Sheppard's correction,
from memory), and reading between nodes c apart adds c^2/6.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

WIDTHS = 34
RATIO = 1.12
NARROWEST = 0.8
WIDTH = NARROWEST * RATIO ** np.arange(WIDTHS)
"""Standard deviations of the blurs, cells of the raster."""
PAD = {1: 8, 2: 20, 4: 64}
"""Cells of ground out of bounds around the raster, by the size of a level's cells."""
ROOM = 32
LONGEST = 31

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Ints = NDArray[np.int64]


def level_cell(width: float) -> int:
    """Give the cell size, in cells of the raster, of a level this wide."""
    return 1 if width < 4 else 2 if width < 8 else 4


@dataclass(frozen=True)
class Plan:
    """Levels of one size of raster. `grid` as in the kernels; `read` (L, 5) as the kernels locate by it.

    `levels` are those that are worked out; the others have no room.
    """

    rows: int
    columns: int
    levels: Ints
    grid: Ints
    kernel: Singles
    reach: Ints
    fresh: Ints
    read: Singles
    size: int
    pad: int


@lru_cache(maxsize=64)
def plan(rows: int, columns: int, levels: tuple[int, ...] = tuple(range(WIDTHS))) -> Plan:
    """Lay out the levels of a raster of this size: the given ones of `WIDTH`, narrow to wide."""
    grid, offset = [], 0
    for k, width in enumerate(WIDTH):
        c = level_cell(float(width))
        pad = PAD[c]
        mx, my = -(-(rows + 2 * pad) // c), -(-(columns + 2 * pad) // c)
        grid.append((c, mx, my, offset, pad))
        offset += mx * my if k in levels else 0
    read = [(1 / c, pad / c - 0.5, mx - 1.001, my - 1.001, pad / c - 0.5) for c, mx, my, _, pad in grid]
    places, reading = np.array(grid, np.int64), np.array(read, np.float32)
    return Plan(
        rows, columns, np.array(levels, np.int64), places, *_steps(levels), reading, offset, PAD[1]
    )  # fmt: skip


@lru_cache(maxsize=16)
def _steps(levels: tuple[int, ...]) -> tuple[Singles, Ints, Ints]:
    """Kernels from level to level of these; a coarser cell starts afresh from averages of the raster."""
    kernel = np.zeros((WIDTHS, ROOM), np.float32)
    reach, fresh = np.zeros(WIDTHS, np.int64), np.zeros(WIDTHS, np.int64)
    variance, before = -1 / 12, 1
    for k in levels:
        c = level_cell(float(WIDTH[k]))
        if c != before:
            fresh[k], before = 1, c
            variance = -1 / 12 + (c * c - 1) / 12
        wanted = float(WIDTH[k]) ** 2 - c * c / 6
        w = discrete_normal((wanted - variance) / c**2)
        kernel[k, : len(w)], reach[k] = w, len(w) - 1
        variance = wanted
    return kernel, reach, fresh


@lru_cache(maxsize=256)
def discrete_normal(variance: float) -> Floats:
    """Half of the discrete normal kernel (weights at 0, 1, ...), cut at 3.2 sd with its variance restored."""
    from scipy.special import ive

    r = min(LONGEST, max(1, math.ceil(3.2 * math.sqrt(variance) + 0.3)))
    n = np.arange(r + 1)
    low, high = variance * 0.9, variance * 1.3
    w: Floats = np.zeros(r + 1)
    for _ in range(24):
        middle = (low + high) / 2
        w = np.asarray(ive(n, middle), dtype=np.float64)
        w = w / (w[0] + 2 * w[1:].sum())
        low, high = (middle, high) if 2 * float((w * n * n).sum()) < variance else (low, middle)
    return w
