# mypy: ignore-errors
# ruff: noqa: C901
"""Shots read point by point from fields that have the run in them."""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from bagwright.strokes._kernel_blur import FREE
from bagwright.strokes._kernel_exact import blown
from bagwright.strokes._kernel_read import FULL, LANES, Fields, height_at, locate, read
from bagwright.strokes._kernel_run import after_run, around, blur_window, layout, phases, within

F = np.float32
U8 = np.uint64
I4 = np.int32
SPAN = F(8)
"""Half the length over which the ground's slope is taken, cells."""
FAST = {"nogil": True, "fastmath": FREE, "error_model": "numpy", "boundscheck": False, "cache": True}


@njit(**FAST)
def lands(f, x, y, h, c, s, d, q, cot):
    """How far along its aim a level landing (d, q) comes down on the ground."""
    down = F(0)
    for _ in range(3):
        at = d - down
        down = (height_at(f, x + at * c - q * s, y + at * s + q * c) - h) * cot
    return d - down


@njit(**FAST)
def slopes(f, x, y, h, c, s, d, q, cot):
    """The ground's slopes along and across where a level landing (d, q) comes down."""
    at = lands(f, x, y, h, c, s, d, q, cot)
    px, py = x + at * c - q * s, y + at * s + q * c
    ahead, behind = height_at(f, px + SPAN * c, py + SPAN * s), height_at(f, px - SPAN * c, py - SPAN * s)
    right, left = height_at(f, px - SPAN * s, py + SPAN * c), height_at(f, px + SPAN * s, py - SPAN * c)
    return (ahead - behind) / (F(2) * SPAN), (right - left) / (F(2) * SPAN)


@njit(**FAST)
def fine(f, g, p, u, o, flagged, run, near, bc, bs, whole, number, eu, eo):
    """Means of U - 1 and of the flag over whole patterns, from fields that have the run in them.

    `run` (4,) is the mean run of the fields, (bc, bs) their direction: with `near` a pattern is set off by
    what its own direction makes of the run at its centre. Row 6 of `number` is by how much the shot's own run
    there is longer than that of the fields. Each normal comes down to
    the ground under its centre. Questions of one lie and shot stand together.
    """
    w = np.zeros((12, LANES), np.float32)
    at, z = np.zeros(LANES, np.int32), np.zeros((2, LANES), np.uint32)
    px, py, ax, ay, wx, wy = w[0], w[1], w[2], w[3], w[4], w[5]
    slope, tilt, low, off_x, off_y = w[6], w[7], w[8], w[9], w[10]
    scale = F(1) / f.number[0]
    a, count = 0, whole.shape[1]
    while a < count:
        lie, shot = whole[0, a], whole[1, a]
        b = a
        while b < count and b < a + LANES and whole[0, b] == lie and whole[1, b] == shot:
            b += 1
        n = b - a
        x, y, h, c, s = number[0, a:b], number[1, a:b], number[2, a:b], number[4, a:b], number[5, a:b]
        out_u, out_o = eu[a:b], eo[a:b]
        e = p.extra[lie, shot]
        for lane in range(n):
            wx[lane], wy[lane] = blown(g.wind, e, c[lane], s[lane])
            out_u[lane], out_o[lane] = F(0), F(0)
        if f.number[3] > 0:
            for lane in range(n):
                d, q = e[6] + wx[lane], e[7] + wy[lane]
                along, across = slopes(f, x[lane], y[lane], h[lane], c[lane], s[lane], d, q, e[0])
                slope[lane], tilt[lane] = F(1) / max(F(1) + along * e[0], F(0.3)), across * e[0]
        for lane in range(n):
            d, q = e[6] + wx[lane], e[7] + wy[lane]
            i = I4(min(max(x[lane] + d * c[lane] - q * s[lane], F(0)), F(g.rows) - F(0.5)))
            j = I4(min(max(y[lane] + d * s[lane] + q * c[lane], F(0)), F(g.columns) - F(0.5)))
            k = g.group[U8(i) * U8(g.columns) + U8(j)]
            r = run[0] if k == 1 else run[1] if k == 2 else run[2] if k == 3 else run[3] if k == 4 else F(0)
            r = r if near else F(0)
            rest = number[6, a + lane]
            off_x[lane] = x[lane] + r * (c[lane] - bc) + rest * c[lane]
            off_y[lane] = y[lane] + r * (s[lane] - bs) + rest * s[lane]
        before = F(-1e9)
        for m in range(p.count[lie, shot]):
            d, q, weight = p.point[lie, shot, m, 0], p.point[lie, shot, m, 1], p.point[lie, shot, m, 2]
            middle, own = p.point[lie, shot, m, 3], p.point[lie, shot, m, 4]
            if f.number[3] > 0 and middle != before:
                before = middle
                for lane in range(n):
                    far, qq = middle + wx[lane], e[7] + wy[lane]
                    low[lane] = lands(f, x[lane], y[lane], h[lane], c[lane], s[lane], far, qq, e[0])
            for lane in range(n):
                dd, qq = d + wx[lane], q + wy[lane]
                if f.number[3] > 0:
                    # The normal's centre comes down to the ground; about it the slope makes the pattern
                    # shorter or longer, the level's own part in it included.
                    f2 = max(slope[lane] * slope[lane] - own, F(0)) / max(F(1) - own, F(0.05))
                    dd = low[lane] - tilt[lane] * (q - e[7]) * slope[lane] + (d - middle) * F(math.sqrt(f2))
                px[lane] = off_x[lane] + dd * c[lane] - qq * s[lane]
                py[lane] = off_y[lane] + dd * s[lane] + qq * c[lane]
            locate(f, p.level[lie, shot, m], n, px, py, at, ax, ay)
            read(u, n, at, ax, ay, scale * weight, out_u, z[0], z[1])
            if flagged:
                read(o, n, at, ax, ay, FULL * weight, out_o, z[0], z[1])
        a = b


