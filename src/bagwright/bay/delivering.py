"""Delivery: the built club against its sheet, then against the tested one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from bagwright.bag.measured import TEXTS, TOLERANCE, FieldCheck, as_built, sheet_of
from bagwright.bay import audit, swapping
from bagwright.bay.checking import Differs, differing_between
from bagwright.bay.live import changed
from bagwright.bay.notes import note_of
from bagwright.dispersion.dispersions import Dispersions
from bagwright.dispersion.fit import fit_dispersion
from bagwright.distances.compare import ClubChange, Difference, balls_to_settle, change_of
from bagwright.errors import InputError
from bagwright.store.convert import core_bag, core_table
from bagwright.store.models import Account, Candidate, Club, Decision, Delivery, Paper, Visit
from bagwright.trial.order import is_blocked

FIELDS = (*TOLERANCE, *TEXTS)
_COPIED = (
    "kind", "number", "head", "sole", "construction", "use", "stamped_loft_deg", "stamped_lie_angle_deg",
    "head_volume_cm3",
)  # fmt: skip


def ordered(visit: Visit) -> list[Club]:
    """Clubs that may have been built, the likeliest first.

    Those of the visit that this one comes back to: its build sheets, then its decision; then those of other
    visits; then every candidate. A built club is not built again.
    """
    sheets = Paper.objects.filter(
        visit__player_id=visit.player_id, kind="build", club__isnull=False, club__removed_at__isnull=True,
        visit__put_aside_at__isnull=True,
    )  # fmt: skip
    decided = Decision.objects.filter(
        visit__player_id=visit.player_id, withdrawn_at__isnull=True, choice__removed_at__isnull=True,
        visit__put_aside_at__isnull=True,
    ).exclude(choice=None)  # fmt: skip
    rows = [(paper.visit_id != visit.parent_id, -paper.pk, paper.club) for paper in _with_club(sheets)]
    rows += [
        (one.visit_id != visit.parent_id, 0, one.choice)
        for one in decided.select_related("choice").order_by("-pk")
        if one.choice is not None and (one.outcome == "accept" or one.choice.proposed)
    ]
    found = {club.pk: club for _far, _late, club in sorted(rows, key=lambda row: row[:2]) if club is not None}
    for club in visit.player.clubs.filter(removed_at__isnull=True, status="candidate"):
        found.setdefault(club.pk, club)
    made = set(Delivery.objects.filter(visit__player_id=visit.player_id).values_list("made_id", flat=True))
    return [club for pk, club in found.items() if pk not in made]


def _with_club(papers: Any) -> list[Paper]:
    return list(papers.defer("content").select_related("club").order_by("-pk"))


def wanted_of(club: Club) -> dict[str, float | str | None]:
    """What the sheet asked for: the tested build with its proposed changes."""
    return sheet_of({name: getattr(club, name) for name in FIELDS}, club.proposed)


def checks_of(delivery: Delivery) -> tuple[FieldCheck, ...]:
    """The sheet's fields against the built ones."""
    return as_built(delivery.wanted, delivery.built)


class OutOfToleranceError(InputError):
    """A club is to be accepted although it is out of tolerance, and nobody said that this is meant, and why."""


def out_of(club: Club, built: Mapping[str, Any]) -> tuple[FieldCheck, ...]:
    """The fields in which a built club is out of the sheet's tolerance."""
    values = {name: built.get(name) for name in FIELDS}
    return tuple(check for check in as_built(wanted_of(club), values) if check.word == "out")


