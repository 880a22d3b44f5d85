"""One hole of the problem: solved with all clubs, then each club's options and where they lead."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from bagwright.course.raster import Raster
from bagwright.dispersion.points import even_points
from bagwright.pick.options import Looked, look
from bagwright.pick.problem import FALLBACK
from bagwright.strokes.cells import CONSTANT, FLAG, RELIEF, Cells, cells_of, check_playable
from bagwright.strokes.hole import Solver, strokes_of
from bagwright.strokes.patterns import PARTS, PatternTable
from bagwright.strokes.probes import MISHIT, Player
from bagwright.strokes.search import Search, search_of
from bagwright.strokes.solve import KEPT, SWEEPS, StoppedError
from bagwright.strokes.states import States, on_grid

Ints = NDArray[np.int64]
Small = NDArray[np.int32]
Singles = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Fineness:
    """How finely the problem is stated; steps in cells (yards), gaps in strokes."""

    step: float = 12.0
    step_near: float = 4.0
    near: float = 45.0
    """Half the side of the finer grid about the pin."""
    most_clubs: int = 10
    gap: float = 0.6
    """Clubs that cost more than this above the first are not kept at a spot."""
    slack: float = 0.25
    """What the quick look may be off by: so much more is measured."""
    solid: int = 512
    mishits: int = 256
    """Balls of each solid part and of mishits for an option's strokes."""
    row_solid: int = 128
    row_mishits: int = 96
    """Balls for where an option leads: D is smooth."""
    tolerance: float = 1e-3
    """Entries below this share of a row's largest are shared out."""
    visited: float = 1e-4
    """Spots that a round comes to less often, whatever is carried, keep the value with all clubs."""
    on_raster: bool = True
    """Whether values with all clubs come from all cells, or from the solver's grid."""


HALVES = Fineness()
BEYOND = 0.3
"""What the fallback costs more than a spot's last kept option, strokes: judgement; it must be dear."""
LOOSE = 0.15
"""Softness of the choice among options that says which spots any bag comes to, strokes: judgement."""


@dataclass(frozen=True, slots=True)
class HoleRows:
    """One hole's part of a problem, places counted from 0; `strokes` with all clubs (float64)."""

    tee: int
    x_m: Singles
    y_m: Singles
    lie: Small
    strokes: NDArray[np.float64]
    first_option: Ints
    club: Small
    shot: Small
    aim: Singles
    cost: Singles
    first_entry: Ints
    next: Small
    chance: Singles


@dataclass
class Options:
    """Options sorted by spot: who (spot), club, the kernels' questions, and quick strokes."""

    spot: Ints
    club: Ints
    whole: Ints
    number: Singles
    strokes: NDArray[np.float64] = field(default_factory=lambda: np.zeros(0))

    def take(self, which: NDArray[np.bool_] | Ints) -> Options:
        """Some of them."""
        return Options(
            self.spot[which], self.club[which], np.ascontiguousarray(self.whole[:, which]),
            np.ascontiguousarray(self.number[:, which]), self.strokes[which],
        )  # fmt: skip


def rows_of_hole(
    raster: Raster, table: PatternTable, player: Player, club_of: Ints, stop: Callable[[], bool],
    fineness: Fineness, local_rule_e5: bool,
) -> HoleRows:  # fmt: skip
    """Solve a hole with all clubs and state what each club can do; `club_of` (shots,) numbers the clubs."""

    def pulse() -> None:
        if stop():
            raise StoppedError

    cells = cells_of(raster, table, local_rule_e5)
    check_playable(cells, table.allowed)
    solver = Solver(cells, player, pulse)
    grid = solver.on_grid()
    if fineness.on_raster:
        solver.on_raster(grid, KEPT, SWEEPS)
    else:
        solver.update(grid)
    spots = _spots(cells, grid, fineness)
    clubs = int(club_of.max()) + 1
    options = _worth_a_look(look(solver, spots, club_of, clubs), spots, club_of, fineness)
    slot, weight = readers(cells, spots.states)
    _, kept = _visited(solver, spots.states, options, slot, weight, fineness)
    options = _measured(solver, options.take(kept[options.spot]), fineness)
    weight[~kept[slot]] = 0
    return _stated(solver, spots, options, kept, slot, weight, fineness)


