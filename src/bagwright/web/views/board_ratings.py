"""The player's own word: saved as it is given, each step can be taken back."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from bagwright.bay import ratings as rating
from bagwright.store.models import Visit
from bagwright.web.context import steps_of
from bagwright.web.views.bay import who
from bagwright.web.views.common import is_part, visit_for


@require_http_methods(["GET", "HEAD", "POST"])
def ratings(request: HttpRequest, visit_id: int) -> HttpResponse:
    """The player's own word on each candidate. A part of the page asks for, and gets, one candidate."""
    visit = visit_for(request, visit_id, change=request.method == "POST")
    if request.method != "POST":
        return render(request, "web/board/ratings.html", _context(visit))
    if "hide" in request.POST:
        rating.hide_numbers(visit, hide=request.POST["hide"] == "1")
    elif "undo" in request.POST:
        club = rating.undo(visit)
        messages.info(
            request,
            _("Taken back: the last rating of %(name)s.") % {"name": club.name[:60]}
            if club is not None
            else _("There is nothing to take back."),
        )
    else:
        club_id = request.POST.get("club", "")
        rating.rate(who(request), visit, club_id, request.POST)
        if is_part(request):
            return _one(request, visit, club_id)
    return redirect("ratings", visit.pk)


def _context(visit: Visit) -> dict[str, object]:
    return {
        "visit": visit,
        "rows": rating.rows_of(visit),
        "can_undo": rating.can_undo(visit),
        "steps": steps_of(visit, "ratings"),
    }


def _one(request: HttpRequest, visit: Visit, club_id: str) -> HttpResponse:
    """What the page says after one rating was saved."""
    row = next(row for row in rating.rows_of(visit) if str(row.club.pk) == club_id)
    return render(
        request,
        "web/board/_rating_saved.html",
        {"visit": visit, "row": row, "can_undo": rating.can_undo(visit), "part": True},
    )
