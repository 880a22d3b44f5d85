"""Which further balls to hit, how many, and what they would do, in figures and in one sentence."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from bagwright.trial import say
from bagwright.trial.case import Case
from bagwright.trial.result import Measure, NextBalls
from bagwright.trial.value import (
    MIN_SOLID,
    CarryBelief,
    MissBelief,
    Worth,
    carry_worth,
    choices,
    price_of,
    solid_missing,
)
from bagwright.words import tell, tell_n

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_SHOWN_PAIRS = 3
"""When to stop is told by what this many more balls of each leader would do."""


def further_balls(
    case: Case, measure: Measure, leaders: tuple[int, int], extra_m: Floats, careful: str
) -> tuple[tuple[NextBalls, ...], str]:
    """Return the further balls worth their price (none when it is time to stop) and a sentence about them.

    Candidates with too few solid strikes to judge by (`solid_missing`) come first, whatever their worth.
    """
    price = price_of(careful)
    k = len(case.names)
    worth_of = _worth_of(case, measure, extra_m)
    short = tuple(solid_missing(case.fit(i).n_solid) for i in range(k))
    if any(short):
        worth = worth_of(short)
        return _lines(case, worth), tell(
            "{hit} first: {few_solid} solid strikes each is the least to judge by.",
            hit=_hit(case, worth),
            few_solid=MIN_SOLID,
        )
    looked = [worth_of(balls) for balls in choices(k, leaders)]
    best = max(looked, key=lambda worth: worth.net_m(price))
    if best.net_m(price) <= 0.0:
        shown = worth_of(tuple(_SHOWN_PAIRS if i in leaders else 0 for i in range(k)))
        return (), (
            tell(
                "Enough balls: {balls} more would change the choice in {odds}, worth less than hitting them.",
                balls=say.balls(shown.total),
                odds=say.odds(shown.chance_to_change),
            )
        )
    return _lines(case, best), tell(
        "{hit}: that would change the choice in {odds}.",
        hit=_hit(case, best),
        odds=say.odds(best.chance_to_change),
    )


def _worth_of(case: Case, measure: Measure, extra_m: Floats) -> Callable[[tuple[int, ...]], Worth]:
    """Give the function that values further balls of each candidate; what they share is done once."""
    if measure == "miss":
        belief, extra = MissBelief.of(case.pattern, case.spot.carry_m), extra_m.mean(axis=0)
        return lambda balls: belief.worth(balls, extra)
    known = carry_belief(case)
    return lambda balls: carry_worth(known, balls)


def carry_belief(case: Case) -> CarryBelief:
    """Return what is known of the candidates' centres, from the joint draws."""
    p = case.pattern
    return CarryBelief(
        p.carry_m.mean(axis=0),
        np.atleast_2d(np.cov(p.carry_m, rowvar=False, bias=True)),
        np.sqrt((p.carry_sd_m**2).mean(axis=0)),
        1.0 - p.mishit_share.mean(axis=0),
    )


def _lines(case: Case, worth: Worth) -> tuple[NextBalls, ...]:
    return tuple(
        NextBalls(name, count, worth.chance_to_change, worth.worth_m)
        for name, count in zip(case.names, worth.balls, strict=True)
        if count
    )


def _hit(case: Case, worth: Worth) -> str:
    hit = [(count, name) for name, count in zip(case.names, worth.balls, strict=True) if count]
    if len(hit) == 1:
        return tell_n("{n} ball more with {name}", "{n} balls more with {name}", worth.total, name=hit[0][1])
    parts = [tell("{count} with {name}", count=count, name=name) for count, name in hit]
    return tell(
        "{balls} more ({listed}, alternating)", balls=say.balls(worth.total), listed=say.listed(parts)
    )
