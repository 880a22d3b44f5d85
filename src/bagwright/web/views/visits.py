"""The first steps of a visit: intake and safety; where it goes on; its end."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from bagwright.bay import visits
from bagwright.bay.cautions import cautions_of, is_range_ball
from bagwright.errors import InputError
from bagwright.store.models import Visit
from bagwright.web.context import steps_of
from bagwright.web.views.common import account_of, visit_for
from bagwright.web.views.forms_visit import IntakeForm
from bagwright.web.views.saving import saved


@require_safe
def visit(request: HttpRequest, visit_id: int) -> HttpResponse:
    """The page where this visit goes on."""
    found = visit_for(request, visit_id)
    return redirect(visits.step_in_hand(found), found.pk)


@require_http_methods(["GET", "HEAD", "POST"])
def intake(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Place, air, surface, ball, how figures came about, alignment."""
    found = visit_for(request, visit_id, change=request.method == "POST")
    offered = visits.offered_from(found) if found.safety_at is None else None
    sent = request.POST if request.method == "POST" else None
    system = request.system  # type: ignore[attr-defined]
    form = IntakeForm(sent, system=system, instance=found, offered=offered)
    told: dict[str, Any] = {
        "visit": found,
        "steps": steps_of(found, "intake"),
        "offered": offered,
        "left_handed": found.player.hand == "left",
        "range_ball": is_range_ball(found.ball),
    }

    def save(values: dict[str, Any], version: int) -> HttpResponse:
        visits.describe(Visit.objects.get(pk=found.pk), values, version)
        return redirect("safety" if found.safety_at is None else visits.step_in_hand(found), found.pk)

    if sent is not None:
        return saved(request, form, save, "web/visits/intake.html", told)
    return render(request, "web/visits/intake.html", {"form": form, **told})


@require_http_methods(["GET", "HEAD", "POST"])
def safety(request: HttpRequest, visit_id: int) -> HttpResponse:
    """The cautions that apply, once a visit."""
    found = visit_for(request, visit_id, change=request.method == "POST")
    if request.method == "POST":
        visits.acknowledge(found, "safety")
        return redirect(visits.step_in_hand(found), found.pk)
    told = {"visit": found, "steps": steps_of(found, "intake"), "cautions": cautions_of(found)}
    return render(request, "web/visits/safety.html", told)


@require_POST
def flat_out_ok(request: HttpRequest, visit_id: int) -> HttpResponse:
    """The caution before top effort was read."""
    found = visit_for(request, visit_id, change=True)
    visits.acknowledge(found, "flat-out")
    if request.POST.get("back") == "plan":
        return redirect("plan", found.pk)
    paired = getattr(request, "paired_device", None) is not None
    return redirect("bay" if paired else visits.step_in_hand(found), found.pk)


@require_http_methods(["GET", "HEAD", "POST"])
def aside(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Put a visit aside, or take it back: asked with its reason first, nothing is deleted."""
    found = visit_for(request, visit_id, change=request.method == "POST", aside=True)
    to_player = f"{reverse('player', args=[found.player_id])}#aside"
    if request.method == "POST" and "back" in request.POST:
        return redirect("visit", visits.take_back(account_of(request), found).pk)
    if found.put_aside_at is not None:
        return redirect(to_player)
    told: dict[str, Any] = {"visit": found, "why": request.POST.get("why", ""), "hit": found.shots.count()}
    if request.method == "POST":
        try:
            visits.put_aside(account_of(request), found, told["why"])
        except InputError as error:
            told["told"] = {"message": error.message, "next_step": error.next_step}
            return render(request, "web/visits/aside.html", told, status=422)
        messages.success(request, _("The visit was put aside. It can be taken back below."))
        return redirect(to_player)
    return render(request, "web/visits/aside.html", told)


@require_POST
def finish(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Close the visit, or open it again."""
    found = visit_for(request, visit_id, change=True)
    again = request.POST.get("again") == "1"
    visits.finish(account_of(request), found, again=again)
    return redirect("visit" if again else "player", found.pk if again else found.player_id)
