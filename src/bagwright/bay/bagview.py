"""The bag's distances: as they are, with a change tried, and against the bag that was agreed on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from django.db import transaction
from django.utils.translation import gettext as _

from bagwright.bag.club import Bag
from bagwright.bay import audit
from bagwright.bay.board import state_of
from bagwright.distances import distances
from bagwright.errors import InputError
from bagwright.estimate import Estimate
from bagwright.plain import plain
from bagwright.report.charts.carries import carry_chart
from bagwright.report.charts.render import Chart
from bagwright.report.gather_bag import carry_rows
from bagwright.report.words import Show
from bagwright.store.models import Account, AgreedBag, Visit
from bagwright.units import System

if TYPE_CHECKING:
    from bagwright.distances.table import ClubDistance, DistanceTable, Step


@dataclass(frozen=True, slots=True)
class Try:
    """A change to look at: "in" or "out" with a club, or a loft `by` degrees."""

    what: str
    club: str
    by: float = 0.0


@dataclass(frozen=True, slots=True)
class Line:
    """One club of the table: its distances, the carry agreed on before, and the step to the next shorter."""

    club: ClubDistance
    agreed_m: float | None
    step: Step | None


@dataclass(frozen=True, slots=True)
class BagView:
    """What the page shows; `why_not` in place of all of it while there is no ball."""

    lines: tuple[Line, ...]
    findings: tuple[str, ...]
    chart: Chart | None
    wedges: tuple[ClubDistance, ...]
    swings: tuple[str, ...]
    could_join: tuple[str, ...]
    agreed: AgreedBag | None
    why_not: str = ""


def tries_of(texts: Sequence[str]) -> tuple[Try, ...]:
    """The tries of an address: "in:Name", "out:Name", "loft:Name:1". Raises InputError for others."""
    found = []
    for text in texts[:20]:
        what, _colon, rest = text.partition(":")
        if what in ("in", "out") and rest:
            found.append(Try(what, rest[:200]))
            continue
        name, _colon, by = rest.rpartition(":")
        if what == "loft" and name and by in ("-3", "-2", "-1", "1", "2", "3"):
            found.append(Try("loft", name[:200], float(by)))
            continue
        raise InputError(f'"{text[:40]}" is nothing that can be tried.', "Use the buttons of the page.")
    return tuple(found)


def tried_bag(bag: Bag, tries: Sequence[Try]) -> Bag:
    """The bag with the tries done, in their order; a bent club loses its shots' name, so it is predicted."""
    clubs = list(bag.clubs)
    for one in tries:
        for i, club in enumerate(clubs):
            if club.name != one.club:
                continue
            if one.what == "loft" and club.loft_deg is not None:
                build = replace(club.build, loft_deg=club.loft_deg + one.by)
                name = f"{club.name} {one.by:+.0f}°"
                clubs[i] = replace(club, name=name, build=build, also=())
            elif one.what in ("in", "out"):
                clubs[i] = replace(club, status="carried" if one.what == "in" else "spare")
    return replace(bag, clubs=tuple(clubs))


def view_of(visit: Visit, system: System, tries: Sequence[Try] = ()) -> BagView:
    """The page's content for a visit."""
    state = state_of(visit, system)
    agreed = visit.player.agreed_bags.first()
    if state.fits is None:
        return BagView((), (), None, (), (), (), agreed, _("No ball was hit yet, so no distance is known."))
    bag = tried_bag(state.bag, tries)
    table = distances(state.fits, bag)
    before = _agreed_carries(agreed)
    carried = [club for club in table.clubs if club.status in ("carried", "by name")]
    steps = {step.longer: step for step in table.steps}
    lines = tuple(Line(club, before.get(club.club), steps.get(club.club)) for club in carried)
    findings = tuple(_said(table, system))
    wedges = tuple(club for club in table.clubs if club.kind == "wedge")
    swings = tuple(dict.fromkeys(s.swing for club in wedges for s in club.swings))
    chart = carry_chart(carry_rows(table), Show(system))
    could = tuple(c.name for c in bag.clubs if c.status != "carried" and c.kind != "putter")
    return BagView(lines, findings, chart, wedges, swings, could, agreed)


def _said(table: DistanceTable, system: System) -> list[str]:
    found = []
    for finding in table.findings:
        shown = finding.in_system(system)
        found.append(f"{shown.words} {shown.next_step}".strip())
    return found


def _agreed_carries(agreed: AgreedBag | None) -> dict[str, float]:
    if agreed is None:
        return {}
    return {row["club"]: row["carry_m"] for row in agreed.distances if row.get("carry_m") is not None}


@transaction.atomic
def agree(account: Account | None, visit: Visit, system: System) -> AgreedBag:
    """Keep the bag and its distances as agreed on today. Raises InputError while there is no ball."""
    state = state_of(visit, system)
    if state.fits is None:
        raise InputError(_("No ball was hit yet, so no distance is known."), _("Hit some first."))
    table = distances(state.fits, state.bag)
    rows = [
        {
            "club": club.club,
            "carry_m": club.carry_m.value,
            "low_m": club.carry_m.low,
            "high_m": club.carry_m.high,
        }
        for club in table.clubs
        if isinstance(club.carry_m, Estimate)
    ]
    made = AgreedBag.objects.create(
        player=visit.player,
        visit=visit,
        made_by=account,
        clubs=plain([club for club in state.bag.clubs if club.status == "carried"]),
        distances=rows,
    )
    audit.note(account, visit.player, "bag agreed")
    return made
