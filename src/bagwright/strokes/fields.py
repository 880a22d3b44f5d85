"""The blurred fields of one hole: what never changes (usual run, out of bounds) and U, which does."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from bagwright.course.lies import Lie
from bagwright.strokes.blur import WIDTH, plan
from bagwright.strokes.cells import FLAG, Cells
from bagwright.strokes.probes import Player
from bagwright.strokes.states import States

if TYPE_CHECKING:
    from bagwright.strokes._kernel_balls import Turf
    from bagwright.strokes._kernel_read import Fields

Singles = NDArray[np.float32]
GROUP = np.array([0, 0, 1, 3, 3, 3, 2, -1, -1, -1], np.int8)
"""Class of the run by lie; -1 where nothing runs."""
TOP = 14.0
"""Largest value that the packed field holds, strokes above one."""
FULL_SCALE = 65535.0
LINE = 8192
BEYOND = 1000.0
"""Further than any pad, cells."""


class Pyramids:
    """All fields of one hole, rebuilt as values change. Not for use by two threads at once."""

    def __init__(self, cells: Cells, player: Player) -> None:
        from bagwright.strokes import _kernel_blur

        self._kernel = _kernel_blur
        self.cells = cells
        self.rows, self.columns = cells.shape
        self.plan = plan(self.rows, self.columns, player.levels)
        size, pad = self.plan.size, self.plan.pad
        self.base: Singles = np.ones((self.rows + 2 * pad) * (self.columns + 2 * pad), np.float32)
        self.rest: Singles = np.full(self.rows * self.columns, -1, np.float32)
        """U of every cell, -1 where it is out of bounds: what a ball at rest is worth."""
        self.spare: Singles = np.zeros(size, np.float32)
        self.field_u: Singles = np.empty(size, np.float32)
        self.field_o: Singles = np.empty(size, np.float32)
        self.line: Singles = np.zeros(LINE, np.float32)
        # Never 0 where nothing was written: that would read as a ball holed out.
        self.mixed: NDArray[np.uint64] = np.full(size, 0xFFFFFFFFFFFFFFFF, np.uint64)
        self.packed_u: NDArray[np.uint64] = np.empty(size, np.uint64)
        self.packed_o: NDArray[np.uint64] = np.empty(size, np.uint64)
        flagged = np.asarray(cells.kind == FLAG, np.float32).reshape(cells.shape)
        self._static(flagged, 1.0, self.field_o, self.packed_o)
        self.usual = self._usual(player)
        self.fields_now = self.fields()

    def _usual(self, player: Player) -> NDArray[np.uint64]:
        """The player's usual run by the lie of the landing, over that on a fairway."""
        if not np.abs(player.run).max() > 0:
            return np.zeros(1, np.uint64)
        group = GROUP[self.cells.raster.lie]
        packed = np.empty(self.plan.size, np.uint64)
        self._static(np.where(group >= 0, player.usual[group], 0), 0.0, self.field_u, packed)
        return packed

    def _static(self, mask: Singles, beyond: float, field: Singles, out: NDArray[np.uint64]) -> None:
        """Blur a field between 0 and 1 at every width; `beyond` stands outside the raster."""
        pad = self.plan.pad
        base = np.full((self.rows + 2 * pad, self.columns + 2 * pad), beyond, np.float32)
        base[pad:-pad, pad:-pad] = mask
        self._blur(base.ravel(), field, out, 0.0, FULL_SCALE, (0, self.rows))

    def _blur(
        self, base: Singles, field: Singles, packed: NDArray[np.uint64], lift: float, scale: float,
        between: tuple[float, float],
    ) -> None:  # fmt: skip
        p = self.plan
        # What reaches an end of the raster reaches through the cells beyond it.
        low = between[0] if between[0] > 0 else -BEYOND
        high = between[1] if between[1] < self.rows else self.rows + BEYOND
        self._kernel.blur(
            base, field, self.spare, packed, p.levels, p.grid, p.kernel, p.reach, p.fresh, WIDTH,
            np.float32(lift), np.float32(scale), float(low), float(high), self.line,
        )  # fmt: skip

    @property
    def scale(self) -> float:
        """Scale of packed U: 16 bits up to `TOP` strokes above one."""
        return FULL_SCALE / TOP

    def update(self, states: States, values: Singles, x0: float = 0.0, x1: float = 1e9) -> None:
        """Write new values into U between two rows, and blur it."""
        g = self.cells
        a, b = int(max(x0, 0)), int(min(max(x1, 0), self.rows))
        self._kernel.fill(
            self.base, self.rest, values, states.slot, states.weight, g.kind, g.putts, g.relief, g.penalty,
            self.columns, self.plan.pad, a, b,
        )  # fmt: skip
        self._blur(self.base, self.field_u, self.packed_u, -1.0, self.scale, (a, b))

    def mix(self, typical: float, first: int, x0: float, x1: float) -> NDArray[np.uint64]:
        """Pack U + typical * flag for a coarse look, from the narrowest level that it reads."""
        self._kernel.mix(
            self.field_u, self.field_o, np.float32(typical), self.spare, self.mixed, self.plan.levels,
            self.plan.grid, first,
            np.float32(-1), np.float32(self.scale), float(x0), float(x1),
        )  # fmt: skip
        return self.mixed

    def fields(self) -> Fields:
        """What the reading kernels take."""
        from bagwright.strokes._kernel_read import Fields

        g = self.cells
        place: NDArray[Any] = np.ascontiguousarray(self.plan.grid[:, [3, 2]])
        number = np.array([self.scale, *g.wind, g.hilly, self.rows, self.columns], np.float32)
        return Fields(
            self.packed_u, self.packed_o, self.usual, self.plan.read, place, g.height.ravel(), number
        )


def rise_of(cells: Cells) -> float:
    """Height of one step of the whole numbers by which balls know the ground, cells."""
    return max(float(np.abs(cells.height).max()), 1.0) / 32767


def turf_of(cells: Cells) -> Turf:
    """The ground of a hole for the exact definition."""
    from scipy.ndimage import distance_transform_edt

    from bagwright.strokes._kernel_balls import Turf

    lie = cells.raster.lie
    wet = np.isin(lie, (int(Lie.WATER), int(Lie.WATER_RED)))
    far = np.minimum(distance_transform_edt(~wet), 255) if wet.any() else np.full(lie.shape, 255.0)
    rise = rise_of(cells)
    steps = np.rint(cells.height / np.float32(rise)).astype(np.int32)
    rows, columns = cells.shape
    ground = steps * 65536 + far.astype(np.int32) * 8 + GROUP[lie] + 1
    return Turf(
        rows, columns, ground.ravel().astype(np.int32), np.float32(rise), cells.hilly, bool(wet.any()),
        np.array(cells.wind, np.float32),
    )  # fmt: skip
