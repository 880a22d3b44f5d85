"""A fair order that lives through a visit: balls are hit in turn or out of it, skipped, moved, cut.

Every function gives a new queue and leaves the old one as it was, so that taking a step back is keeping the
queue from before it. No ball is ever lost: one that is not hit stays in the order as skipped, and one that
was not planned is kept as an extra.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from bagwright.bag.club import Player
from bagwright.errors import InputError
from bagwright.shots.record import SWINGS
from bagwright.trial import cautions, say
from bagwright.trial.order import apart_of, changes
from bagwright.trial.plan import LEAST_WARM_UP, Dropped, Plan, PlanLimits
from bagwright.words import join, tell, term

State = Literal["waiting", "hit", "skipped"]
USUAL_LIMITS = PlanLimits()


@dataclass(frozen=True, slots=True)
class LiveBall:
    """One ball of the order at place `n`; `number` is its ball number in the visit once it was hit."""

    n: int
    club: str
    swing: str
    warm_up: bool = False
    state: State = "waiting"
    number: int | None = None
    first_after_change: bool = False


@dataclass(frozen=True, slots=True)
class ExtraBall:
    """A ball that was hit without being planned."""

    club: str
    swing: str
    number: int


@dataclass(frozen=True, slots=True)
class Joined:
    """A candidate that came in mid-visit, after so many test balls of the others."""

    club: str
    after: int


@dataclass(frozen=True, slots=True)
class Queue:
    """The order of a visit as it stands now; `dropped` are balls that limits took out, with the reason.

    `already_hit` are balls of the same day that are not in this order. `limits` are those of any player;
    `own_limits` are halved where the player's must be.
    """

    balls: tuple[LiveBall, ...] = ()
    extras: tuple[ExtraBall, ...] = ()
    limits: PlanLimits = USUAL_LIMITS
    player: Player | None = None
    block: int = 3
    already_hit: int = 0
    joined: tuple[Joined, ...] = ()
    dropped: tuple[Dropped, ...] = ()

    @property
    def own_limits(self) -> PlanLimits:
        """The limits of this player."""
        return self.limits.for_player(self.player)

    @property
    def waiting(self) -> tuple[LiveBall, ...]:
        """Balls that are still to be hit, in order."""
        return tuple(ball for ball in self.balls if ball.state == "waiting")

    @property
    def next_ball(self) -> LiveBall | None:
        """The ball that is due, None at the end."""
        return next((ball for ball in self.balls if ball.state == "waiting"), None)

    @property
    def hits(self) -> int:
        """Balls hit, planned or not; every one counts against the body's limits, whatever its mark."""
        return self.already_hit + len(self.extras) + sum(1 for ball in self.balls if ball.state == "hit")

    @property
    def allowed(self) -> int:
        """Balls that the visit's limit still allows."""
        return max(0, self.own_limits.visit_balls - self.hits)

    @property
    def left(self) -> int:
        """Balls of the order that are still to be hit."""
        return len(self.waiting)

    @property
    def warm_up_left(self) -> int:
        """Warm-up balls that are still to be hit."""
        return sum(1 for ball in self.waiting if ball.warm_up)

    @property
    def candidates(self) -> tuple[str, ...]:
        """Clubs with test balls that were hit or are to be hit, in the order of their first place."""
        return tuple(dict.fromkeys(b.club for b in self.balls if not b.warm_up and b.state != "skipped"))

    def hit_with(self, swing: str, club: str | None = None) -> int:
        """Balls hit with a swing, of one club or of all."""
        done: list[LiveBall | ExtraBall] = [ball for ball in self.balls if ball.state == "hit"]
        done += self.extras
        return sum(1 for ball in done if ball.swing == swing and club in (None, ball.club))

    def flat_out_left(self, club: str) -> int:
        """Flat-out balls that the limits still allow with this club."""
        own = self.own_limits
        each = own.flat_out_each - self.hit_with("flat-out", club)
        return max(0, min(each, own.flat_out_visit - self.hit_with("flat-out"), self.allowed))

    def minutes_left(self, ball_s: float | None = None) -> float:
        """Minutes that the waiting balls and the handing over take.

        `ball_s` is the pace of this visit in seconds a ball, changes of club included; None takes the usual.
        """
        own, waiting = self.own_limits, self.waiting
        if not waiting:
            return 0.0
        last = last_hit(self)
        clubs = [*([last.club] if last else []), *(ball.club for ball in waiting)]
        usual = len(waiting) * own.ball_s + changes(clubs) * own.change_s
        seconds = usual if ball_s is None else len(waiting) * ball_s
        return seconds / 60.0 + own.hand_over_min


