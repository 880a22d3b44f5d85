"""Who may join a trial in mid-visit: builds of the player, demo clubs for the player's hand, other settings."""

from __future__ import annotations

from dataclasses import dataclass

from django.db import transaction
from django.utils.translation import gettext as _

from bagwright.bay import bags, planning
from bagwright.bay.rack import can_be_hit
from bagwright.errors import InputError
from bagwright.store.models import Account, Club, Visit
from bagwright.words import tell

SETTINGS = ("hosel_setting", "shaft", "grip", "swing_weight")
"""What may differ between two settings of one head."""
MOST_OF_RACK = 60


@dataclass(frozen=True, slots=True)
class Choice:
    """One build that may join: `value` names it in a form."""

    value: str
    name: str
    rack: bool
    status: str = ""


def could_join(visit: Visit) -> list[Choice]:
    """Builds of this player that do not take part, those of the slot's kind first; then free demo clubs."""
    inside = [candidate.club for candidate in planning.taking_part(visit)]
    kinds = {club.kind for club in inside}
    clubs = visit.player.clubs.filter(
        removed_at__isnull=True, status__in=("candidate", "carried", "spare")
    ).exclude(kind="putter")
    own = [club for club in clubs if club not in inside]
    own.sort(key=lambda club: (club.kind not in kinds, club.status != "candidate"))
    rack, _others = bags.on_the_rack(visit.player)
    copied = {club.rack_id for club in visit.player.clubs.filter(removed_at__isnull=True)}
    free = [
        club
        for club in rack
        if can_be_hit(club, visit.player) and club.pk not in copied and club.kind != "putter"
    ]
    free.sort(key=lambda club: club.kind not in kinds)
    return [
        *(Choice(str(club.pk), club.name, rack=False, status=club.status) for club in own),
        *(Choice(f"rack-{club.pk}", club.name, rack=True) for club in free[:MOST_OF_RACK]),
    ]


@transaction.atomic
def add_setting(
    account: Account, visit: Visit, club: Club, what: str, value: str, loft_deg: float | None = None
) -> tuple[Club, tuple[str, ...]]:
    """Let another setting of a candidate take part: a changed setting is a build of its own.

    Loft and lie angle of the old setting do not hold for another hosel setting: they are taken as not known
    unless the loft is said. Gives the new build, and what its joining costs.
    """
    if what not in SETTINGS:
        raise InputError(
            tell('"{word}" is no setting.', word=what[:30]), tell("Use {words}.", words=", ".join(SETTINGS))
        )
    text = " ".join(value.split())
    if not text:
        raise InputError(_("The setting has no name."), _("Say how it is now, such as +1°."))
    if club.player_id != visit.player_id:
        raise InputError(_("This club is another player's."), _("Choose one of this player's clubs."))
    if getattr(club, what) == text:
        raise InputError(
            _("%(name)s has this setting already: %(value)s.") % {"name": club.name[:80], "value": text[:60]},
            _("Say what is different."),
        )
    values = bags.copy_of(club)
    if what == "hosel_setting":
        values |= {"loft_deg": None, "lie_angle_deg": None}
    if loft_deg is not None:
        values["loft_deg"] = loft_deg
    values |= {
        what: text,
        "name": f"{club.name[:130]} ({text[:60]})",
        "status": "candidate",
        "made_from": club,
    }
    made = bags.add_club(account, visit.player, values)
    return made, planning.join(account, visit, made)
