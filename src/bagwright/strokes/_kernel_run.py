# mypy: ignore-errors
"""Fields of balls that come down and run in one direction, over the window where they come down."""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from bagwright.strokes._kernel_blur import FREE, convolve, pack, shrink

F = np.float32
U8 = np.uint64
I4 = np.int32
LOOK = F(0.5)
FAST = {"nogil": True, "fastmath": FREE, "error_model": "numpy", "boundscheck": False, "cache": True}


@njit(**FAST)
def between(base, wide, most_x, most_y, x, y):
    """The padded field between the centres of four cells; its edge beyond."""
    x, y = min(max(x, F(0)), most_x), min(max(y, F(0)), most_y)
    i, j = I4(x), I4(y)
    a, b = x - F(i), y - F(j)
    o = U8(i) * U8(wide) + U8(j)
    p = o + U8(wide)
    low = base[o] + b * (base[o + U8(1)] - base[o])
    high = base[p] + b * (base[p + U8(1)] - base[p])
    return low + a * (high - low)


@njit(**FAST)
def wet_run(g, base, pad, i, j, c, s, r):
    """One run from the centre of a cell: the first penalty area on its way, or its end."""
    if r < 0:
        c, s, r = -c, -s, -r
    wide = g.columns + 2 * pad
    gone = F(0)
    while gone < r:
        a, b = I4(F(i) + F(0.5) + gone * c), I4(F(j) + F(0.5) + gone * s)
        if a < 0 or b < 0 or a >= g.rows or b >= g.columns:
            break
        near = g.dry[U8(a) * U8(g.columns) + U8(b)]
        if near == 0:
            return base[U8(a + pad) * U8(wide) + U8(b + pad)]
        gone += max(F(near) - F(1.5), LOOK)
    most_x, most_y = F(g.rows + 2 * pad) - F(1.001), F(wide) - F(1.001)
    return between(base, wide, most_x, most_y, F(i + pad) + r * c, F(j + pad) + r * s)


