"""The player's own loft line: how carry falls with loft, fitted so that one odd club cannot bend it.

Theil-Sen estimator (Theil 1950; Sen 1968, Journal of the American Statistical Association 63): the slope is
the median of the slopes of all pairs, the line runs through the medians of what is left; up to 29 % odd
clubs leave it where it is. Carry itself is fitted, not its logarithm: with a middle player's usual carries
the straight line in carry leaves 4 yd at most, the straight line in its logarithm 16; and its slope is
what the trade speaks of, yards a degree.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from bagwright.distances.rows import Row, estimate
from bagwright.distances.table import LoftLine, StepRules

if TYPE_CHECKING:
    from bagwright.distances.table import Floats

MIN_CLUBS = 5
MIN_LOFT_SPAN_DEG = 8.0
_OFF_SCATTERS = 2.5
"""A club is off the line only beyond this many usual scatters of the others around it."""


def theil_sen(loft: Floats, carry: Floats) -> tuple[Floats, Floats]:
    """Slopes and intercepts (n,) of carry (n, k) on loft (k,); pairs of equal loft say nothing of it."""
    i, j = np.triu_indices(len(loft), 1)
    apart = np.abs(loft[j] - loft[i]) > 1e-9
    i, j = i[apart], j[apart]
    slope = np.median((carry[:, j] - carry[:, i]) / (loft[j] - loft[i]), axis=1)
    return slope, np.median(carry - slope[:, None] * loft, axis=1)


def fitted_rows(rows: Sequence[Row]) -> list[Row]:
    """List the rows a line can be drawn through: hit, loft known, no driver (its length sets it apart)."""
    return [
        row
        for row in rows
        if row.used == "measured"
        and row.status != "not in the bag"
        and row.loft_deg is not None
        and row.kind not in ("driver", "putter")
    ]


def line_draws(rows: Sequence[Row]) -> tuple[Floats, Floats] | None:
    """Draws (n,) of slope (metres a degree) and intercept; None with too few clubs or lofts too alike."""
    lofts = _lofts(rows)
    if len(rows) < MIN_CLUBS or float(np.ptp(lofts)) < MIN_LOFT_SPAN_DEG:
        return None
    return theil_sen(lofts, np.stack([row.carry for row in rows], axis=1))


def _lofts(rows: Sequence[Row]) -> Floats:
    return np.array([row.loft_deg for row in rows], dtype=np.float64)


def loft_line(rows: Sequence[Row], rules: StepRules) -> LoftLine | None:
    """Draw the loft line through the rows that allow one, and how far off it each club lies."""
    used = fitted_rows(rows)
    drawn = line_draws(used)
    if drawn is None:
        return None
    slope, start = drawn
    lofts = _lofts(used)
    off = np.stack([row.carry for row in used], axis=1) - (start[:, None] + slope[:, None] * lofts)
    scatter = 1.4826 * float(np.median(np.abs(np.median(off, axis=0))))
    middle = float(np.mean(lofts))
    clubs = []
    for k, row in enumerate(used):
        low, high = rules.band(np.maximum(row.carry, 1e-6))
        beyond = np.maximum(0.25 * (low + high), _OFF_SCATTERS * scatter)
        clubs.append((row.name, estimate(off[:, k]), float(np.mean(np.abs(off[:, k]) > beyond))))
    return LoftLine(
        tuple(row.name for row in used), estimate(-slope), middle, estimate(start + slope * middle), scatter,
        tuple(clubs),
    )  # fmt: skip
