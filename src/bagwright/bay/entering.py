"""What the entry pad needs: whose turn it is, the form of a line, where carries of a club are expected."""

from __future__ import annotations

import hashlib
import json
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _

from bagwright.bay import audit, following, planning
from bagwright.bay.live import changed
from bagwright.errors import InputError
from bagwright.report.theme import Sign, sign
from bagwright.shots.line import LineForm, dump_form, load_form
from bagwright.store.models import Account, Club, PlannedBall, ShopSettings, ShotRecord, Visit
from bagwright.units import System


@dataclass(frozen=True, slots=True)
class Choice:
    """A club that may be hit now, with its sign on the board."""

    club: Club
    sign: Sign | None
    chosen: bool
    carry: int | None = None
    """About where its balls land, in the unit of the form; None where nothing is known."""


@dataclass(frozen=True, slots=True)
class Pad:
    """Everything that the pad shows."""

    next: PlannedBall | None
    club: Club | None
    swing: str
    choices: tuple[Choice, ...]
    form: LineForm
    upcoming: tuple[PlannedBall, ...] = ()

    @property
    def carry(self) -> int | None:
        """About where the next ball will land, in the unit of the form."""
        return next((choice.carry for choice in self.choices if choice.chosen), None)

    @property
    def carry_unit(self) -> str:
        """The unit of the pad's carries: that of the form, which need not be the page's."""
        return self.form.spoken_unit("carry_m") if "carry_m" in self.form.order else ""

    @property
    def side_unit(self) -> str:
        """The unit of the pad's sides."""
        return self.form.spoken_unit("offline_m") if "offline_m" in self.form.order else ""

    @property
    def form_mark(self) -> str:
        """What tells this form from any other."""
        return mark_of(self.form)


def form_of(visit: Visit, system: System, language: str) -> LineForm:
    """The form of a typed line: this visit's own, else the shop's, else the usual one."""
    shop = ShopSettings.objects.first()
    kept = visit.entry_form or (shop.entry_form if shop is not None else None)
    return load_form(kept) if kept else LineForm.usual(system, language[:2])


def pad_of(visit: Visit, system: System, language: str, club_id: int | None = None) -> Pad:
    """The pad for the next ball; `club_id` is a club chosen out of turn."""
    due = following.next_ball(visit)
    taking = [c.club for c in planning.taking_part(visit)]
    signs = {club.pk: sign(i) for i, club in enumerate(taking)}
    others = [c for c in visit.player.clubs.filter(removed_at__isnull=True) if c.kind != "putter"]
    clubs = [*taking, *(c for c in others if c.pk not in signs and c.status in ("carried", "candidate"))]
    wanted = club_id or (due.club_id if due else None)
    chosen = next((club for club in clubs if club.pk == wanted), None)
    if chosen is None:
        last = visit.shots.select_related("club").order_by("-number").first()
        chosen = last.club if last is not None else (clubs[0] if clubs else None)
    swing = due.swing if due is not None and chosen is not None and due.club_id == chosen.pk else "stock"
    upcoming = tuple(visit.queue.filter(state="waiting").select_related("club").order_by("n")[:12])
    form = form_of(visit, system, language)
    carries = usual_carries_m(clubs, swing)
    choices = tuple(
        Choice(
            c, signs.get(c.pk), chosen is not None and c.pk == chosen.pk, _in_form(carries.get(c.pk), form)
        )
        for c in clubs
    )
    return Pad(due, chosen, swing, choices, form, upcoming)


def mark_of(form: LineForm) -> str:
    """A short mark of a form: a line that was typed under another one must not be read under this."""
    text = json.dumps(dump_form(form), sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _in_form(carry_m: float | None, form: LineForm) -> int | None:
    if carry_m is None or "carry_m" not in form.order:
        return None
    return round(carry_m / form.factor_of("carry_m"))


_LOOK_AT = 12
_LOOK_BACK = 400
"""How many of the player's last balls are looked through for those of each club."""


def usual_carries_m(clubs: Sequence[Club], swing: str) -> dict[int, float]:
    """About where each club's balls land, for the pad's keys only: the median of its last carries.

    A club that was not hit yet borrows from the one whose measured loft is nearest; without any, it is left out.
    """
    rows = ShotRecord.objects.filter(
        club__in=[club.pk for club in clubs], undone_at__isnull=True, swing=swing, carry_m__isnull=False,
        visit__put_aside_at__isnull=True,
    ).exclude(mark__in=("mishit", "bad-read"))  # fmt: skip
    carries: dict[int, list[float]] = {}
    for club_id, carry in rows.order_by("-pk").values_list("club_id", "carry_m")[:_LOOK_BACK]:
        if carry is not None and len(carries.setdefault(club_id, [])) < _LOOK_AT:
            carries[club_id].append(carry)
    found = {club_id: statistics.median(values) for club_id, values in carries.items()}
    known = [club for club in clubs if club.pk in found and club.loft_deg is not None]
    for club in clubs:
        if club.pk not in found and club.loft_deg is not None and known:
            loft = club.loft_deg
            nearest = min(known, key=lambda one: abs((one.loft_deg or 0.0) - loft))
            found[club.pk] = found[nearest.pk]
    return found


@transaction.atomic
def keep_form(visit: Visit, form: LineForm) -> None:
    """Keep the form for this visit; every open pad of it is told."""
    Visit.objects.filter(pk=visit.pk).update(entry_form=dump_form(form))
    changed(visit)


@transaction.atomic
def keep_for_all(account: Account | None, form: LineForm) -> None:
    """Keep the form for all visits that have none of their own. Raises InputError for all but the owner."""
    if account is None or account.role != "owner":
        raise InputError(
            _("The form of all visits is the owner's to set."), _("Keep it for this visit, or ask the owner.")
        )
    row = ShopSettings.objects.first() or ShopSettings.objects.create()
    ShopSettings.objects.filter(pk=row.pk).update(entry_form=dump_form(form), version=F("version") + 1)
    audit.note(account, None, "settings changed", "entry_form")
