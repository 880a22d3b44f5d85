"""How sure a pick is over what the shots leave open: near bags, what clubs are worth, buying nothing.

Every bag is played under the same draws of the player's patterns (`sure.Sure`), so that differences are known
much better than the strokes themselves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from bagwright.estimate import LEVEL, Estimate, percent, probability_words
from bagwright.pick.doubt import Doubt
from bagwright.pick.further import Further, further
from bagwright.pick.problem import Problem
from bagwright.pick.result import TIE_STROKES, HowSure, Pick, Worth
from bagwright.pick.route import Route
from bagwright.words import first_upper, tell

Floats = NDArray[np.float64]

FEW_BALLS = (8,)
"""So many further balls of one club are looked at (judgement)."""
LEAST_GAIN = 5e-4
"""Strokes a round that further balls must be worth to be named (judgement)."""
MOST_CLUBS = 3
"""Clubs that are named."""


class Drawn(Protocol):
    """Bags under draws of what is not known."""

    def strokes(self, bags: Sequence[int]) -> Floats:
        """Strokes a round (draws, bags)."""


def with_draws(pick: Pick, problem: Problem, drawn: Drawn, doubt: Doubt | None = None) -> Pick:
    """The pick with the chance of every near bag to be the best of them, and with ranges of worth.

    With the `doubt` that the draws are of, further balls that would move the choice most are named too.
    """
    best = problem.bag(pick.clubs)
    bags = [best, *(problem.bag(one.clubs) for one in pick.runners_up)]
    without = [best & ~problem.bag([one.club]) for one in pick.worth]
    strokes = drawn.strokes([*bags, *without])
    near = strokes[:, : len(bags)]
    chance = np.bincount(near.argmin(1), minlength=len(bags)) / len(near)
    ranged = [_ranged(one, strokes[:, len(bags) + k] - strokes[:, 0]) for k, one in enumerate(pick.worth)]
    runners = [
        replace(one, chance=float(share)) for one, share in zip(pick.runners_up, chance[1:], strict=True)
    ]
    words = _words(float(chance[0]), len(bags))
    balls = () if doubt is None or len(bags) < 2 else _worth_hitting(near, doubt)
    sure = HowSure(pick.how_sure.proof, words, float(chance[0]), len(near), balls)
    return replace(pick, worth=tuple(ranged), runners_up=tuple(runners), how_sure=sure)


def _worth_hitting(near: Floats, doubt: Doubt) -> tuple[Further, ...]:
    """For each club the fewest further balls that are worth hitting, the most worth first."""
    found: dict[str, Further] = {}
    for one in further(near, doubt, FEW_BALLS):
        if one.worth_strokes >= LEAST_GAIN:
            found.setdefault(one.club, one)
    return tuple(found.values())[:MOST_CLUBS]


def _ranged(one: Worth, apart: Floats) -> Worth:
    """With the range of the draws. One more club never costs strokes, so it begins at 0 at the lowest."""
    low, high = (float(q) for q in np.quantile(apart, [(1 - LEVEL) / 2, (1 + LEVEL) / 2]))
    return replace(one, range=Estimate(one.strokes, max(0.0, min(low, one.strokes)), max(high, one.strokes)))


def _words(chance: float, bags: int) -> str:
    if bags == 1:
        return tell(
            "No other bag comes near it under this model; what the shots leave open may still move it."
        )
    return first_upper(
        tell(
            "{words}: over what the shots leave open, this bag is the best of the {bags} listed in {share} "
            "of the draws.",
            words=probability_words(chance), bags=bags, share=percent(chance),
        )
    )  # fmt: skip


def nothing_as_good(route: Route, problem: Problem, best: int, drawn: Drawn) -> Route:
    """The route with the chance (0..1) that buying nothing does as well as the best bag."""
    if not route.nothing:
        return route
    strokes = drawn.strokes([best, problem.bag(route.nothing)])
    chance = float((strokes[:, 1] - strokes[:, 0] <= TIE_STROKES).mean())
    return replace(route, nothing_chance=chance)
