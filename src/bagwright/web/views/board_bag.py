"""The bag's distances: picture and table, a change tried and taken back, a bag agreed on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from bagwright.bay import bagview, trying
from bagwright.store.models import Visit
from bagwright.web.context import steps_of
from bagwright.web.views.board import system_of
from bagwright.web.views.common import account_of, is_part, visit_for


@require_http_methods(["GET", "HEAD", "POST"])
def visit_bag(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Distances of the bag; the address holds what is tried, so that a try can be gone back to."""
    visit = visit_for(request, visit_id, change=request.method == "POST")
    system = system_of(request)
    if request.method == "POST" and "back" in request.POST:
        if bagview.agree_no_more(account_of(request), visit):
            messages.info(request, _("The agreement was taken back."))
        return redirect("visit-bag", visit.pk)
    if request.method == "POST":
        bagview.agree(account_of(request), visit, system)
        messages.info(request, _("Kept: this bag is agreed on."))
        return redirect("visit-bag", visit.pk)
    # A button's own step has another name: scripts that send a form replace fields of the button's name.
    tried = trying.tries_of([*request.GET.getlist("try"), *request.GET.getlist("add")])
    undone = trying.tries_of(request.GET.getlist("redo"))
    told: dict[str, Any] = {
        "visit": visit,
        "steps": steps_of(visit, "visit-bag"),
        "bag": bagview.view_of(visit, system, tried),
        "tried": [one.text for one in tried],
        "full": len(tried) >= trying.MOST,
        "back": _address(visit, tried[:-1], (*tried[-1:], *undone)) if tried else "",
        "again": _address(visit, (*tried, *undone[:1]), undone[1:]) if undone else "",
    }
    return render(request, "web/board/_bag.html" if is_part(request) else "web/board/bag.html", told)


def _address(visit: Visit, tried: Sequence[trying.Try], undone: Sequence[trying.Try]) -> str:
    """Where the page shows these steps, with those that can be done again."""
    words = [("try", one.text) for one in tried] + [("redo", one.text) for one in undone]
    return f"{reverse('visit-bag', args=[visit.pk])}?{urlencode(words)}"
