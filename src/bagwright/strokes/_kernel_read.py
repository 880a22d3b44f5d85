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

F = np.float32
U4, U8 = np.uint32, np.uint64
LANES = 64
FAST = {"nogil": True, "fastmath": FREE, "error_model": "numpy", "boundscheck": False, "cache": True}
FULL = F(1 / 65535)


class Fields(NamedTuple):
    """What is read of a hole: packed fields, places of their levels, heights."""

    u: Any
    o: Any
    shares: Any
    """(5, nodes) shares of landing lies, last the usual run over that on a fairway; (5, 1) if none runs."""
    read: Any
    place: Any
    height: Any
    number: Any
    """float32: scale of u, wind's cosine, wind's sine, has heights, has a flag, rows, columns of heights."""


class Patterns(NamedTuple):
    """Points of all shots.

    `count` (6, n); `point` (6, n, k, 5) d, q, weight, the normal's own d, and the share of the level in its
    variance along the aim; `level` (6, n, k).
    """

    count: Any
    point: Any
    level: Any
    extra: Any
    """(6, n, 10): 1/tan(descent), wind a0 a1 a2 b1 b2, centre d, centre q, reach, any run."""
    middle: Any
    """(6, n) int64: the level at which the ground under the centre is looked at."""


@njit(**FAST)
def locate(f, k, n, px, py, at, ax, ay):
    """Find the node below each point at level k, and the fractions beyond it."""
    ic, shift, hx, hy, other = f.read[k, 0], f.read[k, 1], f.read[k, 2], f.read[k, 3], f.read[k, 4]
    offset, my = np.int32(f.place[k, 0]), np.int32(f.place[k, 1])
    for lane in range(n):
        x = min(max(px[lane] * ic + shift, F(0)), hx)
        y = min(max(py[lane] * ic + other, F(0)), hy)
        i, j = np.int32(x), np.int32(y)
        ax[lane], ay[lane] = x - F(i), y - F(j)
        at[lane] = offset + i * my + j


@njit(**FAST)
def read(table, n, at, ax, ay, scale, out, z0, z1):
    """Add the field between four nodes, times `scale`, to `out`."""
    for lane in range(n):
        z = table[U4(at[lane])]
        z0[lane] = U4(z)
        z1[lane] = U4(z >> U8(32))
    for lane in range(n):
        u00, u01 = F(np.int32(z0[lane] & U4(0xFFFF))), F(np.int32(z0[lane] >> U4(16)))
        u10, u11 = F(np.int32(z1[lane] & U4(0xFFFF))), F(np.int32(z1[lane] >> U4(16)))
        u0 = u00 + ay[lane] * (u01 - u00)
        u1 = u10 + ay[lane] * (u11 - u10)
        out[lane] += (u0 + ax[lane] * (u1 - u0)) * scale


@njit(**FAST)
def height_at(f, px, py):
    """Height between the centres of four cells of the raster."""
    rows, columns = np.int32(f.number[5]), np.int32(f.number[6])
    x = min(max(px - F(0.5), F(0)), F(rows) - F(1.001))
    y = min(max(py - F(0.5), F(0)), F(columns) - F(1.001))
    i, j = np.int32(x), np.int32(y)
    ax, ay = x - F(i), y - F(j)
    o = U4(i * columns + j)
    p = o + U4(columns)
    z0 = f.height[o] + ay * (f.height[o + U4(1)] - f.height[o])
    z1 = f.height[p] + ay * (f.height[p + U4(1)] - f.height[p])
    return z0 + ax * (z1 - z0)


@njit(**FAST)
def move(f, p, run, closely, lie, shot, n, x, y, c, s, h, mx, my, w, at, z):
    """How far the pattern moves along its aim and to the right: wind, height and mean run at its centre."""
    e = p.extra[lie, shot]
    px, py, ax, ay, t = w[0], w[1], w[2], w[3], w[4]
    for lane in range(n):
        head = f.number[1] * c[lane] + f.number[2] * s[lane]
        side = f.number[2] * c[lane] - f.number[1] * s[lane]
        mx[lane] = e[1] + e[2] * head + e[3] * (F(2) * head * head - F(1))
        my[lane] = e[4] * side + e[5] * F(2) * side * head
        dd, qq = e[6] + mx[lane], e[7] + my[lane]
        px[lane] = x[lane] + dd * c[lane] - qq * s[lane]
        py[lane] = y[lane] + dd * s[lane] + qq * c[lane]
    if f.number[3] > 0:
        for step in range(2):
            for lane in range(n):
                down = (height_at(f, px[lane], py[lane]) - h[lane]) * e[0]
                px[lane] -= (down - (t[lane] if step else F(0))) * c[lane]
                py[lane] -= (down - (t[lane] if step else F(0))) * s[lane]
                t[lane] = down
        for lane in range(n):
            mx[lane] -= t[lane]
    if e[9] > 0:
        locate(f, p.middle[lie, shot], n, px, py, at, ax, ay)
        if not closely:
            read(f.shares[4], n, at, ax, ay, FULL * run[lie, shot, 0, 0], mx, z[0], z[1])
        for g in range(4 if closely else 0):
            if run[lie, shot, g, 0] != 0:
                read(f.shares[g], n, at, ax, ay, FULL * run[lie, shot, g, 0], mx, z[0], z[1])


@njit(**FAST)
def quick(f, p, table, scale, lie, shot, n, x, y, c, s, mx, my, out, w, at, z):
    """Mean of `table` over the pattern moved by (mx, my); values above the field's own zero."""
    px, py, ax, ay = w[0], w[1], w[2], w[3]
    for lane in range(n):
        out[lane] = F(0)
    for m in range(p.count[lie, shot]):
        d, q, weight = p.point[lie, shot, m, 0], p.point[lie, shot, m, 1], p.point[lie, shot, m, 2]
        for lane in range(n):
            dd, qq = d + mx[lane], q + my[lane]
            px[lane] = x[lane] + dd * c[lane] - qq * s[lane]
            py[lane] = y[lane] + dd * s[lane] + qq * c[lane]
        locate(f, p.level[lie, shot, m], n, px, py, at, ax, ay)
        read(table, n, at, ax, ay, scale * weight, out, z[0], z[1])
