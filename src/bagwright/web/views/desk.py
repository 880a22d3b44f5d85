"""The desk: papers out, who is due, and how good the program's own ranges were."""

from __future__ import annotations

import datetime
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.clickjacking import xframe_options_sameorigin
from django.views.decorators.http import require_http_methods, require_safe

from bagwright.bay import deciding, handing, predicting, strokes
from bagwright.errors import InputError
from bagwright.store.models import Paper, Player, StrokesRun, Visit
from bagwright.web.context import steps_of
from bagwright.web.views.bay import who
from bagwright.web.views.common import account_of, visit_for

MOST_RUNS = 20
"""Rounds that are looked through for hole sheets."""


@require_http_methods(["GET", "HEAD", "POST"])
def handover(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Preview the papers, hand them over, set the next check."""
    visit = visit_for(request, visit_id, change=request.method == "POST")
    if request.method == "POST":
        if "next_check" in request.POST:
            handing.set_next_check(who(request), visit.player, day_of(request.POST["next_check"]))
        else:
            kinds = [handing.kind_of(word) for word in request.POST.getlist("kind")]
            given = handing.hand_over(
                who(request),
                visit,
                kinds,
                request.system,  # type: ignore[attr-defined]
                workshop=request.POST.get("workshop") == "1",
            )
            messages.success(request, _("%(n)s papers are kept as handed over.") % {"n": len(given)})
        return redirect("handover", visit.pk)
    told = {
        "visit": visit,
        "steps": steps_of(visit, "handover"),
        "kinds": _papers(visit),
        "sheets": _hole_sheets(visit.player),
        "given": visit.papers.defer("content").select_related("club", "made_by"),
        "decision": deciding.standing(visit),
        "deliveries": visit.deliveries.select_related("club"),
        "outcomes": visit.club_outcomes.select_related("club").order_by("club__position", "pk"),
        "usual_check": timezone.localdate() + datetime.timedelta(days=365),
    }
    return render(request, "web/desk/handover.html", told)


def _hole_sheets(player: Player) -> list[StrokesRun]:
    """The newest round that was worked out on each course and tee with the player's own bag."""
    rows = StrokesRun.objects.filter(player=player, visit=None, state="done").select_related("course")
    found: dict[tuple[int, str], StrokesRun] = {}
    for run in rows.defer("arrays", "course__source", "course__heights")[:MOST_RUNS]:
        if strokes.state_of(run) == "done":
            found.setdefault((run.course_id, run.tee), run)
    return list(found.values())


def _papers(visit: Any) -> list[tuple[str, str, str]]:
    build = handing.build_club(visit)
    return [
        ("report", _("Report"), ""),
        ("yardages", _("Yardage card"), ""),
        (
            "build",
            _("Build sheet"),
            "" if build else _nothing_to_build(visit),
        ),
    ]


def _nothing_to_build(visit: Visit) -> str:
    """Why there is no build sheet, in words of this kind of visit."""
    if visit.kind == "delivery":
        return _("The sheet was handed over in the visit that this delivery comes back to.")
    return _("Nothing is to be built: accept a club, or propose a change.")


def day_of(text: str) -> datetime.date | None:
    """A day as the browser sends it, None for none."""
    if not text:
        return None
    try:
        return datetime.date.fromisoformat(text)
    except ValueError as error:
        raise InputError(
            _('"%(day)s" is no day.') % {"day": text[:20]}, _("Write it like 2026-05-09.")
        ) from error


@require_safe
@xframe_options_sameorigin
def paper(request: HttpRequest, visit_id: int, kind: str) -> HttpResponse:
    """A paper as of now, not kept: the preview."""
    visit = visit_for(request, visit_id)
    made = handing.make_paper(visit, handing.kind_of(kind), request.system)  # type: ignore[attr-defined]
    return pdf(made.content, kind, inline="download" not in request.GET)


@require_safe
@xframe_options_sameorigin
def given(request: HttpRequest, paper_id: int) -> HttpResponse:
    """A paper as it was handed over, byte for byte."""
    found = Paper.objects.filter(pk=paper_id).first()
    if found is None:
        raise Http404
    visit_for(request, found.visit_id)
    return pdf(bytes(found.content), found.kind, inline="download" not in request.GET)


def pdf(content: bytes, kind: str, *, inline: bool) -> HttpResponse:
    """The bytes of a PDF with a plain name."""
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'{"inline" if inline else "attachment"}; filename="{kind}.pdf"'
    return answer


@require_safe
def due(request: HttpRequest) -> HttpResponse:
    """Who is to be checked again, the longest due first."""
    players = Player.objects.seen_by(account_of(request)).filter(
        archived_at__isnull=True, next_check_on__isnull=False
    )
    soon = timezone.localdate() + datetime.timedelta(days=60)
    told = {
        "players": players.filter(next_check_on__lte=soon).order_by("next_check_on", "name")[:200],
        "later": players.filter(next_check_on__gt=soon).count(),
        "today": timezone.localdate(),
    }
    return render(request, "web/desk/due.html", told)


@require_safe
def record(request: HttpRequest) -> HttpResponse:
    """How many later balls fell inside the ranges that reports had stated."""
    return render(request, "web/desk/record.html", {"lines": predicting.record(account_of(request))})