def queue_of(
    plan: Plan,
    *,
    player: Player | None = None,
    limits: PlanLimits = USUAL_LIMITS,
    block: int = 3,
    already_hit: int = 0,
) -> Queue:
    """The queue of a plan, every ball waiting."""
    balls = tuple(LiveBall(ball.n, ball.club, ball.swing, ball.warm_up) for ball in plan.order)
    return within_limits(renumbered(Queue(balls, (), limits, player, block, already_hit)))


def last_hit(queue: Queue) -> LiveBall | ExtraBall | None:
    """The ball that was hit last."""
    done: list[LiveBall | ExtraBall] = [ball for ball in queue.balls if ball.number is not None]
    return max([*done, *queue.extras], key=lambda ball: ball.number or 0, default=None)


def renumbered(queue: Queue) -> Queue:
    """The same balls with places from 1 and the first after each change of club marked."""
    last = last_hit(queue)
    club = last.club if last else None
    balls = []
    for n, ball in enumerate(queue.balls, start=1):
        first = ball.first_after_change
        if ball.state == "waiting":
            first, club = club is not None and ball.club != club, ball.club
        balls.append(replace(ball, n=n, first_after_change=first))
    return replace(queue, balls=tuple(balls))


def ball_at(queue: Queue, n: int, state: State) -> LiveBall:
    """The ball at place n. Raises InputError where there is none in this state."""
    ball = queue.balls[n - 1] if 1 <= n <= len(queue.balls) else None
    if ball is None:
        raise InputError(
            tell("The order has no ball {n}.", n=n),
            tell("Choose one of its {balls} balls.", balls=len(queue.balls)),
        )
    if ball.state != state:
        raise InputError(
            tell("Ball {n} is {state}.", n=n, state=term(ball.state)),
            tell("Choose one that is {state}.", state=term(state)),
        )
    return ball


def _set(queue: Queue, n: int, ball: LiveBall) -> Queue:
    balls = (*queue.balls[: n - 1], ball, *queue.balls[n:])
    return renumbered(replace(queue, balls=balls))


def skip(queue: Queue, n: int | None = None) -> Queue:
    """Leave out the next ball, or the waiting ball at place n; it stays in the order as skipped."""
    due = queue.next_ball
    if n is None:
        if due is None:
            raise InputError(tell("No ball is left to skip."), tell("The order is at its end."))
        n = due.n
    return _set(queue, n, replace(ball_at(queue, n, "waiting"), state="skipped"))


def bring_back(queue: Queue, n: int) -> Queue:
    """Let a skipped ball wait again at its place. Raises InputError where a limit has no room for it."""
    ball = ball_at(queue, n, "skipped")
    back = _set(queue, n, replace(ball, state="waiting"))
    reason = _excess(back)
    if reason:
        raise InputError(
            tell("Ball {n} cannot come back: {reason}.", n=n, reason=reason[1]),
            tell("Skip another ball first."),
        )
    return _warm_up_first(back)


def move(queue: Queue, from_n: int, to_n: int) -> Queue:
    """Put the waiting ball at one place to the place of another waiting ball; those between make room.

    Raises InputError for a place without a waiting ball, and where a test ball would come before a warm-up
    ball.
    """
    ball_at(queue, from_n, "waiting")
    ball_at(queue, to_n, "waiting")
    places = [ball.n for ball in queue.waiting]
    order = list(queue.waiting)
    order.insert(places.index(to_n), order.pop(places.index(from_n)))
    if any(b.warm_up and not a.warm_up for a, b in pairwise(order)):
        raise InputError(
            tell("A test ball would come before the warm-up ends."), tell("Skip the warm-up balls first.")
        )
    return _rearranged(queue, order)


