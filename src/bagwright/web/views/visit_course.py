"""A trial's candidates on a course that the player plays: where each is used, and what it costs."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from bagwright.bay import oncourse, playing
from bagwright.errors import InputError
from bagwright.report.strokes.compare import doubt, sentence
from bagwright.store.models import Visit
from bagwright.units import System
from bagwright.web.context import steps_of
from bagwright.web.views.bay import who
from bagwright.web.views.common import visit_for
from bagwright.web.views.player_courses import wind_of, wind_unit, winds


@require_http_methods(["GET", "HEAD", "POST"])
def visit_course(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Choose a course of the player's, and see the candidates on it. A POST asks for the reckonings."""
    visit = visit_for(request, visit_id, change=request.method == "POST")
    told: dict[str, Any] = {}
    if request.method == "POST":
        plays = {str(one.played.pk): one.played for one in playing.played_by(visit.player)}
        played = plays.get(request.POST.get("played", ""))
        try:
            if played is None:
                raise InputError(_("No course was chosen."), _("Choose one of the player's courses."))
            oncourse.start(who(request), visit, played, *wind_of(request))
            return redirect("visit-course", visit.pk)
        except InputError as error:
            told = {"told": {"message": error.message, "next_step": error.next_step}, "typed": request.POST}
    system: System = request.system  # type: ignore[attr-defined]
    return render(request, "web/courses/visit.html", _page(visit, system) | told, status=422 if told else 200)


def _page(visit: Visit, system: System) -> dict[str, Any]:
    now = oncourse.standing(visit)
    found = oncourse.side_by_side(now, system)
    failed = [run for run, state in zip(now.runs, now.states, strict=True) if state in ("failed", "stopped")]
    return {
        "visit": visit,
        "steps": steps_of(visit, "decide"),
        "plays": [(one, winds(one.played.course)) for one in playing.played_by(visit.player)],
        "wind_unit": wind_unit(system),
        "now": now,
        "percent": round(100 * now.share),
        "stale": bool(now.runs) and found is None and not (failed or now.under_way),
        "failed": failed,
        "found": found,
        "sentence": sentence(found) if found else "",
        "doubt": doubt(),
        "rows": [
            (hole, list(zip(hole.strokes, hole.used, hole.at_rest, strict=True))) for hole in found.holes
        ]
        if found
        else [],
    }


@require_safe
def visit_course_state(request: HttpRequest, visit_id: int) -> HttpResponse:
    """How far the reckonings are: a part of the page; when they are done the page is brought anew."""
    visit = visit_for(request, visit_id)
    now = oncourse.standing(visit)
    answer = render(
        request,
        "web/courses/_visit_progress.html",
        {"visit": visit, "now": now, "percent": round(100 * now.share)},
    )
    if not now.under_way:
        answer["HX-Refresh"] = "true"
    return answer
