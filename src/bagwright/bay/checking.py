"""Check again: clubs measured a season later, two visits side by side, and what to do with each club."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from bagwright.bag.measured import TOLERANCE, Advice, Measured, advise
from bagwright.bay import audit
from bagwright.bay.errors import ChangedMeanwhileError
from bagwright.bay.live import changed
from bagwright.bay.notes import note_of
from bagwright.dispersion.fit import fit_dispersion
from bagwright.distances.compare import ClubChange, change_since, compare_visits
from bagwright.errors import InputError
from bagwright.estimate import Estimate
from bagwright.store.convert import air_of, core_bag, core_club, core_table
from bagwright.store.models import Account, AgreedBag, Club, ClubMeasurement, ClubOutcome, Visit

STATES = ("", "good", "worn")
OUTCOMES = ("keep", "bend back", "regrip", "retest")
VALUES = ("loft_deg", "lie_angle_deg", "grip_state", "groove_state")
_MOST_VISITS = 20
_AIR_SHARE = 0.01
_WARMER_K = 5.0
_WINDIER_MPS = 2.0
"""Air, warmth and wind this far apart are named (judgement)."""


@dataclass(frozen=True, slots=True)
class Was:
    """A figure before today: what it was, and by how much it is off now where it was measured today."""

    was: float | None
    off: float | None
    out: bool

    @property
    def size(self) -> float | None:
        """By how much, without a sign."""
        return None if self.off is None else abs(self.off)


@dataclass(frozen=True, slots=True)
class Line:
    """One carried club: what it was, what was measured today, what the check suggests, what was decided."""

    club: Club
    last: ClubMeasurement | None
    now: ClubMeasurement | None
    loft: Was
    lie: Was
    change: ClubChange | None
    advice: Advice
    outcome: ClubOutcome | None

    @property
    def unknown(self) -> bool:
        """True where nothing of today can be held against anything before: "keep" would only mean "not looked at"."""
        looked = self.now is not None and bool(self.now.grip_state or self.now.groove_state)
        held = self.loft.off is not None or self.lie.off is not None or self.change is not None or looked
        return self.advice.outcome == "keep" and not held

    @property
    def seen(self) -> str:
        """What a page shows of today's measure; sent back with it, so that nobody's is lost."""
        return stamp(self.now)


def stamp(measured: ClubMeasurement | Mapping[str, Any] | None) -> str:
    """Today's values as one text; the same values give the same text."""
    if measured is None:
        return "|||"
    got = measured.get if isinstance(measured, Mapping) else lambda name: getattr(measured, name)
    values = [got(name) for name in VALUES]
    return "|".join("" if one in (None, "") else repr(one) for one in values)


def clubs_of(visit: Visit) -> list[Club]:
    """The carried clubs, the putter too: it has a grip and a loft."""
    return list(visit.player.clubs.filter(removed_at__isnull=True, status="carried"))


def lines_of(visit: Visit, *, with_carry: bool = True) -> list[Line]:
    """Every carried club with all that this visit says of it; `with_carry` holds its balls against earlier ones."""
    now, last = _today(visit), _last(visit)
    found = compared(visit).changes if with_carry else ()
    changes = {one.club: one for one in found if one.swing == "stock"}
    decided = {one.club_id: one for one in visit.club_outcomes.all()}
    return [
        _line(club, now.get(club.pk), last.get(club.pk), changes.get(club.name), decided.get(club.pk))
        for club in clubs_of(visit)
    ]


def _line(
    club: Club,
    now: ClubMeasurement | None,
    last: ClubMeasurement | None,
    change: ClubChange | None,
    outcome: ClubOutcome | None,
) -> Line:
    seen = Measured() if now is None else Measured(*(getattr(now, name) for name in VALUES))
    loft, lie = (_was(club, last, now, name) for name in ("loft_deg", "lie_angle_deg"))
    known = core_club(club)
    build = replace(known.build, loft_deg=loft.was, lie_angle_deg=lie.was)
    advice = advise(replace(known, build=build), seen, change.beyond if change is not None else None)
    return Line(club, last, now, loft, lie, change, advice, outcome)


def _was(club: Club, last: ClubMeasurement | None, now: ClubMeasurement | None, name: str) -> Was:
    """What the bag says goes before the last gauge: it is what was agreed on. The stamp says nothing."""
    was = getattr(club, name)
    if was is None and last is not None:
        was = getattr(last, name)
    got = getattr(now, name) if now is not None else None
    off = None if was is None or got is None else got - was
    return Was(was, off, off is not None and abs(off) > TOLERANCE[name] + 1e-9)


def _gauged(row: ClubMeasurement) -> bool:
    return any(getattr(row, name) not in (None, "") for name in VALUES)


