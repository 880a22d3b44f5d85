"""Strokes of many bags at once on an NVIDIA card: the same finite problem, for going through every bag.

Only asked for: nothing else of the package imports this. It needs the library CuPy and a card with its driver
(see `bagwright.strokes.on_card`). Sums are of single precision as on the processor, in another order: both
differed by at most 2e-5 strokes a round on the demo course (512 random bags, docs/benchmarks.md).
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagwright.errors import InputError, MachineError
from bagwright.pick.evaluate import SWEEPS
from bagwright.pick.problem import Problem
from bagwright.strokes.on_card import library
from bagwright.words import tell

Floats = NDArray[np.float64]

LANES, BAGS = 32, 64
"""Lanes of a warp, and bags of a block, as in the kernel."""
WARPS = 32
"""Warps of a block, the most of the kernel."""
AT_ONCE = 65536
"""Bags brought to the card at a time."""
STILL = 1e-4
"""Change of a value, strokes, below which a sweep was the last: how short a round is then is measured."""
OWN = 10240
"""Bytes of a block's memory that the kernel takes for itself, at most."""
NEIGHBOURS = 3
"""Spots that are taken together come from so many times as many neighbours."""
ENDS = 2**31


class CardEvaluator:
    """Works out bags of one problem on a card, as `Evaluator` on the processor. For one caller at a time."""

    def __init__(self, problem: Problem, at_once: int = AT_ONCE) -> None:
        """Bring the problem to the card. Raises MachineError without one, or where it is too large for it."""
        if max(len(problem.next), len(problem.spot_x_m) * BAGS) >= ENDS:
            raise MachineError(
                tell("The problem has more entries than a card counts."),
                tell("Work it out on the processor."),
            )
        self.cupy = library()
        self.problem, self.at_once = problem, at_once
        self.still, self.warps = STILL, WARPS
        self.everything = problem.everything
        self.evaluations = 0
        self.residual = 0.0
        """Largest last change of a value in any sweep so far, strokes."""
        self.sweeps = 0
        """Sweeps over a hole so far, each of BAGS bags."""
        source = (files("bagwright.pick.card") / "bags.cu").read_text(encoding="utf-8")
        self.kernel = self.cupy.RawModule(code=source, options=("-std=c++17",)).get_function("strokes_of")
        _, arrays = arrays_of(problem)
        self._kept = [self.cupy.asarray(one) for one in arrays]
        pointers = np.array([one.data.ptr for one in self._kept], np.uint64)
        self._given = self.cupy.asarray(pointers)
        self._make_room()

    def strokes(self, bags: Sequence[int]) -> Floats:
        """Expected strokes (len(bags),) of a weighted round with each bag (bits of the clubs)."""
        return np.asarray(self.holes(bags).sum(1))

    def holes(self, bags: Sequence[int]) -> Floats:
        """Weighted expected strokes (len(bags), h) of every hole; a row adds up to the bag's strokes."""
        p = self.problem
        given = np.asarray(bags, np.uint64)
        if len(given) and int(given.max()) > p.whole:
            raise InputError(
                tell("A bag is a number from 0 to {most}, not {bag}.", most=p.whole, bag=int(given.max())),
                tell("Set one bit for each club of the problem."),
            )
        found = [self._batch(given[k : k + self.at_once]) for k in range(0, len(given), self.at_once)]
        self.evaluations += len(given)
        more = np.concatenate(found) if found else np.zeros((0, len(p.tee)))
        return np.asarray((more + p.tee_strokes) * p.hole_weight)

    def _make_room(self) -> None:
        """Values lie in the memory of a block where they fit, else in the card's."""
        p = self.problem
        self.widest = int(np.diff(p.first_spot).max())
        size = self.widest * BAGS * 4
        most = int(self.cupy.cuda.Device().attributes["MaxSharedMemoryPerBlockOptin"])
        self.inside = size + OWN <= most
        blocks = len(p.tee) * -(-self.at_once // BAGS)
        self._shared = size if self.inside else 0
        if self.inside:
            self.kernel.max_dynamic_shared_size_bytes = size
        self._room = None if self.inside else self.cupy.zeros(blocks * self.widest * BAGS, np.float32)
        self._left = self.cupy.zeros(blocks, np.float32)
        self._swept = self.cupy.zeros(blocks, np.int32)

    def _batch(self, bags: NDArray[np.uint64]) -> Floats:
        """D at the tees (bags, h), at most `at_once` of them."""
        count, holes = len(bags), len(self.problem.tee)
        out = self.cupy.zeros((count, holes), np.float32)
        groups = -(-count // BAGS)
        room = np.uint64(0) if self._room is None else self._room
        self.kernel(
            (holes, groups), (32 * self.warps,),
            (self._given, self.cupy.asarray(bags), np.int32(count), np.float32(self.still), np.int32(SWEEPS),
             np.int32(self.widest), room, out, self._left, self._swept),
            shared_mem=self._shared,
        )  # fmt: skip
        self.residual = max(self.residual, float(self._left[: holes * groups].max()))
        self.sweeps += int(self._swept[: holes * groups].sum())
        found: Any = out.get()
        return np.asarray(found, float)


def arrays_of(problem: Problem) -> tuple[NDArray[np.int64], list[NDArray[Any]]]:
    """The holes, those with most entries first, and the arrays as the kernel's struct has them.

    An option is the bits of its cost, its club, its first entry and their end. An entry is the place of its
    spot's numbers within the hole, and the bits of its chance.
    """
    p = problem
    ends = p.first_entry[p.first_option[p.first_spot]]
    order = np.argsort(-np.diff(ends), kind="stable")
    entry = np.empty((len(p.next), 2), np.int32)
    entry[:, 0] = (p.next - np.repeat(p.first_spot[:-1], np.diff(ends))) * LANES
    entry[:, 1] = p.chance.view(np.int32)
    option = np.stack([p.cost.view(np.int32), p.club, p.first_entry[:-1], p.first_entry[1:]], 1)
    turn = np.concatenate([
        turn_of(p, int(a), int(b)) for a, b in itertools.pairwise(p.first_spot)
    ])  # fmt: skip
    own_tee = (p.tee - p.first_spot[:-1]).astype(np.int32)
    given = [
        order.astype(np.int32), p.first_spot.astype(np.int32), own_tee, turn, p.first_option.astype(np.int32),
        option.astype(np.int32), entry,
    ]  # fmt: skip
    return order, given


def turn_of(problem: Problem, first: int, last: int) -> NDArray[np.int32]:
    """The order in which a hole's spots are taken: near to far, and by their work within a neighbourhood."""
    p, spots = problem, np.arange(first, last)
    ends = np.minimum(p.first_option[first:last] + 3, p.first_option[first + 1 : last + 1])
    work = p.first_entry[ends] - p.first_entry[p.first_option[first:last]]
    return spots[np.lexsort((-work, (spots - first) // (NEIGHBOURS * WARPS)))].astype(np.int32)
