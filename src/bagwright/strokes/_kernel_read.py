# mypy: ignore-errors
# ruff: noqa: C901
"""Expected values of shots read from blurred fields, many questions side by side in lanes.

A question is a spot (x, y, height; cells), a lie, a shot and a direction (cosine, sine in the raster's
frame). All questions of one block share lie and shot. Two answers: `quick` moves the whole pattern by the
mean run and the height at its centre; `full` treats run, height and water in the run at every point.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numba import njit

from bagwright.strokes._kernel_blur import FREE

F = np.float32
U4, U8 = np.uint32, np.uint64
LANES = 64
ROWS = 24
"""Rows of LANES numbers of work space."""
STEP = F(3.0)
"""Longest distance between two looks for water in a run, cells."""
INLINE = {
    "nogil": True, "fastmath": FREE, "error_model": "numpy", "boundscheck": False, "forceinline": True
}  # fmt: skip
FAST = {"nogil": True, "fastmath": FREE, "error_model": "numpy", "boundscheck": False, "cache": True}


class Fields(NamedTuple):
    """What is read of a hole. Packed: u, o, four shares of landing lies, wet, wet_u (U on water)."""

    u: Any
    o: Any
    fairway: Any
    rough: Any
    green: Any
    soft: Any
    wet: Any
    wet_u: Any
    read: Any
    place: Any
    height: Any
    number: Any
    """float32: scale of u, wind's cosine, wind's sine, has heights, has water, has a flag, rows, columns of
    the heights."""


class Patterns(NamedTuple):
    """Points of all shots: rows first[lie, shot] .. last[lie, shot] of `point` (d, q, weight), `level`."""

    first: Any
    last: Any
    point: Any
    level: Any
    extra: Any
    """(6, n, 10): 1/tan(descent), wind a0 a1 a2 b1 b2, centre d, centre q, reach, any run."""
    middle: Any
    """(6, n) int64: the level at which the centre is looked at."""
    run: Any
    """(6, n, 4, 3, 2): run and weight of up to three points of the run on each class of landing."""
    runs: Any
    """(6, n, 4) int64: how many of them."""


@njit(**INLINE)
def locate(f, k, n, px, py, at, ax, ay):
    """Find the node below each point at level k, and the fractions beyond it."""
    ic, shift, hx, hy = f.read[k, 0], f.read[k, 1], f.read[k, 2], f.read[k, 3]
    offset, my = np.int32(f.place[k, 0]), np.int32(f.place[k, 1])
    for lane in range(n):
        x = min(max(px[lane] * ic + shift, F(0)), hx)
        y = min(max(py[lane] * ic + shift, F(0)), hy)
        i, j = np.int32(x), np.int32(y)
        ax[lane], ay[lane] = x - F(i), y - F(j)
        at[lane] = offset + i * my + j


@njit(**INLINE)
def read(table, n, at, ax, ay, scale, out, z0, z1):
    """Give the field between four nodes."""
    for lane in range(n):
        z = table[U4(at[lane])]
        z0[lane] = U4(z)
        z1[lane] = U4(z >> U8(32))
    for lane in range(n):
        u00, u01 = F(np.int32(z0[lane] & U4(0xFFFF))), F(np.int32(z0[lane] >> U4(16)))
        u10, u11 = F(np.int32(z1[lane] & U4(0xFFFF))), F(np.int32(z1[lane] >> U4(16)))
        u0 = u00 + ay[lane] * (u01 - u00)
        u1 = u10 + ay[lane] * (u11 - u10)
        out[lane] = (u0 + ax[lane] * (u1 - u0)) * scale


@njit(**INLINE)
def wind_shift(f, e, n, c, s, wx, wy):
    """Shift of each direction by the wind, along and to the right."""
    for lane in range(n):
        head = f.number[1] * c[lane] + f.number[2] * s[lane]
        side = f.number[2] * c[lane] - f.number[1] * s[lane]
        wx[lane] = e[1] + e[2] * head + e[3] * (F(2) * head * head - F(1))
        wy[lane] = e[4] * side + e[5] * F(2) * side * head


@njit(**INLINE)
def height_at(f, px, py):
    """Height between the centres of four cells of the raster."""
    rows, columns = np.int32(f.number[6]), np.int32(f.number[7])
    x = min(max(px - F(0.5), F(0)), F(rows) - F(1.001))
    y = min(max(py - F(0.5), F(0)), F(columns) - F(1.001))
    i, j = np.int32(x), np.int32(y)
    ax, ay = x - F(i), y - F(j)
    o = U4(i * columns + j)
    p = o + U4(columns)
    z0 = f.height[o] + ay * (f.height[o + U4(1)] - f.height[o])
    z1 = f.height[p] + ay * (f.height[p + U4(1)] - f.height[p])
    return z0 + ax * (z1 - z0)


@njit(**INLINE)
def place_point(f, cot, d, q, n, x, y, c, s, h, wx, wy, px, py):
    """Put one point of the pattern on the ground: wind first, then two steps towards the ground's height."""
    for lane in range(n):
        dd, qq = d + wx[lane], q + wy[lane]
        px[lane] = x[lane] + dd * c[lane] - qq * s[lane]
        py[lane] = y[lane] + dd * s[lane] + qq * c[lane]
    if f.number[3] > 0:
        for _ in range(2):
            for lane in range(n):
                down = (height_at(f, px[lane], py[lane]) - h[lane]) * cot
                dd, qq = d + wx[lane] - down, q + wy[lane]
                px[lane] = x[lane] + dd * c[lane] - qq * s[lane]
                py[lane] = y[lane] + dd * s[lane] + qq * c[lane]


