# mypy: ignore-errors
"""Strokes of many bags at once: sixteen side by side in lanes, hole by hole, near spots first."""

from __future__ import annotations

import numpy as np
from numba import njit

from bagwright.pick._row_lanes import LANES, add_row
from bagwright.strokes._kernel_blur import FREE

FAST = {"nogil": True, "fastmath": FREE, "error_model": "numpy", "boundscheck": False, "cache": True}
F = np.float32
U8 = np.uint64
FAR = F(1e6)
"""What an option costs in a bag that has not got its club, strokes."""


@njit(**FAST)
def lanes(d, s):
    """The numbers of one spot."""
    a = np.int64(s) * LANES
    return d[a : a + LANES]


@njit(**FAST)
def sweep(fresh, s0, s1, first_option, club, cost, first_entry, to, chance, without, d, known, best):
    """Take every spot of a hole anew, near ones first; the largest change.

    `without` (flat, (clubs + 1) * LANES) is 0 where a bag has the club and FAR where not; its last row is the
    fallback's. `known` (options * LANES) is what each option cost when it was last looked at; a `fresh` sweep
    knows nothing. What does not matter is left out exactly: values only grow, so that an option never costs
    less than it did, nor less than its own cost; and options stand in the order of their costs.
    """
    most = F(0)
    last = len(without) // LANES - 1
    for s in range(s0, s1):
        for n in range(LANES):
            best[n] = FAR
        for o in range(first_option[s], first_option[s + 1]):
            c, k = cost[o], club[o]
            missing, q = lanes(without, k if k >= 0 else last), lanes(known, o)
            if fresh:
                for n in range(LANES):
                    q[n] = c + missing[n]
            open_, wanted = 0, 0
            for n in range(LANES):
                open_ += np.int32(best[n] > c)
                wanted += np.int32(best[n] > q[n])
            if wanted > 0 and open_ > 0:
                for n in range(LANES):
                    q[n] = c + missing[n]
                add_row(first_entry[o], first_entry[o + 1], to, chance, d, known, o)
                for n in range(LANES):
                    best[n] = min(best[n], q[n])
        own = lanes(d, s)
        for n in range(LANES):
            most = max(most, best[n] - own[n])
            own[n] = best[n]
    return most


@njit(**FAST)
def solve(first_spot, tee, first_option, club, cost, first_entry, to, chance, without, still, most_sweeps, d,
          known, out):  # fmt: skip
    """D of every spot for the lanes' bags into d (flat, spots * LANES), at the tees into out (holes, LANES).

    Gives the largest last change and the number of sweeps. From 0 upwards: what is given never lies above.
    """
    best = np.empty(LANES, F)
    worst, count = F(0), 0
    for h in range(len(tee)):
        s0, s1 = first_spot[h], first_spot[h + 1]
        for k in range(s0 * LANES, s1 * LANES):
            d[U8(k)] = F(0)
        change = F(0)
        for i in range(most_sweeps):
            change = sweep(
                i == 0, s0, s1, first_option, club, cost, first_entry, to, chance, without, d, known, best
            )
            count += 1
            if change <= still:
                break
        worst = max(worst, change)
        for n in range(LANES):
            out[h, n] = d[tee[h] * LANES + n]
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


@njit(**FAST)
def moved(options, first, behind, swayed, times, out):
    """Add to out (draws,) what the cheapest options of spots cost under each draw, by how often they come.

    Spot k has the options first[k] .. first[k + 1] of `options`, comes times[k] times; behind (options,) and
    swayed (all options, draws) are what they cost.
    """
    n = len(out)
    least = np.empty(n, F)
    for k in range(len(times)):
        for draw in range(n):
            least[draw] = FAR
        for z in range(first[k], first[k + 1]):
            row, more = swayed[options[z]], behind[z]
            for draw in range(n):
                least[draw] = min(least[draw], more + row[draw])
        for draw in range(n):
            out[draw] += times[k] * least[draw]
