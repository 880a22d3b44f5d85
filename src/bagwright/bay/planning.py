"""The order of balls of a visit: made fair, followed, changed in mid-visit, taken back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from bagwright.bay.live import changed
from bagwright.errors import InputError
from bagwright.store.convert import core_bag, core_player
from bagwright.store.models import Account, Candidate, Change, Club, PlannedBall, ShotRecord, Visit
from bagwright.trial.plan import Plan, PlanLimits, plan_trial

LEAST_WARM_UP = 10


@dataclass(frozen=True, slots=True)
class Left:
    """What is left of a visit: balls of the order, minutes, balls that the body's limits still allow."""

    balls: int
    hit: int
    minutes: float
    allowed: int
    flat_out: int
    flat_out_allowed: int
    warm_up: int


def next_ball(visit: Visit) -> PlannedBall | None:
    """The ball that is to be hit next, None at the end of the order or without one."""
    return visit.queue.filter(state="waiting").select_related("club").order_by("n").first()


def left_of(visit: Visit) -> Left:
    """What is left; every ball that was hit counts against the limits, also those that were marked."""
    limits = PlanLimits().for_player(core_player(visit.player))
    waiting = list(visit.queue.filter(state="waiting").values_list("club_id", "swing", "warm_up"))
    hit = visit.shots.filter(undone_at__isnull=True)
    n = hit.count()
    flat = hit.filter(swing="flat-out").count()
    clubs = [club for club, _swing, _warm in waiting]
    swaps = sum(1 for a, b in pairwise(clubs) if a != b)
    seconds = len(waiting) * limits.ball_s + swaps * limits.change_s
    return Left(
        balls=len(waiting),
        hit=n,
        minutes=seconds / 60.0 + (limits.hand_over_min if waiting else 0.0),
        allowed=max(0, limits.visit_balls - n),
        flat_out=sum(1 for _club, swing, _warm in waiting if swing == "flat-out"),
        flat_out_allowed=max(0, limits.flat_out_visit - flat),
        warm_up=sum(1 for _club, _swing, warm in waiting if warm),
    )


@transaction.atomic
def make_plan(visit: Visit, wishes: dict[str, Any]) -> Plan:
    """Make the order for the visit's candidates and put it in place of what is still waiting.

    `wishes`: balls, minutes, swings, block, warm_up, rules. Balls that were hit stay in the order as they
    were. Raises InputError when even the smallest fair plan does not fit.
    """
    visit = Visit.objects.select_for_update().get(pk=visit.pk)
    names = [c.club.name for c in taking_part(visit)]
    if len(names) < 2:
        raise InputError(
            _("A fair order needs two candidates or more."), _("Choose them on the brief's page.")
        )
    hit = visit.shots.filter(undone_at__isnull=True).count()
    plan = plan_trial(
        names,
        balls=wishes.get("balls"),
        minutes=wishes.get("minutes"),
        player=core_player(visit.player),
        bag=core_bag(visit.player),
        swings=wishes.get("swings"),
        block=wishes.get("block", 3),
        warm_up=wishes.get("warm_up", 12),
        constraints=tuple(wishes.get("rules", ())),
        already_hit=hit,
    )
    before = _waiting(visit)
    _replace_waiting(visit, _rows_of(visit, plan, skip_warm_up=_warmed_up(visit)))
    _note(visit, before)
    changed(visit)
    return plan


def taking_part(visit: Visit) -> list[Candidate]:
    """The visit's candidates that have not left, in the order of the board."""
    return list(visit.candidates.filter(left_at__isnull=True).select_related("club"))


def _warmed_up(visit: Visit) -> bool:
    return visit.shots.filter(undone_at__isnull=True).count() >= LEAST_WARM_UP


def _rows_of(visit: Visit, plan: Plan, *, skip_warm_up: bool) -> list[dict[str, Any]]:
    clubs = {club.name: club.pk for club in visit.player.clubs.filter(removed_at__isnull=True)}
    return [
        {
            "club_id": clubs[ball.club],
            "swing": ball.swing,
            "warm_up": ball.warm_up,
            "first_after_change": ball.first_after_change,
        }
        for ball in plan.order
        if not (skip_warm_up and ball.warm_up)
    ]


def _waiting(visit: Visit) -> list[dict[str, Any]]:
    rows = visit.queue.filter(state="waiting").order_by("n")
    return [dict(row) for row in rows.values("club_id", "swing", "warm_up", "first_after_change")]


def _replace_waiting(visit: Visit, rows: Sequence[dict[str, Any]]) -> None:
    """Put these balls in place of the waiting ones; hit and skipped ones keep their numbers."""
    visit.queue.filter(state="waiting").delete()
    last = visit.queue.order_by("-n").values_list("n", flat=True).first() or 0
    last_club = visit.queue.order_by("-n").values_list("club_id", flat=True).first()
    made = []
    for i, row in enumerate(rows, start=1):
        first = last_club is not None and row["club_id"] != last_club
        made.append(PlannedBall(visit=visit, n=last + i, **{**row, "first_after_change": first}))
        last_club = row["club_id"]
    PlannedBall.objects.bulk_create(made)


