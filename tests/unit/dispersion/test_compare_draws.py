"""Contrasts and draws: closed forms against draws, and draws against the ranges that are shown."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from bagwright.dispersion import compare
from bagwright.dispersion.fit import Dispersions
from bagwright.dispersion.points import even_points
from bagwright.shots.record import Shot
from tests.unit.dispersion.shots import SEVEN, fit, hit

A, B, C = ("wedge A", "stock"), ("wedge B", "stock"), ("wedge C", "stock")


def trial(gap: float = 5.0, rounds: int = 5) -> Dispersions:
    rng = np.random.default_rng(4)
    shots = []
    for i in range(rounds):
        for j, name in enumerate(("wedge A", "wedge B", "wedge B", "wedge A")):
            carry = 100.0 + gap * (name == "wedge A") + 4.0 * rng.standard_normal()
            shots.append(Shot(name, 13 + 4 * i + j, carry_m=carry, offline_m=5.0 * rng.standard_normal()))
    return fit(shots, expected_carry_m={"wedge A": 100.0, "wedge B": 100.0, "wedge C": 100.0})


def test_swapping_the_prior_of_a_difference_by_hand() -> None:
    # posterior N(6, 3^2) under N(2, 10^2): likelihood precision 1/9 - 1/100; new prior N(0, 7.3152^2)
    precision = 1 / 9 - 1 / 100 + 1 / (8 * 0.9144) ** 2
    mean, var = compare.swap_prior(6.0, 9.0, 2.0, 100.0)
    assert var == pytest.approx(1 / precision)
    assert mean == pytest.approx((6 / 9 - 2 / 100) / precision)


@pytest.mark.parametrize("blocked", [False, True])
def test_contrast_agrees_with_the_draws_of_two_candidates(blocked: bool) -> None:
    fits = trial()
    closed = fits.contrast(A, B, blocked)
    draws = fits.candidates([A, B], blocked, n=4096)
    gap = draws.carry_m[:, 0] - draws.carry_m[:, 1]
    assert gap.mean() == pytest.approx(closed.mean_m, abs=0.03)
    assert gap.std() == pytest.approx(closed.sd_m, rel=0.03)
    assert (gap > 0).mean() == pytest.approx(closed.probability, abs=0.012)
    assert closed.low_m < closed.mean_m < closed.high_m


def test_candidates_hit_on_different_days_are_told_apart_less_surely() -> None:
    told = {"wedge A": 100.0, "wedge B": 100.0}
    a = [Shot("wedge A", 13 + i, carry_m=104.0 + i % 2, offline_m=0.0, visit="2026-03-01") for i in range(6)]
    b = [Shot("wedge B", 20 + i, carry_m=99.0 + i % 2, offline_m=0.0, visit="2026-03-01") for i in range(6)]
    later = [dataclasses.replace(shot, visit="2026-03-09") for shot in b]
    same_day, other_day = fit([*a, *b], expected_carry_m=told), fit([*a, *later], expected_carry_m=told)
    same, other = same_day.contrast(A, B, True), other_day.contrast(A, B, True)
    assert other.sd_m > same.sd_m
    assert other.probability < same.probability
    draws = other_day.candidates([A, B], True, n=4096)
    assert (draws.carry_m[:, 0] - draws.carry_m[:, 1]).std() == pytest.approx(other.sd_m, rel=0.04)


def test_contrast_is_antisymmetric_and_wider_in_blocks() -> None:
    fits = trial(gap=9.0)
    ab, ba = fits.contrast(A, B, False), fits.contrast(B, A, False)
    assert ab.mean_m == pytest.approx(-ba.mean_m)
    assert ab.probability == pytest.approx(1.0 - ba.probability)
    assert fits.contrast(A, B, True).sd_m > ab.sd_m
    assert ab.probability > 0.9


def test_draws_hold_the_ranges_that_are_shown() -> None:
    fits = trial()
    draws = fits.draws([A, B], n=4096)
    d = fits[A]
    for column, shown in (
        (draws.carry_m[:, 0], d.carry_m),
        (draws.offline_m[:, 0], d.offline_m),
        (draws.carry_sd_m[:, 0], d.carry_sd_m),
        (draws.offline_sd_m[:, 0], d.offline_sd_m),
        (draws.mishit_share[:, 0], d.mishit_share),
    ):
        low, high = np.quantile(column, [0.05, 0.95])
        width = shown.high - shown.low
        assert low == pytest.approx(shown.low, abs=0.04 * width)
        assert high == pytest.approx(shown.high, abs=0.04 * width)
    assert draws.carry_m.shape == (4096, 2)
    assert np.abs(draws.correlation).max() < 1.0


def test_clubs_that_rest_on_the_length_move_together() -> None:
    fits = fit([*hit([146.0], [0.0]), *hit([124.0], [0.0], club="9i", start=30)])
    draws = fits.draws([SEVEN, ("9i", "stock")], n=4096)
    assert np.corrcoef(draws.carry_m[:, 0], draws.carry_m[:, 1])[0, 1] > 0.1
    for j, key in enumerate(draws.keys):
        assert draws.carry_m[:, j].std() == pytest.approx(fits[key].carry_spread, rel=0.02)


def test_three_candidates_shrink_towards_each_other() -> None:
    fits = trial(gap=8.0, rounds=2)
    shots = [Shot("wedge C", 60 + i, carry_m=100.0 + i, offline_m=0.0) for i in range(3)]
    for shot in shots:
        fits = fits.updated(shot)
    free = fits.draws([A, B, C], n=2048).carry_m.mean(0)
    tied = fits.candidates([A, B, C], False, n=2048).carry_m.mean(0)
    assert np.ptp(tied) < np.ptp(free)


def test_draws_are_the_same_every_time() -> None:
    one, two = trial().draws([A, B]), trial().draws([A, B])
    for field in dataclasses.fields(one):
        assert np.array_equal(getattr(one, field.name), getattr(two, field.name))


@pytest.mark.parametrize(("dimensions", "worst"), [(30, 0.05), (110, 0.20)])
def test_points_are_even_in_every_dimension_and_hardly_related(dimensions: int, worst: float) -> None:
    points = even_points(2048, dimensions)
    expected = (np.arange(2048) + 0.5) / 2048
    assert np.allclose(np.sort(points, axis=0), expected[:, None])
    correlation = np.asarray(np.corrcoef(points.T)) - np.eye(dimensions)
    assert np.abs(correlation).max() < worst
    # independent random points would have 1/sqrt(2048) = 0.022
    assert np.sqrt((correlation**2).mean()) < 0.01
