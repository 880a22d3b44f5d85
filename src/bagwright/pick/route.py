"""The cheapest way to a bag that does about as well as the best: what to buy, and whether anything at all."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from bagwright.pick.problem import Problem
from bagwright.pick.search import Known, Search, Strokes
from bagwright.pick.wish import CENT, Limits, Wish, limits_of

REACH_STROKES = 0.05
"""A bag that costs at most so much more than the best one does about as well (judgement)."""
MOST_BOUGHT = 4
"""Most clubs that are bought together on a route (judgement)."""
AT_ONCE = 64


@dataclass(frozen=True, slots=True)
class Route:
    """The cheapest bag within reach of the best one.

    `more` is what it costs in strokes a round above the best bag, `buys` what is bought for it, at `price`
    in the player's currency; `lead_time_days` is the longest of theirs, None where one of them is not known.
    `nothing_more` is what the best bag of today's clubs costs above the best one: that of buying nothing;
    None where today's clubs are no allowed bag. `no_price` names clubs that were left out because nobody
    gave their price.
    """

    clubs: tuple[str, ...]
    more: float
    buys: tuple[str, ...]
    price: float
    lead_time_days: float | None
    nothing_more: float | None
    no_price: tuple[str, ...]
    nothing: tuple[str, ...] = ()
    """The best bag of today's clubs; none where they make no allowed bag."""
    nothing_chance: float | None = None
    """Chance that it does as well as the best bag; None where that was not worked out."""


def cheapest_route(
    problem: Problem,
    source: Strokes,
    wish: Wish,
    strokes: float,
    lead_days: dict[str, float] | None = None,
    reach: float = REACH_STROKES,
    stop: Callable[[], bool] = lambda: False,
) -> Route | None:
    """The cheapest allowed bag within `reach` of `strokes`, at most `MOST_BOUGHT` clubs bought.

    None where no such bag was found, or `stop()` said so first. Exact: sets of clubs to buy are gone through
    by their price, and passed over only where even all of today's clubs together with them cost too many
    strokes.
    """
    known = Known(source)
    limits = limits_of(wish, problem.clubs)
    prices = dict(wish.prices)
    new = [name for i, name in enumerate(problem.clubs) if limits.new >> i & 1]
    no_price = tuple(name for name in new if name not in prices)
    nothing = _best(known, limits, limits.new, stop)
    nothing_more: float | None = None
    names: tuple[str, ...] = ()
    if nothing is not None:
        nothing_more, names = nothing[1] - strokes, problem.names(nothing[0])
        if nothing_more <= reach:
            return Route(names, max(nothing_more, 0.0), (), 0.0, 0.0, nothing_more, no_price, names)
    places = [i for i, name in enumerate(problem.clubs) if name in new and name in prices]
    for buys in _by_price(known, limits, places, prices, problem.clubs, strokes + reach):
        if stop():
            return None
        found = _best(known, limits, limits.new & ~sum(1 << i for i in buys), stop)
        if found is not None and found[1] <= strokes + reach:
            bought = tuple(problem.clubs[i] for i in buys if found[0] >> i & 1)
            days = [(lead_days or {}).get(name) for name in bought]
            return Route(
                problem.names(found[0]), max(found[1] - strokes, 0.0), bought,
                sum(round(prices[name] * CENT) for name in bought) / CENT,
                None if None in days else max((day for day in days if day is not None), default=0.0),
                nothing_more, no_price, names,
            )  # fmt: skip
    return None


def _by_price(
    known: Known, limits: Limits, places: Sequence[int], prices: dict[str, float], clubs: Sequence[str],
    most: float,
) -> list[tuple[int, ...]]:  # fmt: skip
    """Sets of clubs to buy, the cheapest first, without those with which even every club is not enough."""
    sets = [
        one
        for size in range(1, min(MOST_BOUGHT, len(places)) + 1)
        for one in combinations(places, size)
        if limits.changes is None or size <= limits.changes
    ]
    sets.sort(key=lambda one: (sum(round(prices[clubs[i]] * CENT) for i in one), len(one)))
    today = limits.whole & ~limits.new
    whole = [today | sum(1 << i for i in one) for one in sets]
    for k in range(0, len(whole), AT_ONCE):
        known.need(whole[k : k + AT_ONCE])
    return [one for one, bag in zip(sets, whole, strict=True) if known.strokes([bag])[0] <= most]


def _best(known: Known, limits: Limits, banned: int, stop: Callable[[], bool]) -> tuple[int, float] | None:
    """The best allowed bag without the banned clubs, and its strokes; None where there is none."""
    held = replace(limits, banned=limits.banned | banned)
    if held.left(0, 0) is None:
        return None
    search = Search(known.source, held, 0.0)
    search.known = known
    search.run(lambda standing: stop())
    return search.best, search.strokes
