"""The bag, build by build. A build that has been hit is never overwritten: a changed one is another build."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from django.db import transaction
from django.db.models import Count, F, Max
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from bagwright.bag.club import Bag
from bagwright.bag.club import Club as CoreClub
from bagwright.bag.file import dump_bag
from bagwright.bag.names import clean_text, parse_club_name
from bagwright.bag.rules import Check, check
from bagwright.bay import audit
from bagwright.bay.errors import ChangedMeanwhileError
from bagwright.bay.rack import can_be_hit
from bagwright.errors import InputError
from bagwright.store.convert import club_values, core_bag, core_club
from bagwright.store.models import Account, Club, Player, RackClub, Visit
from bagwright.words import changed, join

BUILD_FIELDS = (
    "loft_deg", "lie_angle_deg", "length_m", "head", "hosel_setting", "shaft", "shaft_weight_g", "shaft_flex",
    "swing_weight", "grip",
)  # fmt: skip
"""What makes it this build. What was not known of it may be filled in; another value is another build."""
STATUSES = ("carried", "candidate", "spare", "former")
MOST_CLUBS = 500
_COPIED = (
    *("kind", "number", "head", "loft_deg", "stamped_loft_deg", "hosel_setting", "length_m", "lie_angle_deg"),
    *("stamped_lie_angle_deg", "shaft", "shaft_weight_g", "shaft_flex", "swing_weight", "grip", "bounce_deg"),
    *("sole", "groove_age_months", "grip_age_months", "head_volume_cm3", "construction", "use", "price"),
    *("lead_time_days", "note"),
)
"""What a new build has from the one that it was made from; other spellings stay with the build they name."""


@dataclass(frozen=True, slots=True)
class Held:
    """One build in the list: how many balls were hit with it, and what was measured last."""

    club: Club
    hit: int

    @property
    def no_loft(self) -> bool:
        """True where no loft is known at all, so that nothing can be said of it before it is hit."""
        club = self.club
        return club.kind != "putter" and club.loft_deg is None and club.stamped_loft_deg is None


def clubs_of(player: Player) -> list[Club]:
    """Every build that was not taken out, in bag order."""
    return list(player.clubs.filter(removed_at__isnull=True))


def held(player: Player) -> list[Held]:
    """Every build that was not taken out, in bag order, with its number of balls."""
    rows = player.clubs.filter(removed_at__isnull=True).select_related("made_from")
    return [Held(club, club.hit) for club in rows.annotate(hit=Count("shots"))]


def check_of(player: Player, clubs: list[Club] | None = None) -> Check:
    """The club limit and the equipment limits that are known of this bag."""
    return check(core_bag(player, clubs))


def bag_text(player: Player) -> str:
    """The whole bag as the text of a bag file. Raises InputError where a club cannot be written."""
    bag = core_bag(player)
    return dump_bag(replace(bag, clubs=tuple(_said_by_name(club) for club in bag)))


def _said_by_name(club: CoreClub) -> CoreClub:
    """Number and stamped loft as a usual name says them: a bag file that is read has them filled in."""
    said = parse_club_name(club.name)
    if said is None:
        return club
    number = club.number if club.number is not None else said.number
    stamped = club.stamped_loft_deg if club.stamped_loft_deg is not None else said.loft_deg
    return replace(club, number=number, stamped_loft_deg=stamped)


@transaction.atomic
def add_club(account: Account, player: Player, values: dict[str, Any]) -> Club:
    """Add a build at the end of the bag.

    Raises InputError where a build of that name is there, or what is said of it contradicts itself.
    """
    _lock(player)
    _refuse_twin(player, values["name"])
    if player.clubs.filter(removed_at__isnull=True).count() >= MOST_CLUBS:
        raise InputError(
            _("This bag holds %(n)s builds already.") % {"n": MOST_CLUBS},
            _("Take out those that are no longer needed."),
        )
    last = player.clubs.aggregate(last=Max("position"))["last"]
    club = Club(player=player, position=0 if last is None else last + 1, **values)
    _refuse_contradiction(club)
    club.save()
    audit.note(account, player, "club added", str(club.pk))
    return club


@transaction.atomic
def change_club(
    account: Account, club: Club, values: dict[str, Any], version: int, *, slip: bool = False
) -> Club:
    """Change a club as seen in `version`; `values` holds only what is to change.

    Where the build changes and the club has been hit, a new build takes its place and the old one becomes
    `former`, so that no shot moves to a club that it was not hit with. A figure that was not known before is
    filled in where it is; so is a slip of the pen that the user says is one (`slip`). Where the new build
    keeps the name, the old one gets the day behind its own: "7 iron (until 2026-05-01)".
    """
    _lock(club.player)
    stored = Club.objects.select_related("player").get(pk=club.pk)
    if stored.version != version:
        raise _changed(stored)
    if values.get("name", stored.name) != stored.name:
        _refuse_twin(stored.player, values["name"], but=stored)
    if not slip and rebuilt(stored, values) and stored.shots.exists():
        return _new_build(account, stored, values)
    for name, value in values.items():
        setattr(stored, name, value)
    _refuse_contradiction(stored)
    done = Club.objects.filter(pk=stored.pk, version=version).update(
        **values, version=F("version") + 1, changed_at=timezone.now()
    )
    if not done:
        raise _changed(stored)
    audit.note(account, stored.player, "club corrected" if slip else "club changed", str(stored.pk))
    return Club.objects.get(pk=stored.pk)


def rebuilt(club: Club, values: dict[str, Any]) -> bool:
    """True where something that was known of the build becomes something else."""
    return any(
        getattr(club, name) not in (None, "") and values[name] != getattr(club, name)
        for name in BUILD_FIELDS
        if name in values
    )


def _new_build(account: Account, club: Club, values: dict[str, Any]) -> Club:
    kept = {name: getattr(club, name) for name in _COPIED}
    made = Club(player=club.player, position=club.position, made_from=club, rack=None)
    for name, value in {**kept, "name": club.name, "status": club.status, **values}.items():
        setattr(made, name, value)
    _refuse_contradiction(made)
    old_name = _former_name(club) if made.name == club.name else club.name
    Club.objects.filter(pk=club.pk).update(
        name=old_name, status="former", version=F("version") + 1, changed_at=timezone.now()
    )
    made.save()
    audit.note(account, club.player, "club rebuilt", f"{club.pk} > {made.pk}")
    return made


def _former_name(club: Club) -> str:
    stem = f"{club.name[:170]} (until {timezone.localdate():%Y-%m-%d}"
    names = set(club.player.clubs.filter(removed_at__isnull=True).values_list("name", flat=True))
    number, name = 1, f"{stem})"
    while name in names:
        number += 1
        name = f"{stem}, {number})"
    return name


def copy_of(club: Club) -> dict[str, Any]:
    """What a form for another build of this club begins with: everything but the name."""
    return {name: getattr(club, name) for name in _COPIED}


@transaction.atomic
def set_status(account: Account, club: Club, status: str) -> None:
    """Carry a club, put it among the candidates or spares, or retire it."""
    if status not in STATUSES:
        raise InputError(
            _("“%(status)s” is no status of a club.") % {"status": status[:20]},
            _("Use carried, candidate, spare or former."),
        )
    Club.objects.filter(pk=club.pk).update(status=status, version=F("version") + 1, changed_at=timezone.now())
    audit.note(account, club.player, "club status", f"{club.pk}: {status}")


@transaction.atomic
def remove_club(account: Account, club: Club, *, back: bool = False) -> None:
    """Take a club out of the list, or put it back. Its shots stay.

    Raises InputError for one that takes part in a visit that is still open, and where its name was given anew.
    """
    _lock(club.player)
    if back and club.removed_at is not None:
        _refuse_twin(club.player, club.name)
    if not back:
        _refuse_in_hand(club)
    Club.objects.filter(pk=club.pk).update(
        removed_at=None if back else timezone.now(), version=F("version") + 1
    )
    audit.note(account, club.player, "club brought back" if back else "club taken out", str(club.pk))


def still_there(player: Player, numbers: list[int]) -> list[Club]:
    """Those of some clubs that are in the bag and were not hit, so that they may be taken out together."""
    rows = player.clubs.filter(pk__in=numbers, removed_at__isnull=True, shots__isnull=True)
    return list(rows.distinct())


@transaction.atomic
def take_out_again(account: Account, player: Player, numbers: list[int]) -> int:
    """Take clubs out that were just added by mistake, all that were not hit; give how many."""
    clubs = still_there(player, numbers)
    for club in clubs:
        remove_club(account, club)
    return len(clubs)


def _refuse_in_hand(club: Club) -> None:
    """A candidate of an open visit would leave its order and its board without a word."""
    taking = Visit.objects.filter(
        finished_at__isnull=True, candidates__club=club, candidates__left_at__isnull=True
    ).first()
    if taking is not None:
        day = date_format(timezone.localtime(taking.started_at), "DATE_FORMAT")
        raise InputError(
            _("%(name)s takes part in the visit of %(day)s.") % {"name": club.name[:80], "day": day},
            _("Let it leave on that visit's plan, or finish the visit, then take it out."),
        )


@transaction.atomic
def move_club(account: Account, club: Club, by: int) -> None:
    """Move a club up (-1) or down (1) among those of its own status; at the end of them it stays."""
    _lock(club.player)
    clubs = clubs_of(club.player)
    alike = [one for one in clubs if one.status == club.status]
    here = next((i for i, one in enumerate(alike) if one.pk == club.pk), None)
    if here is None or not 0 <= here + by < len(alike):
        return
    a, b = clubs.index(alike[here]), clubs.index(alike[here + by])
    clubs[a], clubs[b] = clubs[b], clubs[a]
    for place, one in enumerate(clubs):
        if one.position != place:
            Club.objects.filter(pk=one.pk).update(position=place)
    audit.note(account, club.player, "club moved", str(club.pk))


def on_the_rack(player: Player) -> tuple[list[RackClub], int]:
    """The demo clubs for this player's hand, and how many more there are for the other hand."""
    rack = list(RackClub.objects.filter(retired_at__isnull=True))
    own = [club for club in rack if club.hand == player.hand]
    return own, len(rack) - len(own)


