"""Robust centring and scale of residuals in groups, each shot held against the others of its group.

With a handful of shots a median that contains the odd ball hides it: of two shots, each is off by half. So a
shot is compared with the median of the *others*, and what that median leaves open is carried along.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

NORMAL_MAD = 1.4826
"""Median absolute deviation of a normal sample times this is its sd: 1 / Phi^-1(3/4)."""
MEDIAN_COST = np.pi / 2.0
"""Variance of a median of normals over that of their mean, for many (Kendall and Stuart, vol. 1: pi/2)."""


@dataclass(frozen=True, slots=True)
class Centred:
    """Residuals against the others of their group, arrays (n,).

    `residual` is value minus what the group's other shots and, through the shrinking, all groups let us
    expect, `open_var` the variance of that expectation, `expected` what was taken off.
    """

    residual: Floats
    open_var: Floats
    expected: Floats


def others_median(values: Floats, group: Ints) -> tuple[Floats, Ints]:
    """For each value the median of the other values of its group, and how many those are; NaN for none."""
    n = len(values)
    order = np.lexsort((values, group))
    v, g = values[order], group[order]
    start = np.flatnonzero(np.r_[True, g[1:] != g[:-1]]) if n else np.zeros(0, np.int64)
    size = np.diff(np.r_[start, n])
    first, count = np.repeat(start, size), np.repeat(size, size)
    rank = np.arange(n) - first
    half = (count - 1) // 2
    # Without the value at `rank`, m = count - 1 others stay; their middle ones stand at half (and half - 1).
    upper = first + half + (rank <= half)
    lower = first + np.maximum(half - 1, 0) + (rank <= half - 1)
    lower = np.where((count - 1) % 2 == 1, upper, lower)
    last = max(n - 1, 0)
    middle = 0.5 * (v[np.minimum(upper, last)] + v[np.minimum(lower, last)]) if n else v
    found = np.empty(n)
    others = np.empty(n, dtype=np.int64)
    found[order] = np.where(count > 1, middle, np.nan)
    others[order] = count - 1
    return found, others


def group_medians(values: Floats, group: Ints) -> tuple[Ints, Floats]:
    """The groups, ascending, and the median of each."""
    if not len(values):
        return np.zeros(0, np.int64), np.zeros(0)
    order = np.lexsort((values, group))
    v, g = values[order], group[order]
    start = np.flatnonzero(np.r_[True, g[1:] != g[:-1]])
    size = np.diff(np.r_[start, len(g)])
    return g[start], 0.5 * (v[start + (size - 1) // 2] + v[start + size // 2])


def centred(values: Floats, group: Ints, scale: float, between: float) -> Centred:
    """Centre values on their own group's other shots, shrunk towards the middle of all groups.

    `scale` is the sd of one shot, `between` the sd of groups around the middle of all. The shrinking is the
    normal one of a group mean known with variance v towards a common mean with variance between^2 (Gelman et
    al., Bayesian Data Analysis, 3rd ed., section 5.4). The middle of all is the median of the group medians.
    """
    found, others = others_median(values, group)
    _, medians = group_medians(values, group)
    middle = float(np.median(medians)) if len(medians) else 0.0
    cost = np.where(others > 2, MEDIAN_COST, 1.0)
    share = np.where(others > 0, cost / np.maximum(others, 1), np.inf)
    known = share * scale**2
    weight = between**2 / (between**2 + known)
    expected = np.where(others > 0, weight * np.nan_to_num(found) + (1.0 - weight) * middle, middle)
    return Centred(values - expected, between**2 * (1.0 - weight), expected)


def robust_scale(values: Floats, group: Ints) -> tuple[float, int]:
    """Sd of one shot from the MAD of all groups' raw residuals, and on how many shots it rests.

    Every raw residual is first brought to the variance of one shot. NaN where no group has two shots.
    """
    raw = standardised(values, group)
    seen = raw[np.isfinite(raw)]
    if not len(seen):
        return float("nan"), 0
    return NORMAL_MAD * float(np.median(np.abs(seen))), len(seen)


def standardised(values: Floats, group: Ints) -> Floats:
    """Value minus the median of the group's others, brought to one shot's variance; NaN for a lone shot."""
    found, others = others_median(values, group)
    cost = np.where(others > 2, MEDIAN_COST, 1.0)
    return np.asarray((values - found) / np.sqrt(1.0 + cost / np.maximum(others, 1)))
