"""The air of a round in words: calm, or a steady wind and where it comes from."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from bagwright.units import MPS_PER_KMH, MPS_PER_MPH, System
from bagwright.words import tell, template

if TYPE_CHECKING:
    from bagwright.air import Wind

_EIGHTH = math.pi / 4
_NEAR_RAD = math.radians(1.0)
"""A direction this near to a compass point is called by it."""
_COMPASS = (
    template("from the north"), template("from the north-east"), template("from the east"),
    template("from the south-east"), template("from the south"), template("from the south-west"),
    template("from the west"), template("from the north-west"),
)  # fmt: skip
_BY_HOLE = {
    0: template("against, on every hole"), 2: template("from the right, on every hole"),
    4: template("with, on every hole"), 6: template("from the left, on every hole"),
}  # fmt: skip


def air_words(wind: Wind | None, source: str, system: System) -> str:
    """Say a round's air: "calm", "10 mph from the south-west"; `source` is the course's, `map` or `card`."""
    if wind is None or wind.speed_mps <= 0.0:
        return tell("calm")
    factor, unit = (MPS_PER_MPH, "mph") if system == "yards" else (MPS_PER_KMH, "km/h")
    speed = wind.speed_mps / factor
    return tell("{speed:.0f} {unit} {came}", speed=speed, unit=unit, came=_came(wind, source))


def _came(wind: Wind, source: str) -> str:
    eighth = round(wind.from_rad / _EIGHTH) % 8
    if source == "card" and eighth in _BY_HOLE:
        return tell(_BY_HOLE[eighth])
    if source != "card" and abs(math.remainder(wind.from_rad - eighth * _EIGHTH, 2 * math.pi)) < _NEAR_RAD:
        return tell(_COMPASS[eighth])
    return tell("from {degrees:.0f}°", degrees=math.degrees(wind.from_rad) % 360.0)