@transaction.atomic
def deliver(
    account: Account | None, visit: Visit, club: Club, built: Mapping[str, Any], *, accepted: bool, note: str,
    despite: str = "",
) -> Delivery:  # fmt: skip
    """Store what was measured on the built club; an accepted one becomes a club of its own, which can be hit.

    Where the tested one is carried, the built one takes its place in the bag.
    Who accepts one that is out of tolerance says why (`despite`): the fields, the reason and the account are
    kept. Raises OutOfToleranceError without it, InputError for a club that is not this player's, when nothing
    was measured, and for one that is sent back without a word why.
    """
    visit = Visit.objects.select_for_update(of=("self",)).select_related("player").get(pk=visit.pk)
    if club.player_id != visit.player_id or club.removed_at is not None:
        raise InputError(_("This club is not in the player's bag."), _("Choose one of its clubs."))
    values = {name: built.get(name) for name in FIELDS}
    if all(value in (None, "") for value in values.values()):
        raise InputError(_("Nothing was measured."), _("Measure loft, lie angle and length at least."))
    words = note_of(note)
    if not accepted and not words:
        raise InputError(
            _("The workshop needs to know why it comes back."), _("Write what is wrong into the note.")
        )
    out = [check.field for check in out_of(club, values)] if accepted else []
    why = note_of(despite) if out else ""
    if out and not why:
        raise OutOfToleranceError(
            ngettext(
                "It is out of tolerance in %(n)s field.", "It is out of tolerance in %(n)s fields.", len(out)
            )
            % {"n": len(out)},
            _("Send it back, or say why it is accepted all the same; who said so is kept with it."),
        )
    delivery = Delivery.objects.create(
        visit=visit, club=club, wanted=wanted_of(club), built=values, accepted=accepted, note=words,
        despite=out, despite_why=why, made_by=account,
    )  # fmt: skip
    if accepted:
        delivery.made = _take(visit, club, values)
        delivery.save(update_fields=["made"])
        swapping.put_in(account, visit, club, delivery.made)
    audit.note(
        account, visit.player, "delivered" if accepted else "sent back",
        "out of tolerance: " + ", ".join(out) if out else "",
    )  # fmt: skip
    changed(visit)
    return delivery


def _take(visit: Visit, club: Club, values: dict[str, Any]) -> Club:
    """Make the built club, and let both take part in the visit, so that they can be hit in turns.

    The built one comes first: the bay opens with it.
    One that was accepted before and not hit yet was measured again: its figures are put right. Once it was
    hit it stays as it is, and the new figures are another build.
    """
    before = visit.deliveries.filter(club=club, made__isnull=False, made__removed_at__isnull=True).first()
    there = before.made if before is not None else None
    if there is not None and not there.shots.exists():
        _put_right(there, values)
    else:
        said = {key: value for key, value in values.items() if value not in (None, "")}
        there = Club.objects.create(
            player=visit.player, name=_name_for(visit, club), status="candidate", position=club.position,
            made_from=club, **{key: getattr(club, key) for key in _COPIED}, **said,
        )  # fmt: skip
    for place, one in enumerate((there, club)):
        Candidate.objects.get_or_create(visit=visit, club=one, defaults={"position": place})
    return there


def _put_right(built: Club, values: dict[str, Any]) -> None:
    """Give a built club the figures of one measuring; what was not measured is not known of it."""
    unknown = {key: "" if key in TEXTS else None for key in FIELDS}
    said = {key: values[key] for key in FIELDS if values.get(key) not in (None, "")}
    Club.objects.filter(pk=built.pk).update(**{**unknown, **said}, version=F("version") + 1)


@transaction.atomic
def take_back(account: Account | None, visit: Visit, delivery_id: int) -> str:
    """Take a delivery back that was entered by mistake: the club that it made goes, unless it was hit.

    The bag is as it was before. Give the name of the club that is to be put back by hand, because somebody
    changed its place meanwhile, else "". What the delivery said is kept in the audit list. Raises InputError for
    one that is not there, and for one whose built club was hit: its balls need it.
    """
    visit = Visit.objects.select_for_update(of=("self",)).select_related("player").get(pk=visit.pk)
    delivery = visit.deliveries.filter(pk=delivery_id).select_related("club", "made").first()
    if delivery is None:
        raise InputError(_("This delivery is not there any more."), _("Look at the page as it is now."))
    made = delivery.made
    if made is not None and made.shots.exists():
        raise InputError(
            _("%(name)s was hit, and its balls need it.") % {"name": made.name[:80]},
            _("Measure it again: an accepted delivery with the right figures counts from then on."),
        )
    left = _without(visit, delivery, made) if made is not None else ""
    was = "accepted" if delivery.accepted else "sent back"
    built = ", ".join(f"{name}={value}" for name, value in delivery.built.items() if value not in (None, ""))
    audit.note(account, visit.player, "delivery taken back", f"{delivery.club_id} {was}: {built}"[:200])
    delivery.delete()
    changed(visit)
    return left


