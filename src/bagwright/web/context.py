"""What every template may use: units, the menu, and on a visit's pages the way through it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse
from django.utils.translation import gettext as _

from bagwright.report.words import Show
from bagwright.store.models import Visit
from bagwright.units import System


def shown(request: HttpRequest) -> dict[str, Any]:
    """`show` prints metres in the reader's units; `system`, `shop_mode`, `shop`, `menu`."""
    system: System = getattr(request, "system", "yards")
    return {
        "show": Show(system),
        "system": system,
        "shop": getattr(request, "shop", None),
        "shop_mode": settings.SHOP,
        "menu": menu(request),
    }


def menu(request: HttpRequest) -> list[tuple[str, str, bool]]:
    """Label, address and "is this page below it" of the main places that this account may open."""
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated or user.role == "device":
        return []
    places = [("players", _("Players")), ("due", _("Due")), ("record", _("Our record")), ("rack", _("Rack"))]
    if user.role == "workshop":
        places = [("workshop", _("Build sheets"))]
    places.append(("settings", _("Settings")))
    found = []
    for name, label in places:
        try:
            address = reverse(name)
        except NoReverseMatch:
            continue
        found.append((label, address, request.path.startswith(address)))
    return found


@dataclass(frozen=True, slots=True)
class Step:
    """One page of the way through a visit."""

    label: str
    address: str
    current: bool
    done: bool


def steps_of(visit: Visit, current: str) -> list[Step]:
    """The way through a visit; `current` is the name of the page's route. Views pass it as `steps`."""
    kinds: dict[str, list[tuple[str, str, bool]]] = {
        "fitting": [
            ("intake", _("Intake"), visit.safety_at is not None),
            ("brief", _("Brief"), visit.brief is not None),
            ("plan", _("Plan"), visit.queue.exists()),
            ("bay", _("Bay"), visit.shot_count > 0),
            ("ratings", _("Ratings"), visit.ratings.exists()),
            ("decide", _("Decide"), visit.decisions.filter(withdrawn_at__isnull=True).exists()),
            ("visit-bag", _("Bag"), False),
            ("handover", _("Hand over"), visit.papers.exists()),
        ],
        "delivery": [
            ("intake", _("Intake"), visit.safety_at is not None),
            ("delivery", _("As built"), visit.deliveries.exists()),
            ("bay", _("Bay"), visit.shot_count > 0),
            ("delivery-compare", _("Against the tested one"), False),
            ("handover", _("Hand over"), visit.papers.exists()),
        ],
        "check": [
            ("intake", _("Intake"), visit.safety_at is not None),
            ("check-measure", _("Measure"), visit.measurements.exists()),
            ("bay", _("Bay"), visit.shot_count > 0),
            ("check-compare", _("Then and now"), False),
            ("check-outcome", _("Per club"), visit.club_outcomes.exists()),
            ("handover", _("Hand over"), visit.papers.exists()),
        ],
    }
    found = []
    for name, label, done in kinds[visit.kind]:
        try:
            address = reverse(name, args=[visit.pk])
        except NoReverseMatch:
            continue
        found.append(Step(label, address, name == current, done))
    return found
