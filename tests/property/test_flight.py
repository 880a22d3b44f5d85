"""What holds for every flight, whatever the launch, air and wind."""

from __future__ import annotations

import math
from contextlib import suppress
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from bagwright.air import CALM, Air, Wind, air
from bagwright.errors import InputError
from bagwright.flight.aero import LAWS
from bagwright.flight.fly import fly
from bagwright.flight.launch import FLIGHT_NUMBERS, RANGES, Launch, Scale
from bagwright.units import STANDARD_GRAVITY_MPS2

AIR = Air(1.2, 1.81e-5)


def numbers(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


LAUNCHES = st.builds(
    Launch, numbers(5, 90), numbers(0.02, 1.2), numbers(0, 12_000), numbers(-0.3, 0.3), numbers(-0.7, 0.7)
)
WINDS = st.builds(Wind, numbers(0, 20), numbers(0, 2 * math.pi), st.sampled_from(["log", "uniform"]))
AIRS = st.builds(air, numbers(263, 318), st.none(), numbers(-100, 3500), numbers(0, 1))
FLOWN = [name for name in LAWS if name != "constant"]


@given(LAUNCHES, WINDS, AIRS, st.sampled_from(FLOWN))
@settings(max_examples=150)
def test_every_flight_lands_with_finite_numbers(launch: Launch, wind: Wind, where: Air, law: str) -> None:
    flight = fly(launch, where, wind, law)
    assert all(math.isfinite(getattr(flight, name)) for name in FLIGHT_NUMBERS)
    assert flight.time_s > 0.0
    assert flight.apex_m > 0.0
    assert 0.0 <= flight.descent_rad <= math.pi / 2
    assert 0.0 <= flight.landing_spin_rpm <= launch.spin_rpm
    assert flight.carry_m == math.hypot(flight.downrange_m, flight.offline_m)


@given(LAUNCHES, WINDS)
@settings(max_examples=100)
def test_the_mirror_image_lands_in_the_mirror(launch: Launch, wind: Wind) -> None:
    """Left and right are the same: direction, tilt and wind turned round turn the landing round."""
    own = fly(launch, AIR, wind)
    turned = replace(launch, direction_rad=-launch.direction_rad, spin_axis_rad=-launch.spin_axis_rad)
    other = fly(turned, AIR, replace(wind, from_rad=-wind.from_rad))
    assert other.downrange_m == pytest.approx(own.downrange_m, abs=1e-6)
    assert other.offline_m == pytest.approx(-own.offline_m, abs=1e-6)
    assert other.apex_m == pytest.approx(own.apex_m, abs=1e-6)
    assert other.landing_direction_rad == pytest.approx(-own.landing_direction_rad, abs=1e-6)


@given(LAUNCHES, st.sampled_from(FLOWN))
@settings(max_examples=100)
def test_energy_never_grows_without_wind(launch: Launch, law: str) -> None:
    """Lift does no work and drag takes: speed and height together only fall."""
    path = fly(launch, AIR, CALM, law, path=True).path
    assert path is not None
    energy = 0.5 * path.speed_mps**2 + STANDARD_GRAVITY_MPS2 * path.z_m
    assert np.all(np.diff(energy) <= 1e-6 * energy[0])


@given(LAUNCHES, WINDS)
@settings(max_examples=60)
def test_a_tighter_tolerance_changes_next_to_nothing(launch: Launch, wind: Wind) -> None:
    usual, tight = fly(launch, AIR, wind), fly(launch, AIR, wind, tolerance=1e-12)
    assert usual.carry_m == pytest.approx(tight.carry_m, abs=2e-6)
    assert usual.apex_m == pytest.approx(tight.apex_m, abs=2e-6)


@given(LAUNCHES)
@settings(max_examples=60)
def test_more_drag_is_less_speed_at_landing_and_no_force_is_the_parabola(launch: Launch) -> None:
    free = fly(launch, AIR, scale=Scale(0.0, 0.0))
    height = (launch.ball_speed_mps * math.sin(launch.launch_rad)) ** 2 / (2 * STANDARD_GRAVITY_MPS2)
    assert free.apex_m == pytest.approx(height, rel=1e-9)
    assert free.landing_speed_mps == pytest.approx(launch.ball_speed_mps, rel=1e-9)
    less, more = (fly(launch, AIR, scale=Scale(drag, 0.0)) for drag in (0.8, 1.2))
    assert more.landing_speed_mps < less.landing_speed_mps < launch.ball_speed_mps
    assert more.carry_m < less.carry_m < free.carry_m


@given(LAUNCHES, numbers(0.5, 12))
@settings(max_examples=60)
def test_head_wind_costs_and_tail_wind_gives_where_only_drag_acts(launch: Launch, speed: float) -> None:
    """With lift it need not: a slow ball with much spin is carried up by a head wind."""
    straight = replace(launch, direction_rad=0.0, spin_axis_rad=0.0)
    head, calm, tail = (
        fly(straight, AIR, wind, scale=Scale(1.0, 0.0)).downrange_m
        for wind in (Wind(speed, 0.0, "uniform"), CALM, Wind(speed, math.pi, "uniform"))
    )
    assert head < calm < tail


@given(LAUNCHES, numbers(-15, 15))
@settings(max_examples=60)
def test_an_even_wind_is_a_moving_frame(launch: Launch, tail: float) -> None:
    """Galileo: seen from the moving air the flight is that of the launch relative to it, in still air.

    Along the target line, where the turned launch keeps its spin axis.
    """
    straight = replace(launch, direction_rad=0.0)
    level = straight.ball_speed_mps * math.cos(straight.launch_rad) - tail
    rise = straight.ball_speed_mps * math.sin(straight.launch_rad)
    assume(level > 0.0 and math.hypot(level, rise) > 2.0 and math.atan2(rise, level) < 1.4)
    seen = replace(straight, ball_speed_mps=math.hypot(level, rise), launch_rad=math.atan2(rise, level))
    own = fly(straight, AIR, Wind(abs(tail), math.pi if tail > 0 else 0.0, "uniform"))
    still = fly(seen, AIR)
    assert own.time_s == pytest.approx(still.time_s, abs=1e-6)
    assert own.apex_m == pytest.approx(still.apex_m, abs=1e-6)
    assert own.downrange_m == pytest.approx(still.downrange_m + tail * still.time_s, abs=2e-5)
    assert own.offline_m == pytest.approx(still.offline_m, abs=2e-5)


@given(st.sampled_from(sorted(RANGES)), st.floats(allow_nan=True, allow_infinity=True))
@settings(max_examples=200)
def test_any_number_is_flown_or_refused_with_its_range(name: str, value: float) -> None:
    good = {"ball_speed_mps": 40.0, "launch_rad": 0.3, "spin_rpm": 3000.0}
    low, high, words = RANGES[name]
    if low <= value <= high:
        assert math.isfinite(fly(Launch(**{**good, name: value}), AIR).carry_m)
        return
    with pytest.raises(InputError) as caught:
        Launch(**{**good, name: value})
    assert words in caught.value.next_step


@given(
    st.one_of(st.none(), st.floats()), st.one_of(st.none(), st.floats()), st.one_of(st.none(), st.floats()),
    st.one_of(st.none(), st.floats()), st.one_of(st.none(), st.floats()),
)  # fmt: skip
@settings(max_examples=200)
def test_any_statement_about_the_air_is_air_or_an_error(
    t: float | None, p: float | None, h: float | None, rh: float | None, rho: float | None
) -> None:
    made = None
    with suppress(InputError):
        made = air(t, p, h, rh, rho)
    if made is not None:
        assert 0.3 < made.density_kg_m3 < 1.8
        assert 1e-5 < made.viscosity_pa_s < 3e-5
    wild = [each for each in (t, p, h, rh, rho) if each is not None and not abs(each) < 1e6]
    assert not (wild and made)
