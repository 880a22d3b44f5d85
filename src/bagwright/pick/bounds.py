"""How low the strokes of a whole family of bags can be, from a few bags that were worked out.

More clubs never cost strokes, so a bag costs on every hole at least what each bag costs that contains it: by
holes, the dearest of these count, and the holes add up. That is far sharper than the dearest round of the
same bags, because what one club is worth is earned on other holes than what the next one is worth.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

SLACK_STROKES = 0.011
"""How much less two clubs' removal costs together than apart, in 1 of 100 cases (prototype, docs/pick.md)."""
ROUNDS = 12
"""Steps of the shares in `proven`."""


def proven(base: Floats, more: Floats, must: int) -> float:
    """Least strokes of a bag that lacks at least `must` of some clubs.

    `base` (p,) strokes by hole of a bag that contains it, `more` (m, p) those without one of the m clubs as
    well. Exact where more clubs never cost strokes: over all choices R of `must` clubs, a lower bound of the
    sum over holes of max(base, more of the clubs in R). Three bounds, of which the highest is given:

    - every choice has a club that costs, alone, at least the must-th smallest of all;
    - the same on each hole, added up;
    - a maximum is at least any mean of its members: with shares of 1 on each hole, a choice costs at least
      the sum of its clubs' shares. Shares are found by multiplying them, hole by hole, towards the clubs
      whose sum is too small to be worth leaving out.
    """
    whole = float(base.sum())
    if must <= 0 or not len(more):
        return whole
    if must > len(more):
        return float("inf")
    over = np.maximum(more - base, 0.0)
    alone = float(np.partition(over.sum(1), must - 1)[must - 1])
    by_hole = float(np.partition(over, must - 1, axis=0)[must - 1].sum())
    best = max(alone, by_hole)
    if must > 1:
        best = max(best, shared(over, must))
    return whole + best


def shared(over: Floats, must: int) -> float:
    """The bound by shares: sum of the `must` smallest of sum over holes of share * over."""
    total = over.sum(0)
    kept = total > 0.0
    if not kept.any():
        return 0.0
    over = over[:, kept]
    share = over / total[kept]
    best = 0.0
    for _ in range(ROUNDS):
        each = (share * over).sum(1)
        cheap = np.argpartition(each, must - 1)[:must]
        best = max(best, float(each[cheap].sum()))
        grow = np.ones(len(each))
        grow[cheap] = 1.5
        share = share * grow[:, None]
        share /= share.sum(0)
    return best


def guessed(strokes: float, losses: Floats, must: int) -> float:
    """What the strokes are hardly below: `losses` (m,) of single clubs add up. By measurement, not proven."""
    if must <= 0:
        return strokes
    if must > len(losses):
        return float("inf")
    return max(strokes, strokes + float(np.partition(losses, must - 1)[:must].sum()) - SLACK_STROKES)
