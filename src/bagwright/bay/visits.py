"""Visits: started, described, finished."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.db.models import F, QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from bagwright.bay import audit
from bagwright.bay.errors import ChangedMeanwhileError
from bagwright.bay.live import changed
from bagwright.bay.notes import note_of
from bagwright.bay.players import is_minor
from bagwright.errors import InputError
from bagwright.store.models import Account, Player, Visit
from bagwright.words import tell

OFFERED = (
    "place", "indoors", "surface", "ball", "temperature_k", "pressure_pa", "altitude_m", "humidity", "firmness",
    "device_grade", "adjusted", "spin", "entry_form", "watched_folder", "minutes",
)  # fmt: skip
"""What the last visit's values are offered for; wind and alignment are looked at anew each time."""
MOST_REASON = 500
KINDS = ("fitting", "delivery", "check")


@transaction.atomic
def start_visit(player: Player, account: Account, kind: str, parent: Visit | None = None) -> Visit:
    """Start a visit with the last one's conditions offered.

    Raises InputError for a minor without guardian or consent, a player without consent, an unknown kind.
    """
    if kind not in KINDS:
        raise InputError(
            tell('"{word}" is no kind of visit.', word=kind[:20]),
            tell("Use {words}.", words=", ".join(KINDS)),
        )
    may_start(player)
    last = player.visits.order_by("-started_at", "-pk").first()
    values: dict[str, Any] = {}
    if last is not None:
        values = {name: getattr(last, name) for name in OFFERED}
    elif player.ball:
        values = {"ball": player.ball}
    visit = Visit.objects.create(
        player=player,
        coach=account,
        kind=kind,
        started_at=timezone.now(),
        parent=parent or (last if kind != "fitting" else None),
        **values,
    )
    audit.note(account, player, "visit started", kind)
    return visit


def may_start(player: Player) -> None:
    """Raise InputError, with the next step, while consent or a minor's guardian is missing."""
    if is_minor(player) and not player.guardian:
        raise InputError(
            _("%(name)s may be under 18, and no guardian is noted.") % {"name": player.name[:80]},
            _("Add the guardian's name and consent on the player's page, then start the visit."),
        )
    if player.consent_on is None:
        raise InputError(
            _("No consent of %(name)s is noted.") % {"name": player.name[:80]},
            _("Note on the player's page when and by whom it was given, then start the visit."),
        )


def offered_from(visit: Visit) -> Visit | None:
    """The visit whose conditions were offered to this one."""
    earlier = Visit.objects.filter(player_id=visit.player_id, started_at__lt=visit.started_at)
    return earlier.order_by("-started_at", "-pk").first()


@transaction.atomic
def describe(visit: Visit, values: dict[str, Any], version: int) -> Visit:
    """Set conditions as seen in `version`. Raises ChangedMeanwhileError when somebody else was faster."""
    done = Visit.objects.filter(pk=visit.pk, version=version).update(
        **values, version=F("version") + 1, changed_at=timezone.now()
    )
    if not done:
        raise ChangedMeanwhileError(
            _("This visit was changed on another screen meanwhile."),
            _("Your entries are below, nothing was saved. Look at what stands there now, then save again."),
        )
    visit.refresh_from_db()
    changed(visit)
    return visit


@transaction.atomic
def acknowledge(visit: Visit, what: str) -> None:
    """Note that the safety page, or the caution before flat-out swings, was read; the first time counts."""
    field = {"safety": "safety_at", "flat-out": "flat_out_at"}[what]
    Visit.objects.filter(pk=visit.pk, **{f"{field}__isnull": True}).update(**{field: timezone.now()})
    visit.refresh_from_db()
    changed(visit)


@transaction.atomic
def finish(account: Account | None, visit: Visit, *, again: bool = False) -> None:
    """Close a visit, or open it again. Nothing of it changes."""
    Visit.objects.filter(pk=visit.pk).update(finished_at=None if again else timezone.now())
    audit.note(account, visit.player, "visit opened again" if again else "visit finished")
    visit.refresh_from_db()
    changed(visit)


@transaction.atomic
def put_aside(account: Account | None, visit: Visit, why: str) -> None:
    """Put a visit aside: it counts nowhere, nothing of it is deleted, and it can be taken back.

    Raises InputError for a visit with balls and no reason, and for one whose decision stands in the bag.
    """
    visit = Visit.objects.select_for_update(of=("self",)).select_related("player").get(pk=visit.pk)
    reason = note_of(why)
    if len(reason) > MOST_REASON:
        raise InputError(
            _("The reason has %(n)s characters.") % {"n": len(reason)},
            _("Say it in at most %(most)s.") % {"most": MOST_REASON},
        )
    if not reason and visit.shots.exists():
        raise InputError(
            _("Balls were hit in this visit, and no reason was given."),
            _("Say why they shall not count; they are kept and can be taken back."),
        )
    if visit.decisions.filter(withdrawn_at__isnull=True).exists():
        raise InputError(
            _("A decision of this visit stands, and the bag may follow it."),
            _("Take the decision back first, then put the visit aside."),
        )
    Visit.objects.filter(pk=visit.pk).update(put_aside_why=reason, version=F("version") + 1)
    changed(visit)
    Visit.objects.filter(pk=visit.pk).update(put_aside_at=timezone.now())
    audit.note(account, visit.player, "visit put aside", str(visit.pk))


@transaction.atomic
def take_back(account: Account | None, visit: Visit) -> Visit:
    """Let a visit that was put aside count again, as it was."""
    Visit.with_put_aside.filter(pk=visit.pk).update(
        put_aside_at=None, put_aside_why="", version=F("version") + 1
    )
    back = Visit.objects.select_related("player").get(pk=visit.pk)
    audit.note(account, back.player, "visit taken back", str(back.pk))
    changed(back)
    return back


def aside(player: Player) -> QuerySet[Visit]:
    """The visits of a player that were put aside, the last one first."""
    found = Visit.with_put_aside.filter(player=player, put_aside_at__isnull=False)
    return found.order_by("-put_aside_at", "-pk")


def step_in_hand(visit: Visit) -> str:
    """The route of the page where the visit goes on."""
    if visit.finished_at is not None:
        return "handover"
    if visit.safety_at is None:
        return "intake"
    if visit.kind == "delivery":
        return "bay" if visit.deliveries.exists() else "delivery"
    if visit.kind == "check":
        return "bay" if visit.measurements.exists() else "check-measure"
    if not visit.candidates.exists():
        return "brief"
    if not visit.queue.exists() and visit.shot_count == 0:
        return "plan"
    return "bay"
