"""What leaves the club and what becomes of it: launches, flights, and factors on the laws."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import TYPE_CHECKING, Any

from bagwright.errors import InputError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from bagwright.air import Air

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]

BALL_MASS_KG = 0.04593
BALL_DIAMETER_M = 0.04267
BALL_RADIUS_M = BALL_DIAMETER_M / 2.0
"""Heaviest and smallest ball of the Equipment Rules (Part 4): what balls are made to."""

RANGES: dict[str, tuple[float, float, str]] = {
    "ball_speed_mps": (1.0, 115.0, "1 to 115 m/s (257 mph)"),
    "launch_rad": (math.radians(0.1), math.radians(85.0), "0.1 to 85 degrees above level"),
    "spin_rpm": (0.0, 20_000.0, "0 to 20,000 rpm"),
    "direction_rad": (-math.pi / 3, math.pi / 3, "-60 to 60 degrees, right positive"),
    "spin_axis_rad": (-math.pi / 2, math.pi / 2, "-90 to 90 degrees, right positive"),
}
"""What a golf ball can do off a club: lowest and highest value in SI, and the range in words."""


def refuse_outside(name: str, value: float, where: str = "launch") -> float:
    """The value as a float. Raises InputError that names the value and the range when it lies outside it."""
    low, high, words = RANGES[name]
    try:
        number = float(value)
    except (TypeError, ValueError, OverflowError) as error:
        raise InputError(
            f"{where}: {name} = {str(value)[:40]!r} is not a number.", f"Expected {words}."
        ) from error
    if not low <= number <= high:
        raise InputError(f"{where}: {name} = {number:g} cannot be flown.", f"Expected {words}.")
    return number


@dataclass(frozen=True, slots=True)
class Launch:
    """How a ball leaves the club.

    Speed in m/s, launch angle above level and start direction (right positive) in radians, spin in rpm,
    tilt of the spin axis in radians (positive curves right, for left-handers too). Raises InputError
    outside `RANGES`.
    """

    ball_speed_mps: float
    launch_rad: float
    spin_rpm: float
    direction_rad: float = 0.0
    spin_axis_rad: float = 0.0

    def __post_init__(self) -> None:
        for name in RANGES:
            object.__setattr__(self, name, refuse_outside(name, getattr(self, name)))


@dataclass(frozen=True, slots=True)
class Launches:
    """Many launches as arrays of one length (n,); NaN in any of them means that launch is not known."""

    ball_speed_mps: Floats
    launch_rad: Floats
    spin_rpm: Floats
    direction_rad: Floats
    spin_axis_rad: Floats

    @classmethod
    def of(
        cls,
        ball_speed_mps: Any,
        launch_rad: Any,
        spin_rpm: Any,
        direction_rad: Any = 0.0,
        spin_axis_rad: Any = 0.0,
    ) -> Launches:
        """Launches from numbers and arrays that fit one length. Raises InputError where they do not."""
        import numpy as np

        given = (ball_speed_mps, launch_rad, spin_rpm, direction_rad, spin_axis_rad)
        try:
            arrays = np.broadcast_arrays(
                *(np.atleast_1d(np.asarray(each, dtype=np.float64)) for each in given)
            )
        except (TypeError, ValueError) as error:
            raise InputError(
                f"launches: the columns do not fit each other: {error}.", "Give numbers."
            ) from error
        if arrays[0].ndim != 1:
            raise InputError(
                "launches: the columns have more than one dimension.", "Give one number a launch."
            )
        return cls(*(np.ascontiguousarray(each) for each in arrays))

    def __len__(self) -> int:
        return len(self.ball_speed_mps)

    def __getitem__(self, i: int) -> Launch:
        """One launch. Raises InputError outside `RANGES`, and for a launch that is not known."""
        return Launch(*(float(getattr(self, name)[i]) for name in RANGES))

    def known(self) -> Bools:
        """Which launches have all their numbers (n,)."""
        import numpy as np

        return np.asarray(~np.any([np.isnan(getattr(self, name)) for name in RANGES], axis=0))

    def sensible(self) -> Bools:
        """Which launches are known and inside `RANGES` (n,): those that can be flown."""
        import numpy as np

        inside = [
            (getattr(self, name) >= low) & (getattr(self, name) <= high)
            for name, (low, high, _) in RANGES.items()
        ]
        return np.asarray(np.all(inside, axis=0))


@dataclass(frozen=True, slots=True)
class Ball:
    """A ball's mass in kg and diameter in m: those of the Equipment Rules unless said."""

    mass_kg: float = BALL_MASS_KG
    diameter_m: float = BALL_DIAMETER_M

    def __post_init__(self) -> None:
        for name, low, high in (("mass_kg", 0.02, 0.08), ("diameter_m", 0.03, 0.06)):
            value = getattr(self, name)
            if not isinstance(value, (int, float)) or not low <= value <= high:
                raise InputError(
                    f"ball: {name} = {str(value)[:40]} cannot be used.", f"Expected {low:g} to {high:g}."
                )


