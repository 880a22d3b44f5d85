# mypy: ignore-errors
"""The plain definition of a shot on a raster, and its mean by dense sums: slow, and what all else is held to.

Cells of the raster as units. A ball comes down where its pattern says, moved by the wind and up or down
by the ground's height (a fixed point, six steps). In a penalty area or out of bounds it stays where it
came down. Else it runs along its direction by a normal run of the landing's class and ends in the first
penalty area on the way, or where the run ends.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

FAST = {"nogil": True, "error_model": "numpy", "boundscheck": False, "cache": True}
CLASS = np.array([0, 0, 1, 3, 3, 3, 2, -1, -1, -1], np.int64)
"""Class of run by lie; -1 where nothing runs."""
OUT, WATER, WATER_RED = 9, 7, 8
LOOK = 0.25
"""Distance between looks for water in a run, cells."""


@njit(**FAST)
def height(heights, x, y):
    """Height between the centres of four cells."""
    rows, columns = heights.shape
    a = min(max(x - 0.5, 0.0), rows - 1.001)
    b = min(max(y - 0.5, 0.0), columns - 1.001)
    i, j = int(a), int(b)
    a, b = a - i, b - j
    low = heights[i, j] + b * (heights[i, j + 1] - heights[i, j])
    high = heights[i + 1, j] + b * (heights[i + 1, j + 1] - heights[i + 1, j])
    return low + a * (high - low)


@njit(**FAST)
def cell(lie, x, y):
    """Flat index of the cell of a point; -1 beyond the raster, which is out of bounds."""
    i, j = math.floor(x), math.floor(y)
    if i < 0 or j < 0 or i >= lie.shape[0] or j >= lie.shape[1]:
        return -1
    return i * lie.shape[1] + j


@njit(**FAST)
def come_down(heights, hilly, x, y, h, c, s, d, q, cot):
    """Where a ball with level landing (d, q) comes down."""
    px, py = x + d * c - q * s, y + d * s + q * c
    if hilly:
        for _ in range(6):
            dd = d - (height(heights, px, py) - h) * cot
            px, py = x + dd * c - q * s, y + dd * s + q * c
    return px, py


@njit(**FAST)
def first_water(lie, px, py, c, s, far):
    """Distance of the first penalty area along the run, or a long way; far may be negative (backwards)."""
    sign = 1.0 if far >= 0 else -1.0
    flat = lie.ravel()
    steps = int(abs(far) / LOOK)
    for b in range(1, steps + 1):
        r = sign * b * LOOK
        q = cell(lie, px + r * c, py + r * s)
        if q >= 0 and (flat[q] == WATER or flat[q] == WATER_RED):
            return abs(r)
    return 1e9


@njit(**FAST)
def after_run(lie, u, o, px, py, c, s, mean, sd, nodes, weights):
    """Mean of U and the flag over the run of a ball that came down at (px, py)."""
    least, most = mean + sd * nodes[0], mean + sd * nodes[-1]
    ahead = first_water(lie, px, py, c, s, max(most, 0.0))
    behind = first_water(lie, px, py, c, s, min(least, 0.0))
    eu, eo = 0.0, 0.0
    for b in range(len(nodes)):
        r = mean + sd * nodes[b]
        r = min(r, ahead) if r >= 0 else max(r, -behind)
        q = cell(lie, px + r * c, py + r * s)
        eu += weights[b] * (1.0 if q < 0 else u[q])
        eo += weights[b] * (1.0 if q < 0 else o[q])
    return eu, eo


@njit(**FAST)
def mean_of(lie, heights, hilly, u, o, x, y, h, c, s, parts, cot, shift, run, run_sd, side, nodes, weights):
    """E[U] and the chance of the flag: each part as side x side points over +-5 sd, run at `nodes`.

    parts (k, 6): weight, d, q, and the root of the covariance (11, 21, 22). shift (2): wind.
    """
    eu, eo = 0.0, 0.0
    step = 10.0 / side
    flat = lie.ravel()
    for m in range(len(parts)):
        if parts[m, 0] <= 0:
            continue
        total, su, so = 0.0, 0.0, 0.0
        for i in range(side):
            a = -5 + (i + 0.5) * step
            wa = math.exp(-0.5 * a * a)
            for j in range(side):
                b = -5 + (j + 0.5) * step
                w = wa * math.exp(-0.5 * b * b)
                d = parts[m, 1] + parts[m, 3] * a + shift[0]
                q = parts[m, 2] + parts[m, 4] * a + parts[m, 5] * b + shift[1]
                px, py = come_down(heights, hilly, x, y, h, c, s, d, q, cot)
                at = cell(lie, px, py)
                total += w
                if at < 0:
                    su += w
                    so += w
                    continue
                g = CLASS[flat[at]]
                if g < 0 or (run[g] == 0 and run_sd[g] == 0):
                    su += w * u[at]
                    so += w * o[at]
                else:
                    uu, oo = after_run(lie, u, o, px, py, c, s, run[g], run_sd[g], nodes, weights)
                    su += w * uu
                    so += w * oo
        eu += parts[m, 0] * su / total
        eo += parts[m, 0] * so / total
    return eu, eo
