# mypy: ignore-errors
# ruff: noqa: C901
"""Looking for the best shot and aim from many spots, on blurred fields.

Candidates of spot i: `shot[i, r]` (-1 for none), `aim[i, r]` (radians in the raster's frame), `worth[i, r]`
(strokes), `flag[i, r]` (chance of stroke and distance), `more[i, r]` and `more_out[i, r]` (what single balls
add to the quick answers, U and flag).

Questions are sorted by lie and shot: `who` (i * 8 + r), `whole` (2, m) lie and shot, `number` (8, m): x, y,
height, aim, its cosine and sine, how far the pattern moves along and to the right; `sums` the ends of blocks.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from bagwright.strokes._kernel_blur import FREE
from bagwright.strokes._kernel_read import LANES, move, quick, quick_two

F = np.float32
KEPT = 8
"""Candidates kept at a spot."""
HOPELESS = F(0.95)
"""Chance of stroke and distance from which a shot counts as this bad at most."""
SHORT, SHORT_NEAR = F(60), F(130)
"""Shots shorter than this are tried only this near the pin, cells."""
FAR_OFF, FAR_SHARE = F(6), F(0.06)
"""A spot follows others within so many cells and this share of the way to the pin: judgement."""
ALIKE = F(0.14)
"""Aims that are less apart than this, radians (8 degrees), are one candidate's."""
FAST = {"nogil": True, "fastmath": FREE, "error_model": "numpy", "boundscheck": False, "cache": True}


@njit(**FAST)
def strokes_of(eu, eo):
    """Strokes from a spot when the shot is played again after stroke and distance; eu is E[U] - 1."""
    return (F(2) + eu) / (F(1) - min(eo, HOPELESS))


@njit(**FAST)
def flatten(ids, kept, shot, aim, x, y, h, lie, shots):
    """Questions of the spots' first `kept` candidates, sorted by lie and shot."""
    sums = np.zeros(6 * shots + 1, np.int64)
    for q in range(len(ids)):
        i = ids[q]
        for r in range(kept):
            if shot[i, r] >= 0:
                sums[lie[i] * shots + shot[i, r] + 1] += 1
    for g in range(6 * shots):
        sums[g + 1] += sums[g]
    count, place = sums[-1], sums[:-1].copy()
    who, whole = np.empty(count, np.int64), np.empty((2, count), np.int64)
    number = np.zeros((8, count), np.float32)
    for q in range(len(ids)):
        i = ids[q]
        for r in range(kept):
            if shot[i, r] >= 0:
                g = lie[i] * shots + shot[i, r]
                m = place[g]
                place[g] += 1
                who[m] = i * 8 + r
                whole[0, m], whole[1, m] = lie[i], shot[i, r]
                number[0, m], number[1, m], number[2, m], number[3, m] = x[i], y[i], h[i], aim[i, r]
    return who, whole, number, sums


@njit(**FAST)
def turn(number, middle, by):
    """Set the aims of all questions, and their cosines and sines."""
    for m in range(len(middle)):
        t = middle[m] + by
        number[3, m], number[4, m], number[5, m] = t, F(math.cos(t)), F(math.sin(t))


@njit(**FAST)
def ask(f, p, run, moving, flagged, whole, number, sums, eu, eo):
    """Quick means of U - 1 into eu, and of the flag into eo if `flagged`; `moving` works out the moves."""
    some = np.zeros(2 * LANES, np.float32)
    scale = F(1) / f.number[0]
    for g in range(len(sums) - 1):
        a, end = sums[g], sums[g + 1]
        while a < end:
            b = min(a + LANES, end)
            n = b - a
            lie, shot = whole[0, a], whole[1, a]
            x, y, h, c, s = number[0, a:b], number[1, a:b], number[2, a:b], number[4, a:b], number[5, a:b]
            mx, my = number[6, a:b], number[7, a:b]
            if moving:
                move(f, p, run, lie, shot, n, x, y, c, s, h, mx, my, some)
            if flagged:
                quick_two(f, p, scale, lie, shot, n, x, y, c, s, mx, my, eu[a:b], eo[a:b], some)
            else:
                quick(f, p, f.u, scale, lie, shot, n, x, y, c, s, mx, my, eu[a:b], some)
            a = b


