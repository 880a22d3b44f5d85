"""The report's tables as rows of strings; a cell with a candidate's sign is a dict of its parts."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from bagwright.report.charts.carries import clubs_by_carry
from bagwright.report.model import (
    SIDES,
    BagRow,
    CandidateRow,
    CarryRow,
    ReportInput,
    SideLine,
    StepLine,
    VisitLine,
)
from bagwright.report.safe import clean
from bagwright.report.theme import sign
from bagwright.report.words import (
    NB,
    NONE,
    Show,
    degrees,
    number,
    plain_degrees,
    share,
    spanned,
    sure,
    usual_side,
)
from bagwright.words import figure, first_upper, join, tell, term, term_of

Row = list[Any]
NAME = 40
NOTE = 140
_AIR = re.compile(r"(-?[0-9.]+ C, )?[0-9.]+ kg/m3")


def candidate_table(rows: Sequence[CandidateRow], show: Show) -> tuple[list[str], list[Row], list[float]]:
    """Heads, rows and widths: the figures of each candidate, as many columns as were measured."""
    unit = show.unit
    every: list[tuple[str, float, list[str]]] = [
        (tell("Balls"), 0.5, [str(row.n_shots) for row in rows]),
        (tell("Carry, {unit}", unit=unit), 1.0, [show.ranged(row.carry_m) for row in rows]),
        (tell("Gripped down, {unit}", unit=unit), 1.0, [show.ranged(row.gripped_down_m) for row in rows]),
        (tell("Flat out, {unit}", unit=unit), 1.0, [show.ranged(row.flat_out_m) for row in rows]),
        (tell("Total, {unit}", unit=unit), 1.0, [show.ranged(row.total_m) for row in rows]),
        (tell("Height"), 1.05, [show.height(row.apex_m) for row in rows]),
        (tell("Lands at"), 0.95, [degrees(row.descent_rad) for row in rows]),
        (tell("Side today"), 0.8, [usual_side(row.right_probability) for row in rows]),
        (tell("Speed ratio"), 1.1, [_ratio(row) for row in rows]),
    ]
    kept = [column for column in every if any(text not in (NONE, "") for text in column[2])]
    heads = [tell("Candidate"), *(head for head, _, _ in kept)]
    table = [[candidate_cell(i, row), *(column[2][i] for column in kept)] for i, row in enumerate(rows)]
    return heads, table, [1.5, *(width for _, width, _ in kept)]


def build_table(rows: Sequence[CandidateRow], currency: str) -> list[str]:
    """One line for each candidate: its build, ratings, price and waiting time, as far as known."""
    said = []
    for i, row in enumerate(rows):
        parts = [clean(row.build, NOTE) if row.build else "", clean(row.ratings, NOTE) if row.ratings else ""]
        if row.price is not None:
            parts.append(join(NB, [number(row.price), clean(currency, 8)]).strip())
        if row.lead_time_days is not None:
            parts.append(tell("{number}\u00a0days to wait", number=number(row.lead_time_days)))
        if row.beyond_share is not None and row.beyond_m is not None:
            parts.append(tell("outside the named width: ") + share(row.beyond_share))
        if row.note:
            parts.append(clean(row.note, NOTE))
        detail = join("; ", (part for part in parts if part))
        if detail:
            said.append(tell("{letter}: {detail}.", letter=sign(i).letter, detail=detail))
    return said


def _ratio(row: CandidateRow) -> str:
    return spanned(row.speed_ratio, 2) if row.speed_ratio is not None else NONE


def candidate_cell(i: int, row: CandidateRow) -> dict[str, str]:
    """Give a candidate's name with its sign, for a table."""
    name = f"{sign(i).letter}{NB}{NB}{clean(row.name, NAME)}"
    return {
        "glyph": sign(i).glyph,
        "colour": sign(i).colour,
        "text": name + (tell(" (present)") if row.present else ""),
    }


def side_table(sides: Sequence[SideLine]) -> list[Row]:
    """Side, who is ahead, how sure, what the shots say, what is still open."""
    rows = []
    for name in SIDES:
        line = next((line for line in sides if line.side == name), None)
        if line is None:
            rows.append([term(name).capitalize(), NONE, NONE, tell("Not compared."), NONE])
            continue
        told = line.probability is not None and line.probability >= 0.60 and line.leader is not None
        rows.append([
            term(name).capitalize(),
            _leader(line) if told else tell("nobody yet"),
            sure(line.probability) if line.probability is not None else tell("cannot tell"),
            clean(line.said, 600) if line.said else NONE,
            _capital(clean(line.still_open, 240)) if line.still_open else NONE,
        ])  # fmt: skip
    return rows


def _leader(line: SideLine) -> str:
    """Name who is ahead; on the flight side only length was compared, which is not always wanted."""
    name = clean(line.leader, NAME)
    return tell("{name} (longest)", name=name) if line.side == "flight" else name


def _capital(text: str) -> str:
    return first_upper(text)


def carry_table(clubs: Sequence[CarryRow], show: Show) -> tuple[list[str], list[Row], list[float]]:
    """Stock, gripped-down and flat-out carry, usual side and mishits of every club, longest first."""
    unit = show.unit
    heads = [
        tell("Club"),
        tell("Loft"),
        tell("Balls"),
        tell("Stock, {unit}", unit=unit),
        tell("Gripped down, {unit}", unit=unit),
        tell("Flat out, {unit}", unit=unit),
        tell("Side"),
        tell("Mishits"),
    ]
    rows = []
    for name in clubs_by_carry(clubs):
        swings = {row.swing: row for row in clubs if row.club == name}
        stock = swings.get("stock") or next(iter(swings.values()))
        carries = [_carry(swings.get(swing), show) for swing in ("stock", "gripped-down", "flat-out")]
        balls = str(sum(row.n_shots for row in swings.values()))
        side, bad = usual_side(stock.right_probability), share(stock.mishit_share)
        rows.append([clean(name, NAME), plain_degrees(stock.loft_deg), balls, *carries, side, bad])
    return heads, rows, [1.35, 0.5, 0.5, 1.25, 1.25, 1.25, 0.85, 0.95]


