"""The four sides' own arithmetic."""

from __future__ import annotations

import numpy as np
import pytest

from bagwright.estimate import Estimate
from bagwright.trial import say
from bagwright.trial.compare import chance_less, chances_of_least, lead, range_of
from bagwright.trial.miss import Pattern
from bagwright.trial.spread import area90, beyond_share, right_share, side_words
from bagwright.trial.strike import unevenness


def pattern(side: float = 0.0, mishits: float = 0.0) -> Pattern:
    def one(x: float) -> np.ndarray:
        return np.array([[x]])

    return Pattern(
        one(100.0), one(side), one(2.0), one(3.0), one(0.6), one(mishits), one(20.0), one(12.0), 2.0
    )


def test_area_of_the_ninety_percent_ellipse() -> None:
    """pi * chi-square(2, .90) * det^(1/2); 4.605 is in every chi-square table."""
    assert float(area90(pattern())[0, 0]) == pytest.approx(np.pi * 4.605 * 2.0 * 3.0 * 0.8, rel=1e-4)


def test_shares_beyond_a_width() -> None:
    """4.55 % of a normal lie beyond two sd, 31.73 % beyond one (normal table)."""
    assert float(beyond_share(pattern(), 6.0)[0, 0]) == pytest.approx(0.0455, abs=1e-4)
    both = 0.5 * 0.0455 + 0.5 * 0.3173
    assert float(beyond_share(pattern(mishits=0.5), 6.0)[0, 0]) == pytest.approx(both, abs=1e-4)


def test_share_on_the_right() -> None:
    """84.13 % of a normal lie below one sd (normal table)."""
    assert float(right_share(pattern(side=3.0))[0, 0]) == pytest.approx(0.8413, abs=1e-4)
    assert float(right_share(pattern(mishits=0.3))[0, 0]) == 0.5
    assert side_words(0.84) == "right, likely (84 %)"
    assert side_words(0.16) == "left, likely (84 %)"


def test_unevenness_and_its_range() -> None:
    """Ten values: chi-square with 9 degrees, 3.325 and 16.919 (table): factors 1.645 and 0.729."""
    values = np.array([49.0, 51.0] * 5)
    found = unevenness(values, np.ones(10))
    assert found is not None
    sd = np.std(values, ddof=1)
    assert found.value == pytest.approx(sd / 50.0)
    assert found.low == pytest.approx(0.7293 * sd / 50.0, rel=1e-3)
    assert found.high == pytest.approx(1.6452 * sd / 50.0, rel=1e-3)


def test_unevenness_needs_three_solid_strikes_and_leaves_mishits_out() -> None:
    assert unevenness(np.array([50.0, 51.0, np.nan]), np.ones(3)) is None
    assert unevenness(np.array([50.0, 51.0, 40.0]), np.array([1.0, 1.0, 0.1])) is None
    with_mishit = unevenness(np.array([49.0, 51.0, 50.0, 30.0]), np.array([1.0, 1.0, 1.0, 0.0]))
    assert with_mishit is not None
    assert with_mishit.value == pytest.approx(0.02)


def test_a_misread_speed_does_not_make_a_club_uneven() -> None:
    values = np.array([80.3, 80.3, 81.2, 80.7, 77.8, 76.4, 82.0, 138.2, 78.3])
    found = unevenness(values, np.ones(9))
    assert found is not None
    assert found.value == pytest.approx(np.std(np.delete(values, 7), ddof=1) / np.mean(np.delete(values, 7)))


def test_leads_and_ties() -> None:
    a, b = np.array([1.0, 2.0, 3.0, 4.0]), np.array([2.0, 2.0, 2.0, 7.0])
    assert chance_less(a, b) == pytest.approx(0.5 + 0.125)
    found = lead(np.stack([b, a], axis=1))
    assert (found.first, found.second, found.probability) == (1, 0, 0.625)
    assert chances_of_least(np.stack([a, b], axis=1)) == pytest.approx([0.625, 0.375])
    assert range_of(np.arange(101.0)) == Estimate(50.0, 5.0, 95.0)


@pytest.mark.parametrize(
    ("chance", "words"),
    [(0.125, "about 1 case in 8"), (0.49, "about 1 case in 2"), (0.01, "fewer than 1 case in 50")],
)
def test_odds_in_words(chance: float, words: str) -> None:
    assert say.odds(chance) == words


def test_distances_in_words() -> None:
    assert say.distance(7 * 0.9144, "yards") == "7 yd"
    assert say.distance(-7.2, "metres") == "−7 m"
    assert say.distance(-0.2, "metres") == "0 m"
    assert say.fine(1.44, "metres") == "1.4 m"
    assert say.fine(14.4, "metres") == "14 m"
    assert say.span(Estimate(7.0, -2.0, 15.0), "metres") == "−2 to +15 m"
    assert say.span(Estimate(0.0, -0.01, 0.0), "metres") == "0 to 0 m"
    assert say.listed(["A", "B", "C"]) == "A, B and C"
    assert say.balls(1) == "1 ball"
