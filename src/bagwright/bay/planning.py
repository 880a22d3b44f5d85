"""The order of balls of a visit: made fair, changed in mid-visit, taken back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from django.db import transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from bagwright.bay.live import changed
from bagwright.bay.ordering import Held, held, restore, snapshot, write
from bagwright.errors import InputError
from bagwright.store.convert import core_bag, core_player
from bagwright.store.models import Account, Candidate, Change, Club, Visit
from bagwright.trial import live
from bagwright.trial.live_fair import worse
from bagwright.trial.live_join import add_candidate
from bagwright.trial.plan import LEAST_WARM_UP, Dropped, Plan, PlanLimits, plan_trial

MOST = 6
"""Most builds of one trial: more could not be told apart in a visit."""
LEAST = 2


def plan_step(visit: Visit) -> Change | None:
    """The step that made the order which is followed now."""
    return visit.changes.filter(what="plan", undone_at__isnull=True, after__has_key="wishes").first()


def wishes_of(visit: Visit) -> dict[str, Any]:
    """What the last order was asked to be, for the form; empty before the first."""
    made = plan_step(visit)
    return dict(made.after["wishes"]) if made is not None else {}


# --- made and changed ------------------------------------------------------------------------------------


@transaction.atomic
def make_plan(visit: Visit, wishes: dict[str, Any], by: Account | None = None) -> tuple[Dropped, ...]:
    """Make the order for the visit's candidates and put it in place of what is still waiting.

    `wishes`: balls, minutes, swings, block, warm_up, rules. Balls that were hit stay in the order as they
    were, and count for the warm-up and the limits. Gives what did not fit. Raises InputError when even the
    smallest fair plan does not fit.
    """
    visit = _locked(visit)
    names = [c.club.name for c in taking_part(visit)]
    if len(names) < LEAST:
        raise InputError(
            _("A fair order needs two candidates or more."), _("Choose them on the brief's page.")
        )
    before = held(visit, wishes.get("block", 3))
    plan, warm = _planned(visit, before.queue, names, wishes)
    _let_core_choose(visit, plan, names)
    kept = tuple(ball for ball in before.queue.balls if ball.state != "waiting")
    balls = tuple(live.LiveBall(0, b.club, b.swing, b.warm_up) for b in plan.order[warm:])
    queue = live.within_limits(live.renumbered(replace(before.queue, balls=(*kept, *balls))))
    dropped = (*plan.dropped, *queue.dropped)
    asked = {name: value for name, value in wishes.items() if value is not None}
    _keep(visit, before, queue, by, wishes=asked, dropped=dropped)
    Visit.objects.filter(pk=visit.pk).update(
        balls=wishes.get("balls"),
        rules=list(wishes.get("rules", ())),
        minutes=wishes.get("minutes") or F("minutes"),
    )
    return dropped


def _planned(visit: Visit, queue: live.Queue, names: list[str], wishes: dict[str, Any]) -> tuple[Plan, int]:
    """The plan, and how many of its first balls are not needed: whoever has hit balls is that much warmed up."""
    limits = PlanLimits()
    asked = int(wishes.get("warm_up", 12))
    done = min(queue.hits, asked)
    warmed = queue.hits >= LEAST_WARM_UP
    warm_up, not_needed = (LEAST_WARM_UP, LEAST_WARM_UP) if warmed else (asked, done)
    minutes = wishes.get("minutes")
    plan = plan_trial(
        names,
        balls=wishes.get("balls"),
        minutes=None if minutes is None else minutes + not_needed * limits.ball_s / 60.0,
        player=core_player(visit.player),
        bag=core_bag(visit.player),
        swings=wishes.get("swings"),
        block=wishes.get("block", 3),
        warm_up=warm_up,
        warm_up_clubs=names[:1] if warmed else None,
        constraints=tuple(wishes.get("rules", ())),
        already_hit=queue.hits - not_needed,
    )
    return plan, not_needed


def _let_core_choose(visit: Visit, plan: Plan, names: list[str]) -> None:
    """A carried club of the same loft or number always takes part, also where a free place was named."""
    more = {ball.club for ball in plan.order if not ball.warm_up} - set(names)
    for club in visit.player.clubs.filter(name__in=more, removed_at__isnull=True):
        _candidate(visit, club)
        visit.candidates.filter(club=club).update(present=True)


def taking_part(visit: Visit) -> list[Candidate]:
    """The visit's candidates that have not left, in the order of the board."""
    return list(visit.candidates.filter(left_at__isnull=True).select_related("club"))