def _spots(cells: Cells, grid: Search, fineness: Fineness) -> Search:
    """The problem's own spots; their values only tell a coarse look what is typical."""
    steps = (fineness.step, fineness.step_near, fineness.near)
    spots = search_of(on_grid(cells.raster.lie, cells.tee, cells.pin, steps), cells, grid.shot.shape[1])
    spots.value[:] = np.interp(spots.away, *_typical(grid))
    return spots


def _typical(grid: Search) -> tuple[Singles, Singles]:
    order = np.argsort(grid.away)[::8]
    return grid.away[order], grid.value[order]


def readers(cells: Cells, states: States) -> tuple[Small, Singles]:
    """For every cell where a ball ends up, the four spots it counts for and their weights.

    Relief is in it; holed out on a green, or out of bounds, it counts for none: weights 0.
    """
    at = np.where(cells.kind == RELIEF, cells.relief, np.arange(cells.kind.size))
    slot, weight = states.slot[at].copy(), states.weight[at].copy()
    weight[(cells.kind[at] == CONSTANT) | (cells.kind[at] == FLAG)] = 0
    return slot, weight


def _worth_a_look(looked: Looked, spots: Search, club_of: Ints, fineness: Fineness) -> Options:
    """Swings of the clubs that may be within the gap, at most so many clubs a spot; sorted by spot."""
    best = looked.strokes.min(2)
    least = best.min(1, keepdims=True)
    rank = np.argsort(np.argsort(best, 1, kind="stable"), 1, kind="stable")
    near = (best <= least + fineness.gap + fineness.slack) & (rank < fineness.most_clubs)
    close = looked.strokes <= best[:, :, None] + np.float32(0.5 * fineness.slack)
    spot, club, swing = np.nonzero(near[:, :, None] & close & (looked.shot >= 0))
    shot, t = looked.shot[spot, club, swing], spots.states
    number = np.zeros((8, len(spot)), np.float32)
    number[0], number[1], number[2] = t.x[spot], t.y[spot], spots.height[spot]
    number[3] = looked.aim[spot, club, swing]
    number[4], number[5] = np.cos(number[3]), np.sin(number[3])
    whole = np.stack([t.lie[spot], shot]).astype(np.int64)
    return Options(spot, club, whole, number, looked.strokes[spot, club, swing].astype(float))


def _points(solid: int, mishits: int) -> tuple[Singles, Ints]:
    """Normal scores (3, n) and how many of them each part takes."""
    counts = np.full(PARTS, solid, np.int64)
    counts[MISHIT] = mishits
    return np.ascontiguousarray(ndtri(even_points(int(counts.max()), 3)).T, np.float32), counts


