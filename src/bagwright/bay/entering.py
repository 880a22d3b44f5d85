"""What the entry pad needs: whose turn it is, the form of a line, where carries of a club are expected."""

from __future__ import annotations

import statistics
from dataclasses import dataclass

from bagwright.bay import planning
from bagwright.report.theme import Sign, sign
from bagwright.shots.line import LineForm, load_form
from bagwright.store.models import Club, PlannedBall, ShopSettings, Visit
from bagwright.units import System


@dataclass(frozen=True, slots=True)
class Choice:
    """A club that may be hit now, with its sign on the board."""

    club: Club
    sign: Sign | None
    chosen: bool


@dataclass(frozen=True, slots=True)
class Pad:
    """Everything that the pad shows."""

    next: PlannedBall | None
    club: Club | None
    swing: str
    choices: tuple[Choice, ...]
    form: LineForm
    upcoming: tuple[PlannedBall, ...] = ()
    usual_carry_m: float | None = None


def form_of(visit: Visit, system: System, language: str) -> LineForm:
    """The form of a typed line: this visit's own, else the shop's, else the usual one."""
    shop = ShopSettings.objects.first()
    kept = visit.entry_form or (shop.entry_form if shop is not None else None)
    return load_form(kept) if kept else LineForm.usual(system, language[:2])


def pad_of(visit: Visit, system: System, language: str, club_id: int | None = None) -> Pad:
    """The pad for the next ball; `club_id` is a club chosen out of turn."""
    due = planning.next_ball(visit)
    taking = [c.club for c in planning.taking_part(visit)]
    signs = {club.pk: sign(i) for i, club in enumerate(taking)}
    others = [c for c in visit.player.clubs.filter(removed_at__isnull=True) if c.kind != "putter"]
    clubs = [*taking, *(c for c in others if c.pk not in signs and c.status in ("carried", "candidate"))]
    wanted = club_id or (due.club_id if due else None)
    chosen = next((club for club in clubs if club.pk == wanted), None)
    if chosen is None:
        last = visit.shots.select_related("club").order_by("-number").first()
        chosen = last.club if last is not None else (clubs[0] if clubs else None)
    choices = tuple(Choice(c, signs.get(c.pk), chosen is not None and c.pk == chosen.pk) for c in clubs)
    swing = due.swing if due is not None and chosen is not None and due.club_id == chosen.pk else "stock"
    upcoming = tuple(visit.queue.filter(state="waiting").select_related("club").order_by("n")[:12])
    carry = usual_carry_m(chosen, swing) if chosen is not None else None
    return Pad(due, chosen, swing, choices, form_of(visit, system, language), upcoming, carry)


_LOOK_AT = 12


def usual_carry_m(club: Club, swing: str) -> float | None:
    """About where this club's balls land, for the pad's keys only: the median of its last carries.

    None before the first one.
    """
    rows = club.shots.filter(undone_at__isnull=True, swing=swing, carry_m__isnull=False)
    solid = rows.exclude(mark__in=("mishit", "bad-read"))
    carries = [c for c in solid.order_by("-pk").values_list("carry_m", flat=True)[:_LOOK_AT] if c is not None]
    return statistics.median(carries) if carries else None
