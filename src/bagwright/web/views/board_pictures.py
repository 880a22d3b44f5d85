"""The pictures of a visit, each with the table behind it."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from bagwright.bay import reporting
from bagwright.bay.board import state_of
from bagwright.report.charts.carries import carry_chart
from bagwright.report.charts.landing import landing_chart
from bagwright.report.charts.order import order_chart
from bagwright.report.charts.render import Chart
from bagwright.report.charts.sideview import sideview_chart
from bagwright.report.model import Ball, ReportInput
from bagwright.report.words import NONE, Show, degrees, sided
from bagwright.store.models import Visit
from bagwright.units import System
from bagwright.words import term

Picture = tuple[Chart, list[str], list[list[str]]]
"""A chart with the headings and rows of the table behind it."""


def told_picture(visit: Visit, wanted: str, system: System) -> dict[str, Any]:
    """What the pictures' page shows: one picture, the tabs to the others; no picture without a ball."""
    drawers = {"landing": _landing, "flight": _flights, "order": _order, "carries": _carries}
    wanted = wanted if wanted in drawers else "landing"
    told: dict[str, Any] = {
        "visit": visit,
        "wanted": wanted,
        "tabs": [
            ("landing", _("Where balls finished")),
            ("flight", _("From the side")),
            ("order", _("Ball by ball")),
            ("carries", _("Carries of the bag")),
        ],
    }
    if state_of(visit, system).fits is None:
        return told
    drawn, headings, rows = drawers[wanted](reporting.gathered(visit, system), Show(system))
    return told | {"chart": drawn, "headings": headings, "rows": rows}


def _carry(ball: Ball, show: Show) -> str:
    return NONE if ball.carry_m is None else show.distance(ball.carry_m)


def _landing(report: ReportInput, show: Show) -> Picture:
    names = [row.name for row in report.candidates]
    spot = report.answer.spot_m if report.answer is not None else None
    rows = [
        [
            b.club,
            _carry(b, show),
            sided(show.inside(b.side_m)) if b.side_m is not None else NONE,
            term(b.mark),
        ]
        for b in report.balls
        if not names or b.club in names
    ]
    head = [_("Club"), _("Carry"), _("Side"), _("Mark")]
    return landing_chart(report.landings, report.balls, show, spot_m=spot), head, rows


def _flights(report: ReportInput, show: Show) -> Picture:
    rows = [
        [f.club, show.distance_ranged(f.carry_m), show.height(f.apex_m), degrees(f.descent_rad)]
        for f in report.flights
    ]
    drawn = sideview_chart(report.flights, show, trial=bool(report.candidates))
    return drawn, [_("Club"), _("Carry"), _("Height"), _("Descent")], rows


def _order(report: ReportInput, show: Show) -> Picture:
    names = [row.name for row in report.candidates]
    rows = [[str(b.order), b.club, _carry(b, show), term(b.mark)] for b in report.balls]
    head = [_("Ball"), _("Club"), _("Carry"), _("Mark")]
    return order_chart(report.balls, report.drift, names, show), head, rows


def _carries(report: ReportInput, show: Show) -> Picture:
    rows = [[c.club, term(c.swing), show.distance_ranged(c.carry_m)] for c in report.clubs]
    return carry_chart(report.clubs, show), [_("Club"), _("Swing"), _("Carry")], rows
