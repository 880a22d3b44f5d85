"""What each club of a bag is worth: the same bag without it, worked out anew."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from bagwright.pick.problem import Problem
from bagwright.pick.result import HoleWorth, TakesOver, Worth
from bagwright.pick.wish import bits

Floats = NDArray[np.float64]

MOST_HOLES, MOST_CLUBS = 3, 3
"""Holes and clubs that are named for one club."""
LEAST_TIMES = 0.05
"""A club that is used less often more than that, a round, is not said to take over (judgement)."""
LEAST_STROKES = 5e-4
"""A hole on which a club saves less is not named (judgement)."""


class Used(Protocol):
    """How often a weighted round uses each club."""

    @property
    def times(self) -> Floats:
        """(n,) times."""


class Works(Protocol):
    """What works bags out: an `Evaluator`."""

    def holes(self, bags: Sequence[int]) -> Floats:
        """Weighted strokes by hole (bags, holes)."""

    def use_of(self, bag: int) -> Used:
        """How often a round uses each club of a bag."""


def worth_of(problem: Problem, works: Works, bag: int) -> tuple[Worth, ...]:
    """What every club of a bag saves, where, and which clubs take over; the most worth first.

    Strokes are those of a weighted round; on a hole those of one playing of it. Decisions are chosen again
    without the club, so these are no estimates but the problem's own numbers.
    """
    clubs = bits(bag)
    rows = works.holes([bag, *(bag & ~(1 << i) for i in clubs)])
    now = works.use_of(bag).times
    found = [
        Worth(
            problem.clubs[i],
            float((row - rows[0]).sum()),
            float(now[i]),
            _holes(problem, row - rows[0]),
            _takes_over(problem, works, bag & ~(1 << i), now),
        )
        for i, row in zip(clubs, rows[1:], strict=True)
    ]
    return tuple(sorted(found, key=lambda one: -one.strokes))


def _holes(problem: Problem, saved: Floats) -> tuple[HoleWorth, ...]:
    each = np.divide(saved, problem.hole_weight, out=np.zeros_like(saved), where=problem.hole_weight > 0)
    order = [int(k) for k in np.argsort(-saved, kind="stable")[:MOST_HOLES] if each[k] > LEAST_STROKES]
    return tuple(
        HoleWorth(problem.rounds[problem.hole_round[k]].name, int(problem.hole_number[k]), float(each[k]))
        for k in order
    )


def _takes_over(problem: Problem, works: Works, without: int, now: Floats) -> tuple[TakesOver, ...]:
    more = works.use_of(without).times - now
    order = [int(i) for i in np.argsort(-more, kind="stable")[:MOST_CLUBS] if more[i] > LEAST_TIMES]
    return tuple(TakesOver(problem.clubs[i], float(more[i])) for i in order)
