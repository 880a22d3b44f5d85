"""Each measured carry and height against the strike's own launch: rows that do not fit, and whole files.

A short ball whose launch figures explain it is a mishit and is left alone; a ball that contradicts its own
launch figures is suggested as a bad read, with a probability and the figures that clash. Nothing is changed.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from bagwright.flight.launch import BALL_RADIUS_M
from bagwright.shots.findings import (
    FileFinding,
    condition_findings,
    offset_finding,
    unchecked_finding,
    unit_findings,
)
from bagwright.shots.fit_launch import Flyer, Held, Measured, hold
from bagwright.shots.record import Conditions, Mark, ShotTable
from bagwright.shots.slips import Slip, Suspects, find_slips
from bagwright.shots.strikes import Strikes, codes, launches_of, strikes_of
from bagwright.units import RAD_S_PER_RPM, System, distance_unit, height_unit, speed_unit, spoken
from bagwright.words import join, tell

if TYPE_CHECKING:
    from bagwright.air import Air
    from bagwright.shots.device import Device

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SHORTEST_M = 20.0
"""Balls that fly less are not judged: topped ones bounce, and their carry is a matter of where one looks."""
_TOLERANCE = 1e-6
"""Error allowed a step of a flight: some micrometres of carry are of no use beside a unit's percent."""
NAMED_AT_MOST = 5_000
"""So many suspect rows of a file are given words of their own; beyond, the file is at fault, not its rows."""


@dataclass(frozen=True, slots=True)
class Physics:
    """What the launch figures say of a table.

    `marks` are suggestions by position in the table (author "model"); `slips` names, by position, the change
    of unit that would make a suggested row fit; `findings` hold for whole files;
    `devices` are the units by file; `distance` (n,) is how far each shot lies off its launch in robust sds,
    NaN where it was not judged; `chance` (n,) that it is a bad read, NaN likewise; `carry_gap` (n,) its
    ln measured / expected carry.
    """

    marks: dict[int, Mark]
    slips: dict[int, Slip]
    findings: tuple[FileFinding, ...]
    devices: dict[str, Device]
    distance: Floats
    chance: Floats
    carry_gap: Floats

    @property
    def fits_launch(self) -> NDArray[np.bool_]:
        """Which shots (n,) were judged and fit their launch, closer than 3 sds; False where not judged."""
        return np.asarray(self.distance < 3.0)


def flyer(air: Air | None = None) -> Flyer:
    """Flights in this air (standard air where none is given), calm, by the default law."""
    from bagwright.air import STANDARD
    from bagwright.flight.fly import fly_many

    def fly(strikes: Strikes) -> tuple[Floats, Floats]:
        launches = launches_of(strikes)
        rows = np.flatnonzero(launches.sensible())
        carry, apex = np.full(len(launches), np.nan), np.full(len(launches), np.nan)
        if len(rows):
            flights = fly_many(
                launches_of(strikes.take(rows)), air=STANDARD if air is None else air, tolerance=_TOLERANCE
            )
            carry[rows], apex[rows] = flights.carry_m, flights.apex_m
        return carry, apex

    return fly


def check_physics(
    table: ShotTable,
    conditions: Mapping[str, Conditions] | None = None,
    *,
    air: Air | None = None,
    system: System = "yards",
    fly: Flyer | None = None,
) -> Physics:
    """Hold every carry and height of a table against the launch beside it (see `hold` for the rule).

    `conditions` by visit say whether spin was estimated or figures adjusted; `air` is where the shots were
    hit. Shots marked by anybody get no suggestion; those marked bad-read or warm-up do not count for the
    level of their club. `fly` takes the place of the flight, for tests.
    """
    empty = np.full(table.n, np.nan)
    result = Physics({}, {}, (), {}, empty, empty.copy(), empty.copy())
    strikes = strikes_of(table)
    fly = fly if fly is not None else _lazy(air)
    usable = _usable(table, strikes)
    rows = np.flatnonzero(usable)
    flown = np.full((2, table.n), np.nan)
    if len(rows):
        flown[:, rows] = fly(strikes.take(rows))
    usable &= flown[0] >= SHORTEST_M
    file_of = table.source_file if table.source_file is not None else np.zeros(table.n, dtype=np.int64)
    findings: list[FileFinding] = []
    for k, name in enumerate(table.files or ("",)):
        here = file_of == k
        spin, adjusted = _said(table, here, conditions)
        one = _Part(table, name, np.flatnonzero(here & usable), strikes, flown, fly, system)
        out = sum(bool(here[i]) for i, mark in table.marks.items() if mark.kind != "mishit")
        findings += _file(one, int(here.sum()) - out, spin, adjusted, result)
    return replace(result, findings=tuple(findings))


def _lazy(air: Air | None) -> Flyer:
    """A flyer that loads the flight only once something is to be flown."""

    def fly(strikes: Strikes) -> tuple[Floats, Floats]:
        return flyer(air)(strikes)

    return fly


@dataclass(frozen=True, slots=True)
class _Part:
    """One file's judged rows and what is needed to judge and name them."""

    table: ShotTable
    file: str
    rows: Ints
    strikes: Strikes
    flown: Floats
    fly: Flyer
    system: System


