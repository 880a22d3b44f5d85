"""Which further balls would settle the choice of a bag: expected value of sample information, in strokes.

Further balls of one club narrow what is not known of it. What the bags then cost on average is their mean
given that club's draws: a regression of the draws' differences on the club's own pattern (Strong, Oakley and
Brennan 2014), at draws moved inwards as far as the balls cannot tell them apart (Jalal and Alarid-Escudero
2018). A regression finds something in any draws: what it finds with the club's draws in another order is
taken off, of the chance to change the choice in proportion.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagwright.pick.doubt import Doubt
from bagwright.pick.sway import AXES

Floats = NDArray[np.float64]

LOOK_AHEAD = (3, 5, 8, 12)
"""Numbers of further balls of a club that are looked at."""
ORDERS = 8
"""Other orders of the draws that say what is found in anything."""
SEED = 20261201


@dataclass(frozen=True, slots=True)
class Further:
    """What `balls` more with `club` would do: strokes a round that the choice gains, 0..1 to change it."""

    club: str
    balls: int
    worth_strokes: float
    chance_to_change: float


def further(strokes: Floats, doubt: Doubt, balls: Sequence[int] = LOOK_AHEAD) -> tuple[Further, ...]:
    """Every club with so many further balls, the most worth first.

    `strokes` (draws, bags) are `Sure.strokes` of the bags to choose from under the draws of `doubt`.
    """
    rng = np.random.default_rng(SEED)
    orders = [rng.permutation(len(strokes)) for _ in range(ORDERS)]
    now = strokes.mean(0)
    best = int(now.argmin())
    against = strokes - strokes[:, [best]]
    found = []
    for j, club in enumerate(doubt.clubs):
        drawn = np.stack([doubt.drawn[axis][:, j] for axis in AXES], 1)
        for count in balls:
            seen = _moved_in(drawn, _shares(doubt, j, count))
            worth, chance = _worth(against, drawn, seen, best)
            luck = np.mean([_worth(against, drawn[order], seen[order], best)[0] for order in orders])
            real = max(1.0 - float(luck) / worth, 0.0) if worth > 0.0 else 0.0
            found.append(Further(club, count, real * worth, real * chance))
    return tuple(sorted(found, key=lambda one: -one.worth_strokes))


def _shares(doubt: Doubt, club: int, balls: int) -> Floats:
    """Share (4,) of the variance of each axis that so many balls would explain: normal theory.

    A centre is seen with the variance of a ball over the solid ones, the logarithm of a spread with 1 over
    twice their number, the logit of a chance p with 1 / (balls p (1 - p)).
    """
    p = float(doubt.mishit[club])
    solid = balls * (1.0 - p)
    information = np.array([solid / doubt.ball[club] ** 2, 2.0 * solid, 2.0 * solid, balls * p * (1.0 - p)])
    var = np.array([doubt.drawn[axis][:, club].var() for axis in AXES])
    return np.asarray(var * information / (1.0 + var * information))


def _moved_in(drawn: Floats, share: Floats) -> Floats:
    middle = drawn.mean(0)
    return np.asarray(middle + np.sqrt(share) * (drawn - middle))


def _features(drawn: Floats, middle: Floats, sd: Floats) -> Floats:
    """A constant, the four axes, and the carry's square: too long is as bad as too short."""
    t = (drawn - middle) / sd
    return np.concatenate([np.ones((len(t), 1)), t, t[:, :1] ** 2], 1)


def _worth(against: Floats, drawn: Floats, seen: Floats, best: int) -> tuple[float, float]:
    """Strokes that the choice gets better on average, and how often it changes."""
    middle, sd = drawn.mean(0), np.maximum(drawn.std(0), 1e-9)
    fitted, *_ = np.linalg.lstsq(_features(drawn, middle, sd), against, rcond=None)
    later = _features(seen, middle, sd) @ fitted
    # Today's expectation is the mean of tomorrow's.
    later = later - later.mean(0) + against.mean(0)
    first = later.argmin(1)
    return float(-later.min(1).mean()), float((first != best).mean())
