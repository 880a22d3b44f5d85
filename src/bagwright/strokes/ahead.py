"""The next ball with one club and swing, from the posterior of its dispersion: moments of the predictive.

The predictive is the mixture that the fit holds: for every label set and every spread of the grid a normal
with the variance of the ball, of the centre, and of what does not shrink with more balls (drift, wandering
form, and the day's 1.5 % of carry, as the round is another day). The doubt of the centre is in it once; the
strokes are expected under this mixture, and nothing is drawn a second time around it. A decision is hence
taken for a player who does not learn further from the shots of the round. The day's side (some 3 degrees) is
not in it: it is taken as seen on the first holes and aimed off.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagwright.bag.club import Club
from bagwright.dispersion import posterior
from bagwright.dispersion import prior as p
from bagwright.dispersion._kernel import Terms
from bagwright.dispersion.dispersions import Dispersions

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Axis:
    """Predictive of one axis: mean, variance, sd of the variance V over its mean, skewness of V.

    `ball_var_m2` is the part of the variance that is spread from ball to ball.
    """

    mean_m: float
    var_m2: float
    ball_var_m2: float
    tail: float
    skew: float


@dataclass(frozen=True, slots=True)
class Ahead:
    """Predictive of the next ball of a cell; metres. `tie` is the correlation of the two axes' spreads."""

    carry: Axis
    side: Axis
    tie: float
    correlation: float
    mishit: float
    expected_m: float
    n_shots: int


def ahead_of(fits: Dispersions, club: Club, swing: str) -> Ahead:
    """Moments of the next ball with a club and swing; of one never hit from the rest of the bag (wide)."""
    session, fit = fits.cell(club, swing)
    weights = posterior.weights_of(session, fit)
    centre = posterior.centre_of(session, fit, weights)
    expected = fit.prior.expected_m
    day = (p.VISIT_CARRY_SD * expected) ** 2 + (p.WANDER * expected) ** 2
    stays = centre.drift_var + centre.wander_var + day
    square = np.exp(2.0 * fit.grid.log_spread)
    carry = _axis(weights.carry, fit.evidence.carry, fit.prior.carry_spread_m**2 * square, stays)
    side = _axis(weights.side, fit.evidence.side, fit.prior.side_spread_m**2 * square, 0.0)
    z, _ = posterior.fisher_z(fit, weights, fit.grid, posterior.solid_probability(fit, weights))
    share = 1.0 / (1.0 + np.exp(-(fit.grid.logit_mishit + fit.prior.logit_shift)))
    spread = [_sd_of_log(w.sum(0), fit.grid.log_spread) for w in (weights.carry, weights.side)]
    return Ahead(
        carry=carry,
        side=side,
        tie=min(max(weights.log_spread_cov / max(spread[0] * spread[1], 1e-12), 0.0), 1.0),
        correlation=_common(math.tanh(z), carry, side),
        mishit=float(weights.label_mishit.sum(0) @ share),
        expected_m=expected,
        n_shots=fit.shots.n,
    )


def _common(correlation: float, carry: Axis, side: Axis) -> float:
    """Correlation of the whole: that of the balls, thinned by the doubt of the centres, which has none."""
    return correlation * math.sqrt(carry.ball_var_m2 * side.ball_var_m2 / (carry.var_m2 * side.var_m2))


def _sd_of_log(weights: Floats, log_spread: Floats) -> float:
    mean = float(weights @ log_spread)
    return math.sqrt(max(float(weights @ (log_spread - mean) ** 2), 1e-12))


def _axis(weights: Floats, terms: Terms, one: Floats, stays: float) -> Axis:
    """Moments of the mixture; `one` (G,) is the variance of one ball at each spread of the grid."""
    mean = float((weights * terms.mean).sum())
    off = (terms.mean - mean) ** 2
    var = 1.0 / terms.precision + one + stays
    whole = float((weights * (off + var)).sum())
    fourth = float((weights * (off**2 + 6.0 * off * var + 3.0 * var**2)).sum())
    tail = math.sqrt(max(fourth / (3.0 * whole**2) - 1.0, 0.0))
    middle = float((weights * var).sum())
    second = float((weights * (var - middle) ** 2).sum())
    third = float((weights * (var - middle) ** 3).sum())
    skew = third / second**1.5 if second > 1e-12 * middle**2 else 1.0
    return Axis(mean, whole, float(weights.sum(0) @ one), tail, skew)
