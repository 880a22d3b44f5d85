"""What comes later: delivery, check, and the player's own link."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_safe

from bagwright.bag.measured import TOLERANCE
from bagwright.bay import checking, delivering, links
from bagwright.store.models import Club
from bagwright.web.context import steps_of
from bagwright.web.views.bay import who
from bagwright.web.views.common import account_of, visit_for
from bagwright.web.views.forms_after import DeliveryForm, MeasureForm


@require_http_methods(["GET", "HEAD", "POST"])
def delivery(request: HttpRequest, visit_id: int) -> HttpResponse:
    """As-built values against the sheet."""
    visit = visit_for(request, visit_id, change=request.method == "POST")
    clubs = delivering.ordered(visit)
    wanted = request.POST.get("club") or request.GET.get("club") or ""
    club = next((c for c in clubs if str(c.pk) == wanted), clubs[0] if clubs else None)
    form = DeliveryForm(request.POST or None, system=request.system, instance=Club(player=visit.player))  # type: ignore[attr-defined]
    told: dict[str, Any] = {
        "visit": visit,
        "steps": steps_of(visit, "delivery"),
        "clubs": clubs,
        "club": club,
    }
    status = 200
    if request.method == "POST" and club is not None:
        if form.is_valid():
            values = {name: form.cleaned_data[name] for name in form.Meta.fields}
            delivering.deliver(
                who(request),
                visit,
                club,
                values,
                accepted=request.POST.get("accepted") == "1",
                note=request.POST.get("note", ""),
            )
            return redirect("delivery", visit.pk)
        status = 422
    rows = [(d, delivering.checks_of(d)) for d in visit.deliveries.select_related("club").order_by("-pk")]
    told |= {
        "form": form,
        "rows": rows,
        "wanted": delivering.wanted_of(club) if club else {},
        "tolerance": TOLERANCE,
    }
    return render(request, "web/after/delivery.html", told, status=status)


@require_safe
def delivery_compare(request: HttpRequest, visit_id: int) -> HttpResponse:
    """The built club against the tested one."""
    visit = visit_for(request, visit_id)
    told = {
        "visit": visit,
        "steps": steps_of(visit, "delivery-compare"),
        "against": delivering.against_tested(visit),
    }
    return render(request, "web/after/against.html", told)


@require_http_methods(["GET", "HEAD", "POST"])
def check_measure(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Lofts, lie angles, grips and grooves of every carried club."""
    visit = visit_for(request, visit_id, change=request.method == "POST")
    lines = checking.lines_of(visit)
    made = [
        MeasureForm(
            request.POST or None,
            prefix=f"c{line.club.pk}",
            system=request.system,  # type: ignore[attr-defined]
            instance=line.now,
        )
        for line in lines
    ]
    status = 200
    if request.method == "POST":
        if all(form.is_valid() for form in made):
            stored = store(request, visit, lines, made)
            said = ngettext(
                "The measures of %(n)s club are kept.", "The measures of %(n)s clubs are kept.", stored
            )
            messages.success(request, said % {"n": stored})
            return redirect("check-measure", visit.pk)
        status = 422
    told = {
        "visit": visit,
        "steps": steps_of(visit, "check-measure"),
        "rows": list(zip(lines, made, strict=True)),
    }
    return render(request, "web/after/measure.html", told, status=status)


def store(request: HttpRequest, visit: Any, lines: list[checking.Line], made: list[MeasureForm]) -> int:
    """Keep every club of which something was said or changed; returns how many."""
    stored = 0
    for line, form in zip(lines, made, strict=True):
        values = {name: form.cleaned_data[name] for name in form.Meta.fields}
        said = any(value not in (None, "") for value in values.values())
        if said or line.now is not None:
            checking.measure(who(request), visit, line.club.pk, values)
            stored += 1
    return stored


@require_safe
def check_compare(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Two visits side by side."""
    visit = visit_for(request, visit_id)
    told = {"visit": visit, "steps": steps_of(visit, "check-compare"), "compared": checking.compared(visit)}
    return render(request, "web/after/compare.html", told)


@require_http_methods(["GET", "HEAD", "POST"])
def check_outcome(request: HttpRequest, visit_id: int) -> HttpResponse:
    """How the check ends for each club."""
    visit = visit_for(request, visit_id, change=request.method == "POST")
    if request.method == "POST":
        club = request.POST.get("club", "")
        checking.settle(
            who(request),
            visit,
            int(club) if club.isdecimal() else 0,
            request.POST.get("outcome", ""),
            request.POST.get("reason", ""),
        )
        return redirect("check-outcome", visit.pk)
    told = {
        "visit": visit,
        "steps": steps_of(visit, "check-outcome"),
        "lines": checking.lines_of(visit),
        "outcomes": [
            ("keep", _("keep")),
            ("bend back", _("bend back")),
            ("regrip", _("regrip")),
            ("retest", _("retest")),
        ],
    }
    return render(request, "web/after/outcome.html", told)


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
    return render(request, "web/after/for_you.html", {"papers": papers, "token": token})


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
    return answer
