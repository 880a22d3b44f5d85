"""Launches, flights and their doubt: what is refused, marked, missing, and how the pieces agree."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import numpy as np
import pytest

from bagwright.air import CALM, STANDARD, Air, Wind
from bagwright.errors import InputError
from bagwright.flight.aero import DEFAULT, LAWS, SPREAD, coefficients
from bagwright.flight.fly import fly, fly_many
from bagwright.flight.launch import FLIGHT_NUMBERS, RANGES, Ball, Flight, Launch, Launches, Scale
from bagwright.flight.spread import spread

AIR = Air(1.2, 1.81e-5)
DRIVE = Launch(75.0, math.radians(10.8), 2600.0)
IRON = Launch(53.0, math.radians(17.0), 6500.0)
WEDGE = Launch(40.0, math.radians(28.0), 9300.0)
HOSTILE = [math.nan, math.inf, -math.inf, 1e308, -1e308, "fast", None, [70.0], 10**400]


@pytest.mark.parametrize("value", HOSTILE)
@pytest.mark.parametrize("name", RANGES)
def test_a_hostile_launch_is_refused_with_value_and_range(name: str, value: Any) -> None:
    good = {"ball_speed_mps": 70.0, "launch_rad": 0.2, "spin_rpm": 3000.0}
    with pytest.raises(InputError) as caught:
        Launch(**{**good, name: value})
    assert name in caught.value.message
    assert caught.value.next_step == f"Expected {RANGES[name][2]}."


@pytest.mark.parametrize("name", RANGES)
def test_the_edges_of_the_range_can_be_flown(name: str) -> None:
    for edge in RANGES[name][:2]:
        launch = dataclasses.replace(Launch(40.0, 0.3, 4000.0), **{name: edge})
        for wind in (CALM, Wind(40.0, 0.5), Wind(40.0, 3.0)):
            flight = fly(launch, AIR, wind)
            assert all(math.isfinite(getattr(flight, number)) for number in FLIGHT_NUMBERS)
            assert flight.apex_m >= 0.0


@pytest.mark.parametrize("value", [-0.1, 5.1, math.nan, math.inf, "1", None])
def test_hostile_factors_are_refused(value: Any) -> None:
    for name in ("drag", "lift"):
        with pytest.raises(InputError, match=name):
            Scale(**{name: value})
    with pytest.raises(InputError, match="drag"):
        Scale(np.array([1.0, 6.0]))
    with pytest.raises(InputError, match="drag"):
        Scale(np.array(["1"]))


@pytest.mark.parametrize("value", [0.0, math.nan, math.inf, "heavy", None])
def test_hostile_balls_are_refused(value: Any) -> None:
    for name in ("mass_kg", "diameter_m"):
        with pytest.raises(InputError, match=name):
            Ball(**{name: value})


def test_an_unknown_law_is_refused_with_the_known_ones() -> None:
    for name in ("d1", "", None, 3, ["D1"]):
        with pytest.raises(InputError) as caught:
            fly(DRIVE, law=name)  # type: ignore[arg-type]
        assert "bearman-harvey-1976" in caught.value.next_step


def test_every_law_flies_and_names_itself() -> None:
    for name, law in LAWS.items():
        if name == "constant":
            continue
        flight = fly(DRIVE, AIR, law=name)
        assert flight.law == law.name == name
        assert 150.0 < flight.carry_m < 300.0
        assert law.source
        assert law.title


def test_nothing_said_is_standard_air_no_wind_and_the_default_law() -> None:
    flight = fly(DRIVE)
    assert (flight.air, flight.law, flight.path) == (STANDARD, DEFAULT, None)
    assert flight == fly(DRIVE, STANDARD, CALM, "D1", Scale(), Ball())


def test_carry_is_the_straight_line_and_its_parts() -> None:
    flight = fly(dataclasses.replace(IRON, direction_rad=0.05, spin_axis_rad=0.2), AIR, Wind(5.0, 1.0))
    assert flight.carry_m == math.hypot(flight.downrange_m, flight.offline_m)
    assert flight.offline_m > 0.0


def test_turning_the_whole_strike_turns_the_landing() -> None:
    """Start direction turns the spin axis with it: in still air the flight is the same, turned."""
    straight, turned = fly(IRON, AIR), fly(dataclasses.replace(IRON, direction_rad=0.3), AIR)
    assert turned.carry_m == pytest.approx(straight.carry_m, abs=1e-6)
    assert math.atan2(turned.offline_m, turned.downrange_m) == pytest.approx(0.3, abs=1e-9)
    assert turned.landing_direction_rad == pytest.approx(0.3, abs=1e-9)


def test_a_wedge_leaves_the_range_of_d1_and_says_by_how_much() -> None:
    assert fly(DRIVE, AIR).extrapolated == ()
    told = fly(WEDGE, AIR).extrapolated
    assert len(told) == 1
    assert told[0].startswith("spin ratio higher than the law was fitted to (1.2")


def test_a_chip_is_slower_than_the_law_was_fitted_to() -> None:
    told = fly(Launch(8.0, 0.5, 100.0), AIR).extrapolated
    assert any(words.startswith("air speed lower than the law was fitted to (") for words in told)


def test_a_knuckle_and_a_rocket_are_marked() -> None:
    assert any("spin ratio lower" in words for words in fly(Launch(60.0, 0.2, 100.0), AIR).extrapolated)
    assert any("air speed higher" in words for words in fly(Launch(100.0, 0.2, 3000.0), AIR).extrapolated)


def test_the_path_leads_from_strike_over_the_apex_to_the_landing() -> None:
    for wind in (CALM, Wind(8.0, 0.4)):
        flight = fly(IRON, AIR, wind, path=True)
        path = flight.path
        assert path is not None
        assert len(path.t_s) == 61
        assert np.diff(path.t_s) == pytest.approx(np.full(60, flight.time_s / 60), rel=1e-9)
        assert (path.x_m[0], path.y_m[0], path.z_m[0]) == (0.0, 0.0, 0.0)
        assert (path.x_m[-1], path.y_m[-1], path.z_m[-1]) == (flight.downrange_m, flight.offline_m, 0.0)
        assert (path.speed_mps[0], path.spin_rpm[0]) == pytest.approx((53.0, 6500.0))
        assert path.speed_mps[-1] == pytest.approx(flight.landing_speed_mps)
        assert path.spin_rpm[-1] == pytest.approx(flight.landing_spin_rpm)
        assert flight.apex_m - 0.05 < path.z_m.max() <= flight.apex_m + 1e-9
        assert np.all(np.diff(path.spin_rpm) < 0.0)
        # The last even step before the landing continues the flight: no jump to the landing.
        assert path.z_m[-2] / (path.t_s[-1] - path.t_s[-2]) == pytest.approx(
            flight.landing_speed_mps * math.sin(flight.descent_rad), rel=0.02
        )


def test_a_path_does_not_change_the_flight() -> None:
    assert fly(IRON, AIR, Wind(8.0, 0.4), path=True) == fly(IRON, AIR, Wind(8.0, 0.4))


def test_spin_decays_and_more_with_more_decay() -> None:
    own, older = fly(DRIVE, AIR), fly(DRIVE, AIR, law="pooled")
    assert older.landing_spin_rpm < own.landing_spin_rpm < DRIVE.spin_rpm


def launches(n: int) -> Launches:
    rng = np.random.default_rng(8)
    return Launches.of(
        rng.uniform(20, 80, n), rng.uniform(0.1, 0.6, n), rng.uniform(1000, 10_000, n),
        rng.uniform(-0.1, 0.1, n), rng.uniform(-0.3, 0.3, n),
    )  # fmt: skip


@pytest.mark.parametrize("n", [7, 1100])
def test_many_flights_are_each_as_one(n: int) -> None:
    """Few go through the plain integrator, many through machine code."""
    batch = launches(n)
    many = fly_many(batch, AIR, Wind(5.0, 1.0))
    for i in range(0, n, max(n // 7, 1)):
        one = fly(batch[i], AIR, Wind(5.0, 1.0))
        for name in FLIGHT_NUMBERS:
            assert getattr(many, name)[i] == pytest.approx(getattr(one, name), rel=2e-4), name
        assert bool(many.extrapolated[i]) == bool(one.extrapolated)


def test_air_wind_and_factors_can_differ_from_launch_to_launch() -> None:
    batch = Launches.of(np.full(3, 53.0), 0.3, 6500.0)
    many = fly_many(
        batch, AIR, Wind(1.0, 0.0), scale=Scale(np.array([1.0, 0.9, 1.1]), 1.05),
        density_kg_m3=np.array([1.2, 1.0, 1.2]),
        wind_xy_mps=(np.array([0.0, 2.0, -3.0]), np.array([0.0, 1.0, 4.0])),
    )  # fmt: skip
    winds = [(0.0, 0.0), (2.0, 1.0), (-3.0, 4.0)]
    for i, ((x, y), rho, drag) in enumerate(zip(winds, (1.2, 1.0, 1.2), (1.0, 0.9, 1.1), strict=True)):
        wind = Wind(math.hypot(x, y), math.atan2(-y, -x))
        one = fly(Launch(53.0, 0.3, 6500.0), Air(rho, 1.81e-5), wind, scale=Scale(drag, 1.05))
        assert many.carry_m[i] == pytest.approx(one.carry_m, rel=2e-5)
        assert many.offline_m[i] == pytest.approx(one.offline_m, abs=5e-3)


def test_what_is_not_known_stays_not_known() -> None:
    batch = Launches.of([70.0, math.nan, 70.0], [0.2, 0.2, 0.2], [3000.0, 3000.0, math.nan])
    many = fly_many(batch, AIR)
    assert many.carry_m[0] == pytest.approx(fly(Launch(70.0, 0.2, 3000.0), AIR).carry_m, rel=2e-5)
    for name in FLIGHT_NUMBERS:
        assert np.isnan(getattr(many, name)[1:]).all(), name
    assert batch.known().tolist() == batch.sensible().tolist() == [True, False, False]
    assert np.isnan(fly_many(batch, AIR, density_kg_m3=np.array([math.nan, 1.2, 1.2])).carry_m[0])
    with pytest.raises(InputError, match="spin_rpm"):
        batch[2]


def test_no_launches_are_no_flights() -> None:
    many = fly_many(Launches.of([], [], []))
    assert len(many) == 0
    assert many.reasons == {}


def test_a_launch_that_cannot_be_flown_is_named_by_its_row() -> None:
    batch = Launches.of([70.0, 700.0, 800.0], 0.2, 3000.0)
    with pytest.raises(InputError, match=r"launch 2: ball_speed_mps = 700 .*\(2 such launches\)"):
        fly_many(batch)
    assert batch.sensible().tolist() == [True, False, False]


def test_columns_that_do_not_fit_are_refused() -> None:
    with pytest.raises(InputError, match="do not fit"):
        Launches.of([1.0, 2.0], [1.0, 2.0, 3.0], 1.0)
    with pytest.raises(InputError, match="do not fit"):
        Launches.of("fast", 0.2, 3000.0)
    with pytest.raises(InputError, match="dimension"):
        Launches.of([[70.0]], 0.2, 3000.0)
    with pytest.raises(InputError, match="density"):
        fly_many(launches(3), density_kg_m3=np.array([1.2, 1.2]))
    with pytest.raises(InputError, match="launch 2: wind down the line = 99"):
        fly_many(launches(2), wind_xy_mps=(np.array([0.0, 99.0]), 0.0))


def test_reasons_are_counted() -> None:
    many = fly_many(Launches.of([40.0, 40.0, 75.0], [0.49, 0.49, 0.19], [9300.0, 9300.0, 2600.0]), AIR)
    assert many.extrapolated.tolist() == [True, True, False]
    assert many.reasons == {"spin ratio higher than the law was fitted to": 2}


def test_coefficients_of_arrays_are_those_of_floats() -> None:
    s, re = np.array([[0.1, 0.2], [0.3, 0.5]]), np.array([1e5, 2e5])
    for law in LAWS:
        cd, cl = coefficients(law, s, re)
        assert cd.shape == cl.shape == (2, 2)
        for i in range(2):
            for j in range(2):
                one = coefficients(law, float(s[i, j]), float(re[j]))
                assert (cd[i, j], cl[i, j]) == pytest.approx(one, rel=1e-13)


def test_the_spread_of_the_laws_is_the_published_one() -> None:
    """-4/+14 % of a mid iron, -7/+13 % of a wedge (computed elsewhere from the same laws)."""
    for launch, low, high in ((IRON, -4, 14), (WEDGE, -7, 13)):
        doubt = spread(launch, AIR)
        carry = doubt.carry
        assert (round(100 * (carry.low / carry.value - 1)), round(100 * (carry.high / carry.value - 1))) == (
            low,
            high,
        )
        assert f"{low:+d} and {high:+d} %" in doubt.words
        assert set(doubt.by_law) == {DEFAULT, *SPREAD}


def test_the_doubt_of_a_drive_is_at_least_that_of_the_law_itself() -> None:
    doubt = spread(DRIVE, AIR)
    assert doubt.carry.high >= 1.02 * doubt.carry.value
    assert doubt.carry.low <= 0.98 * doubt.carry.value
    assert doubt.descent.high - doubt.descent.value >= 0.035
    assert doubt.apex.low < doubt.apex.value < doubt.apex.high


def test_the_words_say_when_a_flight_leaves_what_was_measured() -> None:
    assert "outside what they were measured for" in spread(WEDGE, AIR).words
    assert "outside" not in spread(DRIVE, AIR).words


def test_a_flight_is_a_value() -> None:
    flight = fly(DRIVE, AIR)
    assert isinstance(flight, Flight)
    with pytest.raises(dataclasses.FrozenInstanceError):
        flight.carry_m = 1.0  # type: ignore[misc]
