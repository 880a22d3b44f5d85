"""One hole's values: a small grid of spots from the pin to the tee, then every cell of the raster."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from time import perf_counter
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagwright.strokes.blur import WIDTHS
from bagwright.strokes.cells import Cells
from bagwright.strokes.fields import Pyramids
from bagwright.strokes.probes import Player
from bagwright.strokes.states import States, lies_played, on_grid, on_raster

Singles = NDArray[np.float32]
Ints = NDArray[np.int64]
BANDS = (50.0, 85.0, 125.0, 165.0, 205.0, 245.0, 300.0, 370.0, 460.0, 1e9)
"""Ends of the bands from the pin, cells: each is decided when nearer ones are known."""
AIMS = np.deg2rad(np.arange(-60, 61, 8)).astype(np.float32)
"""Directions of the coarse look beside the pin's, 8 degrees apart; 16 of them fill a block with 4 spots."""
STEP = np.float32(math.radians(8))
OVER = np.float32(1.2)
SHORT, SHORT_NEAR = 60.0, 130.0
"""Shots shorter than this are tried only this near the pin, cells; as in the kernel."""
STILL = 5e-5
"""Change of a value, strokes, below which nothing moves any more."""


@dataclass
class Search:
    """Spots of one kind with their values and candidates."""

    states: States
    value: Singles
    away: Singles
    bearing: Singles
    height: Singles
    shot: Ints
    aim: Singles
    flag: Singles
    more: Singles
    choice: Ints
    by_lie: Ints
    seconds: dict[str, float] = field(default_factory=dict)

    @property
    def chosen(self) -> tuple[Ints, Singles]:
        """Shot and aim of the best candidate at each spot."""
        i = np.arange(self.states.n)
        return self.shot[i, self.choice], self.aim[i, self.choice]


