# mypy: ignore-errors
"""Fields of a hole blurred to many widths: arithmetic on flat arrays in single precision.

A pyramid keeps its levels one behind the other in one flat array; level k has `grid[k]` = (cell size c in
cells of the raster, rows mx, columns my, offset, pad in cells). Node (i, j) of a level lies at
(c (i + 1/2) - pad, c (j + 1/2) - pad) in cells of the raster.
"""

from __future__ import annotations

import numpy as np
from numba import njit

F = np.float32
U4, U8 = np.uint32, np.uint64
EDGE = 32
"""Room beside a line for what the widest kernel reaches over."""
FREE = {"contract", "reassoc", "arcp", "afn", "nsz"}
FAST = {"nogil": True, "fastmath": FREE, "error_model": "numpy", "boundscheck": False, "cache": True}

PLAYED, CONSTANT, RELIEF, FLAG = 0, 1, 2, 3
"""Kinds of cells: played from; a known value (the green); a penalty and relief; stroke and distance."""


@njit(**FAST)
def fill(base, rest, values, slot, weight, kind, constant, relief, penalty, columns, pad, rows_from, rows_to):
    """Write U of the raster's rows into the padded field `base`, whose rows have columns + 2 pad cells.

    Into `rest` too, cell by cell: there -1 stands for stroke and distance.
    """
    wide = U8(columns + 2 * pad)
    for a in range(rows_from, rows_to):
        for b in range(columns):
            q = U8(a * columns + b)
            at, o = q, U8(a + pad) * wide + U8(b + pad)
            if kind[q] == FLAG:
                base[o], rest[at] = F(1), F(-1)
                continue
            added = F(0)
            if kind[q] == RELIEF:
                added = penalty[q]
                q = U8(relief[q])
            if kind[q] == CONSTANT:
                u = constant[q]
            else:
                u = F(0)
                for p in range(4):
                    u += weight[q, p] * values[U8(slot[q, p])]
            base[o], rest[at] = added + u, added + u


@njit(**FAST)
def pairs_of(source, middle, step, reach, lowest, highest, w, out, to, n):
    """Write w[0] source[middle] + sum of w[k] (source at middle - k step + source at middle + k step).

    n numbers into the flat `out` from `to`. `middle` and `step` count numbers of the flat source; where the
    first of a line lies is held between `lowest` and `highest`, so that edges repeat. Three k at a time: the
    sums stay in registers. No views of arrays: they would cost more than these sums.
    """
    t, p0, u = U8(to), U8(middle), w[0]
    for j in range(n):
        m = U8(j)
        out[t + m] = u * source[p0 + m]
    k = 1
    while k + 2 <= reach:
        p0, q0 = U8(max(middle - k * step, lowest)), U8(min(middle + k * step, highest))
        p1, q1 = U8(max(middle - (k + 1) * step, lowest)), U8(min(middle + (k + 1) * step, highest))
        p2, q2 = U8(max(middle - (k + 2) * step, lowest)), U8(min(middle + (k + 2) * step, highest))
        u, v, z = w[k], w[k + 1], w[k + 2]
        for j in range(n):
            m = U8(j)
            out[t + m] += (
                u * (source[p0 + m] + source[q0 + m])
                + v * (source[p1 + m] + source[q1 + m])
                + z * (source[p2 + m] + source[q2 + m])
            )
        k += 3
    while k <= reach:
        p0, q0, u = U8(max(middle - k * step, lowest)), U8(min(middle + k * step, highest)), w[k]
        for j in range(n):
            m = U8(j)
            out[t + m] += u * (source[p0 + m] + source[q0 + m])
        k += 1


@njit(**FAST)
def convolve(source, s0, target, t0, rows, columns, w, r, i0, i1, line):
    """Blur rows i0..i1 of a level by the symmetric kernel w[0..r] both ways; edges repeat."""
    last, end, edge, one, none = (
        s0 + (rows - 1) * columns,
        EDGE + columns,
        np.int64(EDGE),
        np.int64(1),
        np.int64(0),
    )
    for i in range(i0, i1):
        pairs_of(source, s0 + i * columns, columns, r, s0, last, w, line, edge, columns)
        for j in range(r):
            line[EDGE - 1 - j] = line[EDGE]
            line[end + j] = line[end - 1]
        pairs_of(line, edge, one, r, none, len(line), w, target, t0 + i * columns, columns)


