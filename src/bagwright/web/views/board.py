"""The decision board, its pictures, ratings, the decision, the bag's distances."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from bagwright.bay import deciding, planning, rating, reporting
from bagwright.bay.board import BoardState, state_of
from bagwright.estimate import Estimate
from bagwright.report.charts.carries import carry_chart
from bagwright.report.charts.landing import landing_chart
from bagwright.report.charts.order import order_chart
from bagwright.report.charts.render import Chart
from bagwright.report.charts.sideview import sideview_chart
from bagwright.report.model import ReportInput
from bagwright.report.theme import Sign, sign
from bagwright.report.words import Show, sided
from bagwright.store.models import Visit
from bagwright.trial.result import Candidate, DispersionLine, FlightLine, PlaceLine, StrikeLine, Verdict
from bagwright.web.context import steps_of
from bagwright.web.views.bay import who
from bagwright.web.views.common import is_part, visit_for


@dataclass(frozen=True, slots=True)
class Bar:
    """A range drawn on the column's common scale, in per cent of its width; and its words."""

    left: float
    width: float
    at: float
    words: str


@dataclass(frozen=True, slots=True)
class Row:
    """One candidate on the board: its sign, its four sides, and bars of the two that are drawn."""

    sign: Sign
    number: int
    candidate: Candidate
    strike: StrikeLine
    flight: FlightLine
    dispersion: DispersionLine
    place: PlaceLine
    carry: Bar
    miss: Bar


def rows_of(verdict: Verdict, show: Show) -> list[Row]:
    """The board's rows, in the order of the candidates."""
    carry = _scale([c.carry_m for c in verdict.candidates])
    miss = _scale([c.miss_m for c in verdict.candidates], zero=True)
    strike = {line.name: line for line in verdict.strike.lines}
    flight = {line.name: line for line in verdict.flight.lines}
    dispersion = {line.name: line for line in verdict.dispersion.lines}
    place = {line.name: line for line in verdict.place.lines}
    found = []
    for i, one in enumerate(verdict.candidates):
        found.append(
            Row(
                sign(i),
                i % 6 + 1,
                one,
                strike[one.name],
                flight[one.name],
                dispersion[one.name],
                place[one.name],
                _bar(one.carry_m, carry, show),
                _bar(one.miss_m, miss, show, 1),
            )
        )
    return found


def _scale(all_of_them: list[Estimate], *, zero: bool = False) -> tuple[float, float]:
    low = 0.0 if zero else min(e.low for e in all_of_them)
    high = max(e.high for e in all_of_them)
    spare = 0.04 * (high - low) or 1.0
    return (low if zero else low - spare), high + spare


def _bar(estimate: Estimate, scale: tuple[float, float], show: Show, digits: int = 0) -> Bar:
    low, high = scale
    part = 100.0 / (high - low)
    return Bar(
        (estimate.low - low) * part,
        max(1.0, (estimate.high - estimate.low) * part),
        (estimate.value - low) * part,
        show.distance_ranged(estimate, digits),
    )


def board_context(visit: Visit, state: BoardState) -> dict[str, Any]:
    """What the board shows."""
    told: dict[str, Any] = {
        "visit": visit,
        "state": state,
        "verdict": state.verdict,
        "signs": [(sign(i), s) for i, s in enumerate(state.standings)],
        "aligned": visit.aligned == "checked",
    }
    if state.verdict is not None:
        told["rows"] = rows_of(state.verdict, Show(state.system))
    return told


@require_safe
def board(request: HttpRequest, visit_id: int) -> HttpResponse:
    """The board as a part of the bay's page, or alone."""
    visit = visit_for(request, visit_id)
    state = state_of(visit, request.system)  # type: ignore[attr-defined]
    told = board_context(visit, state)
    if is_part(request):
        return render(request, "web/board/_board.html", told)
    return render(request, "web/board/board.html", {**told, "steps": steps_of(visit, "bay")})


PICTURES = ("landing", "flight", "order", "carries")


