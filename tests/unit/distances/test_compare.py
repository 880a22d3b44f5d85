"""Two visits side by side: a change beyond chance is found, none is invented."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bagwright.bag.club import Bag, Build, Club, Player
from bagwright.dispersion.fit import Dispersions, fit_dispersion
from bagwright.distances.compare import (
    DAY_SHARE,
    Difference,
    balls_to_settle,
    change_of,
    change_since,
    compare_visits,
    differing,
    spread_of,
)
from bagwright.estimate import Estimate
from bagwright.shots.record import Conditions, Shot, ShotTable

BAG = Bag(Player(handicap=10.0, driver_speed_mps=42.0), (Club("7 iron", "iron", build=Build(loft_deg=33.0)),))
KEY = ("7 iron", "stock")


def visit(centre_m: float, n: int, seed: int, spread_m: float = 6.0) -> Dispersions:
    rng = np.random.default_rng(seed)
    shots = [
        Shot(
            "7 iron", i + 1, carry_m=centre_m + spread_m * float(rng.standard_normal()),
            offline_m=6.0 * float(rng.standard_normal()), visit="v",
        )
        for i in range(n)
    ]  # fmt: skip
    return fit_dispersion(ShotTable.of(shots), BAG.player, BAG)


def test_the_change_is_the_difference_with_both_doubts_and_two_days() -> None:
    """By hand: mean of the difference, root of the sum of squares; 1.645 sd of a normal hold 90 %."""
    before, now = visit(130.0, 12, 1), visit(134.0, 12, 2)
    (one,) = compare_visits(before, now)
    a, b = before[KEY], now[KEY]
    day = DAY_SHARE * a.carry_m.value * math.sqrt(2.0)
    sd = math.sqrt(a.carry_spread**2 + b.carry_spread**2 + day**2)
    assert one.change_m.value == pytest.approx(b.carry_m.value - a.carry_m.value)
    assert one.change_m.high - one.change_m.value == pytest.approx(1.6448536 * sd, rel=1e-6)
    known = change_of(a, b, Difference(2.0, 1.0))
    assert known.change_m.value == 2.0
    assert known.change_m.high - known.change_m.value == pytest.approx(1.6448536)


def test_an_agreed_carry_and_the_same_carry_measured_say_the_same() -> None:
    """By hand: the sd of a normal is its 90 % range over 3.2897; only then is nothing known of the spread."""
    before, now = visit(130.0, 12, 1)[KEY], visit(134.0, 12, 2)[KEY]
    sd = before.carry_spread
    agreed = Estimate(
        before.carry_m.value, before.carry_m.value - 1.6448536 * sd, before.carry_m.value + 1.6448536 * sd
    )
    one, other = change_since(agreed, now), change_of(before, now)
    assert one.change_m.low == pytest.approx(other.change_m.low, rel=1e-5)
    assert one.beyond == pytest.approx(other.beyond, rel=1e-5)
    assert (one.spread, one.n_before) == (None, None)


def test_the_ratio_of_two_spreads_has_a_range_that_turns_round_with_them() -> None:
    before, now = visit(130.0, 12, 1)[KEY], visit(130.0, 12, 2, spread_m=12.0)[KEY]
    there, back = spread_of(before, now), spread_of(now, before)
    assert there.value == pytest.approx(1.0 / back.value)
    assert there.low == pytest.approx(1.0 / back.high)
    assert there.low < there.value < there.high
    few = spread_of(visit(130.0, 3, 1)[KEY], visit(130.0, 3, 2)[KEY])
    assert few.high / few.low > there.high / there.low, "fewer balls say less"


def test_a_large_change_is_told_and_no_change_is_not() -> None:
    far = change_of(visit(130.0, 15, 3)[KEY], visit(112.0, 15, 4)[KEY])
    assert far.beyond > 0.97
    told = [
        change_of(visit(130.0, 10, 2 * seed)[KEY], visit(130.0, 10, 2 * seed + 1)[KEY]).beyond
        for seed in range(10, 50)
    ]
    assert sum(chance > 0.9 for chance in told) <= 4, "of 40 pairs without a change"


def test_few_balls_are_no_sign_of_a_change() -> None:
    """Nothing known says nothing of a change: its chance stays near one half or below."""
    told = [
        change_of(visit(130.0, 3, 2 * seed)[KEY], visit(130.0, 3, 2 * seed + 1)[KEY]).beyond
        for seed in range(10, 50)
    ]
    assert sum(chance > 0.75 for chance in told) <= 8, "of 40 pairs without a change"
    a, b = visit(130.0, 8, 5)[KEY], visit(130.0, 8, 6)[KEY]
    blind = change_of(a, b, Difference(0.0, 1000.0))
    assert blind.beyond < 0.5
    assert blind.same < 0.01
    far = change_of(a, b, Difference(-10.0, 1.0))
    assert far.beyond == pytest.approx(1.0, abs=1e-6)
    assert far.same == pytest.approx(0.0, abs=1e-6)


def test_how_many_balls_would_settle_it() -> None:
    """By hand: 2 % of 130 m over 1.645 is 1.58 m; with sd 6 m each, 6 m sqrt(2/n) <= 1.58 m from n = 29."""
    old, new = visit(130.0, 8, 5)[KEY], visit(130.0, 8, 6)[KEY]
    spread = max(old.carry_sd_m.value, new.carry_sd_m.value)
    more = balls_to_settle(old, new, spread * math.sqrt(2.0 / 8.0))
    wanted = 0.02 * old.carry_m.value / 1.6448536
    assert more == math.ceil(2.0 * (spread / wanted) ** 2) - 8
    assert balls_to_settle(old, new, 50.0) is None, "form and day leave more open than balls can mend"
    many = visit(130.0, 60, 7)[KEY]
    assert balls_to_settle(many, many, 0.5) == 0


def test_conditions_that_differ_are_named() -> None:
    then = Conditions(ball="range", surface="mat", air="20 C, 1.2 kg/m3")
    now = Conditions(ball="premium", surface="mat", air="")
    assert differing(then, now) == ("ball: range, now premium",)
