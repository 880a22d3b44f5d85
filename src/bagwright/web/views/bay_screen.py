"""The player's screen: the next club, the last ball, where balls finished. Nothing private is on it."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from bagwright.bay import following, planning
from bagwright.report.theme import sign
from bagwright.store.models import ShotRecord, Visit
from bagwright.web.views.common import is_part, visit_for


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
    told["picture"] = picture_of(visit, rows)
    page = "web/bay/_screen.html" if is_part(request) else "web/bay/screen.html"
    return render(request, page, told)


def picture_of(visit: Visit, rows: list[ShotRecord]) -> list[dict[str, Any]]:
    """Where the balls finished, for the drawing of the player's screen: places in a box of 100 by 100."""
    placed = [r for r in rows if r.carry_m is not None and r.offline_m is not None and r.mark != "bad-read"]
    if not placed:
        return []
    signs = {c.club_id: sign(i) for i, c in enumerate(planning.taking_part(visit))}
    carries = [r.carry_m or 0.0 for r in placed]
    low, high = min(carries), max(carries)
    widest = max(10.0, *(abs(r.offline_m or 0.0) for r in placed))
    span = max(high - low, 15.0)
    found = []
    for row in placed:
        x = 50.0 + 44.0 * (row.offline_m or 0.0) / widest
        y = 94.0 - 84.0 * ((row.carry_m or 0.0) - (low + high) / 2.0 + span / 2.0) / span
        mark = signs.get(row.club_id)
        found.append({
            "x": f"{x:.1f}", "y": f"{min(96.0, max(4.0, y)):.1f}", "glyph": mark.glyph if mark else "●",
            "number": list(signs).index(row.club_id) + 1 if row.club_id in signs else 7, "last": row is rows[0],
        })  # fmt: skip
    return found
