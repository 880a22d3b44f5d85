"""The order of balls as its page shows it: past and coming blocks, how fair it is, what had to go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from bagwright.bay.ordering import held
from bagwright.bay.planning import plan_step
from bagwright.store.models import PlannedBall, Visit
from bagwright.trial.live_fair import fairness
from bagwright.trial.plan import Dropped


@dataclass(frozen=True, slots=True)
class Block:
    """Balls in a row with one club."""

    club: str
    warm_up: bool
    balls: tuple[PlannedBall, ...]

    @property
    def skipped(self) -> tuple[PlannedBall, ...]:
        """Those that were left out."""
        return tuple(ball for ball in self.balls if ball.state == "skipped")

    @property
    def swings(self) -> tuple[tuple[PlannedBall, ...], ...]:
        """Its balls by swing, in the order in which the swings come."""
        found: dict[str, list[PlannedBall]] = {}
        for ball in self.balls:
            found.setdefault(ball.swing, []).append(ball)
        return tuple(tuple(balls) for balls in found.values())


@dataclass(frozen=True, slots=True)
class Order:
    """The order as the page shows it: past and coming blocks, what makes it less fair, what had to go."""

    past: tuple[Block, ...]
    coming: tuple[Block, ...]
    extras: int
    words: tuple[str, ...]
    dropped: tuple[Dropped, ...]

    @property
    def past_balls(self) -> int:
        """How many balls of the order were hit."""
        return sum(1 for block in self.past for ball in block.balls if ball.state == "hit")

    @property
    def left_out(self) -> int:
        """How many balls of the order were skipped."""
        return sum(len(block.skipped) for block in self.past)


def order_of(visit: Visit) -> Order:
    """Who hits what next, with how fair that is."""
    found = held(visit)
    past = [row for row in found.rows if row.state != "waiting"]
    coming = [row for row in found.rows if row.state == "waiting"]
    names = {key: name for name, key in found.clubs.items()}
    words = fairness(found.queue).words if coming and len(found.queue.candidates) > 1 else ()
    return Order(
        _blocks(past, names), _blocks(coming, names), len(found.queue.extras), words, _dropped(visit)
    )


def _blocks(rows: Sequence[PlannedBall], names: dict[int, str]) -> tuple[Block, ...]:
    runs = groupby(rows, key=lambda ball: (ball.club_id, ball.warm_up))
    return tuple(Block(names[club_id], warm_up, tuple(balls)) for (club_id, warm_up), balls in runs)


def _dropped(visit: Visit) -> tuple[Dropped, ...]:
    """What had to go since the order was made."""
    made = plan_step(visit)
    if made is None:
        return ()
    steps = visit.changes.filter(
        what__in=("plan", "plan-cut"), pk__gte=made.pk, undone_at__isnull=True, after__has_key="dropped"
    )
    return tuple(Dropped(*entry) for step in steps.order_by("pk") for entry in step.after["dropped"])
