"""The blurred fields of one hole: what never changes (shares of lies, out of bounds) and U, which does."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from bagwright.course.lies import Lie
from bagwright.strokes.blur import WIDTH, plan
from bagwright.strokes.cells import RELIEF, Cells
from bagwright.strokes.probes import Player
from bagwright.strokes.states import States

if TYPE_CHECKING:
    from bagwright.strokes._kernel_read import Fields

Singles = NDArray[np.float32]
CLASSES = (
    (Lie.TEE, Lie.FAIRWAY),
    (Lie.ROUGH,),
    (Lie.GREEN,),
    (Lie.DEEP, Lie.SAND, Lie.RECOVERY),
)
"""Landing lies in the order of the runs."""
TOP = 14.0
"""Largest value that the packed field holds at first, strokes."""
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
        self.plan = plan(self.rows, self.columns)
        size, pad = self.plan.size, self.plan.pad
        self.base: Singles = np.ones((self.rows + 2 * pad) * (self.columns + 2 * pad), np.float32)
        self.spare: Singles = np.zeros(size, np.float32)
        self.field_u: Singles = np.empty(size, np.float32)
        self.field_o: Singles = np.empty(size, np.float32)
        self.line: Singles = np.zeros(LINE, np.float32)
        # Never 0 where nothing was written: that would read as a ball holed out.
        self.mixed: NDArray[np.uint64] = np.full(size, 0xFFFFFFFFFFFFFFFF, np.uint64)
        self.top = TOP
        lie = cells.raster.lie
        self.flagged = np.asarray(cells.kind == 3).reshape(lie.shape)
        self.watery = bool((cells.kind == RELIEF).any() and np.isin(lie, (7, 8)).any())
        self.wet: NDArray[np.bool_] = np.isin(lie, (int(Lie.WATER), int(Lie.WATER_RED))) & ~self.flagged
        one = np.zeros(1, np.uint64)
        running = player.extra[..., 9].max() > 0
        shares = [
            self._static(_any_of(lie, kinds), 0.0) if running and self._runs(player, g) else one
            for g, kinds in enumerate(CLASSES)
        ]
        self._wet_base: Singles | None = None
        self.flag_packed = self._static(self.flagged, 1.0, self.field_o)
        wet = self._static(self.wet, 0.0) if self.watery and running else one
        self.packed_u: NDArray[np.uint64] = np.empty(size, np.uint64)
        self.packed_wet: NDArray[np.uint64] = np.empty(size, np.uint64) if self.watery and running else one
        self.field_wet: Singles = np.empty(size, np.float32) if self.watery and running else self.spare[:1]
        self._shares, self._wet = shares, wet

    @staticmethod
    def _runs(player: Player, g: int) -> bool:
        return bool((np.abs(player.run[..., g]) + player.run_sd[..., g]).max() > 0)

    def _static(
        self, mask: NDArray[np.bool_], beyond: float, field: Singles | None = None
    ) -> NDArray[np.uint64]:
        """Blur a mask at every width; `beyond` stands outside the raster."""
        pad = self.plan.pad
        base = np.full((self.rows + 2 * pad, self.columns + 2 * pad), beyond, np.float32)
        base[pad:-pad, pad:-pad] = mask
        out = np.empty(self.plan.size, np.uint64)
        into = self.spare_field() if field is None else field
        self._blur(base.ravel(), into, out, 0.0, FULL_SCALE, (0, self.rows))
        return out

    def spare_field(self) -> Singles:
        """A field to blur in that nobody keeps."""
        return self.field_u

    def _blur(
        self, base: Singles, field: Singles, packed: NDArray[np.uint64], lift: float, scale: float,
        between: tuple[float, float],
    ) -> None:  # fmt: skip
        p = self.plan
        # What reaches an end of the raster reaches through the cells beyond it.
        low = between[0] if between[0] > 0 else -BEYOND
        high = between[1] if between[1] < self.rows else self.rows + BEYOND
        self._kernel.blur(
            base, field, self.spare, packed, p.grid, p.kernel, p.reach, p.fresh, WIDTH, np.float32(lift),
            np.float32(scale), float(low), float(high), self.line,
        )  # fmt: skip

    @property
    def scale(self) -> float:
        """Scale of packed U: 16 bits up to `top` strokes above one."""
        return FULL_SCALE / self.top

    def update(self, states: States, values: Singles, x0: float = 0.0, x1: float = 1e9) -> None:
        """Write new values into U between two rows, and blur it."""
        g = self.cells
        a, b = int(max(x0, 0)), int(min(max(x1, 0), self.rows))
        self._kernel.fill(
            self.base, values, states.slot, states.weight, g.kind, g.putts, g.relief, g.penalty, self.columns,
            self.plan.pad, a, b,
        )  # fmt: skip
        self._blur(self.base, self.field_u, self.packed_u, -1.0, self.scale, (a, b))
        if self.watery and len(self.field_wet) > 1:
            self._blur(self._wet_only(), self.field_wet, self.packed_wet, 0.0, self.scale, (a, b))

    def _wet_only(self) -> Singles:
        """U - 1 on water, 0 elsewhere."""
        pad = self.plan.pad
        out = np.zeros((self.rows + 2 * pad, self.columns + 2 * pad), np.float32)
        whole = self.base.reshape(out.shape)[pad:-pad, pad:-pad]
        out[pad:-pad, pad:-pad] = np.where(self.wet, whole - 1, 0)
        return out.ravel()

    def mix(self, typical: float, first: int, x0: float, x1: float) -> NDArray[np.uint64]:
        """Pack U + typical * flag for a coarse look, from the narrowest level that it reads."""
        self._kernel.mix(
            self.field_u, self.field_o, np.float32(typical), self.spare, self.mixed, self.plan.grid, first,
            np.float32(-1), np.float32(self.scale), float(x0), float(x1),
        )  # fmt: skip
        return self.mixed

    def fields(self) -> Fields:
        """What the reading kernels take."""
        from bagwright.strokes._kernel_read import Fields

        g, s = self.cells, self._shares
        place: NDArray[Any] = np.ascontiguousarray(self.plan.grid[:, [3, 2]])
        number = np.array(
            [
                self.scale, *g.wind, g.hilly, self.watery and len(self.field_wet) > 1, self.flagged.any(),
                self.rows, self.columns,
            ],
            np.float32,
        )  # fmt: skip
        return Fields(
            self.packed_u, self.flag_packed, s[0], s[1], s[2], s[3], self._wet, self.packed_wet,
            self.plan.read, place, g.height.ravel(), number,
        )  # fmt: skip


def _any_of(lie: NDArray[np.uint8], kinds: tuple[Lie, ...]) -> NDArray[np.bool_]:
    """Mark the cells with one of these lies."""
    return np.isin(lie, [int(k) for k in kinds])
