"""The value of further balls: closed forms, limits, and brute force."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from bagwright.errors import InputError
from bagwright.trial.miss import Pattern, expected_miss
from bagwright.trial.value import (
    PRICE_M,
    CarryBelief,
    carry_worth,
    choices,
    forecast_miss,
    miss_worth,
    price_of,
    unit_normal_loss,
)


def belief(difference: float = 2.0, var: float = 9.0) -> CarryBelief:
    return CarryBelief(
        np.array([100.0 + difference, 100.0]), np.diag([var, var]), np.array([6.0, 6.0]), np.array([0.9, 0.9])
    )


def draws(mean: tuple[float, ...], seed: int = 3, centre_sd: float = 4.0, same: bool = False) -> Pattern:
    rng = np.random.default_rng(seed)
    n, k = 2048, len(mean)

    def z() -> np.ndarray:
        column = rng.standard_normal((n, 1 if same else k))
        return np.broadcast_to(column, (n, k)).copy()

    return Pattern(
        np.array(mean) + centre_sd * z(),
        centre_sd * z(),
        8.0 * np.exp(0.15 * z()),
        9.0 * np.exp(0.15 * z()),
        0.1 * z(),
        np.clip(0.1 + 0.03 * z(), 0.01, 0.5),
        np.full(k, 20.0),
        np.full(k, 12.0),
        2.0,
    )


def test_pairs_of_balls_in_closed_form() -> None:
    """s~^2 = s^2 - 1/(1/s^2 + k(1-p)/(sA^2 + sB^2)) when both posteriors are equal and independent."""
    k, s2 = 4, 18.0
    moved = s2 - 1.0 / (1.0 / s2 + k * 0.9 / 72.0)
    z = 2.0 / math.sqrt(moved)
    found = carry_worth(belief(), (k, k))
    assert found.worth_m == pytest.approx(math.sqrt(moved) * unit_normal_loss(z), rel=1e-9)
    assert found.chance_to_change == pytest.approx(0.5 * math.erfc(z / math.sqrt(2.0)), rel=1e-9)


def test_one_club_in_closed_form() -> None:
    """s~^2 = v_a - 1/(1/v_a + k(1-p)/s_a^2) for balls with club a alone."""
    moved = 9.0 - 1.0 / (1.0 / 9.0 + 6 * 0.9 / 36.0)
    z = 2.0 / math.sqrt(moved)
    assert carry_worth(belief(), (0, 6)).worth_m == pytest.approx(
        math.sqrt(moved) * unit_normal_loss(z), rel=1e-9
    )


def test_no_balls_and_nothing_left_to_learn_are_worth_nothing() -> None:
    assert carry_worth(belief(), (0, 0)).worth_m == 0.0
    assert carry_worth(belief(var=0.0), (8, 8)).chance_to_change == 0.0
    assert miss_worth(draws((100.0, 104.0)), 100.0, (0, 0)).worth_m == pytest.approx(0.0, abs=1e-12)


def test_endless_balls_are_worth_perfect_information() -> None:
    pattern = draws((100.0, 101.0))
    found = miss_worth(pattern, 100.0, (10**7, 10**7))
    miss = expected_miss(pattern, 100.0)[:512]
    perfect = miss.mean(axis=0).min() - miss.min(axis=1).mean()
    assert found.worth_m == pytest.approx(perfect, rel=0.05)


def test_worth_grows_with_balls_and_never_is_negative() -> None:
    pattern = draws((100.0, 103.0))
    worths = [miss_worth(pattern, 100.0, (k, k)).worth_m for k in (1, 2, 4, 8, 16)]
    assert all(b >= a - 1e-9 for a, b in pairwise(worths))
    assert worths[0] >= 0.0


def test_forecasts_average_to_today() -> None:
    """The law of total expectation, before it is enforced: within two percent."""
    pattern = draws((100.0, 103.0))
    later = forecast_miss(pattern, 100.0, (5, 5)).mean(axis=0)
    assert later == pytest.approx(expected_miss(pattern, 100.0).mean(axis=0), rel=0.02)


def test_miss_value_against_nested_simulation() -> None:
    """Brute force for known spreads: draw data, update the normal centre, choose, compare."""
    rng = np.random.default_rng(11)
    n, k, v = 2048, 6, 16.0
    centre = np.array([100.0, 104.0])
    draws_c = centre + math.sqrt(v) * rng.standard_normal((n, 2))
    flat = np.ones((n, 2))
    pattern = Pattern(
        draws_c, 0.0 * flat, 8.0 * flat, 9.0 * flat, 0.0 * flat, 0.0 * flat, np.zeros(2), np.zeros(2), 2.0
    )
    left = 1.0 / (1.0 / v + k / 64.0)
    m = 20_000
    truth = centre + math.sqrt(v) * rng.standard_normal((m, 2))
    seen = truth + 8.0 / math.sqrt(k) * rng.standard_normal((m, 2))
    mean = left * (centre / v + seen * k / 64.0)
    ones = np.ones((m, 2))
    after = Pattern(
        mean,
        0 * ones,
        np.sqrt(64.0 + left) * ones,
        9.0 * ones,
        0 * ones,
        0 * ones,
        np.zeros(2),
        np.zeros(2),
        2.0,
    )
    later = expected_miss(after, 100.0)
    brute = later[:, 0].mean() - later.min(axis=1).mean()
    found = miss_worth(pattern, 100.0, (k, k))
    assert found.worth_m == pytest.approx(brute, rel=0.2, abs=0.02)
    assert found.chance_to_change == pytest.approx(float((later[:, 1] < later[:, 0]).mean()), abs=0.05)


def test_identical_twins_learn_nothing_from_each_other() -> None:
    pattern = draws((100.0, 100.0), same=True)
    assert miss_worth(pattern, 100.0, (4, 4)).worth_m == pytest.approx(0.0, abs=1e-9)


def test_weights_shift_the_choice_and_its_value() -> None:
    pattern = draws((100.0, 100.0))
    assert miss_worth(pattern, 100.0, (4, 4), np.array([0.0, 50.0])).chance_to_change == 0.0


def test_prices_and_batches() -> None:
    assert price_of("normal") == PRICE_M["normal"] == pytest.approx(0.05 * 0.9144)
    with pytest.raises(InputError, match="hasty"):
        price_of("hasty")
    batches = list(choices(3, (0, 2)))
    assert (8, 0, 8) in batches
    assert (0, 8, 0) in batches
    assert (2, 2, 2) in batches
    assert max(max(batch) for batch in batches) == 8
    assert len(set(batches)) == len(batches)


def known(log_carry_sd: np.ndarray, log_side_sd: np.ndarray) -> Pattern:
    """Clubs of which only the spreads (log normal draws) are unknown."""
    flat, zero = np.zeros(log_carry_sd.shape), np.zeros(2)
    carry_sd, side_sd = np.exp(log_carry_sd), np.exp(log_side_sd)
    return Pattern(flat + 100.0, flat, carry_sd, side_sd, flat, flat, zero, zero, 2.0)


def test_spread_learnt_from_balls_against_exact_updating() -> None:
    """Two spreads unknown by 0.3 in the log: 12 shots a club on both axes, posterior on a grid."""
    rng = np.random.default_rng(8)
    n, k, m = 2048, 12, 4000
    means = np.log([8.0, 8.6])
    pattern = known(*(means + 0.3 * rng.standard_normal((n, 2)) for _ in range(2)))
    found = miss_worth(pattern, 100.0, (k, k))
    grid = np.linspace(-1.2, 1.2, 241)
    later = np.zeros((m, 2))
    for j in range(2):
        axes = np.zeros((m, 2))
        for axis in range(2):
            truth = means[j] + 0.3 * rng.standard_normal(m)
            square = np.exp(2.0 * truth) * rng.chisquare(k, m)
            log_sd = means[j] + grid
            log_post = -0.5 * (grid / 0.3) ** 2 - k * log_sd - 0.5 * square[:, None] * np.exp(-2.0 * log_sd)
            post = np.exp(log_post - log_post.max(axis=1, keepdims=True))
            axes[:, axis] = (post * np.exp(log_sd)).sum(axis=1) / post.sum(axis=1)
        later[:, j] = np.sqrt(np.pi / 8.0) * axes.sum(axis=1)
    brute = later[:, 0].mean() - later.min(axis=1).mean()
    assert found.worth_m == pytest.approx(brute, rel=0.2)
    assert forecast_miss(pattern, 100.0, (k, k)).std(axis=0) == pytest.approx(later.std(axis=0), rel=0.1)


def test_no_balls_change_nothing_even_where_the_middle_would_choose_otherwise() -> None:
    """Club 0 is better in the middle of its range but worse on average, which counts without new balls."""
    rng = np.random.default_rng(9)
    log_sd = np.log([8.0, 8.6]) + np.array([0.7, 0.01]) * rng.standard_normal((2048, 2))
    pattern = known(log_sd, log_sd)
    miss = expected_miss(pattern, 100.0).mean(axis=0)
    assert miss[0] > miss[1]
    assert miss_worth(pattern, 100.0, (0, 0)).worth_m == pytest.approx(0.0, abs=1e-12)
    assert miss_worth(pattern, 100.0, (0, 0)).chance_to_change == 0.0
