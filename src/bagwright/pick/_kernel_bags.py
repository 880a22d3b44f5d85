# mypy: ignore-errors
"""Strokes of many bags at once: sixteen side by side in lanes, hole by hole, near spots first."""

from __future__ import annotations

import numpy as np
from numba import njit

from bagwright.strokes._kernel_blur import FREE

FAST = {"nogil": True, "fastmath": FREE, "error_model": "numpy", "boundscheck": False, "cache": True}
F = np.float32
U8 = np.uint64
LANES = 16
FAR = F(1e6)
"""What an option costs in a bag that has not got its club, strokes."""


@njit(**FAST)
def add_row(first, last, to, chance, d, q):
    """Add sum of chance * d over the entries first .. last to q (LANES,); d lies flat, LANES a spot."""
    n = U8(16)
    z = U8(first)
    end = U8(last)
    while z + U8(4) <= end:
        a, b = U8(to[z]) * n, U8(to[z + U8(1)]) * n
        c, e = U8(to[z + U8(2)]) * n, U8(to[z + U8(3)]) * n
        u, v, w, x = chance[z], chance[z + U8(1)], chance[z + U8(2)], chance[z + U8(3)]
        for lane in range(LANES):
            k = U8(lane)
            q[k] += (u * d[a + k] + v * d[b + k]) + (w * d[c + k] + x * d[e + k])
        z += U8(4)
    while z < end:
        a, u = U8(to[z]) * n, chance[z]
        for lane in range(LANES):
            q[U8(lane)] += u * d[a + U8(lane)]
        z += U8(1)


@njit(**FAST)
def sweep(s0, s1, first_option, club, cost, first_entry, to, chance, without, d, best, q):
    """Take every spot of a hole anew, near ones first; the largest change.

    `without` (clubs + 1, LANES) is 0 where a bag has the club and FAR where not; its last row is the
    fallback's. Exact: an option never costs less than its own cost, and options stand in the order of theirs.
    """
    most = F(0)
    last = without.shape[0] - 1
    for s in range(s0, s1):
        for lane in range(LANES):
            best[lane] = FAR
        for o in range(first_option[s], first_option[s + 1]):
            c = cost[o]
            k = club[o]
            missing = without[k if k >= 0 else last]
            wanted, open_ = False, False
            for lane in range(LANES):
                open_ |= best[lane] > c
                wanted |= (missing[lane] == F(0)) & (best[lane] > c)
            if not open_:
                break
            if not wanted:
                continue
            for lane in range(LANES):
                q[lane] = c + missing[lane]
            add_row(first_entry[o], first_entry[o + 1], to, chance, d, q)
            for lane in range(LANES):
                best[lane] = min(best[lane], q[lane])
        at = U8(s) * U8(16)
        for lane in range(LANES):
            k = at + U8(lane)
            most = max(most, best[lane] - d[k])
            d[k] = best[lane]
    return most


@njit(**FAST)
def solve(first_spot, tee, first_option, club, cost, first_entry, to, chance, without, still, most_sweeps, d,
          out):  # fmt: skip
    """D of every spot for the lanes' bags into d (flat, spots * LANES), at the tees into out (holes, LANES).

    Gives the largest last change and the number of sweeps. From 0 upwards: what is given never lies above.
    """
    best, q = np.empty(LANES, F), np.empty(LANES, F)
    worst, count = F(0), 0
    for h in range(len(tee)):
        s0, s1 = first_spot[h], first_spot[h + 1]
        for k in range(s0 * LANES, s1 * LANES):
            d[U8(k)] = F(0)
        change = F(0)
        for _ in range(most_sweeps):
            change = sweep(s0, s1, first_option, club, cost, first_entry, to, chance, without, d, best, q)
            count += 1
            if change <= still:
                break
        worst = max(worst, change)
        for lane in range(LANES):
            out[h, lane] = d[tee[h] * LANES + lane]
    return worst, count


@njit(**FAST)
def decide(first_option, club, cost, first_entry, to, chance, without, d, choice, strokes):
    """The chosen option of every spot of one bag: without (clubs + 1,), d (spots,) given."""
    for s in range(len(choice)):
        best = FAR
        choice[s] = first_option[s + 1] - 1
        for o in range(first_option[s], first_option[s + 1]):
            if without[club[o] if club[o] >= 0 else len(without) - 1] > F(0):
                continue
            q = cost[o]
            for z in range(first_entry[o], first_entry[o + 1]):
                q += chance[z] * d[to[z]]
            if q < best:
                best = q
                choice[s] = o
        strokes[s] = best


@njit(**FAST)
def visits(first_spot, tee, first_entry, to, chance, choice, still, most_sweeps, times):
    """How often a round comes to each spot under the chosen options: far spots first, until it stays.

    The row sums below 1 by what is holed; a shot played again is one visit with its chances grown.
    """
    room = np.zeros(len(times), np.float64)
    for h in range(len(tee)):
        s0, s1 = first_spot[h], first_spot[h + 1]
        room[tee[h]] = 1.0
        for _ in range(most_sweeps):
            moved = 0.0
            for s in range(s1 - 1, s0 - 1, -1):
                w = room[s]
                if w <= 0.0:
                    continue
                room[s] = 0.0
                times[s] += w
                moved += w
                o = choice[s]
                for z in range(first_entry[o], first_entry[o + 1]):
                    room[to[z]] += w * chance[z]
            if moved < still:
                break
