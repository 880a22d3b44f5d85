"""The order of balls: made, followed, changed in mid-visit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import wraps
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from bagwright.bay import bags, following, orderview, planning, trialling
from bagwright.bay.cautions import flat_out_cautions
from bagwright.errors import InputError
from bagwright.store.models import Account, Club, RackClub, Visit
from bagwright.web.context import steps_of
from bagwright.web.views.common import account_of, is_part, visit_for
from bagwright.web.views.forms_plan import PlanForm, SettingForm, read_by_screens

View = Callable[[HttpRequest, int], HttpResponse]


def on_the_page(view: View) -> View:
    """Show what cannot be on the plan's page, whose forms stay at hand; htmx and the bay get it as a message."""

    @wraps(view)
    def shown(request: HttpRequest, visit_id: int) -> HttpResponse:
        try:
            return view(request, visit_id)
        except InputError as error:
            if is_part(request) or request.POST.get("back") == "bay":
                raise
            found = visit_for(request, visit_id, change=True)
            joins = request.POST.get("club", "") if view.__name__ == "plan_add" else ""
            told = plan_context(found, told=error) | {"joins": joins}
            return render(request, "web/visits/plan.html", told, status=422)

    return shown


@require_safe
def plan(request: HttpRequest, visit_id: int) -> HttpResponse:
    """The order of balls; htmx gets the part that changes."""
    found = visit_for(request, visit_id)
    if is_part(request):
        return render(request, "web/visits/_order.html", order_context(found))
    return render(request, "web/visits/plan.html", plan_context(found))


def order_context(found: Visit, said: Sequence[str] = ()) -> dict[str, Any]:
    """What the changing part of the page shows; `said` is what the last step did."""
    order = orderview.order_of(found)
    flat_out = any(ball.swing == "flat-out" for block in order.coming for ball in block.balls)
    cautions = flat_out_cautions(found) if flat_out and found.flat_out_at is None else []
    return {
        "visit": found,
        "order": order,
        "left": following.left_of(found),
        "flat_out_cautions": cautions,
        "candidates": planning.taking_part(found),
        "said": said,
    }


def plan_context(
    found: Visit,
    form: PlanForm | None = None,
    setting: SettingForm | None = None,
    told: InputError | None = None,
) -> dict[str, Any]:
    """What the plan's page shows."""
    taking = planning.taking_part(found)
    names = [candidate.club.name for candidate in taking]
    kinds = {candidate.club.kind for candidate in taking}
    return {
        **order_context(found),
        "steps": steps_of(found, "plan"),
        "form": form or PlanForm(names=names, kinds=kinds, wishes=planning.wishes_of(found)),
        "setting": setting or SettingForm(candidates=taking),
        "told": {"message": told.message, "next_step": told.next_step} if told else None,
        "others": trialling.could_join(found),
        "most": planning.MOST,
    }