def _carry(row: CarryRow | None, show: Show) -> str:
    """Give a carry with its range; a "≈" in front says that it was not hit."""
    if row is None:
        return NONE
    return ("" if row.measured else "≈") + show.ranged(row.carry_m)


def wedge_table(clubs: Sequence[CarryRow], show: Show) -> tuple[list[str], list[Row]]:
    """Three-quarter and half swings of the clubs that have them."""
    rows = []
    for name in clubs_by_carry(clubs):
        swings = {row.swing: row for row in clubs if row.club == name}
        if "three-quarter" in swings or "half" in swings:
            cells = [_carry(swings.get(swing), show) for swing in ("three-quarter", "half")]
            rows.append([clean(name, NAME), *cells])
    return [
        tell("Club"),
        tell("Three-quarter, {unit}", unit=show.unit),
        tell("Half, {unit}", unit=show.unit),
    ], rows


def step_table(steps: Sequence[StepLine], show: Show) -> tuple[list[str], list[Row]]:
    """Give the steps between neighbours and what is thought of them."""
    rows = []
    for step in steps:
        word = clean(step.word, 120) if step.word else tell("even")
        if step.probability is not None:
            word += tell(", {sure}", sure=sure(step.probability))
        rows.append(
            [clean(step.longer, NAME), clean(step.shorter, NAME), show.distance_ranged(step.step_m), word]
        )
    return [tell("From"), tell("to"), tell("Step"), tell("Gap, overlap or even")], rows


def bag_table(bag: Sequence[BagRow], show: Show) -> tuple[list[str], list[Row], list[float]]:
    """Give the bag list with the columns that anybody filled in."""
    every: list[tuple[str, float, list[str]]] = [
        (tell("Status"), 0.8, [term(row.status) for row in bag]),
        (tell("Loft"), 0.8, [_loft(row) for row in bag]),
        (
            tell("Length"),
            0.8,
            [show.length(row.length_m) if row.length_m is not None else NONE for row in bag],
        ),
        (tell("Lie angle"), 0.65, [plain_degrees(row.lie_angle_deg) for row in bag]),
        (tell("Shaft"), 1.5, [clean(row.shaft, 60) or NONE for row in bag]),
        (tell("Swing weight"), 0.75, [clean(row.swing_weight, 12) or NONE for row in bag]),
        (tell("Grip"), 1.0, [clean(row.grip, 40) or NONE for row in bag]),
        (tell("Bounce, sole"), 0.9, [_sole(row) for row in bag]),
        (tell("Grooves"), 0.8, [_age(row) for row in bag]),
    ]
    kept = [column for column in every if any(text != NONE for text in column[2])]
    rows = [[clean(row.name, NAME), *(column[2][i] for column in kept)] for i, row in enumerate(bag)]
    return [tell("Club"), *(head for head, _, _ in kept)], rows, [1.4, *(width for _, width, _ in kept)]


def _loft(row: BagRow) -> str:
    if row.loft_deg is not None:
        return plain_degrees(row.loft_deg)
    return (
        tell("{loft} stamped", loft=plain_degrees(row.stamped_loft_deg))
        if row.stamped_loft_deg is not None
        else NONE
    )


def _sole(row: BagRow) -> str:
    parts = [
        plain_degrees(row.bounce_deg) if row.bounce_deg is not None else "",
        clean(term_of(row.sole, "sole"), 30) if row.sole else "",
    ]
    return join(", ", (part for part in parts if part)) or NONE


def _age(row: BagRow) -> str:
    return (
        tell("{number}\u00a0months", number=number(row.groove_age_months))
        if row.groove_age_months is not None
        else NONE
    )


def condition_table(visits: Sequence[VisitLine]) -> tuple[list[str], list[Row], list[float]]:
    """Conditions of each visit; "not said" where nobody did."""
    heads = [
        tell("Visit"),
        tell("Place"),
        tell("Surface"),
        tell("Ball"),
        tell("Air"),
        tell("Figures"),
        tell("Spin"),
        tell("Alignment"),
        tell("Balls"),
    ]

    def said(text: str) -> str:
        return clean(term(text), 60) if text else tell("not said")

    rows = []
    for visit in visits:
        where = (
            visit.date or visit.visit,
            visit.place,
            term_of(visit.surface, "surface"),
            visit.ball,
            _air(visit.air),
        )
        texts = (*where, visit.adjusted, visit.spin, visit.aligned)
        balls = str(visit.balls) if visit.balls is not None else NONE
        rows.append([*(said(text) for text in texts), balls])
    return heads, rows, [1.0, 1.1, 0.8, 1.1, 1.1, 1.0, 0.9, 0.9, 0.5]


def _air(text: str) -> str:
    """The air as the store writes it, with the language's decimal sign; words that somebody typed stay."""
    return join(", ", map(figure, text.split(", "))) if _AIR.fullmatch(text) else text


def count_lines(report: ReportInput) -> list[str]:
    """How many balls were used and why others were not."""
    counts = report.counts
    said = [tell("{used} balls used, {mishits} of them mishits.", used=counts.used, mishits=counts.mishits)]
    said += [
        tell("{n_} left out: {reason}.", n_=n, reason=clean(reason, 120)) for reason, n in counts.left_out
    ]
    return said