@njit(**INLINE)
def share(f, c):
    """Give the field of one class of landing."""
    return f.fairway if c == 0 else f.rough if c == 1 else f.green if c == 2 else f.soft


@njit(**FAST)
def quick(f, p, table, scale, lie, shot, n, x, y, c, s, h, out, w, at, z):
    """Mean of `table` over the pattern moved as a whole; values above the field's own zero."""
    e = p.extra[lie, shot]
    px, py, ax, ay, wx, wy, t = w[0], w[1], w[2], w[3], w[4], w[5], w[6]
    wind_shift(f, e, n, c, s, wx, wy)
    if e[9] > 0 or f.number[3] > 0:
        place_point(f, e[0], e[6], e[7], n, x, y, c, s, h, wx, wy, px, py)
        if f.number[3] > 0:
            for lane in range(n):
                wx[lane] = (px[lane] - x[lane]) * c[lane] + (py[lane] - y[lane]) * s[lane] - e[6]
        locate(f, p.middle[lie, shot], n, px, py, at, ax, ay)
        for g in range(4):
            if p.runs[lie, shot, g] > 0:
                read(share(f, g), n, at, ax, ay, F(1 / 65535), t, z[0], z[1])
                mean = F(0)
                for r in range(p.runs[lie, shot, g]):
                    mean += p.run[lie, shot, g, r, 0] * p.run[lie, shot, g, r, 1]
                for lane in range(n):
                    wx[lane] += t[lane] * mean
    for lane in range(n):
        out[lane] = F(0)
    for m in range(p.first[lie, shot], p.last[lie, shot]):
        d, q, weight = p.point[m, 0], p.point[m, 1], p.point[m, 2]
        for lane in range(n):
            dd, qq = d + wx[lane], q + wy[lane]
            px[lane] = x[lane] + dd * c[lane] - qq * s[lane]
            py[lane] = y[lane] + dd * s[lane] + qq * c[lane]
        locate(f, p.level[m], n, px, py, at, ax, ay)
        read(table, n, at, ax, ay, scale * weight, t, z[0], z[1])
        for lane in range(n):
            out[lane] += t[lane]


