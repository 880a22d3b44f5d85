"""Tables of flights and of other air as rows of strings."""

from __future__ import annotations

from collections.abc import Sequence

from bagwright.estimate import Estimate
from bagwright.report.model import AirCard, CandidateRow, CarryRow, FlightRow
from bagwright.report.safe import clean
from bagwright.report.tables import NAME, Row, candidate_cell
from bagwright.report.words import NONE, Show, degrees, held, turning

GREEN_DEPTH_M = 10.0
"""Green behind the landing spot that a ball may use: the turf model's usual depth (a test compares)."""
GUESSED = "*"
"""Stands behind a launch figure that was not measured, explained below the table."""


def strike_table(
    candidates: Sequence[CandidateRow], flights: Sequence[FlightRow], show: Show
) -> tuple[list[str], list[Row], list[float]]:
    """Heads, rows and widths: how each candidate leaves the face and what the ball does, with ranges."""
    by_name = {row.club: row for row in flights}
    kept = [(i, row, by_name[row.name]) for i, row in enumerate(candidates) if row.name in by_name]
    rows = [[candidate_cell(i, row), *_launch(flown, show), *_flight(flown, show)] for i, row, flown in kept]
    heads = ["Candidate", *_LAUNCH, *_heads(show)]
    return heads, rows, [1.15, 1.0, 0.85, 1.15, 1.0, 0.9, 0.75, 0.95]


_LAUNCH = ("Ball speed", "Launch", "Spin, rpm")


def _heads(show: Show) -> tuple[str, ...]:
    return ("Height", "Lands at", f"Run, {show.unit}", "Holds a green")


def flight_table(
    flights: Sequence[FlightRow], clubs: Sequence[CarryRow], show: Show
) -> tuple[list[str], list[Row], list[float]]:
    """Launch, flight, run and total of every club that was struck; total as measured, else worked out."""
    totals = {row.club: row.total_m for row in clubs if row.swing == "stock"}
    rows = []
    for row in flights:
        total = totals.get(row.club)
        far = show.ranged(total) if total is not None else _worked_out(row, show)
        rows.append([clean(row.club, NAME), *_launch(row, show), *_flight(row, show), far])
    heads = ["Club", *_LAUNCH, *_heads(show), f"Total, {show.unit}"]
    return heads, rows, [1.15, 1.0, 0.8, 1.1, 1.0, 0.85, 0.7, 0.9, 1.05]


def _launch(row: FlightRow, show: Show) -> list[str]:
    figures = (
        ("ball speed", show.speed(row.ball_speed_mps)),
        ("launch", degrees(row.launch_rad)),
        ("spin", turning(row.spin_rpm)),
    )
    return [f"{text}{GUESSED}" if name in row.guessed and text != NONE else text for name, text in figures]


def _flight(row: FlightRow, show: Show) -> list[str]:
    height = show.height(row.apex_m)
    descent = degrees(row.descent_rad)
    return [
        height if "apex" in row.shown_as_measured else _about(height),
        descent if "descent" in row.shown_as_measured else _about(descent),
        show.band(row.run_m),
        held(row.holds),
    ]


def _about(text: str) -> str:
    return text if text == NONE else f"≈{text}"


def _worked_out(row: FlightRow, show: Show) -> str:
    if row.carry_m is None or row.run_m is None:
        return NONE
    value, low = row.carry_m.value + row.run_m.value, row.carry_m.value + row.run_m.low
    return "≈" + show.ranged(Estimate(value, low, row.carry_m.value + row.run_m.high))


def air_table(card: AirCard | None, show: Show) -> tuple[list[str], list[Row], list[float]]:
    """Carry today and in each setting with half the width of its range; how far a cross wind moves it."""
    if card is None or not card.rows:
        return [], [], []
    sideways = [i for i in range(len(card.columns)) if any(_at(row.side_m, i) for row in card.rows)]
    heads = ["Club", f"Today, {show.unit}", *(clean(column.label, 30) for column in card.columns)]
    heads += [f"{clean(card.columns[i].label, 24)}, sideways" for i in sideways]
    rows = []
    for row in card.rows:
        today = ("" if row.measured else "≈") + show.plus_minus(row.today_m)
        settings = [show.plus_minus(carry) for carry in row.carry_m]
        across = [show.plus_minus(_at(row.side_m, i)) for i in sideways]
        rows.append([clean(row.club, NAME), today, *settings, *across])
    return heads, rows, [1.5, *(1.0 for _ in heads[1:])]


def _at(values: Sequence[Estimate | None], i: int) -> Estimate | None:
    return values[i] if i < len(values) else None


def flight_note(flights: Sequence[FlightRow], show: Show) -> str:
    """Explain the signs of the flight tables, as far as they stand there."""
    said = [
        "Median solid strike, in brackets the range. Run: on a normal fairway, without a likeliest value, as "
        "firmness moves it most. Holds a green: of 100 balls landing on a normal green, those that stop "
        "within {depth}; in brackets: on a firm and on a soft one."
    ]
    if any(row.guessed for row in flights):
        said.append(f"{GUESSED} not measured: inferred from the rest of the flight.")
    if any({"apex", "descent"} - set(row.shown_as_measured) for row in flights):
        said.append("≈ worked out by the flight model, not measured.")
    return " ".join(said).replace("{depth}", show.distance(GREEN_DEPTH_M))
