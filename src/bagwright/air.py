"""The air a ball flies through: density, viscosity, pressure by altitude, and wind by height.

Density is CIPM-2007 (Picard, Davis, Gläser and Fujii, 2008, Metrologia 45, 149-155), pressure by altitude
and viscosity are those of the standard atmosphere (ISO 2533:1975). The formulas work on floats and arrays.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal

from bagwright.errors import InputError
from bagwright.words import join, tell

STANDARD_TEMPERATURE_K = 293.15
STANDARD_PRESSURE_PA = 101325.0
STANDARD_HUMIDITY = 0.5

_RANGES: dict[str, tuple[float, float, str]] = {
    "temperature_k": (233.15, 333.15, "kelvin (-40 to 60 °C)"),
    "pressure_pa": (50_000.0, 110_000.0, "pascal (500 to 1100 hPa)"),
    "altitude_m": (-500.0, 5_500.0, "metres above the sea"),
    "humidity": (0.0, 1.0, "as a share (0 to 100 %)"),
    "density_kg_m3": (0.5, 1.7, "kg/m³"),
}
"""Lowest and highest value taken, and its unit: wider than any place where golf is played."""

MAX_WIND_MPS = 40.0
"""Strongest wind taken: a hurricane's; no golf is played in half of it."""

ROUGHNESS_M: dict[str, float] = {
    "water": 0.0002,
    "sand": 0.005,
    "grass": 0.03,
    "scrub": 0.25,
    "trees": 1.0,
}
"""Roughness length of what the wind blows over, in metres.

Classes of Davenport as revised by Wieringa (1992, J. Wind Eng. Ind. Aerodyn. 41, 357-368), from memory:
sea, smooth, open (short grass), rough (bushes), closed (forest). Among trees the log law holds only above
them: below their tops it is a rough guess.
"""


def density_kg_m3(temperature_k: Any, pressure_pa: Any, humidity: Any) -> Any:
    """Density of moist air in kg/m³, CIPM-2007, with 400 parts of CO2 in a million.

    Temperature in kelvin, pressure in pascal, relative humidity as a share 0 to 1; floats or arrays. The
    source states 15 to 27 °C and 600 to 1100 hPa; beyond that the error stays far below that of any law of
    drag. Coefficients: Picard et al. (2008), appendix A1.
    """
    t_c = temperature_k - 273.15
    saturation_pa = _exp(
        1.2378847e-5 * temperature_k * temperature_k
        - 1.9121316e-2 * temperature_k
        + 33.93711047
        - 6.3431645e3 / temperature_k
    )
    enhancement = 1.00062 + 3.14e-8 * pressure_pa + 5.6e-7 * t_c * t_c
    vapour = humidity * enhancement * saturation_pa / pressure_pa
    ratio = pressure_pa / temperature_k
    compressibility = (
        1.0
        - ratio
        * (
            1.58123e-6
            - 2.9331e-8 * t_c
            + 1.1043e-10 * t_c * t_c
            + (5.707e-6 - 2.051e-8 * t_c) * vapour
            + (1.9898e-4 - 2.376e-6 * t_c) * vapour * vapour
        )
        + ratio * ratio * (1.83e-11 - 0.765e-8 * vapour * vapour)
    )
    dry_kg_mol, vapour_kg_mol, gas_j_mol_k = 28.96546e-3, 18.01528e-3, 8.314472
    dry = pressure_pa * dry_kg_mol / (compressibility * gas_j_mol_k * temperature_k)
    return dry * (1.0 - vapour * (1.0 - vapour_kg_mol / dry_kg_mol))


def viscosity_pa_s(temperature_k: Any) -> Any:
    """Dynamic viscosity of air in Pa s by Sutherland's law with the constants of ISO 2533:1975.

    Temperature in kelvin, float or array; humidity changes it by less than 1 % and is left out.
    """
    return 1.458e-6 * temperature_k**1.5 / (temperature_k + 110.4)


def isa_pressure_pa(altitude_m: Any) -> Any:
    """Pressure of the standard atmosphere in pascal at a height above the sea in metres, up to 11 km.

    ISO 2533:1975: a lapse of 6.5 K/km from 288.15 K, in geopotential height. A real day differs from it by
    up to some 3 %, as the weather does; a pressure measured at the place is better.
    """
    earth_radius_m = 6_356_766.0
    geopotential_m = earth_radius_m * altitude_m / (earth_radius_m + altitude_m)
    exponent = 9.80665 / (0.0065 * 287.05287)
    return 101325.0 * (1.0 - 0.0065 * geopotential_m / 288.15) ** exponent


def _exp(value: Any) -> Any:
    """The exponential of a float without numpy, or of an array with it."""
    if isinstance(value, (float, int)):
        return math.exp(value)
    import numpy as np

    return np.exp(value)


@dataclass(frozen=True, slots=True)
class Air:
    """The air of one flight: what the laws use, what it was made from, and which of that was stated.

    `temperature_k`, `pressure_pa` and `humidity` (a share) are None where only a density was stated.
    `said` names the inputs that were stated; the others are the stated defaults. Raises InputError for a
    density or viscosity that no air has.
    """

    density_kg_m3: float
    viscosity_pa_s: float
    temperature_k: float | None = None
    pressure_pa: float | None = None
    humidity: float | None = None
    said: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        for name, low, high in (("density_kg_m3", 0.3, 2.0), ("viscosity_pa_s", 1e-6, 1e-4)):
            value = getattr(self, name)
            if not isinstance(value, (int, float)) or not low <= value <= high:
                raise InputError(
                    tell("air: {name} = {value} cannot be used.", name=name, value=str(value)[:40]),
                    tell("Expected {low:g} to {high:g}.", low=low, high=high),
                )


