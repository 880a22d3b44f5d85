"""The report: page one says the answer in plain words, the pages behind it show why."""

from __future__ import annotations

import datetime
import re
from pathlib import Path
from typing import Any

from bagwright.files import write_whole
from bagwright.report import tables, tables_flight
from bagwright.report.answer import Said, answer_next, named, say_answer, your_numbers
from bagwright.report.cautions import first_cautions, method_of, player_cautions
from bagwright.report.charts import (
    Chart,
    air_chart,
    board_chart,
    carry_chart,
    chart_in,
    landing_chart,
    order_chart,
    sideview_chart,
    to_svg,
)
from bagwright.report.model import FlightRow, ReportInput
from bagwright.report.paper_words import paper_in
from bagwright.report.safe import clean
from bagwright.report.strokes import compare
from bagwright.report.typeset import Paper, day_of, paper_name, spelled, typeset_pdf
from bagwright.report.words import Show
from bagwright.units import System
from bagwright.words import join, tell

TEMPLATE = "report.typ"
FILE = "report.pdf"
_WIDEST = 657
_TALLEST = 790
"""Pixels of 1/96 inch that fit across A4, and down a letter page with a heading and a note."""
_NO_PICK: dict[str, Any] = {
    "pick_said": [], "pick_more": [], "pick_worth_note": "",
    **{
        f"pick_{name}{part}": []
        for name in ("worth", "carries", "holes", "near")
        for part in ("", "_heads", "_widths")
    },
}  # fmt: skip
_VISITS = 3
"""The latest visits whose balls are drawn one by one."""


def write_report(
    report: ReportInput,
    out_dir: Path,
    *,
    date: datetime.date | str,
    paper: Paper = "a4",
    system: System = "yards",
    language: str = "en",
    logo: bytes = b"",
) -> Path:
    """Write the report as a tagged PDF named "report.pdf" into `out_dir` and return its path.

    `logo` is a PNG or JPEG picture that stands above page one. `language` is that of the page; what people
    typed stays as they typed it.

    `date` is printed on it and is the only date in the file: the same input gives the same bytes. Raises
    InputError for an unknown paper or date, MachineError where the file cannot be made or written.
    """
    day = day_of(date)
    data = {**report_data(report, day, paper, system, language), "logo": list(logo)}
    content = typeset_pdf(TEMPLATE, data, day)
    return write_whole(Path(out_dir) / FILE, content)


def charts_of(report: ReportInput, system: System) -> dict[str, Chart]:
    """Give the charts that a report has something for, by name."""
    show = Show(system)
    found: dict[str, Chart] = {}
    answer = report.answer
    if answer is not None and report.candidates and report.converged:
        found["candidates"] = board_chart(report.candidates, report.sides, answer, show)
    placed = [ball for ball in report.balls if ball.carry_m is not None and ball.side_m is not None]
    if report.landings and placed:
        spot = answer.spot_m if answer is not None else None
        found["landing"] = landing_chart(report.landings, report.balls, show, spot)
    if any(row.carry_m is not None for row in report.clubs):
        found["distances"] = carry_chart(report.clubs, show)
    found.update(_flight_charts(report, show))
    if report.picked is not None:
        from bagwright.report.pick.section import pick_charts

        found.update(pick_charts(report.picked))
    latest = sorted({ball.visit for ball in report.balls})[-_VISITS:]
    balls = [ball for ball in report.balls if ball.visit in latest]
    if any(ball.off_centre_m is not None for ball in balls):
        names = [row.name for row in report.candidates]
        drift = [line for line in report.drift if line.visit in latest]
        found["order"] = order_chart(balls, drift, names, show)
    return found


def _flight_charts(report: ReportInput, show: Show) -> dict[str, Chart]:
    """Give the side views of the slot and of the bag, and what other air does."""
    found: dict[str, Chart] = {}
    trial = trial_flights(report)
    if any(trial) and report.converged:
        found["flight"] = sideview_chart(trial, show, trial=True)
    bag = bag_flights(report)
    if any(row.path for row in bag):
        found["flights"] = sideview_chart(bag, show, trial=False)
    if report.air_card is not None and report.air_card.rows:
        found["air"] = air_chart(report.air_card, show)
    return found


