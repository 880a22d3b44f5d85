"""One hole of the problem: solved with all clubs, then each club's options and where they lead."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagwright.course.raster import Raster
from bagwright.pick.aims import aimed
from bagwright.pick.options import Looked, look
from bagwright.pick.problem import FALLBACK
from bagwright.pick.rows import Options, balls_by, entries, firsts, measured, places, readers, visited
from bagwright.pick.sway import Settings, responses
from bagwright.strokes.cells import Cells, cells_of, check_playable
from bagwright.strokes.hole import Solver
from bagwright.strokes.patterns import PatternTable
from bagwright.strokes.probes import Player
from bagwright.strokes.search import Search, search_of
from bagwright.strokes.solve import KEPT, SWEEPS, StoppedError
from bagwright.strokes.states import on_grid

Ints = NDArray[np.int64]
Small = NDArray[np.int32]
Singles = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Fineness:
    """How finely the problem is stated; steps in cells (yards), gaps in strokes.

    Steps and balls by what bags differ by as solved anew (docs/benchmarks.md), the rest judgement.
    """

    step: float = 18.0
    step_near: float = 7.0
    near: float = 42.0
    """Half the side of the finer grid about the pin."""
    most_clubs: int = 10
    gap: float = 0.6
    """Clubs that cost more than this above the first are not kept at a spot."""
    slack: float = 0.25
    """What the quick look may be off by: so much more is measured."""
    balls: float = 2e5
    """Balls of each part for an option's strokes, for each time a round that its spot is come to."""
    aim_balls: float = 2e4
    """The same for each aim that is tried."""
    often: float = 0.01
    """Aims are refined by balls at spots that a round comes to more often than this."""
    row_balls: float = 5e3
    """The same for where an option leads: D is smooth."""
    tolerance: float = 5e-3
    """Entries below this share of a row's largest are shared out."""
    visited: float = 3e-4
    """Spots that are come to less often, whatever is carried, are no spots: others stand for them."""


USUAL = Fineness()
BEYOND = 0.3
"""What the fallback costs more than a spot's last kept option, strokes: judgement; it must be dear."""


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
    response: Singles
    """(options, nodes): what an option costs more as its club's pattern differs; no nodes where not asked."""


def rows_of_hole(
    raster: Raster, table: PatternTable, player: Player, club_of: Ints, stop: Callable[[], bool],
    fineness: Fineness, local_rule_e5: bool, settings: Settings | None = None,
) -> HoleRows:  # fmt: skip
    """Solve a hole with all clubs and state what each club can do; `club_of` (shots,) numbers the clubs.

    With `settings` the options are measured again as the clubs' patterns differ.
    """

    def pulse() -> None:
        if stop():
            raise StoppedError

    cells = cells_of(raster, table, local_rule_e5)
    check_playable(cells, table.allowed)
    solver = Solver(cells, player, pulse)
    grid = solver.on_grid()
    solver.on_raster(grid, KEPT, SWEEPS)
    return state(solver, grid, club_of, fineness, settings)


def state(
    solver: Solver, grid: Search, club_of: Ints, fineness: Fineness, settings: Settings | None = None
) -> HoleRows:
    """State a hole whose values with all clubs stand in the solver's fields; `grid` as it was solved."""
    cells = solver.cells
    spots = _spots(cells, grid, fineness)
    clubs = int(club_of.max()) + 1
    options = _worth_a_look(look(solver, spots, club_of, clubs), spots, club_of, fineness)
    reading = readers(cells, spots.states)
    times = visited(solver, spots.states, firsts(options), reading, fineness.tolerance)
    kept = times > fineness.visited
    options = aimed(solver, options.take(kept[options.spot]), times, fineness.often, fineness.aim_balls)
    options = measured(solver, options, times, fineness.balls, fineness.gap)
    return _stated(solver, spots, options, times, reading, fineness, settings)


def _spots(cells: Cells, grid: Search, fineness: Fineness) -> Search:
    """The problem's own spots; their values only tell a coarse look what is typical."""
    steps = (fineness.step, fineness.step_near, fineness.near)
    spots = search_of(on_grid(cells.raster.lie, cells.tee, cells.pin, steps), cells, grid.shot.shape[1])
    spots.value[:] = np.interp(spots.away, *_typical(grid))
    return spots


def _typical(grid: Search) -> tuple[Singles, Singles]:
    order = np.argsort(grid.away)[::8]
    return grid.away[order], grid.value[order]


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


def _stated(
    solver: Solver, spots: Search, options: Options, times: NDArray[np.float64],
    reading: tuple[Small, Singles], fineness: Fineness, settings: Settings | None,
) -> HoleRows:  # fmt: skip
    """The hole's arrays, spots near to far, each with its fallback last."""
    t, raster, kept = spots.states, solver.cells.raster, times > fineness.visited
    near_first = np.flatnonzero(kept)[np.argsort(spots.away[kept], kind="stable")]
    place = np.full(t.n, -1, np.int64)
    place[near_first] = np.arange(len(near_first))
    options = options.take(np.lexsort((options.strokes, place[options.spot])))
    balls = balls_by(times[options.spot], fineness.row_balls, 16, 1024)
    first, to, chance = entries(solver, options, reading, kept, balls, fineness.tolerance)
    count = np.bincount(place[options.spot], minlength=len(near_first))
    last = np.cumsum(count) - 1
    # Each spot's last option once more, as the fallback.
    source = np.insert(np.arange(len(options.spot)), last + 1, last)
    spare = np.zeros(len(source), bool)
    spare[np.cumsum(count + 1) - 1] = True
    least = np.full(len(near_first), np.inf)
    np.minimum.at(least, place[options.spot], options.strokes)
    cost = options.strokes[source] - least[place[options.spot[source]]] + np.where(spare, BEYOND, 0.0)
    begin = np.concatenate([[0], np.cumsum(np.diff(first)[source])]).astype(np.int64)
    entry = places(first, source)
    sway = responses(solver, options.whole, options.number, options.spot, settings)
    c = raster.cell_m
    return HoleRows(
        tee=int(place[t.tee]), x_m=(raster.x0_m + t.x[near_first] * c).astype(np.float32),
        y_m=(raster.y0_m + t.y[near_first] * c).astype(np.float32), lie=t.lie[near_first].astype(np.int32),
        strokes=least, first_option=np.concatenate([[0], np.cumsum(count + 1)]).astype(np.int64),
        club=np.where(spare, FALLBACK, options.club[source]).astype(np.int32),
        shot=options.whole[1, source].astype(np.int32), aim=options.number[3, source].copy(),
        cost=np.maximum(cost, 0).astype(np.float32), first_entry=begin,
        next=place[to[entry]].astype(np.int32), chance=chance[entry], response=sway[source],
    )  # fmt: skip