@njit(**FAST)
def refine(f, p, run, whole, number, sums, step, halvings):
    """Halve the step of each question's aim around what is best so far; the quick strokes of the last."""
    count = len(whole[0])
    eu, eo = np.zeros(count, np.float32), np.zeros(count, np.float32)
    best, left = np.empty(count, np.float32), np.empty(count, np.float32)
    middle = number[3].copy()
    always = count >= 0
    turn(number, middle, F(0))
    ask(f, p, run, always, always, whole, number, sums, eu, eo)
    for m in range(count):
        best[m] = strokes_of(eu[m], eo[m])
    for _ in range(halvings):
        step *= F(0.5)
        for side in range(2):
            turn(number, middle, -step if side == 0 else step)
            ask(f, p, run, always, always, whole, number, sums, eu, eo)
            for m in range(count):
                value = strokes_of(eu[m], eo[m])
                if side == 0:
                    left[m] = value
                elif left[m] < best[m] and left[m] <= value:
                    best[m] = left[m]
                    middle[m] -= step
                elif value < best[m]:
                    best[m] = value
                    middle[m] += step
    turn(number, middle, F(0))
    return best


@njit(**FAST)
def scan(f, p, run, table, scale, ids, x, y, h, lie, bearing, away, reach, aims, allowed, over, shot, aim):
    """Look coarsely at every allowed shot in every direction; keep the best few of each spot.

    `ids` must be sorted by lie. Shots that reach far beyond the hole, and short ones far from it, are left
    out.
    """
    w, some = np.zeros((8, LANES), np.float32), np.zeros(2 * LANES, np.float32)
    bx, by, bh, bc, bs, mx, my, out = w[0], w[1], w[2], w[3], w[4], w[5], w[6], w[7]
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
        n = g * count
        # Whatever is left out, the shortest shot stays near the hole and the longest far from it.
        shortest, longest = F(1e9), F(0)
        for k in range(allowed.shape[1]):
            if allowed[now, k]:
                shortest, longest = min(shortest, reach[now, k]), max(longest, reach[now, k])
        for k in range(allowed.shape[1]):
            length = reach[now, k]
            if not allowed[now, k] or length > max(far * over + F(25), shortest + F(1)):
                continue
            if length < min(SHORT, longest) and close > SHORT_NEAR:
                continue
            move(f, p, run, now, k, n, bx, by, bc, bs, bh, mx, my, some)
            quick(f, p, table, scale, now, k, n, bx, by, bc, bs, mx, my, out, some)
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
def keep(who, from_, to):
    """Write answers to the questions back to the candidates."""
    for m in range(len(who)):
        to[who[m] >> 3, who[m] & 7] = from_[m]


@njit(**FAST)
def settle(who, eu, flag, more, ids, worth, value, choice):
    """Take the candidate with the fewest strokes at each spot."""
    for q in range(len(ids)):
        value[ids[q]] = F(1e9)
    for m in range(len(who)):
        i, r = who[m] >> 3, who[m] & 7
        v = strokes_of(eu[m] + more[i, r], flag[i, r])
        worth[i, r] = v
        if v < value[i]:
            value[i] = v
            choice[i] = r


@njit(**FAST)
def neighbours(x, y, lie, away, lead, near):
    """Write the three nearest leading spots of the same lie into `near` (n, 3); -1 where none is near.

    A spot that has none becomes a leading one.
    """
    n = len(x)
    least = np.empty(3, F)
    for i in range(n):
        near[i, :] = -1
        if lead[i]:
            continue
        least[:] = (FAR_OFF + FAR_SHARE * away[i]) ** 2
        for j in range(n):
            if not lead[j] or lie[j] != lie[i]:
                continue
            far = (x[i] - x[j]) ** 2 + (y[i] - y[j]) ** 2
            if far >= least[2]:
                continue
            r = 2
            while r > 0 and least[r - 1] > far:
                least[r], near[i, r] = least[r - 1], near[i, r - 1]
                r -= 1
            least[r], near[i, r] = far, j
    for i in range(n):
        if near[i, 0] < 0:
            lead[i] = True


