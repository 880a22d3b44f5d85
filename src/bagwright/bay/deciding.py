"""How a visit's question ends: accepted, kept, left open; with what was known then, and a way back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from bagwright.bay import audit
from bagwright.bay.board import state_of
from bagwright.bay.errors import ChangedMeanwhileError
from bagwright.bay.language import here
from bagwright.bay.live import changed
from bagwright.bay.notes import note_of
from bagwright.bay.planning import taking_part
from bagwright.errors import InputError
from bagwright.plain import plain
from bagwright.store.models import Account, Change, Club, Decision, Delivery, Visit
from bagwright.trial.result import Verdict
from bagwright.units import System

_BAG_STEP = "decision"


@dataclass(frozen=True, slots=True)
class Seen:
    """What the page showed on which somebody decides: the visit's revision and the decision that stood."""

    revision: int
    standing: int = 0


@dataclass(frozen=True, slots=True)
class Said:
    """What was said: how it ends, which club, why, in whose words, and whether the bag follows at once."""

    outcome: str
    choice: str = ""
    reason: str = ""
    player_word: str = ""
    change_bag: bool = False


def standing(visit: Visit) -> Decision | None:
    """The decision that stands, None while there is none."""
    return visit.decisions.filter(withdrawn_at__isnull=True).select_related("choice").first()


def withdrawn(visit: Visit) -> list[Decision]:
    """Decisions that were taken back, the last first."""
    gone = visit.decisions.filter(withdrawn_at__isnull=False)
    return list(gone.select_related("choice", "made_by").order_by("-withdrawn_at", "-pk"))


def seen_now(visit: Visit) -> Seen:
    """What a page that is drawn now shows."""
    decision = standing(visit)
    return Seen(visit.revision, decision.pk if decision is not None else 0)


@transaction.atomic
def decide(account: Account | None, visit: Visit, said: Said, seen: Seen, system: System) -> Decision:
    """End the question: "accept" a candidate, "keep" the present club, or leave it "open".

    What was known then is kept with it. With `change_bag` the accepted club is carried and the one it
    replaces becomes a spare. A decision that stood is withdrawn first, never overwritten. Raises
    ChangedMeanwhileError where the board is no longer the one that was seen.
    """
    visit = Visit.objects.select_for_update(of=("self",)).select_related("player", "slot").get(pk=visit.pk)
    if said.outcome not in ("accept", "keep", "open"):
        raise InputError(
            _('"%(value)s" is no way to decide.') % {"value": said.outcome[:20]},
            _("Accept one, keep the present club, or leave it open."),
        )
    before = standing(visit)
    _refuse_unseen(visit, before, seen)
    club = _choice(visit, said)
    state = state_of(visit, system)
    if before is not None:
        _take_back(visit, before)
    decision = Decision.objects.create(
        visit=visit,
        outcome=said.outcome,
        choice=club,
        reason=note_of(said.reason),
        player_word=note_of(said.player_word),
        verdict=_known(state.verdict),
        revision=state.revision,
        made_by=account,
    )
    if said.outcome == "accept" and said.change_bag and club is not None:
        _carry(account, visit, club, decision)
    audit.note(account, visit.player, "decided", said.outcome)
    changed(visit)
    return decision


def _known(verdict: Verdict | None) -> dict[str, Any]:
    """What was known when it was decided; its sentence as whoever decided has read it."""
    return {**plain(verdict), "sentence": here(verdict.sentence)} if verdict is not None else {}


def _refuse_unseen(visit: Visit, before: Decision | None, seen: Seen) -> None:
    now = Seen(visit.revision, before.pk if before is not None else 0)
    if now.standing != seen.standing:
        raise ChangedMeanwhileError(
            _("Somebody else has decided on this visit since this page was opened."),
            _("Nothing was stored. Look at what stands now, then decide again if it should be changed."),
        )
    if now.revision != seen.revision:
        raise ChangedMeanwhileError(
            _("Balls, ratings or candidates were entered or changed since this page was opened."),
            _("Nothing was stored. The board below is the one of now: look again, then keep the decision."),
        )


def _choice(visit: Visit, said: Said) -> Club | None:
    if said.outcome == "open":
        return None
    if said.outcome == "keep":
        if visit.slot is None:
            raise InputError(
                _("No club is in the slot now, so there is none to keep."), _("Accept one, or leave it open.")
            )
        return visit.slot
    found = next((c.club for c in taking_part(visit) if str(c.club_id) == said.choice), None)
    if found is None:
        raise InputError(_("No candidate was chosen."), _("Choose the one that the player takes."))
    return found


