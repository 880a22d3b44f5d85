# mypy: ignore-errors
"""Expected values of shots read from blurred fields, many questions side by side in lanes.

A question is a spot (x, y, height; cells), a lie, a shot and a direction (cosine, sine in the raster's
frame). All questions of one block share lie and shot. The pattern is moved as a whole: by the wind, by the
ground's height under its centre, and by the mean run on the ground there.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numba import njit

from bagwright.strokes._kernel_blur import FREE
from bagwright.strokes._lanes import peek, poke

F, I4 = np.float32, np.int32
U4, U8 = np.uint32, np.uint64
LANES = 64
FAST = {"nogil": True, "fastmath": FREE, "error_model": "numpy", "boundscheck": False, "cache": True}
FULL = F(1 / 65535)


class Fields(NamedTuple):
    """What is read of a hole: packed fields, places of their levels, heights."""

    u: Any
    o: Any
    usual: Any
    """The usual run where a ball comes down over that on a fairway; one number if nothing runs."""
    read: Any
    place: Any
    height: Any
    number: Any
    """float32: scale of u, wind's cosine, wind's sine, has heights, rows, columns of heights."""


class Patterns(NamedTuple):
    """Points of all shots.

    `count` (6, n); `point` (6, n, k, 3) d, q, weight; `level` (6, n, k).
    """

    count: Any
    point: Any
    level: Any
    extra: Any
    """(6, n, 10): 1/tan(descent), wind a0 a1 a2 b1 b2, centre d, centre q, reach, any run."""
    middle: Any
    """(6, n) int64: the level at which the ground under the centre is looked at."""


@njit(**FAST)
def between(z, a, b):
    """A packed field between four nodes."""
    z0, z1 = U4(z), U4(z >> U8(32))
    u00, u01 = F(I4(z0 & U4(0xFFFF))), F(I4(z0 >> U4(16)))
    u10, u11 = F(I4(z1 & U4(0xFFFF))), F(I4(z1 >> U4(16)))
    low = u00 + b * (u01 - u00)
    high = u10 + b * (u11 - u10)
    return low + a * (high - low)


@njit(**FAST)
def add(n, some, out):
    """Add numbers of a block: in a loop of its own, so that reading stays in lanes."""
    for lane in range(n):
        out[lane] += some[lane]


@njit(**FAST)
def probe(f, k, table, scale, d, q, n, x, y, c, s, mx, my, some):
    """The field at level k, times `scale`, at the point (d, q) of each pattern moved by (mx, my)."""
    ic, shift, hx, hy, other = f.read[k, 0], f.read[k, 1], f.read[k, 2], f.read[k, 3], f.read[k, 4]
    offset, wide = F(f.place[k, 0]), F(f.place[k, 1])
    for lane in range(n):
        dd, qq, cc, ss = d + peek(mx, lane), q + peek(my, lane), peek(c, lane), peek(s, lane)
        u = min(max((peek(x, lane) + dd * cc - qq * ss) * ic + shift, F(0)), hx)
        v = min(max((peek(y, lane) + dd * ss + qq * cc) * ic + other, F(0)), hy)
        i, j = F(I4(u)), F(I4(v))
        # In floating point: exact below 2^24 nodes, and it stays in lanes.
        z = peek(table, I4(offset + (i * wide + j)))
        poke(some, lane, between(z, u - i, v - j) * scale)


@njit(**FAST)
def probe_two(f, k, scale, weight, d, q, n, x, y, c, s, mx, my, some, other_some):
    """As `probe`, of U and of the flag at once."""
    ic, shift, hx, hy, other = f.read[k, 0], f.read[k, 1], f.read[k, 2], f.read[k, 3], f.read[k, 4]
    offset, wide = F(f.place[k, 0]), F(f.place[k, 1])
    table, flags = f.u, f.o
    for lane in range(n):
        dd, qq, cc, ss = d + peek(mx, lane), q + peek(my, lane), peek(c, lane), peek(s, lane)
        u = min(max((peek(x, lane) + dd * cc - qq * ss) * ic + shift, F(0)), hx)
        v = min(max((peek(y, lane) + dd * ss + qq * cc) * ic + other, F(0)), hy)
        i, j = F(I4(u)), F(I4(v))
        at = I4(offset + (i * wide + j))
        poke(some, lane, between(peek(table, at), u - i, v - j) * scale * weight)
        poke(other_some, lane, between(peek(flags, at), u - i, v - j) * FULL * weight)


@njit(**FAST)
def height_at(height, rows, columns, px, py):
    """Height between the centres of four cells of the raster."""
    x = min(max(px - F(0.5), F(0)), F(rows) - F(1.001))
    y = min(max(py - F(0.5), F(0)), F(columns) - F(1.001))
    i, j = F(I4(x)), F(I4(y))
    a, b = x - i, y - j
    o = I4(i * F(columns) + j)
    p = o + I4(columns)
    z0, z1, z2, z3 = peek(height, o), peek(height, o + I4(1)), peek(height, p), peek(height, p + I4(1))
    low, high = z0 + b * (z1 - z0), z2 + b * (z3 - z2)
    return low + a * (high - low)


@njit(**FAST)
def fall(f, e, n, x, y, c, s, h, mx, my, some):
    """How much shorter each pattern comes down by the height of the ground under its centre."""
    height, rows, columns = f.height, I4(f.number[4]), I4(f.number[5])
    for lane in range(n):
        d, q, cc, ss = e[6] + peek(mx, lane), e[7] + peek(my, lane), peek(c, lane), peek(s, lane)
        bx, by, own = peek(x, lane) - q * ss, peek(y, lane) + q * cc, peek(h, lane)
        down = (height_at(height, rows, columns, bx + d * cc, by + d * ss) - own) * e[0]
        down = (height_at(height, rows, columns, bx + (d - down) * cc, by + (d - down) * ss) - own) * e[0]
        poke(some, lane, -down)


@njit(**FAST)
def move(f, p, run, lie, shot, n, x, y, c, s, h, mx, my, some):
    """How far the pattern moves along its aim and to the right: wind, height and mean run at its centre."""
    e = p.extra[lie, shot]
    for lane in range(n):
        head = f.number[1] * c[lane] + f.number[2] * s[lane]
        side = f.number[2] * c[lane] - f.number[1] * s[lane]
        mx[lane] = e[1] + e[2] * head + e[3] * (F(2) * head * head - F(1))
        my[lane] = e[4] * side + e[5] * F(2) * side * head
    if f.number[3] > 0:
        fall(f, e, n, x, y, c, s, h, mx, my, some)
        add(n, some, mx)
    if e[9] > 0:
        level, scale = p.middle[lie, shot], FULL * run[lie, shot, 0, 0]
        probe(f, level, f.usual, scale, e[6], e[7], n, x, y, c, s, mx, my, some)
        add(n, some, mx)


@njit(**FAST)
def quick(f, p, table, scale, lie, shot, n, x, y, c, s, mx, my, out, some):
    """Mean of `table` over the pattern moved by (mx, my); values above the field's own zero."""
    for lane in range(n):
        out[lane] = F(0)
    for m in range(p.count[lie, shot]):
        d, q, weight = p.point[lie, shot, m, 0], p.point[lie, shot, m, 1], p.point[lie, shot, m, 2]
        probe(f, p.level[lie, shot, m], table, scale * weight, d, q, n, x, y, c, s, mx, my, some)
        add(n, some, out)


@njit(**FAST)
def quick_two(f, p, scale, lie, shot, n, x, y, c, s, mx, my, u, o, some):
    """As `quick`, of U and of the flag at once."""
    for lane in range(n):
        u[lane], o[lane] = F(0), F(0)
    other = some[LANES:]
    for m in range(p.count[lie, shot]):
        d, q, weight = p.point[lie, shot, m, 0], p.point[lie, shot, m, 1], p.point[lie, shot, m, 2]
        probe_two(f, p.level[lie, shot, m], scale, weight, d, q, n, x, y, c, s, mx, my, some, other)
        add(n, some, u)
        add(n, other, o)
