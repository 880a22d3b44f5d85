"""What a fit predicts of later shots: closed forms, and later shots of invented golfers."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.stats import norm, t

from bagwright.dispersion.fit import fit_dispersion
from bagwright.dispersion.predict import LEVELS, Interval, predictions
from bagwright.shots.record import Mark, Shot
from bagwright.units import M_PER_YD
from bench._study import rng_for
from bench.world import SOLID, WORLDS, bag_of, hit, mirrored_passes, new_bag, new_golfer
from tests.unit.dispersion.shots import SEVEN, fit

VISITS = 60
CARRIES = [146.0, 149.0, 143.0, 151.0, 147.5, 140.0, 148.0, 145.0]


def one(n: int = 8) -> tuple[Interval, Interval, Interval]:
    shots = [
        Shot("7i", 20 + i, carry_m=c, offline_m=s, visit="2026-05-01")
        for i, (c, s) in enumerate(
            zip(CARRIES[:n], [4.0, -6.0, 1.0, 9.0, -3.0, 0.0, 5.0, -8.0], strict=False)
        )
    ]
    (found,) = predictions(fit(shots))
    return found.carry, found.side, found.later_carry


def test_an_interval_is_the_centre_and_one_ball_together() -> None:
    """Close to a normal with the two variances added, the plain textbook interval; the mixture is wider."""
    shots = [Shot("7i", 20 + i, carry_m=c, offline_m=0.0) for i, c in enumerate(CARRIES)]
    fits = fit(shots)
    (found,) = predictions(fits)
    dispersion = fits[SEVEN]
    sd = np.hypot(dispersion.carry_spread, dispersion.carry_sd_m.value)
    low, high = found.carry.ninety_m
    assert found.carry.median_m == pytest.approx(dispersion.carry_m.value, abs=0.02 * sd)
    assert high - low == pytest.approx(2 * norm.ppf(0.95) * sd, rel=0.06)
    assert high - low > 2 * norm.ppf(0.95) * sd, "not knowing the spread widens it"
    tails = (high - low) / (found.carry.half_m[1] - found.carry.half_m[0])
    assert norm.ppf(0.95) / norm.ppf(0.75) < tails < t.ppf(0.95, 5) / t.ppf(0.75, 5)
    assert found.mishit_share == dispersion.mishit_share


def test_another_day_is_wider_and_keeps_its_middle() -> None:
    """By hand: 1.5 % for the day and 1 % for form, of an expected carry of 146.3 m (160 yd)."""
    today, _, later = one()
    assert later.median_m == pytest.approx(today.median_m, abs=0.05)
    assert later.shared > today.shared
    more = (later.ninety_m[1] - later.ninety_m[0]) ** 2 - (today.ninety_m[1] - today.ninety_m[0]) ** 2
    day = (0.015**2 + 0.010**2) * (160.0 * M_PER_YD) ** 2
    assert more == pytest.approx((2 * norm.ppf(0.95)) ** 2 * day, rel=0.15)


def test_more_balls_narrow_an_interval_but_never_below_one_balls_spread() -> None:
    few, many = one(3)[0], one(8)[0]
    assert many.shared < few.shared
    for interval in (few, many):
        assert interval.ninety_m[0] < interval.half_m[0] < interval.median_m
        assert interval.median_m < interval.half_m[1] < interval.ninety_m[1]
        assert interval.at(0.5) == interval.half_m


def test_a_club_that_was_never_hit_solidly_is_not_predicted() -> None:
    topped = Shot("7i", 20, offline_m=None, carry_m=None, mark=Mark("mishit", "topped", "player"))
    assert predictions(fit([topped])) == ()


@cache
def inside() -> dict[tuple[str, float], tuple[int, int]]:
    """Solid shots hit after a whole-bag visit of the reference world, and how many fell inside.

    The later day has a level of its own: sd 1.5 % of carry, and 3 degrees of side that nobody predicts.
    """
    world = WORLDS["T"]
    counts = (3, 3, 4, 4, 5, 5, 6, 6, 8, 8, 12, 12)
    found: dict[tuple[str, float], tuple[int, int]] = {}
    for v in range(VISITS):
        rng = rng_for("predictions", v)
        golfer = new_golfer(rng, world)
        clubs = new_bag(rng, world, golfer)
        order = mirrored_passes([int(n) for n in rng.permutation(counts)])
        bag = bag_of(golfer, clubs)
        table = hit(rng, world, golfer, clubs, order).table
        known = {p.club: p for p in predictions(fit_dispersion(table, bag.player, bag), bag)}
        day = 1.0 + 0.015 * rng.standard_normal()
        moved = [replace(club, centre_yd=club.centre_yd * day) for club in clubs]
        four = [i for i in range(len(clubs)) for _ in range(4)]
        today, later = (hit(rng, world, golfer, those, four) for those in (clubs, moved))
        for i, club in enumerate(clubs):
            one = known[club.club.name]
            for name, interval, visit, yards in (
                ("carry", one.carry, today, today.carry_yd), ("side", one.side, today, today.side_yd),
                ("later", one.later_carry, later, later.carry_yd),
            ):  # fmt: skip
                values = yards[(visit.which == i) & (visit.kind == SOLID)] * M_PER_YD
                for level in LEVELS:
                    low, high = interval.at(level)
                    n, hits = found.get((name, level), (0, 0))
                    found[name, level] = (
                        n + len(values),
                        hits + int(((low <= values) & (values <= high)).sum()),
                    )
    return found


# Some 2500 balls each; those of one player share what is not known of him, so that the standard error of a
# share of 90 % is about 1.2 points with 60 players, and of one of 50 % about 1.7. The bounds are 3 of them.
@pytest.mark.parametrize("name", ["carry", "side", "later"])
@pytest.mark.parametrize(("level", "within"), [(0.5, 0.05), (0.9, 0.035)])
def test_later_solid_shots_fall_inside_as_often_as_promised(name: str, level: float, within: float) -> None:
    n, hits = inside()[name, level]
    assert n > 2000
    assert hits / n == pytest.approx(level, abs=within)
