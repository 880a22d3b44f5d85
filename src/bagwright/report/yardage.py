"""The yardage card: four panels of 54 x 86 mm, to be cut out and folded to the size of a bank card."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from bagwright.estimate import percent
from bagwright.files import write_whole
from bagwright.report.air_panels import air_panels
from bagwright.report.charts.carries import clubs_by_carry
from bagwright.report.model import CarryRow, ReportInput, VisitLine
from bagwright.report.paper_words import paper_in
from bagwright.report.safe import clean
from bagwright.report.short import short_name
from bagwright.report.typeset import Paper, day_of, paper_name, spelled, typeset_pdf
from bagwright.report.words import NB, NONE, Show
from bagwright.units import System
from bagwright.words import join, plain, tell, term_of

TEMPLATE = "yardage.typ"
FILE = "yardages.pdf"
ROWS = 15
"""Clubs that fit on one panel at a size that can be read."""


def write_yardages(
    report: ReportInput,
    out_dir: Path,
    *,
    date: datetime.date | str,
    paper: Paper = "a4",
    system: System = "yards",
    language: str = "en",
) -> Path:
    """Write the card as a PDF named "yardages.pdf" into `out_dir` and return its path.

    It has both systems of units; `system` only says which comes first. Carries are of well struck balls with
    the half width of their 90 % range; the side is where the balls mostly finish, with how sure. Raises
    InputError for an unknown paper or date, MachineError where the file cannot be made or written.
    """
    day = day_of(date)
    content = typeset_pdf(TEMPLATE, card_data(report, day, paper, system, language), day)
    return write_whole(Path(out_dir) / FILE, content)


def card_data(
    report: ReportInput, day: datetime.date, paper: str, system: System, language: str = "en"
) -> dict[str, Any]:
    """Everything on the card as plain strings in a language: cover, clubs in each system, wedges, notes."""
    other: System = "metres" if system == "yards" else "yards"
    clubs = [row for row in report.clubs if row.carry_m is not None and _on_card(row, report)]
    names = clubs_by_carry(clubs)
    player = clean(report.player.name, 34) or tell("the player")
    left = len(names) - ROWS
    data = {
        "title": tell("Yardage card for {player}, {spelled}", player=player, spelled=spelled(day)),
        "author": "bagwright",
        "about": tell("Carries with ranges, to be folded to 54 x 86 mm"),
        "paper": paper_name(paper),
        "player": player,
        "day": spelled(day),
        "facts": _facts(report.visits),
        "panels": [_panel(clubs, names[:ROWS], Show(one)) for one in (system, other)],
        "wedges": [_wedges(clubs, names, Show(one)) for one in (system, other)],
        "more": tell("{left} more clubs are in the report.", left=left) if left > 0 else "",
        "air": air_panels(report, names[:ROWS], Show(system)),
    }
    return paper_in(data, language)


def _on_card(row: CarryRow, report: ReportInput) -> bool:
    """Tell whether this is a club of the bag and for the one that the trial chose."""
    chosen = report.answer is not None and report.answer.kind == "choice" and row.club == report.answer.choice
    return row.status == "carried" or chosen


def _facts(visits: Sequence[VisitLine]) -> list[dict[str, str]]:
    def said(values: list[str]) -> str:
        known = list(dict.fromkeys(clean(value, 40) for value in values if value))
        return join(", ", known[:3]) or tell("not said")

    return [
        {"what": tell("Ball"), "said": said([visit.ball for visit in visits])},
        {"what": tell("Surface"), "said": said([term_of(visit.surface, "surface") for visit in visits])},
        {"what": tell("Measured"), "said": said([visit.date or visit.visit for visit in visits])},
    ]


def _panel(clubs: Sequence[CarryRow], names: Sequence[str], show: Show) -> dict[str, Any]:
    rows = []
    for name in names:
        swings = {row.swing: row for row in clubs if row.club == name}
        stock = swings.get("stock")
        rows.append([
            short_name(name),
            *(_figure(swings.get(swing), show) for swing in ("gripped-down", "stock", "flat-out")),
            _side(stock.right_probability if stock is not None else None),
        ])  # fmt: skip
    return {"unit": show.unit_word, "rows": rows}


def _figure(row: CarryRow | None, show: Show) -> dict[str, str]:
    if row is None or row.carry_m is None:
        return {"carry": NONE, "half": ""}
    carry, half = show.plus_minus(row.carry_m).split(NB)
    return {"carry": carry if row.measured else f"≈{carry}", "half": half}


def _side(right_probability: float | None) -> dict[str, str]:
    if right_probability is None:
        return {"word": NONE, "chance": ""}
    favoured = max(right_probability, 1.0 - right_probability)
    if favoured < 0.60:
        return {"word": tell("either"), "chance": ""}
    word = tell("R") if right_probability > 0.5 else tell("L")
    return {"word": word, "chance": plain(percent(favoured)).replace(" ", "")}


def _wedges(clubs: Sequence[CarryRow], names: Sequence[str], show: Show) -> dict[str, Any]:
    rows = []
    for name in names:
        swings = {row.swing: row for row in clubs if row.club == name}
        if "three-quarter" in swings or "half" in swings:
            cells = [_figure(swings.get(swing), show) for swing in ("half", "three-quarter", "stock")]
            rows.append([short_name(name), *cells])
    return {"unit": show.unit_word, "rows": rows[:5]}
