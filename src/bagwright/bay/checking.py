"""Check again: clubs measured a season later, two visits side by side, and what to do with each club."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from bagwright.bag.measured import Advice, Measured, advise
from bagwright.bay import audit
from bagwright.bay.live import changed
from bagwright.dispersion.fit import fit_dispersion
from bagwright.distances.compare import ClubChange, compare_visits, differing
from bagwright.errors import InputError
from bagwright.store.convert import conditions_of, core_bag, core_club, core_table
from bagwright.store.models import Account, Club, ClubMeasurement, ClubOutcome, Visit

STATES = ("", "good", "worn")
OUTCOMES = ("keep", "bend back", "regrip", "retest")


@dataclass(frozen=True, slots=True)
class Line:
    """One carried club: what it was, what was measured today, what the check suggests, what was decided."""

    club: Club
    now: ClubMeasurement | None
    change: ClubChange | None
    advice: Advice
    outcome: ClubOutcome | None


def clubs_of(visit: Visit) -> list[Club]:
    """The carried clubs, the putter too: it has a grip and a loft."""
    return list(visit.player.clubs.filter(removed_at__isnull=True, status="carried"))


def lines_of(visit: Visit) -> list[Line]:
    """Every carried club with all that this visit says of it."""
    measured: dict[int, ClubMeasurement] = {}
    for one in visit.measurements.order_by("pk"):
        if one.loft_deg is not None or one.lie_angle_deg is not None or one.grip_state or one.groove_state:
            measured[one.club_id] = one
    changes = {
        one.club: one
        for one in (compared(visit).changes if earlier_of(visit) else ())
        if one.swing == "stock"
    }
    decided = {one.club_id: one for one in visit.club_outcomes.all()}
    found = []
    for club in clubs_of(visit):
        now, change = measured.get(club.pk), changes.get(club.name)
        seen = (
            Measured()
            if now is None
            else Measured(now.loft_deg, now.lie_angle_deg, now.grip_state, now.groove_state)
        )
        advice = advise(core_club(club), seen, change.beyond if change is not None else None)
        found.append(Line(club, now, change, advice, decided.get(club.pk)))
    return found


@transaction.atomic
def measure(
    account: Account | None, visit: Visit, club_id: int, values: Mapping[str, Any]
) -> ClubMeasurement:
    """Store what a gauge and a look said of one club today, in place of what was said before in this visit."""
    club = visit.player.clubs.filter(pk=club_id, removed_at__isnull=True).first()
    if club is None:
        raise InputError(_("This club is not in the player's bag."), _("Choose one of its clubs."))
    for name in ("grip_state", "groove_state"):
        if values.get(name, "") not in STATES:
            raise InputError(f'"{str(values[name])[:20]}" is no state.', "Use good or worn.")
    made, _new = ClubMeasurement.objects.update_or_create(
        visit=visit, club=club, dynamic_lie_deg__isnull=True,
        defaults={**values, "measured_on": timezone.localdate()},
        create_defaults={**values, "measured_on": timezone.localdate(), "visit": visit, "club": club},
    )  # fmt: skip
    changed(visit)
    audit.note(account, visit.player, "club measured")
    return made


def earlier_of(visit: Visit) -> Visit | None:
    """The visit that this one is held against: the last one in which a club of this one was hit too.

    Before this visit has balls it is the last one with any.
    """
    earlier = visit.player.visits.filter(started_at__lt=visit.started_at, shot_count__gt=0)
    earlier = earlier.order_by("-started_at", "-pk")
    clubs = set(visit.shots.filter(undone_at__isnull=True).values_list("club_id", flat=True))
    if not clubs:
        return earlier.first()
    return next(
        (one for one in earlier[:20] if one.shots.filter(club_id__in=clubs).exists()), earlier.first()
    )


@dataclass(frozen=True, slots=True)
class Compared:
    """Two visits side by side; `why_not` where they cannot be."""

    before: Visit | None
    changes: tuple[ClubChange, ...]
    differing: tuple[str, ...]
    why_not: str = ""


def compared(visit: Visit) -> Compared:
    """Hold this visit against the earlier one, each from its own balls."""
    before = earlier_of(visit)
    if before is None:
        return Compared(None, (), (), _("There is no earlier visit with balls to hold this one against."))
    bag = core_bag(visit.player)
    then, now = core_table([before]), core_table([visit])
    differ = differing(conditions_of(before), conditions_of(visit))
    if not now.n:
        return Compared(before, (), differ, _("No ball was hit in this visit yet."))
    changes = compare_visits(fit_dispersion(then, bag.player, bag), fit_dispersion(now, bag.player, bag))
    why = "" if changes else _("No club was hit in both visits.")
    return Compared(before, changes, differ, why)


@transaction.atomic
def settle(account: Account | None, visit: Visit, club_id: int, outcome: str, reason: str) -> None:
    """Store how the check ends for one club; "" takes it back."""
    club = visit.player.clubs.filter(pk=club_id, removed_at__isnull=True).first()
    if club is None or outcome not in ("", *OUTCOMES):
        raise InputError(f'"{outcome[:20]}" is no outcome of a check.', f"Use {', '.join(OUTCOMES)}.")
    if outcome:
        ClubOutcome.objects.update_or_create(
            visit=visit, club=club, defaults={"outcome": outcome, "reason": reason[:2000]}
        )
    else:
        visit.club_outcomes.filter(club=club).delete()
    changed(visit)
    audit.note(account, visit.player, "club checked", outcome)
