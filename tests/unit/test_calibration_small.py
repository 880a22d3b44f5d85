"""A small, fixed-seed version of the calibration studies: seconds, not minutes; bounds wide but able to fail.

The full studies are in `bench/`; what they found is in `docs/benchmarks.md`. Plain normal theory on the same
shots misses the same bounds, which shows that the check bites.
"""

import functools

import numpy as np
import pytest

from bench import study_coverage as coverage
from bench import study_decisions as decisions
from bench._study import Cell, Result, rng_for
from bench.world import alternated, hit

VISITS = 100
TESTS = 300


@functools.cache
def bag_rows() -> list[Result]:
    """Rows of all clubs of a hundred whole-bag visits to the reference world."""
    cell = Cell("T, bag", "small coverage", {"world": "T", "how": "bag"})
    return [row for v in range(VISITS) for row in coverage.work(cell, rng_for(cell.population, v))["rows"]]


@functools.cache
def pair_tests(gap: float | None) -> list[Result]:
    """Two-club tests of five balls each; gap None draws it from N(0, 8^2) yd."""
    found = []
    for v in range(TESTS):
        rng = rng_for(f"small decisions {gap}", v)
        golfer, clubs, d = decisions.candidates(rng, decisions.MILD, 180.0, gap, None)
        visit = hit(rng, decisions.MILD, golfer, clubs, alternated(5), decisions.BALLS_BEFORE)
        found.append({"d": d, "beliefs": [decisions.belief(golfer, visit)]})
    return found


def covered(column: int) -> float:
    truth = np.array([row["truth"][column] for row in bag_rows()])
    fit = np.array([row["fit"][column] for row in bag_rows()])
    return float(((fit[:, 1] <= truth) & (truth <= fit[:, 2])).mean())


# 1200 clubs in 100 visits: the standard error is .9 points for independent clubs, about 1.5 as clubs of one
# player come; the bounds are four of the latter around 90 %.
@pytest.mark.parametrize("measure", coverage.MEASURES)
def test_ninety_percent_ranges_hold_about_ninety_percent(measure: str) -> None:
    share = covered(coverage.MEASURES.index(measure))
    assert 0.84 <= share <= 0.96


def test_plain_normal_theory_would_fail_this_check() -> None:
    truth = np.array([row["truth"][2] for row in bag_rows()])
    raw = np.array([row["raw"][1] for row in bag_rows()])
    assert ((raw[:, 1] <= truth) & (truth <= raw[:, 2])).mean() < 0.80


def test_marks_find_shots_far_short_and_spare_solid_ones() -> None:
    sums = {name: np.sum([row["marks"][name] for row in bag_rows()], axis=0) for name in ("short", "solid")}
    assert sums["short"][0] > 100
    assert sums["short"][1] / sums["short"][0] > 0.85
    assert sums["solid"][1] / sums["solid"][0] < 0.025


def test_identical_clubs_seldom_have_a_false_winner() -> None:
    found = decisions.Outcome(lambda beliefs: 0, pair_tests(0.0))
    # 8 % is the goal; the standard error here is 1.6 points.
    assert (found.stated >= 0.90).mean() <= 0.11


def test_stated_chance_is_about_the_share_right() -> None:
    found = decisions.Outcome(lambda beliefs: 0, pair_tests(None))
    right = (~found.wrong).mean()
    # The standard error of the share right is 2.4 points with 300 tests.
    assert abs(found.stated.mean() - right) < 0.072
    assert right > 0.65
