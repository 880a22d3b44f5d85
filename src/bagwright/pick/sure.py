"""How sure a choice of bags is, and which further balls would settle it: bags under draws of the posterior.

For each draw, every spot that a bag comes to chooses anew among its kept options with what they cost under
the draw; what a spot is worth is carried on as it was (first order, with the choice free). All bags are
played with the same draws, so that their differences are known much better than any of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagwright.errors import InputError
from bagwright.pick.doubt import Doubt
from bagwright.pick.evaluate import Evaluator
from bagwright.pick.problem import FALLBACK
from bagwright.words import tell

Ints = NDArray[np.int64]
Singles = NDArray[np.float32]
Floats = NDArray[np.float64]

SELDOM = 5e-5
"""Times a round below which a spot is left out (judgement)."""
BEHIND = 0.25
"""Options that cost this much more than the chosen one are not chosen under any draw, strokes (judgement)."""


@dataclass(frozen=True, slots=True)
class Choice:
    """How often each of some bags is the best of them, over equally likely draws.

    `chance` (bags,), `regret` (bags,) strokes that a bag costs more on average than the best of each draw,
    `club` (clubs,) the chance that the best bag holds a club.
    """

    best: int
    chance: Floats
    regret: Floats
    club: Floats


class Sure:
    """Bags of one problem under draws of what is not known of its clubs."""

    def __init__(self, evaluator: Evaluator, response: Singles, doubt: Doubt) -> None:
        p = evaluator.problem
        if len(response) != len(p.club) or doubt.clubs != p.clubs or response.shape[1] == 0:
            raise InputError(
                tell("Draws and options do not belong together."), tell("Build the problem with these draws.")
            )
        self.evaluator, self.doubt = evaluator, doubt
        self._swayed = swayed(p.club, response, doubt)
        self._spot = evaluator.spot_of_option
        self._weight = np.repeat(p.hole_weight, np.diff(p.first_spot))

    def strokes(self, bags: Sequence[int]) -> Floats:
        """Strokes a weighted round (draws, bags) with each bag under each draw."""
        expected = self.evaluator.strokes(bags)
        out = np.zeros((self.doubt.n, len(bags)))
        for k, (choice, d) in enumerate(self.evaluator.choices_of(bags)):
            out[:, k] = expected[k] + self._moved(bags[k], choice, d)
        return out

    def _moved(self, bag: int, choice: Ints, d: Singles) -> Floats:
        """What a bag costs more under each draw (draws,)."""
        from bagwright.pick import _kernel_bags

        p, e = self.evaluator.problem, self.evaluator
        times = e.visits(choice) * self._weight
        # The fallback, -1, is the last of these: every bag has it.
        held = np.append(np.array([bag >> k & 1 for k in range(p.n)], bool), True)
        behind = e.behind(d)
        at = np.flatnonzero((times[self._spot] > SELDOM) & held[p.club] & (behind < BEHIND))
        spot, first = np.unique(self._spot[at], return_index=True)
        out = np.zeros(self.doubt.n)
        _kernel_bags.moved(at, np.append(first, len(at)), behind[at], self._swayed, times[spot], out)
        return out


def swayed(club: NDArray[np.int32], response: Singles, doubt: Doubt) -> Singles:
    """What options cost more under each draw (options, draws), on average nothing; the fallback never."""
    weights = doubt.weights().astype(np.float32)
    out = np.zeros((len(club), doubt.n), np.float32)
    for one in np.unique(club[club != FALLBACK]):
        rows = np.flatnonzero(club == one)
        moved = response[rows] @ weights[:, one].T
        out[rows] = moved - moved.mean(1, keepdims=True)
    return out


def chosen(strokes: Floats, bags: Sequence[int], clubs: int) -> Choice:
    """How sure the best of `bags` is, by `strokes` (draws, bags) of `Sure.strokes`."""
    first = strokes.argmin(1)
    chance = np.bincount(first, minlength=len(bags)) / len(strokes)
    regret = strokes.mean(0) - strokes.min(1).mean()
    holds = np.array([[bag >> k & 1 for k in range(clubs)] for bag in bags], float)
    return Choice(int(strokes.mean(0).argmin()), chance, regret, chance @ holds)


def between(strokes: Floats, more: int, less: int, level: float = 0.9) -> tuple[float, float, float]:
    """Mean and range of what bag number `more` costs above bag number `less`: what a club is worth."""
    apart = strokes[:, more] - strokes[:, less]
    low, high = np.quantile(apart, [0.5 - level / 2, 0.5 + level / 2])
    return float(apart.mean()), float(low), float(high)
