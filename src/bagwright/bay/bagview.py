"""The bag's distances: as they are, with a change tried, and against the bag agreed on and the last visit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.db import transaction
from django.utils.translation import gettext as _

from bagwright.bay import audit, shopping, trying
from bagwright.bay.board import BoardState, state_of
from bagwright.bay.options import ABOUT_STEPS
from bagwright.distances import distances
from bagwright.errors import InputError
from bagwright.estimate import Estimate
from bagwright.plain import plain
from bagwright.report.charts.carries import carry_chart
from bagwright.report.charts.render import Chart
from bagwright.report.gather_bag import carry_rows
from bagwright.report.words import Show
from bagwright.shots.record import SWINGS
from bagwright.store.convert import core_table
from bagwright.store.models import Account, AgreedBag, Club, Player, Visit
from bagwright.units import System
from bagwright.words import join

if TYPE_CHECKING:
    from bagwright.distances.compare import ClubChange
    from bagwright.distances.table import ClubDistance, DistanceTable, Step

SHOWN_STATUS = ("carried", "by name")


@dataclass(frozen=True, slots=True)
class Line:
    """One club of the table: its distances, what they were, and the step to the next shorter club.

    `before` is its carry in the bag without the try, `agreed` the one agreed on, `last` that of the visit
    before this one, `change` what is different since where both visits hit it; None where there is
    none. `bent_deg` is by how much the try bends it.
    """

    club: ClubDistance
    club_id: int | None
    step: Step | None
    before: Estimate | None
    agreed: Estimate | None
    last: Estimate | None
    change: ClubChange | None
    bent_deg: float
    moved: bool
    can_bend: bool

    @property
    def same(self) -> float | None:
        """The chance that nothing changed that matters; None where it was not hit in both visits."""
        return None if self.change is None else self.change.same


@dataclass(frozen=True, slots=True)
class Chip:
    """One club that can be moved into the bag or out of it."""

    club: Club
    carried: bool
    moved: bool


@dataclass(frozen=True, slots=True)
class Wedge:
    """One wedge with its carry by swing, in the order of the table's columns; None where nothing is known."""

    name: str
    cells: tuple[tuple[Estimate, int, bool] | None, ...]


@dataclass(frozen=True, slots=True)
class BagView:
    """What the page shows; `why_not` in place of the distances while there is no ball."""

    lines: tuple[Line, ...] = ()
    findings: tuple[str, ...] = ()
    ended: tuple[str, ...] = ()
    brought: tuple[str, ...] = ()
    chart: Chart | None = None
    wedges: tuple[Wedge, ...] = ()
    swings: tuple[str, ...] = ()
    chips: tuple[Chip, ...] = ()
    steps: tuple[str, ...] = ()
    a_degree: Estimate | None = None
    count: int = 0
    limit: int = 14
    agreed: AgreedBag | None = None
    last_visit: Visit | None = None
    why_not: str = ""


def view_of(visit: Visit, system: System, tries: Sequence[trying.Try] = ()) -> BagView:
    """The page's content for a visit. Raises InputError for a try that cannot be."""
    state = state_of(visit, system)
    agreed = visit.player.agreed_bags.filter(visit__put_aside_at__isnull=True).first()
    if state.fits is None:
        return BagView(agreed=agreed, why_not=_("No ball was hit yet, so no distance is known."))
    rows = {row.pk: row for row in visit.player.clubs.filter(removed_at__isnull=True)}
    tried = trying.try_on(state.bag, rows, tries)
    fits = trying.DrawnOnce(state.fits)
    rules = shopping.steps()
    base = distances(fits, state.bag, rules)
    a_degree = trying.carry_a_degree(base.loft_line.carry_m_per_deg if base.loft_line else None)
    table = base
    if tries:
        table = distances(trying.TriedFits(fits, tried.bent, a_degree), tried.bag, rules)
    previous = last_visit_of(visit)
    ended, brought = _against(base, table, system) if tries else ((), ())
    return BagView(
        lines=_lines(table, base, tried, rows, agreed, _since(visit, previous, state)),
        findings=tuple(_said(finding, system) for finding in table.findings),
        ended=ended,
        brought=brought,
        chart=carry_chart(carry_rows(table), Show(system)),
        wedges=_wedges(table),
        swings=_swings(table),
        chips=_chips(state, tried, rows),
        steps=tuple(_words(one, rows) for one in tries),
        a_degree=a_degree,
        count=sum(1 for club in tried.bag.clubs if club.status == "carried"),
        limit=visit.player.club_limit,
        agreed=agreed,
        last_visit=previous,
    )


def last_visit_of(visit: Visit) -> Visit | None:
    """The player's last visit before this one that has balls."""
    earlier = Visit.objects.filter(
        player=visit.player_id,
        started_at__lt=visit.started_at,
        shots__number__gt=0,
        shots__undone_at__isnull=True,
    )
    return earlier.order_by("-started_at", "-pk").first()


@dataclass(frozen=True, slots=True)
class Since:
    """Carries as they were known at the end of the last visit, and what changed between the two alone."""

    then: dict[str, Estimate]
    changes: dict[str, ClubChange]


def _since(visit: Visit, previous: Visit | None, state: BoardState) -> Since:
    """Compare with an earlier visit: each visit's balls by themselves, so that none is counted twice."""
    from bagwright.dispersion.fit import fit_dispersion
    from bagwright.distances.compare import compare_visits

    then = state_of(previous, state.system).fits if previous is not None else None
    if previous is None or then is None:
        return Since({}, {})
    known = {club: fit.carry_m for (club, swing), fit in then.items() if swing == "stock" and fit.measured}
    alone = [core_table([one]) for one in (previous, visit)]
    if not all(table.n for table in alone):
        return Since(known, {})
    before, now = (fit_dispersion(table, state.bag.player, state.bag) for table in alone)
    changes = {one.club: one for one in compare_visits(before, now) if one.swing == "stock"}
    return Since(known, changes)


