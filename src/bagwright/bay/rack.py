"""The rack of demo clubs: what is there, for which hand, where, lent to whom."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db import transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from bagwright.bag.club import Bag
from bagwright.bag.names import clean_text
from bagwright.bay import audit
from bagwright.bay.errors import ChangedMeanwhileError
from bagwright.errors import InputError
from bagwright.store.convert import club_values
from bagwright.store.models import Account, Player, RackClub

LOOK_OVER_EVERY = timedelta(days=90)
"""Demo clubs are hit by everybody: a loose head is found by looking. Our own working judgement."""


def found(hand: str = "", kind: str = "", *, retired: bool = False) -> list[RackClub]:
    """The rack, or what was taken off it, for one hand or kind where wanted."""
    clubs = RackClub.objects.filter(retired_at__isnull=not retired)
    if hand in ("left", "right"):
        clubs = clubs.filter(hand=hand)
    return list(clubs.filter(kind=kind) if kind else clubs)


@dataclass(frozen=True, slots=True)
class Row:
    """A demo club on the page: who has it, and whether it is time to look it over."""

    club: RackClub
    borrowers: tuple[str, ...]
    look_over: bool


def rows(clubs: list[RackClub], today: date | None = None) -> list[Row]:
    """The clubs as the page shows them."""
    day = today or timezone.localdate()
    return [Row(c, borrowers(c), c.checked_on is None or day - c.checked_on > LOOK_OVER_EVERY) for c in clubs]


def borrowers(club: RackClub) -> tuple[str, ...]:
    """Who has one of them."""
    return tuple(name for name in club.lent_to.split("; ") if name)


def lent_to(club: RackClub, player: Player) -> bool:
    """True where one of them was lent to this player, who has it and can hit it though none else is free."""
    return any(clean_text(name) == clean_text(player.name[:60]) for name in borrowers(club))


def can_be_hit(club: RackClub, player: Player) -> bool:
    """True where one is free, or this player has one."""
    return club.free > 0 or lent_to(club, player)


def missing_for(player: Player, kind: str) -> str:
    """Say that clubs of a kind are on the rack for the other hand only; "" where that is not so."""
    clubs = found(kind=kind)
    if not clubs or any(club.hand == player.hand and can_be_hit(club, player) for club in clubs):
        return ""
    if any(club.hand == player.hand for club in clubs):
        return _("Every demo club of this kind for the player's hand is lent.")
    n = len(clubs)
    words = ngettext(
        "The rack has %(n)s demo club of this kind for the other hand, none for this player's.",
        "The rack has %(n)s demo clubs of this kind for the other hand, none for this player's.",
        n,
    )
    return words % {"n": n}


def missing_hands(clubs: list[RackClub], kind_words: dict[str, Any] | None = None) -> list[str]:
    """Kinds of club that one hand has on this rack and the other has not, in words."""
    by_hand = {hand: {c.kind for c in clubs if c.hand == hand and c.free > 0} for hand in ("left", "right")}
    words = {"left": _("left-handers"), "right": _("right-handers")}
    told = []
    for hand, other in (("left", "right"), ("right", "left")):
        lacking = [str((kind_words or {}).get(kind, kind)) for kind in sorted(by_hand[other] - by_hand[hand])]
        if lacking:
            told.append(
                _("Nothing free for %(hand)s: %(kinds)s.")
                % {"hand": words[hand], "kinds": ", ".join(lacking)}
            )
    return told


@transaction.atomic
def take_over(account: Account, bag: Bag, hand: str, place: str = "") -> list[RackClub]:
    """Put every club of a table on the rack, all for one hand. Raises InputError for a hand that is none."""
    if hand not in ("left", "right"):
        raise InputError(_("Which hand are these clubs for?"), _("Choose right or left."))
    made = [
        RackClub.objects.create(**club_values(club), hand=hand, place=place.strip()[:200])
        for club in bag.clubs
    ]
    audit.note(account, None, "rack clubs added", str(len(made)))
    return made


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
    """Lend one out. Raises InputError where none is free."""
    club = RackClub.objects.select_for_update().get(pk=club.pk)
    if club.free < 1:
        raise InputError(_("None of them is free."), _("Take one back first."))
    name = to.replace("; ", ", ").strip()[:60]
    _set_lent(club, club.lent + 1, (*borrowers(club), name))
    audit.note(account, None, "rack club lent", club.name)


@transaction.atomic
def take_back(account: Account, club: RackClub, who: str = "") -> None:
    """Take one back, from `who` or from whoever has had it longest. Raises InputError where none is out."""
    club = RackClub.objects.select_for_update().get(pk=club.pk)
    if club.lent < 1:
        raise InputError(_("None of them is lent."), _("There is nothing to take back."))
    names = list(borrowers(club))
    if who in names:
        names.remove(who)
    elif names:
        names.pop(0)
    _set_lent(club, club.lent - 1, tuple(names) if club.lent > 1 else ())
    audit.note(account, None, "rack club returned", club.name)


def _set_lent(club: RackClub, lent: int, names: tuple[str, ...]) -> None:
    words = "; ".join(names)
    if len(words) > 200:
        raise InputError(_("So many names cannot be kept for one club."), _("Take one back first."))
    RackClub.objects.filter(pk=club.pk).update(
        lent=lent, lent_to=words, version=F("version") + 1, changed_at=timezone.now()
    )


@transaction.atomic
def looked_over(account: Account, club: RackClub) -> None:
    """Note that head, sleeve, shaft and grip were looked over today."""
    RackClub.objects.filter(pk=club.pk).update(
        checked_on=timezone.localdate(), version=F("version") + 1, changed_at=timezone.now()
    )
    audit.note(account, None, "rack club looked over", club.name)
