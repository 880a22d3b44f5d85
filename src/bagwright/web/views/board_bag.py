"""The bag's distances: picture and table, a change tried, a bag agreed on."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from bagwright.bay import bagview
from bagwright.web.context import steps_of
from bagwright.web.views.board import system_of
from bagwright.web.views.common import account_of, is_part, visit_for


@require_http_methods(["GET", "HEAD", "POST"])
def visit_bag(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Distances of the bag as picture and table; try a change, agree on a bag."""
    visit = visit_for(request, visit_id, change=request.method == "POST")
    system = system_of(request)
    if request.method == "POST":
        bagview.agree(account_of(request), visit, system)
        return redirect("visit-bag", visit.pk)
    tried = bagview.tries_of(request.GET.getlist("try"))
    told = {
        "visit": visit,
        "steps": steps_of(visit, "visit-bag"),
        "bag": bagview.view_of(visit, system, tried),
        "tried": request.GET.getlist("try"),
    }
    page = "web/board/_bag.html" if is_part(request) else "web/board/bag.html"
    return render(request, page, told)