def _lines(
    table: DistanceTable,
    base: DistanceTable,
    tried: trying.Tried,
    rows: dict[int, Club],
    agreed: AgreedBag | None,
    since: Since,
) -> tuple[Line, ...]:
    ids = {row.name: row.pk for row in rows.values()}
    steps = {step.longer: step for step in table.steps}
    before = {club.club: club.carry_m for club in base.clubs}
    known = _agreed_carries(agreed)
    return tuple(
        Line(
            club=club,
            club_id=ids.get(club.club),
            step=steps.get(club.club),
            before=before.get(club.club),
            agreed=known.get(club.club),
            last=since.then.get(club.club),
            change=since.changes.get(club.club),
            bent_deg=tried.bent.get(club.club, 0.0),
            moved=club.club in tried.moved,
            can_bend=club.loft_deg is not None and club.kind not in trying.NO_LOFT_LINE,
        )
        for club in table.clubs
        if club.status in SHOWN_STATUS
    )


def _agreed_carries(agreed: AgreedBag | None) -> dict[str, Estimate]:
    if agreed is None:
        return {}
    return {
        row["club"]: Estimate(row["carry_m"], row["low_m"], row["high_m"])
        for row in agreed.distances
        if None not in (row.get("carry_m"), row.get("low_m"), row.get("high_m"))
    }


def _said(finding: Any, system: System) -> str:
    shown = finding.in_system(system)
    return join(" ", [text for text in (shown.words, shown.next_step) if text])


def _against(
    base: DistanceTable, table: DistanceTable, system: System
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Gaps and overlaps that the try ends, and those that it brings."""
    before = {(f.kind, f.clubs): f for f in base.findings if f.kind in ABOUT_STEPS}
    after = {(f.kind, f.clubs): f for f in table.findings if f.kind in ABOUT_STEPS}
    ended = tuple(f.in_system(system).words for key, f in before.items() if key not in after)
    brought = tuple(f.in_system(system).words for key, f in after.items() if key not in before)
    return ended, brought


def _swings(table: DistanceTable) -> tuple[str, ...]:
    """Swings of the wedges, in the order in which they are hit shorter and shorter."""
    known = {one.swing for club in table.clubs if club.kind == "wedge" for one in club.swings}
    usual = ("flat-out", "stock", "gripped-down", "three-quarter", "half")
    order = [*usual, *(swing for swing in SWINGS if swing not in usual)]
    return tuple(swing for swing in order if swing == "stock" or swing in known)


def _wedges(table: DistanceTable) -> tuple[Wedge, ...]:
    found = []
    for club in table.clubs:
        if club.kind != "wedge":
            continue
        cells = {one.swing: (one.carry_m, one.n_shots, one.used == "measured") for one in club.swings}
        cells["stock"] = (club.carry_m, club.n_shots, club.used == "measured")
        found.append(Wedge(club.club, tuple(cells.get(swing) for swing in _swings(table))))
    return tuple(found)


def _chips(state: BoardState, tried: trying.Tried, rows: dict[int, Club]) -> tuple[Chip, ...]:
    now = {club.name: club.status == "carried" for club in tried.bag.clubs}
    return tuple(
        Chip(row, now.get(row.name, False), row.name in tried.moved)
        for row in rows.values()
        if row.kind != "putter"
    )


def _words(one: trying.Try, rows: dict[int, Club]) -> str:
    name = rows[one.club_id].name[:60]
    words = {
        "in": _("%(name)s in"),
        "out": _("%(name)s out"),
        "weaker": _("%(name)s 1° weaker"),
        "stronger": _("%(name)s 1° stronger"),
    }
    return words[one.what] % {"name": name}


@transaction.atomic
def agree(account: Account | None, visit: Visit, system: System) -> AgreedBag:
    """Keep the bag and its distances as agreed on today; the same bag twice is agreed on once.

    Raises InputError while there is no ball.
    """
    player = Player.objects.select_for_update().get(pk=visit.player_id)
    state = state_of(visit, system)
    if state.fits is None:
        raise InputError(_("No ball was hit yet, so no distance is known."), _("Hit some first."))
    table = distances(state.fits, state.bag, shopping.steps())
    rows = [
        {
            "club": club.club,
            "carry_m": club.carry_m.value,
            "low_m": club.carry_m.low,
            "high_m": club.carry_m.high,
        }
        for club in table.clubs
        if club.status == "carried"
    ]
    clubs = plain([club for club in state.bag.clubs if club.status == "carried"])
    last = player.agreed_bags.filter(visit=visit).first()
    if last is not None and last.clubs == clubs and last.distances == rows:
        return last
    made = AgreedBag.objects.create(player=player, visit=visit, made_by=account, clubs=clubs, distances=rows)
    audit.note(account, player, "bag agreed")
    return made


@transaction.atomic
def agree_no_more(account: Account | None, visit: Visit) -> bool:
    """Take back the bag that was agreed on last in this visit; False where there is none.

    The bag that was agreed on before it counts again.
    """
    Player.objects.select_for_update().get(pk=visit.player_id)
    last = visit.agreed_bags.first()
    if last is None:
        return False
    last.delete()
    audit.note(account, visit.player, "agreed bag taken back")
    return True