def _today(visit: Visit) -> dict[int, ClubMeasurement]:
    return {row.club_id: row for row in visit.measurements.order_by("pk") if _gauged(row)}


def _last(visit: Visit) -> dict[int, ClubMeasurement]:
    """The last measure of each club before this visit."""
    rows = ClubMeasurement.objects.filter(
        club__player_id=visit.player_id, measured_on__lte=timezone.localtime(visit.started_at).date(),
        visit__put_aside_at__isnull=True,
    ).exclude(visit=visit)  # fmt: skip
    return {row.club_id: row for row in rows.order_by("measured_on", "pk") if _gauged(row)}


@dataclass(frozen=True, slots=True)
class Typed:
    """One club's row of the page as it was sent: the values, and the stamp of what the page had shown."""

    club_id: int
    values: Mapping[str, Any]
    seen: str


@transaction.atomic
def measure_all(account: Account | None, visit: Visit, rows: list[Typed]) -> int:
    """Store the rows that were touched; returns how many.

    Raises ChangedMeanwhileError where somebody else measured one of them since the page was opened.
    """
    visit = Visit.objects.select_for_update(of=("self",)).select_related("player").get(pk=visit.pk)
    today = _today(visit)
    touched = [row for row in rows if stamp(row.values) != row.seen]
    for row in touched:
        stored = stamp(today.get(row.club_id))
        if stored not in (row.seen, stamp(row.values)):
            name = visit.player.clubs.filter(pk=row.club_id).values_list("name", flat=True).first() or ""
            raise ChangedMeanwhileError(
                _("Somebody else has measured %(club)s since this page was opened.") % {"club": name[:60]},
                _("Nothing was stored. Open the page again and see what stands there now."),
            )
    for row in touched:
        measure(account, visit, row.club_id, row.values)
    return len(touched)


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
            raise InputError(
                _('"%(value)s" is no state.') % {"value": str(values[name])[:20]}, _("Use good or worn.")
            )
    made, _new = ClubMeasurement.objects.update_or_create(
        visit=visit, club=club, dynamic_lie_deg__isnull=True,
        defaults={**values, "measured_on": timezone.localdate()},
        create_defaults={**values, "measured_on": timezone.localdate(), "visit": visit, "club": club},
    )  # fmt: skip
    changed(visit)
    audit.note(account, visit.player, "club measured")
    return made


def earlier_visits(visit: Visit) -> list[Visit]:
    """Earlier visits with balls, the last first."""
    found = visit.player.visits.filter(started_at__lt=visit.started_at, shots__undone_at__isnull=True)
    return list(found.filter(shots__isnull=False).distinct().order_by("-started_at", "-pk")[:_MOST_VISITS])


def earlier_of(visit: Visit) -> Visit | None:
    """The visit that this one is held against: the last one in which a club of this one was hit too.

    Before this visit has balls it is the last one with any.
    """
    earlier = earlier_visits(visit)
    clubs = set(visit.shots.filter(undone_at__isnull=True).values_list("club_id", flat=True))
    for one in earlier:
        if one.shots.filter(club_id__in=clubs, undone_at__isnull=True).exists():
            return one
    return earlier[0] if earlier else None


def agreed_before(visit: Visit) -> list[AgreedBag]:
    """Bags agreed on in other visits before this one, the last first."""
    found = visit.player.agreed_bags.filter(
        made_at__lt=visit.started_at, visit__put_aside_at__isnull=True
    ).exclude(visit=visit)
    return [one for one in found[:5] if one.distances]


@dataclass(frozen=True, slots=True)
class Differs:
    """A condition that differs: its name, then and now, in words; "" where it was not said."""

    what: str
    then: str
    now: str


@dataclass(frozen=True, slots=True)
class Compared:
    """Two visits, or the agreed bag and a visit, side by side; `why_not` where they cannot be."""

    before: Visit | None = None
    agreed: AgreedBag | None = None
    changes: tuple[ClubChange, ...] = ()
    differing: tuple[Differs, ...] = ()
    why_not: str = ""


def compared(visit: Visit, wanted: str = "") -> Compared:
    """Hold this visit against an earlier one, each from its own balls, or against an agreed bag.

    `wanted` is "visit-7" or "bag-3"; "" is the last visit in which one of these clubs was hit.
    """
    agreed = next((one for one in agreed_before(visit) if wanted == f"bag-{one.pk}"), None)
    if agreed is not None:
        return _against_agreed(visit, agreed)
    before = next((one for one in earlier_visits(visit) if wanted == f"visit-{one.pk}"), None)
    before = before or earlier_of(visit)
    if before is None:
        return Compared(why_not=_("There is no earlier visit with balls to hold this one against."))
    bag = core_bag(visit.player)
    then, now = core_table([before]), core_table([visit])
    differ = differing_between(before, visit)
    if not now.n:
        return Compared(before, None, (), differ, _("No ball was hit in this visit yet."))
    changes = compare_visits(fit_dispersion(then, bag.player, bag), fit_dispersion(now, bag.player, bag))
    why = "" if changes else _("No club was hit in both visits.")
    return Compared(before, None, changes, differ, why)