@njit(**INLINE)
def water_in_run(f, k, r, n, px, py, c, s, w, at, z, end_u, end_o):
    """Where the run crosses water on its way, let that share of it end there."""
    ax, ay, t, v, most, worth, qx, qy = w[10], w[11], w[12], w[13], w[14], w[15], w[16], w[17]
    looks = np.int32(abs(r) / STEP) + 1
    for lane in range(n):
        most[lane], worth[lane] = F(0), F(0)
    for b in range(1, looks + 1):
        part = r * F(b) / F(looks + 1) if b <= looks else r
        for lane in range(n):
            qx[lane], qy[lane] = px[lane] + part * c[lane], py[lane] + part * s[lane]
        locate(f, k, n, qx, qy, at, ax, ay)
        read(f.wet, n, at, ax, ay, F(1 / 65535), t, z[0], z[1])
        read(f.wet_u, n, at, ax, ay, F(1) / f.number[0], v, z[0], z[1])
        for lane in range(n):
            if t[lane] > most[lane]:
                most[lane], worth[lane] = t[lane], v[lane]
    for lane in range(n):
        qx[lane], qy[lane] = px[lane] + r * c[lane], py[lane] + r * s[lane]
    locate(f, k, n, qx, qy, at, ax, ay)
    read(f.wet, n, at, ax, ay, F(1 / 65535), t, z[0], z[1])
    for lane in range(n):
        crossed = max(most[lane] - t[lane], F(0))
        end_u[lane] += crossed * (worth[lane] / max(most[lane], F(1e-6)) - end_u[lane])
        end_o[lane] -= crossed * end_o[lane]


@njit(**FAST)
def full(f, p, lie, shot, n, x, y, c, s, h, eu, eo, w, at, z):
    """Mean of U - 1 and of the flag over the pattern, with run and height at every point."""
    e = p.extra[lie, shot]
    px, py, ax, ay, wx, wy = w[0], w[1], w[2], w[3], w[4], w[5]
    u0, o0, t, u1, o1, qx, qy = w[6], w[7], w[8], w[9], w[18], w[19], w[20]
    bx, by = w[21], w[22]
    wind_shift(f, e, n, c, s, wx, wy)
    flagged, watery = f.number[5] > 0, f.number[4] > 0
    one = F(1) / f.number[0]
    for lane in range(n):
        eu[lane], eo[lane], o0[lane], o1[lane] = F(0), F(0), F(0), F(0)
    for m in range(p.first[lie, shot], p.last[lie, shot]):
        weight, k = p.point[m, 2], p.level[m]
        place_point(f, e[0], p.point[m, 0], p.point[m, 1], n, x, y, c, s, h, wx, wy, px, py)
        locate(f, k, n, px, py, at, ax, ay)
        read(f.u, n, at, ax, ay, one, u0, z[0], z[1])
        if flagged:
            read(f.o, n, at, ax, ay, F(1 / 65535), o0, z[0], z[1])
        for lane in range(n):
            eu[lane] += weight * u0[lane]
            eo[lane] += weight * o0[lane]
        if e[9] == 0:
            continue
        for g in range(4):
            if p.runs[lie, shot, g] == 0:
                continue
            locate(f, k, n, px, py, at, ax, ay)
            read(share(f, g), n, at, ax, ay, F(1 / 65535), t, z[0], z[1])
            for b in range(p.runs[lie, shot, g]):
                r, rw = p.run[lie, shot, g, b, 0], p.run[lie, shot, g, b, 1] * weight
                for lane in range(n):
                    qx[lane], qy[lane] = px[lane] + r * c[lane], py[lane] + r * s[lane]
                locate(f, k, n, qx, qy, at, bx, by)
                read(f.u, n, at, bx, by, one, u1, z[0], z[1])
                if flagged:
                    read(f.o, n, at, bx, by, F(1 / 65535), o1, z[0], z[1])
                if watery:
                    water_in_run(f, k, r, n, px, py, c, s, w, at, z, u1, o1)
                for lane in range(n):
                    eu[lane] += rw * t[lane] * (u1[lane] - u0[lane])
                    eo[lane] += rw * t[lane] * (o1[lane] - o0[lane])
