"""The player's screen: the next club, the last ball, where balls finished. Nothing private is on it."""

from __future__ import annotations

import math
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from bagwright.bay import following, planning
from bagwright.report.theme import sign
from bagwright.store.models import ShotRecord, Visit
from bagwright.units import System, distance_unit
from bagwright.web.views.common import is_part, visit_for

MOST_TICKS = 5
"""Round figures at an edge of the picture, about: more cannot be read from the tee."""


@require_safe
def player_screen(request: HttpRequest, visit_id: int) -> HttpResponse:
    """The big display for the player: next club, last shot, where balls finished; nothing private."""
    visit = visit_for(request, visit_id)
    rows = list(visit.shots.filter(undone_at__isnull=True).select_related("club").order_by("-number")[:60])
    told: dict[str, Any] = {
        "visit": visit,
        "next": following.next_ball(visit),
        "last": rows[0] if rows else None,
    }
    told["picture"] = picture_of(visit, rows, request.system)  # type: ignore[attr-defined]
    page = "web/bay/_screen.html" if is_part(request) else "web/bay/screen.html"
    return render(request, page, told)


def picture_of(visit: Visit, rows: list[ShotRecord], system: System) -> dict[str, Any] | None:
    """Where the balls finished, for the drawing of the player's screen: places in a box of 100 by 100.

    Round carries and sides in the reader's unit mark its edges. None without a ball to place.
    """
    placed = [r for r in rows if r.carry_m is not None and r.offline_m is not None and r.mark != "bad-read"]
    if not placed:
        return None
    signs = {c.club_id: sign(i) for i, c in enumerate(planning.taking_part(visit))}
    carries = [r.carry_m or 0.0 for r in placed]
    low, high = min(carries), max(carries)
    widest = max(10.0, *(abs(r.offline_m or 0.0) for r in placed))
    span, middle = max(high - low, 15.0), (low + high) / 2.0

    def across(side_m: float) -> float:
        return 50.0 + 44.0 * side_m / widest

    def down(carry_m: float) -> float:
        return 94.0 - 84.0 * (carry_m - middle + span / 2.0) / span

    found = []
    for row in placed:
        x, y = across(row.offline_m or 0.0), down(row.carry_m or 0.0)
        mark = signs.get(row.club_id)
        found.append({
            "x": f"{x:.1f}", "y": f"{min(96.0, max(4.0, y)):.1f}", "glyph": mark.glyph if mark else "●",
            "number": list(signs).index(row.club_id) + 1 if row.club_id in signs else 7, "last": row is rows[0],
        })  # fmt: skip
    unit = distance_unit(system)
    carries_at = round_figures((middle - span / 2.0) / unit.factor, (middle + span / 2.0) / unit.factor)
    sides_at = round_figures(-widest / unit.factor, widest / unit.factor)
    return {
        "balls": found,
        "unit": unit.name,
        "carries": [(f"{down(n * unit.factor):.1f}", n) for n in carries_at],
        "sides": [(f"{across(n * unit.factor):.1f}", abs(n)) for n in sides_at if n],
    }


def round_figures(low: float, high: float) -> list[int]:
    """Round figures between two, some three to six: steps of 1, 2 or 5 times a power of ten."""
    step = next(
        size * 10**power
        for power in range(6)
        for size in (1, 2, 5)
        if (high - low) / (size * 10**power) <= MOST_TICKS
    )
    return list(range(math.ceil(low / step) * step, math.floor(high / step) * step + 1, step))
