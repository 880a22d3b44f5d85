"""From metres on a hole to pixels of its picture: the tee at the bottom, the pin at the top."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np

from bagwright.units import M_PER_FT, System, distance_unit


@dataclass(frozen=True, slots=True)
class View:
    """What part of a hole is drawn where. Pixels run right and down from the picture's corner."""

    x0_m: float
    y0_m: float
    x1_m: float
    y1_m: float
    scale: float
    """Pixels a metre."""
    left: float
    top: float
    system: System
    prefix: str = "hole-"
    """What the picture's ids begin with, so that several can stand on one page."""

    @property
    def width(self) -> float:
        """Width of the drawn ground, pixels."""
        return (self.y1_m - self.y0_m) * self.scale

    @property
    def height(self) -> float:
        """Height of the drawn ground, pixels."""
        return (self.x1_m - self.x0_m) * self.scale

    def at(self, x_m: float, y_m: float) -> tuple[float, float]:
        """Give the pixel of a point."""
        return self.left + (y_m - self.y0_m) * self.scale, self.top + (self.x1_m - x_m) * self.scale

    def line(self, points: Any) -> list[tuple[float, float]]:
        """Give the pixels of points (n, 2)."""
        given = np.asarray(points, dtype=np.float64)[:, :2]
        across = self.left + (given[:, 1] - self.y0_m) * self.scale
        down = self.top + (self.x1_m - given[:, 0]) * self.scale
        return list(zip(across.tolist(), down.tolist(), strict=True))

    def holds(self, x_m: float, y_m: float, rim_px: float = 0.0) -> bool:
        """Say whether a point lies in the picture, at least so many pixels from its edge."""
        rim = rim_px / self.scale
        return self.x0_m + rim <= x_m <= self.x1_m - rim and self.y0_m + rim <= y_m <= self.y1_m - rim

    def length(self, metres: float) -> str:
        """Write a length with its unit: 151 yd."""
        return f"{self.figure(metres)} {distance_unit(self.system).name}"

    def figure(self, metres: float) -> str:
        """Write a length without its unit."""
        return f"{metres / distance_unit(self.system).factor:.0f}"

    def height_words(self, metres: float) -> str:
        """Write a height: feet beside yards, metres beside metres."""
        return f"{metres / M_PER_FT:.0f} ft" if self.system == "yards" else f"{metres:.0f} m"


def fitted(
    extent: tuple[float, float, float, float],
    most: tuple[float, float],
    corner: tuple[float, float],
    system: System,
    prefix: str,
) -> View:
    """Fit an extent (least x and y, greatest x and y, metres) into a width and height of pixels."""
    x0, y0, x1, y1 = extent
    scale = min(most[0] / (y1 - y0), most[1] / (x1 - x0))
    left = corner[0] + (most[0] - (y1 - y0) * scale) / 2
    return View(x0, y0, x1, y1, scale, left, corner[1], system, prefix)


def distances(system: System, most_m: float, first: int = 100, step: int = 50) -> Iterable[tuple[int, float]]:
    """Give round distances up to a length: the figure and its metres."""
    factor = distance_unit(system).factor
    return [(n, n * factor) for n in range(first, int(most_m / factor) + 1, step)]
