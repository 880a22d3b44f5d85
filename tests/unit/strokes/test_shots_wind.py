"""Wind and height: the series over directions against flights, slopes against the path of a flight."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bagwright.air import STANDARD, Wind, air
from bagwright.course.lies import Lie
from bagwright.flight.fly import fly
from bagwright.flight.launch import Launch, Scale
from bagwright.strokes.flown_shots import Place
from bagwright.strokes.ground import Grounds
from bagwright.strokes.patterns import PatternTable
from bagwright.strokes.reference import reference_player
from bagwright.strokes.strikes import Strikes
from bagwright.strokes.table import Who, table_of
from bagwright.strokes.wind import shifts_at, wind_shift
from bagwright.turf import FAIRWAY
from tests.unit.strokes.finish import find


@pytest.fixture(scope="module")
def scratch() -> tuple[PatternTable, Strikes]:
    player = reference_player("scratch")
    return table_of(player.kernels, Who(0.0, player.skill), Place(STANDARD, STANDARD, Grounds(FAIRWAY)))


def some(strikes: Strikes, table: PatternTable, *clubs: str) -> Strikes:
    at = [find(table, club) for club in clubs]
    names = ("ball_speed_mps", "launch_rad", "spin_rpm", "drag")
    return Strikes(*(getattr(strikes, name)[Lie.TEE, at] for name in names))


@pytest.mark.parametrize(("speed", "near_m"), [(3.0, 0.05), (6.0, 0.15), (10.0, 0.6)])
def test_the_series_gives_the_flights_in_between(
    scratch: tuple[PatternTable, Strikes], speed: float, near_m: float
) -> None:
    """Outside: flights in winds from directions that the series was not made from."""
    table, strikes = scratch
    few = some(strikes, table, "driver", "5 iron", "9 iron", "60 wedge")
    wind = Wind(speed, 0.0)
    x, y = wind_shift(few, STANDARD, wind)
    t = np.radians([10.0, 47.0, 100.0, 133.0, 200.0, 283.0, 345.0])
    along, across = shifts_at(few, STANDARD, wind, t)
    ours_x = x[:, :1] + x[:, 1:2] * np.cos(t) + x[:, 2:] * np.cos(2.0 * t)
    ours_y = y[:, :1] * np.sin(t) + y[:, 1:] * np.sin(2.0 * t)
    assert np.abs(ours_x - along).max() < near_m
    assert np.abs(ours_y - across).max() < near_m


def test_wind_works_through_flight(scratch: tuple[PatternTable, Strikes]) -> None:
    """Common practice: a head wind takes more than a tail wind gives; a wind from the right pushes left."""
    table, strikes = scratch
    driver = some(strikes, table, "driver")
    along, across = shifts_at(driver, STANDARD, Wind(5.0, 0.0), np.array([0.0, 0.5 * math.pi, math.pi]))
    assert along[0, 0] < -along[0, 2] < 0.0
    assert across[0, 1] < -3.0


def test_a_wind_is_a_direction_from_north_and_calm_is_none() -> None:
    player = reference_player("bogey")
    calm, windy = player.table(), player.table(wind=Wind(5.0, 2.0))
    assert calm.wind_from_rad is None
    assert not calm.wind_x_m.any()
    assert windy.wind_from_rad == 2.0
    assert np.array_equal(calm.parts, windy.parts)
    assert player.table(wind=Wind(0.0, 2.0)).wind_from_rad is None
    turned = player.table(wind=Wind(5.0, 0.3))
    assert np.array_equal(windy.wind_x_m, turned.wind_x_m)


@pytest.mark.parametrize(
    ("club", "height_m", "near_m"),
    [
        ("5 iron", 3.0, 0.15),
        ("5 iron", 8.0, 0.9),
        ("9 iron", 8.0, 0.5),
        ("60 wedge", 5.0, 0.3),
        ("driver", 5.0, 0.9),
    ],
)
def test_a_higher_landing_is_shorter_by_its_height_over_the_descent(
    scratch: tuple[PatternTable, Strikes], club: str, height_m: float, near_m: float
) -> None:
    """Outside: the path of the same flight where it comes down through that height."""
    table, strikes = scratch
    one = some(strikes, table, club)
    launch = Launch(float(one.ball_speed_mps[0]), float(one.launch_rad[0]), float(one.spin_rpm[0]))
    flight = fly(launch, STANDARD, scale=Scale(float(one.drag[0]), 1.0), path=True)
    assert flight.path is not None
    down = int(flight.path.z_m.argmax())
    there = float(np.interp(-height_m, -flight.path.z_m[down:], flight.path.x_m[down:]))
    shorter = height_m / table.tan_descent[Lie.TEE, find(table, club)]
    assert flight.carry_m - there == pytest.approx(shorter, abs=near_m)


def test_the_air_of_the_course_works_through_flight(scratch: tuple[PatternTable, Strikes]) -> None:
    """Outside: the same launch flown alone by the adaptive solver, 1,000 m up (9 % less dense)."""
    table, strikes = scratch
    thin = air(altitude_m=1000.0)
    high = reference_player("scratch").table(air=thin)
    for club in ("driver", "7 iron"):
        shot = find(high, club)
        one = some(strikes, table, club)
        launch = Launch(float(one.ball_speed_mps[0]), float(one.launch_rad[0]), float(one.spin_rpm[0]))
        alone = fly(launch, thin, scale=Scale(float(one.drag[0]), 1.0))
        carry, low = high.parts[Lie.TEE, shot, 0, 1], table.parts[Lie.TEE, shot, 0, 1]
        assert carry == pytest.approx(alone.carry_m, abs=0.1)
        assert carry > low
        assert high.parts[Lie.TEE, shot, 0, 3] / carry == pytest.approx(
            table.parts[Lie.TEE, shot, 0, 3] / low
        )
