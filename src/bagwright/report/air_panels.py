"""The second strip of the yardage card: run and landing, and carries in cold, height and wind."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from bagwright.estimate import Estimate
from bagwright.report.model import AirCard, AirRow, FlightRow, ReportInput
from bagwright.report.safe import clean
from bagwright.report.short import short_name
from bagwright.report.words import NB, NONE, Show, held
from bagwright.units import RAD_PER_DEG
from bagwright.words import first_upper, join, tell

SETTINGS = 4
_TITLES = {"temperature": tell("cold"), "altitude": tell("height"), "wind": tell("wind")}


def air_panels(report: ReportInput, names: Sequence[str], show: Show) -> dict[str, Any]:
    """Everything on the second strip as plain strings; {} where no flight and no other air is known."""
    flights = {row.club: row for row in report.flights}
    lands = [_landing(flights[name], show) for name in names if name in flights]
    card = report.air_card
    if not lands and (card is None or not card.rows):
        return {}
    return {
        "unit": show.unit_word,
        "today": clean(card.today, 120) if card is not None else "",
        "said": [clean(text, 260) for text in card.said] if card is not None else [],
        "landing": lands,
        "panels": _panels(card, names, show) if card is not None else [],
    }


def _landing(row: FlightRow, show: Show) -> list[Any]:
    """Run, total, landing angle and green of one club, each with how sure."""
    total = show.band(row.total_m)
    holds = NONE
    if row.holds is not None:
        holds = held(row.holds).partition(" (")[0]
    descent = _halved(row.descent_rad, 1.0 / RAD_PER_DEG, "°")
    return [short_name(row.club), descent, show.band(row.run_m), total, holds]


def _halved(estimate: Estimate | None, factor: float, sign: str = "") -> dict[str, str]:
    if estimate is None:
        return {"carry": NONE, "half": ""}
    carry, half = Show("metres").plus_minus(estimate.scaled(factor)).split(NB)
    return {"carry": carry + sign, "half": half}


def _panels(card: AirCard, names: Sequence[str], show: Show) -> list[dict[str, Any]]:
    """At most four settings on a panel, in the card's order, as more cannot be read at this size."""
    rows = {row.club: row for row in card.rows}
    kept = [rows[name] for name in names if name in rows]
    found = []
    for start in range(0, len(card.columns) if kept else 0, SETTINGS):
        columns = range(start, min(start + SETTINGS, len(card.columns)))
        words = list(dict.fromkeys(_TITLES[card.columns[i].group] for i in columns))
        heads = [clean(card.columns[i].label, 24) for i in columns]
        title = first_upper(join(tell(" and "), words))
        found.append({"title": title, "heads": heads, "rows": [_row(row, columns, show) for row in kept]})
    return found[:2]


def _row(row: AirRow, columns: Sequence[int], show: Show) -> list[Any]:
    return [short_name(row.club), *(_cell(row, i, show) for i in columns)]


def _cell(row: AirRow, i: int, show: Show) -> dict[str, str]:
    """Carry in a setting; in a cross wind how far the ball moves sideways, which matters more."""
    side = row.side_m[i] if i < len(row.side_m) else None
    shown = side if side is not None else row.carry_m[i]
    if shown is None:
        return {"carry": NONE, "half": ""}
    figure, half = show.plus_minus(shown).split(NB)
    arrow = "↔" if side is not None else "" if row.measured else "≈"
    return {"carry": f"{arrow}{figure}", "half": half}
