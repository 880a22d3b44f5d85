"""The brief of a visit's slot, and who takes part in its trial."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from bagwright.bay import visits
from bagwright.bay.live import changed
from bagwright.errors import InputError
from bagwright.plain import plain
from bagwright.store.convert import core_bag, core_table
from bagwright.store.models import Account, Candidate, Club, Visit
from bagwright.trial.brief import Brief, RankedBuild, write_brief
from bagwright.units import System

MOST = 6


@dataclass(frozen=True, slots=True)
class Ranked:
    """One build that may take part: its row, what the brief says of it, and whether it takes part."""

    club: Club
    held: RankedBuild | None
    takes_part: bool
    present: bool
    worth: bool


@dataclass(frozen=True, slots=True)
class Briefed:
    """The brief with its builds, or why there is none yet."""

    brief: Brief | None
    builds: tuple[Ranked, ...]
    why_not: str


def could_join(visit: Visit) -> list[Club]:
    """Builds of this player that do not take part yet and may."""
    inside = visit.candidates.filter(left_at__isnull=True).values_list("club_id", flat=True)
    clubs = visit.player.clubs.filter(removed_at__isnull=True, status__in=("candidate", "carried", "spare"))
    return list(clubs.exclude(kind="putter").exclude(pk__in=list(inside)))


def brief_of(visit: Visit, system: System) -> Briefed:
    """What the slot must do, from the bag and earlier shots, and the player's builds ranked for it."""
    pool = _pool(visit)
    rivals = [club for club in pool if club.pk != visit.slot_id]
    if not rivals:
        return Briefed(
            None,
            _ranked(visit, pool, None),
            _("No build is there to try. Add candidates to the bag, or take them from the rack."),
        )
    names = [club.name for club in pool]
    try:
        brief = write_brief(names, core_bag(visit.player), _fits(visit), spot_m=visit.spot_m, system=system)
    except InputError as error:
        return Briefed(None, _ranked(visit, pool, None), str(error))
    return Briefed(brief, _ranked(visit, pool, brief), "")


def _fits(visit: Visit) -> Any:
    from bagwright.dispersion.fit import fit_dispersion

    table = core_table(visit.player.visits.all())
    bag = core_bag(visit.player)
    return fit_dispersion(table, bag.player, bag) if table.n else None


def _pool(visit: Visit) -> list[Club]:
    """The club in the slot first, then every candidate build and whoever takes part already."""
    inside = set(visit.candidates.filter(left_at__isnull=True).values_list("club_id", flat=True))
    clubs = [club for club in visit.player.clubs.filter(removed_at__isnull=True) if club.kind != "putter"]
    found = [club for club in clubs if club.pk == visit.slot_id]
    kinds = {"wedge", "iron"} if found and found[0].kind in ("wedge", "iron") else None
    for club in clubs:
        fits = kinds is None or club.kind in kinds or club.pk in inside
        if club not in found and (club.pk in inside or (club.status == "candidate" and fits)):
            found.append(club)
    return found


def _ranked(visit: Visit, pool: Sequence[Club], brief: Brief | None) -> tuple[Ranked, ...]:
    inside = set(visit.candidates.filter(left_at__isnull=True).values_list("club_id", flat=True))
    held = {}
    worth = set()
    if brief is not None:
        held = {one.club: one for one in (*brief.candidates, *brief.not_worth_hitting)}
        worth = {one.club for one in brief.candidates}
    rows = [
        Ranked(
            club,
            held.get(club.name),
            club.pk in inside or (not inside and club.name in worth),
            club.pk == visit.slot_id,
            brief is None or club.name in worth,
        )
        for club in pool
    ]
    return tuple(sorted(rows, key=lambda r: (not r.present, -(r.held.probability if r.held else 0.0))))


@transaction.atomic
def set_slot(visit: Visit, values: dict[str, Any], version: int) -> None:
    """Say which club is in the slot and how to decide. A driver's slot is decided by carry unless said."""
    slot = values.get("slot")
    words = slot.name if slot is not None else _("a free place")
    before = visit.slot_id
    visits.describe(visit, {**values, "slot_words": words}, version)
    if slot is not None and before != slot.pk and slot.kind == "driver" and visit.measure == "miss":
        Visit.objects.filter(pk=visit.pk).update(measure="carry")
    visit.candidates.update(present=False)
    visit.candidates.filter(club=slot).update(present=True)


@transaction.atomic
def choose(account: Account | None, visit: Visit, club_ids: Sequence[str]) -> None:
    """Let these builds take part, the club in the slot with them. Raises InputError for fewer than two."""
    wanted = [int(text) for text in club_ids if text.isdecimal()]
    if visit.slot_id is not None and visit.slot_id not in wanted:
        wanted.insert(0, visit.slot_id)
    clubs = {c.pk: c for c in visit.player.clubs.filter(pk__in=wanted, removed_at__isnull=True)}
    chosen = [clubs[pk] for pk in dict.fromkeys(wanted) if pk in clubs]
    if not 2 <= len(chosen) <= MOST:
        raise InputError(
            _("%(n)s builds were chosen.") % {"n": len(chosen)},
            _("A trial has two to six; the club now in the slot is one of them."),
        )
    if visit.slot is not None:
        chosen.sort(key=lambda club: club.pk != visit.slot_id)
    Candidate.objects.filter(visit=visit).exclude(club__in=chosen).update(left_at=timezone.now())
    for place, club in enumerate(chosen):
        Candidate.objects.update_or_create(
            visit=visit,
            club=club,
            defaults={"position": place, "present": club.pk == visit.slot_id, "left_at": None},
            create_defaults={
                "position": place,
                "present": club.pk == visit.slot_id,
                "added_after": visit.shot_count,
            },
        )
    briefed = brief_of(visit, "metres")
    Visit.objects.filter(pk=visit.pk).update(
        brief=plain(briefed.brief) if briefed.brief else {}, version=F("version") + 1
    )
    changed(visit)
