"""What comes later: the delivery, and the player's own link."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from bagwright.bay import delivering, links, swapping
from bagwright.errors import InputError
from bagwright.store.models import Club, Visit
from bagwright.web.context import steps_of
from bagwright.web.views.bay import number_of, who
from bagwright.web.views.common import account_of, visit_for
from bagwright.web.views.forms_after import DeliveryForm, tolerance_words


@require_http_methods(["GET", "HEAD", "POST"])
def delivery(request: HttpRequest, visit_id: int) -> HttpResponse:
    """As-built values against the sheet."""
    visit = visit_for(request, visit_id, change=request.method == "POST")
    if "back" in request.POST:
        left = delivering.take_back(who(request), visit, number_of(request.POST["back"]) or 0)
        messages.info(request, _("The delivery was taken back."))
        if left:
            told_left = _(
                "The place of %(club)s was changed meanwhile: look at the bag, it was left as it is."
            )
            messages.warning(request, told_left % {"club": left[:60]})
        return redirect("delivery", visit.pk)
    clubs = delivering.ordered(visit)
    club = _chosen(request, clubs)
    wanted = delivering.wanted_of(club) if club else {}
    form = DeliveryForm(
        request.POST or None,
        system=request.system,  # type: ignore[attr-defined]
        instance=Club(player=visit.player),
        wanted=wanted,
    )
    told: dict[str, Any] = {"note": request.POST.get("note", ""), "despite": request.POST.get("despite", "")}
    if request.method == "POST" and club is not None:
        trouble = _deliver(request, visit, club, form)
        if trouble is None:
            return redirect("delivery", visit.pk)
        told["told"] = trouble if isinstance(trouble, InputError) else None
        if isinstance(trouble, delivering.OutOfToleranceError):
            values = {name: form.cleaned_data[name] for name in form.Meta.fields}
            told["out"] = [(one, tolerance_words(one.field)) for one in delivering.out_of(club, values)]
    rows = [
        (
            one,
            [(check, tolerance_words(check.field)) for check in delivering.checks_of(one)],
            swapping.replaced_by(visit, one.made) if one.made is not None else None,
        )
        for one in visit.deliveries.select_related("club", "made", "made_by")
    ]
    told |= {
        "visit": visit, "steps": steps_of(visit, "delivery"), "clubs": clubs, "club": club, "form": form,
        "rows": rows,
    }  # fmt: skip
    return render(request, "web/after/delivery.html", told, status=422 if request.method == "POST" else 200)


def _chosen(request: HttpRequest, clubs: list[Club]) -> Club | None:
    """The club that was asked for, the likeliest where none was. Raises InputError for one that is not there."""
    asked = request.POST.get("club", "") if request.method == "POST" else request.GET.get("club", "")
    found = next((club for club in clubs if str(club.pk) == asked), None)
    if found is None and (asked or request.method == "POST"):
        raise InputError(_("This club is not in the player's bag."), _("Choose one of its clubs."))
    return found or (clubs[0] if clubs else None)


def _deliver(request: HttpRequest, visit: Visit, club: Club, form: DeliveryForm) -> InputError | bool | None:
    """Store it: None, or what was wrong with it."""
    if not form.is_valid():
        return True
    accepted = request.POST.get("accepted") == "1"
    values = {name: form.cleaned_data[name] for name in form.Meta.fields}
    try:
        made = delivering.deliver(
            who(request), visit, club, values, accepted=accepted, note=request.POST.get("note", ""),
            despite=request.POST.get("despite", ""),
        )  # fmt: skip
    except InputError as trouble:
        return trouble
    if made.made is not None:
        hit = _("%(club)s can be hit in the bay.") % {"club": made.made.name[:60]}
        messages.success(request, f"{hit} {_place_words(visit, made.made)}".rstrip())
    return None


def _place_words(visit: Visit, built: Club) -> str:
    """What the accepted club did to the bag; "" where an earlier delivery had it carried already."""
    out = swapping.replaced_by(visit, built)
    names = {"club": built.name[:60], "tested": out.name[:60] if out is not None else ""}
    if out is not None:
        return _("%(club)s is carried now, in the place of %(tested)s, which keeps its balls.") % names
    built.refresh_from_db()
    if built.status == "carried":
        return ""
    return _("%(club)s is not carried: the tested one was not either. Carry it on the bag's page.") % names


@require_safe
def delivery_compare(request: HttpRequest, visit_id: int) -> HttpResponse:
    """The built club against the tested one."""
    visit = visit_for(request, visit_id)
    found = delivering.against_tested(visit)
    told = {
        "visit": visit,
        "steps": steps_of(visit, "delivery-compare"),
        "found": found,
        "compared": any(one.change is not None for one in found),
    }
    return render(request, "web/after/against.html", told)


@require_http_methods(["GET", "HEAD", "POST"])
def player_link(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Make or revoke the player's link; in shop mode only."""
    if not settings.SHOP:
        raise Http404
    visit = visit_for(request, visit_id, change=request.method == "POST")
    account = account_of(request)
    told: dict[str, Any] = {"visit": visit, "steps": steps_of(visit, "handover")}
    if request.method == "POST":
        if request.POST.get("revoke", "").isdecimal():
            links.revoke(account, visit, int(request.POST["revoke"]))
            return redirect("player-link", visit.pk)
        token = links.make(account, visit)
        told["link"] = request.build_absolute_uri(reverse("for-you", args=[token]))
    told["links"] = links.open_links(visit)
    return render(request, "web/after/link.html", told)


@login_not_required
@require_safe
def for_you(request: HttpRequest, token: str) -> HttpResponse:
    """The player's papers of one visit."""
    papers = links.papers_of(token) if settings.SHOP else None
    if papers is None:
        raise Http404
    answer = render(request, "web/after/for_you.html", {"papers": papers, "token": token})
    return _kept_to_oneself(answer)


@login_not_required
@require_safe
def for_you_paper(request: HttpRequest, token: str, paper_id: int) -> HttpResponse:
    """One of these papers."""
    papers = links.papers_of(token) if settings.SHOP else None
    paper = papers.filter(pk=paper_id).first() if papers is not None else None
    if paper is None:
        raise Http404
    answer = HttpResponse(bytes(paper.content), content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{paper.kind}.pdf"'
    return _kept_to_oneself(answer)


def _kept_to_oneself(answer: HttpResponse) -> HttpResponse:
    """Not kept by anybody between, not found by a search, and its address told to nobody."""
    answer["Cache-Control"] = "no-store"
    answer["X-Robots-Tag"] = "noindex, nofollow"
    answer["Referrer-Policy"] = "no-referrer"
    return answer
