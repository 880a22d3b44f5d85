# mypy: ignore-errors
"""Rows of the small problem: cells in which balls end, as chances of the spots that they lie between."""

from __future__ import annotations

import numpy as np
from numba import njit

from bagwright.strokes._kernel_blur import FREE

FAST = {"nogil": True, "fastmath": FREE, "error_model": "numpy", "boundscheck": False, "cache": True}
F = np.float32
HOPELESS = F(0.95)
"""Chance of stroke and distance from which a shot counts as this bad at most; as in the solver."""


@njit(**FAST)
def rows(cells, share, flagged, slot, weight, keep, tolerance, start, to, chance):
    """Chances of the next spots: entries start[m] .. start[m + 1] of `to` and `chance` for question m.

    `cells`, `share` (m, balls) are where its balls end and what each counts. `slot`, `weight` (all cells, 4)
    are the spots that a ball in a cell counts for; a weight of 0 is no spot (holed, or out). What falls on
    spots that are not in `keep`, and entries below `tolerance` of the row's largest, is given to the others
    in proportion. What `flagged` cells take is divided out. `to` and `chance` must hold m * len(keep).
    """
    sums, seen = np.zeros(len(keep), F), np.empty(len(keep), np.int32)
    end = 0
    start[0] = 0
    for m in range(cells.shape[0]):
        count, out, total = 0, F(0), F(0)
        for k in range(cells.shape[1]):
            cell, one = cells[m, k], share[m, k]
            out += one if flagged[cell] else F(0)
            for t in range(4):
                part = one * weight[cell, t]
                if part > F(0):
                    j = slot[cell, t]
                    if sums[j] == F(0):
                        seen[count] = j
                        count += 1
                    sums[j] += part
        largest, kept = F(0), F(0)
        for k in range(count):
            total += sums[seen[k]]
            if keep[seen[k]]:
                largest = max(largest, sums[seen[k]])
        least = tolerance * largest
        for k in range(count):
            if keep[seen[k]] and sums[seen[k]] >= least:
                kept += sums[seen[k]]
        grow = total / max(kept, F(1e-30)) / (F(1) - min(out, HOPELESS))
        for k in range(count):
            j = seen[k]
            if keep[j] and sums[j] >= least:
                to[end], chance[end] = j, sums[j] * grow
                end += 1
            sums[j] = F(0)
        start[m + 1] = end
