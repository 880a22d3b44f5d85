"""Exact unit factors, and quantities as people write them.

Everything inside the program is in SI units and radians; yards, miles an hour, feet, inches and degrees
exist at the doors only. Factors are exact by definition: the international yard and pound agreement of
1959 (1 yd = 0.9144 m), the statute mile of 1760 yd, the international knot of 1852 m an hour. Inches and
millimetres of mercury are the conventional ones (NIST Special Publication 811, appendix B.8, from memory).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Literal

from bagwright.errors import InputError
from bagwright.words import tell, term

M_PER_YD = 0.9144
M_PER_FT = 0.3048
M_PER_IN = 0.0254
M_PER_MILE = 1609.344
MPS_PER_MPH = M_PER_MILE / 3600.0
MPS_PER_KMH = 1.0 / 3.6
MPS_PER_KNOT = 1852.0 / 3600.0
MPS_PER_FPS = M_PER_FT
RAD_PER_DEG = math.pi / 180.0
G_PER_OZ = 28.349523125
PA_PER_INHG = 3386.389
PA_PER_MMHG = 133.3224
KG_M3_PER_LB_FT3 = 0.45359237 / M_PER_FT**3
ZERO_C_IN_K = 273.15
RAD_S_PER_RPM = math.pi / 30.0
STANDARD_GRAVITY_MPS2 = 9.80665
"""Exact by convention (third general conference on weights and measures, 1901)."""

System = Literal["yards", "metres"]
Dimension = Literal["length", "speed", "angle", "rotation", "time", "ratio"]


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: its dimension and the factor that turns it into the SI unit (rpm stays rpm)."""

    name: str
    dimension: Dimension
    factor: float


_UNITS: dict[str, Unit] = {
    unit.name: unit
    for unit in (
        Unit("m", "length", 1.0),
        Unit("cm", "length", 0.01),
        Unit("mm", "length", 0.001),
        Unit("yd", "length", M_PER_YD),
        Unit("ft", "length", M_PER_FT),
        Unit("in", "length", M_PER_IN),
        Unit("mps", "speed", 1.0),
        Unit("kmh", "speed", MPS_PER_KMH),
        Unit("mph", "speed", MPS_PER_MPH),
        Unit("kn", "speed", MPS_PER_KNOT),
        Unit("fps", "speed", MPS_PER_FPS),
        Unit("rad", "angle", 1.0),
        Unit("deg", "angle", RAD_PER_DEG),
        Unit("rpm", "rotation", 1.0),
        Unit("rps", "rotation", 60.0),
        Unit("s", "time", 1.0),
        Unit("ms", "time", 0.001),
    )
}

_ALIASES: dict[str, str] = {
    "meter": "m", "meters": "m", "metre": "m", "metres": "m", "mtr": "m", "mtrs": "m",
    "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
    "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "y": "yd", "yds": "yd", "yard": "yd", "yards": "yd", "yrd": "yd", "yrds": "yd",
    "feet": "ft", "foot": "ft", "'": "ft", "′": "ft",
    "inch": "in", "inches": "in", '"': "in", "″": "in", "''": "in",
    "m/s": "mps", "ms-1": "mps", "m/sec": "mps", "mps": "mps",
    "km/h": "kmh", "kph": "kmh", "kmph": "kmh", "km/hr": "kmh",
    "mi/h": "mph", "miles/h": "mph", "miles per hour": "mph",
    "knot": "kn", "knots": "kn", "kt": "kn", "kts": "kn",
    "ft/s": "fps", "feet/s": "fps",
    "°": "deg", "º": "deg", "degree": "deg", "degrees": "deg", "degs": "deg",
    "radian": "rad", "radians": "rad",
    "r/min": "rpm", "rev/min": "rpm", "u/min": "rpm", "rpms": "rpm", "1/min": "rpm",
    "rev/s": "rps", "r/s": "rps", "hz": "rps",
    "sec": "s", "secs": "s", "second": "s", "seconds": "s",
    "millisecond": "ms", "milliseconds": "ms",
}  # fmt: skip


def find_unit(text: str) -> Unit | None:
    """Return the unit that `text` names in any usual spelling ("Yds", "m/s", "°"), or None."""
    key = " ".join(text.strip().lower().rstrip(".").split())
    key = _ALIASES.get(key, key)
    return _UNITS.get(key)


_QUANTITY = re.compile(r"\s*([+\-−]?[0-9]{1,9}(?:[.,][0-9]{1,9})?)\s*([^\d\s.,+\-−][^\d]{0,20})?\s*\Z")
_FEET_INCHES = re.compile(
    r"\s*([0-9]{1,2})\s*(?:ft|feet|foot|'|′)\s*([0-9]{1,2}(?:[.,][0-9]{1,4})?)\s*(?:in|inch|inches|\"|″|'')?\s*\Z",
    re.IGNORECASE,
)