def search_of(states: States, cells: Cells, kept: int) -> Search:
    """Prepare spots without candidates; values start from a rule of thumb."""
    dx, dy = cells.pin[0] - states.x, cells.pin[1] - states.y
    away = np.hypot(dx, dy).astype(np.float32)
    extra = np.array([0, 0, 0.2, 0.4, 0.45, 0.6])[states.lie]
    value = (2.1 + 0.0066 * away - np.where(away < 40, 0.3 * (1 - away / 40), 0) + extra).astype(np.float32)
    n = states.n
    return Search(
        states, value, away, np.arctan2(dy, dx).astype(np.float32), _heights(cells, states),
        np.full((n, kept), -1, np.int64), np.zeros((n, kept), np.float32), np.zeros((n, kept), np.float32),
        np.zeros((n, kept), np.float32), np.zeros(n, np.int64), np.argsort(states.lie, kind="stable"),
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


class Solver:
    """Decisions on one hole for one player."""

    def __init__(self, cells: Cells, player: Player, allowed: NDArray[np.bool_]) -> None:
        from bagwright.strokes import _kernel_search

        self.kernel = _kernel_search
        self.cells, self.player, self.allowed = cells, player, np.ascontiguousarray(allowed)
        start = perf_counter()
        self.pyramids = Pyramids(cells, player)
        self.fields = self.pyramids.fields()
        self.reach = player.reach.astype(np.float32)
        self.narrowest = _narrowest(player)
        self.seconds: dict[str, float] = {"fields": perf_counter() - start}

    def _timed(self, name: str, call: Any, *given: Any) -> Any:
        start = perf_counter()
        found = call(*given)
        self.seconds[name] = self.seconds.get(name, 0.0) + perf_counter() - start
        return found

    def update(self, s: Search, x0: float = 0.0, x1: float = 1e9) -> None:
        """Blur the values between two rows anew."""
        self._timed("blur", self.pyramids.update, s.states, s.value, x0, x1)

    def questions(self, s: Search, ids: Ints, kept: int) -> Any:
        """Flatten the first candidates of these spots."""
        t = s.states
        return self.kernel.flatten(ids, kept, s.shot, s.aim, t.x, t.y, s.height, t.lie, self.allowed.shape[1])

    def decide(self, s: Search, ids: Ints, halvings: int = 4) -> None:
        """Look coarsely from these spots, refine the aims of the best few, and take full values."""
        f, t = self.fields, s.states
        close, far = float(s.away[ids].min()), float(s.away[ids].max())
        first = self.narrowest[0] if close <= SHORT_NEAR else self.narrowest[1]
        beyond = 60 + 0.3 * far
        x0 = min(float(t.x[ids].min()), self.cells.pin[0]) - beyond
        x1 = max(float(t.x[ids].max()), self.cells.pin[0]) + beyond
        mixed = self._timed("mix", self.pyramids.mix, float(s.value[ids].mean()), first, x0, x1)
        scale = np.float32(1 / self.pyramids.scale)
        self._timed(
            "scan", self.kernel.scan, f, self.player.quick, mixed, scale, ids, t.x, t.y, s.height, t.lie,
            s.bearing, s.away, self.reach, AIMS, self.allowed, OVER, s.shot, s.aim,
        )  # fmt: skip
        who, whole, number, order, sums = self.questions(s, ids, s.shot.shape[1])
        eu, eo, best = (np.zeros(len(who), np.float32) for _ in range(3))
        self._timed(
            "refine", self.kernel.refine, f, self.player.quick, self.player.full, False, whole, number, order,
            sums, STEP, halvings, eu, eo, best,
        )  # fmt: skip
        self.kernel.keep_aims(who, number, eo, s.aim, s.flag)
        self.measure(s, ids)

    def measure(self, s: Search, ids: Ints) -> None:
        """Take the full value of every candidate, and how far the quick one is from it."""
        f = self.fields
        who, whole, number, order, sums = self.questions(s, ids, s.shot.shape[1])
        quick, eu, eo = (np.zeros(len(who), np.float32) for _ in range(3))
        scale = np.float32(1 / self.pyramids.scale)
        ask, quickly = self.kernel.ask, self.player.quick
        self._timed("quick", ask, f, quickly, f.u, scale, False, whole, number, order, sums, quick, eo)
        self._timed("full", ask, f, self.player.full, f.u, scale, True, whole, number, order, sums, eu, eo)
        s.flag[who >> 3, who & 7] = eo
        s.more[who >> 3, who & 7] = eu - quick
        self.kernel.settle(who, quick, s.flag, s.more, ids, s.value, s.choice)

    def sweep(self, s: Search, ids: Ints, asked: Any) -> None:
        """Take the best of the known candidates anew, aims kept."""
        who, whole, number, order, sums = asked
        f = self.fields
        quick, eo = np.zeros(len(who), np.float32), np.zeros(1, np.float32)
        scale = np.float32(1 / self.pyramids.scale)
        player, ask = self.player.quick, self.kernel.ask
        self._timed("sweep", ask, f, player, f.u, scale, False, whole, number, order, sums, quick, eo)
        self.kernel.settle(who, quick, s.flag, s.more, ids, s.value, s.choice)

    def settle(self, s: Search, most: int) -> tuple[int, float]:
        """Sweep until nothing moves; give the number of sweeps and the last change."""
        asked = self.questions(s, s.by_lie, s.shot.shape[1])
        change = math.inf
        for count in range(1, most + 1):
            before = s.value.copy()
            self.sweep(s, s.by_lie, asked)
            change = float(np.abs(s.value - before).max())
            self.update(s)
            if change < STILL:
                return count, change
        return most, change

    def on_grid(self) -> Search:
        """Values of the small grid, band by band from the pin to the tee."""
        g = self.cells
        s = search_of(on_grid(g.raster.lie, g.tee, g.pin), g, self.kernel.KEPT)
        self.update(s)
        low = 0.0
        for high in BANDS:
            ids = s.by_lie[(s.away[s.by_lie] >= low) & (s.away[s.by_lie] < high)]
            if len(ids):
                self._band(s, ids, low == 0)
            low = high
        self.settle(s, 6)
        return s

    def _band(self, s: Search, ids: Ints, first: bool) -> None:
        x0, x1 = float(s.states.x[ids].min()) - 12, float(s.states.x[ids].max()) + 12
        self.decide(s, ids)
        self.update(s, x0, x1)
        if first:
            asked = self.questions(s, ids, s.shot.shape[1])
            for _ in range(3):
                self.sweep(s, ids, asked)
                self.update(s, x0, x1)
            self.decide(s, ids)
            self.update(s, x0, x1)

    def on_raster(self, grid: Search, kept: int, most: int) -> tuple[Search, int, float]:
        """Carry the grid's candidates to every cell and sweep until nothing moves."""
        g = self.cells
        start = perf_counter()
        s = search_of(on_raster(g.raster.lie, g.tee), g, kept)
        played = np.flatnonzero(lies_played(g.raster.lie).ravel() <= 5)
        t = grid.states
        node = np.append(t.slot[played, t.weight[played].argmax(1)], t.tee)
        order = _ranked(grid)[node]
        at = node[:, None]
        s.shot[:] = grid.shot[at, order][:, :kept]
        turned = (s.bearing - grid.bearing[node])[:, None]
        s.aim[:] = grid.aim[at, order][:, :kept] + turned.astype(np.float32)
        s.value[:-1] = (t.weight[played] * grid.value[t.slot[played]]).sum(1)
        s.value[-1] = grid.value[t.tee]
        self.seconds["carry"] = perf_counter() - start
        self.update(s)
        self.measure(s, s.by_lie)
        self.update(s)
        sweeps, _ = self.settle(s, most)
        self.measure(s, s.by_lie)
        self.update(s)
        more, change = self.settle(s, most)
        return s, sweeps + more, change


def _narrowest(player: Player) -> tuple[int, int]:
    """Narrowest level that any shot reads, and any shot that is not short."""
    q = player.quick
    least = [WIDTHS - 1, WIDTHS - 1]
    for lie, k in zip(*np.nonzero(player.allowed), strict=True):
        level = int(q.level[q.first[lie, k] : q.last[lie, k]].min())
        least[0] = min(least[0], level)
        if player.reach[lie, k] >= SHORT:
            least[1] = min(least[1], level)
    return least[0], least[1]


def _ranked(s: Search) -> Ints:
    """Candidates of each spot with the chosen one first."""
    n, kept = s.shot.shape
    order = np.tile(np.arange(kept), (n, 1))
    order[np.arange(n), s.choice] = 0
    order[:, 0] = s.choice
    return order
