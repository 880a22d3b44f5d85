"""A fair order of balls for a trial or a whole bag, within the time and the body's limits."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from bagwright.bag.club import Bag, Player
from bagwright.bag.names import parse_club_name
from bagwright.errors import InputError
from bagwright.shots.record import SWINGS
from bagwright.trial import cautions as say
from bagwright.trial.order import Wishes, changes, mirrored, passes_of_bag, read_wishes, spread_swings
from bagwright.trial.slot import find_slot, split_words
from bagwright.words import first_upper, join, tell, term

LEAST_EACH = 4
"""Fewest stock balls of each club: three judge nothing, and a mirrored order wants an even number."""
LEAST_WARM_UP = 10
MOST_WARM_UP = 15
_EXTRA_SHARE = 0.2
_WANTED_EACH = 12
_WANTED_EACH_OF_BAG = 6


@dataclass(frozen=True, slots=True)
class PlanLimits:
    """Time a ball and a change takes, and the most balls a body should hit (software defaults)."""

    ball_s: float = 35.0
    change_s: float = 45.0
    hand_over_min: float = 10.0
    visit_balls: int = 80
    flat_out_each: int = 6
    flat_out_visit: int = 18

    def for_player(self, player: Player | None) -> PlanLimits:
        """Half the balls for players under 18, of 65 and over, and with pain."""
        if player is None or not player.halved_limits:
            return self
        return replace(
            self,
            visit_balls=self.visit_balls // 2,
            flat_out_each=self.flat_out_each // 2,
            flat_out_visit=self.flat_out_visit // 2,
        )


@dataclass(frozen=True, slots=True)
class PlannedBall:
    """One ball of the plan; `first_after_change` marks the first after a change of club, to be noted."""

    n: int
    club: str
    swing: str
    warm_up: bool
    first_after_change: bool


@dataclass(frozen=True, slots=True)
class Dropped:
    """Balls that did not fit, and why."""

    club: str
    swing: str
    balls: int
    reason: str


@dataclass(frozen=True, slots=True)
class Plan:
    """The order, how long it takes with the handing over, what to mind, and what had to go."""

    order: tuple[PlannedBall, ...]
    minutes: float
    hand_over_minutes: float
    cautions: tuple[str, ...]
    dropped: tuple[Dropped, ...]

    @property
    def test_balls(self) -> int:
        """Balls after the warm-up."""
        return sum(1 for ball in self.order if not ball.warm_up)


@dataclass(frozen=True, slots=True)
class _Wish:
    """How many balls of each swing each club gets, and how many warm-up balls."""

    counts: dict[str, dict[str, int]]
    warm_up: int

    def of(self, club: str) -> int:
        return sum(self.counts[club].values())

    @property
    def total(self) -> int:
        return self.warm_up + sum(self.of(club) for club in self.counts)

    def less(self, club: str, swing: str, by: int) -> _Wish:
        counts = {name: dict(swings) for name, swings in self.counts.items()}
        counts[club][swing] -= by
        return replace(self, counts=counts)


@dataclass(frozen=True, slots=True)
class _Task:
    """Everything that stays fixed while balls are dropped until the plan fits."""

    clubs: tuple[str, ...]
    warm_up_clubs: tuple[str, ...]
    block: int
    wishes: Wishes
    whole_bag: bool
    limits: PlanLimits
    minutes: float | None
    already_hit: int


def plan_trial(
    candidates: str | Sequence[str],
    *,
    balls: int | None = None,
    minutes: float | None = None,
    player: Player | None = None,
    bag: Bag | None = None,
    swings: Sequence[str] | None = None,
    block: int = 3,
    warm_up: int = 12,
    warm_up_clubs: Sequence[str] | None = None,
    constraints: Sequence[str] = (),
    whole_bag: bool = False,
    limits: PlanLimits = PlanLimits(),
    already_hit: int = 0,
) -> Plan:
    """Plan warm-up and test balls in a fair order.

    `balls` counts test balls of all candidates together (12 each if not said, 6 each for a whole bag); the
    visit's limit counts warm-up and `already_hit` balls too. `minutes` is the whole time including the
    handing over. `swings` adds "gripped-down", "flat-out", "three-quarter" or "half" to "stock"; wedges get
    "three-quarter" by default. `constraints` are "A last", "A first", "A before B". Every club gets an even
    number of balls, so that the order mirrors; what does not fit is dropped, the least useful first, and
    named.

    Raises InputError when even the smallest fair plan does not fit, or wishes contradict each other.
    """
    player = player if player is not None else (bag.player if bag is not None else None)
    clubs = _clubs(candidates, bag, whole_bag)
    _check(clubs, block, warm_up, balls, minutes, already_hit, whole_bag)
    own = limits.for_player(player)
    wanted, cut = _wish(clubs, balls, _swings(swings, clubs, bag), warm_up, own, whole_bag)
    wishes = read_wishes(constraints, clubs)
    warm = tuple(warm_up_clubs) if warm_up_clubs else _warm_up_clubs(clubs, bag, wishes)
    task = _Task(clubs, warm, block, wishes, whole_bag, own, minutes, already_hit)
    final, dropped = _fitted(wanted, task, cut)
    order = _balls(final, task)
    flat_out = any(ball.swing == "flat-out" for ball in order)
    cautions = say.before_hitting(player, flat_out)
    return Plan(order, _minutes(order, own), own.hand_over_min, (*cautions, *_unfair(wishes)), dropped)


def _clubs(candidates: str | Sequence[str], bag: Bag | None, whole_bag: bool) -> tuple[str, ...]:
    if whole_bag and not candidates and bag is not None:
        clubs = [club for club in bag.with_status("carried") if club.kind != "putter"]
        return tuple(club.name for club in reversed(clubs))
    if bag is None or not bag.clubs or whole_bag:
        return split_words(candidates)
    return tuple(dict.fromkeys(entry.club for entry in find_slot(candidates, bag).entries))


def _check(
    clubs: Sequence[str],
    block: int,
    warm_up: int,
    balls: int | None,
    minutes: float | None,
    already_hit: int,
    whole_bag: bool,
) -> None:
    if len(clubs) < 2 and not whole_bag:
        raise InputError(
            tell('Only "{clubs}" takes part.', clubs=clubs[0][:60]),
            tell("A trial needs two candidates or more."),
        )
    if not 1 <= block <= 5:
        raise InputError(
            tell("Blocks of {block} balls were asked for.", block=block), tell("Blocks have 1 to 5 balls.")
        )
    if not LEAST_WARM_UP <= warm_up <= MOST_WARM_UP:
        raise InputError(
            tell("{warm_up} warm-up balls were asked for.", warm_up=warm_up),
            tell(
                "Warm up with {least_warm_up} to {most_warm_up} balls.",
                least_warm_up=LEAST_WARM_UP,
                most_warm_up=MOST_WARM_UP,
            ),
        )
    if balls is not None and balls < LEAST_EACH * len(clubs):
        raise InputError(
            tell("{balls} balls for {clubs} clubs judge nothing.", balls=balls, clubs=len(clubs)),
            tell(
                "Plan at least {least_each} each: {least_each_2}.",
                least_each=LEAST_EACH,
                least_each_2=LEAST_EACH * len(clubs),
            ),
        )
    if minutes is not None and not (math.isfinite(minutes) and minutes > 0):
        raise InputError(
            tell("{minutes} minutes is no time for a visit.", minutes=minutes),
            tell("Give a positive number of minutes."),
        )
    if already_hit < 0:
        raise InputError(
            tell("{already_hit} balls already hit cannot be.", already_hit=already_hit),
            tell("Give 0 or more."),
        )


def _swings(swings: Sequence[str] | None, clubs: Sequence[str], bag: Bag | None) -> tuple[str, ...]:
    if swings is None:
        wedges = any(_kind(club, bag) == "wedge" for club in clubs)
        return ("stock", "three-quarter") if wedges else ("stock",)
    for swing in swings:
        if swing not in SWINGS:
            raise InputError(
                tell('"{swing}" is no swing.', swing=swing[:40]),
                tell("Use {swings}.", swings=join(", ", map(term, SWINGS))),
            )
    return tuple(dict.fromkeys(("stock", *swings)))


def _kind(name: str, bag: Bag | None) -> str | None:
    club = bag.find(name) if bag is not None else None
    if club is not None:
        return club.kind
    parsed = parse_club_name(name)
    return parsed.kind if parsed is not None else None


def _wish(
    clubs: Sequence[str],
    balls: int | None,
    swings: Sequence[str],
    warm_up: int,
    limits: PlanLimits,
    whole_bag: bool,
) -> tuple[_Wish, list[Dropped]]:
    """Give the balls wanted before any limit of time, with flat-out swings already within theirs."""
    usual = _WANTED_EACH_OF_BAG if whole_bag else _WANTED_EACH
    each = (balls // len(clubs) if balls is not None else usual) // 2 * 2
    cut = []
    left = balls - each * len(clubs) if balls is not None else 0
    if left:
        cut.append(
            Dropped(
                "", "stock", left, tell("every club gets the same even number, so that the order mirrors")
            )
        )
    extras = {swing: _extra(swing, each, len(clubs), limits) for swing in swings if swing != "stock"}
    while extras and each - sum(extras.values()) < LEAST_EACH:
        swing, count = extras.popitem()
        cut += [
            Dropped(
                club,
                swing,
                count,
                tell("fewer than {least_each} stock swings would be left", least_each=LEAST_EACH),
            )
            for club in clubs
        ]
    counts = {club: {"stock": each - sum(extras.values()), **extras} for club in clubs}
    return _Wish(counts, warm_up), [entry for entry in cut if entry.balls]


def _extra(swing: str, each: int, clubs: int, limits: PlanLimits) -> int:
    """Balls of a swing other than stock for one club: an even number, flat-out within its limits."""
    count = max(2, round(_EXTRA_SHARE * each / 2) * 2)
    if swing == "flat-out":
        count = min(count, limits.flat_out_each, limits.flat_out_visit // clubs) // 2 * 2
    return count


def _fitted(wish: _Wish, task: _Task, cut: list[Dropped]) -> tuple[_Wish, tuple[Dropped, ...]]:
    """Drop the least useful balls until time and ball limits hold."""
    gone: dict[tuple[str, str, str], int] = {}
    while True:
        reason = _too_much(wish, task)
        if not reason:
            break
        smaller = _smaller(wish)
        if smaller is None:
            least = _minutes(_balls(wish, task), task.limits)
            raise InputError(
                tell(
                    "Even the smallest fair plan does not fit: {total} balls, {least:.0f} minutes.",
                    total=wish.total,
                    least=least,
                ),
                tell(
                    "{reason}: fewer candidates, or another visit.",
                    reason=first_upper(reason),
                ),
            )
        for club, swing, count in _lost(wish, smaller):
            gone[club, swing, reason] = gone.get((club, swing, reason), 0) + count
        wish = smaller
    return wish, (*cut, *(Dropped(c, s, n, reason) for (c, s, reason), n in gone.items()))


def _too_much(wish: _Wish, task: _Task) -> str:
    """Why a plan does not fit, "" if it does."""
    most = task.limits.visit_balls - task.already_hit
    if wish.total > most:
        return tell("at most {most} balls are left for this visit", most=most)
    if task.minutes is not None and _minutes(_balls(wish, task), task.limits) > task.minutes:
        return tell(
            "{minutes:.0f} minutes with {hand_over_min:.0f} for handing over",
            minutes=task.minutes,
            hand_over_min=task.limits.hand_over_min,
        )
    return ""


def _smaller(wish: _Wish) -> _Wish | None:
    """Give the same plan less its least useful balls, None when nothing may go.

    Flat-out go first, then gripped-down, part swings down to two each, stock swings of all clubs, the last
    part swings, and warm-up balls down to ten.
    """
    for swing, least in (("flat-out", 0), ("gripped-down", 0), ("half", 2), ("three-quarter", 2)):
        most = max(wish.counts, key=lambda club, s=swing: wish.counts[club].get(s, 0))  # type: ignore[misc]
        if wish.counts[most].get(swing, 0) > least:
            return wish.less(most, swing, 2)
    if all(swings["stock"] > LEAST_EACH for swings in wish.counts.values()):
        for club in wish.counts:
            wish = wish.less(club, "stock", 2)
        return wish
    for swing in ("half", "three-quarter"):
        for club in reversed(tuple(wish.counts)):
            if wish.counts[club].get(swing, 0) > 0:
                return wish.less(club, swing, 2)
    return replace(wish, warm_up=LEAST_WARM_UP) if wish.warm_up > LEAST_WARM_UP else None


def _lost(before: _Wish, after: _Wish) -> list[tuple[str, str, int]]:
    found = [
        (club, swing, count - after.counts[club][swing])
        for club, swings in before.counts.items()
        for swing, count in swings.items()
    ]
    found.append(("", "warm-up", before.warm_up - after.warm_up))
    return [entry for entry in found if entry[2]]


def _balls(wish: _Wish, task: _Task) -> tuple[PlannedBall, ...]:
    """Give number the warm-up and test balls and mark every change of club."""
    totals = {club: wish.of(club) for club in task.clubs}
    if task.whole_bag:
        clubs = passes_of_bag(task.clubs, totals, task.wishes)
    else:
        clubs = mirrored(task.clubs, totals, task.block, task.wishes)
    test = list(zip(clubs, spread_swings(clubs, wish.counts), strict=True))
    warm = [(club, "stock") for club in _warm_up(wish.warm_up, task.warm_up_clubs)]
    balls: list[PlannedBall] = []
    for n, (club, swing) in enumerate([*warm, *test], start=1):
        changed = n > 1 and club != balls[-1].club
        balls.append(PlannedBall(n, club, swing, n <= len(warm), changed))
    return tuple(balls)


def _warm_up(count: int, clubs: Sequence[str]) -> list[str]:
    """Warm-up balls, each club in one run, in the order given: short to long."""
    used = clubs[: max(1, min(len(clubs), count // 2))]
    return [used[i * len(used) // count] for i in range(count)]


def _warm_up_clubs(clubs: Sequence[str], bag: Bag | None, wishes: Wishes) -> tuple[str, ...]:
    """Up to four clubs from short to long: carried ones no longer than those tested, else the candidates."""
    tested = [club for club in clubs if club != wishes.last] or list(clubs)
    if bag is None:
        return tuple(tested[:4])
    lofts = [
        loft
        for name in tested
        if (club := bag.find(name)) is not None and (loft := club.loft_deg) is not None
    ]
    usable = [
        (loft, club.name)
        for club in bag.with_status("carried")
        if (loft := club.loft_deg) is not None and club.kind != "putter" and club.name != wishes.last
        if not lofts or loft >= min(lofts)
    ]
    names = [name for _, name in sorted(usable, key=lambda item: -item[0])]
    if len(names) < 2:
        return tuple(tested[:4])
    picks = min(4, len(names))
    return tuple(names[round(i * (len(names) - 1) / (picks - 1))] for i in range(picks))


def _minutes(order: Sequence[PlannedBall], limits: PlanLimits) -> float:
    seconds = len(order) * limits.ball_s + changes([ball.club for ball in order]) * limits.change_s
    return seconds / 60.0 + limits.hand_over_min


def _unfair(wishes: Wishes) -> tuple[str, ...]:
    ends = [
        tell("{club} {word}", club=club, word=term(word))
        for club, word in ((wishes.first, "first"), (wishes.last, "last"))
        if club is not None
    ]
    if not ends:
        return ()
    return (
        tell(
            "With {ends} as wished, warming up and tiring are not balanced for it: a wider answer.",
            ends=join(tell(" and "), ends),
        ),
    )
