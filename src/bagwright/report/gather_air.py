"""The winter and altitude card: the same strikes in colder, higher and moving air."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from bagwright.estimate import Estimate
from bagwright.report.model import AirCard, AirColumn, AirRow, CarryRow
from bagwright.report.words import joined, number
from bagwright.trial.flown import Flown
from bagwright.units import MPS_PER_MPH, ZERO_C_IN_K, celsius

if TYPE_CHECKING:
    from bagwright.air import Air, Wind

WIND_MPS = 10.0 * MPS_PER_MPH
HIGH_M = 1500.0
COLD_C = (0.0, 10.0, 20.0)
CHANGE_SD = 0.10
"""Doubt (sd) of a change of carry as a share of it, where launch, carry and height were measured.

Four published laws taken for the truth in turn, the default law levelled to their carry and height: with this
sd nine in ten of its changes in cold, altitude and wind hold the truth (a test repeats it)."""
CHANGE_SD_UNSEEN = 0.36
"""The same where the height was not measured or the launch was inferred."""
Z90 = 1.6448536269514722
SAME_M = 0.05
"""A setting that changes no carry by more than this is today's, and gets no column."""
_ROUGHLY = 1e-6


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """One setting: its column, and what it takes the place of; None keeps today's."""

    column: AirColumn
    temperature_k: float | None = None
    altitude_m: float | None = None
    wind_from_rad: float | None = None


SETTINGS = (
    *(Elsewhere(AirColumn("temperature", f"{c:.0f} °C"), temperature_k=c + ZERO_C_IN_K) for c in COLD_C),
    Elsewhere(AirColumn("altitude", "sea level"), altitude_m=0.0),
    Elsewhere(AirColumn("altitude", f"{HIGH_M:.0f} m"), altitude_m=HIGH_M),
    Elsewhere(AirColumn("wind", "head"), wind_from_rad=0.0),
    Elsewhere(AirColumn("wind", "tail"), wind_from_rad=math.pi),
    Elsewhere(AirColumn("wind", "cross"), wind_from_rad=math.pi / 2.0),
)


def air_card(flights: Mapping[str, Flown], clubs: Sequence[CarryRow]) -> AirCard | None:
    """Work out the card for the clubs carried, longest first; None where no flight is known."""
    carried = [row for row in clubs if row.swing == "stock" and row.status in ("carried", "by name")]
    known = [(row, flights[row.club]) for row in carried if row.club in flights]
    if not known:
        return None
    known.sort(key=lambda pair: -pair[1].carry_m.value)
    moved = [[_moved(one, setting) for setting in SETTINGS] for _, one in known]
    kept = [i for i in range(len(SETTINGS)) if any(abs(row[i][0]) > SAME_M for row in moved)]
    rows = tuple(
        _row(row, one, [changes[i] for i in kept], [SETTINGS[i] for i in kept])
        for (row, one), changes in zip(known, moved, strict=True)
    )
    columns = tuple(SETTINGS[i].column for i in kept)
    return AirCard(_today([one for _, one in known]), columns, rows, _said(clubs, flights))


def _moved(one: Flown, setting: Elsewhere) -> tuple[float, float]:
    """Change of carry and of side, in metres, of the same strike in a setting."""
    from bagwright.flight.fly import fly
    from bagwright.flight.launch import Scale

    there, wind = elsewhere(one.air, setting)
    level = Scale(one.drag_factor, one.lift_factor)
    flight = fly(one.launch, there, wind, scale=level, tolerance=_ROUGHLY)
    return flight.carry_m - one.carry_m.value, flight.offline_m


def elsewhere(today: Air, setting: Elsewhere) -> tuple[Air, Wind]:
    """Give the air and the wind of a setting, for strikes hit in still air of today."""
    from bagwright.air import CALM, Wind

    wind = CALM if setting.wind_from_rad is None else Wind(WIND_MPS, setting.wind_from_rad)
    return _air_of(today, setting), wind


def _air_of(today: Air, setting: Elsewhere) -> Air:
    from bagwright.air import STANDARD_TEMPERATURE_K, air

    if setting.temperature_k is None and setting.altitude_m is None:
        return today
    kelvin = setting.temperature_k if setting.temperature_k is not None else today.temperature_k
    kelvin = kelvin if kelvin is not None else STANDARD_TEMPERATURE_K
    if setting.altitude_m is not None:
        return air(temperature_k=kelvin, altitude_m=setting.altitude_m, humidity=today.humidity)
    return air(temperature_k=kelvin, pressure_pa=today.pressure_pa, humidity=today.humidity)


def _row(
    row: CarryRow, one: Flown, changes: Sequence[tuple[float, float]], settings: Sequence[Elsewhere]
) -> AirRow:
    sd = change_sd(one)
    by = [_doubted(change, sd) for change, _ in changes]
    sides = [
        _doubted(abs(side), sd) if setting.column.label == "cross" else None
        for (_, side), setting in zip(changes, settings, strict=True)
    ]
    there = [_together(one.carry_m, change) for change in by]
    return AirRow(row.club, row.kind, row.measured, one.carry_m, tuple(there), tuple(by), tuple(sides))


def change_sd(one: Flown) -> float:
    """Doubt of what other air does to a flight, as a share of the change."""
    return CHANGE_SD_UNSEEN if one.inferred or "apex" in one.worked_out else CHANGE_SD


def _doubted(change: float, sd: float) -> Estimate:
    half = Z90 * sd * abs(change)
    return Estimate(change, change - half, change + half)


def _together(carry: Estimate, change: Estimate) -> Estimate:
    """Carry plus change, both doubts independent, the carry's growing with its length."""
    value = carry.value + change.value
    grown = value / carry.value
    own = change.high - change.value
    return Estimate(
        value,
        value - math.hypot(grown * (carry.value - carry.low), own),
        value + math.hypot(grown * (carry.high - carry.value), own),
    )


def _today(flights: Sequence[Flown]) -> str:
    told = sorted({one.air.temperature_k for one in flights if one.air_said and one.air.temperature_k})
    words = joined([f"{number(celsius(kelvin))} °C" for kelvin in told])
    parts = [f"the air of each club's visit, {words}" if words else "", ""]
    if any(not one.air_said for one in flights):
        parts[1] = "20 °C at sea level where the air was not said or the unit adjusted its figures"
    return ", ".join(part for part in (*parts, "taken as still") if part)


def _said(clubs: Sequence[CarryRow], flights: Mapping[str, Flown]) -> tuple[str, ...]:
    stock = (row for row in clubs if row.swing == "stock" and row.kind != "putter")
    missing = [row.club for row in stock if row.club not in flights]
    said = [
        "Wind of 10 mph (4.5 m/s) at 10 m height, less near the ground. A cold ball loses a little more. "
        "0, 10 and 20 °C are 32, 50 and 68 °F; 1500 m are 4920 ft."
    ]
    if missing:
        said.append(f"Not worked out, as their strikes were not measured: {joined(missing)}.")
    return tuple(said)
