"""The rack of demo clubs: what is there, for which hand, where, lent to whom."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from bagwright.bay import audit
from bagwright.bay.errors import ChangedMeanwhileError
from bagwright.errors import InputError
from bagwright.store.models import Account, RackClub


def found(hand: str = "", kind: str = "") -> list[RackClub]:
    """The rack, for one hand or kind where wanted."""
    clubs = RackClub.objects.filter(retired_at__isnull=True)
    if hand in ("left", "right"):
        clubs = clubs.filter(hand=hand)
    return list(clubs.filter(kind=kind) if kind else clubs)


def missing_hands(clubs: list[RackClub]) -> list[str]:
    """Kinds of club that one hand has on this rack and the other has not, in words."""
    by_hand = {hand: {c.kind for c in clubs if c.hand == hand and c.free > 0} for hand in ("left", "right")}
    words = {"left": _("left-handers"), "right": _("right-handers")}
    told = []
    for hand, other in (("left", "right"), ("right", "left")):
        lacking = sorted(by_hand[other] - by_hand[hand])
        if lacking:
            told.append(
                _("Nothing free for %(hand)s: %(kinds)s.")
                % {"hand": words[hand], "kinds": ", ".join(lacking)}
            )
    return told


@transaction.atomic
def add(account: Account, values: dict[str, Any]) -> RackClub:
    """Put a demo club on the rack."""
    _check(values)
    club = RackClub.objects.create(**values)
    audit.note(account, None, "rack club added", club.name)
    return club


@transaction.atomic
def change(account: Account, club: RackClub, values: dict[str, Any], version: int) -> RackClub:
    """Change a demo club as seen in `version`."""
    _check(values)
    done = RackClub.objects.filter(pk=club.pk, version=version).update(
        **values, version=F("version") + 1, changed_at=timezone.now()
    )
    if not done:
        raise ChangedMeanwhileError(
            _('"%(name)s" was changed by somebody else meanwhile.') % {"name": club.name[:80]},
            _("Your entries are below, nothing was saved. Look at what stands there now, then save again."),
        )
    audit.note(account, None, "rack club changed", club.name)
    club.refresh_from_db()
    return club


def _check(values: dict[str, Any]) -> None:
    if values["lent"] > values["in_stock"]:
        raise InputError(
            _("%(lent)s lent of %(stock)s cannot be.")
            % {"lent": values["lent"], "stock": values["in_stock"]},
            _("Correct one of the two numbers."),
        )


@transaction.atomic
def retire(account: Account, club: RackClub, *, back: bool = False) -> None:
    """Take a demo club off the rack, or put it back."""
    RackClub.objects.filter(pk=club.pk).update(retired_at=None if back else timezone.now())
    audit.note(account, None, "rack club back" if back else "rack club retired", club.name)


@transaction.atomic
def lend(account: Account, club: RackClub, to: str) -> None:
    """Lend one out, or ("" ) take one back. Raises InputError where none is free, or none is out."""
    club = RackClub.objects.select_for_update().get(pk=club.pk)
    if to and club.free < 1:
        raise InputError(_("None of them is free."), _("Take one back first."))
    if not to and club.lent < 1:
        raise InputError(_("None of them is lent."), _("There is nothing to take back."))
    lent = club.lent + (1 if to else -1)
    RackClub.objects.filter(pk=club.pk).update(
        lent=lent, lent_to=to[:200] if to else (club.lent_to if lent else ""), version=F("version") + 1
    )
    audit.note(account, None, "rack club lent" if to else "rack club returned", club.name)