def _carry(account: Account | None, visit: Visit, club: Club, decision: Decision) -> None:
    """Carry the accepted club in the place of the one in the slot; keep what was before for the way back."""
    ids = {club.pk, visit.slot_id or club.pk}
    # Read anew: a decision that was just taken back may have moved them.
    rows = {row.pk: row for row in Club.objects.select_for_update().filter(pk__in=ids)}
    before = [_bag_place(row) for row in rows.values()]
    place = rows[visit.slot_id or club.pk].position
    Club.objects.filter(pk__in=ids - {club.pk}).update(status="spare", version=F("version") + 1)
    Club.objects.filter(pk=club.pk).update(status="carried", position=place, version=F("version") + 1)
    after = [_bag_place(row) for row in Club.objects.filter(pk__in=ids)]
    Change.objects.create(
        visit=visit,
        made_by=account,
        what=_BAG_STEP,
        before={"clubs": before},
        after={"clubs": after, "decision": decision.pk},
    )


def _bag_place(club: Club) -> dict[str, Any]:
    return {"id": club.pk, "status": club.status, "position": club.position}


@transaction.atomic
def withdraw(account: Account | None, visit: Visit, seen_standing: int) -> tuple[str, ...]:
    """Take the decision back; it stays in the visit as withdrawn, and the bag goes back to what it was.

    Returns the names of clubs that were left as they are, as somebody changed their place since. Raises
    ChangedMeanwhileError where another decision stands than the one that was seen.
    """
    visit = Visit.objects.select_for_update(of=("self",)).select_related("player").get(pk=visit.pk)
    decision = standing(visit)
    if decision is None or decision.pk != seen_standing:
        raise ChangedMeanwhileError(
            _("The decision that was to be taken back no longer stands."),
            _("Somebody else was faster. Look at what stands now."),
        )
    left = _take_back(visit, decision)
    audit.note(account, visit.player, "decision withdrawn")
    changed(visit)
    return left


def too_many(visit: Visit) -> list[Club]:
    """Built clubs that are carried although their decision was taken back, beside the one that is in the slot again."""
    slot = visit.slot
    if standing(visit) is not None or slot is None or slot.status != "carried" or slot.removed_at is not None:
        return []
    chosen = [one.choice_id for one in withdrawn(visit) if one.outcome == "accept" and one.choice_id]
    built = Club.objects.filter(
        pk__in=Delivery.objects.filter(club_id__in=chosen, accepted=True).values("made_id"),
        player=visit.player, status="carried", removed_at__isnull=True,
    )  # fmt: skip
    return list(built.exclude(pk=slot.pk).order_by("position", "pk"))


@transaction.atomic
def make_spare(account: Account | None, visit: Visit, club_id: int) -> Club:
    """Put one of these built clubs beside the bag; its balls stay. Raises InputError for any other club."""
    visit = Visit.objects.select_for_update(of=("self",)).select_related("player", "slot").get(pk=visit.pk)
    club = next((one for one in too_many(visit) if one.pk == club_id), None)
    if club is None:
        raise InputError(_("This club is not one too many any more."), _("Look at the bag as it is now."))
    Club.objects.filter(pk=club.pk).update(status="spare", version=F("version") + 1)
    audit.note(account, visit.player, "club status", f"{club.pk}: carried > spare")
    changed(visit)
    return club


def _take_back(visit: Visit, decision: Decision) -> tuple[str, ...]:
    Decision.objects.filter(pk=decision.pk).update(withdrawn_at=timezone.now())
    step = visit.changes.filter(what=_BAG_STEP, undone_at__isnull=True, after__decision=decision.pk).first()
    if step is None:
        return ()
    left = []
    for was, became in zip(
        sorted(step.before["clubs"], key=_by_id), sorted(step.after["clubs"], key=_by_id), strict=True
    ):
        rows = Club.objects.filter(pk=was["id"], status=became["status"], position=became["position"])
        if not rows.update(status=was["status"], position=was["position"], version=F("version") + 1):
            left += list(Club.objects.filter(pk=was["id"]).values_list("name", flat=True))
    Change.objects.filter(pk=step.pk).update(undone_at=timezone.now())
    return tuple(left)


def _by_id(row: dict[str, Any]) -> int:
    return int(row["id"])
