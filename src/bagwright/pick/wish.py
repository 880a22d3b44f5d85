"""What a bag must be: how many clubs, which ones in any case, which never together, what it may cost.

A bag is the bits of one integer, bit i set where club i of the problem is carried. The putter is no club of
the problem: who counts it takes it off the slots first.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from bagwright.errors import InputError
from bagwright.words import join, tell

WITHIN_STROKES = 0.02
"""Bags that cost at most so much more than the best one are near it (judgement: no player can feel it)."""
LEAST_WITHIN = -1e-5
"""A search that has found very many ties goes just below 0, see `search.narrowed`."""
CENT = 100
"""Money is counted in whole hundredths, so that a sum never depends on its order."""


@dataclass(frozen=True, slots=True)
class Pin:
    """A club that is carried in any case, and why."""

    club: str
    reason: str


@dataclass(frozen=True, slots=True)
class Wish:
    """What is asked of a bag.

    `slots` is the most clubs of the problem that are carried. `not_both` holds pairs of which at most one is
    carried. `prices` are what clubs cost that are not carried `today`, in the player's currency; under a
    `budget` each of them needs one. `changes` is the most clubs that come in which are not carried today.
    Bags within `within` strokes of the best one are near it.
    """

    slots: int
    pins: tuple[Pin, ...] = ()
    not_both: tuple[tuple[str, str], ...] = ()
    today: tuple[str, ...] = ()
    prices: tuple[tuple[str, float], ...] = ()
    budget: float | None = None
    changes: int | None = None
    within: float = WITHIN_STROKES

    def plain(self) -> dict[str, Any]:
        """Everything as JSON has it."""
        return asdict(self)

    @classmethod
    def of(cls, plain: Mapping[str, Any]) -> Wish:
        """The wish again from what `plain` gave; InputError for anything else."""
        try:
            return cls(
                int(plain["slots"]),
                tuple(Pin(str(one["club"]), str(one["reason"])) for one in plain["pins"]),
                tuple((str(a), str(b)) for a, b in plain["not_both"]),
                tuple(str(name) for name in plain["today"]),
                tuple((str(name), float(price)) for name, price in plain["prices"]),
                None if plain["budget"] is None else float(plain["budget"]),
                None if plain["changes"] is None else int(plain["changes"]),
                float(plain["within"]),
            )
        except (KeyError, TypeError, ValueError) as error:
            raise InputError(
                tell("This is no wish that the program wrote: {error}.", error=str(error)[:100]),
                tell("Make the pick again."),
            ) from error


@dataclass(frozen=True, slots=True)
class Limits:
    """A wish in bits, for the clubs of one problem. Made by `limits_of`."""

    n: int
    slots: int
    pinned: int
    pairs: tuple[int, ...]
    new: int
    """Clubs that are not carried today."""
    cents: tuple[int, ...]
    """What each club costs, 0 for those carried today."""
    budget: int | None
    changes: int | None
    banned: int = 0
    """Clubs that are not carried in any case."""

    @property
    def whole(self) -> int:
        """The bag of all clubs."""
        return (1 << self.n) - 1

    def cost(self, bag: int) -> int:
        """What a bag costs in hundredths."""
        return sum(self.cents[i] for i in bits(bag))

    def allows(self, bag: int) -> bool:
        """Whether a bag is what was asked for."""
        return not self.pinned & ~bag and self._may_hold(bag)

    def _may_hold(self, bag: int) -> bool:
        """Whether a bag with these clubs, and perhaps fewer or others, breaks no limit by them alone."""
        return (
            not bag & self.banned
            and bag.bit_count() <= self.slots
            and all(bag & pair != pair for pair in self.pairs)
            and (self.changes is None or (bag & self.new).bit_count() <= self.changes)
            and (self.budget is None or self.cost(bag) <= self.budget)
        )

    def left(self, inside: int, outside: int) -> int | None:
        """Clubs that a bag may still hold which holds all of `inside` and none of `outside`.

        Every allowed bag between the two lies in what is given; None where there is no such bag. Each club
        outside what is given breaks a limit on its own beside `inside`.
        """
        inside |= self.pinned
        if inside & outside or not self._may_hold(inside):
            return None
        free = self.whole & ~(inside | outside)
        return inside | sum(1 << i for i in bits(free) if self._may_hold(inside | 1 << i))

    def can_grow(self, bag: int) -> bool:
        """Whether some further club fits in."""
        return any(self._may_hold(bag | 1 << i) for i in bits(self.whole & ~bag))


def bits(bag: int) -> list[int]:
    """The clubs of a bag, by number."""
    found = []
    while bag:
        low = bag & -bag
        found.append(low.bit_length() - 1)
        bag ^= low
    return found


def limits_of(wish: Wish, clubs: Sequence[str]) -> Limits:
    """Put a wish in bits.

    Raises InputError for names that are no clubs to choose from, for a budget without the prices it needs,
    and where the pinned clubs alone break a limit.
    """
    place = {name: i for i, name in enumerate(clubs)}
    _known(place, [pin.club for pin in wish.pins])
    _known(place, [name for pair in wish.not_both for name in pair])
    if wish.slots < 1:
        raise InputError(
            tell("A bag of {slots} clubs beside the putter holds none to hit.", slots=wish.slots),
            tell("Ask for more slots."),
        )
    if not LEAST_WITHIN <= wish.within < 10.0:
        raise InputError(
            tell("Bags within {within:g} strokes cannot be listed.", within=wish.within),
            tell("Write 0 to 10 strokes, such as 0.02."),
        )
    today = set(wish.today)
    new = [name for name in clubs if name not in today]
    found = Limits(
        len(clubs), wish.slots, sum({1 << place[pin.club] for pin in wish.pins}),
        tuple(1 << place[a] | 1 << place[b] for a, b in wish.not_both if a != b),
        sum(1 << place[name] for name in new), _cents(wish, clubs, new),
        None if wish.budget is None else round(wish.budget * CENT), wish.changes,
    )  # fmt: skip
    if found.left(0, 0) is None:
        raise InputError(
            tell("The clubs that are carried in any case break a limit: {why}.", why=_broken(found, wish)),
            tell("Pin fewer clubs, or loosen the limit."),
        )
    return found


def _known(place: Mapping[str, int], names: Sequence[str]) -> None:
    strange = [name for name in names if name not in place]
    if strange:
        raise InputError(
            tell("There is no such club to choose from: {names}.", names=join(", ", [strange[0][:60]])),
            tell("Choose from: {names}.", names=join(", ", place)),
        )


def _cents(wish: Wish, clubs: Sequence[str], new: Sequence[str]) -> tuple[int, ...]:
    prices = dict(wish.prices)
    missing = [name for name in new if name not in prices]
    if wish.budget is not None and missing:
        raise InputError(
            tell(
                "Under a budget every club that would be bought needs a price: {names}.",
                names=", ".join(missing),
            ),
            tell("Give its price in the bag file, 0 where it costs nothing."),
        )
    return tuple(round(prices.get(name, 0.0) * CENT) if name in new else 0 for name in clubs)


def _broken(limits: Limits, wish: Wish) -> str:
    bag = limits.pinned
    if bag.bit_count() > limits.slots:
        return tell("{n} of them for {slots} slots", n=bag.bit_count(), slots=limits.slots)
    if any(bag & pair == pair for pair in limits.pairs):
        return tell("two of them are never carried together")
    if limits.changes is not None and (bag & limits.new).bit_count() > limits.changes:
        return tell("more of them are new than may change")
    return tell("they cost more than the budget of {budget:g}", budget=wish.budget or 0.0)
