"""Options of one hole by single balls: what they cost, where they lead, and which spots are come to."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagwright.strokes.balls import balls_of, ends, variants
from bagwright.strokes.cells import CONSTANT, FLAG, RELIEF, Cells
from bagwright.strokes.hole import Solver, strokes_of
from bagwright.strokes.probes import MISHIT
from bagwright.strokes.states import States

Ints = NDArray[np.int64]
Small = NDArray[np.int32]
Singles = NDArray[np.float32]
Floats = NDArray[np.float64]

ROOM = 1 << 19
"""Balls that are looked at together."""
FEW = 32
"""Balls of each part for the first look at where options lead."""
LOOSE = 0.15
"""Softness of the choice among options that says which spots any bag comes to, strokes: judgement."""


@dataclass
class Options:
    """Options sorted by spot: who (spot), club, the kernels' questions, and quick strokes."""

    spot: Ints
    club: Ints
    whole: Ints
    number: Singles
    strokes: Floats

    def take(self, which: NDArray[np.bool_] | Ints) -> Options:
        """Some of them."""
        return Options(
            self.spot[which], self.club[which], np.ascontiguousarray(self.whole[:, which]),
            np.ascontiguousarray(self.number[:, which]), self.strokes[which],
        )  # fmt: skip


def readers(cells: Cells, states: States) -> tuple[Small, Singles]:
    """For every cell where a ball ends up, the four spots it counts for and their weights.

    Relief is in it; holed out on a green, or out of bounds, it counts for none: weights 0.
    """
    at = np.where(cells.kind == RELIEF, cells.relief, np.arange(cells.kind.size))
    slot, weight = states.slot[at].copy(), states.weight[at].copy()
    weight[(cells.kind[at] == CONSTANT) | (cells.kind[at] == FLAG)] = 0
    return slot, weight


def visited(
    solver: Solver, states: States, options: Options, reading: tuple[Small, Singles], tolerance: float
) -> Floats:
    """How often some bag may come to each spot in one playing of the hole: options chosen softly."""
    from scipy.sparse import csr_array

    every = np.ones(states.n, bool)
    few = np.full(len(options.spot), FEW)
    first, to, chance = entries(solver, options, reading, every, few, tolerance)
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
    times[np.bincount(options.spot, minlength=states.n) == 0] = 0.0
    return times


def _least(options: Options, n: int) -> Floats:
    """The fewest strokes of each option's spot."""
    least = np.full(n, np.inf)
    np.minimum.at(least, options.spot, options.strokes)
    return np.asarray(least[options.spot])


def entries(
    solver: Solver, options: Options, reading: tuple[Small, Singles], keep: NDArray[np.bool_],
    balls: Ints, tolerance: float,
) -> tuple[Ints, Small, Singles]:  # fmt: skip
    """Where each option leads by so many `balls` of each part, as entries of a sparse matrix."""
    from bagwright.pick import _kernel_rows

    n, parts, order = len(keep), [], []
    lengths = np.zeros(len(balls), np.int64)
    flagged = solver.cells.kind == FLAG
    for which, count in batches(balls):
        solver.pulse()
        some, sets = options.take(which), balls_of(solver.player, counts_of(count))
        cells, share = ends(solver.turf, solver.player, sets, some.whole, some.number, variants(some.spot))
        start, room = np.zeros(len(which) + 1, np.int64), len(which) * min(n, 4 * sets.most)
        to, chance = np.empty(room, np.int32), np.empty(room, np.float32)
        _kernel_rows.rows(cells, share, flagged, *reading, keep, np.float32(tolerance), start, to, chance)
        parts.append((to[: start[-1]], chance[: start[-1]]))
        lengths[which] = np.diff(start)
        order.append(which)
    first = np.concatenate([[0], np.cumsum(lengths)]).astype(np.int64)
    back = places(first, np.concatenate(order))
    whole_to, whole_chance = np.empty(first[-1], np.int32), np.empty(first[-1], np.float32)
    whole_to[back] = np.concatenate([a for a, _ in parts])
    whole_chance[back] = np.concatenate([b for _, b in parts])
    return first, whole_to, whole_chance


def places(first: Ints, rows: Ints) -> Ints:
    """Places of the entries of some rows, row after row, where `first` are the starts of all rows."""
    lengths = np.diff(first)[rows]
    begin = np.cumsum(lengths) - lengths
    found: Ints = np.repeat(first[rows] - begin, lengths) + np.arange(int(lengths.sum()))
    return found


def batches(balls: Ints) -> Iterator[tuple[Ints, int]]:
    """Options of one number of balls, not too many at once."""
    for count in np.unique(balls):
        which = np.flatnonzero(balls == count)
        size = max(ROOM // int(count), 1)
        for a in range(0, len(which), size):
            yield which[a : a + size], int(count)


def counts_of(count: int) -> tuple[int, ...]:
    """So many balls of each solid part, and half as many mishits."""
    return (count,) * MISHIT + ((count + 1) // 2,)


def balls_by(times: Floats, each: float, low: int, high: int) -> Ints:
    """Balls by how often a spot is come to: powers of 2 between two of them."""
    wanted = np.clip(times * each, low, high)
    return np.asarray(2 ** np.round(np.log2(wanted)), np.int64)


def measured(solver: Solver, options: Options, times: Floats, each: float, gap: float) -> Options:
    """Strokes of every option by single balls; only the best swing of each club, within the gap, is left.

    `each` are balls for each time that a spot is come to.
    """
    eu, eo = np.zeros(len(options.spot)), np.zeros(len(options.spot))
    for which, count in batches(balls_by(times[options.spot], each, 128, 16384)):
        solver.pulse()
        some = options.take(which)
        sets = balls_of(solver.player, counts_of(count))
        eu[which], eo[which] = solver.means(some.whole, some.number, sets, some.spot)
    options.strokes = strokes_of(eu, eo)
    options = options.take(np.lexsort((options.strokes, options.spot)))
    near = options.strokes <= _least(options, int(options.spot.max()) + 1) + gap
    return firsts(options.take(near))


def firsts(options: Options) -> Options:
    """The first swing of each club at each spot by its strokes, in the order that they are given."""
    order = np.lexsort((options.strokes, options.club, options.spot))
    spot, club = options.spot[order], options.club[order]
    first = np.append(True, (np.diff(spot) != 0) | (np.diff(club) != 0))
    return options.take(np.sort(order[first]))
