"""What was seen of a shot, how well each figure is usually known, and what no golf shot has."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

from bagwright.errors import InputError


@dataclass(frozen=True, slots=True)
class Seen:
    """Any figures of one shot; None is not seen. Sides are positive to the right, for left-handers too.

    `curve_m` is how far the ball lands from its line of start; `total_m` where it stops. `spin_axis_rad` is
    the axis tilt, positive curving right. `club_kind` is one of driver, wood, hybrid, iron, wedge;
    `loft_rad` the club's static loft.
    """

    carry_m: float | None = None
    total_m: float | None = None
    apex_m: float | None = None
    descent_rad: float | None = None
    time_s: float | None = None
    offline_m: float | None = None
    curve_m: float | None = None
    ball_speed_mps: float | None = None
    club_speed_mps: float | None = None
    launch_rad: float | None = None
    spin_rpm: float | None = None
    direction_rad: float | None = None
    spin_axis_rad: float | None = None
    club_kind: str | None = None
    loft_rad: float | None = None

    def __post_init__(self) -> None:
        for field in fields(self):
            value = getattr(self, field.name)
            if field.name == "club_kind" or value is None:
                continue
            object.__setattr__(self, field.name, _checked(field.name, value))
        if self.carry_m is not None and self.total_m is not None and self.total_m < 0.5 * self.carry_m:
            raise InputError(
                f"total {self.total_m:.1f} m is less than half the carry {self.carry_m:.1f} m.",
                "Check that both are in the same unit.",
            )


RANGES: dict[str, tuple[float, float, str]] = {
    "carry_m": (1.0, 450.0, "m"),
    "total_m": (1.0, 550.0, "m"),
    "apex_m": (0.01, 120.0, "m"),
    "descent_rad": (math.radians(0.5), math.radians(89.0), "rad"),
    "time_s": (0.1, 20.0, "s"),
    "offline_m": (-200.0, 200.0, "m"),
    "curve_m": (-200.0, 200.0, "m"),
    "ball_speed_mps": (2.0, 110.0, "m/s"),
    "club_speed_mps": (2.0, 80.0, "m/s"),
    "launch_rad": (math.radians(-10.0), math.radians(80.0), "rad"),
    "spin_rpm": (20.0, 20000.0, "rpm"),
    "direction_rad": (math.radians(-60.0), math.radians(60.0), "rad"),
    "spin_axis_rad": (math.radians(-75.0), math.radians(75.0), "rad"),
    "loft_rad": (math.radians(2.0), math.radians(75.0), "rad"),
}
"""Lowest and highest figure taken, and its unit: wider than any golf shot that leaves the ground."""


def _checked(name: str, value: object) -> float:
    low, high, unit = RANGES[name]
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InputError(f"{name} must be a number, but got {value!r}.", "Write a number, or leave it out.")
    number = float(value)
    if not low <= number <= high:
        raise InputError(
            f"{name} is {number:g} {unit}, outside {low:.4g} to {high:.4g} {unit}.",
            "Check the figure and its unit, or leave it out.",
        )
    return number


@dataclass(frozen=True, slots=True)
class Reading:
    """How far a measured figure may be off: sd = share of the figure + fixed part in its SI unit."""

    share: float
    fixed: float

    def sd(self, value: float) -> float:
        """Standard deviation at this value."""
        return self.share * abs(value) + self.fixed


READINGS: dict[str, Reading] = {
    "carry_m": Reading(0.010, 0.5),
    "total_m": Reading(0.010, 1.0),
    "apex_m": Reading(0.030, 0.2),
    "descent_rad": Reading(0.0, math.radians(1.5)),
    "time_s": Reading(0.010, 0.05),
    "offline_m": Reading(0.0, 1.5),
    "curve_m": Reading(0.0, 2.0),
    "ball_speed_mps": Reading(0.010, 0.0),
    "launch_rad": Reading(0.0, math.radians(0.6)),
    "spin_rpm": Reading(0.05, 50.0),
    "direction_rad": Reading(0.0, math.radians(0.8)),
    "spin_axis_rad": Reading(0.0, math.radians(2.5)),
}
"""Error of each figure on a device of middling grade: judgement, no source."""
