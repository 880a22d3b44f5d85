# mypy: ignore-errors
# ruff: noqa: C901
"""Looking for the best shot and aim from many spots, on blurred fields.

Candidates of spot i: `shot[i, r]` (-1 for none), `aim[i, r]` (radians in the raster's frame), `flag[i, r]`
(chance of stroke and distance), `more[i, r]` (what the full answer adds to the quick one).
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from bagwright.strokes._kernel_blur import FREE
from bagwright.strokes._kernel_read import LANES, ROWS, full, quick

F = np.float32
KEPT = 6
"""Candidates kept at a spot."""
HOPELESS = F(0.95)
"""Chance of stroke and distance from which a shot counts as this bad at most."""
FAST = {"nogil": True, "fastmath": FREE, "error_model": "numpy", "boundscheck": False, "cache": True}


@njit(**FAST)
def strokes_of(eu, eo):
    """Strokes from a spot when the shot is played again after stroke and distance."""
    return (F(2) + eu) / (F(1) - min(eo, HOPELESS))


@njit(**FAST)
def flatten(ids, kept, shot, aim, x, y, h, lie, shots):
    """Questions of the spots' first candidates, and their order by lie and shot."""
    count = 0
    for q in range(len(ids)):
        for r in range(kept):
            if shot[ids[q], r] >= 0:
                count += 1
    who = np.empty(count, np.int64)
    whole = np.empty((2, count), np.int64)
    number = np.empty((4, count), np.float32)
    sums = np.zeros(6 * shots + 1, np.int64)
    m = 0
    for q in range(len(ids)):
        i = ids[q]
        for r in range(kept):
            if shot[i, r] >= 0:
                who[m] = i * 8 + r
                whole[0, m], whole[1, m] = lie[i], shot[i, r]
                number[0, m], number[1, m], number[2, m], number[3, m] = x[i], y[i], h[i], aim[i, r]
                sums[lie[i] * shots + shot[i, r] + 1] += 1
                m += 1
    for g in range(6 * shots):
        sums[g + 1] += sums[g]
    order, place = np.empty(count, np.int64), sums[:-1].copy()
    for m in range(count):
        g = whole[0, m] * shots + whole[1, m]
        order[place[g]] = m
        place[g] += 1
    return who, whole, number, order, sums


@njit(**FAST)
def ask(f, p, table, scale, complete, whole, number, order, sums, eu, eo):
    """Answer all questions: quick means of `table` into eu, or full ones of U and flag into eu and eo."""
    w = np.zeros((ROWS + 8, LANES), np.float32)
    at, z = np.zeros(LANES, np.int32), np.zeros((2, LANES), np.uint32)
    x, y, h, c, s = w[ROWS], w[ROWS + 1], w[ROWS + 2], w[ROWS + 3], w[ROWS + 4]
    a, b = w[ROWS + 5], w[ROWS + 6]
    for g in range(len(sums) - 1):
        start, end = sums[g], sums[g + 1]
        while start < end:
            n = min(LANES, end - start)
            for lane in range(n):
                m = order[start + lane]
                x[lane], y[lane], h[lane] = number[0, m], number[1, m], number[2, m]
                c[lane], s[lane] = F(math.cos(number[3, m])), F(math.sin(number[3, m]))
            lie, shot = whole[0, order[start]], whole[1, order[start]]
            if complete:
                full(f, p, lie, shot, n, x, y, c, s, h, a, b, w, at, z)
            else:
                quick(f, p, table, scale, lie, shot, n, x, y, c, s, h, a, w, at, z)
            for lane in range(n):
                m = order[start + lane]
                eu[m] = a[lane]
                if complete:
                    eo[m] = b[lane]
            start += n


@njit(**FAST)
def values(f, p, pf, complete, whole, number, order, sums, eu, eo, out):
    """Strokes of all questions, quick (two readings) or full."""
    if complete:
        ask(f, pf, f.u, F(1), True, whole, number, order, sums, eu, eo)
    else:
        ask(f, p, f.u, F(1) / f.number[0], False, whole, number, order, sums, eu, eo)
        if f.number[5] > 0:
            ask(f, p, f.o, F(1 / 65535), False, whole, number, order, sums, eo, eo)
        else:
            eo[:] = F(0)
    for m in range(len(out)):
        out[m] = strokes_of(eu[m], eo[m])


