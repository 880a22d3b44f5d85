"""A hole as a raster of lies, one yard a cell: what the strokes are computed on.

Frame: x from the tee towards the pin, y to the right, metres; the tee stands at (0, 0). Cell (i, j) covers
[x0 + i c, x0 + (i+1) c) x [y0 + j c, y0 + (j+1) c).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagwright.units import M_PER_YD

CELL_M = M_PER_YD
"""Side of a cell, metres."""


@dataclass(frozen=True, slots=True)
class Raster:
    """One hole from one tee.

    `lie` (nx, ny) uint8 holds `Lie` values; the outermost two cells on every side are OUT. `relief` (nx,
    ny) int32 is the flat index (i * ny + j) of the cell where a ball in a penalty area is dropped (the
    nearest cell at its margin that is not nearer the pin) and, for cells out of bounds, where the local
    rule E-5 would have it dropped (the nearest edge of the fairway not nearer the pin); its own index
    elsewhere. `height_m` (nx, ny) float32 above the tee, or None for flat ground. `pin_m`, `tee_m` in the
    frame. `turn_rad` is the bearing of the frame's x, clockwise from north, or None for a card.
    """

    number: int
    par: int
    tee: str
    length_m: float
    cell_m: float
    x0_m: float
    y0_m: float
    lie: NDArray[np.uint8]
    relief: NDArray[np.int32]
    height_m: NDArray[np.float32] | None
    tee_m: tuple[float, float]
    pin_m: tuple[float, float]
    turn_rad: float | None
    stroke_index: int | None = None
    way_m: tuple[tuple[float, float], ...] = ()
    """The hole's way in the frame."""
    notes: tuple[str, ...] = ()
    """What must be said of this raster: wrong greens in reach, heights that were filled in."""

    def cell(self, x_m: float, y_m: float) -> tuple[int, int] | None:
        """Give the cell of a point, None outside."""
        i, j = int((x_m - self.x0_m) // self.cell_m), int((y_m - self.y0_m) // self.cell_m)
        nx, ny = self.lie.shape
        return (i, j) if 0 <= i < nx and 0 <= j < ny else None

    def centres(self) -> tuple[NDArray[Any], NDArray[Any]]:
        """Give x (nx,) and y (ny,) of the cells' centres, metres."""
        nx, ny = self.lie.shape
        half = self.cell_m / 2
        return self.x0_m + half + self.cell_m * np.arange(nx), self.y0_m + half + self.cell_m * np.arange(ny)
