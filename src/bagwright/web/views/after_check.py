"""Check again: the gauge's page, two visits side by side, and how it ends for each club."""

from __future__ import annotations

import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_safe

from bagwright.bay import checking, handing
from bagwright.errors import InputError
from bagwright.store.models import ClubMeasurement, Visit
from bagwright.web.context import steps_of
from bagwright.web.views.bay import number_of, who
from bagwright.web.views.common import visit_for
from bagwright.web.views.desk import day_of
from bagwright.web.views.forms_after import MeasureForm


@require_http_methods(["GET", "HEAD", "POST"])
def check_measure(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Lofts, lie angles, grips and grooves of every carried club."""
    visit = visit_for(request, visit_id, change=request.method == "POST")
    lines = checking.lines_of(visit, with_carry=False)
    rows = [_row(request, line) for line in lines]
    status = 200
    if request.method == "POST":
        sent = [(line, form, seen) for line, form, seen in rows if f"c{line.club.pk}-seen" in request.POST]
        valid = [form.is_valid() for _line, form, _seen in sent]  # every one, so that each says its errors
        if all(valid):
            typed = [
                checking.Typed(
                    line.club.pk, {name: form.cleaned_data[name] for name in checking.VALUES}, seen
                )
                for line, form, seen in sent
            ]
            stored = checking.measure_all(who(request), visit, typed)
            said = ngettext(
                "The measures of %(n)s club are kept.", "The measures of %(n)s clubs are kept.", stored
            )
            messages.success(request, said % {"n": stored})
            return redirect("check-measure", visit.pk)
        status = 422
    told = {"visit": visit, "steps": steps_of(visit, "check-measure"), "rows": rows, "wrong": status == 422}
    return render(request, "web/after/measure.html", told, status=status)


def _row(request: HttpRequest, line: checking.Line) -> tuple[checking.Line, MeasureForm, str]:
    """A club's line, its form, and the stamp of what the page shows or had shown."""
    prefix = f"c{line.club.pk}"
    seen = request.POST.get(f"{prefix}-seen", line.seen)
    form = MeasureForm(
        request.POST if f"{prefix}-seen" in request.POST else None,
        prefix=prefix,
        system=request.system,  # type: ignore[attr-defined]
        instance=line.now or ClubMeasurement(club=line.club),
    )
    return line, form, seen


@require_safe
def check_compare(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Two visits side by side, or the agreed bag and this visit."""
    visit = visit_for(request, visit_id)
    told = {
        "visit": visit,
        "steps": steps_of(visit, "check-compare"),
        "compared": checking.compared(visit, request.GET.get("with", "")),
        "visits": checking.earlier_visits(visit),
        "bags": checking.agreed_before(visit),
    }
    return render(request, "web/after/compare.html", told)


@require_http_methods(["GET", "HEAD", "POST"])
def check_outcome(request: HttpRequest, visit_id: int) -> HttpResponse:
    """How the check ends for each club, and when to look again."""
    visit = visit_for(request, visit_id, change=request.method == "POST")
    if request.method == "POST":
        _settle(request, visit)
        return redirect("check-outcome", visit.pk)
    told: dict[str, Any] = {
        "visit": visit,
        "steps": steps_of(visit, "check-outcome"),
        "lines": checking.lines_of(visit),
        "usual_check": timezone.localdate() + datetime.timedelta(days=365),
        "outcomes": [
            ("keep", _("keep")),
            ("bend back", _("bend back")),
            ("regrip", _("regrip")),
            ("retest", _("retest")),
        ],
    }
    return render(request, "web/after/outcome.html", told)


def _settle(request: HttpRequest, visit: Visit) -> None:
    """Keep what was chosen: the next check's day, one club taken back, or every club that is ticked."""
    if "next_check" in request.POST:
        handing.set_next_check(who(request), visit.player, day_of(request.POST["next_check"]))
        return
    if "back" in request.POST:
        checking.settle(who(request), visit, number_of(request.POST["back"]) or 0, "", "")
        return
    ticked = {
        number_of(name.removeprefix("outcome-")) or 0: str(value)
        for name, value in request.POST.items()
        if name.startswith("outcome-")
    }
    if not ticked:
        raise InputError(_("Nothing was chosen."), _("Choose one of the four for a club, then save."))
    chosen = {
        club: checking.Chosen(outcome, request.POST.get(f"reason-{club}", ""))
        for club, outcome in ticked.items()
    }
    kept = checking.settle_all(who(request), visit, chosen)
    said = ngettext("Kept for %(n)s club.", "Kept for %(n)s clubs.", kept)
    messages.success(request, said % {"n": kept})