@transaction.atomic
def take_from_rack(account: Account, player: Player, rack: RackClub) -> Club:
    """Put a demo club among the player's candidates. Raises InputError for the other hand, or none free."""
    if rack.hand != player.hand:
        raise InputError(
            _("%(club)s is for the other hand.") % {"club": rack.name[:80]},
            _("Only clubs for the player's hand can be hit."),
        )
    there = player.clubs.filter(rack=rack, removed_at__isnull=True).first()
    if there is not None:
        return there
    if not can_be_hit(rack, player):
        raise InputError(
            _("No %(club)s is free: %(lent)s of %(all)s are lent.")
            % {"club": rack.name[:80], "lent": rack.lent, "all": rack.in_stock},
            _("Choose another one, or mark it as returned on the rack's page."),
        )
    values = club_values(core_club(rack)) | {"stamped_lie_angle_deg": rack.stamped_lie_angle_deg}
    return add_club(account, player, {**values, "status": "candidate", "rack": rack})


@transaction.atomic
def take_over(account: Account, player: Player, bag: Bag) -> list[Club]:
    """Add every club of a bag that was read, or none: raises InputError for a name that is there."""
    return [
        add_club(
            account,
            player,
            {**club_values(club), "status": club.status, "proposed": [list(p) for p in club.proposed]},
        )
        for club in bag
    ]