def _locked(visit: Visit) -> Visit:
    return Visit.objects.select_for_update().get(pk=visit.pk)


def _taking(visit: Visit) -> list[int]:
    return [candidate.club_id for candidate in taking_part(visit)]


def _keep(
    visit: Visit,
    before: Held,
    queue: live.Queue,
    by: Account | None,
    *,
    taking: Sequence[int] | None = None,
    dropped: Sequence[Dropped] = (),
    **told: Any,
) -> None:
    """Store a changed order as one step that can be taken back. `taking` took part before it."""
    now = _taking(visit)
    rows = write(visit, before, queue)
    if dropped:
        told["dropped"] = [[d.club, d.swing, d.balls, d.reason] for d in dropped]
    Change.objects.create(
        visit=visit,
        made_by=by,
        what="plan",
        before={"balls": snapshot(before.rows), "taking": list(now if taking is None else taking)},
        after={"balls": snapshot(rows), "taking": now, **told},
    )
    changed(visit)


@transaction.atomic
def skip(visit: Visit, ball_id: int, by: Account | None = None, *, block: bool = False) -> str:
    """Leave a waiting ball out, or all of its block; it stays in the order as skipped.

    Gives what that does to the fairness of the order, "" where it does no harm.
    """
    visit = _locked(visit)
    before = held(visit)
    queue = before.queue
    for n in _run(before, ball_id) if block else [_place(before, ball_id, "waiting")]:
        queue = live.skip(queue, n)
    _keep(visit, before, queue, by)
    return worse(before.queue, queue)


@transaction.atomic
def bring_back(visit: Visit, ball_id: int, by: Account | None = None) -> None:
    """Let a skipped ball wait again. Raises InputError where a limit has no room for it."""
    visit = _locked(visit)
    before = held(visit)
    _keep(visit, before, live.bring_back(before.queue, _place(before, ball_id, "skipped")), by)


@transaction.atomic
def move(visit: Visit, ball_id: int, steps: int, by: Account | None = None) -> str:
    """Move one waiting ball earlier (-1) or later (1) among the waiting ones; at an end it stays."""
    visit = _locked(visit)
    before = held(visit)
    here = _place(before, ball_id, "waiting")
    places = [ball.n for ball in before.queue.waiting]
    there = places[max(0, min(len(places) - 1, places.index(here) + steps))]
    return _moved(visit, before, [(here, there)] if there != here else [], by)


@transaction.atomic
def move_block(visit: Visit, ball_id: int, steps: int, by: Account | None = None) -> str:
    """Move the block that begins with this ball before (-1) or behind (1) its neighbour; at an end it stays."""
    visit = _locked(visit)
    before = held(visit)
    mine = _run(before, ball_id)
    places = [ball.n for ball in before.queue.waiting]
    first, last = places.index(mine[0]), places.index(mine[-1])
    beside = first - 1 if steps < 0 else last + 1
    if not 0 <= beside < len(places):
        return ""
    other = _run(before, before.rows[places[beside] - 1].pk)
    step = (mine[0], other[-1]) if steps > 0 else (mine[-1], other[0])
    return _moved(visit, before, [step] * len(mine), by)


def _moved(visit: Visit, before: Held, pairs: Sequence[tuple[int, int]], by: Account | None) -> str:
    queue = before.queue
    for here, there in pairs:
        queue = live.move(queue, here, there)
    if queue.balls == before.queue.balls:
        return ""
    _keep(visit, before, queue, by)
    return worse(before.queue, queue)


def _place(before: Held, ball_id: int, state: str) -> int:
    place = before.place_of(ball_id)
    if place is None or before.rows[place - 1].state != state:
        raise InputError(
            _("This ball was hit, moved or left out on another screen meanwhile."),
            _("Look at the order as it is now, then choose again."),
        )
    return place