def _usable(table: ShotTable, strikes: Strikes) -> NDArray[np.bool_]:
    usable = (
        np.isfinite(strikes.spin_rpm)
        & (table.measure("carry_m") > 0.0)
        & np.isfinite(table.measure("carry_m"))
    )
    if table.carry_at_least is not None:
        usable &= ~table.carry_at_least
    for i, mark in table.marks.items():
        if mark.kind != "mishit":
            usable[i] = False
    return np.asarray(usable)


def _said(
    table: ShotTable, here: NDArray[np.bool_], conditions: Mapping[str, Conditions] | None
) -> tuple[str, str]:
    """Spin and adjustment of a file; one visit with estimated spin makes the file's spin estimated."""
    if not conditions:
        return "", ""
    visits = table.text("visit")
    named = {visits[i] for i in np.flatnonzero(here).tolist()}
    known = [conditions[v] for v in sorted(named) if v in conditions]
    spin = "estimated" if any(c.spin == "estimated" for c in known) else ""
    return spin, "adjusted" if any(c.adjusted == "adjusted" for c in known) else ""


def _file(part: _Part, n: int, spin: str, adjusted: str, result: Physics) -> list[FileFinding]:
    """Judge one file: fill the result's arrays and marks, and return its findings."""
    unchecked = unchecked_finding(part.file, len(part.rows), n)
    missing = [unchecked] if unchecked is not None else []
    if not len(part.rows):
        return missing
    seen = _measured(part)
    held = hold(seen, part.fly, weaker=spin == "estimated")
    result.distance[part.rows] = held.distance
    result.chance[part.rows] = held.chance
    result.carry_gap[part.rows] = held.carry_gap
    result.devices[part.file] = held.device
    _mark(part, seen, held, result)
    found = condition_findings(part.file, spin, adjusted, n)
    if adjusted != "adjusted":
        s = seen.strikes
        ratio = float(np.median(s.spin_rpm * RAD_S_PER_RPM * BALL_RADIUS_M / s.ball_speed_mps))
        offset = offset_finding(part.file, held.offset, len(part.rows), ratio)
        found += [offset] if offset is not None else []
    return [*unit_findings(part.file, held.device), *found, *missing]


def _measured(part: _Part) -> Measured:
    table, rows = part.table, part.rows
    chosen = rows.tolist()
    texts = [[column[i] for i in chosen] for column in (table.text("club"), table.text("visit"))]
    apex = table.measure("apex_m")[rows]
    apex = np.where((apex > 0.0) & (part.flown[1, rows] > 0.0), apex, np.nan)
    return Measured(
        table.measure("carry_m")[rows], apex, part.flown[0, rows], part.flown[1, rows],
        codes(*texts), part.strikes.take(rows),
    )  # fmt: skip


def _mark(part: _Part, seen: Measured, held: Held, result: Physics) -> None:
    """Put a suggestion into `result` for every suspect row that nobody marked."""
    at = [k for k in np.flatnonzero(held.suspect).tolist() if int(part.rows[k]) not in part.table.marks]
    at = at[:NAMED_AT_MOST]
    if not at:
        return
    slips = find_slips(_suspects(seen, held, np.array(at)), part.fly)
    for k, slip in zip(at, slips, strict=True):
        position = int(part.rows[k])
        reason = _reason(seen, held, k, slip, part.system)
        result.marks[position] = Mark("bad-read", reason, "model", float(held.chance[k]))
        if slip is not None:
            result.slips[position] = slip


def _suspects(seen: Measured, held: Held, at: Ints) -> Suspects:
    return Suspects(
        held.carry_gap[at], held.carry_sd[at], held.height_gap[at], held.height_sd[at],
        seen.flown_carry_m[at], seen.flown_apex_m[at], seen.strikes.take(at),
    )  # fmt: skip


def _reason(seen: Measured, held: Held, k: int, slip: Slip | None, system: System) -> str:
    """Name the figures that clash: "carry 171 yd, but 120 mph, 17.0 deg and 6,500 rpm fly about 148 yd"."""
    yard, foot, speed = distance_unit(system), height_unit(system), speed_unit(system)
    s = seen.strikes
    launch = tell(
        "{ball_speed:.0f} {unit}, {launch:.1f} deg and {spin:,.0f} rpm",
        ball_speed=s.ball_speed_mps[k] / speed.factor,
        unit=spoken(speed),
        launch=math.degrees(s.launch_rad[k]),
        spin=s.spin_rpm[k],
    )
    parts = []
    if abs(held.carry_gap[k]) > 2.0 * held.carry_sd[k]:
        parts.append(
            tell(
                "carry {carry:.0f} {yard}, but {launch} fly about {expected:.0f} {yard}",
                carry=seen.carry_m[k] / yard.factor,
                yard=yard.name,
                launch=launch,
                expected=held.carry_expected_m[k] / yard.factor,
            )
        )
    if not parts or abs(held.height_gap[k]) > 2.0 * held.height_sd[k]:
        told = {
            "height": seen.apex_m[k] / foot.factor,
            "foot": foot.name,
            "expected": held.height_expected_m[k] / foot.factor,
        }
        parts.append(
            tell("height {height:.0f} {foot}, but they climb to about {expected:.0f} {foot}", **told)
            if parts
            else tell(
                "height {height:.0f} {foot}, but {launch} climb to about {expected:.0f} {foot}",
                launch=launch,
                **told,
            )
        )
    return join("; ", parts) + (tell(" ({slip})", slip=slip.words) if slip is not None else "")