@njit(**FAST)
def buckets(low, share, near, directions, whole, number, out, weight):
    """The up to four fields that each question reads, and their weights (4, count).

    A field's number is its kind of run times 64, and its direction. A question lies between two kinds and
    two directions; of the directions it takes the nearer alone where the kind says so.
    """
    for m in range(number.shape[1]):
        k, part = low[whole[0, m], whole[1, m]], share[whole[0, m], whole[1, m]]
        for t in range(2):
            n = directions[k + t]
            turn = number[3, m] / F(2 * math.pi) * F(n)
            kind = part if t == 1 else F(1) - part
            if near[k + t]:
                turn = F(math.floor(turn + F(0.5)))
            first = math.floor(turn)
            beyond = turn - F(first)
            out[2 * t, m] = (k + t) * 64 + first % n
            out[2 * t + 1, m] = (k + t) * 64 + (first + 1) % n
            weight[2 * t, m], weight[2 * t + 1, m] = kind * (F(1) - beyond), kind * beyond


@njit(**FAST)
def gather(first, bucket, order, whole, number, levels, close, one_w, one_n, wanted):
    """Copy the questions of the bucket that begins at `first` of `order` into one_w and one_n.

    Sets `wanted` to the levels that they read. Gives how many they are, and whether the flag matters.
    """
    count, asked, n = len(order), whole.shape[1], 0
    flagged = False
    wanted[:] = False
    while first + n < count and bucket[order[first + n]] == bucket[order[first]]:
        m = order[first + n] % asked
        for t in range(2):
            one_w[t, n] = whole[t, m]
        for t in range(8):
            one_n[t, n] = number[t, m]
        wanted |= levels[whole[0, m], whole[1, m]]
        flagged |= close[m]
        n += 1
    return n, flagged


@njit(**FAST)
def narrowest(wanted, cells):
    """Size of the cells of the narrowest wanted level; 1 where none is wanted."""
    for k in range(len(wanted)):
        if wanted[k]:
            return cells[k]
    return 1


@njit(**FAST)
def means(f, g, p, base, flags, pad, runs, near, directions, nodes, weights, extent, levels, cells, kernel,
          reach, chain, whole, number, order, bucket, share, close, room, eu, eo):  # fmt: skip
    """Add E[U] - 1 and the chance of the flag of all questions to eu and eo, bucket by bucket as ordered.

    A bucket is a kind of run and a direction: its field is worked out over the window of its landings.
    `order` counts the fields of `bucket` (4, questions) laid flat. `close` says for which
    questions the flag matters; `near` (kinds,) which kinds are set off by their direction (see `fine`).
    """
    count, n_levels, asked = len(order), len(cells), len(eu)
    map_u, spare, field = np.empty(room, F), np.empty(3 * room, F), np.empty(3 * room, F)
    packed_u, packed_o = np.empty(3 * room, U8), np.empty(3 * room, U8)
    line, wanted = np.zeros(8192, F), np.zeros(n_levels, np.bool_)
    read_at, place = np.zeros((n_levels, 5), F), np.zeros((n_levels, 2), np.int64)
    one_w, one_n = np.empty((2, count), np.int64), np.empty((8, count), F)
    one_u, one_o = np.empty(count, F), np.empty(count, F)
    wide = g.columns + 2 * pad
    apart = (phases(base, wide, 1), phases(flags, wide, 1), phases(base, wide, 4), phases(flags, wide, 4))
    a = 0
    while a < count:
        n, flagged = gather(a, bucket, order, whole, number, levels, close, one_w, one_n, wanted)
        kind, which = bucket[order[a]] // 64, bucket[order[a]] % 64
        angle = 2 * math.pi * which / directions[kind]
        c, s = F(math.cos(angle)), F(math.sin(angle))
        moved = 1 if abs(runs[kind, 0, 0]) > 0 else 0
        size = min(narrowest(wanted, cells), 2)
        window = within(around(one_w[:, :n], one_n[:, :n], extent, size), g.rows, g.columns)
        needed = layout(window, wanted, cells, read_at, place)
        if needed > len(field):
            spare, field = np.empty(needed, F), np.empty(needed, F)
            packed_u, packed_o = np.empty(needed, U8), np.empty(needed, U8)
        for turn in range(2 if flagged else 1):
            source, packed = base if turn == 0 else flags, packed_u if turn == 0 else packed_o
            lift, scale = F(-1) if turn == 0 else F(0), f.number[0] if turn == 0 else F(65535)
            split = apart[turn] if window[4] == 1 else apart[2 + turn]
            after_run(g, source, split, pad, runs[kind], nodes, weights, c, s, window, map_u)
            blur_window(
                map_u, spare, field, packed, window, wanted, cells, (kernel[moved], reach[moved]), chain,
                place, lift, scale, line,
            )  # fmt: skip
        local = Fields(f.u, f.o, f.shares, read_at, place, f.height, f.number)
        fine(
            local, g, p, packed_u, packed_o, flagged, runs[kind, :, 0], near[kind], c, s, one_w[:, :n],
            one_n[:, :n], one_u, one_o,
        )  # fmt: skip
        for k in range(n):
            m = order[a + k] % asked
            eu[m] += share[order[a + k]] * one_u[k]
            eo[m] += share[order[a + k]] * one_o[k]
        a += n