def _against_agreed(visit: Visit, agreed: AgreedBag) -> Compared:
    differ = differing_between(agreed.visit, visit) if agreed.visit is not None else ()
    bag, now = core_bag(visit.player), core_table([visit])
    if not now.n:
        return Compared(None, agreed, (), differ, _("No ball was hit in this visit yet."))
    fits = fit_dispersion(now, bag.player, bag)
    known = {
        row["club"]: Estimate(row["carry_m"], row["low_m"], row["high_m"])
        for row in agreed.distances
        if None not in (row.get("carry_m"), row.get("low_m"), row.get("high_m"))
    }
    found = [
        change_since(known[club], fits[club, swing])
        for club, swing in fits
        if swing == "stock" and club in known and fits[club, swing].measured
    ]
    changes = tuple(sorted(found, key=lambda one: -one.now_m.value))
    why = "" if changes else _("No club of the agreed bag was hit in this visit yet.")
    return Compared(None, agreed, changes, differ, why)


def differing_between(before: Visit, now: Visit) -> tuple[Differs, ...]:
    """Conditions that differ between two visits, or that only one of them says: each may explain a change."""
    said = (
        (_("Ball"), "ball"), (_("Surface"), "surface"), (_("Where"), "place"), (_("Firmness"), "firmness"),
        (_("Figures"), "adjusted"), (_("Spin"), "spin"), (_("Unit's grade"), "device_grade"),
    )  # fmt: skip
    found = [
        Differs(label, _word(getattr(before, name)), _word(getattr(now, name)))
        for label, name in said
        if getattr(before, name).strip().lower() != getattr(now, name).strip().lower()
    ]
    roofs = {True: _("indoors"), False: _("outdoors"), None: ""}
    if before.indoors != now.indoors:
        found.append(Differs(_("Roof"), roofs[before.indoors], roofs[now.indoors]))
    return (*found, *_weather(before, now))


def _word(text: str) -> str:
    return _(text) if text else ""


def _weather(before: Visit, now: Visit) -> list[Differs]:
    """Air, warmth and wind that are further apart than matters, or that only one visit says."""
    air = [a.density_kg_m3 if (a := air_of(one)) is not None else None for one in (before, now)]
    warmth = [None if k is None else k - 273.15 for k in (before.temperature_k, now.temperature_k)]
    wind = [before.wind_mps, now.wind_mps]
    rows = (
        (_("Air"), air, "%.2f kg/m³", _AIR_SHARE * 1.2), (_("Temperature"), warmth, "%.0f °C", _WARMER_K),
        (_("Wind"), wind, "%.0f m/s", _WINDIER_MPS),
    )  # fmt: skip
    return [
        Differs(label, *("" if one is None else form % one for one in pair))
        for label, pair, form, apart in rows
        if (pair[0] is None) != (pair[1] is None)
        or (pair[0] is not None and pair[1] is not None and abs(pair[0] - pair[1]) > apart)
    ]


@dataclass(frozen=True, slots=True)
class Chosen:
    """How the check ends for one club, and why."""

    outcome: str
    reason: str


@transaction.atomic
def settle_all(account: Account | None, visit: Visit, chosen: Mapping[int, Chosen]) -> int:
    """Store how the check ends for several clubs, all or none; what stands already stays. Gives how many."""
    there = {one.club_id: one for one in visit.club_outcomes.all()}
    kept = 0
    for club, one in chosen.items():
        before = there.get(club)
        if before is None or (before.outcome, before.reason) != (one.outcome, note_of(one.reason)):
            settle(account, visit, club, one.outcome, one.reason)
            kept += 1
    return kept


@transaction.atomic
def settle(account: Account | None, visit: Visit, club_id: int, outcome: str, reason: str) -> None:
    """Store how the check ends for one club; "" takes it back."""
    club = visit.player.clubs.filter(pk=club_id, removed_at__isnull=True).first()
    if club is None or outcome not in ("", *OUTCOMES):
        raise InputError(
            _('"%(value)s" is no way to end a check, or the club is not in the bag.')
            % {"value": outcome[:20]},
            _("Choose keep, bend back, regrip or retest for one of the player's clubs."),
        )
    if outcome:
        ClubOutcome.objects.update_or_create(
            visit=visit, club=club, defaults={"outcome": outcome, "reason": note_of(reason)}
        )
    else:
        visit.club_outcomes.filter(club=club).delete()
    changed(visit)
    audit.note(account, visit.player, "club checked", outcome)