def _note(visit: Visit, before: list[dict[str, Any]]) -> None:
    Change.objects.create(
        visit=visit, what="plan", before={"waiting": before}, after={"waiting": _waiting(visit)}
    )


@transaction.atomic
def skip(visit: Visit, ball_id: int) -> None:
    """Leave one waiting ball out; it stays in the order as skipped."""
    before = _waiting(visit)
    done = visit.queue.filter(pk=ball_id, state="waiting").update(state="skipped")
    if done:
        _note(visit, before)
        changed(visit)


@transaction.atomic
def move(visit: Visit, ball_id: int, by: int) -> None:
    """Move a waiting ball earlier (-1) or later (1) among the waiting ones."""
    ids = list(visit.queue.filter(state="waiting").order_by("n").values_list("pk", flat=True))
    if ball_id not in ids:
        return
    before = _waiting(visit)
    here = ids.index(ball_id)
    there = max(0, min(len(ids) - 1, here + by))
    rows = list(before)
    rows.insert(there, rows.pop(here))
    _replace_waiting(visit, rows)
    _note(visit, before)
    changed(visit)


@transaction.atomic
def undo(visit: Visit) -> bool:
    """Take the last change of the waiting balls back; False when there is none."""
    change = visit.changes.filter(what="plan", undone_at__isnull=True).first()
    if change is None:
        return False
    from django.utils import timezone

    clubs = set(visit.player.clubs.values_list("pk", flat=True))
    _replace_waiting(visit, [row for row in change.before["waiting"] if row["club_id"] in clubs])
    Change.objects.filter(pk=change.pk).update(undone_at=timezone.now())
    changed(visit)
    return True


@transaction.atomic
def join(account: Account | None, visit: Visit, club: Club) -> Candidate:
    """Let one more build take part; in mid-visit the waiting balls are planned anew with it.

    The newcomer's balls catch up: the new order gives every club the same number of further balls, and the
    newcomer as many more as the others have had, spread over all that is left.
    """
    if club.player_id != visit.player_id:
        raise InputError(_("This club is another player's."), _("Choose one of this player's clubs."))
    last = visit.candidates.order_by("-position").values_list("position", flat=True).first()
    candidate, _made = Candidate.objects.get_or_create(
        visit=visit,
        club=club,
        defaults={
            "position": 0 if last is None else last + 1,
            "present": visit.slot_id == club.pk,
            "added_after": visit.shot_count,
        },
    )
    Candidate.objects.filter(pk=candidate.pk).update(left_at=None)
    if visit.queue.filter(state="waiting").exists():
        _let_in(visit, club)
    changed(visit)
    return candidate


def _let_in(visit: Visit, club: Club) -> None:
    """Spread the newcomer's balls evenly through the waiting ones."""
    before = _waiting(visit)
    others = [row for row in before if not row["warm_up"]]
    rivals = max(1, len({row["club_id"] for row in others}))
    planned = max(4, round(len(others) / rivals / 2) * 2)
    had = visit.shots.filter(undone_at__isnull=True, club__in=[c.club_id for c in taking_part(visit)]).count()
    count = min(planned + had // rivals, len(others) + 4) // 2 * 2
    warm = [row for row in before if row["warm_up"]]
    rows: list[dict[str, Any]] = []
    new = {"club_id": club.pk, "swing": "stock", "warm_up": False, "first_after_change": False}
    for i, row in enumerate(others):
        due = round((i + 0.5) * count / max(1, len(others)))
        while sum(1 for r in rows if r["club_id"] == club.pk) < due:
            rows.append(dict(new))
        rows.append(row)
    while sum(1 for r in rows if r["club_id"] == club.pk) < count:
        rows.append(dict(new))
    _replace_waiting(visit, [*warm, *rows])
    _note(visit, before)


@transaction.atomic
def record_hit(visit: Visit, shot: ShotRecord) -> PlannedBall | None:
    """Tick the next waiting ball of that club and swing; None where the ball was not planned."""
    ball = visit.queue.filter(state="waiting", club_id=shot.club_id, swing=shot.swing).order_by("n").first()
    if ball is None:
        return None
    PlannedBall.objects.filter(pk=ball.pk).update(state="hit", shot=shot)
    return ball


@transaction.atomic
def unrecord(shot: ShotRecord) -> None:
    """Give a taken-back shot's ball its place in the order again."""
    PlannedBall.objects.filter(shot=shot).update(state="waiting", shot=None)


@dataclass(frozen=True, slots=True)
class Block:
    """Balls in a row with one club and swing."""

    club: str
    swing: str
    warm_up: bool
    balls: tuple[PlannedBall, ...]


def blocks_of(visit: Visit) -> list[Block]:
    """The order as who hits what next, balls of one club and swing together."""
    found: list[list[PlannedBall]] = []
    for ball in visit.queue.select_related("club").order_by("n"):
        last = found[-1][-1] if found else None
        same = last is not None and (last.club_id, last.swing, last.warm_up) == (
            ball.club_id,
            ball.swing,
            ball.warm_up,
        )
        if same:
            found[-1].append(ball)
        else:
            found.append([ball])
    return [Block(b[0].club.name, b[0].swing, b[0].warm_up, tuple(b)) for b in found]