@njit(**FAST)
def apart(one, other):
    """The angle between two directions, radians, 0 to pi."""
    turn = abs(one - other) % F(2 * math.pi)
    return min(turn, F(2 * math.pi) - turn)


@njit(**FAST)
def take(ids, near, behind, bearing, shot, aim, worth, value, more, more_out, bare):
    """Give spots the candidates of their neighbours that are not far `behind`, the best first.

    Aims turn with the bearing to the pin. `bare` is told which spots found none.
    """
    gap = np.empty(KEPT, F)
    for q in range(len(ids)):
        i, count = ids[q], 0
        for t in range(3):
            j = near[i, t]
            for r in range(KEPT if j >= 0 else 0):
                k, own = shot[j, r], worth[j, r] - value[j]
                if k < 0 or own > behind:
                    continue
                a, known = aim[j, r] + bearing[i] - bearing[j], False
                for e in range(count):
                    known |= shot[i, e] == k and apart(aim[i, e], a) < ALIKE
                if known or (count == KEPT and own >= gap[KEPT - 1]):
                    continue
                e = min(count, KEPT - 1)
                count = e + 1
                while e > 0 and gap[e - 1] > own:
                    gap[e], shot[i, e], aim[i, e] = gap[e - 1], shot[i, e - 1], aim[i, e - 1]
                    more[i, e], more_out[i, e] = more[i, e - 1], more_out[i, e - 1]
                    e -= 1
                gap[e], shot[i, e], aim[i, e] = own, k, a
                more[i, e], more_out[i, e] = more[j, r], more_out[j, r]
        for e in range(count, KEPT):
            shot[i, e] = -1
        bare[q] = count == 0


@njit(**FAST)
def carry(cells, slot, weight, behind, bearing, shot, aim, worth, value, more, more_out, own, shots, aims,
          mores, more_outs):  # fmt: skip
    """Give each cell the candidates of its four spots, what is known of them taken between the spots.

    A spot that lacks a candidate counts as `behind` strokes behind. `own` are the cells' bearings; what
    follows are their candidates (cells, kept).
    """
    room, kept = 4 * KEPT, shots.shape[1]
    k, rel, sums = np.empty(room, np.int64), np.empty(room, F), np.empty((room, 5), F)
    for c in range(len(cells)):
        count = 0
        for t in range(4):
            j, w = slot[cells[c], t], weight[cells[c], t]
            for r in range(KEPT if w > F(0) else 0):
                gap = worth[j, r] - value[j]
                if shot[j, r] < 0 or gap > behind:
                    continue
                a, e = aim[j, r] - bearing[j], 0
                while e < count and (k[e] != shot[j, r] or apart(rel[e], a) > ALIKE):
                    e += 1
                if e == count:
                    k[e], rel[e], sums[e, :] = shot[j, r], a, F(0)
                    count += 1
                turn = a - rel[e]
                turn -= F(2 * math.pi) * F(math.floor(turn / F(2 * math.pi) + F(0.5)))
                sums[e, 0] += w
                sums[e, 1] += w * (gap - behind)
                sums[e, 2] += w * turn
                sums[e, 3] += w * more[j, r]
                sums[e, 4] += w * more_out[j, r]
        for r in range(kept):
            best = -1
            for e in range(count):
                if sums[e, 0] > F(0) and (best < 0 or sums[e, 1] < sums[best, 1]):
                    best = e
            if best < 0:
                shots[c, r] = -1
                continue
            w = sums[best, 0]
            shots[c, r], aims[c, r] = k[best], own[c] + rel[best] + sums[best, 2] / w
            mores[c, r], more_outs[c, r] = sums[best, 3] / w, sums[best, 4] / w
            sums[best, 0] = F(0)
