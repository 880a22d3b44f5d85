"""The way to the bay: intake, safety, brief, plan."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from bagwright.bay import briefing, planning, visits
from bagwright.store.models import Visit
from bagwright.web.context import steps_of
from bagwright.web.views.common import account_of, visit_for
from bagwright.web.views.forms_visit import IntakeForm, PlanForm, SlotForm
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
    form = IntakeForm(request.POST or None, system=request.system, instance=found)  # type: ignore[attr-defined]
    told: dict[str, Any] = {
        "visit": found,
        "steps": steps_of(found, "intake"),
        "offered": visits.offered_from(found),
    }

    def save(values: dict[str, Any], version: int) -> HttpResponse:
        visits.describe(Visit.objects.get(pk=found.pk), values, version)
        return redirect("safety" if found.safety_at is None else visits.step_in_hand(found), found.pk)

    if request.method == "POST":
        return saved(request, form, save, "web/visits/intake.html", told)
    return render(request, "web/visits/intake.html", {"form": form, **told})


@require_http_methods(["GET", "HEAD", "POST"])
def safety(request: HttpRequest, visit_id: int) -> HttpResponse:
    """The cautions that apply, once a visit."""
    found = visit_for(request, visit_id, change=request.method == "POST")
    if request.method == "POST":
        visits.acknowledge(found, "safety")
        return redirect(visits.step_in_hand(found), found.pk)
    told = {"visit": found, "steps": steps_of(found, "intake"), "cautions": visits.cautions_of(found)}
    return render(request, "web/visits/safety.html", told)


@require_http_methods(["GET", "HEAD", "POST"])
def brief(request: HttpRequest, visit_id: int) -> HttpResponse:
    """What the slot must do, and who takes part."""
    found = visit_for(request, visit_id, change=request.method == "POST")
    form = SlotForm(
        request.POST if "slot-form" in request.POST else None,
        system=request.system,  # type: ignore[attr-defined]
        instance=found,
    )
    if "take-part" in request.POST:
        briefing.choose(account_of(request), found, request.POST.getlist("club"))
        return redirect("plan", found.pk)
    told: dict[str, Any] = {"visit": found, "steps": steps_of(found, "brief")}

    def save(values: dict[str, Any], version: int) -> HttpResponse:
        briefing.set_slot(Visit.objects.get(pk=found.pk), values, version)
        return redirect("brief", found.pk)

    if request.method == "POST":
        return saved(request, form, save, "web/visits/brief.html", told)
    told |= {"form": form, "brief": briefing.brief_of(found, request.system)}  # type: ignore[attr-defined]
    return render(request, "web/visits/brief.html", told)


@require_safe
def plan(request: HttpRequest, visit_id: int) -> HttpResponse:
    """The order of balls."""
    found = visit_for(request, visit_id)
    return render(request, "web/visits/plan.html", plan_context(found, PlanForm()))


def plan_context(found: Visit, form: PlanForm) -> dict[str, Any]:
    """What the plan's page shows."""
    return {
        "visit": found,
        "steps": steps_of(found, "plan"),
        "form": form,
        "blocks": planning.blocks_of(found),
        "next": planning.next_ball(found),
        "left": planning.left_of(found),
        "candidates": planning.taking_part(found),
        "others": briefing.could_join(found),
        "flat_out_waits": found.flat_out_at is None
        and found.queue.filter(state="waiting", swing="flat-out").exists(),
    }


@require_POST
def plan_make(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Make the order anew."""
    found = visit_for(request, visit_id, change=True)
    form = PlanForm(request.POST)
    if not form.is_valid():
        return render(request, "web/visits/plan.html", plan_context(found, form), status=422)
    made = planning.make_plan(found, form.wishes())
    for dropped in made.dropped:
        who = f"{dropped.club} {dropped.swing}".strip()
        messages.info(
            request,
            _("Left out: %(n)s balls (%(who)s): %(why)s.")
            % {"n": dropped.balls, "who": who, "why": dropped.reason},
        )
    return redirect("plan", found.pk)


@require_POST
def plan_change(request: HttpRequest, visit_id: int, what: str) -> HttpResponse:
    """Skip or move a waiting ball, let a build join, or take the last change back."""
    found = visit_for(request, visit_id, change=True)
    ball = request.POST.get("ball", "")
    if what == "skip" and ball.isdecimal():
        planning.skip(found, int(ball))
    elif what == "move" and ball.isdecimal() and request.POST.get("by") in ("-1", "1"):
        planning.move(found, int(ball), int(request.POST["by"]))
    elif what == "add" and request.POST.get("club", "").isdecimal():
        club = found.player.clubs.filter(pk=int(request.POST["club"]), removed_at__isnull=True).first()
        if club is None:
            raise Http404
        planning.join(account_of(request), found, club)
        messages.info(
            request,
            _("%(name)s joins late: its balls are spread over what is left. It was not hit while the others"
              " were fresh, so the comparison is wider.") % {"name": club.name},
        )  # fmt: skip
    elif what == "undo" and not planning.undo(found):
        messages.info(request, _("There is nothing to take back."))
    back = request.POST.get("back", "plan")
    return redirect(back if back in ("plan", "bay") else "plan", found.pk)


@require_POST
def flat_out_ok(request: HttpRequest, visit_id: int) -> HttpResponse:
    """The caution before top effort was read."""
    found = visit_for(request, visit_id, change=True)
    visits.acknowledge(found, "flat-out")
    paired = getattr(request, "paired_device", None) is not None
    return redirect("bay" if paired else visits.step_in_hand(found), found.pk)


@require_POST
def finish(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Close the visit, or open it again."""
    found = visit_for(request, visit_id, change=True)
    again = request.POST.get("again") == "1"
    visits.finish(account_of(request), found, again=again)
    return redirect("visit" if again else "player", found.pk if again else found.player_id)