def _lock(player: Player) -> None:
    """One change of a bag at a time, so that names stay single and places in order."""
    Player.objects.select_for_update().filter(pk=player.pk).first()


def _refuse_twin(player: Player, name: str, but: Club | None = None) -> None:
    """Names that differ by case or blanks only are one name: nobody could tell the shots apart."""
    there = player.clubs.filter(removed_at__isnull=True).values_list("pk", "name")
    key = clean_text(name)
    if any(clean_text(other) == key and pk != (but.pk if but else None) for pk, other in there):
        raise InputError(
            _("A club named “%(name)s” is in this bag already.") % {"name": name[:80]},
            _("Give each build its own name, such as 50 wedge soft shaft."),
        )


def _refuse_contradiction(club: Club) -> None:
    """A name that says driver beside the kind putter could not be written to a bag file, nor be trusted."""
    core = _said_by_name(core_club(club))
    try:
        dump_bag(Bag(clubs=(core,)))
    except InputError as error:
        raise InputError(
            _("%(name)s cannot be stored: what is said of it does not fit together.")
            % {"name": club.name[:80]},
            join(" ", (changed(error.message, _without_file), error.next_step)),
        ) from error


def _without_file(message: str) -> str:
    return message.rpartition("bag.toml: ")[2]


def _changed(club: Club) -> ChangedMeanwhileError:
    return ChangedMeanwhileError(
        _("“%(name)s” was changed by somebody else meanwhile.") % {"name": club.name[:80]},
        _("Your entries are below, nothing was saved. Look at what stands there now, then save again."),
    )