def _rearranged(queue: Queue, order: Sequence[LiveBall]) -> Queue:
    """The waiting balls in another order at their places."""
    balls = list(queue.balls)
    for place, ball in zip((ball.n for ball in queue.waiting), order, strict=True):
        balls[place - 1] = ball
    return renumbered(replace(queue, balls=tuple(balls)))


def _warm_up_first(queue: Queue) -> Queue:
    """A ball that waits again never stands before a warm-up ball."""
    return _rearranged(queue, sorted(queue.waiting, key=lambda ball: not ball.warm_up))


def hit(queue: Queue, club: str, swing: str = "stock") -> Queue:
    """Note a ball that was really hit: the next waiting one of that club and swing, else an extra.

    It is never refused, since it was hit; what waits is cut where a limit has no room for it any more.
    """
    _check_swing(swing)
    last = last_hit(queue)
    number = ((last.number or 0) if last else 0) + 1
    changed = last is not None and last.club != club
    for ball in queue.waiting:
        if (ball.club, ball.swing) == (club, swing):
            done = replace(ball, state="hit", number=number, first_after_change=changed)
            return _set(queue, ball.n, done)
    return within_limits(renumbered(replace(queue, extras=(*queue.extras, ExtraBall(club, swing, number)))))


def take_back(queue: Queue, number: int) -> Queue:
    """Take back that a ball was hit: a planned one waits again at its place, an extra is gone."""
    for ball in queue.balls:
        if ball.number == number:
            back = _set(queue, ball.n, replace(ball, state="waiting", number=None))
            return within_limits(_warm_up_first(back))
    extras = tuple(ball for ball in queue.extras if ball.number != number)
    if len(extras) == len(queue.extras):
        raise InputError(
            tell("No ball of the order has number {number}.", number=number),
            tell("Take back one that was hit."),
        )
    return renumbered(replace(queue, extras=extras))


def leave(queue: Queue, club: str) -> Queue:
    """Let a candidate leave: its waiting test balls are skipped, what was hit stays."""
    if club not in queue.candidates:
        raise InputError(
            tell('"{club}" takes no part.', club=club[:60]),
            tell("Choose {listed}.", listed=say.listed(queue.candidates, "or")),
        )
    balls = tuple(
        replace(ball, state="skipped")
        if ball.club == club and ball.state == "waiting" and not ball.warm_up
        else ball
        for ball in queue.balls
    )
    return renumbered(replace(queue, balls=balls))


def with_player(queue: Queue, player: Player | None) -> Queue:
    """The queue for a player of whom something new is known, such as pain: limits may halve, balls go."""
    return within_limits(replace(queue, player=player))


def _check_swing(swing: str) -> None:
    if swing not in SWINGS:
        raise InputError(
            tell('"{swing}" is no swing.', swing=swing[:40]),
            tell("Use {swings}.", swings=join(", ", map(term, SWINGS))),
        )


# --- limits ----------------------------------------------------------------------------------------------


def within_limits(queue: Queue) -> Queue:
    """Cut waiting balls, the least useful first, until all limits hold; each is named in `dropped`."""
    while reason := _excess(queue):
        victims, words = reason
        queue = cut(queue, victims, words)
    return queue


def _excess(queue: Queue) -> tuple[tuple[LiveBall, ...], str] | None:
    """Waiting balls of which one must go, and why; None where all limits hold."""
    own = queue.own_limits
    flat = tuple(ball for ball in queue.waiting if ball.swing == "flat-out")
    for club in dict.fromkeys(ball.club for ball in flat):
        mine = tuple(ball for ball in flat if ball.club == club)
        if len(mine) + queue.hit_with("flat-out", club) > own.flat_out_each:
            return mine, tell(
                "at most {flat_out_each} flat-out swings with one club", flat_out_each=own.flat_out_each
            )
    if flat and len(flat) + queue.hit_with("flat-out") > own.flat_out_visit:
        return flat, tell(
            "at most {flat_out_visit} flat-out swings a visit", flat_out_visit=own.flat_out_visit
        )
    if queue.waiting and queue.hits + queue.left > own.visit_balls:
        return least_useful(queue), tell("at most {visit_balls} balls a visit", visit_balls=own.visit_balls)
    return None


