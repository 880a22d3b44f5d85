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
U8 = np.uint64
EDGE = 32
"""Room beside a line for what the widest kernel reaches over."""
FREE = {"contract", "reassoc", "arcp", "afn", "nsz"}
FAST = {"nogil": True, "fastmath": FREE, "error_model": "numpy", "boundscheck": False, "cache": True}

PLAYED, CONSTANT, RELIEF, FLAG = 0, 1, 2, 3
"""Kinds of cells: played from; a known value (the green); a penalty and relief; stroke and distance."""


@njit(**FAST)
def fill(base, values, slot, weight, kind, constant, relief, penalty, columns, pad, rows_from, rows_to):
    """Write U of the raster's rows into the padded field `base`, whose rows have columns + 2 pad cells."""
    wide = U8(columns + 2 * pad)
    for a in range(rows_from, rows_to):
        for b in range(columns):
            q = U8(a * columns + b)
            o = U8(a + pad) * wide + U8(b + pad)
            if kind[q] == FLAG:
                base[o] = F(1)
                continue
            added = F(0)
            if kind[q] == RELIEF:
                added = penalty[q]
                q = U8(relief[q])
            if kind[q] == CONSTANT:
                base[o] = added + constant[q]
            else:
                u = F(0)
                for p in range(4):
                    u += weight[q, p] * values[U8(slot[q, p])]
                base[o] = added + u


@njit(**FAST)
def convolve(source, s0, target, t0, rows, columns, w, r, i0, i1, line):
    """Blur rows i0..i1 of a level by the symmetric kernel w[0..r] both ways; edges repeat."""
    for i in range(i0, i1):
        a = line[EDGE : EDGE + columns]
        here = source[s0 + i * columns : s0 + i * columns + columns]
        for j in range(columns):
            a[j] = w[0] * here[j]
        for k in range(1, r + 1):
            p = s0 + max(i - k, 0) * columns
            q = s0 + min(i + k, rows - 1) * columns
            x = source[p : p + columns]
            y = source[q : q + columns]
            for j in range(columns):
                a[j] += w[k] * (x[j] + y[j])
        for j in range(r):
            line[EDGE - 1 - j] = line[EDGE]
            line[EDGE + columns + j] = line[EDGE + columns - 1]
        out = target[t0 + i * columns : t0 + i * columns + columns]
        for j in range(columns):
            out[j] = w[0] * a[j]
        for k in range(1, r + 1):
            x = line[EDGE - k : EDGE - k + columns]
            y = line[EDGE + k : EDGE + k + columns]
            for j in range(columns):
                out[j] += w[k] * (x[j] + y[j])


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
def pack(field, offset, my, i0, i1, lift, scale, packed):
    """Pack each node with its three neighbours as four 16-bit numbers (value + lift) * scale."""
    top = F(65535)
    for i in range(i0, i1):
        a = field[offset + i * my : offset + i * my + my]
        b = field[offset + (i + 1) * my : offset + (i + 1) * my + my]
        z = packed[offset + i * my : offset + i * my + my]
        for j in range(my - 1):
            u0 = U8(np.int32(min(max((a[j] + lift) * scale + F(0.5), F(0)), top)))
            u1 = U8(np.int32(min(max((a[j + 1] + lift) * scale + F(0.5), F(0)), top)))
            u2 = U8(np.int32(min(max((b[j] + lift) * scale + F(0.5), F(0)), top)))
            u3 = U8(np.int32(min(max((b[j + 1] + lift) * scale + F(0.5), F(0)), top)))
            z[j] = u0 | (u1 << U8(16)) | (u2 << U8(32)) | (u3 << U8(48))


@njit(**FAST)
def blur(base, field, spare, packed, grid, kernel, reach, fresh, width, lift, scale, x0, x1, line):
    """Blur what changed in columns x0..x1 (cells along the hole) at every width, and pack it."""
    rows, columns, pad = grid[0, 1], grid[0, 2], grid[0, 4]
    for k in range(grid.shape[0]):
        c, mx, my, offset, own = grid[k, 0], grid[k, 1], grid[k, 2], grid[k, 3], grid[k, 4]
        far = 3.5 * width[k] + 2 * c
        i0 = max(int((x0 - far + own) / c), 0)
        i1 = min(int((x1 + far + own) / c) + 1, mx)
        if i1 <= i0:
            continue
        if fresh[k]:
            r = reach[k]
            shrink(base, rows, columns, pad, spare, offset, my, c, own, max(i0 - r, 0), min(i1 + r, mx))
            convolve(spare, offset, field, offset, mx, my, kernel[k], r, i0, i1, line)
        elif k == 0:
            convolve(base, 0, field, offset, mx, my, kernel[k], reach[k], i0, i1, line)
        else:
            convolve(field, grid[k - 1, 3], field, offset, mx, my, kernel[k], reach[k], i0, i1, line)
        pack(field, offset, my, max(i0 - 1, 0), min(i1, mx - 1), lift, scale, packed)


@njit(**FAST)
def mix(u, o, typical, spare, packed, grid, first, lift, scale, x0, x1):
    """Pack U + typical * (chance of stroke and distance): one number for a coarse look."""
    for k in range(first, grid.shape[0]):
        c, mx, my, offset, own = grid[k, 0], grid[k, 1], grid[k, 2], grid[k, 3], grid[k, 4]
        i0 = max(int((x0 + own) / c), 0)
        i1 = min(int((x1 + own) / c) + 2, mx)
        if i1 <= i0 + 1:
            continue
        a = u[offset + i0 * my : offset + i1 * my]
        b = o[offset + i0 * my : offset + i1 * my]
        t = spare[offset + i0 * my : offset + i1 * my]
        for i in range((i1 - i0) * my):
            t[i] = a[i] + typical * b[i]
        pack(spare, offset, my, i0, i1 - 1, lift, scale, packed)
