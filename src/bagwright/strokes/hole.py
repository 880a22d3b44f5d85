"""One hole's values: a small grid of spots from the pin to the tee, then every cell of the raster."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from time import thread_time
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagwright.strokes.blur import WIDTHS
from bagwright.strokes.cells import Cells
from bagwright.strokes.fields import Pyramids, turf_of
from bagwright.strokes.probes import Player, hermite
from bagwright.strokes.running import Running, profiles_of
from bagwright.strokes.search import Search, ranked, search_of
from bagwright.strokes.states import lies_played, on_grid, on_raster

Singles = NDArray[np.float32]
Ints = NDArray[np.int64]
BANDS = (50.0, 85.0, 125.0, 165.0, 205.0, 245.0, 300.0, 370.0, 460.0, 1e9)
"""Ends of the bands from the pin, cells: each is decided when nearer ones are known."""
_SIDES = (4, 12, 20, 29, 40, 56, 80, 115)
AIMS = np.deg2rad([*(-side for side in reversed(_SIDES)), *_SIDES]).astype(np.float32)
"""Directions of the coarse look beside the pin's: close ones to aim, wide ones to get out from anywhere."""
STEP = np.float32(math.radians(8))
OVER = np.float32(1.2)
"""Shots that reach further than this share of the distance (and 25 cells) are not looked at."""
SHORT, SHORT_NEAR = 60.0, 130.0
"""Shots shorter than this are tried only this near the pin, cells; as in the kernel."""
STILL = 5e-5
"""Change of a value, strokes, below which nothing moves any more."""
HOPELESS = 0.95
"""Chance of stroke and distance from which a shot counts as this bad at most; as in the kernel."""
TEE_SIDE, RUNS = 120, 5
"""Points of the exact sums along each axis of a part at the tee, and of the run."""
CLOSE = 0.06
"""Candidates this near the first, strokes, are kept."""


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
        self.fields = self.pyramids.fields_now
        self.turf = turf_of(cells)
        self.running = Running(self.pyramids, self.turf, player, profiles_of(player))
        self.flags = np.asarray(self.pyramids.flagged, np.float32).ravel()
        self.narrowest = _narrowest(player)

    def _timed(self, name: str, call: Any, *given: Any) -> Any:
        start = thread_time()
        found = call(*given)
        self.seconds[name] = self.seconds.get(name, 0.0) + thread_time() - start
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

    def mixed(self, s: Search, ids: Ints, short_too: bool = False) -> Any:
        """The field that a coarse look from these spots reads; `short_too`: for short shots everywhere."""
        close, far = float(s.away[ids].min()), float(s.away[ids].max())
        first = self.narrowest[0] if short_too or close <= SHORT_NEAR else self.narrowest[1]
        beyond = 60 + 0.3 * far
        x0 = min(float(s.states.x[ids].min()), self.cells.pin[0]) - beyond
        x1 = max(float(s.states.x[ids].max()), self.cells.pin[0]) + beyond
        return self._timed("mix", self.pyramids.mix, float(s.value[ids].mean()), first, x0, x1)

    def decide(self, s: Search, ids: Ints, halvings: int = 4) -> None:
        """Look coarsely from these spots, and refine the aims of the candidates."""
        f, t, p = self.fields, s.states, self.player
        mixed = self.mixed(s, ids)
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
        s.more[ids] = 0
        s.more_out[ids] = 0
        self.prepare(s, ids)

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

    def measure(self, s: Search, ids: Ints) -> None:
        """Work out what runs and tails add to the quick answers of these spots' candidates."""
        asked, p, f = self.questions(s, ids, s.shot.shape[1]), self.player, self.fields
        eu, eo = np.zeros(asked.n, np.float32), np.zeros(asked.n, np.float32)
        self.kernel.turn(asked.number, asked.number[3].copy(), np.float32(0))
        for run in (self.running.profiles.like, p.run):
            kinds = asked.number[6].copy()
            given = (True, True, asked.whole, asked.number, asked.sums, eu, eo)
            self._timed("ask", self.kernel.ask, f, p.quick, run, *given)
        asked.number[6] -= kinds
        full_u, full_o = self._timed("runs", self.running.means, asked.whole, asked.number, eo)
        self.kernel.keep(asked.who, full_u - eu, s.more)
        self.kernel.keep(asked.who, full_o - eo, s.more_out)

    def prepare(self, s: Search, ids: Ints) -> Asked:
        """Work out moves and flags of these spots' candidates, and take the first of them."""
        asked, p = self.questions(s, ids, s.shot.shape[1]), self.player
        eu, eo = np.zeros(asked.n, np.float32), np.zeros(asked.n, np.float32)
        self.kernel.turn(asked.number, asked.number[3].copy(), np.float32(0))
        self._timed(
            "ask", self.kernel.ask, self.fields, p.quick, p.run, True, True, asked.whole, asked.number,
            asked.sums, eu, eo,
        )  # fmt: skip
        self.kernel.keep(asked.who, eo, s.flag)
        np.clip(s.flag + s.more_out, 0, 1, out=s.flag)
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
            self.decide(s, ids)
            self.update(s, x0, x1)
        self.measure(s, ids)
        asked = self.prepare(s, ids)
        self.update(s, x0, x1)
        for _ in range(3 if first else 0):
            self.sweep(s, ids, asked)
            self.update(s, x0, x1)

    def on_raster(self, grid: Search, kept: int, most: int) -> tuple[Search, int, float]:
        """Carry the grid's candidates to every cell and sweep until nothing moves."""
        s = self._timed("carry", self._carried, grid, kept)
        self.update(s)
        asked = self.prepare(s, s.by_lie)
        self.update(s)
        return s, *self.settle(s, asked, most)

    def at_tee(self, s: Search) -> None:
        """Take the tee's candidates by the exact definition: every round begins with that one state."""
        tee = np.array([s.states.tee])
        asked = self.questions(s, tee, s.shot.shape[1])
        self.kernel.turn(asked.number, asked.number[3].copy(), np.float32(0))
        eu, eo = self.sums(asked.whole, asked.number, TEE_SIDE)
        strokes = strokes_of(eu, eo)
        first = int(strokes.argmin())
        s.value[tee], s.choice[tee] = strokes[first], asked.who[first] & 7

    def sums(
        self, whole: Ints, number: Singles, side: int
    ) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """E[U] and the chance of the flag by dense sums of the exact definition."""
        z, w = hermite(RUNS)
        p, eu, eo = self.player, np.zeros(whole.shape[1]), np.zeros(whole.shape[1])
        self._timed(
            "sums", self.exact.dense, self.turf, self.pyramids.at_rest(), self.flags, p.quick, p.run, p.parts,
            whole, number, side, z, w, eu, eo,
        )  # fmt: skip
        return eu, eo

    def rework(self, s: Search, ids: Ints, most: int) -> tuple[int, float]:
        """Measure these spots anew with the values as they are now, and sweep until nothing moves."""
        self.measure(s, ids)
        asked = self.prepare(s, s.by_lie)
        self.update(s)
        return self.settle(s, asked, most)

    def _carried(self, grid: Search, kept: int) -> Search:
        g, t = self.cells, grid.states
        s = search_of(on_raster(g.raster.lie, g.tee), g, kept)
        played = np.flatnonzero(lies_played(g.raster.lie).ravel() <= 5)
        node = np.append(t.slot[played, t.weight[played].argmax(1)], t.tee)
        order = ranked(grid)[node]
        at = node[:, None]
        s.shot[:] = grid.shot[at, order][:, :kept]
        turned = (s.bearing - grid.bearing[node])[:, None]
        s.aim[:] = grid.aim[at, order][:, :kept] + turned.astype(np.float32)
        s.more[:] = grid.more[at, order][:, :kept]
        s.more_out[:] = grid.more_out[at, order][:, :kept]
        s.value[:-1] = (t.weight[played] * grid.value[t.slot[played]]).sum(1)
        s.value[-1] = grid.value[t.tee]
        return s


def strokes_of(eu: NDArray[Any], eo: NDArray[Any]) -> NDArray[Any]:
    """Strokes from a spot by E[U] and the chance of stroke and distance: then the shot is played again."""
    found: NDArray[Any] = (1.0 + eu) / (1.0 - np.minimum(eo, HOPELESS))
    return found


def _narrowest(player: Player) -> tuple[int, int]:
    """Narrowest level that any shot reads in a coarse look, and any shot that is not short."""
    q = player.coarse
    used = np.arange(q.level.shape[2]) < q.count[..., None]
    level = np.where(used, q.level, WIDTHS - 1).min(-1)
    long = player.allowed & (player.reach >= SHORT)
    return int(level[player.allowed].min()), int(level[long].min()) if long.any() else WIDTHS - 1
