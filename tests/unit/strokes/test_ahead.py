"""The next ball: moments against the fit's mixture drawn ball by ball, and against its later intervals."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import ndtr

from bagwright.bag.club import Bag, Club, Player
from bagwright.dispersion import posterior
from bagwright.dispersion import prior as p
from bagwright.dispersion._kernel import Floats, Terms
from bagwright.dispersion.dispersions import Dispersions
from bagwright.dispersion.fit import fit_dispersion
from bagwright.dispersion.predict import predictions
from bagwright.shots.record import Shot, ShotTable
from bagwright.strokes.ahead import Axis, ahead_of
from bagwright.strokes.tails import three_parts

PLAYER = Player(handicap=12.0, driver_speed_mps=44.0)
SEVEN = Club("7 iron", "iron", "7", stamped_loft_deg=33.0)
BAG = Bag(PLAYER, (SEVEN, Club("9 iron", "iron", "9", stamped_loft_deg=42.0)))


def fit(n: int, seed: int = 3, correlation: float = 0.5) -> Dispersions:
    rng = np.random.default_rng(seed)
    shots = []
    for i in range(n):
        a, b = rng.standard_normal(2)
        side = 9.0 * (correlation * a + np.sqrt(1.0 - correlation**2) * b)
        shots.append(Shot("7 iron", 10 + i, carry_m=140.0 + 6.0 * a, offline_m=3.0 + side))
    return fit_dispersion(ShotTable.of(shots), PLAYER, BAG)


@pytest.mark.parametrize("n", [2, 5, 24])
def test_moments_are_those_of_balls_drawn_from_the_fit(n: int) -> None:
    fits = fit(n)
    ahead = ahead_of(fits, SEVEN, "stock")
    session, cell = fits.cell(SEVEN)
    weights = posterior.weights_of(session, cell)
    centre = posterior.centre_of(session, cell, weights)
    rng = np.random.default_rng(8)
    day = (p.VISIT_CARRY_SD**2 + p.WANDER**2) * cell.prior.expected_m**2
    for axis, w, terms, base, stays in (
        (ahead.carry, weights.carry, cell.evidence.carry, cell.prior.carry_spread_m,
         centre.drift_var + centre.wander_var + day),
        (ahead.side, weights.side, cell.evidence.side, cell.prior.side_spread_m, 0.0),
    ):  # fmt: skip
        drawn = _drawn(rng, w, terms, base * np.exp(cell.grid.log_spread), stays)
        assert drawn.mean() == pytest.approx(axis.mean_m, abs=0.05)
        assert drawn.var() == pytest.approx(axis.var_m2, rel=0.02)
        kurtosis = ((drawn - drawn.mean()) ** 4).mean() / drawn.var() ** 2
        assert kurtosis == pytest.approx(3.0 * (1.0 + axis.tail**2), rel=0.08)


def _drawn(rng: np.random.Generator, weights: Floats, terms: Terms, sd: Floats, stays: float) -> Floats:
    flat = (weights / weights.sum()).ravel()
    at = rng.choice(flat.size, 1_000_000, p=flat)
    mean, precision = (np.broadcast_to(a, weights.shape).ravel()[at] for a in (terms.mean, terms.precision))
    ball = np.broadcast_to(sd, weights.shape).ravel()[at]
    drawn: Floats = mean + rng.standard_normal(at.size) * np.sqrt(1.0 / precision + ball**2 + stays)
    return drawn


@pytest.mark.parametrize("n", [3, 8, 24])
def test_three_parts_cover_what_the_fit_says_of_another_day(n: int) -> None:
    """Outside: quantiles of the whole mixture by their own code (predict.py), 50 % and 90 %."""
    fits = fit(n)
    later = predictions(fits, BAG)[0].later_carry
    carry = ahead_of(fits, SEVEN, "stock").carry
    for level in (0.5, 0.9):
        low, high = later.at(level)
        half = 0.5 * (1.0 - level)
        ours = [_quantile(carry, q) for q in (half, 1.0 - half)]
        assert ours == pytest.approx([low, high], abs=0.04 * (high - low))


def _quantile(axis: Axis, q: float) -> float:
    one = np.array([axis.tail])
    w, v, _ = (a[0] for a in three_parts(one, one, np.array([axis.skew]), np.array([1.0])))
    sd = np.sqrt(axis.var_m2 * v)
    return float(
        brentq(lambda x: float(w @ ndtr((x - axis.mean_m) / sd)) - q, axis.mean_m - 99, axis.mean_m + 99)
    )


def test_more_balls_narrow_and_thin_the_tails() -> None:
    few, many = (ahead_of(fit(n), SEVEN, "stock") for n in (3, 30))
    unhit = ahead_of(fit(3), BAG.clubs[1], "stock")
    assert many.carry.var_m2 < few.carry.var_m2 < unhit.carry.var_m2
    assert many.carry.tail < few.carry.tail
    assert unhit.n_shots == 0


def test_the_correlation_of_the_balls_is_kept_and_thinned_by_doubt() -> None:
    straight, tied = (ahead_of(fit(30, correlation=c), SEVEN, "stock").correlation for c in (0.0, 0.8))
    assert abs(straight) < 0.25
    assert 0.3 < tied < 0.8