@dataclass(frozen=True, slots=True)
class Scale:
    """Factors on a law's drag and lift: the level of a player's ball, 1 for the law as published.

    Floats, or arrays (n,) beside n launches. Raises InputError outside 0 to 5.
    """

    drag: Any = 1.0
    lift: Any = 1.0

    def __post_init__(self) -> None:
        for name in ("drag", "lift"):
            value = getattr(self, name)
            inside = 0.0 <= value <= 5.0 if isinstance(value, (int, float)) else _all_inside(value, 0.0, 5.0)
            if not inside:
                raise InputError(f"scale: {name} = {str(value)[:40]} cannot be used.", "Expected 0 to 5.")


def _all_inside(values: Any, low: float, high: float) -> bool:
    """Whether an array's numbers lie in a range; NaN does (its flight is NaN)."""
    import numpy as np

    array = np.asarray(values)
    if array.dtype.kind not in "fiu":
        return False
    return bool(np.all(np.isnan(array) | ((array >= low) & (array <= high))))


@dataclass(frozen=True, slots=True, eq=False)
class Path:
    """A flight in some 60 points, even in time: arrays (m,) of s, m, m/s and rpm."""

    t_s: Floats
    x_m: Floats
    y_m: Floats
    z_m: Floats
    speed_mps: Floats
    spin_rpm: Floats


@dataclass(frozen=True, slots=True)
class Flight:
    """Where and how one ball lands, from `fly`.

    `carry_m` is the straight distance to the landing, `downrange_m` its part along the target line,
    `offline_m` that to the right of it; `apex_m` the greatest height; `descent_rad` the angle below level and
    `landing_direction_rad` the direction (right positive) at landing. `extrapolated` says in words where the
    flight left what the law was fitted to; empty when it did not.
    """

    carry_m: float
    downrange_m: float
    offline_m: float
    apex_m: float
    time_s: float
    descent_rad: float
    landing_speed_mps: float
    landing_spin_rpm: float
    landing_direction_rad: float
    launch: Launch
    law: str
    air: Air
    extrapolated: tuple[str, ...] = ()
    path: Path | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True, slots=True, eq=False)
class Flights:
    """The same for many launches, as arrays (n,), from `fly_many`; NaN where the launch is not known.

    `extrapolated` marks the flights that left what the law was fitted to and `reasons` counts them by words;
    `redone` those that the fast method handed to the adaptive one.
    """

    carry_m: Floats
    downrange_m: Floats
    offline_m: Floats
    apex_m: Floats
    time_s: Floats
    descent_rad: Floats
    landing_speed_mps: Floats
    landing_spin_rpm: Floats
    landing_direction_rad: Floats
    launch: Launches
    law: str
    extrapolated: Bools
    reasons: Mapping[str, int]
    redone: Bools

    def __len__(self) -> int:
        return len(self.carry_m)


FLIGHT_NUMBERS = tuple(each.name for each in fields(Flights))[:9]
"""The numbers that a flight and flights share, in order."""
