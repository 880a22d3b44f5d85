"""One flight or a table of them: a launch through stated air, wind and turf."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from bagwright.errors import InputError
from bagwright.estimate import Estimate
from bagwright.shots.beside import Computed, write_beside
from bagwright.tasks.source import Ask, Loaded, Progress, Source, load, refuse_same_file, rows_in_words
from bagwright.units import RAD_PER_DEG, System, distance_unit, height_unit, speed_unit

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from bagwright.air import Air, Wind
    from bagwright.flight.launch import Flight, Flights, Launch, Launches
    from bagwright.shots.record import ShotTable
    from bagwright.turf import Hold, Turf

    Floats = NDArray[np.float64]

UNNAMED = "one unnamed club"


@dataclass(frozen=True, slots=True)
class Place:
    """Where balls fly and land: air, wind, turf, the law of drag and lift, and the ball."""

    air: Air
    wind: Wind
    turf: Turf
    law: str = "D1"


@dataclass(frozen=True, slots=True)
class Flown:
    """One flight and its run. The numbers are the law's; `ranges` says how far published laws differ.

    Keys of `ranges` are the names of the numbers they belong to (90 % ranges).
    """

    carry_m: float
    total_m: float | None
    apex_m: float
    time_s: float
    descent_deg: float
    landing_speed_mps: float
    landing_spin_rpm: float
    offline_m: float
    run_m: float | None
    air_density: float
    law: str
    ranges: dict[str, Estimate]
    holds_green: float | None
    """Chance that a ball landing on a normal green stops within 10 m of where it lands."""
    extrapolated: tuple[str, ...]
    air: Air
    wind: Wind
    turf: Turf
    _flight: Flight
    _hold: Hold


def fly_one(launch: Launch, place: Place, path: bool = False) -> Flown:
    """Fly one launch, let it run, and say how far published laws differ on it."""
    from bagwright.flight.fly import fly
    from bagwright.flight.spread import spread
    from bagwright.turf import holds, run

    flight = fly(launch, place.air, place.wind, place.law, path=path)
    laws = spread(launch, place.air, place.wind)
    landing = (flight.landing_speed_mps, flight.descent_rad, flight.landing_spin_rpm)
    ran = run(*landing, place.turf)
    held = holds(*landing)
    carry = _holding(laws.carry, flight.carry_m)
    total = _with_doubt(ran.total_m(flight.carry_m), carry)
    ranges = {
        "carry_m": carry,
        "apex_m": _holding(laws.apex, flight.apex_m),
        "descent_deg": _holding(laws.descent, flight.descent_rad).scaled(1.0 / RAD_PER_DEG),
        "run_m": ran.run_m,
        "total_m": total,
    }
    known = not _skids(flight)
    if not known:
        ranges = {name: span for name, span in ranges.items() if name not in ("run_m", "total_m")}
    return Flown(
        carry_m=flight.carry_m,
        total_m=total.value if known else None,
        apex_m=flight.apex_m,
        time_s=flight.time_s,
        descent_deg=flight.descent_rad / RAD_PER_DEG,
        landing_speed_mps=flight.landing_speed_mps,
        landing_spin_rpm=flight.landing_spin_rpm,
        offline_m=flight.offline_m,
        run_m=ran.run_m.value if known else None,
        air_density=place.air.density_kg_m3,
        law=flight.law,
        ranges=ranges,
        holds_green=held.probability if known else None,
        extrapolated=(
            *flight.extrapolated,
            *(ran.extrapolated if known else ("a landing so flat that run and total are not known",)),
        ),
        air=place.air,
        wind=place.wind,
        turf=place.turf,
        _flight=flight,
        _hold=held,
    )


_FLAT_RAD = 12.0 * RAD_PER_DEG
"""Landings flatter than this skid: the model of bounce was made for steeper ones (20 degrees and more) and its
answer there means nothing, so none is given (judgement)."""


def _skids(flight: Flight) -> bool:
    return flight.descent_rad < _FLAT_RAD


def _holding(span: Estimate, value: float) -> Estimate:
    """The span of the laws around the value of the law in use, which may be any of them."""
    return Estimate(value, min(span.low, value), max(span.high, value))


def _with_doubt(total: Estimate, carry: Estimate) -> Estimate:
    """A total whose range holds the run's and the carry's, as independent doubts."""
    low = ((total.value - total.low) ** 2 + (carry.value - carry.low) ** 2) ** 0.5
    high = ((total.high - total.value) ** 2 + (carry.high - carry.value) ** 2) ** 0.5
    return Estimate(total.value, total.value - low, total.value + high)


def draw_flown(flown: Flown, path: Path, system: System) -> None:
    """Draw one flight from the side with its run, as SVG or PNG by the name's ending.

    The flight must have been flown with its path. Raises InputError for another ending, MachineError.
    """
    from bagwright.files import write_whole
    from bagwright.report.charts.render import to_png, to_svg
    from bagwright.report.charts.sideview import sideview_chart
    from bagwright.report.model import FlightRow
    from bagwright.report.words import Show

    ending = path.suffix.lower()
    if ending not in (".svg", ".png"):
        raise InputError(f'"{path.name[:60]}" is no picture.', "Let its name end in .svg or .png.")
    points = flown._flight.path
    if points is None:
        raise InputError("This flight was flown without its path.", "Fly it again with path=True.")
    held = flown._hold
    row = FlightRow(
        "This launch",
        kind="iron",  # for the look of the line only; no club is named here
        path=tuple(
            (float((x * x + y * y) ** 0.5), float(z))
            for x, y, z in zip(points.x_m, points.y_m, points.z_m, strict=True)
        ),
        carry_m=flown.ranges["carry_m"],
        apex_m=flown.ranges["apex_m"],
        descent_rad=flown.ranges["descent_deg"].scaled(RAD_PER_DEG),
        run_m=flown.ranges.get("run_m"),
        holds=None if flown.holds_green is None else Estimate(held.probability, held.if_firm, held.if_soft),
    )
    chart = sideview_chart([row], Show(system), trial=False)
    write_whole(path, to_png(chart) if ending == ".png" else to_svg(chart).encode())


@dataclass(frozen=True, slots=True)
class FlownTable:
    """A table of launches, flown. Arrays have one entry a shot; NaN where a launch could not be flown."""

    loaded: Loaded
    flights: Flights
    run_m: Floats
    place: Place
    not_flown: dict[str, int]
    """Why launches were not flown, with how many."""
    taken: dict[str, int]
    """What was taken for launches that do not say it, with how many."""

    @property
    def flown(self) -> int:
        """How many launches were flown."""
        return len(self.run_m) - sum(self.not_flown.values())


def fly_table(
    source: Source, place: Place, ask: Ask | None = None, progress: Progress | None = None
) -> FlownTable:
    """Read launches and fly them all. Needs ball speed, launch angle and spin; the rest may be missing.

    Raises QuestionError while a unit is open, InputError when no launch can be flown at all.
    """
    import numpy as np

    from bagwright.flight.fly import fly_many
    from bagwright.turf.many import run_many

    loaded = load(replace(source, answers={"club of the table": UNNAMED, **source.answers}), ask, progress)
    loaded.result.require_answers()
    launches, taken = launches_of(loaded.table)
    launches, not_flown = _only_sensible(launches, loaded)
    if sum(not_flown.values()) == loaded.table.n:
        why = "; ".join(f"{n} {reason}" for reason, n in not_flown.items()) or "it holds no shot"
        raise InputError(
            f"No launch of this table can be flown: {why}.",
            "It needs columns of ball speed, launch angle and spin, such as "
            '"Ball speed (mph)", "Launch (deg)", "Spin (rpm)".',
        )
    flights = fly_many(launches, place.air, place.wind, place.law)
    run_m = run_many(flights.landing_speed_mps, flights.descent_rad, flights.landing_spin_rpm, place.turf)
    flat = flights.descent_rad < _FLAT_RAD
    if flat.any():
        run_m[flat] = np.nan
        taken["land so flat that run and total are not known"] = int(flat.sum())
    return FlownTable(loaded, flights, run_m, place, not_flown, taken)


def launches_of(table: ShotTable) -> tuple[Launches, dict[str, int]]:
    """The launches of a shot table, with what was taken for those that lack a direction or an axis."""
    import numpy as np

    from bagwright.shots import strikes

    struck = strikes.strikes_of(table)
    launches = strikes.launches_of(struck)
    launched = launches.sensible()
    straight = np.isnan(table.measure("direction_rad")) & launched
    axis, side = table.measure("spin_axis_rad"), table.measure("sidespin_rpm")
    flat = np.isnan(axis) & np.isnan(side) & launched
    taken = {
        "started on the target line, as no start direction is given": int(straight.sum()),
        "flew without curve, as no spin axis is given": int(flat.sum()),
    }
    return launches, {words: n for words, n in taken.items() if n}


_LACKS = {
    "ball_speed_mps": "no ball speed",
    "launch_rad": "no launch angle",
    "spin_rpm": "no spin",
}
_OUTSIDE = "a launch that no club gives"


def _only_sensible(launches: Launches, loaded: Loaded) -> tuple[Launches, dict[str, int]]:
    """Launches with those that cannot be flown taken out (NaN), and why, each counted once."""
    import numpy as np

    reasons: dict[str, int] = {}
    counted = np.zeros(len(launches), dtype=np.bool_)
    for name, words in _LACKS.items():
        lacks = np.isnan(getattr(launches, name)) & ~counted
        if lacks.any():
            reasons[f"{words} ({rows_in_words(loaded, lacks)})"] = int(lacks.sum())
        counted |= lacks
    outside = ~launches.sensible() & ~counted
    if outside.any():
        reasons[f"{_OUTSIDE} ({rows_in_words(loaded, outside)})"] = int(outside.sum())
    speed = np.where(outside, np.nan, launches.ball_speed_mps)
    return replace(launches, ball_speed_mps=speed), reasons


def flown_columns(flown: FlownTable, system: System) -> list[Computed]:
    """What was computed, in the units of `system`."""
    length, height, speed = distance_unit(system), height_unit(system), speed_unit(system)
    f = flown.flights
    columns: tuple[tuple[str, Floats, float, int], ...] = (
        (f"flown_carry_{length.name}", f.carry_m, length.factor, 2),
        (f"flown_total_{length.name}", f.carry_m + flown.run_m, length.factor, 2),
        (f"flown_run_{length.name}", flown.run_m, length.factor, 2),
        (f"flown_offline_{length.name}", f.offline_m, length.factor, 2),
        (f"flown_apex_{height.name}", f.apex_m, height.factor, 2),
        ("flown_time_s", f.time_s, 1.0, 3),
        ("flown_descent_deg", f.descent_rad, RAD_PER_DEG, 2),
        (f"flown_landing_speed_{speed.name}", f.landing_speed_mps, speed.factor, 2),
        ("flown_landing_spin_rpm", f.landing_spin_rpm, 1.0, 0),
    )
    return [Computed(heading, values / factor, digits) for heading, values, factor, digits in columns]


def write_flown(flown: FlownTable, path: Path, system: System) -> None:
    """Write the table that was read with the computed columns behind it. Raises MachineError."""
    refuse_same_file(path, flown.loaded.paths)
    write_beside(flown.loaded.table, flown_columns(flown, system), path, system)


SHOWN = 50
"""Flights that a JSON document holds one by one; longer tables are written with --out."""


def flown_account(flown: FlownTable, out: Path | None) -> dict[str, object]:
    """What became of a table of launches, for a JSON document; the flights themselves up to 50 rows."""
    f = flown.flights
    account: dict[str, object] = {
        "flown": flown.flown,
        "not_flown": flown.not_flown,
        "taken": flown.taken,
        "extrapolated": dict(f.reasons),
        "redone": int(f.redone.sum()),
        "law": f.law,
        "air": flown.place.air,
        "wind": flown.place.wind,
        "turf": flown.place.turf,
        "files": [] if out is None else [out],
    }
    if len(f) <= SHOWN:
        account["flights"] = [_row(flown, i) for i in range(len(f))]
    return account


def _row(flown: FlownTable, i: int) -> dict[str, object]:
    f = flown.flights
    shot = flown.loaded.table.shot(i)
    return {
        "file": shot.source_file,
        "row": shot.source_row,
        "club": shot.club,
        "carry_m": f.carry_m[i],
        "total_m": f.carry_m[i] + flown.run_m[i],
        "apex_m": f.apex_m[i],
        "time_s": f.time_s[i],
        "descent_deg": f.descent_rad[i] / RAD_PER_DEG,
        "landing_speed_mps": f.landing_speed_mps[i],
        "landing_spin_rpm": f.landing_spin_rpm[i],
        "offline_m": f.offline_m[i],
        "run_m": flown.run_m[i],
        "extrapolated": bool(f.extrapolated[i]),
    }
