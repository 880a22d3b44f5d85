"""The launch figures of a shot table as arrays: what the flight needs to know of every strike."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from bagwright.shots.record import ShotTable

if TYPE_CHECKING:
    from bagwright.flight.launch import Launches

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Strikes:
    """Launch figures, arrays (n,), NaN where not measured.

    Metres a second, radians, rpm; `direction_rad` positive right, `spin_axis_rad` positive for a tilt that
    curves right. A direction or tilt that was not measured is 0 here: `carry` and height hardly move with
    them, and `sideways_known` says where both were there.
    """

    ball_speed_mps: Floats
    launch_rad: Floats
    spin_rpm: Floats
    direction_rad: Floats
    spin_axis_rad: Floats
    sideways_known: Bools

    def take(self, rows: Bools | NDArray[np.int64]) -> Strikes:
        """Only these rows."""
        return Strikes(
            self.ball_speed_mps[rows], self.launch_rad[rows], self.spin_rpm[rows],
            self.direction_rad[rows], self.spin_axis_rad[rows], self.sideways_known[rows],
        )  # fmt: skip


def strikes_of(table: ShotTable) -> Strikes:
    """The launch figures of every shot; spin and tilt from backspin and sidespin where only those are there.

    Sidespin positive curves right, as everywhere here: spin = hypot(back, side), tilt = atan2(side, back).
    """
    spin, axis = table.measure("spin_rpm"), table.measure("spin_axis_rad")
    back, side = table.measure("backspin_rpm"), table.measure("sidespin_rpm")
    spin = np.where(np.isfinite(spin), spin, np.where(np.isfinite(side), np.hypot(back, side), back))
    axis = np.where(np.isfinite(axis), axis, np.arctan2(side, back))
    direction = table.measure("direction_rad")
    return Strikes(
        table.measure("ball_speed_mps"),
        table.measure("launch_rad"),
        spin,
        np.nan_to_num(direction),
        np.nan_to_num(axis),
        np.isfinite(direction) & np.isfinite(axis),
    )


def launches_of(strikes: Strikes) -> Launches:
    """The same strikes as the flight takes them."""
    from bagwright.flight.launch import Launches

    return Launches(
        strikes.ball_speed_mps, strikes.launch_rad, strikes.spin_rpm, strikes.direction_rad,
        strikes.spin_axis_rad,
    )  # fmt: skip


def codes(*columns: list[str]) -> NDArray[np.int64]:
    """One whole number for each different combination of the texts of a row, in order of appearance."""
    seen: dict[tuple[str, ...], int] = {}
    return np.array([seen.setdefault(row, len(seen)) for row in zip(*columns, strict=True)], dtype=np.int64)
