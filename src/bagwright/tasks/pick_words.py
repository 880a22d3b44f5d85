"""What a person types to ask for a bag, turned into what the core takes."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from bagwright.errors import InputError
from bagwright.tasks.coursing import CourseSource
from bagwright.units import parse_quantity
from bagwright.words import join, tell, tell_n

if TYPE_CHECKING:
    from bagwright.bag.club import Bag
    from bagwright.pick.changed import Change
    from bagwright.pick.wish import Pin, Wish

CALM = "calm"
_CHANGE = re.compile(r"^(?P<club>.*?)\s*(?P<sign>[+\-−])\s*(?P<number>[\d.,]+)\s*(?P<unit>[^\d\s.,+\-−]+)$")
_SIGNED = re.compile(r"^\s*([+\-−])\s*(.+)$")
_AMOUNT = re.compile(r"([\d.,]+)\s*(.*)")


@dataclass(frozen=True, slots=True)
class PickWish:
    """Where the bag is played, and what it must be.

    `courses`, `tees` and `winds` are all combined; a tee and a wind may carry its share ("white*2"), `shares`
    are those of the courses. No tee: the longest. No wind: calm. `slots` counts the putter; None is the
    player's own limit. `pins` are "CLUB=reason", `not_both` "A,B". `speed` ("+5mph" of driver head speed) and
    `lofts` ("CLUB+1deg") change the player; `alters` ("CLUB+2.5deg=15/2") are changed builds to choose from,
    with price and days. The first `confirm` bags are solved anew on every yard.
    """

    courses: tuple[CourseSource, ...]
    shares: tuple[float, ...] = ()
    tees: tuple[str, ...] = ()
    winds: tuple[str, ...] = ()
    slots: int | None = None
    pins: tuple[str, ...] = ()
    not_both: tuple[str, ...] = ()
    budget: float | None = None
    changes: int | None = None
    within: float = 0.02
    speed: str | None = None
    lofts: tuple[str, ...] = ()
    alters: tuple[str, ...] = ()
    how: Literal["auto", "search", "every"] = "auto"
    seconds: float | None = None
    resume: Path | None = None
    confirm: int = 0


@dataclass(frozen=True, slots=True)
class Altered:
    """A changed build to choose from: never beside the club it is made from."""

    change: Change
    name: str
    price: float | None
    lead_time_days: float | None


@dataclass(frozen=True, slots=True)
class Moves:
    """What changes on the way from today's bag to another: clubs that come in (`instead`) and go out (`without`).

    `price` is what those that come in cost together, in the player's currency, None where it is not known of
    one of them (`no_price`); `lead_time_days` the longest of theirs, None where one is not known.
    """

    instead: tuple[str, ...]
    without: tuple[str, ...]
    price: float | None
    no_price: tuple[str, ...]
    lead_time_days: float | None


def moves_of(
    today: Sequence[str], clubs: Sequence[str], prices: Mapping[str, float], days: Mapping[str, float]
) -> Moves:
    """What changes from today's clubs to these, both without the putter."""
    new = tuple(name for name in clubs if name not in today)
    no_price = tuple(name for name in new if name not in prices)
    return Moves(
        new, tuple(name for name in today if name not in clubs),
        None if no_price else round(sum(prices[name] for name in new), 2), no_price,
        None if any(name not in days for name in new) else max((days[name] for name in new), default=0.0),
    )  # fmt: skip


def moves_words(moves: Moves, currency: str) -> str:
    """What comes in, what goes out, what that costs and how long it takes, as a sentence."""
    if not moves.instead and not moves.without:
        return tell("Nothing changes: today's clubs.")
    return tell(
        "In: {instead}; out: {without}; {cost}.",
        instead=join(", ", moves.instead) if moves.instead else tell("no club"),
        without=join(", ", moves.without) if moves.without else tell("no club"),
        cost=_cost_words(moves, currency),
    )


def _cost_words(moves: Moves, currency: str) -> str:
    if not moves.instead:
        return tell("costs nothing")
    cost = tell("price unknown of {clubs}", clubs=join(", ", moves.no_price))
    if moves.price is not None:
        cost = tell("costs {price:.12g} {currency}", price=moves.price, currency=currency).rstrip()
    days = tell("days unknown")
    if moves.lead_time_days is not None:
        days = tell_n("{n} day", "{n} days", math.ceil(moves.lead_time_days))
    return join(", ", (cost, days))


def changed_words(wish: PickWish) -> str:
    """What of the player is changed: "with 5 mph more driver speed"; empty where nothing is.

    Raises InputError for words that cannot be read.
    """
    found = []
    parts = _SIGNED.match(wish.speed or "")
    if parts is not None:
        amount = _AMOUNT.sub(r"\1 \2", parts[2]).strip()
        more = parts[1] == "+"
        found.append(
            tell("with {amount} more driver speed", amount=amount)
            if more
            else tell("with {amount} less driver speed", amount=amount)
        )
    for text in wish.lofts:
        change = _change(text)
        angle = math.degrees(change.loft_rad)
        found.append(
            tell("with {angle:.3g}° more loft on the {club}", angle=angle, club=change.club)
            if angle > 0
            else tell("with {angle:.3g}° less loft on the {club}", angle=-angle, club=change.club)
        )
    return join(", ", found)


