"""What air and wind do to a carry.

1. The table of effects of D1 for five launches (20 °C and 1.2 kg/m³ at the start), computed elsewhere.
2. Common practice, no source: a head wind costs 0.5 to 1.4 % of carry a mph, and the same tail wind
   gives 0.6 to 0.9 of that back.
3. A ball engineer's rule quoted in the press: 1.16 % of distance for 1000 ft (drivers).
"""

from __future__ import annotations

import math
from typing import Literal

import pytest

from bagwright.air import CALM, Air, Wind, air
from bagwright.flight.fly import fly
from bagwright.flight.launch import Launch
from bagwright.units import MPS_PER_MPH

LAUNCHES = {
    "fast driver": (75, 10.8, 2600),
    "slow driver": (58, 13, 2900),
    "fairway wood": (66, 11, 3500),
    "mid iron": (53, 17, 6500),
    "wedge": (40, 28, 9300),
}
EFFECTS = {
    # percent of carry: +1000 ft, +5280 ft, +10 °F, 10 -> 90 % humidity at 32 °C, even wind 10 mph head, tail
    "fast driver": (1.2, 5.3, 0.7, 0.4, -6.2, 4.9),
    "slow driver": (0.8, 3.0, 0.4, 0.3, -4.6, 2.7),
    "fairway wood": (1.4, 6.2, 0.8, 0.5, -6.4, 4.6),
    "mid iron": (1.9, 9.6, 1.1, 0.7, -10.0, 7.2),
    "wedge": (1.7, 8.8, 1.0, 0.7, -12.7, 9.5),
}
T0 = 293.15


def carry(club: str, where: Air, wind: Wind = CALM) -> float:
    speed, degrees, rpm = LAUNCHES[club]
    return fly(Launch(speed, math.radians(degrees), rpm), where, wind).carry_m


def change(club: str, to: Air, since: Air, wind: Wind = CALM) -> float:
    return 100 * (carry(club, to, wind) / carry(club, since) - 1)


@pytest.mark.parametrize("club", LAUNCHES)
def test_effects_on_carry(club: str) -> None:
    """Held to 0.1 point: the table is printed to one digit and does not say its air to the last one."""
    start = air(temperature_k=T0)
    humid, dry = (air(temperature_k=305.15, humidity=share) for share in (0.9, 0.1))
    got = (
        change(club, air(temperature_k=T0, altitude_m=304.8), start),
        change(club, air(temperature_k=T0, altitude_m=1609.344), start),
        change(club, air(temperature_k=T0 + 10 / 1.8), start),
        change(club, humid, dry),
        change(club, start, start, Wind(10 * MPS_PER_MPH, 0.0, "uniform")),
        change(club, start, start, Wind(10 * MPS_PER_MPH, math.pi, "uniform")),
    )
    assert got == pytest.approx(EFFECTS[club], abs=0.101)


def lost_and_given(club: str, mph: float, profile: Literal["log", "uniform"]) -> tuple[float, float]:
    """Percent of carry a mph that a head wind costs, and the share of it that the tail wind gives."""
    head, tail = (Wind(mph * MPS_PER_MPH, origin, profile) for origin in (0.0, math.pi))
    start = air()
    lost, gained = -change(club, start, start, head), change(club, start, start, tail)
    return lost / mph, gained / lost


@pytest.mark.parametrize("profile", ["uniform", "log"])
@pytest.mark.parametrize("club", ["fast driver", "fairway wood", "mid iron", "wedge"])
def test_head_and_tail_wind_of_10_mph_are_as_common_practice_has_them(
    club: str, profile: Literal["log", "uniform"]
) -> None:
    """Common practice, no source. A stronger tail wind gives less back: 0.52 to 0.71 of it at 15 mph."""
    lost, share = lost_and_given(club, 10.0, profile)
    assert 0.5 < lost < 1.4
    assert 0.6 < share < 0.9


def test_a_slow_drive_feels_less_wind_than_common_practice_has_it() -> None:
    """A miss of that practice: 0.45 % a mph, of which 0.54 to 0.59 comes back; its flight is low."""
    for profile in ("uniform", "log"):
        lost, share = lost_and_given("slow driver", 10.0, profile)
        assert 0.44 < lost < 0.47
        assert 0.53 < share < 0.6


def test_altitude_gives_a_driver_what_the_press_quotes_and_an_iron_more() -> None:
    """1.16 % of distance for 1000 ft, read second-hand; "2 % for 1000 ft" (press) fits irons only."""
    start, higher = air(temperature_k=T0), air(temperature_k=T0, altitude_m=304.8)
    assert change("fast driver", higher, start) == pytest.approx(1.16, abs=0.15)
    assert 1.5 < change("mid iron", higher, start) < 2.1


def test_log_wind_costs_a_mid_iron_a_point_more_than_an_even_one() -> None:
    """For the same wind at 10 m; about 1 % (computed elsewhere)."""
    start = air()
    even, by_height = (
        change("mid iron", start, start, Wind(10 * MPS_PER_MPH, 0.0, profile))
        for profile in ("uniform", "log")
    )
    assert even - by_height == pytest.approx(1.0, abs=0.5)


def test_curve_for_each_degree_of_axis_tilt() -> None:
    """0.66 to 0.91 % of carry a degree, from slow driver to mid iron (D1, computed elsewhere)."""
    shares = []
    for club in ("slow driver", "mid iron"):
        speed, degrees, rpm = LAUNCHES[club]
        flown = fly(Launch(speed, math.radians(degrees), rpm, 0.0, math.radians(1.0)), Air(1.2, 1.81e-5))
        shares.append(100 * flown.offline_m / flown.carry_m)
    assert shares == pytest.approx([0.66, 0.91], abs=0.01)


def test_cross_wind_of_10_mph_moves_a_wedge_9_and_a_half_and_a_fast_drive_14_metres() -> None:
    wind = Wind(10 * MPS_PER_MPH, math.radians(270.0), "uniform")
    for club, side in (("wedge", 9.5), ("fast driver", 14.0)):
        speed, degrees, rpm = LAUNCHES[club]
        flown = fly(Launch(speed, math.radians(degrees), rpm), Air(1.2, 1.81e-5), wind)
        assert flown.offline_m == pytest.approx(side, abs=0.1)
