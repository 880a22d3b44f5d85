"""Means of what was measured beside carry and side: total, height, descent, ball speed, speed ratio."""

from __future__ import annotations

import math

import numpy as np
from scipy.special import stdtrit

from bagwright.dispersion._kernel import Floats
from bagwright.estimate import Estimate

PRIOR_BALLS = 4.0
"""Weight, in balls, of the expected spread against the spread seen in the cell."""
EXPECTED_CV = {
    "apex_m": 0.12, "descent_rad": 0.06, "ball_speed_mps": 0.03, "speed_ratio": 0.025, "run": 0.50,
    "total_m": 0.05,
}  # fmt: skip
"""Expected spread of solid strikes over their mean: working judgements."""


def solid_mean(values: Floats, solid: Floats, cv: float) -> Estimate | None:
    """Mean of solid strikes with its 90 % range; None when nothing was measured.

    `solid` (n,) holds each shot's probability of being solid and weighs it. The variance is the scaled
    inverse chi-square posterior of a normal sample (Gelman et al., Bayesian Data Analysis, 3rd ed., section
    3.3) with PRIOR_BALLS degrees of freedom for the expected spread, hence Student's t for the mean.
    """
    seen = np.isfinite(values)
    w, y = solid[seen], values[seen]
    total = float(w.sum())
    if total < 0.5:
        return None
    mean = float(w @ y) / total
    squares = float(w @ (y - mean) ** 2)
    freedom = PRIOR_BALLS + max(total - 1.0, 0.0)
    var = (PRIOR_BALLS * (cv * mean) ** 2 + squares) / freedom
    half = float(stdtrit(freedom, 0.95)) * math.sqrt(var / total)
    return Estimate(mean, mean - half, mean + half)


def total_from_run(carry: Estimate, carries: Floats, totals: Floats, solid: Floats) -> Estimate | None:
    """Total: carry as fitted plus mean measured run; from totals alone where no carry stands beside."""
    run = solid_mean(totals - carries, solid, EXPECTED_CV["run"])
    if run is None:
        return solid_mean(totals, solid, EXPECTED_CV["total_m"])
    low = math.hypot(carry.value - carry.low, run.value - run.low)
    high = math.hypot(carry.high - carry.value, run.high - run.value)
    value = carry.value + run.value
    return Estimate(value, value - low, value + high)