def parse_quantity(text: str, dimension: Dimension, default_unit: str | None = None) -> float:
    """One quantity as typed by a person, in SI units: "176 mph", "151,2 m", "5 ft 10 in", "10deg".

    `default_unit` is used when the text carries no unit; without it a bare number is an error, so that
    nothing is guessed. Raises InputError that names the text, the dimension and what would be read.
    """
    feet = _FEET_INCHES.match(text)
    if feet and dimension == "length":
        return int(feet[1]) * M_PER_FT + float(feet[2].replace(",", ".")) * M_PER_IN
    match = _QUANTITY.match(text)
    if not match:
        raise InputError(
            tell('"{text}" is not a quantity of {dimension}.', text=text[:40], dimension=term(dimension)),
            tell("Write it like {example}.", example=_example(dimension)),
        )
    word = match[2] or default_unit
    if word is None:
        raise InputError(
            tell('"{text}" has no unit.', text=text[:40]),
            tell("Write it like {example}.", example=_example(dimension)),
        )
    unit = find_unit(word)
    if unit is None or unit.dimension != dimension:
        raise InputError(
            tell('"{unit}" is not a unit of {dimension}.', unit=word.strip()[:20], dimension=term(dimension)),
            tell("Write it like {example}.", example=_example(dimension)),
        )
    return float(match[1].replace("−", "-").replace(",", ".")) * unit.factor


def _example(dimension: Dimension) -> str:
    examples = {
        "length": tell('"165 yd" or "151 m"'),
        "speed": tell('"92 mph" or "41 m/s"'),
        "angle": tell('"10.5 deg"'),
        "rotation": tell('"2520 rpm"'),
        "time": tell('"6.2 s"'),
        "ratio": '"1.45"',
    }
    return examples[dimension]


def distance_unit(system: System) -> Unit:
    """Return the unit for carries, sides and widths in the user's system: yards or metres."""
    return _UNITS["yd"] if system == "yards" else _UNITS["m"]


def height_unit(system: System) -> Unit:
    """Return the unit for heights of flight: feet beside yards, metres beside metres."""
    return _UNITS["ft"] if system == "yards" else _UNITS["m"]


def speed_unit(system: System) -> Unit:
    """Return the unit for speeds: miles an hour beside yards, kilometres an hour beside metres."""
    return _UNITS["mph"] if system == "yards" else _UNITS["kmh"]


_AIR_UNITS: dict[str, dict[str, float]] = {
    "pressure": {
        "pa": 1.0, "hpa": 100.0, "kpa": 1000.0, "mbar": 100.0, "mb": 100.0, "millibar": 100.0, "bar": 1e5,
        "inhg": PA_PER_INHG, "mmhg": PA_PER_MMHG,
    },
    "density": {"kg/m3": 1.0, "kg/m³": 1.0, "kg/m^3": 1.0, "g/l": 1.0, "lb/ft3": KG_M3_PER_LB_FT3,
                "lb/ft³": KG_M3_PER_LB_FT3},
}  # fmt: skip
"""Kept apart from the units of shots: no heading of a shot table may be taken for a pressure."""
_AIR_QUANTITY = re.compile(r"\s*([+\-−]?[0-9]{1,7}(?:[.,][0-9]{1,9})?)\s*([^\d\s][^\s]{0,9}|)\s*\Z")


def _number_and_unit(text: str, what: str, example: str) -> tuple[float, str]:
    match = _AIR_QUANTITY.match(text)
    if not match:
        raise InputError(
            tell('"{text}" is not a {what}.', text=text[:40], what=term(what)),
            tell("Write it like {example}.", example=example),
        )
    return float(match[1].replace("−", "-").replace(",", ".")), match[2].lower().rstrip(".")


def parse_pressure_pa(text: str) -> float:
    """A pressure as typed ("1013 hPa", "29.92 inHg") in Pa. Raises InputError without a known unit."""
    return _parse_air(text, "pressure", tell('"1013 hPa" or "29.92 inHg"'))


def parse_density_kg_m3(text: str) -> float:
    """A density of air as typed ("1.2 kg/m3") in kg/m3. Raises InputError without a known unit."""
    return _parse_air(text, "density", tell('"1.2 kg/m3"'))


def _parse_air(text: str, what: Literal["pressure", "density"], example: str) -> float:
    value, unit = _number_and_unit(text, what, example)
    factor = _AIR_UNITS[what].get(unit)
    if factor is None:
        told = (
            tell('"{unit}" is not a unit of {what}.', unit=unit[:20], what=term(what))
            if unit
            else tell('"{text}" has no unit.', text=text[:40])
        )
        raise InputError(told, tell("Write it like {example}.", example=example))
    return value * factor


def parse_temperature_k(text: str) -> float:
    """A temperature as typed ("50 F", "10 °C", "283 K") in kelvin. Raises InputError without a known unit."""
    example = tell('"50F" or "10C"')
    value, unit = _number_and_unit(text, "temperature", example)
    unit = unit.removeprefix("°").removeprefix("º").removeprefix("deg")
    if unit in ("c", "celsius"):
        return value + ZERO_C_IN_K
    if unit in ("f", "fahrenheit"):
        return (value - 32.0) / 1.8 + ZERO_C_IN_K
    if unit in ("k", "kelvin"):
        return value
    told = (
        tell('"{unit}" is not a unit of temperature.', unit=unit[:20])
        if unit
        else tell('"{text}" has no unit.', text=text[:40])
    )
    raise InputError(told, tell("Write it like {example}.", example=example))


def celsius(kelvin: float) -> float:
    """Degrees Celsius of a temperature in kelvin."""
    return kelvin - ZERO_C_IN_K


def fahrenheit(kelvin: float) -> float:
    """Degrees Fahrenheit of a temperature in kelvin."""
    return (kelvin - ZERO_C_IN_K) * 1.8 + 32.0


def spoken(unit: Unit) -> str:
    """A unit as people write it: km/h and m/s, the others by their name."""
    return {"kmh": "km/h", "mps": "m/s"}.get(unit.name, unit.name)
