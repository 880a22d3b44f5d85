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
    most_x, most_y = F(rows) - F(0.5), F(columns) - F(0.5)
    for k in range(n):
        x, y = min(max(px[k], F(0)), most_x), min(max(py[k], F(0)), most_y)
        at[k] = np.int32(x) * np.int32(columns) + np.int32(y)


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
        for _ in range(STEPS):
            put(g.rows, g.columns, px, py, n, at)
            for k in range(n):
                down = d[k] - (g.height[U8(at[k])] - h) * cot
                px[k] = x + down * c - q[k] * s
                py[k] = y + down * s + q[k] * c
    put(g.rows, g.columns, px, py, n, at)
    mean = (F(0), run[0, 0], run[1, 0], run[2, 0], run[3, 0])
    sd = (F(0), run[0, 1], run[1, 1], run[2, 1], run[3, 1])
    for k in range(n):
        i = g.group[U8(at[k])]
        d[k] = mean[i] + sd[i] * z[k]
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
def landings(parts, points, solid, wx, wy, d, q):
    """Level landings of the points of a set: solid ones from the first three parts, mishits from the last."""
    a, b, m = parts[0], parts[1], parts[3]
    last = parts[2]
    first = parts[0, 0] / (F(1) - m[0])
    second = first + parts[1, 0] / (F(1) - m[0])
    for k in range(solid):
        z1, z2, u = points[0, k], points[1, k], points[3, k]
        one, two = u < first, u < second
        d[k] = (
            (a[1] if one else b[1] if two else last[1])
            + (a[3] if one else b[3] if two else last[3]) * z1
            + wx
        )
        q[k] = (
            (a[2] if one else b[2] if two else last[2])
            + (a[4] if one else b[4] if two else last[4]) * z1
            + (a[5] if one else b[5] if two else last[5]) * z2
            + wy
        )
    for k in range(solid, points.shape[1]):
        d[k] = m[1] + m[3] * points[0, k] + wx
        q[k] = m[2] + m[4] * points[0, k] + m[5] * points[1, k] + wy


@njit(**FAST)
def together(parts, points, solid, mx, my, x, y, c, s, px, py):
    """Where the same points come down in the quick answer: the solid parts as one normal, moved."""
    for k in range(points.shape[1]):
        t = parts[4] if k < solid else parts[3]
        d = t[1] + t[3] * points[0, k] + mx
        q = t[2] + t[4] * points[0, k] + t[5] * points[1, k] + my
        px[k] = x + d * c - q * s
        py[k] = y + d * s + q * c


@njit(**FAST)
def differences(g, u, o, p, run, parts, points, solid, whole, number, sums, eu, eo):
    """What single balls add to the quick answers: mean of U and of the flag, less those of the moved normal.

    `points` (sets, 4, k): two normals, a normal of the run, a uniform number that picks the part; the first
    `solid` points are of solid shots; each question takes one of the sets. Rows 6 and 7 of `number` are how
    far the quick answer moved the pattern.
    """
    n = points.shape[2]
    d, q, px, py = np.empty(n, F), np.empty(n, F), np.empty(n, F), np.empty(n, F)
    at, there = np.empty(n, np.int32), np.empty(n, np.int32)
    for b in range(len(sums) - 1):
        for m in range(sums[b], sums[b + 1]):
            lie, shot = whole[0, m], whole[1, m]
            x, y, h, c, s = number[0, m], number[1, m], number[2, m], number[4, m], number[5, m]
            e, r, own, one = p.extra[lie, shot], run[lie, shot], parts[lie, shot], points[m % points.shape[0]]
            together(own, one, solid, number[6, m], number[7, m], x, y, c, s, px, py)
            put(g.rows, g.columns, px, py, n, there)
            wx, wy = blown(g.wind, e, c, s)
            landings(own, one, solid, wx, wy, d, q)
            balls(g, e[0], r, x, y, h, c, s, one[2], d, q, n, px, py, at)
            su, so, mu, mo = F(0), F(0), F(0), F(0)
            for k in range(solid):
                su += u[U8(at[k])] - u[U8(there[k])]
                so += o[U8(at[k])] - o[U8(there[k])]
            for k in range(solid, n):
                mu += u[U8(at[k])] - u[U8(there[k])]
                mo += o[U8(at[k])] - o[U8(there[k])]
            a, b2 = (F(1) - own[3, 0]) / F(solid), own[3, 0] / F(n - solid)
            eu[m], eo[m] = a * su + b2 * mu, a * so + b2 * mo


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