@require_POST
def plan_make(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Make the order anew."""
    found = visit_for(request, visit_id, change=True)
    taking = planning.taking_part(found)
    form = PlanForm(
        request.POST,
        names=[candidate.club.name for candidate in taking],
        kinds={candidate.club.kind for candidate in taking},
        wishes={},
    )
    if not form.is_valid():
        return render(request, "web/visits/plan.html", plan_context(found, form), status=422)
    try:
        planning.make_plan(found, form.wishes(), by=account_of(request))
    except InputError as error:
        if len(taking) > 1 and form.cleaned_data["rules"]:
            form.add_error("rules", error.message)
            read_by_screens(form)
        return render(request, "web/visits/plan.html", plan_context(found, form, told=error), status=422)
    return redirect("plan", found.pk)


@require_POST
@on_the_page
def plan_skip(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Leave a ball or its block out."""
    found = visit_for(request, visit_id, change=True)
    block = request.POST.get("block") == "1"
    return changed(request, found, [planning.skip(found, ball_of(request), account_of(request), block=block)])


@require_POST
@on_the_page
def plan_back(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Let a ball that was left out wait again."""
    found = visit_for(request, visit_id, change=True)
    planning.bring_back(found, ball_of(request), account_of(request))
    return changed(request, found)


@require_POST
@on_the_page
def plan_move(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Move a ball, or its block, earlier or later."""
    found = visit_for(request, visit_id, change=True)
    by = request.POST.get("by")
    if by not in ("-1", "1"):
        raise InputError(_("It was not said where to move it."), _("Press earlier or later."))
    work = planning.move_block if request.POST.get("block") == "1" else planning.move
    return changed(request, found, [work(found, ball_of(request), int(by), account_of(request))])


@require_POST
@on_the_page
def plan_add(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Let a build of the player, or a demo club, take part."""
    found = visit_for(request, visit_id, change=True)
    account = account_of(request)
    club = chosen_club(account, found, request.POST.get("club", ""))
    said = [_("%(name)s takes part now.") % {"name": club.name}, *planning.join(account, found, club)]
    return went_on(request, found, said)


@require_POST
def plan_setting(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Let another setting of a candidate take part: a build of its own."""
    found = visit_for(request, visit_id, change=True)
    form = SettingForm(request.POST, candidates=planning.taking_part(found))
    if not form.is_valid():
        return render(request, "web/visits/plan.html", plan_context(found, setting=form), status=422)
    data = form.cleaned_data
    try:
        club, words = trialling.add_setting(
            account_of(request), found, data["of"], data["what"], data["value"], data["loft_deg"]
        )
    except InputError as error:
        form.add_error("value", error.message)
        read_by_screens(form)
        return render(
            request, "web/visits/plan.html", plan_context(found, setting=form, told=error), status=422
        )
    return went_on(request, found, [_("%(name)s takes part now.") % {"name": club.name}, *words])


@require_POST
@on_the_page
def plan_leave(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Let a candidate leave the trial."""
    found = visit_for(request, visit_id, change=True)
    text = request.POST.get("club", "")
    club = found.player.clubs.filter(pk=int(text)).first() if text.isdecimal() else None
    if club is None:
        raise Http404
    worse = planning.leave(account_of(request), found, club)
    left = _("%(name)s takes no further part; what was hit stays.") % {"name": club.name}
    return went_on(request, found, [left, worse])


@require_POST
@on_the_page
def plan_undo(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Take the last change of the order back."""
    found = visit_for(request, visit_id, change=True)
    if planning.undo(found, account_of(request)):
        return changed(request, found)
    return changed(request, found, [_("There is nothing to take back.")])


def ball_of(request: HttpRequest) -> int:
    """The ball that a button stands for."""
    text = request.POST.get("ball", "")
    if not (text.isascii() and text.isdecimal() and len(text) < 16):
        raise InputError(_("It was not said which ball."), _("Use the buttons beside it."))
    return int(text)


def chosen_club(account: Account, found: Visit, text: str) -> Club:
    """The build that "12" or "rack-3" names; a demo club becomes a candidate of the player. 404 otherwise."""
    number = text.removeprefix("rack-")
    if not (number.isascii() and number.isdecimal() and len(number) < 16):
        raise Http404
    if text.startswith("rack-"):
        rack = RackClub.objects.filter(pk=int(number), retired_at__isnull=True).first()
        if rack is None:
            raise Http404
        return bags.take_from_rack(account, found.player, rack)
    club = found.player.clubs.filter(pk=int(number), removed_at__isnull=True).first()
    if club is None:
        raise Http404
    return club


def changed(request: HttpRequest, found: Visit, said: Sequence[str] = ()) -> HttpResponse:
    """The part that changed for htmx; else the page again."""
    words = [text for text in said if text]
    if is_part(request):
        found.refresh_from_db()
        return render(request, "web/visits/_order.html", {**order_context(found, words), "answer": True})
    return went_on(request, found, words)


def went_on(request: HttpRequest, found: Visit, said: Sequence[str]) -> HttpResponse:
    """Back to the page that asked, with what there is to say."""
    for text in said:
        if text:
            messages.info(request, text)
    back = request.POST.get("back", "plan")
    return redirect(back if back in ("plan", "bay") else "plan", found.pk)
