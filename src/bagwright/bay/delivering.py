"""Delivery: the built club against its sheet, then against the tested one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from bagwright.bag.measured import TEXTS, TOLERANCE, FieldCheck, as_built
from bagwright.bay import audit
from bagwright.bay.live import changed
from bagwright.dispersion.fit import fit_dispersion
from bagwright.distances.compare import ClubChange, balls_to_settle, change_of
from bagwright.errors import InputError
from bagwright.store.convert import core_bag, core_table
from bagwright.store.models import Account, Candidate, Club, Decision, Delivery, Visit

FIELDS = (*TOLERANCE, *TEXTS)
_NUMBERS = frozenset(TOLERANCE)
_COPIED = (
    "kind",
    "number",
    "head",
    "sole",
    "construction",
    "use",
    "stamped_loft_deg",
    "stamped_lie_angle_deg",
)


def ordered(visit: Visit) -> list[Club]:
    """Clubs that may have been built: those that earlier visits decided on, then every candidate."""
    decided = Decision.objects.filter(
        visit__player_id=visit.player_id, withdrawn_at__isnull=True, choice__isnull=False
    ).order_by("-pk")
    found = {d.choice_id: d.choice for d in decided.select_related("choice") if d.choice is not None}
    for club in visit.player.clubs.filter(removed_at__isnull=True, status="candidate"):
        found.setdefault(club.pk, club)
    return [club for club in found.values() if club.removed_at is None]


def wanted_of(club: Club) -> dict[str, Any]:
    """What the sheet asked for: the tested build with its proposed changes."""
    wanted: dict[str, Any] = {name: getattr(club, name) for name in FIELDS}
    for name, value, _reason in club.proposed:
        if name in _NUMBERS:
            try:
                wanted[name] = float(str(value).replace(",", ".").rstrip("° "))
            except ValueError:
                wanted[name] = None
        elif name in wanted:
            wanted[name] = value
    return wanted


def checks_of(delivery: Delivery) -> tuple[FieldCheck, ...]:
    """The sheet's fields against the built ones."""
    return as_built(delivery.wanted, delivery.built)


@transaction.atomic
def deliver(
    account: Account | None, visit: Visit, club: Club, built: Mapping[str, Any], *, accepted: bool, note: str
) -> Delivery:
    """Store what was measured on the built club; an accepted one becomes a club of its own, which can be hit.

    Raises InputError for a club that is not this player's, or when nothing was measured.
    """
    if club.player_id != visit.player_id:
        raise InputError(_("This club is another player's."), _("Choose one of this player's clubs."))
    values = {name: built.get(name) for name in FIELDS}
    if all(value in (None, "") for value in values.values()):
        raise InputError(_("Nothing was measured."), _("Measure loft, lie angle and length at least."))
    delivery = Delivery.objects.create(
        visit=visit, club=club, wanted=wanted_of(club), built=values, accepted=accepted, note=note[:2000]
    )
    if accepted:
        _take(visit, club, values)
    audit.note(account, visit.player, "delivered" if accepted else "sent back")
    changed(visit)
    return delivery


def _take(visit: Visit, club: Club, values: dict[str, Any]) -> Club:
    """Make the built club, and let both take part in the visit, so that they can be hit in turns."""
    name = f"{club.name[:180]} (built)"
    there = visit.player.clubs.filter(name=name, removed_at__isnull=True).first()
    said = {key: value for key, value in values.items() if value not in (None, "")}
    copied = {key: getattr(club, key) for key in _COPIED}
    if there is None:
        there = Club.objects.create(
            player=visit.player, name=name, status="candidate", position=club.position, made_from=club,
            **copied, **said,
        )  # fmt: skip
    for place, one in enumerate((club, there)):
        Candidate.objects.get_or_create(visit=visit, club=one, defaults={"position": place})
    return there


@dataclass(frozen=True, slots=True)
class Against:
    """The built club against the tested one; `why_not` while there are too few balls."""

    change: ClubChange | None
    same: float | None
    more: int | None
    why_not: str = ""


def against_tested(visit: Visit) -> Against:
    """Compare what this visit's balls say of both; where the tested one was not hit today, with its last visits."""
    delivery = visit.deliveries.filter(accepted=True).select_related("club").first()
    if delivery is None:
        return Against(None, None, None, _("No built club was accepted yet: measure it first."))
    built = visit.player.clubs.filter(made_from=delivery.club, removed_at__isnull=True).first()
    if built is None:
        return Against(None, None, None, _("The built club is not in the bag any more."))
    bag = core_bag(visit.player)
    here = core_table([visit])
    fits = fit_dispersion(here, bag.player, bag) if here.n else None
    new, old = (built.name, "stock"), (delivery.club.name, "stock")
    if fits is None or new not in fits or not fits[new].measured:
        return Against(None, None, None, _("The built club was not hit yet: a few balls in the bay."))
    if old in fits and fits[old].measured:
        sd_m = fits.contrast(new, old, blocked=False).sd_m
        change = change_of(fits[old], fits[new], sd_m)
        return Against(change, 1.0 - change.beyond, balls_to_settle(fits[old], fits[new], sd_m))
    earlier = core_table(visit.player.visits.filter(started_at__lt=visit.started_at))
    before = fit_dispersion(earlier, bag.player, bag) if earlier.n else None
    if before is None or old not in before or not before[old].measured:
        return Against(
            None, None, None, _("The tested club was never hit: hit it in turns with the built one.")
        )
    change = change_of(before[old], fits[new])
    return Against(change, 1.0 - change.beyond, None)