def trial_flights(report: ReportInput) -> tuple[FlightRow | None, ...]:
    """Give the candidates' flights in the candidates' order; None where one has none."""
    by_name = {row.club: row for row in report.flights if row.path}
    return tuple(by_name.get(row.name) for row in report.candidates)


def bag_flights(report: ReportInput) -> tuple[FlightRow, ...]:
    """Give the flights of the clubs carried, longest first."""
    kept = [row for row in report.flights if row.status == "carried"]
    return tuple(sorted(kept, key=lambda row: -(row.carry_m.value if row.carry_m is not None else 0.0)))


def report_data(
    report: ReportInput, day: datetime.date, paper: str, system: System, language: str = "en"
) -> dict[str, Any]:
    """Everything on the pages as plain strings in a language, in the order that the template sets them."""
    show = Show(system)
    said = say_answer(report, show)
    player = clean(report.player.name, 60) or tell("the player")
    cautions = player_cautions(report.player, report.cautions)
    data = {
        "title": tell("Club report for {player}, {spelled}", player=player, spelled=spelled(day)),
        "author": "bagwright",
        "about": said.headline,
        "paper": paper_name(paper),
        "running": tell("Club report for {player}", player=player),
        "foot": tell("Ranges hold nine times in ten. Made with bagwright."),
        "player": player,
        "day": spelled(day),
        "answer": _answer(said),
        "charts": {
            name: _picture(chart_in(chart, language)) for name, chart in charts_of(report, system).items()
        },
        "notes": _notes(report, show),
        "cautions": list(cautions),
        "cautions_first": list(first_cautions(cautions)),
        "method": list(method_of(report)),
        "fit_notes": [clean(text, 300) for text in report.notes],
        "next": list(answer_next(report)),
        **_page_one_figures(report, show),
        **_trial(report, show),
        **_distances(report, show),
        **_bag_and_conditions(report, show),
        **_on_course(report, show),
        **_picked(report, show),
    }
    return paper_in(data, language)


def _answer(said: Said) -> dict[str, Any]:
    lines = [{"label": label, "said": list(lines)} for label, lines in said.lines]
    return {"headline": said.headline, "below": said.below, "lines": lines}


def _page_one_figures(report: ReportInput, show: Show) -> dict[str, Any]:
    answer = report.answer
    name = named(answer.choice) if answer is not None else ""
    pairs = [{"what": what, "figure": figure} for what, figure in your_numbers(report, show)]
    return {
        "numbers": pairs,
        "numbers_title": tell("Your numbers with the {name}", name=name),
        "numbers_note": (
            tell(
                "In brackets: the range that holds the true value nine times in ten. Today, with "
                "these balls on this surface. How far balls fly when struck badly is not in the "
                "carry."
            )
        ),
    }


def _trial(report: ReportInput, show: Show) -> dict[str, Any]:
    shown = report.candidates if report.answer is not None and report.converged else ()
    heads, rows, widths = tables.candidate_table(shown, show)
    strike_heads, strikes, strike_widths = tables_flight.strike_table(shown, report.flights, show)
    return {
        "candidates": rows,
        "candidate_heads": heads,
        "candidate_widths": widths,
        "sides": tables.side_table(report.sides),
        "strike_heads": strike_heads,
        "strikes": strikes,
        "strike_widths": strike_widths,
    }


def _distances(report: ReportInput, show: Show) -> dict[str, Any]:
    heads, rows, widths = tables.carry_table(report.clubs, show)
    flight_heads, flights, flight_widths = tables_flight.flight_table(bag_flights(report), report.clubs, show)
    air_heads, air, air_widths = tables_flight.air_table(report.air_card, show)
    wedge_heads, wedges = tables.wedge_table(report.clubs, show)
    step_heads, steps = tables.step_table(report.steps, show)
    return {
        "carry_heads": heads,
        "carries": rows,
        "carry_widths": widths,
        "wedge_heads": wedge_heads,
        "wedges": wedges,
        "flight_heads": flight_heads,
        "flights": flights,
        "flight_widths": flight_widths,
        "flight_notes": [clean(text, 400) for text in report.flight_notes],
        "air_heads": air_heads,
        "air": air,
        "air_widths": air_widths,
        "air_today": clean(report.air_card.today, 120) if report.air_card is not None else "",
        "air_said": [clean(text, 400) for text in report.air_card.said]
        if report.air_card is not None
        else [],
        "step_heads": step_heads,
        "steps": steps,
        "findings": [clean(text, 600) for text in report.findings],
    }


