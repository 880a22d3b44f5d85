"""Exact unit factors, and quantities as people write them.

Everything inside the program is in SI units and radians; yards, miles an hour, feet, inches and degrees
exist at the doors only. Factors are exact by definition: the international yard and pound agreement of
1959 (1 yd = 0.9144 m), the statute mile of 1760 yd, the international knot of 1852 m an hour.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Literal

from bagwright.errors import InputError

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
            f'"{text[:40]}" is not a quantity of {dimension}.', f"Write it like {_example(dimension)}."
        )
    word = match[2] or default_unit
    if word is None:
        raise InputError(f'"{text[:40]}" has no unit.', f"Write it like {_example(dimension)}.")
    unit = find_unit(word)
    if unit is None or unit.dimension != dimension:
        raise InputError(
            f'"{word.strip()[:20]}" is not a unit of {dimension}.', f"Write it like {_example(dimension)}."
        )
    return float(match[1].replace("−", "-").replace(",", ".")) * unit.factor


def _example(dimension: Dimension) -> str:
    examples = {
        "length": '"165 yd" or "151 m"',
        "speed": '"92 mph" or "41 m/s"',
        "angle": '"10.5 deg"',
        "rotation": '"2520 rpm"',
        "time": '"6.2 s"',
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
