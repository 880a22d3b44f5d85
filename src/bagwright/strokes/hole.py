"""One hole's values: a small grid of spots from the pin to the tee, then every cell of the raster."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from time import thread_time
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagwright.strokes.balls import Balls, balls_of, means, variants
from bagwright.strokes.blur import WIDTHS
from bagwright.strokes.cells import Cells
from bagwright.strokes.fields import Pyramids, turf_of
from bagwright.strokes.probes import Player
from bagwright.strokes.search import Search, search_of
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
FEW, BALLS = (64,) * 4, (320,) * 4
"""Balls of each part of a pattern: to choose and measure candidates in their band, and in the end."""
MANY, TEE = (1024,) * 4, (16384,) * 4
"""The same for close sums: of the certificate and of aims at the tee, and of the tee itself."""
CLOSE = 0.1
"""Candidates this near the first by the quick answer, strokes, are measured: what that leaves out differs by
0.03 to 0.04 from shot to shot (sd, two holes). Once all are measured, others follow and more are dropped:"""
FOLLOW, BEHIND = 0.06, 0.03
"""... a neighbour's candidates, and in the end."""
FOLLOWERS_STEP = np.float32(math.radians(4))


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

    def only(self, which: NDArray[np.bool_]) -> Asked:
        """Some of them, as sorted as they were."""
        before = np.concatenate([[0], np.cumsum(which)])
        whole, number = np.compress(which, self.whole, axis=1), np.compress(which, self.number, axis=1)
        return Asked(self.who[which], whole, number, before[self.sums])


