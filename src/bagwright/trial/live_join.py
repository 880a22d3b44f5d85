"""A candidate or a setting that comes in mid-visit: what is left is planned anew, its price is said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from bagwright.bag.club import Bag, Player
from bagwright.errors import InputError
from bagwright.shots.record import SWINGS
from bagwright.trial import say
from bagwright.trial.live import (
    Joined,
    LiveBall,
    Queue,
    counts_of,
    cut,
    order_of,
    renumbered,
    with_player,
    within_limits,
)
from bagwright.trial.live_fair import Fairness, fairness
from bagwright.trial.order import apart_of, mirrored, spread_swings
from bagwright.trial.plan import LEAST_EACH, Dropped
from bagwright.trial.slot import nearest_names
from bagwright.words import join, tell, term

_LONGEST_NAME = 200
_EXTRA_SHARE = 0.2


@dataclass(frozen=True, slots=True)
class Joining:
    """The new queue, how fair it is, and which balls had to go for the newcomer."""

    queue: Queue
    fairness: Fairness
    dropped: tuple[Dropped, ...]


def add_setting(
    queue: Queue,
    club: str,
    setting: str,
    swings: Sequence[str] | None = None,
    *,
    player: Player | None = None,
) -> Joining:
    """Let another setting of a candidate take part: a build of its own, called "Driver (+1°)"."""
    if club not in queue.candidates:
        raise InputError(
            tell('"{club}" takes no part, so it gets no other setting.', club=club[:60]),
            tell("Choose {listed}.", listed=say.listed(queue.candidates, "or")),
        )
    if not setting.strip():
        raise InputError(tell("The setting has no name."), tell('Name it, such as "+1°".'))
    return add_candidate(
        queue, tell("{club} ({split})", club=club, split=" ".join(setting.split())), swings, player=player
    )


def add_candidate(
    queue: Queue,
    club: str,
    swings: Sequence[str] | None = None,
    *,
    player: Player | None = None,
    bag: Bag | None = None,
) -> Joining:
    """Let one more club take part in mid-visit, with as many balls as the others have on average.

    What is left is planned anew: the newcomer's balls mirror around the middle of what is left, and the
    others' orders are kept or mirrored anew, whichever is more even. Where the visit's limit has no room,
    all clubs lose balls, those with most first. `swings` None takes those of the others; `player` and `bag`
    say more of the player, and which clubs there are.

    Raises InputError for a club that takes part already or that the bag does not have, without a trial, and
    where the limits leave no room for the least that judges anything.
    """
    name = club.strip()
    _check(queue, name, swings, bag)
    before = queue if player is None else with_player(queue, player)
    roomy, wanted, gone = _make_room(before, name, _wanted(before, name, swings))
    made = within_limits(_planned(roomy, name, wanted))
    if name not in before.candidates:
        after = len(order_of(before)) - sum(1 for ball in before.waiting if not ball.warm_up)
        made = replace(made, joined=(*made.joined, Joined(name, after)))
    dropped = tuple(entry for entry in made.dropped if entry not in queue.dropped)
    return Joining(made, fairness(made), (*dropped, *gone))


def _check(queue: Queue, name: str, swings: Sequence[str] | None, bag: Bag | None) -> None:
    if not name or len(name) > _LONGEST_NAME:
        raise InputError(
            tell('"{name}" is no name of a club.', name=name[:60]),
            tell("Give 1 to {longest_name} characters.", longest_name=_LONGEST_NAME),
        )
    if any(ball.club == name and not ball.warm_up for ball in queue.waiting):
        raise InputError(tell('"{name}" takes part already.', name=name[:60]), tell("Choose another club."))
    if not queue.candidates:
        raise InputError(tell("There is no trial to join."), tell("Plan one with two candidates or more."))
    if bag is not None and bag.clubs and bag.find(name) is None:
        names = [one.name for one in bag.clubs]
        raise InputError(tell('"{name}" is not in the bag.', name=name[:60]), nearest_names(name, names))
    for swing in swings or ():
        if swing not in SWINGS:
            raise InputError(
                tell('"{swing}" is no swing.', swing=swing[:40]),
                tell("Use {swings}.", swings=join(", ", map(term, SWINGS))),
            )


def _wanted(queue: Queue, name: str, swings: Sequence[str] | None) -> dict[str, int]:
    """Balls by swing of the newcomer: the others' mean, an even number, flat-out within its limits.

    One that comes back after it had left gets what it lacks.
    """
    still = {ball.club for ball in queue.waiting if not ball.warm_up}
    rivals = [club for club in queue.candidates if club in still] or list(queue.candidates)
    had = counts_of(queue).get(name, 0)
    each = sum(counts_of(queue)[club] for club in rivals) / len(rivals)
    usual = {swing: _mean(queue, swing, rivals) for swing in SWINGS}
    extra = max(2, _even(_EXTRA_SHARE * each))
    chosen = swings if swings is not None else [swing for swing in SWINGS if usual[swing] >= 1.0]
    wanted = {swing: _even(usual[swing]) or extra for swing in chosen if swing != "stock"}
    if "flat-out" in wanted:
        waiting = sum(1 for ball in queue.waiting if ball.swing == "flat-out")
        free = queue.own_limits.flat_out_visit - queue.hit_with("flat-out") - waiting
        wanted["flat-out"] = max(0, min(wanted["flat-out"], queue.flat_out_left(name), free)) // 2 * 2
    stock = max(2 if had else LEAST_EACH, _even(each - had - sum(wanted.values())))
    return {"stock": stock, **{swing: count for swing, count in wanted.items() if count}}


def _mean(queue: Queue, swing: str, clubs: Sequence[str]) -> float:
    """Test balls of a swing that each of these clubs has on average, hit and waiting."""
    planned = sum(
        1
        for ball in queue.balls
        if ball.club in clubs and ball.swing == swing and not ball.warm_up and ball.state != "skipped"
    )
    extra = sum(1 for ball in queue.extras if ball.swing == swing and ball.club in clubs)
    return (planned + extra) / len(clubs)


def _even(count: float) -> int:
    return int(count / 2.0 + 0.5) * 2


def _make_room(
    queue: Queue, name: str, wanted: dict[str, int]
) -> tuple[Queue, dict[str, int], tuple[Dropped, ...]]:
    """Take balls from the clubs with most, the newcomer's too, until all fit the visit's limit."""
    wanted = dict(wanted)
    reason = tell(
        "at most {visit_balls} balls a visit, shared with {name}",
        visit_balls=queue.own_limits.visit_balls,
        name=name,
    )
    gone: dict[str, int] = {}
    while queue.left + sum(wanted.values()) > queue.allowed:
        counts = counts_of(queue)
        counts[name] = counts.get(name, 0) + sum(wanted.values())
        giving = [one for one in counts if one != name and counts[one] > LEAST_EACH and _mine(queue, one)]
        if counts[name] - 2 >= LEAST_EACH and sum(wanted.values()) > 2:
            giving.append(name)
        if not giving:
            raise InputError(
                tell(
                    "Only {balls} are left for this visit: {name} finds no room.",
                    balls=say.balls(queue.allowed),
                    name=name[:60],
                ),
                tell("Let another candidate leave, or hit it in another visit."),
            )
        giver = max(giving, key=lambda one: counts[one])
        if giver == name:
            swing = min(wanted, key=lambda one: (one == "stock", wanted[one]))
            wanted[swing] -= 2
            gone[swing] = gone.get(swing, 0) + 2
            wanted = {one: count for one, count in wanted.items() if count}
        else:
            queue = cut(queue, _mine(queue, giver), reason)
    return queue, wanted, tuple(Dropped(name, swing, count, reason) for swing, count in gone.items())


def _mine(queue: Queue, club: str) -> tuple[LiveBall, ...]:
    """A club's waiting test balls, those of its less useful swings alone where it has some."""
    mine = tuple(ball for ball in queue.waiting if ball.club == club and not ball.warm_up)
    for swing in ("flat-out", "gripped-down"):
        some = tuple(ball for ball in mine if ball.swing == swing)
        if some:
            return some
    return mine


