"""What carry a new club should have to even the bag, and which loft would give it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from bagwright.distances.line import fitted_rows, line_draws
from bagwright.distances.rows import Row, estimate, normals
from bagwright.estimate import Z90, Estimate
from bagwright.units import M_PER_YD

if TYPE_CHECKING:
    from bagwright.distances.table import Floats

COMMON_M_PER_DEG = (2.0 * M_PER_YD, 4.0 * M_PER_YD)
"""Carry a degree of loft is worth: 2 to 4 yards (common practice, no source), taken as a 90 % range."""

BUILD_SCATTER = 0.03
"""Sd of the carry of builds of one loft, as a share of carry, where the player's own line does not tell it:
half of what clubs of a bag differ beside their loft (judgement)."""


class NewClub(NamedTuple):
    """Carry of the club that would halve a gap, and its loft: by the player's own line, by common practice.

    Lofts in degrees; `own_deg` is None without a loft line, both are None without the neighbours' lofts.
    """

    carry_m: Estimate
    own_deg: Estimate | None
    common_deg: Estimate | None


def new_club(longer: Row, shorter: Row, rows: Sequence[Row]) -> NewClub:
    """Work out the club between two neighbours: carry in even proportion to both, loft counted from both."""
    target = np.sqrt(np.maximum(longer.carry, 1.0) * np.maximum(shorter.carry, 1.0))
    low, high = COMMON_M_PER_DEG
    middle, sd = 0.5 * (low + high), 0.5 * (high - low) / Z90
    common = np.maximum(middle + sd * normals(3000), 0.5 * low)
    return NewClub(
        estimate(target),
        _by_own_line(longer, shorter, target, rows),
        _loft(longer, shorter, target, common, BUILD_SCATTER * target * normals(3002)),
    )


def _by_own_line(longer: Row, shorter: Row, target: Floats, rows: Sequence[Row]) -> Estimate | None:
    used = fitted_rows(rows)
    drawn = line_draws(used)
    if drawn is None or float(np.quantile(-drawn[0], 0.05)) <= 0.0:
        return None
    slope, start = drawn
    lofts = np.array([row.loft_deg for row in used], dtype=np.float64)
    off = np.stack([row.carry for row in used], axis=1) - (start[:, None] + slope[:, None] * lofts)
    scatter = 1.4826 * float(np.median(np.abs(np.median(off, axis=0))))
    own = np.maximum(scatter, BUILD_SCATTER * target)
    return _loft(longer, shorter, target, -slope, own * normals(3001))


def _loft(longer: Row, shorter: Row, target: Floats, per_deg: Floats, scatter: Floats) -> Estimate | None:
    """Loft that carries to the target, counted from each neighbour whose loft is known, averaged.

    `scatter` (metres) is what builds of one loft differ by: without it the range would tell only how well
    the neighbours are known, not which loft will do.
    """
    counted = [
        row.loft_deg + (row.carry - target + scatter) / per_deg
        for row in (longer, shorter)
        if row.loft_deg is not None
    ]
    return estimate(np.mean(counted, axis=0)) if counted else None
