# mypy: ignore-errors
# ruff: noqa: C901
"""Rows of the small problem: single balls of the exact definition, and the spots their cells lie between."""

from __future__ import annotations

import numpy as np
from numba import njit

from bagwright.strokes._kernel_blur import FREE
from bagwright.strokes._kernel_exact import balls, blown

FAST = {"nogil": True, "fastmath": FREE, "error_model": "numpy", "boundscheck": False, "cache": True}
F = np.float32
U8 = np.uint64


@njit(**FAST)
def land(g, p, run, parts, lie, shot, part, x, y, h, c, s, points, n, d, q, z, px, py, at):
    """The cells `at` in which n balls of one part of a pattern end; points (3, n) are normal scores."""
    e = p.extra[lie, shot]
    wx, wy = blown(g.wind, e, c, s)
    a = parts[lie, shot, part]
    for k in range(n):
        d[k] = a[1] + a[3] * points[0, k] + wx
        q[k] = a[2] + a[4] * points[0, k] + a[5] * points[1, k] + wy
        z[k] = points[2, k]
    balls(g, e[0], run[lie, shot], x, y, h, c, s, z, d, q, n, px, py, at)


@njit(**FAST)
def measure(g, u, o, p, run, parts, whole, number, points, counts, eu, eo):
    """E[U] and the chance of the flag of whole shots by counts[part] balls of each part."""
    most = points.shape[1]
    d, q, z, px, py = (
        np.empty(most, F),
        np.empty(most, F),
        np.empty(most, F),
        np.empty(most, F),
        np.empty(most, F),
    )
    at = np.empty(most, np.int32)
    for m in range(len(eu)):
        lie, shot = whole[0, m], whole[1, m]
        x, y, h, c, s = number[0, m], number[1, m], number[2, m], number[4, m], number[5, m]
        total_u, total_o = 0.0, 0.0
        for part in range(parts.shape[2] - 1):
            w = parts[lie, shot, part, 0]
            if w <= F(0):
                continue
            n = counts[part]
            land(g, p, run, parts, lie, shot, part, x, y, h, c, s, points, n, d, q, z, px, py, at)
            su, so = F(0), F(0)
            for k in range(n):
                su += u[U8(at[k])]
                so += o[U8(at[k])]
            total_u += w * su / n
            total_o += w * so / n
        eu[m], eo[m] = total_u, total_o


@njit(**FAST)
def rows(
    g, o, p, run, parts, whole, number, points, counts, slot, weight, tolerance, size, start, to, chance
):
    """Chances of the next spots of whole shots: entries start[m] .. start[m + 1] of `to` and `chance`.

    `slot`, `weight` (cells, 4) are the spots a ball in a cell counts for; weights of 0 are no spot (holed,
    out or left out). Entries below `tolerance` of the row's largest are given to the others in proportion.
    What the flag takes is divided out. `size` is the number of spots; the arrays must hold len(number) * size.
    """
    most = points.shape[1]
    d, q, z, px, py = (
        np.empty(most, F),
        np.empty(most, F),
        np.empty(most, F),
        np.empty(most, F),
        np.empty(most, F),
    )
    at = np.empty(most, np.int32)
    sums, seen = np.zeros(size, F), np.empty(size, np.int32)
    end = 0
    start[0] = 0
    for m in range(whole.shape[1]):
        lie, shot = whole[0, m], whole[1, m]
        x, y, h, c, s = number[0, m], number[1, m], number[2, m], number[4, m], number[5, m]
        count, out, total = 0, 0.0, 0.0
        for part in range(parts.shape[2] - 1):
            w = parts[lie, shot, part, 0]
            if w <= F(0):
                continue
            n = counts[part]
            land(g, p, run, parts, lie, shot, part, x, y, h, c, s, points, n, d, q, z, px, py, at)
            one = w / F(n)
            for k in range(n):
                cell = U8(at[k])
                out += one * o[cell]
                for t in range(4):
                    share = weight[cell, t]
                    if share > F(0):
                        j = slot[cell, t]
                        if sums[j] == F(0):
                            seen[count] = j
                            count += 1
                        sums[j] += one * share
        largest = F(0)
        for k in range(count):
            largest = max(largest, sums[seen[k]])
            total += sums[seen[k]]
        kept = 0.0
        for k in range(count):
            if sums[seen[k]] >= tolerance * largest:
                kept += sums[seen[k]]
        grow = F(total / max(kept, 1e-30) / (1.0 - min(out, 0.95)))
        for k in range(count):
            j = seen[k]
            if sums[j] >= tolerance * largest:
                to[end], chance[end] = j, sums[j] * grow
                end += 1
            sums[j] = F(0)
        start[m + 1] = end