def _without(visit: Visit, delivery: Delivery, made: Club) -> str:
    """The built club as the last other delivery has it; where there is none, it goes, and the tested one comes back."""
    before = visit.deliveries.filter(made=made).exclude(pk=delivery.pk).order_by("-pk").first()
    if before is not None:
        _put_right(made, before.built)
        return ""
    left = swapping.put_back(visit, made)
    visit.queue.filter(club=made).delete()
    visit.candidates.filter(club=made).delete()
    Club.objects.filter(pk=made.pk).update(removed_at=timezone.now(), version=F("version") + 1)
    return left


def _name_for(visit: Visit, club: Club) -> str:
    """A name that no club of the player has: "50 cavity (built)", then "50 cavity (built 2)"."""
    taken = set(visit.player.clubs.filter(removed_at__isnull=True).values_list("name", flat=True))
    name, n = f"{club.name[:180]} (built)", 1
    while name in taken:
        n += 1
        name = f"{club.name[:180]} (built {n})"
    return name


@dataclass(frozen=True, slots=True)
class Against:
    """A built club against the tested one; `why_not` while there are too few balls.

    `same`: the chance that both carry the same within what matters; `more`: balls with each that would
    settle it. `then` is the visit of the tested one's balls where they are not today's, `differing` what was
    different in it.
    """

    tested: str
    built: str = ""
    change: ClubChange | None = None
    same: float | None = None
    more: int | None = None
    then: Visit | None = None
    differing: tuple[Differs, ...] = ()
    why_not: str = ""


def against_tested(visit: Visit) -> list[Against]:
    """Compare what the balls say of every accepted club and the tested one.

    Where the tested one was not hit today, its last visit stands for it.
    """
    accepted = visit.deliveries.filter(accepted=True).select_related("club", "made")
    newest: dict[int, Delivery] = {}
    for one in accepted:
        newest.setdefault(one.club_id, one)
    if not newest:
        return []
    bag = core_bag(visit.player)
    here = core_table([visit])
    fits = fit_dispersion(here, bag.player, bag) if here.n else None
    return [_against(visit, one, fits) for one in newest.values()]


def _against(visit: Visit, delivery: Delivery, fits: Dispersions | None) -> Against:
    tested = delivery.club.name
    if delivery.made is None or delivery.made.removed_at is not None:
        return Against(tested, why_not=_("The built club is not in the bag any more."))
    built = delivery.made.name
    new, old = (built, "stock"), (tested, "stock")
    if fits is None or new not in fits or not fits[new].measured:
        return Against(tested, built, why_not=_("The built club was not hit yet: a few balls in the bay."))
    if old in fits and fits[old].measured:
        found = fits.contrast(new, old, blocked=in_blocks(visit, delivery))
        change = change_of(fits[old], fits[new], Difference(found.mean_m, found.sd_m))
        more = balls_to_settle(fits[old], fits[new], found.sd_m)
        return Against(tested, built, change, change.same, more)
    earlier = visit.player.visits.filter(
        started_at__lt=visit.started_at, shots__club=delivery.club, shots__undone_at__isnull=True
    )
    last = earlier.order_by("-started_at", "-pk").first()
    bag = core_bag(visit.player)
    before = fit_dispersion(core_table([last]), bag.player, bag) if last is not None else None
    if last is None or before is None or old not in before or not before[old].measured:
        return Against(
            tested, built, why_not=_("The tested club was never hit: hit it in turns with the built one.")
        )
    change = change_of(before[old], fits[new])
    return Against(tested, built, change, change.same, None, last, differing_between(last, visit))


def in_blocks(visit: Visit, delivery: Delivery) -> bool:
    """True where the two were not hit in turns, so that the club is mixed up with warming up."""
    pair = {delivery.club_id: "tested", delivery.made_id or 0: "built"}
    balls = visit.shots.filter(undone_at__isnull=True, club_id__in=pair).order_by("number")
    names = [pair[club] for club in balls.values_list("club_id", flat=True)]
    return is_blocked([""] * len(names), range(len(names)), names)
