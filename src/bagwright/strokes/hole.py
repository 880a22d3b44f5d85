"""One hole's values: a small grid of spots from the pin to the tee, then every cell of the raster."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from time import perf_counter
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagwright.strokes.blur import WIDTHS
from bagwright.strokes.cells import Cells
from bagwright.strokes.fields import Pyramids, turf_of
from bagwright.strokes.probes import Player
from bagwright.strokes.sample import SOLID, points
from bagwright.strokes.states import States, lies_played, on_grid, on_raster

Singles = NDArray[np.float32]
Ints = NDArray[np.int64]
BANDS = (50.0, 85.0, 125.0, 165.0, 205.0, 245.0, 300.0, 370.0, 460.0, 1e9)
"""Ends of the bands from the pin, cells: each is decided when nearer ones are known."""
AIMS = np.deg2rad(np.arange(-60, 61, 8)).astype(np.float32)
"""Directions of the coarse look beside the pin's, 8 degrees apart; 16 of them fill a block with 4 spots."""
STEP = np.float32(math.radians(8))
OVER = np.float32(1.2)
"""Shots that reach further than this share of the distance (and 25 cells) are not looked at."""
SHORT, SHORT_NEAR = 60.0, 130.0
"""Shots shorter than this are tried only this near the pin, cells; as in the kernel."""
STILL = 5e-5
"""Change of a value, strokes, below which nothing moves any more."""
CLOSE = 0.06
"""Candidates this near the first, strokes, are measured ball by ball."""


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

    @property
    def chosen(self) -> tuple[Ints, Singles]:
        """Shot and aim of the first candidate at each spot."""
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


@dataclass
class Asked:
    """Questions of a set of candidates, with their moves."""

    who: Ints
    whole: Ints
    number: Singles
    sums: Ints

    @property
    def n(self) -> int:
        """How many."""
        return len(self.who)


