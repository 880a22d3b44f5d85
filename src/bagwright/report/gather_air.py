"""The winter and altitude card: the same strikes in colder, higher and moving air."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from bagwright.report.model import AirCard, AirColumn, AirRow, CarryRow
from bagwright.report.words import joined, number
from bagwright.restate.card import CARD, Place
from bagwright.restate.doubt import doubted, together
from bagwright.trial.flown import Flown
from bagwright.units import celsius
from bagwright.words import join, sense, tell

if TYPE_CHECKING:
    from bagwright.air import Air, Wind

SAME_M = 0.05
"""A setting that changes no carry by more than this is today's, and gets no column."""
_ROUGHLY = 1e-6
_CROSS = "cross from the right"
_LABELS = {
    _CROSS: sense("cross", "cross wind"),
    "head": sense("head", "head wind"),
    "tail": sense("tail", "tail wind"),
    "sea level": tell("sea level"),
}
"""The places of the card as the papers head their columns; a figure such as "1500 m" stays as it is."""
PLACES = tuple(place for place in CARD if not place.label.startswith("cross") or place.label == _CROSS)
"""The places of the card: one cross wind stands for both sides here, as only its size is shown."""


def air_card(flights: Mapping[str, Flown], clubs: Sequence[CarryRow]) -> AirCard | None:
    """Work out the card for the clubs carried, longest first; None where no flight is known."""
    carried = [row for row in clubs if row.swing == "stock" and row.status in ("carried", "by name")]
    known = [(row, flights[row.club]) for row in carried if row.club in flights]
    if not known:
        return None
    known.sort(key=lambda pair: -pair[1].carry_m.value)
    moved = [[_moved(one, place) for place in PLACES] for _, one in known]
    kept = [i for i in range(len(PLACES)) if any(abs(row[i][0]) > SAME_M for row in moved)]
    rows = tuple(
        _row(row, one, [changes[i] for i in kept], [PLACES[i] for i in kept])
        for (row, one), changes in zip(known, moved, strict=True)
    )
    columns = tuple(column_of(PLACES[i]) for i in kept)
    return AirCard(_today([one for _, one in known]), columns, rows, _said(clubs, flights))


def _moved(one: Flown, place: Place) -> tuple[float, float]:
    """Change of carry and of side, in metres, of the same strike in a place."""
    from bagwright.flight.fly import fly
    from bagwright.flight.launch import Scale

    there, wind = elsewhere(one.air, place)
    level = Scale(one.drag_factor, one.lift_factor)
    flight = fly(one.launch, there, wind, scale=level, tolerance=_ROUGHLY)
    return flight.carry_m - one.carry_m.value, flight.offline_m


def elsewhere(today: Air, place: Place) -> tuple[Air, Wind]:
    """Give the air and the wind of a place, for strikes hit in still air of today."""
    from bagwright.restate.setting import Setting

    there = place.setting(Setting(air=today))
    return there.air, there.wind


def column_of(place: Place) -> AirColumn:
    """The place as a column of the papers."""
    return AirColumn(place.group, _LABELS.get(place.label, place.label))


def _row(
    row: CarryRow, one: Flown, changes: Sequence[tuple[float, float]], places: Sequence[Place]
) -> AirRow:
    seen = share_seen(one)
    by = [doubted(change, seen) for change, _ in changes]
    sides = [
        doubted(abs(side), seen) if place.label == _CROSS else None
        for (_, side), place in zip(changes, places, strict=True)
    ]
    there = [together(one.carry_m, change) for change in by]
    return AirRow(row.club, row.kind, row.measured, one.carry_m, tuple(there), tuple(by), tuple(sides))


def share_seen(one: Flown) -> float:
    """1 where launch and height of the flight were measured, 0 where not: what the doubt of a change asks."""
    return 0.0 if one.inferred or "apex" in one.worked_out else 1.0


def _today(flights: Sequence[Flown]) -> str:
    told = sorted({one.air.temperature_k for one in flights if one.air_said and one.air.temperature_k})
    words = joined([tell("{number} °C", number=number(celsius(kelvin))) for kelvin in told])
    parts = [tell("the air of each club's visit, {words}", words=words) if words else "", ""]
    if any(not one.air_said for one in flights):
        parts[1] = tell("20 °C at sea level where the air was not said or the unit adjusted its figures")
    return join(", ", (part for part in (*parts, tell("taken as still")) if part))


def _said(clubs: Sequence[CarryRow], flights: Mapping[str, Flown]) -> tuple[str, ...]:
    stock = (row for row in clubs if row.swing == "stock" and row.kind != "putter")
    missing = [row.club for row in stock if row.club not in flights]
    said = [
        tell(
            "Wind of 10 mph (4.5 m/s) at 10 m height, less near the ground. A cold ball loses a "
            "little more. 0, 10 and 20 °C are 32, 50 and 68 °F; 1500 m are 4920 ft."
        )
    ]
    if missing:
        said.append(
            tell("Not worked out, as their strikes were not measured: {joined}.", joined=joined(missing))
        )
    return tuple(said)
