"""The launch figures of a shot table as arrays: what the flight needs to know of every strike."""

from __future__ import annotations

from collections.abc import Callable
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


def strikes_of(table: ShotTable, column: Callable[[str], Floats] | None = None) -> Strikes:
    """The launch figures of every shot.

    Ball speed comes from club speed times their ratio where only those are there; spin and tilt from back
    spin and side spin: spin = hypot(back, side), tilt = atan2(side, back), side spin positive curving right.
    `column` gives a measured column in place of the table's own, such as one without impossible figures.
    """
    get = column if column is not None else table.measure

    def filled(name: str, other: Floats) -> Floats:
        values = get(name)
        return np.where(np.isfinite(values), values, other)

    back, side = get("backspin_rpm"), get("sidespin_rpm")
    direction = get("direction_rad")
    axis = filled("spin_axis_rad", np.arctan2(side, back))
    return Strikes(
        filled("ball_speed_mps", get("club_speed_mps") * get("speed_ratio")),
        get("launch_rad"),
        filled("spin_rpm", np.where(np.isfinite(side), np.hypot(back, side), back)),
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
