"""Air and wind against what we did not write.

1. The check value of CIPM-2007: 20 °C, 101325 Pa, 50 % gives 1.19931 kg/m³ (read in an open package's tests).
2. CoolProp: humid air of ASHRAE RP-1485 (real-gas virial coefficients), an independent formulation.
3. ambiance: the ICAO standard atmosphere, ISO 2533 (pressure and Sutherland viscosity).
4. Ratios of the logarithmic wind law to the wind at 10 m, roughness 0.03 m: 0.72 at 2 m, 1.12 at 20 m,
   1.19 at 30 m (computed elsewhere from the same law).
"""

import math

import numpy as np
import pytest
from ambiance import Atmosphere
from CoolProp import CoolProp

from bagwright.air import STANDARD, Wind, air, density_kg_m3, isa_pressure_pa, viscosity_pa_s


def coolprop_density(t_k: float, p_pa: float, humidity: float) -> float:
    """CoolProp gives the volume for each kg of humid air."""
    return float(1.0 / CoolProp.HAPropsSI("Vha", "T", t_k, "P", p_pa, "R", humidity))


def test_cipm_2007_check_value() -> None:
    assert round(density_kg_m3(293.15, 101325.0, 0.5), 5) == 1.19931
    assert round(STANDARD.density_kg_m3, 5) == 1.19931


@pytest.mark.parametrize("humidity", [0.0, 0.25, 0.5, 0.75, 1.0])
@pytest.mark.parametrize("p_pa", [60_000.0, 80_000.0, 101_325.0, 110_000.0])
@pytest.mark.parametrize("t_c", [15.0, 20.0, 27.0])
def test_density_against_coolprop_where_cipm_holds(t_c: float, p_pa: float, humidity: float) -> None:
    """Both claim some parts in 10,000 (the two differ in the gas constant, CO2 and argon they take)."""
    t_k = t_c + 273.15
    assert density_kg_m3(t_k, p_pa, humidity) == pytest.approx(
        coolprop_density(t_k, p_pa, humidity), rel=6e-5
    )


@pytest.mark.parametrize("t_c", [-5.0, 5.0, 35.0, 45.0])
def test_density_stays_close_outside_where_cipm_is_stated_to_hold(t_c: float) -> None:
    t_k = t_c + 273.15
    assert density_kg_m3(t_k, 95_000.0, 0.6) == pytest.approx(coolprop_density(t_k, 95_000.0, 0.6), rel=5e-4)


def test_pressure_by_altitude_against_the_standard_atmosphere() -> None:
    heights = np.linspace(-500.0, 5_500.0, 61)
    assert isa_pressure_pa(heights) == pytest.approx(Atmosphere(heights).pressure, rel=1e-6)


def test_viscosity_against_the_standard_atmosphere() -> None:
    atmosphere = Atmosphere(np.linspace(-500.0, 5_500.0, 31))
    assert viscosity_pa_s(atmosphere.temperature) == pytest.approx(atmosphere.dynamic_viscosity, rel=1e-6)


def test_air_of_the_distance_standard() -> None:
    """75 °F, 30 inHg, 50 %: 1.1853 kg/m³ (computed elsewhere with CIPM-2007)."""
    made = air(temperature_k=(75 + 459.67) / 1.8, pressure_pa=30 * 3386.389, humidity=0.5)
    assert round(made.density_kg_m3, 4) == 1.1853


@pytest.mark.parametrize(("height_m", "share"), [(2.0, 0.72), (10.0, 1.0), (20.0, 1.12), (30.0, 1.19)])
def test_wind_by_height(height_m: float, share: float) -> None:
    assert Wind(5.0, 0.0).share_at(height_m) == pytest.approx(share, abs=0.006)
    assert Wind(5.0, 0.0, profile="uniform").share_at(height_m) == 1.0


def test_wind_felt_at_two_metres_is_1_38_times_as_strong_at_ten() -> None:
    assert Wind(5.0, 0.0, at_height_m=2.0).share_at(10.0) == pytest.approx(1.38, abs=0.005)


def test_wind_directions() -> None:
    """Clockwise from the target line, where it comes from: head, right, tail, left (a convention of ours)."""
    for degrees, expected in ((0, (-5, 0)), (90, (0, -5)), (180, (5, 0)), (270, (0, 5))):
        assert Wind(5.0, math.radians(degrees)).components() == pytest.approx(expected, abs=1e-12)
