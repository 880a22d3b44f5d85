"""Levels blurred one from another are those blurred from the field itself, at the raster's edge too."""

from __future__ import annotations

import numpy as np

from bagwright.strokes import _kernel_run, blur
from bagwright.strokes.probes import FINE


def blurred(chained: bool) -> np.ndarray:
    """A window of fairway (0) with `PAD` columns beyond the raster (1): all its levels."""
    side, every = 64, FINE.every
    base = np.zeros((side, side), np.float32)
    base[:, -blur.PAD[1] :] = 1
    plan = blur.plan(side, side)
    cells, levels = plan.grid[:, 0].copy(), len(plan.grid)
    wanted = np.arange(levels) % every == 0
    weights, reach = blur.chain(every)
    way = (weights, reach if chained else np.zeros_like(reach))
    room = side * side * int(wanted.sum())
    field, packed = np.zeros(room, np.float32), np.zeros(room, np.uint64)
    read, place = np.zeros((levels, 5), np.float32), np.zeros((levels, 2), np.int64)
    window = (0, 0, side, side, 1)
    _kernel_run.layout(window, wanted, cells, read, place)
    _kernel_run.blur_window(
        base.ravel(), np.zeros(room, np.float32), field, packed, window, wanted, cells,
        (plan.direct[0], plan.direct_reach[0]), way, place, np.float32(0), np.float32(65535),
        np.zeros(8192, np.float32),
    )  # fmt: skip
    return field


def test_levels_one_from_another_are_those_from_the_field() -> None:
    """They were off by 0.25 at the edge once: the chance of out of bounds was then too small there."""
    assert np.abs(blurred(True) - blurred(False)).max() < 0.002
