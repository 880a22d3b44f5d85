"""A contested slot on the course: what it does there, and what each build in it costs, before the first ball.

The rest of the bag stays; each build takes the slot in turn, and every decision is chosen anew. Bags are
played under the same draws of what the shots leave open (`sure.Sure`), so that the chance of a build to be
the best one in the slot is known much better than any bag's strokes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from bagwright.course.lies import Lie
from bagwright.estimate import LEVEL, Estimate
from bagwright.pick.evaluate import Evaluator
from bagwright.pick.problem import Problem
from bagwright.pick.wish import WITHIN_STROKES

Floats = NDArray[np.float64]

WORTH_SHARE = 0.25
"""A build with less than this share of the leader's chance that also costs more than `WITHIN_STROKES` is not
worth hitting (judgement, as in the brief from the bag)."""
LEAST_SHARE = 0.05
"""A lie that the slot is played from less often, of its uses, is not asked of it (judgement)."""


class Drawn(Protocol):
    """Bags under draws of what is not known."""

    def strokes(self, bags: Sequence[int]) -> Floats:
        """Strokes a round (draws, bags)."""


@dataclass(frozen=True, slots=True)
class BuildOn:
    """One build in the slot: strokes a round more than with the best one, the chance (0..1) to be the best.

    `more` has the 90 % range over what the shots leave open. `used` is how often a round uses it.
    """

    club: str
    more: Estimate
    chance: float
    used: float
    worth_hitting: bool


@dataclass(frozen=True, slots=True)
class SlotOn:
    """What the slot does on the course with the best build in it.

    `builds` the fewest strokes first. `empty` is what leaving the slot empty costs, strokes a round more.
    `lies` are those that it is played from, each with its share of the uses, the most used first; `full` is
    the share of full shots of them, the rest are pitches and chips.
    """

    builds: tuple[BuildOn, ...]
    empty: Estimate
    lies: tuple[tuple[str, float], ...]
    full: float


def slot_on(
    problem: Problem, works: Evaluator, drawn: Drawn, rest: Sequence[str], builds: Sequence[str]
) -> SlotOn:
    """Each build beside the clubs of `rest`, and the slot left empty.

    Raises InputError for clubs that are not of the problem.
    """
    kept = problem.bag(list(rest)) & ~problem.bag(list(builds))
    bags = [kept | problem.bag([name]) for name in builds]
    exact = works.strokes([*bags, kept])
    strokes = drawn.strokes([*bags, kept])
    best = int(exact[:-1].argmin())
    first = strokes[:, :-1].argmin(1)
    chances = np.bincount(first, minlength=len(bags)) / len(strokes)
    more = [_apart(strokes, exact, k, best) for k in range(len(bags) + 1)]
    uses = [
        float(works.use_of(bag).times[problem.clubs.index(n)]) for bag, n in zip(bags, builds, strict=True)
    ]
    found = [
        BuildOn(name, more[k], float(chances[k]), uses[k], _worth(more[k].value, chances, k))
        for k, name in enumerate(builds)
    ]
    lies, full = _played(problem, works, bags[best], problem.clubs.index(builds[best]))
    return SlotOn(tuple(sorted(found, key=lambda one: one.more.value)), more[-1], lies, full)


def _worth(more: float, chances: Floats, k: int) -> bool:
    return more <= WITHIN_STROKES or bool(chances[k] >= WORTH_SHARE * chances.max())


def _apart(strokes: Floats, exact: Floats, k: int, best: int) -> Estimate:
    """What bag k costs above the best one, the range of the draws laid around it."""
    middle, apart = float(exact[k] - exact[best]), strokes[:, k] - strokes[:, best]
    low, high = np.quantile(apart - apart.mean(), [(1 - LEVEL) / 2, (1 + LEVEL) / 2])
    return Estimate(middle, middle + float(low), middle + float(high))


def _played(
    problem: Problem, works: Evaluator, bag: int, club: int
) -> tuple[tuple[tuple[str, float], ...], float]:
    """Lies that a club of a bag is played from with their shares, and the share of full shots."""
    choice, _ = works.choices(bag)
    weight = np.repeat(problem.hole_weight, np.diff(problem.first_spot))
    times = works.visits(choice) * weight * (problem.club[choice] == club)
    total = float(times.sum())
    if total <= 0.0:
        return (), 0.0
    shares = np.bincount(problem.spot_lie, times, minlength=len(Lie)) / total
    order = [int(k) for k in np.argsort(-shares, kind="stable") if shares[k] >= LEAST_SHARE]
    partial = np.array([shot.length_m is not None for shot in problem.shots])
    full = float(times[~partial[problem.shot[choice]]].sum()) / total
    return tuple((Lie(k).name.lower(), float(shares[k])) for k in order), full