@njit(**FAST)
def shrink(base, rows, columns, pad, target, t0, my, c, level_pad, i0, i1):
    """Average c x c cells of the padded base into rows i0..i1 of a level of coarser cells."""
    share = F(1) / F(c * c)
    for i in range(i0, i1):
        for j in range(my):
            total = F(0)
            for p in range(c):
                x = min(max(c * i - level_pad + pad + p, 0), rows - 1)
                for t in range(c):
                    y = min(max(c * j - level_pad + pad + t, 0), columns - 1)
                    total += base[U8(x * columns + y)]
            target[U8(t0 + i * my + j)] = total * share


@njit(**FAST)
def pairs(row, lift, scale, out):
    """Pack each node of a row with the next one as two 16-bit numbers (value + lift) * scale."""
    top, n = F(65535), len(row)
    for j in range(n):
        out[j] = U4(np.int32(min(max((row[j] + lift) * scale + F(0.5), F(0)), top)))
    for j in range(n - 1):
        out[j] |= out[j + 1] << U4(16)


@njit(**FAST)
def pack(field, offset, my, i0, i1, lift, scale, packed):
    """Pack each node with its three neighbours as four 16-bit numbers (value + lift) * scale."""
    above, below = np.empty(my, np.uint32), np.empty(my, np.uint32)
    if i1 > i0:
        pairs(field[offset + i0 * my : offset + i0 * my + my], lift, scale, above)
    for i in range(i0, i1):
        pairs(field[offset + (i + 1) * my : offset + (i + 1) * my + my], lift, scale, below)
        z = packed[offset + i * my : offset + i * my + my]
        for j in range(my - 1):
            z[j] = U8(above[j]) | (U8(below[j]) << U8(32))
        above, below = below, above


@njit(**FAST)
def blur(base, field, spare, packed, levels, grid, kernel, reach, fresh, width, lift, scale, x0, x1, line):
    """Blur what changed in columns x0..x1 (cells along the hole) to these levels, and pack it."""
    rows, columns, pad = grid[0, 1], grid[0, 2], grid[0, 4]
    before = -1
    for k in levels:
        c, mx, my, offset, own = grid[k, 0], grid[k, 1], grid[k, 2], grid[k, 3], grid[k, 4]
        far = 3.5 * width[k] + 2 * c
        i0 = max(int((x0 - far + own) / c), 0)
        i1 = min(int((x1 + far + own) / c) + 1, mx)
        if i1 > i0:
            if fresh[k]:
                r = reach[k]
                shrink(base, rows, columns, pad, spare, offset, my, c, own, max(i0 - r, 0), min(i1 + r, mx))
                convolve(spare, offset, field, offset, mx, my, kernel[k], r, i0, i1, line)
            elif before < 0:
                convolve(base, np.int64(0), field, offset, mx, my, kernel[k], reach[k], i0, i1, line)
            else:
                convolve(field, grid[before, 3], field, offset, mx, my, kernel[k], reach[k], i0, i1, line)
            pack(field, offset, my, max(i0 - 1, 0), min(i1, mx - 1), lift, scale, packed)
        before = k


@njit(**FAST)
def mix(u, o, typical, spare, packed, levels, grid, first, lift, scale, x0, x1):
    """Pack U + typical * (chance of stroke and distance): one number for a coarse look."""
    for k in levels:
        c, mx, my, offset, own = grid[k, 0], grid[k, 1], grid[k, 2], grid[k, 3], grid[k, 4]
        i0 = max(int((x0 + own) / c), 0)
        i1 = min(int((x1 + own) / c) + 2, mx)
        if k < first or i1 <= i0 + 1:
            continue
        a = u[offset + i0 * my : offset + i1 * my]
        b = o[offset + i0 * my : offset + i1 * my]
        t = spare[offset + i0 * my : offset + i1 * my]
        for i in range((i1 - i0) * my):
            t[i] = a[i] + typical * b[i]
        pack(spare, offset, my, i0, i1 - 1, lift, scale, packed)
