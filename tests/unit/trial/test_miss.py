"""The expected miss against closed forms and against simulation."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.special import ellipe, erf, ive

from bagwright.trial.miss import Pattern, expected_miss, mean_distance, mishit_miss, solid_miss


def one(x: float) -> np.ndarray:
    return np.array([x])


def distance(dx: float, dy: float, sx: float, sy: float, r: float = 0.0) -> float:
    return float(mean_distance(one(dx), one(dy), one(sx), one(sy), one(r))[0])


def pattern(**changes: float) -> Pattern:
    values = {
        "carry_m": 100.0, "offline_m": 3.0, "carry_sd_m": 5.0, "offline_sd_m": 7.0, "correlation": 0.3,
        "mishit_share": 0.12, "mishit_short_m": 20.0, "mishit_short_sd_m": 12.0, **changes,
    }  # fmt: skip
    return Pattern(**{name: one(value) for name, value in values.items()}, mishit_side_factor=2.0)


@pytest.mark.parametrize("nu", [0.0, 0.3, 1.0, 4.0, 30.0])
def test_rice_mean(nu: float) -> None:
    """Equal spreads: sqrt(pi/2) L_1/2(-nu^2/2) (Rice 1945, Bell Syst. Tech. J. 24, eq. 4.2-3)."""
    x = nu * nu / 4.0
    rice = math.sqrt(math.pi / 2.0) * ((1.0 + 2.0 * x) * ive(0, x) + 2.0 * x * ive(1, x))
    assert distance(nu, 0.0, 1.0, 1.0) == pytest.approx(rice, rel=2e-6)
    assert distance(0.6 * nu, -0.8 * nu, 1.0, 1.0) == pytest.approx(rice, rel=2e-6)


@pytest.mark.parametrize("mu", [0.0, 0.5, 2.0, 20.0])
def test_folded_normal_mean(mu: float) -> None:
    """No side spread: the mean of |N(mu, 1)| (Leone, Nelson, Nottingham 1961, Technometrics 3, 543)."""
    folded = math.sqrt(2.0 / math.pi) * math.exp(-mu * mu / 2.0) + mu * float(erf(mu / math.sqrt(2.0)))
    assert distance(mu, 0.0, 1.0, 0.0) == pytest.approx(folded, rel=2e-6)


@pytest.mark.parametrize("ratio", [1.5, 3.0, 10.0])
def test_unequal_spreads_around_the_spot(ratio: float) -> None:
    """Centred, sds 1 and 1/ratio: sqrt(2/pi) E(1 - 1/ratio^2) (Hoyt 1947, Proc. IRE 35, 486)."""
    hoyt = math.sqrt(2.0 / math.pi) * float(ellipe(1.0 - 1.0 / ratio**2))
    assert distance(0.0, 0.0, 1.0, 1.0 / ratio) == pytest.approx(hoyt, rel=1e-6)


def test_correlation_is_a_turn_of_the_axes() -> None:
    s, r = 2.0, 0.6
    turned = distance(0.0, 0.0, s * math.sqrt(1.0 + r), s * math.sqrt(1.0 - r))
    assert distance(0.0, 0.0, s, s, r) == pytest.approx(turned, rel=1e-6)


def test_without_any_spread_it_is_the_plain_distance() -> None:
    assert distance(3.0, -4.0, 0.0, 0.0) == pytest.approx(5.0, rel=1e-5)
    assert distance(0.0, 0.0, 0.0, 0.0) == 0.0


def test_mixture_against_simulation_and_hermite_products() -> None:
    p, spot = pattern(), 98.0
    rng = np.random.default_rng(7)
    n = 400_000
    z = rng.standard_normal((n, 2))
    bad = rng.random(n) < 0.12
    carry = 100.0 + 5.0 * z[:, 0] - np.where(bad, 20.0 + 12.0 * rng.standard_normal(n), 0.0)
    side_solid = 3.0 + 7.0 * (0.3 * z[:, 0] + math.sqrt(1 - 0.09) * z[:, 1])
    side = np.where(bad, 3.0 + 14.0 * rng.standard_normal(n), side_solid)
    miss = np.hypot(carry - spot, side)
    assert float(expected_miss(p, spot)[0]) == pytest.approx(miss.mean(), abs=4.0 * miss.std() / math.sqrt(n))
    x, w = np.polynomial.hermite_e.hermegauss(80)
    w = w / w.sum()
    a, b = x[:, None], x[None, :]
    solid = np.hypot(2.0 + 5.0 * a, 3.0 + 7.0 * (0.3 * a + math.sqrt(0.91) * b))
    assert float(solid_miss(p, spot)[0]) == pytest.approx(float(w @ solid @ w), rel=5e-4)
    wide = np.hypot(-18.0 + 13.0 * a, 3.0 + 14.0 * b)
    assert float(mishit_miss(p, spot)[0]) == pytest.approx(float(w @ wide @ w), rel=5e-4)


def test_extra_variance_is_a_centre_not_known() -> None:
    p, spot = pattern(mishit_share=0.0), 101.0
    x, w = np.polynomial.hermite_e.hermegauss(40)
    w = w / w.sum()
    moved = sum(
        wi * float(solid_miss(replace(p, carry_m=one(100.0 + 3.0 * xi), offline_m=one(3.0)), spot)[0])
        for xi, wi in zip(x, w, strict=True)
    )
    direct = float(solid_miss(p, spot, (one(9.0), one(0.0)))[0])
    assert direct == pytest.approx(moved, rel=1e-5)


def test_more_mishits_miss_more_and_left_is_as_far_as_right() -> None:
    assert expected_miss(pattern(mishit_share=0.3), 100.0) > expected_miss(pattern(), 100.0)
    mirrored = replace(pattern(), offline_m=one(-3.0), correlation=one(-0.3))
    assert float(expected_miss(mirrored, 97.0)[0]) == pytest.approx(float(expected_miss(pattern(), 97.0)[0]))
