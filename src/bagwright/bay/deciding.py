"""How a visit's question ends: accepted, kept, left open; with what was known then, and a way back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.db import transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from bagwright.bay import audit
from bagwright.bay.board import BoardState, state_of
from bagwright.bay.live import changed
from bagwright.bay.planning import taking_part
from bagwright.errors import InputError
from bagwright.plain import plain
from bagwright.store.models import Account, Club, Decision, Visit
from bagwright.units import System

if TYPE_CHECKING:
    from bagwright.distances.table import Step


@dataclass(frozen=True, slots=True)
class Effect:
    """What carrying one candidate would do to the distances: the steps on either side, and findings."""

    name: str
    present: bool
    steps: tuple[Step, ...]
    findings: tuple[str, ...]


def standing(visit: Visit) -> Decision | None:
    """The decision that stands, None while there is none."""
    return visit.decisions.filter(withdrawn_at__isnull=True).select_related("choice").first()


def effects(visit: Visit, state: BoardState) -> tuple[Effect, ...]:
    """For each candidate the bag with it, and without its rivals, measured anew."""
    from dataclasses import replace

    from bagwright.distances import distances

    if state.fits is None:
        return ()
    names = [c.club.name for c in taking_part(visit)]
    found = []
    for candidate in taking_part(visit):
        name = candidate.club.name
        clubs = tuple(
            replace(club, status="carried") if club.name == name else club
            for club in state.bag.clubs
            if club.name == name or club.name not in names
        )
        table = distances(state.fits, replace(state.bag, clubs=clubs))
        steps = tuple(step for step in table.steps if name in (step.longer, step.shorter))
        words = tuple(
            f.in_system(state.system).words for f in table.findings if name in f.clubs and f.kind != "not hit"
        )
        found.append(Effect(name, candidate.present, steps, words))
    return tuple(found)


@transaction.atomic
def decide(
    account: Account | None,
    visit: Visit,
    *,
    outcome: str,
    choice: str,
    reason: str,
    player_word: str,
    change_bag: bool,
    system: System,
) -> Decision:
    """End the question: "accept" a candidate, "keep" the present club, or leave it "open".

    What was known then is kept with it. `change_bag` carries the accepted club and makes the replaced one a
    spare. A decision that stands is withdrawn first, never overwritten.
    """
    if outcome not in ("accept", "keep", "open"):
        raise InputError(f'"{outcome[:20]}" is no way to decide.', "Use accept, keep or open.")
    visit = Visit.objects.select_for_update().get(pk=visit.pk)
    club = _choice(visit, outcome, choice)
    state = state_of(visit, system)
    visit.decisions.filter(withdrawn_at__isnull=True).update(withdrawn_at=timezone.now())
    decision = Decision.objects.create(
        visit=visit,
        outcome=outcome,
        choice=club,
        reason=reason[:2000],
        player_word=player_word[:2000],
        verdict=plain(state.verdict) if state.verdict is not None else {},
        revision=state.revision,
        made_by=account,
    )
    if outcome == "accept" and change_bag and club is not None:
        _carry(visit, club)
    audit.note(account, visit.player, "decided", outcome)
    changed(visit)
    return decision


def _choice(visit: Visit, outcome: str, choice: str) -> Club | None:
    if outcome == "open":
        return None
    if outcome == "keep":
        if visit.slot is None:
            raise InputError(
                _("No club is in the slot now, so there is none to keep."), _("Accept one, or leave it open.")
            )
        return visit.slot
    found = next((c.club for c in taking_part(visit) if str(c.club_id) == choice), None)
    if found is None:
        raise InputError(_("No candidate was chosen."), _("Choose the one that the player takes."))
    return found


def _carry(visit: Visit, club: Club) -> None:
    """Carry the accepted club in the place of the one that was in the slot."""
    place = visit.slot.position if visit.slot is not None else club.position
    if visit.slot is not None and visit.slot_id != club.pk:
        Club.objects.filter(pk=visit.slot_id).update(status="spare", version=F("version") + 1)
    Club.objects.filter(pk=club.pk).update(status="carried", position=place, version=F("version") + 1)


@transaction.atomic
def withdraw(account: Account | None, visit: Visit) -> None:
    """Take the decision back; it stays in the visit as withdrawn. The bag goes back to what it was."""
    decision = standing(visit)
    if decision is None:
        return
    Decision.objects.filter(pk=decision.pk).update(withdrawn_at=timezone.now())
    slot = visit.slot
    if decision.outcome == "accept" and slot is not None and decision.choice_id not in (None, slot.pk):
        was_changed = slot.status == "spare"
        if was_changed:
            Club.objects.filter(pk=slot.pk).update(status="carried", version=F("version") + 1)
            Club.objects.filter(pk=decision.choice_id).update(status="candidate", version=F("version") + 1)
    audit.note(account, visit.player, "decision withdrawn")
    changed(visit)