@njit(**FAST)
def refine(f, p, pf, complete, whole, number, order, sums, step, halvings, eu, eo, best):
    """Halve the step of each question's aim around what is best so far; strokes of the last into best."""
    count = len(best)
    left, right = np.empty(count, np.float32), np.empty(count, np.float32)
    middle = number[3].copy()
    values(f, p, pf, complete, whole, number, order, sums, eu, eo, best)
    for _ in range(halvings):
        step *= F(0.5)
        for m in range(count):
            number[3, m] = middle[m] - step
        values(f, p, pf, complete, whole, number, order, sums, eu, eo, left)
        for m in range(count):
            number[3, m] = middle[m] + step
        values(f, p, pf, complete, whole, number, order, sums, eu, eo, right)
        for m in range(count):
            if left[m] < best[m] and left[m] <= right[m]:
                best[m] = left[m]
                middle[m] -= step
            elif right[m] < best[m]:
                best[m] = right[m]
                middle[m] += step
    for m in range(count):
        number[3, m] = middle[m]


@njit(**FAST)
def scan(f, p, table, scale, ids, x, y, h, lie, bearing, away, reach, aims, allowed, over, shot, aim):
    """Look coarsely at every allowed shot in every direction; keep the best few of each spot.

    `ids` must be sorted by lie. Shots that reach far beyond the hole, and short ones far from it, are left
    out.
    """
    w = np.zeros((ROWS + 6, LANES), np.float32)
    at, z = np.zeros(LANES, np.int32), np.zeros((2, LANES), np.uint32)
    bx, by, bh, bc, bs, out = w[ROWS], w[ROWS + 1], w[ROWS + 2], w[ROWS + 3], w[ROWS + 4], w[ROWS + 5]
    count = len(aims)
    group = LANES // count
    top, held = np.empty((group, KEPT), np.float32), np.zeros(group, np.int64)
    first = 0
    while first < len(ids):
        now, g, far, close = lie[ids[first]], 0, F(0), F(1e9)
        while g < group and first + g < len(ids) and lie[ids[first + g]] == now:
            i = ids[first + g]
            far, close = max(far, away[i]), min(close, away[i])
            held[g] = 0
            for a in range(count):
                t, q = bearing[i] + aims[a], g * count + a
                bx[q], by[q], bh[q], bc[q], bs[q] = x[i], y[i], h[i], F(math.cos(t)), F(math.sin(t))
            g += 1
        for k in range(allowed.shape[1]):
            length = reach[now, k]
            if not allowed[now, k] or length > far * over + F(25) or (length < F(60) and close > F(130)):
                continue
            quick(f, p, table, scale, now, k, g * count, bx, by, bc, bs, bh, out, w, at, z)
            for b in range(g):
                i, low, place = ids[first + b], F(1e9), 0
                for a in range(count):
                    if out[b * count + a] < low:
                        low, place = out[b * count + a], a
                r = held[b]
                if r == KEPT:
                    if low >= top[b, KEPT - 1]:
                        continue
                    r = KEPT - 1
                else:
                    held[b] += 1
                while r > 0 and top[b, r - 1] > low:
                    top[b, r], shot[i, r], aim[i, r] = top[b, r - 1], shot[i, r - 1], aim[i, r - 1]
                    r -= 1
                top[b, r], shot[i, r], aim[i, r] = low, k, bearing[i] + aims[place]
        for b in range(g):
            for r in range(held[b], KEPT):
                shot[ids[first + b], r] = -1
        first += g


@njit(**FAST)
def keep_aims(who, number, eo, aim, flag):
    """Write the questions' aims and flags back to the candidates."""
    for m in range(len(who)):
        i, r = who[m] >> 3, who[m] & 7
        aim[i, r] = number[3, m]
        flag[i, r] = eo[m]


@njit(**FAST)
def settle(who, eu, flag, more, ids, value, choice):
    """Take the candidate with the fewest strokes at each spot."""
    for q in range(len(ids)):
        value[ids[q]] = F(1e9)
    for m in range(len(who)):
        i, r = who[m] >> 3, who[m] & 7
        v = strokes_of(eu[m] + more[i, r], flag[i, r])
        if v < value[i]:
            value[i] = v
            choice[i] = r