def _run(before: Held, ball_id: int) -> list[int]:
    """Places of the waiting balls in a row that are hit with this ball's club."""
    here = _place(before, ball_id, "waiting")
    waiting = before.queue.waiting
    middle = next(i for i, ball in enumerate(waiting) if ball.n == here)
    key = _key(waiting[middle])
    first = last = middle
    while first > 0 and _key(waiting[first - 1]) == key:
        first -= 1
    while last + 1 < len(waiting) and _key(waiting[last + 1]) == key:
        last += 1
    return [ball.n for ball in waiting[first : last + 1]]


def _key(ball: live.LiveBall) -> tuple[str, bool]:
    return ball.club, ball.warm_up


@transaction.atomic
def undo(visit: Visit, by: Account | None = None) -> bool:
    """Take the last change of the order back; False when there is none. A ball that was hit since stays hit."""
    visit = _locked(visit)
    change = visit.changes.filter(what="plan", undone_at__isnull=True, before__has_key="balls").first()
    if change is None:
        return False
    restore(visit, change.before["balls"])
    taking = change.before["taking"]
    visit.candidates.filter(club__in=taking).update(left_at=None)
    visit.candidates.exclude(club__in=taking).filter(left_at__isnull=True).update(left_at=timezone.now())
    Change.objects.filter(pk=change.pk).update(undone_at=timezone.now())
    changed(visit)
    return True


# --- who takes part --------------------------------------------------------------------------------------


@transaction.atomic
def join(account: Account | None, visit: Visit, club: Club) -> tuple[str, ...]:
    """Let one more build take part; what is left of an order is planned anew with it.

    Gives what it costs, in sentences. Raises InputError for a seventh build, another player's club, and
    where the limits leave no room.
    """
    visit = _locked(visit)
    if club.player_id != visit.player_id:
        raise InputError(_("This club is another player's."), _("Choose one of this player's clubs."))
    taking = _taking(visit)
    if club.pk in taking:
        raise InputError(
            _("%(name)s takes part already.") % {"name": club.name[:80]}, _("Choose another one.")
        )
    if len(taking) >= MOST:
        raise InputError(
            _("%(n)s builds take part already.") % {"n": len(taking)}, _("Let one leave, then choose again.")
        )
    before = held(visit, wishes_of(visit).get("block", 3))
    _candidate(visit, club)
    if not before.queue.candidates:
        changed(visit)
        return ()
    queue = replace(before.queue, joined=tuple(j for j in before.queue.joined if j.club != club.name))
    joining = add_candidate(queue, club.name)
    _keep(visit, before, joining.queue, account, taking=taking, dropped=joining.dropped)
    return joining.fairness.words


def _candidate(visit: Visit, club: Club) -> None:
    last = visit.candidates.order_by("-position").values_list("position", flat=True).first()
    made = {
        "position": 0 if last is None else last + 1,
        "present": visit.slot_id == club.pk,
        "added_after": visit.shot_count,
    }
    visit.candidates.update_or_create(club=club, defaults={"left_at": None}, create_defaults=made)


@transaction.atomic
def leave(account: Account | None, visit: Visit, club: Club) -> str:
    """Let a build leave the trial: its balls that wait are skipped, what was hit stays.

    Gives what that does to the fairness. The club in the slot stays, and so do two at least.
    """
    visit = _locked(visit)
    taking = _taking(visit)
    if club.pk == visit.slot_id:
        raise InputError(
            _("%(name)s is in the slot now: keeping it is one of the answers.") % {"name": club.name[:80]},
            _("Let another one leave."),
        )
    if club.pk not in taking or len(taking) <= LEAST:
        raise InputError(_("Two builds at least must take part."), _("Let another one join first."))
    return let_go(account, visit, club)


@transaction.atomic
def let_go(account: Account | None, visit: Visit, club: Club) -> str:
    """Let a build leave without asking who is left: whoever calls it sees to that."""
    taking = _taking(visit)
    before = held(visit)
    visit.candidates.filter(club=club).update(left_at=timezone.now())
    name = next((name for name, key in before.clubs.items() if key == club.pk), "")
    if name not in before.queue.candidates:
        changed(visit)
        return ""
    queue = live.leave(before.queue, name)
    _keep(visit, before, queue, account, taking=taking)
    return worse(before.queue, queue)
