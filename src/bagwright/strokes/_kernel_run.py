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
def after_run(g, base, pad, run, nodes, weights, c, s, window, out):
    """Write into `out` what `base` is worth to a ball that comes down in each cell of a window and runs.

    `base` is padded by `pad` cells. run (4, 2): mean and sd by class of landing; a run is taken at `nodes`
    (in its sds) with `weights`. window: first row, first column, rows, columns, and 1 or 2: with 2, one cell
    of each block of four stands for it, the first and the last by turns.
    """
    first, start, high, across, size = window
    rows, columns = g.rows, g.columns
    wide = columns + 2 * pad
    most_x, most_y = F(rows + 2 * pad) - F(1.001), F(wide) - F(1.001)
    group, dry = g.group, g.dry
    m0, m1, m2, m3 = run[0, 0], run[1, 0], run[2, 0], run[3, 0]
    s0, s1, s2, s3 = run[0, 1], run[1, 1], run[2, 1], run[3, 1]
    longest = F(0)
    for k in range(4):
        longest = max(longest, abs(run[k, 0]) + run[k, 1] * nodes[-1])
    for a in range(high):
        line = out[a * across : (a + 1) * across]
        for b in range(across):
            line[b] = F(0)
        for t in range(len(nodes)):
            r0, r1, r2, r3 = m0 + s0 * nodes[t], m1 + s1 * nodes[t], m2 + s2 * nodes[t], m3 + s3 * nodes[t]
            w = weights[t]
            for b in range(across):
                odd = (a + b) & 1 if size == 2 else 0
                i, j = first + a * size + odd, start + b * size + odd
                q = min(max(i, 0), rows - 1) * columns + min(max(j, 0), columns - 1)
                k = group[U8(q)]
                r = r0 if k == 1 else r1 if k == 2 else r2 if k == 3 else r3 if k == 4 else F(0)
                line[b] += w * between(base, wide, most_x, most_y, F(i + pad) + r * c, F(j + pad) + r * s)
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
def blur_window(base, spare, field, packed, window, wanted, cells, kernel, reach, place, lift, scale, line):
    """Blur a window to the wanted levels, each from the window itself; pack them."""
    _, _, high, across, size = window
    for k in range(len(wanted)):
        if not wanted[k]:
            continue
        factor = cells[k] // size
        mx, my, offset = high // factor, across // factor, place[k, 0]
        if factor == 1:
            convolve(base, 0, field, offset, mx, my, kernel[k], reach[k], 0, mx, line)
        else:
            shrink(base, high, across, 0, spare, offset, my, factor, 0, 0, mx)
            convolve(spare, offset, field, offset, mx, my, kernel[k], reach[k], 0, mx, line)
        pack(field, offset, my, 0, mx - 1, lift, scale, packed)


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