@njit(**FAST)
def phases(base, wide, by):
    """The rows of a padded field with every `by`-th of their cells together: (by, rows, cells), laid flat."""
    rows = len(base) // wide
    cells = (wide + by - 1) // by
    out = np.zeros(by * rows * cells, np.float32)
    for i in range(rows):
        for k in range(by):
            to = (k * rows + i) * cells
            for m in range((wide - k + by - 1) // by):
                out[U8(to + m)] = base[U8(i * wide + k + m * by)]
    return out


@njit(**FAST)
def shifted(split, by, wide, row, column, along, across, weight, out, at, n):
    """Add weight * field between four cells to n of `out` from `at`.

    The m-th lies at (row + along, column + by m + across). `split` as `phases` gives it. All fractions are
    the same, as the shift is; beyond the ends the edge repeats.
    """
    # Whole numbers are divided by shifting: `by` is 1 or 4.
    bits = 0 if by == 1 else 2
    cells = (wide + by - 1) >> bits
    rows = len(split) // (by * cells)
    x = min(max(F(row) + along, F(0)), F(rows) - F(1.001))
    i, j = int(x), math.floor(F(column) + across)
    p, b = x - F(i), F(column) + across - F(j)
    low = min(max((by - 1 - j) >> bits, 0), n)
    high = max(min(((wide - 2 - j) >> bits) + 1, n), low)
    v, w, last = weight * (F(1) - p), weight * p, wide - 1
    # Flat numbers of what is read: a view of an array costs more than what is done with it here.
    each = rows * cells
    here = i * cells
    if low > 0:
        edge = v * split[U8(here)] + w * split[U8(here + cells)]
        for m in range(low):
            out[U8(at + m)] += edge
    if high < n:
        k = (last & (by - 1)) * each + here + (last >> bits)
        edge = v * split[U8(k)] + w * split[U8(k + cells)]
        for m in range(high, n):
            out[U8(at + m)] += edge
    if high > low:
        n0 = U8((j & (by - 1)) * each + here + (j >> bits) + low)
        n1 = U8(((j + 1) & (by - 1)) * each + here + ((j + 1) >> bits) + low)
        f0, f1, to = n0 + U8(cells), n1 + U8(cells), U8(at + low)
        v0, v1, w0, w1 = v * (F(1) - b), v * b, w * (F(1) - b), w * b
        for k in range(high - low):
            m = U8(k)
            out[to + m] += v0 * split[n0 + m] + v1 * split[n1 + m] + w0 * split[f0 + m] + w1 * split[f1 + m]


@njit(**FAST)
def row_after_run(g, split, by, pad, run, nodes, weights, c, s, i, start, own, of_class, seen, line, at, n):
    """Cells of one row after their run: every class of landing in it is shifted as a whole, then chosen.

    The m-th of n from `at` in `line` is the cell (i, start + by m). `split` as `phases` gives it; `own` (n,),
    `of_class` (5 n,) and `seen` (5,) are room to work in.
    """
    wide = g.columns + 2 * pad
    here = min(max(i, 0), g.rows - 1) * g.columns
    seen[:] = False
    for b in range(n):
        k = g.group[U8(here + min(max(start + by * b, 0), g.columns - 1))]
        own[U8(b)] = k
        seen[U8(k)] = True
    for k in range(5):
        if not seen[k]:
            continue
        for b in range(k * n, k * n + n):
            of_class[U8(b)] = F(0)
        if k == 0 or (run[k - 1, 0] == 0 and run[k - 1, 1] == 0):
            shifted(split, by, wide, i + pad, start + pad, F(0), F(0), F(1), of_class, k * n, n)
            continue
        for t in range(len(nodes)):
            r = run[k - 1, 0] + run[k - 1, 1] * nodes[t]
            shifted(split, by, wide, i + pad, start + pad, r * c, r * s, weights[t], of_class, k * n, n)
    for b in range(n):
        line[U8(at + b)] = of_class[U8(np.int64(own[U8(b)]) * n + b)]


@njit(**FAST)
def after_run(g, base, split, pad, run, nodes, weights, c, s, window, out):
    """Write into `out` what `base` is worth to a ball that comes down in each cell of a window and runs.

    `base` is padded by `pad` cells; `split` are its `phases` by 1 or, with cells of 2, by 4. run (4, 2): mean
    and sd by class of landing; a run is taken at `nodes` (in its sds) with `weights`. window: first row,
    first column, rows, columns, and 1 or 2: with 2, one cell of each block of four stands for it, the first
    and the last by turns.
    """
    first, start, high, across, size = window
    rows, columns = g.rows, g.columns
    group, dry = g.group, g.dry
    longest = F(0)
    for k in range(4):
        longest = max(longest, abs(run[k, 0]) + run[k, 1] * nodes[-1])
    own, of_class, seen = np.empty(across, np.int8), np.zeros(5 * across, np.float32), np.zeros(5, np.bool_)
    half = across // 2
    some = np.empty(half, np.float32)
    for a in range(high):
        line = out[a * across : (a + 1) * across]
        if size == 1:
            row_after_run(
                g, split, 1, pad, run, nodes, weights, c, s, first + a, start, own, of_class, seen, out,
                a * across, across,
            )  # fmt: skip
        else:
            for b in range(2):
                odd = (a + b) & 1
                i, j = first + 2 * a + odd, start + 2 * b + odd
                row_after_run(
                    g, split, 4, pad, run, nodes, weights, c, s, i, j, own, of_class, seen, some, 0, half
                )
                for m in range(half):
                    line[2 * m + b] = some[m]
        if g.wet and longest > 0:
            for b in range(across):
                odd = (a + b) & 1 if size == 2 else 0
                i, j = first + a * size + odd, start + b * size + odd
                if i < 0 or j < 0 or i >= rows or j >= columns:
                    continue
                q = U8(i * columns + j)
                k = group[q]
                if k > 0 and F(dry[q]) < longest + F(1):
                    total = F(0)
                    for t in range(len(nodes)):
                        r = run[k - 1, 0] + run[k - 1, 1] * nodes[t]
                        total += weights[t] * wet_run(g, base, pad, i, j, c, s, r)
                    line[b] = total


@njit(**FAST)
def layout(window, wanted, cells, read, place):
    """Where the levels of a window lie, one behind the other, and how they are read; the room they take."""
    first, start, high, across, size = window
    offset = 0
    for k in range(len(wanted)):
        if not wanted[k]:
            continue
        c = cells[k]
        mx, my = high * size // c, across * size // c
        place[k, 0], place[k, 1] = offset, my
        read[k, 0], read[k, 1], read[k, 4] = F(1) / F(c), F(-first) / F(c) - F(0.5), F(-start) / F(c) - F(0.5)
        read[k, 2], read[k, 3] = F(mx) - F(1.001), F(my) - F(1.001)
        offset += mx * my
    return offset


@njit(**FAST)
def blur_window(base, spare, field, packed, window, wanted, cells, first, chain, place, lift, scale, line):
    """Blur a window to the wanted levels and pack them.

    The first level of each size of cell is blurred from the window itself by a kernel of `first` (weights of
    every level, reaches), each of the others from the level before by one of `chain` (weights by level
    before and level, reaches), where that has one.
    """
    _, _, high, across, size = window
    before = -1
    for k in range(len(wanted)):
        if not wanted[k]:
            continue
        factor = cells[k] // size
        mx, my, offset = high // factor, across // factor, place[k, 0]
        if before >= 0 and chain[1][before, k] > 0:
            w, r = chain[0][before, k], chain[1][before, k]
            convolve(field, place[before, 0], field, offset, mx, my, w, r, 0, mx, line)
        elif factor == 1:
            convolve(base, 0, field, offset, mx, my, first[0][k], first[1][k], 0, mx, line)
        else:
            shrink(base, high, across, 0, spare, offset, my, factor, 0, 0, mx)
            convolve(spare, offset, field, offset, mx, my, first[0][k], first[1][k], 0, mx, line)
        pack(field, offset, my, 0, mx - 1, lift, scale, packed)
        before = k


@njit(**FAST)
def around(whole, number, extent, size):
    """The window that holds the landings of all questions: sides are multiples of eight cells."""
    x0, x1, y0, y1 = F(1e9), F(-1e9), F(1e9), F(-1e9)
    for m in range(number.shape[1]):
        e = extent[whole[0, m], whole[1, m]]
        x, y, c, s = number[0, m], number[1, m], number[4, m], number[5, m]
        x0 = min(x0, x + min(e[0] * c, e[1] * c) - e[2])
        x1 = max(x1, x + max(e[0] * c, e[1] * c) + e[2])
        y0 = min(y0, y + min(e[0] * s, e[1] * s) - e[2])
        y1 = max(y1, y + max(e[0] * s, e[1] * s) + e[2])
    first, start = math.floor(x0), math.floor(y0)
    rows, columns = (int(x1) - first + 9) // 8 * 8, (int(y1) - start + 9) // 8 * 8
    return first, start, rows // size, columns // size, size


@njit(**FAST)
def within(window, rows, columns):
    """The window without what lies far beyond the raster."""
    first, start, high, across, size = window
    last, end = first + high * size, start + across * size
    first, start = max(first, -8), max(start, -8)
    last, end = min(last, rows + 8), min(end, columns + 8)
    high = max((last - first + 7) // 8 * 8, 16) // size
    return first, start, high, max((end - start + 7) // 8 * 8, 16) // size, size
