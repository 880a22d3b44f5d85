"""Air as stated: defaults, contradictions, hostile values; its densities are held in tests/published."""

import math
from typing import Any

import numpy as np
import pytest

from bagwright.air import CALM, ROUGHNESS_M, STANDARD, Air, Wind, air, density_kg_m3, isa_pressure_pa
from bagwright.errors import InputError

HOSTILE = [math.nan, math.inf, -math.inf, 1e308, -1e308, -1.0, "many", None, [1.0], 10**400]


def test_nothing_said_is_the_standard_and_says_that_nothing_was_said() -> None:
    assert air() == STANDARD
    assert STANDARD.said == ()
    assert (STANDARD.temperature_k, STANDARD.pressure_pa, STANDARD.humidity) == (293.15, 101325.0, 0.5)


def test_what_was_said_is_told_and_the_rest_is_the_default() -> None:
    made = air(temperature_k=283.15, altitude_m=1000.0)
    assert made.said == ("temperature_k", "altitude_m")
    assert made.pressure_pa == isa_pressure_pa(1000.0)
    assert made.humidity == 0.5
    assert made.density_kg_m3 == density_kg_m3(283.15, isa_pressure_pa(1000.0), 0.5)


def test_a_stated_density_is_taken_and_leaves_unknown_what_made_it() -> None:
    made = air(density_kg_m3=1.2)
    assert (made.density_kg_m3, made.temperature_k, made.pressure_pa, made.humidity) == (
        1.2,
        None,
        None,
        None,
    )
    assert air(density_kg_m3=1.2, temperature_k=303.15).viscosity_pa_s > made.viscosity_pa_s


@pytest.mark.parametrize(
    "said",
    [
        {"altitude_m": 100.0, "pressure_pa": 1e5},
        {"density_kg_m3": 1.2, "pressure_pa": 1e5},
        {"density_kg_m3": 1.2, "altitude_m": 100.0},
        {"density_kg_m3": 1.2, "humidity": 0.5},
    ],
)
def test_contradictions_are_errors_that_say_what_to_give(said: dict[str, float]) -> None:
    with pytest.raises(InputError) as caught:
        air(**said)
    assert caught.value.next_step


@pytest.mark.parametrize("name", ["temperature_k", "pressure_pa", "altitude_m", "humidity", "density_kg_m3"])
@pytest.mark.parametrize("value", [each for each in HOSTILE if each is not None])
def test_hostile_values_are_named_with_the_range(name: str, value: Any) -> None:
    if name == "altitude_m" and value == -1.0:
        assert air(altitude_m=value).pressure_pa == pytest.approx(101337.0, abs=1.0)
        return
    with pytest.raises(InputError) as caught:
        air(**{name: value})
    assert name in caught.value.message
    assert "Expected" in caught.value.next_step


@pytest.mark.parametrize("value", HOSTILE)
@pytest.mark.parametrize("name", ["speed_mps", "at_height_m", "roughness_m"])
def test_hostile_winds_are_named(name: str, value: Any) -> None:
    with pytest.raises(InputError) as caught:
        Wind(**{"speed_mps": 1.0, "from_rad": 0.0, name: value})
    assert name in caught.value.message


@pytest.mark.parametrize("value", HOSTILE)
def test_air_that_no_place_has_cannot_be_made(value: Any) -> None:
    with pytest.raises(InputError, match="density_kg_m3"):
        Air(value, 1.8e-5)
    with pytest.raises(InputError, match="viscosity_pa_s"):
        Air(1.2, value)


def test_a_wind_from_nowhere_and_a_profile_of_no_name() -> None:
    with pytest.raises(InputError, match="from_rad"):
        Wind(1.0, math.nan)
    with pytest.raises(InputError, match="profile"):
        Wind(1.0, 0.0, profile="gusty")  # type: ignore[arg-type]


def test_floats_and_arrays_agree() -> None:
    t, p, h = np.array([283.15, 300.0]), np.array([9e4, 1e5]), np.array([0.2, 0.9])
    together = density_kg_m3(t, p, h)
    assert [
        density_kg_m3(*each) for each in zip(t.tolist(), p.tolist(), h.tolist(), strict=True)
    ] == pytest.approx(together, rel=1e-15)


def test_moist_and_warm_and_high_air_is_lighter() -> None:
    assert air(humidity=0.9).density_kg_m3 < air(humidity=0.1).density_kg_m3
    assert air(temperature_k=303.15).density_kg_m3 < air(temperature_k=283.15).density_kg_m3
    assert air(altitude_m=1500.0).density_kg_m3 < air().density_kg_m3


def test_calm_is_calm_and_rough_ground_is_known_by_name() -> None:
    assert CALM.components() == (0.0, 0.0)
    assert {"water", "sand", "grass", "scrub", "trees"} == set(ROUGHNESS_M)
    assert ROUGHNESS_M["grass"] == Wind(1.0, 0.0).roughness_m
