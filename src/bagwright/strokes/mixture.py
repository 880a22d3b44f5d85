"""The parts of every pattern: solid strikes with their tails, mishits, and balls that hit a tree."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from bagwright.course.lies import Lie
from bagwright.strokes.by_lie import ByLie
from bagwright.strokes.kernel import Kernel
from bagwright.strokes.lie_table import TREES
from bagwright.strokes.patterns import PARTS
from bagwright.strokes.tails import three_parts

Floats = NDArray[np.float64]

LEAST_SD_M = 0.05
_COLUMNS = (
    "x_m", "x_tail", "y_tail", "skew", "tie", "correlation", "loss_m", "loss_sd_m", "side_factor",
)  # fmt: skip
SHORTEST_M = 0.1


def parts_of(kernels: Sequence[Kernel], lies: ByLie, carry_m: Floats, run_sd_m: Floats) -> Floats:
    """Parts (6, n, PARTS, 6) in the order of `PART_FIELDS`; carries and sds as landed in the course's air.

    `run_sd_m` (6, n) is the spread of a pitch's run on a green: its part of the whole spread is taken off, as
    the run brings it back.
    """
    column = {name: np.array([getattr(kernel, name) for kernel in kernels]) for name in _COLUMNS}
    partial = np.array([kernel.partial for kernel in kernels], dtype=bool)
    grown = carry_m / np.where(partial, carry_m, lies.x_m)
    x_sd = np.maximum(lies.x_sd_m * grown, LEAST_SD_M)
    y_sd = np.maximum(lies.y_sd_m * grown, LEAST_SD_M)
    x_sd = np.where(partial, np.sqrt(np.maximum(x_sd**2 - run_sd_m**2, LEAST_SD_M**2)), x_sd)
    weight, wide_x, wide_y = three_parts(column["x_tail"], column["y_tail"], column["skew"], column["tie"])
    found = np.zeros((*carry_m.shape, PARTS, 6))
    solid = 1.0 - lies.mishit
    centre_y = lies.y_m * grown
    correlation = np.clip(column["correlation"] * lies.thinner, -0.95, 0.95)
    for k in range(3):
        found[..., k, :] = np.stack([
            solid * weight[:, k], carry_m, centre_y, x_sd * np.sqrt(wide_x[:, k]),
            y_sd * np.sqrt(wide_y[:, k]), correlation,
        ], -1)  # fmt: skip
    share = carry_m / column["x_m"]
    found[..., 3, :] = np.stack([
        lies.mishit, np.maximum(carry_m - column["loss_m"] * share, SHORTEST_M), centre_y,
        np.hypot(x_sd, column["loss_sd_m"] * share), y_sd * column["side_factor"], np.zeros_like(carry_m),
    ], -1)  # fmt: skip
    _hit_trees(found[int(Lie.RECOVERY)], carry_m[int(Lie.RECOVERY)])
    return found


def _hit_trees(parts: Floats, carry_m: Floats) -> None:
    """Make room for the balls that hit a tree: the two light parts become one with their mean variance."""
    one, other = parts[:, 1].copy(), parts[:, 2].copy()
    parts[:, 1] = one
    parts[:, 1, 0] = one[:, 0] + other[:, 0]
    for axis in (3, 4):
        parts[:, 1, axis] = np.sqrt(0.5 * (one[:, axis] ** 2 + other[:, axis] ** 2))
    parts[:, 2] = parts[:, 3]
    parts[:, :3, 0] *= 1.0 - TREES.hit
    wide = np.maximum(TREES.sd * carry_m, LEAST_SD_M)
    parts[:, 3] = np.stack([
        np.full_like(carry_m, TREES.hit), TREES.reach * carry_m, np.zeros_like(carry_m), wide, wide,
        np.zeros_like(carry_m),
    ], -1)  # fmt: skip
