"""Tables of flights and of other air as rows of strings."""

from __future__ import annotations

from collections.abc import Sequence

from bagwright.estimate import Estimate
from bagwright.report.model import AirCard, CandidateRow, CarryRow, FlightRow
from bagwright.report.safe import clean
from bagwright.report.tables import NAME, Row, candidate_cell
from bagwright.report.words import NONE, Show, degrees, held, turning
from bagwright.words import join, tell

GREEN_DEPTH_M = 10.0
"""Green behind the landing spot that a ball may use: the turf model's usual depth (a test compares)."""
GUESSED = "*"
"""Stands behind a launch figure that was not measured, explained below the table."""


def strike_table(
    candidates: Sequence[CandidateRow], flights: Sequence[FlightRow], show: Show
) -> tuple[list[str], list[Row], list[float]]:
    """Heads, rows and widths: how the ball leaves each candidate's face, with ranges."""
    by_name = {row.club: row for row in flights}
    kept = [(i, row, by_name[row.name]) for i, row in enumerate(candidates) if row.name in by_name]
    rows = [[candidate_cell(i, row), *_launch(flown, show)] for i, row, flown in kept]
    return [tell("Candidate"), *_LAUNCH], rows, [1.3, 1.2, 1.0, 1.2]


_LAUNCH = (tell("Ball speed"), tell("Launch"), tell("Spin, rpm"))


def flight_table(
    flights: Sequence[FlightRow], clubs: Sequence[CarryRow], show: Show
) -> tuple[list[str], list[Row], list[float]]:
    """How the ball leaves every club that was struck, and its total: as measured, else worked out."""
    totals = {row.club: row.total_m for row in clubs if row.swing == "stock"}
    rows = []
    for row in flights:
        total = totals.get(row.club)
        worked_out = "≈" if total is None and row.total_m is not None else ""
        far = worked_out + show.ranged(total if total is not None else row.total_m)
        rows.append([clean(row.club, NAME), *_launch(row, show), far])
    return (
        [tell("Club"), *_LAUNCH, tell("Total with run, {unit}", unit=show.unit)],
        rows,
        [1.3, 1.2, 1.0, 1.2, 1.2],
    )


def _launch(row: FlightRow, show: Show) -> list[str]:
    figures = (
        ("ball speed", show.speed(row.ball_speed_mps)),
        ("launch", degrees(row.launch_rad)),
        ("spin", turning(row.spin_rpm)),
    )
    return [text + GUESSED if name in row.guessed and text != NONE else text for name, text in figures]


def air_table(card: AirCard | None, show: Show) -> tuple[list[str], list[Row], list[float]]:
    """Carry today and in each setting with half the width of its range; how far a cross wind moves it."""
    if card is None or not card.rows:
        return [], [], []
    sideways = [i for i in range(len(card.columns)) if any(_at(row.side_m, i) for row in card.rows)]
    heads = [
        tell("Club"),
        tell("Today, {unit}", unit=show.unit),
        *(clean(column.label, 30) for column in card.columns),
    ]
    heads += [
        tell(
            "{label}: sideways with the wind, {unit}", label=clean(card.columns[i].label, 24), unit=show.unit
        )
        for i in sideways
    ]
    rows = []
    for row in card.rows:
        today = ("" if row.measured else "≈") + show.plus_minus(row.today_m)
        settings = [show.plus_minus(carry) for carry in row.carry_m]
        across = [show.plus_minus(_at(row.side_m, i)) for i in sideways]
        rows.append([clean(row.club, NAME), today, *settings, *across])
    return heads, rows, [1.5, *(1.0 for _ in heads[1:])]


def _at(values: Sequence[Estimate | None], i: int) -> Estimate | None:
    return values[i] if i < len(values) else None


def picture_note(flights: Sequence[FlightRow], show: Show) -> str:
    """Explain what a side view shows, and its signs as far as they stand there."""
    in_brackets = any("(" in held(row.holds) for row in flights)
    said = [
        tell(
            "Line: the median solid strike, ending at the player's own carry, with a sign at its "
            "highest point. Below the ground: the carry with its range; the pale bar is where "
            "the ball may run to on a normal fairway. Figures: with their 90 % ranges. Holds a "
            "green: of 100 balls landing on a normal green, those that stop within "
            "{distance}{value}.",
            distance=show.distance(GREEN_DEPTH_M),
            value=tell("; in brackets: on a firm and on a soft one") if in_brackets else "",
        )
    ]
    if any({"apex", "descent"} - set(row.shown_as_measured) for row in flights):
        said.append(tell("≈ worked out by the flight model, not measured."))
    return join(" ", said)


def launch_note(flights: Sequence[FlightRow], *, totals: bool = False) -> str:
    """Explain the signs of the launch tables, as far as they stand there."""
    said = [tell("Median of the solid strikes, in brackets the range.")]
    if any(row.guessed for row in flights):
        said.append(tell("{guessed} not measured: inferred from the rest of the flight.", guessed=GUESSED))
    if totals:
        said.append(tell("A total with ≈ in front is worked out, not measured."))
    return join(" ", said)