@require_safe
def pictures(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Where balls finished, the flights from the side, order and drift: one at a time, with its table."""
    visit = visit_for(request, visit_id)
    wanted = request.GET.get("picture", "landing")
    wanted = wanted if wanted in PICTURES else "landing"
    report = reporting.gathered(visit, request.system)  # type: ignore[attr-defined]
    drawn, headings, rows = picture(report, wanted, Show(request.system))  # type: ignore[attr-defined]
    tabs = [
        ("landing", _("Where balls finished")),
        ("flight", _("From the side")),
        ("order", _("Ball by ball")),
        ("carries", _("Carries of the bag")),
    ]
    told = {
        "visit": visit,
        "chart": drawn,
        "headings": headings,
        "rows": rows,
        "tabs": tabs,
        "wanted": wanted,
    }
    page = "web/board/_pictures.html" if is_part(request) else "web/board/pictures.html"
    return render(request, page, {**told, "steps": steps_of(visit, "bay")})


def picture(report: ReportInput, wanted: str, show: Show) -> tuple[Chart, list[str], list[list[str]]]:
    """One chart with the headings and rows of the table behind it."""
    names = [row.name for row in report.candidates]
    if wanted == "flight":
        rows = [[f.club, show.distance_ranged(f.carry_m), show.height(f.apex_m)] for f in report.flights if f]
        trial = bool(report.candidates)
        return sideview_chart(report.flights, show, trial=trial), [_("Club"), _("Carry"), _("Height")], rows
    if wanted == "order":
        balls = [
            [str(b.order), b.club, show.distance(b.carry_m) if b.carry_m is not None else "–", b.mark]
            for b in report.balls
        ]
        head = [_("Ball"), _("Club"), _("Carry"), _("Mark")]
        return order_chart(report.balls, report.drift, names, show), head, balls
    if wanted == "carries":
        rows = [[c.club, c.swing, show.distance_ranged(c.carry_m)] for c in report.clubs]
        return carry_chart(report.clubs, show), [_("Club"), _("Swing"), _("Carry")], rows
    spot = report.answer.spot_m if report.answer is not None else None
    rows = [
        [
            b.club,
            show.distance(b.carry_m) if b.carry_m is not None else "–",
            sided(show.inside(b.side_m)) if b.side_m is not None else "–",
            b.mark,
        ]
        for b in report.balls
        if not names or b.club in names
    ]
    head = [_("Club"), _("Carry"), _("Side"), _("Mark")]
    return landing_chart(report.landings, report.balls, show, spot_m=spot), head, rows


@require_http_methods(["GET", "HEAD", "POST"])
def ratings(request: HttpRequest, visit_id: int) -> HttpResponse:
    """The player's own word on each candidate."""
    visit = visit_for(request, visit_id, change=request.method == "POST")
    if request.method == "POST":
        if "hide" in request.POST:
            rating.hide_numbers(visit, hide=request.POST["hide"] == "1")
        else:
            rating.rate(visit, request.POST.get("club", ""), request.POST)
        return redirect("ratings", visit.pk)
    told = {
        "visit": visit,
        "rows": rating.rows_of(visit),
        "aspects": rating.aspects(),
        "steps": steps_of(visit, "ratings"),
    }
    return render(request, "web/board/ratings.html", told)


@require_http_methods(["GET", "HEAD", "POST"])
def decide(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Candidates side by side; accept, keep, or leave open."""
    visit = visit_for(request, visit_id, change=request.method == "POST")
    if request.method == "POST":
        if "withdraw" in request.POST:
            deciding.withdraw(who(request), visit)
        else:
            deciding.decide(
                who(request),
                visit,
                outcome=request.POST.get("outcome", ""),
                choice=request.POST.get("choice", ""),
                reason=request.POST.get("reason", ""),
                player_word=request.POST.get("player_word", ""),
                change_bag=request.POST.get("change_bag") == "1",
                system=request.system,  # type: ignore[attr-defined]
            )
        return redirect("decide", visit.pk)
    state = state_of(visit, request.system)  # type: ignore[attr-defined]
    told = board_context(visit, state)
    told |= {
        "steps": steps_of(visit, "decide"),
        "decision": deciding.standing(visit),
        "effects": deciding.effects(visit, state),
        "clubs": [c.club for c in planning.taking_part(visit)],
        "ratings": rating.rows_of(visit),
    }
    return render(request, "web/board/decide.html", told)


@require_http_methods(["GET", "HEAD", "POST"])
def visit_bag(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Distances of the bag as picture and table; try a change, agree on a bag."""
    from bagwright.bay import bagview

    visit = visit_for(request, visit_id, change=request.method == "POST")
    system = request.system  # type: ignore[attr-defined]
    if request.method == "POST":
        bagview.agree(who(request), visit, system)
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
