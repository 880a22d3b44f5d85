"""Which landings are taken at all, and which lie outside what the turf model was made for."""

from __future__ import annotations

import math

from bagwright.errors import InputError
from bagwright.estimate import Estimate

LIMITS: dict[str, tuple[float, float, str]] = {
    "landing speed": (0.0, 100.0, "m/s"),
    "descent": (0.0, math.pi / 2.0, "rad"),
    "landing spin": (-20_000.0, 20_000.0, "rpm"),
}
"""What a landing can be: wider than any golf shot, narrow enough to catch another unit."""
NEXT_STEP = "Check the unit: metres a second, radians below the horizontal, revolutions a minute."
STEEP_ENOUGH_RAD = math.radians(20.0)
SLOW_ENOUGH_MPS = 35.0


def check(name: str, number: float | Estimate) -> None:
    """Raise InputError if a number, or an end of its range, is none or outside its limits. NaN passes."""
    ends = (number.low, number.value, number.high) if isinstance(number, Estimate) else (number,)
    for end in ends:
        if isinstance(end, bool) or not isinstance(end, int | float):
            raise InputError(f"{name} {end!r:.40} is not a number.", NEXT_STEP)
    low, high, unit = LIMITS[name]
    value = ends[len(ends) // 2]
    if not math.isnan(value) and not low <= value <= high:
        raise InputError(f"{name} {value:g} {unit} is outside {low:g} to {high:g} {unit}.", NEXT_STEP)
    if isinstance(number, Estimate) and not math.isnan(value):
        _check_range(name, number)


def _check_range(name: str, number: Estimate) -> None:
    finite = math.isfinite(number.low) and math.isfinite(number.high)
    if not (finite and number.low <= number.value <= number.high):
        text = f"range {number.low:g} to {number.high:g} of {name} does not hold its value {number.value:g}."
        raise InputError(text, "Give low, value and high in that order.")


def beyond(speed_mps: float, descent_rad: float) -> tuple[str, ...]:
    """Why a landing lies outside the turf model's data; empty if it does not."""
    why = []
    if speed_mps > SLOW_ENOUGH_MPS:
        why.append(f"landing speed over {SLOW_ENOUGH_MPS:g} m/s")
    if descent_rad < STEEP_ENOUGH_RAD:
        why.append("descent under 20 degrees")
    return tuple(why)
