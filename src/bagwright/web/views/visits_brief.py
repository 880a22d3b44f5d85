"""What the slot must do, and who takes part."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.functional import SimpleLazyObject
from django.views.decorators.http import require_http_methods

from bagwright.bay import briefing, planning
from bagwright.errors import InputError
from bagwright.store.models import Visit
from bagwright.web.context import steps_of
from bagwright.web.views.common import account_of, visit_for
from bagwright.web.views.forms_visit import SlotForm
from bagwright.web.views.saving import saved


@require_http_methods(["GET", "HEAD", "POST"])
def brief(request: HttpRequest, visit_id: int) -> HttpResponse:
    """What the slot must do, and who takes part."""
    found = visit_for(request, visit_id, change=request.method == "POST")
    told: dict[str, Any] = {"visit": found, "steps": steps_of(found, "brief"), "most": planning.MOST}
    system = request.system  # type: ignore[attr-defined]
    if "take-part" in request.POST:
        return _chosen(request, found, told)
    sent = request.POST if request.method == "POST" else None
    form = SlotForm(sent, system=system, instance=found)

    def save(values: dict[str, Any], version: int) -> HttpResponse:
        briefing.set_slot(Visit.objects.get(pk=found.pk), values, version)
        return redirect("brief", found.pk)

    if sent is not None:
        stored = Visit.objects.select_related("player").get(pk=found.pk)
        told["brief"] = SimpleLazyObject(lambda: briefing.brief_of(stored, system))
        return saved(request, form, save, "web/visits/brief.html", told)
    told |= {"form": form, "brief": briefing.brief_of(found, system)}
    return render(request, "web/visits/brief.html", told)


def _chosen(request: HttpRequest, found: Visit, told: dict[str, Any]) -> HttpResponse:
    """Who takes part, as ticked; the page again where that cannot be."""
    ticked = request.POST.getlist("club")
    try:
        said = briefing.choose(account_of(request), found, ticked)
    except InputError as error:
        found.refresh_from_db()
        system = request.system  # type: ignore[attr-defined]
        told |= {
            "told": {"message": error.message, "next_step": error.next_step},
            "picks_wrong": error.message,
            "form": SlotForm(None, system=system, instance=found),
            "brief": briefing.brief_of(found, system, ticked),
        }
        return render(request, "web/visits/brief.html", told, status=422)
    from django.contrib import messages

    for text in said:
        messages.info(request, text)
    return redirect("plan", found.pk)