def _planned(queue: Queue, name: str, wanted: dict[str, int]) -> Queue:
    """What is left with the newcomer in it: the others' order kept, or all mirrored anew if more even."""
    done = [ball for ball in queue.balls if ball.state != "waiting"]
    warm = [ball for ball in queue.waiting if ball.warm_up]
    rest = [ball for ball in queue.waiting if not ball.warm_up]
    kept = _let_in(rest, name, wanted, queue.block)
    anew = _mirrored_anew(rest, name, wanted, queue.block)
    queues = [renumbered(replace(queue, balls=(*done, *warm, *order))) for order in (kept, anew)]
    return min(queues, key=lambda made: _unevenness(made, name))


def _unevenness(queue: Queue, name: str) -> float:
    """Over the whole visit: of the others among themselves, and of all with the newcomer."""
    order = order_of(queue)
    return apart_of([club for club in order if club != name]) + apart_of(order)


def _let_in(rest: Sequence[LiveBall], name: str, wanted: dict[str, int], block: int) -> list[LiveBall]:
    """The order as it is, with the newcomer's blocks in it at places that mirror around its middle."""
    half = sum(wanted.values()) // 2
    blocks = -(-half // block)
    sizes = [half * (i + 1) // blocks - half * i // blocks for i in range(blocks)]
    gaps = [(2 * i + 1) * len(rest) // (4 * blocks) for i in range(blocks)]
    at: dict[int, int] = {}
    for gap, size in zip(gaps, sizes, strict=True):
        for place in (gap, len(rest) - gap):
            at[place] = at.get(place, 0) + size
    newcomers = iter(spread_swings([name] * (2 * half), {name: wanted}))
    order: list[LiveBall] = []
    for place in range(len(rest) + 1):
        order += [LiveBall(0, name, next(newcomers)) for _ in range(at.get(place, 0))]
        order += rest[place : place + 1]
    return order


def _mirrored_anew(rest: Sequence[LiveBall], name: str, wanted: dict[str, int], block: int) -> list[LiveBall]:
    """All that is left in a new mirrored order; an odd ball of a club stands in its middle."""
    counts: dict[str, dict[str, int]] = {}
    for ball in rest:
        mine = counts.setdefault(ball.club, {})
        mine[ball.swing] = mine.get(ball.swing, 0) + 1
    counts[name] = dict(wanted)
    totals = {club: sum(mine.values()) for club, mine in counts.items()}
    even = {club: total // 2 * 2 for club, total in totals.items()}
    clubs = mirrored(tuple(counts), even, block)
    middle = len(clubs) // 2
    clubs[middle:middle] = [club for club, total in totals.items() if total % 2]
    swings = spread_swings(clubs, counts)
    return [LiveBall(0, club, swing) for club, swing in zip(clubs, swings, strict=True)]