def share_of(text: str) -> tuple[str, float]:
    """A word and its share of the rounds: "white*2" is ("white", 2.0). Raises InputError for no number."""
    word, sign, number = text.rpartition("*")
    if not sign:
        return text.strip(), 1.0
    share = _number(number)
    if share is None or not 0.0 < share <= 1e6:
        raise InputError(
            tell('"{text}" gives no share of the rounds.', text=text[:40]),
            tell("Write it after a star, such as 10mph@sw*2."),
        )
    return word.strip(), share


def _number(text: str) -> float | None:
    try:
        found = float(text.strip().replace(",", "."))
    except ValueError:
        return None
    return found if math.isfinite(found) else None


def wish_of(bag: Bag, wish: PickWish, putters: int, altered: Sequence[Altered] = ()) -> Wish:
    """The wish for the clubs beside the putters. Raises InputError for words that cannot be read."""
    from bagwright.pick.wish import Wish

    slots = wish.slots if wish.slots is not None else bag.player.club_limit
    clubs = [club for club in bag.with_status("carried", "candidate") if club.kind != "putter"]
    prices = {
        club.name: club.price for club in clubs if club.status != "carried" and club.price is not None
    } | {one.name: one.price for one in altered if one.price is not None}
    pairs = [_pair(text) for text in wish.not_both]
    pairs += [(str(one.change.club), one.name) for one in altered]
    pairs += [
        (a.name, b.name) for k, a in enumerate(altered) for b in altered[:k] if a.change.club == b.change.club
    ]
    return Wish(
        slots - putters, tuple(_pin(text) for text in wish.pins), tuple(pairs),
        tuple(club.name for club in clubs if club.status == "carried"), tuple(prices.items()),
        wish.budget, wish.changes, wish.within,
    )  # fmt: skip


def _pin(text: str) -> Pin:
    from bagwright.pick.wish import Pin

    name, _, reason = text.partition("=")
    if not reason.strip():
        raise InputError(
            tell('The club "{name}" is pinned without a reason.', name=name[:60]),
            tell('Write it as "2 iron=the low one under trees".'),
        )
    return Pin(name.strip(), reason.strip())


def _pair(text: str) -> tuple[str, str]:
    names = [name.strip() for name in text.split(",")]
    if len(names) != 2 or not all(names) or names[0] == names[1]:
        raise InputError(
            tell('"{text}" does not name two clubs.', text=text[:60]), tell('Write "3 wood,4 hybrid".')
        )
    return names[0], names[1]


def changes_of(bag: Bag, wish: PickWish) -> list[Change]:
    """The player's changes: speed of all clubs, loft of some. Raises InputError."""
    from bagwright.pick.changed import Change

    found = [] if wish.speed is None else [Change(faster=_faster(bag, wish.speed))]
    for text in wish.lofts:
        change = _change(text)
        if not change.loft_rad:
            raise InputError(
                tell('"{text}" changes no loft.', text=text[:60]), tell('Write "Gap wedge+1deg".')
            )
        found.append(change)
    return found


def _faster(bag: Bag, text: str) -> float:
    """The share by which the driver's head moves faster."""
    parts = _SIGNED.match(text)
    if parts is None:
        raise InputError(
            tell('"{text}" does not say whether faster or slower.', text=text[:40]),
            tell("Write +5mph or -5mph."),
        )
    present = bag.player.driver_speed_mps
    if present is None:
        raise InputError(
            tell("The driver's head speed is not known, so it cannot be changed."),
            tell("Add driver_speed_mph to [player] in the bag file."),
        )
    more = parse_quantity(parts[2], "speed") * (1.0 if parts[1] == "+" else -1.0)
    if not -0.4 < more / present < 0.4:
        raise InputError(
            tell('"{text}" is too large a change of speed.', text=text[:40]),
            tell("Ask for at most 40 %."),
        )
    return more / present


def _change(text: str) -> Change:
    """A changed club: "Gap wedge+2.5deg", "Driver-1in". Raises InputError."""
    from bagwright.pick.changed import Change

    parts = _CHANGE.match(text.strip())
    if parts is None or not parts["club"]:
        raise InputError(
            tell('"{text}" is no change of a club.', text=text[:60]),
            tell('Write "Gap wedge+1deg", or "Driver-1in" for its length.'),
        )
    sign = 1.0 if parts["sign"] == "+" else -1.0
    words = parts["number"] + " " + parts["unit"]
    if parts["unit"].lower() in ("deg", "°", "degrees"):
        return Change(parts["club"], loft_rad=sign * parse_quantity(words, "angle"))
    return Change(parts["club"], longer_m=sign * parse_quantity(words, "length"))


def altered_of(wish: PickWish) -> list[Altered]:
    """Changed builds to choose from, with price and days. Raises InputError for words that cannot be read."""
    found = []
    for text in wish.alters:
        what, sign, cost = text.rpartition("=")
        price, _, days = cost.partition("/")
        prices = (_number(price), _number(days) if days else None)
        if not sign or prices[0] is None or prices[0] < 0 or (days and prices[1] is None):
            raise InputError(
                tell('"{text}" does not say what the change costs.', text=text[:60]),
                tell('Write "Gap wedge+2.5deg=15/2": price, and days if they are known.'),
            )
        change = _change(what)
        name = what.strip()
        found.append(Altered(replace(change, name=name), name, prices[0], prices[1]))
    return found


def lead_days(bag: Bag, altered: Sequence[Altered]) -> dict[str, float]:
    """Days until a club is there, where they are known."""
    found = {club.name: club.lead_time_days for club in bag.clubs if club.lead_time_days is not None}
    return found | {one.name: one.lead_time_days for one in altered if one.lead_time_days is not None}