class Solver:
    """Decisions on one hole for one player."""

    def __init__(self, cells: Cells, player: Player, pulse: Callable[[], None] = lambda: None) -> None:
        from bagwright.strokes import _kernel_exact, _kernel_search

        self.kernel, self.exact = _kernel_search, _kernel_exact
        self.cells, self.player, self.pulse = cells, player, pulse
        self.seconds: dict[str, float] = {}
        self.pyramids = self._timed("fields", Pyramids, cells, player)
        self.fields = self.pyramids.fields()
        self.turf = turf_of(cells)
        self.flags = np.asarray(self.pyramids.flagged, np.float32).ravel()
        self.narrowest = _narrowest(player)

    def _timed(self, name: str, call: Any, *given: Any) -> Any:
        start = perf_counter()
        found = call(*given)
        self.seconds[name] = self.seconds.get(name, 0.0) + perf_counter() - start
        return found

    def update(self, s: Search, x0: float = 0.0, x1: float = 1e9) -> None:
        """Blur the values between two rows anew."""
        self.pulse()
        self._timed("blur", self.pyramids.update, s.states, s.value, x0, x1)

    def questions(self, s: Search, ids: Ints, kept: int) -> Asked:
        """Sort the first candidates of these spots by lie and shot."""
        t, n = s.states, self.player.allowed.shape[1]
        return Asked(
            *self._timed(
                "sort", self.kernel.flatten, ids, 0, kept, s.shot, s.aim, t.x, t.y, s.height, t.lie, n
            )
        )

    def decide(self, s: Search, ids: Ints, halvings: int = 4) -> None:
        """Look coarsely from these spots, and refine the aims of the candidates."""
        f, t, p = self.fields, s.states, self.player
        close, far = float(s.away[ids].min()), float(s.away[ids].max())
        first = self.narrowest[0] if close <= SHORT_NEAR else self.narrowest[1]
        beyond = 60 + 0.3 * far
        x0 = min(float(t.x[ids].min()), self.cells.pin[0]) - beyond
        x1 = max(float(t.x[ids].max()), self.cells.pin[0]) + beyond
        mixed = self._timed("mix", self.pyramids.mix, float(s.value[ids].mean()), first, x0, x1)
        self._timed(
            "scan", self.kernel.scan, f, p.coarse, p.run, mixed, np.float32(1 / self.pyramids.scale), ids,
            t.x, t.y, s.height, t.lie, s.bearing, s.away, p.reach, AIMS, p.allowed, OVER, s.shot, s.aim,
        )  # fmt: skip
        asked = self.questions(s, ids, s.shot.shape[1])
        best = self._timed(
            "refine",
            self.kernel.refine,
            f,
            p.quick,
            p.run,
            asked.whole,
            asked.number,
            asked.sums,
            STEP,
            halvings,
        )
        self.kernel.keep(asked.who, asked.number[3], s.aim)
        self._drop_far(s, asked, best)
        self.measure(s, ids, s.shot.shape[1])

    def _drop_far(self, s: Search, asked: Asked, best: Singles) -> None:
        """Forget candidates that are far behind the first of their spot."""
        spot, rank = asked.who >> 3, asked.who & 7
        least = np.full(s.states.n, np.inf, np.float32)
        np.minimum.at(least, spot, best)
        far = best > least[spot] + CLOSE
        s.shot[spot[far], rank[far]] = -1

    def ask(self, s: Search, asked: Asked) -> Singles:
        """Quick means of U - 1."""
        eu, eo, p = np.zeros(asked.n, np.float32), np.zeros(1, np.float32), self.player
        self._timed(
            "sweep", self.kernel.ask, self.fields, p.quick, p.run, False, False, asked.whole, asked.number,
            asked.sums, eu, eo,
        )  # fmt: skip
        return eu

    def measure(self, s: Search, ids: Ints, kept: int) -> Asked:
        """Work out the moves, flags and what single balls add, of the first candidates of these spots."""
        asked, p = self.questions(s, ids, kept), self.player
        eu, eo, more, flag = (np.zeros(asked.n, np.float32) for _ in range(4))
        self.kernel.turn(asked.number, asked.number[3].copy(), np.float32(0))
        self._timed(
            "ask", self.kernel.ask, self.fields, p.quick, p.run, True, True, asked.whole, asked.number,
            asked.sums, eu, eo,
        )  # fmt: skip
        self._timed(
            "balls", self.exact.differences, self.turf, self.pyramids.at_rest(), self.flags, p.quick, p.run,
            p.parts, points(), SOLID, asked.whole, asked.number, asked.sums, more, flag,
        )  # fmt: skip
        self.kernel.keep(asked.who, more, s.more)
        self.kernel.keep(asked.who, eo + flag, s.flag)
        self.kernel.settle(asked.who, eu, s.flag, s.more, ids, s.value, s.choice)
        return asked

    def sweep(self, s: Search, ids: Ints, asked: Asked) -> None:
        """Take the best of the known candidates anew, aims kept."""
        self.kernel.settle(asked.who, self.ask(s, asked), s.flag, s.more, ids, s.value, s.choice)

    def settle(self, s: Search, asked: Asked, most: int) -> tuple[int, float]:
        """Sweep until nothing moves; give the number of sweeps and the last change."""
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
        return s

    def _band(self, s: Search, ids: Ints, first: bool) -> None:
        x0, x1 = float(s.states.x[ids].min()) - 12, float(s.states.x[ids].max()) + 12
        self.decide(s, ids)
        self.update(s, x0, x1)
        if first:
            asked = self.measure(s, ids, s.shot.shape[1])
            for _ in range(3):
                self.sweep(s, ids, asked)
                self.update(s, x0, x1)
            self.decide(s, ids)
            self.update(s, x0, x1)

    def on_raster(self, grid: Search, kept: int, most: int) -> tuple[Search, int, float]:
        """Carry the grid's candidates to every cell and sweep until nothing moves."""
        s = self._timed("carry", self._carried, grid, kept)
        self.update(s)
        asked = self.measure(s, s.by_lie, kept)
        self.update(s)
        sweeps, change = self.settle(s, asked, most)
        return s, sweeps, change

    def _carried(self, grid: Search, kept: int) -> Search:
        g, t = self.cells, grid.states
        s = search_of(on_raster(g.raster.lie, g.tee), g, kept)
        played = np.flatnonzero(lies_played(g.raster.lie).ravel() <= 5)
        node = np.append(t.slot[played, t.weight[played].argmax(1)], t.tee)
        order = _ranked(grid)[node]
        at = node[:, None]
        s.shot[:] = grid.shot[at, order][:, :kept]
        turned = (s.bearing - grid.bearing[node])[:, None]
        s.aim[:] = grid.aim[at, order][:, :kept] + turned.astype(np.float32)
        s.value[:-1] = (t.weight[played] * grid.value[t.slot[played]]).sum(1)
        s.value[-1] = grid.value[t.tee]
        return s


def _narrowest(player: Player) -> tuple[int, int]:
    """Narrowest level that any shot reads in a coarse look, and any shot that is not short."""
    q = player.coarse
    used = np.arange(q.level.shape[2]) < q.count[..., None]
    level = np.where(used, q.level, WIDTHS - 1).min(-1)
    long = player.allowed & (player.reach >= SHORT)
    return int(level[player.allowed].min()), int(level[long].min()) if long.any() else WIDTHS - 1


def _ranked(s: Search) -> Ints:
    """Candidates of each spot: the chosen one first, then the others that are left, as they were found."""
    n, kept = s.shot.shape
    rank = np.tile(np.arange(kept), (n, 1)) + np.where(s.shot < 0, 100, 0)
    rank[np.arange(n), s.choice] = -1
    return np.argsort(rank, axis=1, kind="stable")
