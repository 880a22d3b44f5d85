"""Predictions against later shots: intervals of shares, and which shots count."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import beta, multivariate_normal, norm

from bagwright.dispersion.predict import SIDE_NOTE, Interval, Prediction
from bagwright.dispersion.record import go_together, score, share_range
from bagwright.errors import InputError
from bagwright.estimate import Estimate
from bagwright.shots.record import Mark, Shot, ShotTable

Z50, Z90 = 0.6744897501960817, 1.6448536269514722


@pytest.mark.parametrize(
    ("inside", "balls", "low", "high"),
    [(0, 10, 0.0, 0.217), (1, 10, 0.011, 0.381), (5, 10, 0.224, 0.776), (10, 10, 0.783, 1.0)],
)
def test_the_jeffreys_interval_of_the_published_table(
    inside: int, balls: int, low: float, high: float
) -> None:
    """Brown, Cai and DasGupta 2001, Statistical Science 16:101, table of 95 % limits, n = 10: from memory."""
    found = share_range(inside, balls, 0.95)
    assert found.low == pytest.approx(low, abs=6e-4)
    assert found.high == pytest.approx(high, abs=6e-4)
    assert found.value == inside / balls


@given(st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_the_interval_is_that_of_the_reference_library_and_turns_round(counts: tuple[int, int]) -> None:
    """scipy.stats.beta; and what is not inside is outside."""
    inside, balls = counts
    found, other = share_range(inside, balls), share_range(balls - inside, balls)
    if 0 < inside < balls:
        wanted = beta(inside + 0.5, balls - inside + 0.5)
        assert found.low == pytest.approx(wanted.ppf(0.05))
        assert found.high == pytest.approx(wanted.ppf(0.95))
    assert found.low <= found.value <= found.high
    assert found.low == pytest.approx(1.0 - other.high, abs=1e-9)


@pytest.mark.parametrize("counts", [(3.0, 2.0), (-1.0, 2.0), (math.nan, 2.0), (1.0, math.inf)])
def test_counts_that_cannot_be_are_refused(counts: tuple[float, float]) -> None:
    with pytest.raises(InputError):
        share_range(*counts)
    assert share_range(0.0, 0.0) == Estimate(0.5, 0.0, 1.0)


@pytest.mark.parametrize("level", [0.5, 0.9])
@pytest.mark.parametrize("shared", [0.1, 0.3, 0.7])
def test_how_much_being_inside_goes_together(shared: float, level: float) -> None:
    """Against the bivariate normal of the reference library (scipy.stats.multivariate_normal)."""
    z = norm.ppf(0.5 + level / 2)
    both = multivariate_normal(cov=[[1.0, shared], [shared, 1.0]])
    box = both.cdf([z, z]) - both.cdf([-z, z]) - both.cdf([z, -z]) + both.cdf([-z, -z])
    assert go_together(shared, level) == pytest.approx((box - level**2) / (level * (1 - level)), abs=2e-4)
    assert go_together(0.0, level) == 0.0
    assert go_together(1.0, level) == 1.0


def interval(middle: float, sd: float, shared: float = 0.0) -> Interval:
    half, ninety = Z50 * sd, Z90 * sd
    return Interval(middle, (middle - half, middle + half), (middle - ninety, middle + ninety), shared)


def prediction(club: str = "7i", kind: str = "iron", shared: float = 0.0) -> Prediction:
    return Prediction(
        club, "stock", kind, "2026-05-01", 8, interval(146.0, 7.0, shared), interval(2.0, 9.0, shared),
        interval(146.0, 7.5, shared), Estimate(0.1, 0.04, 0.2),
    )  # fmt: skip


def shots(values: list[float], visit: str = "2026-08-01", club: str = "7i") -> list[Shot]:
    return [Shot(club, i + 1, carry_m=v, offline_m=1.0, visit=visit) for i, v in enumerate(values)]


def test_balls_are_counted_by_kind_of_club_and_by_day() -> None:
    """By hand: 41 of 48 inside; Beta(41.5, 7.5) has its 5 and 95 % points at .756 and .922."""
    inside, outside = [146.0] * 41, [170.0] * 7
    wedge = prediction("PW", "wedge")
    record = score([prediction(), wedge], ShotTable.of(shots(inside + outside)))
    line = record.line(kind="iron")
    assert line is not None
    assert (line.balls, line.inside) == (48, 41)
    assert line.worth == pytest.approx(48.0)
    assert line.share.low == pytest.approx(0.756, abs=5e-4)
    assert line.share.high == pytest.approx(0.922, abs=5e-4)
    assert line.sentence == "nominal 90 %; 41 of 48 inside: as promised"
    assert record.line(kind="wedge") is None
    half = record.line(level=0.5)
    assert half is not None
    assert half.word == "too wide", "41 of 48 inside what is to hold half of them"
    assert dict(record.left_out) == {f"side of another day: not predicted. {SIDE_NOTE}": 48}


@pytest.mark.parametrize(
    ("inside", "outside", "word"),
    [(30, 18, "too narrow"), (43, 5, "as promised"), (48, 0, "too wide"), (5, 4, "too few balls to tell")],
)
def test_the_word_is_beyond_chance_only(inside: int, outside: int, word: str) -> None:
    line = score([prediction()], ShotTable.of(shots([146.0] * inside + [170.0] * outside))).line()
    assert line is not None
    assert line.word == word


def test_balls_that_share_much_are_worth_few() -> None:
    """By hand: the design effect is 1 + 47 r for one club and visit, and half the visits share half."""
    same, r = shots([146.0] * 30 + [170.0] * 18), go_together(0.5, 0.9)
    line = score([prediction(shared=0.5)], ShotTable.of(same)).line()
    assert line is not None
    assert line.worth == pytest.approx(48 / (1 + 47 * r))
    assert line.word != "too narrow", "one bad day is no proof"
    days = [
        shot for day in range(1, 9) for shot in shots([146.0] * 30 + [170.0] * 18, visit=f"2026-08-{day:02d}")
    ]
    many = score([prediction(shared=0.5)], ShotTable.of(days)).line()
    assert many is not None
    assert many.worth == pytest.approx(8 * line.worth)
    assert many.word == "too narrow"


def test_the_same_visit_has_a_side_and_another_day_has_none() -> None:
    record = score([prediction()], ShotTable.of(shots([146.0] * 12, visit="2026-05-01")))
    side = record.line("side", "same visit")
    assert side is not None
    assert (side.balls, side.inside) == (12, 12)
    assert record.line("carry", "later visit") is None
    assert record.left_out == ()


def test_every_shot_is_counted_or_left_out_with_a_reason() -> None:
    later = [
        *shots([146.0, 147.0]),
        Shot("7i", 3, carry_m=None, offline_m=2.0, visit="2026-08-01"),
        Shot("7i", 4, carry_m=150.0, carry_at_least=True, visit="2026-08-01"),
        Shot("7i", 5, carry_m=90.0, mark=Mark("mishit", "thin", "player"), visit="2026-08-01"),
        Shot("7i", 6, carry_m=90.0, mark=Mark("bad-read", "net", "coach"), visit="2026-08-01"),
        Shot("3w", 7, carry_m=200.0, visit="2026-08-01"),
    ]
    record = score([prediction()], ShotTable.of(later))
    line = record.line()
    assert line is not None
    assert line.balls == 2
    reasons = dict(record.left_out)
    assert reasons["carry not measured"] == 1
    assert reasons["carry only known to be at least so much"] == 1
    assert reasons["not solid"] == 1
    assert reasons["club and swing that nothing was predicted of"] == 1
    assert sum(n for reason, n in reasons.items() if reason.startswith("bad reading")) == 1
    unlikely = np.array([0.9, 0.2, 0.9, 0.9, 0.9, math.nan, 0.9])
    fewer = score([prediction()], ShotTable.of(later), unlikely).line()
    assert fewer is not None
    assert fewer.balls == 1
    with pytest.raises(InputError):
        score([prediction()], ShotTable.of(later), unlikely[:3])


def test_a_true_prediction_is_seldom_called_wrong() -> None:
    """Balls drawn from what was predicted: 8 clubs, 6 balls each, a common part of 20 % of the variance."""
    rng = np.random.default_rng(20261125)
    called = {"too narrow": 0, "too wide": 0, "as promised": 0}
    clubs = [f"{n}i" for n in range(2, 10)]
    known = [prediction(club, shared=0.2) for club in clubs]
    for _ in range(400):
        later = []
        for club in clubs:
            together, apart = math.sqrt(0.2) * rng.standard_normal(), rng.standard_normal(6)
            values = 146.0 + 7.5 * (together + math.sqrt(0.8) * apart)
            later += shots([float(v) for v in values], club=club)
        line = score(known, ShotTable.of(later)).line()
        assert line is not None
        called[line.word] += 1
    # Ten in a hundred is what a 90 % range leaves out; the standard error with 400 is 1.5 points.
    assert called["too narrow"] + called["too wide"] <= 58
    assert called["too narrow"] + called["too wide"] >= 5, "the check can fail"
