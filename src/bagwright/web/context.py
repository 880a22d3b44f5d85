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
from bagwright.web.way import STAGES


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
    places = [
        ("players", _("Players")),
        ("due", _("Due")),
        ("record", _("Our record")),
        ("rack", _("Rack")),
        ("courses", _("Courses")),
    ]
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
    return [
        Step(
            str(stage.label),
            reverse(stage.route, args=[visit.pk]),
            stage.route == current,
            stage.done(visit),
        )
        for stage in STAGES[visit.kind]
    ]
