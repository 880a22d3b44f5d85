"""The plain statistics inside the dispersion model against textbooks, tables and a reference library."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from scipy import stats

from bagwright.bag.club import Player
from bagwright.dispersion import _kernel as kernel
from bagwright.dispersion import measured, prior
from bagwright.dispersion.cells import CellKey, CellShots
from bagwright.dispersion.drift import DriftCell, basis, fit_drift
from bagwright.dispersion.length import Message, Shared, combine, leave_one_out, likelihood_of
from bagwright.dispersion.model import CellPrior, evaluate
from bagwright.estimate import Estimate

M_PER_YD = 0.9144


def known_spread_grid(log_spread: float, logit_mishit: float) -> kernel.Grid:
    """A grid of one point each: spreads and mishit share are known."""
    one = np.ones(1)
    return kernel.Grid(
        np.array([log_spread]), np.zeros(1), np.ones((1, 1)), np.array([logit_mishit]),
        np.zeros((1, 1, 1)), one, one, one,
    )  # fmt: skip


def test_without_mishits_and_with_known_sd_it_is_the_normal_normal_model() -> None:
    """Gelman et al., Bayesian Data Analysis, 3rd ed. (2013), equations 2.11 and 2.12."""
    y = np.array([151.0, 144.0, 148.0, 139.0])
    n, sd, m, v = len(y), 6.0, 140.0, 64.0
    shots = CellShots(
        CellKey(("7i", "stock"), "7i", "stock", False), np.arange(n), y, np.full(n, np.nan),
        np.zeros(n, bool), np.zeros(n, bool), np.zeros(n, np.int64), np.arange(float(n)), ("",),
    )  # fmt: skip
    cell = CellPrior(140.0, m, v, 0.0, 36.0, sd, 9.0, 0.0)
    grid = known_spread_grid(0.0, -40.0)
    fit = evaluate(shots, cell, np.zeros(n), grid)
    weights = kernel.joint_weights(fit.evidence, grid.log_prior, grid)
    mean, var = kernel.moments(weights.carry, fit.evidence.carry)
    assert mean == pytest.approx((m / v + n * y.mean() / sd**2) / (1 / v + n / sd**2), rel=1e-9)
    assert var == pytest.approx(1 / (1 / v + n / sd**2), rel=1e-9)
    side, side_var = kernel.moments(weights.side, fit.evidence.side)
    assert (side, side_var) == pytest.approx((0.0, 36.0))  # nothing measured: the prior comes back
    low, high = kernel.mixture_quantiles(np.array([0.05, 0.95]), weights.carry, fit.evidence.carry)
    assert (low, high) == pytest.approx(stats.norm.ppf([0.05, 0.95], mean, math.sqrt(var)), rel=1e-7)


def test_mixture_quantiles_against_root_finding() -> None:
    """scipy's root finder on the mixture's distribution function."""
    from scipy.optimize import brentq

    weights = np.array([[0.61, 0.08], [0.07, 0.24]])
    terms = kernel.Terms(
        np.zeros((2, 2)), np.array([[0.0, 4.0], [-30.0, 9.0]]), np.array([[1.0, 0.1], [0.5, 0.02]])
    )
    found = kernel.mixture_quantiles(np.array([0.05, 0.5, 0.95]), weights, terms, 0.3)

    def cdf(x: float) -> float:
        sd = np.sqrt(1 / terms.precision + 0.3)
        return float((weights * stats.norm.cdf(x, terms.mean, sd)).sum())

    for level, x in zip((0.05, 0.5, 0.95), found, strict=True):
        exact = brentq(lambda t, q=level: cdf(t) - q, -60, 60)
        assert x == pytest.approx(exact, abs=2e-3)


def test_mean_of_solid_strikes_against_the_scaled_inverse_chi_square_posterior() -> None:
    """Gelman et al. (2013), section 3.3: Student's t with nu_0 + n - 1 degrees of freedom."""
    y = np.array([28.0, 29.5, 27.0, 30.5, 28.5])
    found = measured.solid_mean(y, np.ones(5), 0.12)
    assert found is not None
    var = (4 * (0.12 * y.mean()) ** 2 + ((y - y.mean()) ** 2).sum()) / 8
    low, high = stats.t.interval(0.90, 8, y.mean(), math.sqrt(var / 5))
    assert (found.low, found.high) == pytest.approx((low, high))
    # t of 0.95 with 8 degrees of freedom: 1.860 (NIST/SEMATECH e-Handbook, section 1.3.6.7.2)
    assert (found.high - found.value) / math.sqrt(var / 5) == pytest.approx(1.860, abs=5e-4)
    assert measured.solid_mean(np.full(5, np.nan), np.ones(5), 0.1) is None
    assert measured.solid_mean(y, np.zeros(5), 0.1) is None


