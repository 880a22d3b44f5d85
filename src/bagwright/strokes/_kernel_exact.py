# mypy: ignore-errors
"""The plain definition of one shot on a raster, ball by ball, and means over many balls.

Cells of the raster as units. A ball comes down where its pattern says, moved by the wind and up or down by
the ground's height (that of the cell; a fixed point, three steps). In a penalty area or out of bounds it
stays where it came down. Else it runs along its direction by a normal run of the landing's class, and ends in
the first penalty area on the way or where the run ends. The outermost cells are out of bounds, and so is all
beyond them.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np
from numba import njit

from bagwright.strokes._kernel_blur import FREE

FAST = {"nogil": True, "fastmath": FREE, "error_model": "numpy", "boundscheck": False, "cache": True}
F = np.float32
U8 = np.uint64
STEPS = 3
SHORTEST = F(0.25)
"""Shortest step along a run, cells."""


class Turf(NamedTuple):
    """The ground of one hole; flat arrays over its cells."""

    rows: Any
    columns: Any
    group: Any
    """int8: 1 + the class of the run by the cell's lie, 0 where nothing runs."""
    dry: Any
    """uint8: distance to the nearest cell of a penalty area, cells (rounded down, 255 far away)."""
    wet: Any
    """Whether there is any penalty area."""
    height: Any
    hilly: Any
    wind: Any
    """(2,) cosine and sine of where the wind comes from."""


@njit(**FAST)
def blown(wind, e, c, s):
    """Shift along the aim and to the right by the wind."""
    head, side = wind[0] * c + wind[1] * s, wind[1] * c - wind[0] * s
    along = e[1] + e[2] * head + e[3] * (F(2) * head * head - F(1))
    return along, e[4] * side + e[5] * F(2) * side * head


@njit(**FAST)
def put(rows, columns, px, py, n, at):
    """Cells of points; what lies beyond the raster counts as its edge, which is out of bounds."""
    most_x, most_y, wide = F(rows) - F(0.5), F(columns) - F(0.5), F(columns)
    for k in range(n):
        x, y = min(max(px[k], F(0)), most_x), min(max(py[k], F(0)), most_y)
        # In floating point: exact below 2^24 cells, and it stays in lanes.
        at[k] = np.int32(F(np.int32(x)) * wide + F(np.int32(y)))


@njit(**FAST)
def stops(rows, columns, dry, px, py, c, s, run):
    """The first penalty area on the way of a run, or where it ends: the cell."""
    if run < 0:
        c, s, run = -c, -s, -run
    gone = F(0)
    at = 0
    while True:
        x = min(max(px + gone * c, F(0)), F(rows) - F(0.5))
        y = min(max(py + gone * s, F(0)), F(columns) - F(0.5))
        at = np.int32(x) * np.int32(columns) + np.int32(y)
        if gone >= run or dry[U8(at)] == 0:
            return at
        gone = min(gone + max(F(dry[U8(at)]) - F(1.5), SHORTEST), run)


@njit(**FAST)
def balls(g, cot, run, x, y, h, c, s, z, d, q, n, px, py, at):
    """The cells in which n balls end: level landings (d, q) with the wind in them; z are runs in their sds.

    run (4, 2): mean and sd by class. The cells come into `at`; d, px, py are used up.
    """
    for k in range(n):
        px[k] = x + d[k] * c - q[k] * s
        py[k] = y + d[k] * s + q[k] * c
    if g.hilly:
        ground = g.height
        for _ in range(STEPS):
            put(g.rows, g.columns, px, py, n, at)
            for k in range(n):
                down = d[k] - (ground[U8(at[k])] - h) * cot
                px[k] = x + down * c - q[k] * s
                py[k] = y + down * s + q[k] * c
    put(g.rows, g.columns, px, py, n, at)
    group = g.group
    m0, m1, m2, m3 = run[0, 0], run[1, 0], run[2, 0], run[3, 0]
    s0, s1, s2, s3 = run[0, 1], run[1, 1], run[2, 1], run[3, 1]
    for k in range(n):
        i = group[U8(at[k])]
        mean = m0 if i == 1 else m1 if i == 2 else m2 if i == 3 else m3
        sd = s0 if i == 1 else s1 if i == 2 else s2 if i == 3 else s3
        d[k] = mean + sd * z[k] if i > 0 else F(0)
    if g.wet:
        for k in range(n):
            if d[k] != 0 and F(g.dry[U8(at[k])]) < abs(d[k]) + F(2):
                at[k] = stops(g.rows, g.columns, g.dry, px[k], py[k], c, s, d[k])
                d[k] = F(0)
                px[k] = F(at[k] // g.columns) + F(0.5)
                py[k] = F(at[k] % g.columns) + F(0.5)
    for k in range(n):
        px[k] += d[k] * c
        py[k] += d[k] * s
    put(g.rows, g.columns, px, py, n, at)


@njit(**FAST)
def dense(g, u, o, p, run, parts, whole, number, side, runs, weights, eu, eo):
    """E[U] and the chance of the flag of whole shots: each part as side x side points over +-5 sd."""
    n = side
    d, q, px, py, z = np.empty(n, F), np.empty(n, F), np.empty(n, F), np.empty(n, F), np.empty(n, F)
    at = np.empty(n, np.int32)
    step = 10.0 / side
    w = np.empty(side)
    for i in range(side):
        w[i] = math.exp(-0.5 * (-5 + (i + 0.5) * step) ** 2)
    w /= w.sum()
    for m in range(len(eu)):
        lie, shot = whole[0, m], whole[1, m]
        x, y, h, c, s = number[0, m], number[1, m], number[2, m], number[4, m], number[5, m]
        e, r = p.extra[lie, shot], run[lie, shot]
        wx, wy = blown(g.wind, e, c, s)
        total_u, total_o = 0.0, 0.0
        for part in range(4):
            a = parts[lie, shot, part]
            if a[0] <= 0:
                continue
            for i in range(side):
                z1 = F(-5 + (i + 0.5) * step)
                for t in range(len(runs)):
                    for j in range(side):
                        d[j] = a[1] + a[3] * z1 + wx
                        q[j] = a[2] + a[4] * z1 + a[5] * F(-5 + (j + 0.5) * step) + wy
                        z[j] = F(runs[t])
                    balls(g, e[0], r, x, y, h, c, s, z, d, q, n, px, py, at)
                    su, so = 0.0, 0.0
                    for j in range(side):
                        su += w[j] * u[U8(at[j])]
                        so += w[j] * o[U8(at[j])]
                    total_u += a[0] * w[i] * weights[t] * su
                    total_o += a[0] * w[i] * weights[t] * so
        eu[m], eo[m] = total_u, total_o