def _visited(
    solver: Solver, states: States, options: Options, slot: Small, weight: Singles, fineness: Fineness
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """How often any bag may come to each spot, and which spots are kept: options chosen softly."""
    from scipy.sparse import csr_array

    first, to, chance = _entries(solver, options, (slot, weight), states.n, (48, 32), fineness.tolerance)
    soft = np.exp(-np.maximum(options.strokes - _least(options, states.n), 0) / LOOSE)
    soft /= np.bincount(options.spot, soft, minlength=states.n)[options.spot]
    choice = csr_array((soft, (options.spot, np.arange(len(soft)))), shape=(states.n, len(soft)))
    onward = (choice @ csr_array((chance, to, first), shape=(len(soft), states.n))).T.tocsr()
    now = np.zeros(states.n)
    now[states.tee] = 1.0
    times = now.copy()
    for _ in range(60):
        now = np.asarray(onward @ now).ravel()
        times += now
        if now.sum() < 1e-6:
            break
    kept = (times > fineness.visited) & np.isin(np.arange(states.n), options.spot)
    return times, kept


def _least(options: Options, n: int) -> NDArray[np.float64]:
    """The fewest strokes of each option's spot."""
    least = np.full(n, np.inf)
    np.minimum.at(least, options.spot, options.strokes)
    return np.asarray(least[options.spot])


def _entries(
    solver: Solver, options: Options, reading: tuple[Small, Singles], n: int, balls: tuple[int, int],
    tolerance: float,
) -> tuple[Ints, Small, Singles]:  # fmt: skip
    """Where each option leads, as entries of a sparse matrix."""
    from bagwright.pick import _kernel_rows

    points, counts = _points(*balls)
    p, parts = solver.player, []
    room = max(4_000_000 // n, 1)
    to, chance = np.empty(room * n, np.int32), np.empty(room * n, np.float32)
    lengths = []
    for a in range(0, len(options.spot), room):
        solver.pulse()
        some = options.take(np.arange(a, min(a + room, len(options.spot))))
        start = np.zeros(len(some.spot) + 1, np.int64)
        _kernel_rows.rows(
            solver.turf, solver.flags, p.quick, p.run, p.parts, some.whole, some.number, points, counts,
            *reading, np.float32(tolerance), n, start, to, chance,
        )  # fmt: skip
        parts.append((to[: start[-1]].copy(), chance[: start[-1]].copy()))
        lengths.append(np.diff(start))
    first = np.concatenate([[0], np.cumsum(np.concatenate(lengths))]).astype(np.int64)
    return first, np.concatenate([a for a, _ in parts]), np.concatenate([b for _, b in parts])


def _measured(solver: Solver, options: Options, fineness: Fineness) -> Options:
    """Strokes of every option by single balls; only the best swing of each club, within the gap, is left."""
    from bagwright.pick import _kernel_rows

    points, counts = _points(fineness.solid, fineness.mishits)
    eu, eo = np.zeros(len(options.spot)), np.zeros(len(options.spot))
    p, size = solver.player, 4096
    u = solver.pyramids.at_rest()
    for a in range(0, len(eu), size):
        solver.pulse()
        some = options.take(np.arange(a, min(a + size, len(eu))))
        _kernel_rows.measure(
            solver.turf, u, solver.flags, p.quick, p.run, p.parts, some.whole, some.number, points, counts,
            eu[a : a + size], eo[a : a + size],
        )  # fmt: skip
    options.strokes = strokes_of(eu, eo)
    order = np.lexsort((options.strokes, options.spot))
    options = options.take(order)
    key = options.spot * 64 + options.club
    _, once = np.unique(key, return_index=True)
    best = np.zeros(len(key), bool)
    best[once] = True
    near = options.strokes <= _least(options, int(options.spot.max()) + 1) + fineness.gap
    return options.take(best & near)


def _stated(
    solver: Solver, spots: Search, options: Options, kept: NDArray[np.bool_], slot: Small, weight: Singles,
    fineness: Fineness,
) -> HoleRows:  # fmt: skip
    """The hole's arrays, spots near to far, each with its fallback last."""
    t, raster = spots.states, solver.cells.raster
    near_first = np.flatnonzero(kept)[np.argsort(spots.away[kept], kind="stable")]
    place = np.full(t.n, -1, np.int64)
    place[near_first] = np.arange(len(near_first))
    options = options.take(np.lexsort((options.strokes, place[options.spot])))
    first, to, chance = _entries(
        solver, options, (slot, weight), t.n, (fineness.row_solid, fineness.row_mishits), fineness.tolerance
    )
    count = np.bincount(place[options.spot], minlength=len(near_first))
    last = np.cumsum(count) - 1
    # Each spot's last option once more, as the fallback.
    source = np.insert(np.arange(len(options.spot)), last + 1, last)
    spare = np.zeros(len(source), bool)
    spare[np.cumsum(count + 1) - 1] = True
    least = np.full(len(near_first), np.inf)
    np.minimum.at(least, place[options.spot], options.strokes)
    cost = options.strokes[source] - least[place[options.spot[source]]] + np.where(spare, BEYOND, 0.0)
    lengths = np.diff(first)[source]
    begin = np.concatenate([[0], np.cumsum(lengths)]).astype(np.int64)
    entry = np.repeat(first[source] - begin[:-1], lengths) + np.arange(begin[-1])
    c = raster.cell_m
    return HoleRows(
        tee=int(place[t.tee]), x_m=(raster.x0_m + t.x[near_first] * c).astype(np.float32),
        y_m=(raster.y0_m + t.y[near_first] * c).astype(np.float32), lie=t.lie[near_first].astype(np.int32),
        strokes=least, first_option=np.concatenate([[0], np.cumsum(count + 1)]).astype(np.int64),
        club=np.where(spare, FALLBACK, options.club[source]).astype(np.int32),
        shot=options.whole[1, source].astype(np.int32), aim=options.number[3, source].copy(),
        cost=np.maximum(cost, 0).astype(np.float32), first_entry=begin,
        next=place[to[entry]].astype(np.int32), chance=chance[entry],
    )  # fmt: skip