def test_total_is_carry_plus_run() -> None:
    carry = Estimate(140.0, 136.0, 144.0)
    carries, totals = np.array([150.0, 152.0]), np.array([160.0, 162.0])
    found = measured.total_from_run(carry, carries, totals, np.ones(2))
    assert found is not None
    assert found.value == pytest.approx(150.0)
    assert found.high - found.value > 4.0


def test_area_of_the_ninety_percent_ellipse() -> None:
    """Chi-square with 2 degrees of freedom, 0.90: 4.605 (NIST/SEMATECH e-Handbook, section 1.3.6.7.4)."""
    assert -2.0 * math.log(0.1) == pytest.approx(4.605, abs=5e-4)


def test_precisions_add_and_leave_one_out_divides() -> None:
    """Gelman et al. (2013), equation 2.12, by hand: 1/4 + 1/1 + 1/2 = 7/4."""
    prior_, messages = Shared(10.0, 4.0), {0: Message(12.0, 1.0), 1: Message(9.0, 2.0)}
    everyone, others = leave_one_out(prior_, messages)
    assert everyone == pytest.approx(Shared((10 / 4 + 12 + 9 / 2) * 4 / 7, 4 / 7))
    assert others[0] == pytest.approx(combine(prior_, [messages[1]]))
    back = likelihood_of(everyone.mean, everyone.variance, *others[0])
    assert back == pytest.approx(messages[0])
    assert likelihood_of(10.0, 4.0, 10.0, 4.0) is None


def test_drift_is_the_random_intercept_regression() -> None:
    """Generalised least squares with covariance s^2 I + v J (Searle, Casella, McCulloch 1992, chapter 7)."""
    rng = np.random.default_rng(2)
    ball = np.arange(30.0)
    x = 150.0 * basis(ball)
    y = 148.0 + x @ [0.05, 0.02] + 3.0 * rng.standard_normal(30)
    fit = fit_drift([DriftCell(ball, y, 150.0, 150.0, 81.0, 3.0, 30.0, 18.0, 1e-12)])
    cov = 9.0 * np.eye(30) + 81.0
    precision = x.T @ np.linalg.solve(cov, x) + np.diag(1 / np.array([0.02, 0.015]) ** 2)
    linear = x.T @ np.linalg.solve(cov, y - 150.0) + np.array([0.02, 0.01]) / np.array([0.02, 0.015]) ** 2
    assert fit.settled
    np.testing.assert_allclose(fit.beta, np.linalg.solve(precision, linear), rtol=1e-6)
    np.testing.assert_allclose(fit.cov, np.linalg.inv(precision), rtol=1e-6)


def test_no_balls_leave_the_drift_prior() -> None:
    fit = fit_drift([])
    assert fit.beta.tolist() == [0.02, 0.01]


@pytest.mark.parametrize(
    ("sex", "handicap", "total_yd"),
    [("male", 9.0, 220.0), ("male", 2.5, 240.0), ("male", 40.0, 187.0), ("female", 16.5, 153.0)],
)
def test_length_from_handicap_bands(sex: str, handicap: float, total_yd: float) -> None:
    """Driving distances by handicap: R&A and USGA distance report, as quoted in print; 20 yards of run."""
    found = prior.player_prior(Player(sex=sex, handicap=handicap))  # type: ignore[arg-type]
    assert found.length_m == pytest.approx((total_yd - 20.0) / 1.5 * M_PER_YD)
    assert found.length_sd == pytest.approx(0.104)


def test_length_from_head_speed_ignores_the_handicap() -> None:
    found = prior.player_prior(Player(handicap=30.0, driver_speed_mps=100.0 * 0.44704))
    assert found.length_m == pytest.approx(2.3 * 100.0 / 1.5 * M_PER_YD)


def test_short_wedges_spread_more_in_percent() -> None:
    """Pre-elite players scatter 5 % with a middle iron and 9 % with a 70 m wedge, mishits in (published)."""
    iron = prior.carry_spread(150.0, 3.0) / 150.0
    wedge = prior.carry_spread(70.0, 3.0) / 70.0
    assert wedge > 1.1 * iron


def test_neighbouring_irons_are_eight_to_fifteen_yards_apart() -> None:
    """Common practice, no source."""
    lofts = [26.5, 30.0, 33.5, 37.5, 41.5, 46.0]
    carries = [160.0 * prior.ratio_of_loft(loft) for loft in lofts]
    assert all(8.0 <= a - b <= 15.0 for a, b in itertools.pairwise(carries))