class Solver:
    """Decisions on one hole for one player."""

    def __init__(self, cells: Cells, player: Player, pulse: Callable[[], None] = lambda: None) -> None:
        from bagwright.strokes import _kernel_search

        self.kernel = _kernel_search
        self.cells, self.player, self.pulse = cells, player, pulse
        self.seconds: dict[str, float] = {}
        self.pyramids = self._timed("fields", Pyramids, cells, player)
        self.fields = self.pyramids.fields_now
        self.turf = turf_of(cells)
        self.few, self.balls = balls_of(player, FEW), balls_of(player, BALLS)
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
            *self._timed("sort", self.kernel.flatten, ids, kept, s.shot, s.aim, t.x, t.y, s.height, t.lie, n)
        )

    def mixed(self, s: Search, ids: Ints, short_too: bool = False) -> Any:
        """The field that a coarse look from these spots reads; `short_too`: for short shots everywhere."""
        close, far = float(s.away[ids].min()), float(s.away[ids].max())
        first = self.narrowest[0] if short_too or close <= SHORT_NEAR else self.narrowest[1]
        beyond = 60 + 0.3 * far
        x0 = min(float(s.states.x[ids].min()), self.cells.pin[0]) - beyond
        x1 = max(float(s.states.x[ids].max()), self.cells.pin[0]) + beyond
        return self._timed("mix", self.pyramids.mix, float(s.value[ids].mean()), first, x0, x1)

    def decide(self, s: Search, ids: Ints) -> None:
        """Look coarsely from these spots, and refine the aims of the candidates."""
        if not len(ids):
            return
        f, t, p = self.fields, s.states, self.player
        mixed = self.mixed(s, ids)
        self._timed(
            "scan", self.kernel.scan, f, p.coarse, p.run, mixed, np.float32(1 / self.pyramids.scale), ids,
            t.x, t.y, s.height, t.lie, s.bearing, s.away, p.reach, AIMS, p.allowed, OVER, s.shot, s.aim,
        )  # fmt: skip
        s.more[ids] = 0
        s.more_out[ids] = 0
        self.refine(s, self.questions(s, ids, s.shot.shape[1]), STEP, 4, CLOSE)

    def follow(self, s: Search, ids: Ints, near: Ints) -> Ints:
        """Take the neighbours' measured candidates, and refine their aims; gives spots that found none."""
        bare = np.zeros(len(ids), np.bool_)
        self.kernel.take(
            ids,
            near,
            np.float32(FOLLOW),
            s.bearing,
            s.shot,
            s.aim,
            s.worth,
            s.value,
            s.more,
            s.more_out,
            bare,
        )
        self.refine(s, self.questions(s, ids, s.shot.shape[1]), FOLLOWERS_STEP, 3, BEHIND)
        return ids[bare]

    def refine(self, s: Search, asked: Asked, step: np.float32, halvings: int, close: float) -> None:
        """Refine the aims of candidates; forget those that are then far behind the first of their spot."""
        best = self._timed(
            "refine", self.kernel.refine, self.fields, self.player.quick, self.player.run, asked.whole,
            asked.number, asked.sums, step, halvings,
        )  # fmt: skip
        self.kernel.keep(asked.who, asked.number[3], s.aim)
        spot, rank = asked.who >> 3, asked.who & 7
        found = best + s.more[spot, rank]
        least = np.full(s.states.n, np.inf, np.float32)
        np.minimum.at(least, spot, found)
        far = found > least[spot] + np.float32(close)
        s.shot[spot[far], rank[far]] = -1

    def look(self, s: Search, ids: Ints, balls: Balls | None) -> Asked:
        """Work out moves and flags of these spots' candidates, and take the first of them."""
        asked = self.questions(s, ids, s.shot.shape[1])
        self.kernel.turn(asked.number, asked.number[3].copy(), np.float32(0))
        self.answer(s, asked, ids, True, balls)
        return asked

    def answer(self, s: Search, asked: Asked, ids: Ints, moving: bool, balls: Balls | None) -> None:
        """Answer all candidates of spots, and take the first of them.

        `moving`: their moves are worked out. What runs, tails and the ground's shape add to the quick answers
        is measured by single `balls`; without, it stays as it was.
        """
        eu, eo = np.zeros(asked.n, np.float32), np.zeros(asked.n, np.float32)
        self._timed(
            "ask", self.kernel.ask, self.fields, self.player.quick, self.player.run, moving, True,
            asked.whole, asked.number, asked.sums, eu, eo,
        )  # fmt: skip
        if balls is not None:
            full_u, full_o = self.means(asked.whole, asked.number, balls, asked.who >> 3)
            self.kernel.keep(asked.who, full_u - eu, s.more)
            self.kernel.keep(asked.who, full_o - eo, s.more_out)
        flag = np.clip(eo + s.more_out[asked.who >> 3, asked.who & 7], 0, 1)
        self.kernel.keep(asked.who, flag, s.flag)
        self.choose(s, asked, eu, ids)

    def choose(self, s: Search, asked: Asked, eu: Singles, ids: Ints) -> None:
        """Take the first of these spots' candidates, whose quick means of U - 1 are given."""
        self.kernel.settle(asked.who, eu, s.flag, s.more, ids, s.worth, s.value, s.choice)

    def means(self, whole: Ints, number: Singles, balls: Balls, spot: Ints) -> tuple[Singles, Singles]:
        """E[U] - 1 and the chance of the flag of questions by single balls; `spot` numbers their spots."""
        found: tuple[Singles, Singles] = self._timed(
            "balls", means, self.turf, self.player, balls, self.pyramids.rest, whole, number, variants(spot)
        )
        return found

    def sweep(self, s: Search, ids: Ints, asked: Asked) -> None:
        """Take the best of the known candidates anew, aims kept."""
        eu, eo, p = np.zeros(asked.n, np.float32), np.zeros(1, np.float32), self.player
        self._timed(
            "sweep", self.kernel.ask, self.fields, p.quick, p.run, False, False, asked.whole, asked.number,
            asked.sums, eu, eo,
        )  # fmt: skip
        self.choose(s, asked, eu, ids)

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
        lead, near = s.states.lead.copy(), np.empty((s.states.n, 3), np.int64)
        self._timed("near", self.kernel.neighbours, s.states.x, s.states.y, s.states.lie, s.away, lead, near)
        self.update(s)
        low = 0.0
        for high in BANDS:
            ids = s.by_lie[(s.away[s.by_lie] >= low) & (s.away[s.by_lie] < high)]
            if len(ids):
                self._band(s, ids[lead[ids]], ids[~lead[ids]], near, low == 0)
            low = high
        # Once more: where bands ended, balls came to rest among spots that were not decided yet.
        self._drop(s, self.questions(s, s.by_lie, s.shot.shape[1]), BEHIND)
        self.look(s, s.by_lie, self.balls)
        return s

    def _band(self, s: Search, leads: Ints, others: Ints, near: Ints, first: bool) -> None:
        both = np.concatenate([leads, others])
        both = both[np.argsort(s.states.lie[both], kind="stable")]
        x0, x1 = float(s.states.x[both].min()) - 12, float(s.states.x[both].max()) + 12
        for _ in range(2 if first else 1):
            self.decide(s, leads)
            self.look(s, leads, None)
            self._between(s, others, near)
            self.update(s, x0, x1)
        self.look(s, leads, self.few)
        self.decide(s, self.follow(s, others, near))
        self.look(s, others, None)
        self.update(s, x0, x1)
        self._drop(s, self.questions(s, both, s.shot.shape[1]), FOLLOW)
        asked = self.look(s, both, self.few)
        self.update(s, x0, x1)
        for _ in range(3 if first else 0):
            self.sweep(s, both, asked)
            self.update(s, x0, x1)

    def _between(self, s: Search, ids: Ints, near: Ints) -> None:
        """Give spots that are not decided yet the mean value of their neighbours."""
        j = near[ids]
        known = (j >= 0) & (s.shot[j] >= 0).any(-1)
        count = known.sum(1)
        mean = np.where(known, s.value[j], 0).sum(1) / np.maximum(count, 1)
        s.value[ids] = np.where(count > 0, mean, s.value[ids])

    def _drop(self, s: Search, asked: Asked, behind: float) -> NDArray[np.bool_]:
        """Forget candidates that are so far behind the first of their spot; says which are left."""
        spot, rank = asked.who >> 3, asked.who & 7
        near: NDArray[np.bool_] = s.worth[spot, rank] <= s.value[spot] + np.float32(behind)
        s.shot[spot[~near], rank[~near]] = -1
        return near

    def on_raster(self, grid: Search, kept: int, most: int) -> tuple[Search, int, float]:
        """Carry the grid's candidates to every cell and sweep until nothing moves.

        Gives the cells, the number of sweeps and the last change.
        """
        s = self._timed("carry", self._carried, grid, kept)
        self.update(s)
        asked = self.look(s, s.by_lie, None)
        asked = asked.only(self._drop(s, asked, BEHIND))
        self.update(s)
        return s, *self.settle(s, asked, most)

    def _carried(self, grid: Search, kept: int) -> Search:
        g, t = self.cells, grid.states
        s = search_of(on_raster(g.raster.lie, g.tee), g, kept)
        played = np.flatnonzero(lies_played(g.raster.lie).ravel() <= 5)
        slot, weight = np.vstack([t.slot, np.full((1, 4), t.tee)]), np.vstack([t.weight, [[1, 0, 0, 0]]])
        cells = np.append(played, len(slot) - 1)
        self.kernel.carry(
            cells, slot.astype(np.int32), weight.astype(np.float32), np.float32(FOLLOW), grid.bearing,
            grid.shot, grid.aim, grid.worth, grid.value, grid.more, grid.more_out, s.bearing, s.shot, s.aim,
            s.more, s.more_out,
        )  # fmt: skip
        s.value[:-1] = (t.weight[played] * grid.value[t.slot[played]]).sum(1)
        s.value[-1] = grid.value[t.tee]
        return s


def strokes_of(eu: NDArray[Any], eo: NDArray[Any]) -> NDArray[Any]:
    """Strokes from a spot by E[U] - 1 and the chance of stroke and distance: then it is played again."""
    found: NDArray[Any] = (2.0 + eu) / (1.0 - np.minimum(eo, HOPELESS))
    return found


def _narrowest(player: Player) -> tuple[int, int]:
    """Narrowest level that any shot reads in a coarse look, and any shot that is not short."""
    q = player.coarse
    used = np.arange(q.level.shape[2]) < q.count[..., None]
    level = np.where(used, q.level, WIDTHS - 1).min(-1)
    long = player.allowed & (player.reach >= SHORT)
    return int(level[player.allowed].min()), int(level[long].min()) if long.any() else WIDTHS - 1