def least_useful(queue: Queue) -> tuple[LiveBall, ...]:
    """Waiting balls that may go first: flat-out, gripped-down, then those of the club with most balls."""
    test = tuple(ball for ball in queue.waiting if not ball.warm_up)
    for swing in ("flat-out", "gripped-down"):
        some = tuple(ball for ball in test if ball.swing == swing)
        if some:
            return some
    if not test:
        return queue.waiting[-1:]
    counts = counts_of(queue)
    most = max(dict.fromkeys(ball.club for ball in test), key=lambda club: counts[club])
    return tuple(ball for ball in test if ball.club == most)


def counts_of(queue: Queue) -> dict[str, int]:
    """Test balls of each candidate, hit and waiting and extra."""
    names = order_of(queue)
    return {club: names.count(club) for club in queue.candidates}


def order_of(queue: Queue) -> list[str]:
    """The candidates' balls as they were hit and are to be hit, warm-up left out."""
    clubs = set(queue.candidates)
    hit: list[LiveBall | ExtraBall] = [
        ball for ball in queue.balls if ball.state == "hit" and not ball.warm_up
    ]
    hit += [ball for ball in queue.extras if ball.club in clubs]
    done = [ball.club for ball in sorted(hit, key=lambda ball: ball.number or 0)]
    return done + [ball.club for ball in queue.waiting if not ball.warm_up]


def cut(queue: Queue, victims: Sequence[LiveBall], reason: str) -> Queue:
    """Take out the one of these waiting balls whose going leaves the order most even."""
    counts = {club: sum(1 for ball in victims if ball.club == club) for club in (b.club for b in victims)}
    most = [ball for ball in victims if counts[ball.club] == max(counts.values())]
    tried = [(_set(queue, ball.n, replace(ball, state="skipped")), ball) for ball in most]
    without, gone = min(tried, key=lambda pair: apart_of(order_of(pair[0])))
    key = ("" if gone.warm_up else gone.club, "warm-up" if gone.warm_up else gone.swing, reason)
    kept = [entry for entry in queue.dropped if (entry.club, entry.swing, entry.reason) != key]
    before = sum(entry.balls for entry in queue.dropped) - sum(entry.balls for entry in kept)
    return replace(without, dropped=(*kept, Dropped(key[0], key[1], before + 1, reason)))


# --- what to mind ----------------------------------------------------------------------------------------


def refusal(queue: Queue, club: str, swing: str) -> str:
    """Why this ball should not be hit now, "" where nothing speaks against it."""
    own = queue.own_limits
    if queue.allowed == 0:
        return tell("{balls} were hit: that is all for this visit.", balls=say.balls(queue.hits))
    if swing != "flat-out":
        return ""
    if queue.player is not None and queue.player.pain:
        return tell("The player reports pain: no flat-out swing.")
    if queue.hits < LEAST_WARM_UP:
        least = tell("a warm-up of {least_warm_up} balls or more", least_warm_up=LEAST_WARM_UP)
        return tell(
            "{balls} hit so far: flat-out only after {least}.", balls=say.balls(queue.hits), least=least
        )
    if queue.hit_with("flat-out") >= own.flat_out_visit:
        return tell(
            "{flat_out_visit} flat-out swings were hit: that is all for this visit.",
            flat_out_visit=own.flat_out_visit,
        )
    if queue.flat_out_left(club) == 0:
        return tell(
            "{flat_out_each} flat-out swings were hit with {club}: that is all for it.",
            flat_out_each=own.flat_out_each,
            club=club,
        )
    return ""


def needs_caution(queue: Queue) -> tuple[str, ...]:
    """What to read out before the visit's first flat-out ball when it is due, and why it must wait."""
    due = queue.next_ball
    if due is None or due.swing != "flat-out" or queue.hit_with("flat-out"):
        return ()
    refused = refusal(queue, due.club, due.swing)
    return (
        *((refused,) if refused else ()),
        *cautions.before_hitting(queue.player, flat_out=True, mat=False),
    )
