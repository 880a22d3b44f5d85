"""Measured columns without what no golf shot has: those figures count as missing, and are counted."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from bagwright.shots.record import ShotTable

    Floats = NDArray[np.float64]

_FURTHER = {
    "offline_total_m": (-250.0, 250.0),
    "speed_ratio": (0.2, 2.0),
    "backspin_rpm": (-20_000.0, 20_000.0),
    "sidespin_rpm": (-20_000.0, 20_000.0),
}
"""Lowest and highest figure taken of columns that `flight.seen.RANGES` does not hold."""
_LAUNCH = ("ball_speed_mps", "launch_rad", "spin_rpm", "direction_rad", "spin_axis_rad")


def measured(table: ShotTable, name: str) -> Floats:
    """A measured column (n,), NaN where there is no figure, or one that no golf shot has.

    Launch figures are only held to be finite: what no club gives is a reason of its own.
    """
    import numpy as np

    from bagwright.flight.seen import RANGES

    column = table.measure(name)
    if name in _LAUNCH:
        return np.where(np.isfinite(column), column, np.nan)
    low, high = _FURTHER[name] if name in _FURTHER else RANGES[name][:2]
    return np.where((column >= low) & (column <= high), column, np.nan)


def impossible(table: ShotTable, names: tuple[str, ...]) -> int:
    """How many figures of these columns are there and cannot be."""
    import numpy as np

    gone = (~np.isnan(table.measure(n)) & np.isnan(measured(table, n)) for n in names)
    return int(sum(int(each.sum()) for each in gone))
