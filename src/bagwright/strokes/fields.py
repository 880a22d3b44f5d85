"""The blurred fields of one hole: what never changes (shares of lies, out of bounds) and U, which does."""

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
    from bagwright.strokes._kernel_exact import Turf
    from bagwright.strokes._kernel_read import Fields

Singles = NDArray[np.float32]
CLASSES = (
    (Lie.TEE, Lie.FAIRWAY),
    (Lie.ROUGH,),
    (Lie.GREEN,),
    (Lie.DEEP, Lie.SAND, Lie.RECOVERY),
)
"""Landing lies in the order of the runs."""
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
        self.plan = plan(self.rows, self.columns)
        size, pad = self.plan.size, self.plan.pad
        self.base: Singles = np.ones((self.rows + 2 * pad) * (self.columns + 2 * pad), np.float32)
        self.spare: Singles = np.zeros(size, np.float32)
        self.field_u: Singles = np.empty(size, np.float32)
        self.field_o: Singles = np.empty(size, np.float32)
        self.line: Singles = np.zeros(LINE, np.float32)
        # Never 0 where nothing was written: that would read as a ball holed out.
        self.mixed: NDArray[np.uint64] = np.full(size, 0xFFFFFFFFFFFFFFFF, np.uint64)
        self.packed_u: NDArray[np.uint64] = np.empty(size, np.uint64)
        self.flagged = np.asarray(cells.kind == FLAG).reshape(cells.shape)
        self.packed_o: NDArray[np.uint64] = np.empty(size, np.uint64)
        self._static(self.flagged.astype(np.float32), 1.0, self.field_o, self.packed_o)
        self.shares = self._shares(player)
        self.fields_now = self.fields()

    def _shares(self, player: Player) -> NDArray[np.uint64]:
        """Shares of the classes of landing, and last the usual run over that on a fairway."""
        mean = player.run[..., 0][player.allowed]
        if not np.abs(player.run).max() > 0:
            return np.zeros((5, 1), np.uint64)
        usual = np.clip(mean.sum(0) / max(float(mean[:, 0].sum()), 1e-9), 0.0, 1.0).astype(np.float32)
        group = GROUP[self.cells.raster.lie]
        masks = [np.asarray(group == g, np.float32) for g in range(len(CLASSES))]
        masks.append(np.where(group >= 0, usual[group], 0).astype(np.float32))
        out = np.empty((5, self.plan.size), np.uint64)
        for mask, packed in zip(masks, out, strict=True):
            self._static(mask, 0.0, self.field_u, packed)
        return out

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
            base, field, self.spare, packed, p.grid, p.kernel, p.reach, p.fresh, WIDTH, np.float32(lift),
            np.float32(scale), float(low), float(high), self.line,
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
            self.base, values, states.slot, states.weight, g.kind, g.putts, g.relief, g.penalty, self.columns,
            self.plan.pad, a, b,
        )  # fmt: skip
        self._blur(self.base, self.field_u, self.packed_u, -1.0, self.scale, (a, b))

    def at_rest(self) -> Singles:
        """U of every cell (flat), as it was last written."""
        pad = self.plan.pad
        whole = self.base.reshape(self.rows + 2 * pad, self.columns + 2 * pad)
        return np.ascontiguousarray(whole[pad:-pad, pad:-pad]).ravel()

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

        g = self.cells
        place: NDArray[Any] = np.ascontiguousarray(self.plan.grid[:, [3, 2]])
        # A flag always stands somewhere: beyond the raster.
        number = np.array([self.scale, *g.wind, g.hilly, True, self.rows, self.columns], np.float32)
        return Fields(
            self.packed_u, self.packed_o, self.shares, self.plan.read, place, g.height.ravel(), number
        )


def turf_of(cells: Cells) -> Turf:
    """The ground of a hole for the exact definition."""
    from scipy.ndimage import distance_transform_edt

    from bagwright.strokes._kernel_exact import Turf

    lie = cells.raster.lie
    rows, columns = lie.shape
    wet = np.isin(lie, (int(Lie.WATER), int(Lie.WATER_RED)))
    far = distance_transform_edt(~wet) if wet.any() else np.full(lie.shape, 255.0)
    return Turf(
        rows, columns, (GROUP[lie] + 1).ravel(), np.minimum(far, 255).astype(np.uint8).ravel(),
        bool(wet.any()), cells.height.ravel(), cells.hilly, np.array(cells.wind, np.float32),
    )  # fmt: skip
