"""What is swapped for one course, tee or wind alone, against the bag that is best for all of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagwright.pick.problem import Problem
from bagwright.pick.search import Search, Strokes
from bagwright.pick.wish import Limits

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Swap:
    """The best bag of one scene beside the bag that was picked.

    `strokes` a round there with the scene's own best bag `clubs`; `saves` is what swapping saves there
    against the picked bag. `proven` says that no allowed bag is better there.
    """

    scene: str
    clubs: tuple[str, ...]
    strokes: float
    saves: float
    without: tuple[str, ...]
    instead: tuple[str, ...]
    proven: bool


class OneRound:
    """The holes of one round of a problem, played as if there were no other."""

    def __init__(self, source: Strokes, problem: Problem, number: int) -> None:
        self._source = source
        self._mine = problem.hole_round == number
        self._weight = problem.rounds[number].weight

    def holes(self, bags: Sequence[int]) -> Floats:
        """Strokes of its holes (bags, holes)."""
        return np.asarray(self._source.holes(bags)[:, self._mine] / self._weight)


def swap_of(
    scene: str, problem: Problem, source: Strokes, limits: Limits, picked: int, stop: Callable[[], bool]
) -> Swap:
    """The best bag of a scene against the picked one, both allowed by these limits."""
    search = Search(source, limits, 0.0)
    search.run(lambda standing: stop())
    strokes = float(search.known.strokes([picked])[0])
    best = search.best
    return Swap(
        scene, problem.names(best), search.strokes, max(0.0, strokes - search.strokes),
        problem.names(picked & ~best), problem.names(best & ~picked), search.proven,
    )  # fmt: skip


def swaps_of(
    problem: Problem, source: Strokes, limits: Limits, picked: int, stop: Callable[[], bool] = lambda: False
) -> tuple[Swap, ...]:
    """Every round's own best bag; none where there is only one round, whose best bag is the picked one."""
    if len(problem.rounds) < 2:
        return ()
    return tuple(
        swap_of(one.name, problem, OneRound(source, problem, number), limits, picked, stop)
        for number, one in enumerate(problem.rounds)
        if one.weight > 0.0
    )
