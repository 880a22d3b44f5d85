"""The order of balls while it is followed: what is next, what is left, what a hit ball does to it."""

from __future__ import annotations

import statistics
from dataclasses import dataclass
from itertools import pairwise

from django.db import transaction
from django.utils import timezone

from bagwright.bay.ordering import held, write
from bagwright.bay.planning import plan_step
from bagwright.store.models import Change, PlannedBall, ShotRecord, Visit
from bagwright.trial import live

_PACE_OF = 20
_PACE_LEAST = 6
_PACE_S = (10.0, 240.0)
"""Seconds between two balls that say something of the pace: longer ones are a pause, shorter ones a pile."""


@dataclass(frozen=True, slots=True)
class Left:
    """What is left of a visit: balls of the order, minutes, balls that the body's limits still allow.

    `minutes` is what the order needs with handing over, at this visit's pace once it is known; `clock_min`
    what is left of the time that was given for it, below 0 when it is over, None where none was given.
    `refusal` says why the next ball should not be hit, "" where nothing speaks against it.
    """

    balls: int
    hit: int
    minutes: float
    allowed: int
    flat_out: int
    flat_out_allowed: int
    warm_up: int
    clock_min: float | None = None
    refusal: str = ""

    @property
    def late(self) -> bool:
        """True where the order needs more than the time that is left."""
        return self.clock_min is not None and self.balls > 0 and self.minutes > self.clock_min + 0.5


def next_ball(visit: Visit) -> PlannedBall | None:
    """The ball that is to be hit next, None at the end of the order or without one."""
    return visit.queue.filter(state="waiting").select_related("club").order_by("n").first()


def left_of(visit: Visit) -> Left:
    """What is left; every ball that was hit counts against the limits, also those that were marked."""
    queue = held(visit).queue
    own = queue.own_limits
    due = queue.next_ball
    flat_out = sum(1 for ball in queue.waiting if ball.swing == "flat-out")
    club, swing = (due.club, due.swing) if due is not None else ("", "stock")
    return Left(
        balls=queue.left,
        hit=queue.hits,
        minutes=queue.minutes_left(_pace_s(visit)),
        allowed=queue.allowed,
        flat_out=flat_out,
        flat_out_allowed=max(0, own.flat_out_visit - queue.hit_with("flat-out")),
        warm_up=queue.warm_up_left,
        clock_min=_clock_min(visit),
        refusal=live.refusal(queue, club, swing),
    )


def _pace_s(visit: Visit) -> float | None:
    """Seconds a ball of this visit's last ones, changes of club with them; None before it can be told."""
    typed = visit.shots.filter(undone_at__isnull=True, source="typed").order_by("-number")
    times = list(typed.values_list("hit_at", flat=True)[:_PACE_OF])
    gaps = [(later - sooner).total_seconds() for later, sooner in pairwise(times)]
    usual = [gap for gap in gaps if _PACE_S[0] <= gap <= _PACE_S[1]]
    return statistics.fmean(usual) if len(usual) >= _PACE_LEAST else None


def _clock_min(visit: Visit) -> float | None:
    made = plan_step(visit)
    minutes = made.after["wishes"].get("minutes") if made is not None else None
    if made is None or minutes is None or visit.finished_at is not None:
        return None
    gone = (timezone.now() - made.at).total_seconds() / 60.0
    # A clock that was set back since would promise more time than was given: then nothing is said.
    return float(minutes) - gone if 0 <= gone < 24 * 60 else None


@transaction.atomic
def record_hit(visit: Visit, shot: ShotRecord) -> PlannedBall | None:
    """Tick the next waiting ball of that club and swing; None where the ball was not planned.

    A ball that was not planned takes its place in the limits: what waits is cut where they have no more room.
    """
    ball = visit.queue.filter(state="waiting", club_id=shot.club_id, swing=shot.swing).order_by("n").first()
    if ball is None:
        _cut_to_limits(visit)
        return None
    earlier = visit.shots.filter(undone_at__isnull=True, number__lt=shot.number).order_by("-number")
    last = earlier.values_list("club_id", flat=True).first()
    first = last is not None and last != shot.club_id
    PlannedBall.objects.filter(pk=ball.pk).update(state="hit", shot=shot, first_after_change=first)
    _mark_changes(visit)
    return ball


def _cut_to_limits(visit: Visit) -> None:
    if not visit.queue.filter(state="waiting").exists():
        return
    before = held(visit)
    queue = live.within_limits(live.renumbered(before.queue))
    if queue.balls == before.queue.balls:
        return
    write(visit, before, queue)
    if queue.dropped:
        told = [[d.club, d.swing, d.balls, d.reason] for d in queue.dropped]
        Change.objects.create(visit=visit, what="plan-cut", after={"dropped": told})


@transaction.atomic
def unrecord(shot: ShotRecord) -> None:
    """Give a taken-back shot's ball its place in the order again."""
    if PlannedBall.objects.filter(shot=shot).update(state="waiting", shot=None):
        _mark_changes(shot.visit)


def _mark_changes(visit: Visit) -> None:
    """Say anew which waiting balls are the first after a change of club."""
    hit = visit.shots.filter(undone_at__isnull=True).order_by("-number")
    last = hit.values_list("club_id", flat=True).first()
    waiting = visit.queue.filter(state="waiting").order_by("n")
    wrong = []
    for key, club_id, marked in waiting.values_list("pk", "club_id", "first_after_change"):
        if marked != (last is not None and club_id != last):
            wrong.append((key, not marked))
        last = club_id
    for key, first in wrong:
        PlannedBall.objects.filter(pk=key).update(first_after_change=first)