def _bag_and_conditions(report: ReportInput, show: Show) -> dict[str, Any]:
    heads, rows, widths = tables.bag_table(report.bag, show)
    condition_heads, conditions, condition_widths = tables.condition_table(report.visits)
    return {
        "bag_heads": heads,
        "bag": rows,
        "bag_widths": widths,
        "limits": [clean(text, 300) for text in report.limits],
        "condition_heads": condition_heads,
        "conditions": conditions,
        "condition_widths": condition_widths,
        "counts": tables.count_lines(report),
    }


def _on_course(report: ReportInput, show: Show) -> dict[str, Any]:
    """The section of the course; empty where none was chosen."""
    found = report.on_course
    if found is None:
        return {"course_said": [], "course_heads": [], "course_rows": [], "course_widths": []}
    heads, rows, widths = compare.table(found, show)
    return {
        "course_said": [compare.sentence(found), compare.doubt()],
        "course_heads": [clean(head, 30) for head in heads],
        "course_rows": rows,
        "course_widths": widths,
    }


def _picked(report: ReportInput, show: Show) -> dict[str, Any]:
    """The section of the bag; empty where none was picked. Imported late: the search needs its libraries."""
    if report.picked is None:
        return _NO_PICK
    from bagwright.report.pick.section import pick_data

    return _NO_PICK | pick_data(report.picked, show)


def _notes(report: ReportInput, show: Show) -> dict[str, str]:
    spot = report.answer.spot_m if report.answer is not None else None
    place = (
        tell(
            "Average miss: mean distance to the spot at {distance}, mishits counted in. ",
            distance=show.distance(spot),
        )
        if spot
        else ""
    )
    return {
        "candidates": (
            tell(
                "Point: the likeliest value. Bar: the range that holds the true value nine times in "
                "ten. {place}Width: left to right, holding nine solid strikes in ten. Under each "
                "side: who is ahead (flight: only who is longest) and how sure, or that it is still "
                "open.",
                place=place,
            )
        ),
        "builds": join(" ", tables.build_table(report.candidates, report.player.currency)),
        "landing": tell(
            "Seen from above; a {unit} across is as long as a {unit} away. Filled: solid strikes. Hollow: "
            "mishits. Inner line: holds half of the solid strikes. Dashed line: nine in ten. Warm-up balls "
            "and bad readings are not drawn.",
            unit=tell("yard") if show.system == "yards" else tell("metre"),
        ),
        "distances": (
            tell(
                "Struck well, with the range that holds the true value nine times in ten. Figures: "
                "the stock swing. Hollow with a broken line: not hit, estimated from the other clubs."
            )
        ),
        "carries": (
            tell(
                "Struck well. In brackets: the range. A ≈ in front: not hit, estimated from other "
                "swings and clubs. Side: where the balls mostly finish, and how sure that is."
            )
        ),
        "flight": tables_flight.picture_note([row for row in trial_flights(report) if row], show),
        "flights": tables_flight.picture_note(bag_flights(report), show),
        "flown": tables_flight.launch_note([row for row in trial_flights(report) if row]),
        "flown_bag": tables_flight.launch_note(bag_flights(report), totals=True),
        "air": (
            tell(
                "Each sign: how far the carry changes against today's air, for the same strike. Bar: "
                "its range. A ball hit on the same line as usual is meant; a cross wind also moves "
                "it sideways."
            )
        ),
        "order": (
            tell(
                "Each ball of the latest visits (three at most) against its own club's carry. "
                "Hollow: mishits, warm-up balls. Grey line and band: how the carry drifted through "
                "the visit, with its range. Bad reads are not drawn."
            )
        ),
        "bag": tell("Lofts and lie angles as measured, unless it says stamped."),
        "conditions": tell(
            '"Figures": as the unit measured them, or already adjusted to standard air or ball.'
        ),
    }


def _picture(chart: Chart) -> dict[str, Any]:
    svg = to_svg(chart)
    found = re.search(r'<svg[^>]* width="([0-9.]+)" height="([0-9.]+)"', svg)
    if found is None:
        raise ValueError(f"the chart {chart.name} has no width")
    width, height = float(found[1]), float(found[2])
    return {"svg": svg, "alt": chart.alt, "width": width * min(1.0, _WIDEST / width, _TALLEST / height)}