def air(
    temperature_k: float | None = None,
    pressure_pa: float | None = None,
    altitude_m: float | None = None,
    humidity: float | None = None,
    density_kg_m3: float | None = None,
) -> Air:
    """The air at a place, from what is known of it.

    Temperature in kelvin, pressure in pascal *at the place* (not reduced to the sea), altitude in metres,
    humidity as a share 0 to 1. What is not stated is 20 °C, 1013.25 hPa and 50 %; pressure follows the
    standard atmosphere where only an altitude is stated. A density may be stated instead, with a
    temperature or alone (then viscosity is that of 20 °C).

    Raises InputError for a value outside what golf is played in, and for statements that contradict each
    other (altitude beside pressure; density beside pressure, altitude or humidity).
    """
    stated = {
        "temperature_k": temperature_k,
        "pressure_pa": pressure_pa,
        "altitude_m": altitude_m,
        "humidity": humidity,
        "density_kg_m3": density_kg_m3,
    }
    checked = {name: _checked(name, value) for name, value in stated.items() if value is not None}
    _refuse_contradictions(checked)
    said = tuple(checked)
    t_k = checked.get("temperature_k", STANDARD_TEMPERATURE_K)
    if "density_kg_m3" in checked:
        return Air(
            checked["density_kg_m3"], viscosity_pa_s(t_k), checked.get("temperature_k"), None, None, said
        )
    p_pa = checked.get("pressure_pa", STANDARD_PRESSURE_PA)
    if "altitude_m" in checked:
        p_pa = isa_pressure_pa(checked["altitude_m"])
    share = checked.get("humidity", STANDARD_HUMIDITY)
    return Air(_density(t_k, p_pa, share), viscosity_pa_s(t_k), t_k, p_pa, share, said)


_density = density_kg_m3


def _checked(name: str, value: float) -> float:
    """The value as a float inside its range. Raises InputError that names value and range."""
    low, high, unit = _RANGES[name]
    try:
        number = float(value)
    except (TypeError, ValueError, OverflowError) as error:
        raise InputError(
            tell("{name} = {value!r} is not a number.", name=name, value=str(value)[:40]),
            tell("Expected {unit}.", unit=unit),
        ) from error
    if not low <= number <= high:  # also refuses NaN
        raise InputError(
            tell("{name} = {number:g} cannot be used.", name=name, number=number),
            tell("Expected {low:g} to {high:g}: {unit}.", low=low, high=high, unit=unit),
        )
    return number


def _refuse_contradictions(checked: dict[str, float]) -> None:
    if "altitude_m" in checked and "pressure_pa" in checked:
        raise InputError(
            tell("Altitude and pressure were both stated, and each fixes the other."),
            tell(
                "Give the pressure measured at the place itself, or the altitude alone. A pressure "
                "reduced to the sea (a weather report's) is not the pressure at the place."
            ),
        )
    over = [name for name in ("pressure_pa", "altitude_m", "humidity") if name in checked]
    if "density_kg_m3" in checked and over:
        raise InputError(
            tell(
                "A density was stated beside {over}, which would fix it otherwise.", over=join(" and ", over)
            ),
            tell("Give the density (with a temperature at most), or the others."),
        )


STANDARD = air()
"""20 °C, 1013.25 hPa, 50 %: 1.1993 kg/m³; used when nothing is said, and said so."""


@dataclass(frozen=True, slots=True)
class Wind:
    """A steady, level wind.

    `from_rad` is where it comes FROM, clockwise from the target line: 0 head, a quarter turn from the
    right, half a turn tail. `speed_mps` is its speed at `at_height_m` above the ground. By height it
    follows the logarithmic law over ground of `roughness_m`, speed(z) proportional to ln(1 + z/roughness),
    or is the same everywhere ("uniform"). A forecast is for 10 m; wind felt in the face is at about 2 m.

    Raises InputError for a value outside its range.
    """

    speed_mps: float
    from_rad: float
    profile: Literal["log", "uniform"] = "log"
    at_height_m: float = 10.0
    roughness_m: float = ROUGHNESS_M["grass"]

    def __post_init__(self) -> None:
        for name, low, high in (
            ("speed_mps", 0.0, MAX_WIND_MPS),
            ("from_rad", -4.0 * math.pi, 4.0 * math.pi),
            ("at_height_m", 0.5, 200.0),
            ("roughness_m", 1e-5, 2.0),
        ):
            value = getattr(self, name)
            if not isinstance(value, (int, float)) or not low <= value <= high:
                raise InputError(
                    tell("wind: {name} = {value} cannot be used.", name=name, value=str(value)[:40]),
                    tell("Expected {low:g} to {high:g}.", low=low, high=high),
                )
        if self.profile not in ("log", "uniform"):
            raise InputError(
                tell("wind: profile = {profile!r} is not known.", profile=str(self.profile)[:40]),
                tell('Expected "log" or "uniform".'),
            )

    def components(self) -> tuple[float, float]:
        """The air's own motion (down the target line, to the right) in m/s at the reference height."""
        return -self.speed_mps * math.cos(self.from_rad), -self.speed_mps * math.sin(self.from_rad)

    def share_at(self, height_m: float) -> float:
        """Wind at a height in metres as a share of the stated wind (1 when uniform, 0 at the ground)."""
        if self.profile == "uniform":
            return 1.0
        above = max(height_m, 0.0)
        return math.log1p(above / self.roughness_m) / math.log1p(self.at_height_m / self.roughness_m)


CALM = Wind(0.0, 0.0, profile="uniform")
"""No wind."""
