"""What a change would do, and a degree of loft in carry."""

import math
from dataclasses import replace

import pytest

from bagwright.errors import InputError
from bagwright.flight.fly import fly
from bagwright.flight.launch import Launch
from bagwright.impact import (
    HEADS,
    Delivery,
    carry_per_degree,
    speed_by_length,
    strike,
    what_if,
    yards_per_degree,
)  # fmt: skip

RAD = math.pi / 180.0
IRON = Delivery(34.0, 27 * RAD, -3 * RAD)
DRIVE = Launch(67.0, 12 * RAD, 2700.0)


def test_no_change_changes_nothing() -> None:
    got = what_if(IRON, HEADS["iron"])
    for name in ("club_speed_mps", "ball_speed_mps", "launch_rad", "spin_rpm", "carry_m", "descent_rad"):
        estimate = getattr(got, name)
        assert (estimate.low, estimate.value, estimate.high) == (0.0, 0.0, 0.0)


def test_more_loft_on_an_iron() -> None:
    got = what_if(IRON, HEADS["iron"], loft_rad=2 * RAD)
    assert 0.0 < got.launch_rad.value < 2 * RAD
    assert got.spin_rpm.value > 0.0 > got.ball_speed_mps.value
    assert got.carry_m.value < 0.0 < got.descent_rad.value
    for name in ("ball_speed_mps", "launch_rad", "spin_rpm", "carry_m", "descent_rad"):
        estimate = getattr(got, name)
        assert estimate.low < estimate.value < estimate.high


def test_change_is_the_difference_of_the_two_flights() -> None:
    got = what_if(IRON, HEADS["iron"], loft_rad=-1 * RAD, faster_mps=0.5)
    stronger = replace(IRON, club_speed_mps=34.5, loft_rad=26 * RAD)
    carries = [fly(strike(each, HEADS["iron"]).launch).carry_m for each in (IRON, stronger)]
    assert got.carry_m.value == pytest.approx(carries[1] - carries[0], abs=1e-3)
    assert got.after.delivery.loft_rad == pytest.approx(26 * RAD)
    assert got.club_speed_mps.value == 0.5


def test_starts_from_a_players_launch() -> None:
    got = what_if(DRIVE, HEADS["driver"], faster_mps=1.0)
    assert got.before.launch.ball_speed_mps == pytest.approx(67.0)
    assert got.before.launch.spin_rpm == pytest.approx(2700.0)
    assert 1.2 < got.ball_speed_mps.value < 1.6
    assert 3.0 < got.carry_m.value < 8.0


def test_longer_club_gains_from_none_to_all() -> None:
    grown = speed_by_length(45.0, 1.14, 0.0254)
    assert grown.low == 0.0
    assert grown.high == pytest.approx(45.0 * 0.0254 / 1.84)
    assert grown.value == pytest.approx(grown.high / 2.0)
    shorter = speed_by_length(45.0, 1.14, -0.0254)
    assert (shorter.low, shorter.high) == (-grown.high, 0.0)
    got = what_if(DRIVE, HEADS["driver"], longer_m=0.0254, club_length_m=1.14)
    # From a gain of nothing to twice the value: the range of carry reaches about that far.
    assert got.carry_m.low == pytest.approx(0.0, abs=0.3)
    assert got.carry_m.high == pytest.approx(2.0 * got.carry_m.value, abs=0.3)


def test_yards_are_metres_in_yards() -> None:
    metres = carry_per_degree(IRON, HEADS["iron"])
    yards = yards_per_degree(IRON, HEADS["iron"])
    assert yards.value == pytest.approx(metres.value / 0.9144)
    assert yards.low < yards.value < yards.high


def test_slow_swings_gain_less_from_strong_lofts() -> None:
    def strong(speed: float) -> float:
        return yards_per_degree(Delivery(speed, 16 * RAD, -2 * RAD), HEADS["iron"]).value

    gains = [strong(speed) for speed in (28.0, 32.0, 36.0, 40.0)]
    assert gains == sorted(gains)
    assert gains[0] < 1.0


def test_from_the_players_own_launch() -> None:
    launch = strike(IRON, HEADS["iron"]).launch
    assert carry_per_degree(launch, HEADS["iron"]).value == pytest.approx(
        carry_per_degree(IRON, HEADS["iron"]).value, rel=1e-6
    )


def test_two_to_four_yards_a_degree() -> None:
    """Common practice, no source: a degree of loft is 2-4 yards with a middle iron."""
    assert 2.0 < yards_per_degree(IRON, HEADS["iron"], faster_per_degree_mps=0.13).value < 4.0


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"loft_rad": 2.0}, "loft_rad = 2 cannot be used"),
        ({"loft_rad": math.nan}, "loft_rad = nan is not a number"),
        ({"faster_mps": 50.0}, "faster_mps = 50 cannot be used"),
        ({"longer_m": 0.01}, "the club's present length is not given"),
        ({"longer_m": 0.5, "club_length_m": 1.1}, "longer_m = 0.5 cannot be used"),
        ({"longer_m": 0.01, "club_length_m": 45.0}, "club_length_m = 45 cannot be used"),
    ],
)
def test_hostile_changes(change: dict[str, float], told: str) -> None:
    with pytest.raises(InputError) as caught:
        what_if(IRON, HEADS["iron"], **change)  # type: ignore[arg-type]
    assert told in str(caught.value)


def test_hostile_spans() -> None:
    with pytest.raises(InputError, match="span_rad = 0 cannot be used"):
        carry_per_degree(IRON, HEADS["iron"], 0.0)
    with pytest.raises(InputError, match="faster_per_degree_mps = 9 cannot be used"):
        carry_per_degree(IRON, HEADS["iron"], faster_per_degree_mps=9.0)
