"""Spots with their values and candidates."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagwright.strokes.cells import Cells
from bagwright.strokes.states import States

Singles = NDArray[np.float32]
Ints = NDArray[np.int64]


@dataclass
class Search:
    """Spots of one kind with their values and candidates (as in `_kernel_search`).

    `by_lie` are the spots sorted by lie, as questions are.
    """

    states: States
    value: Singles
    away: Singles
    bearing: Singles
    height: Singles
    shot: Ints
    aim: Singles
    worth: Singles
    flag: Singles
    more: Singles
    more_out: Singles
    choice: Ints
    by_lie: Ints

    @property
    def chosen(self) -> tuple[Ints, Singles]:
        """Shot and aim of the first candidate at each spot."""
        i = np.arange(self.states.n)
        return self.shot[i, self.choice], self.aim[i, self.choice]


def search_of(states: States, cells: Cells, kept: int) -> Search:
    """Prepare spots without candidates; values start from a weak player's rule of thumb (judgement)."""
    dx, dy = cells.pin[0] - states.x, cells.pin[1] - states.y
    away = np.hypot(dx, dy).astype(np.float32)
    extra = np.array([0, 0, 0.2, 0.4, 0.45, 0.6])[states.lie]
    # Too many rather than too few: a spot that is not decided yet must not look like a way out.
    value = (3.0 + 0.014 * away + 2 * extra).astype(np.float32)
    n = states.n
    return Search(
        states, value, away, np.arctan2(dy, dx).astype(np.float32), _heights(cells, states),
        np.full((n, kept), -1, np.int64), np.zeros((n, kept), np.float32), np.zeros((n, kept), np.float32),
        np.zeros((n, kept), np.float32), np.zeros((n, kept), np.float32), np.zeros((n, kept), np.float32),
        np.zeros(n, np.int64),
        np.argsort(states.lie, kind="stable"),
    )  # fmt: skip


def _heights(cells: Cells, states: States) -> Singles:
    """Heights of the spots, between the centres of four cells."""
    if not cells.hilly:
        return np.zeros(states.n, np.float32)
    rows, columns = cells.shape
    x = np.clip(states.x - 0.5, 0, rows - 1.001)
    y = np.clip(states.y - 0.5, 0, columns - 1.001)
    i, j = x.astype(np.int64), y.astype(np.int64)
    a, b, z = x - i, y - j, cells.height
    low, high = z[i, j] + b * (z[i, j + 1] - z[i, j]), z[i + 1, j] + b * (z[i + 1, j + 1] - z[i + 1, j])
    return np.asarray(low + a * (high - low), dtype=np.float32)
