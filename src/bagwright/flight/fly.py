"""Launch to flight: one ball, or many.

Frame: x down the target line, y to the right, z up, from the strike at height 0 to the landing at height 0.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from bagwright.air import CALM, STANDARD, Air, Wind
from bagwright.errors import InputError, MachineError
from bagwright.flight import adaptive
from bagwright.flight._bh76 import GRID as BH76_GRID
from bagwright.flight._dop853 import TABLEAU
from bagwright.flight.aero import DEFAULT, REASONS, Law, departures, find_law, left_range
from bagwright.flight.launch import (
    FLIGHT_NUMBERS,
    RANGES,
    Ball,
    Flight,
    Flights,
    Launch,
    Launches,
    Path,
    Scale,
)
from bagwright.flight.rows import fly_rows
from bagwright.units import STANDARD_GRAVITY_MPS2

if TYPE_CHECKING:
    from numpy.typing import NDArray

TOLERANCE = 1e-9
"""Error allowed a step of one flight, of 1 m, 1 m/s or the value: some micrometres of carry."""
PATH_POINTS = 61
FAST_FROM = 5000
"""From how many flights of the default law on `fly_many` takes the fast schedule of its own accord."""

_Numbers = tuple[float, float, float, float, float, float, float, float, float]

ONE = Scale()
RULE_BALL = Ball()


def fly(
    launch: Launch,
    air: Air = STANDARD,
    wind: Wind = CALM,
    law: str = DEFAULT,
    scale: Scale = ONE,
    ball: Ball = RULE_BALL,
    path: bool = False,
    tolerance: float = TOLERANCE,
) -> Flight:
    """One flight, to the landing at the height it started from.

    `law` names a law of `aero.LAWS`; `scale` multiplies its drag and lift; `path` adds some 60 points, even
    in time. Equations and conventions: docs/flight.md. Loads neither numba nor, without `path`, numpy.
    Raises InputError for a launch, air, wind or law that cannot be flown, MachineError where the ball does
    not come down within the step limit.
    """
    chosen = find_law(law)
    state = _state(launch, ball)
    p = _parameters(chosen, launch, air, wind, scale, ball)
    end = [0.0] * adaptive.ENDS
    room: list[float] = [0.0] * 96
    status = adaptive.fly_one(state, chosen.code, p, BH76_GRID, TABLEAU, room, [0.0] * 8, end, tolerance)
    if status != adaptive.DONE:
        raise MachineError(
            f"The flight of {launch} could not be followed to the ground.", "Check the launch and wind."
        )
    return Flight(
        *_numbers(end, ball),
        launch=launch,
        law=chosen.name,
        air=air,
        extrapolated=departures(chosen, *end[8:12]),
        path=_path(_state(launch, ball), end, chosen, p, ball, tolerance) if path else None,
    )


def _state(launch: Launch, ball: Ball) -> list[float]:
    """The integrator's state at the strike: z, vx, vy, vz, surface speed, x, y, t."""
    level = launch.ball_speed_mps * math.cos(launch.launch_rad)
    surface = launch.spin_rpm * math.pi / 60.0 * ball.diameter_m
    return [
        0.0,
        level * math.cos(launch.direction_rad),
        level * math.sin(launch.direction_rad),
        launch.ball_speed_mps * math.sin(launch.launch_rad),
        surface,
        0.0,
        0.0,
        0.0,
    ]


def _parameters(
    law: Law,
    launch: Launch,
    air: Air,
    wind: Wind,
    scale: Scale,
    ball: Ball,
    gravity_mps2: float = STANDARD_GRAVITY_MPS2,
) -> tuple[float, ...]:
    """What stays the same during a flight, in the integrator's order."""
    wind_x, wind_y = wind.components()
    log = wind.profile == "log" and wind.speed_mps > 0.0
    rough = wind.roughness_m if log else 0.0
    per_log = 1.0 / math.log1p(wind.at_height_m / rough) if log else 0.0
    k = air.density_kg_m3 * math.pi * ball.diameter_m**2 / (8.0 * ball.mass_kg)
    tilted, upright = math.sin(launch.spin_axis_rad), math.cos(launch.spin_axis_rad)
    return (
        wind_x,
        wind_y,
        rough,
        per_log,
        k * scale.drag,
        k * scale.lift,
        upright * math.sin(launch.direction_rad),
        -upright * math.cos(launch.direction_rad),
        tilted,
        gravity_mps2,
        law.re_per_mps(ball.diameter_m, air.viscosity_pa_s / air.density_kg_m3),
        2.0 * law.spin_decay / ball.diameter_m,
        law.spin_decay_per_s,
        adaptive.STRETCH_M if log else 0.0,
        *law.limits(),
    )


def _numbers(end: list[float], ball: Ball) -> _Numbers:
    """A flight's numbers, in the order of FLIGHT_NUMBERS, from the integrator's."""
    x, y, t, vx, vy, vz, surface, apex = end[:8]
    level = math.hypot(vx, vy)
    return (
        math.hypot(x, y),
        x,
        y,
        apex,
        t,
        math.atan2(-vz, level),
        math.hypot(level, vz),
        surface * 60.0 / (math.pi * ball.diameter_m),
        math.atan2(vy, vx),
    )


def _path(state: list[float], end: Any, law: Law, p: tuple[float, ...], ball: Ball, tolerance: float) -> Path:
    """Points even in time from strike to landing."""
    import numpy as np

    by_time = (*p[:13], 0.0, *p[14:])
    every = end[2] / (PATH_POINTS - 1)
    rows = [tuple(state)]
    room, out = [0.0] * 96, [0.0] * 8
    for _ in range(PATH_POINTS - 2):
        status = adaptive.follow(state, every, law.code, by_time, BH76_GRID, TABLEAU, room, out, tolerance)
        if status != adaptive.DONE:
            raise MachineError("The path of a flight could not be followed.", "Check the launch and wind.")
        rows.append(tuple(state))
    x, y, t, vx, vy, vz, surface = end[:7]
    rows.append((0.0, vx, vy, vz, surface, x, y, t))
    z_m, vx_, vy_, vz_, surface_, x_m, y_m, t_s = np.array(rows, dtype=np.float64).T
    return Path(
        t_s, x_m, y_m, z_m, np.sqrt(vx_**2 + vy_**2 + vz_**2), surface_ * 60.0 / (np.pi * ball.diameter_m)
    )


def fly_many(
    launches: Launches,
    air: Air = STANDARD,
    wind: Wind = CALM,
    law: str = DEFAULT,
    scale: Scale = ONE,
    ball: Ball = RULE_BALL,
    density_kg_m3: Any = None,
    wind_xy_mps: tuple[Any, Any] | None = None,
    tolerance: float = TOLERANCE,
    fast: bool | None = None,
) -> Flights:
    """Many flights; the same answers as `fly` within its tolerance, or within 1 cm where `fast`.

    `fast` flies the default law by the fast schedule of `batch.py` (single precision, within 1 mm for golf's
    launches); what that doubts is flown by the adaptive method and marked in `redone`. Unless said, 5000 and
    more flights of that law are flown so.

    `density_kg_m3` (n,) overrides the air's where given, and `wind_xy_mps` (two numbers or arrays (n,):
    the air's motion down the line and to the right at the wind's reference height) the wind's speed and
    quarter; its profile stays. `scale` may hold arrays (n,). A launch with NaN gives NaN. Raises InputError
    for launches outside what can be flown, with the first row (from 1) and how many.
    """
    import numpy as np

    chosen = find_law(law)
    _refuse_rows(launches)
    if chosen.code == adaptive.D1 and (len(launches) >= FAST_FROM if fast is None else fast):
        return _fly_fast(chosen, launches, air, wind, scale, ball, density_kg_m3, wind_xy_mps, tolerance)
    known = launches.known()
    states = _states(launches, ball)
    params = _parameter_rows(chosen, launches, air, wind, scale, ball, density_kg_m3, wind_xy_mps)
    known &= ~np.isnan(params).any(axis=1)
    ends = np.full((len(launches), adaptive.ENDS), np.nan)
    ends[known] = fly_rows(chosen.code, states[known], params[known], tolerance)
    return _flights(chosen, launches, ends, ball)


def _fly_fast(
    law: Law, launches: Launches, air: Air, wind: Wind, scale: Scale, ball: Ball,
    density_kg_m3: Any, wind_xy_mps: tuple[Any, Any] | None, tolerance: float,
) -> Flights:  # fmt: skip
    """Many flights of the default law by the fast schedule, the doubtful ones by the adaptive method."""
    import numpy as np

    from bagwright.flight import batch

    n = len(launches)
    density = _column(
        "density_kg_m3", air.density_kg_m3 if density_kg_m3 is None else density_kg_m3, n, 0.3, 2.0
    )
    towards = wind.components() if wind_xy_mps is None else wind_xy_mps
    x = _column("wind down the line", towards[0], n, -50.0, 50.0)
    y = _column("wind to the right", towards[1], n, -50.0, 50.0)
    drag = _column("drag factor", scale.drag, n, 0.0, 5.0)
    lift = _column("lift factor", scale.lift, n, 0.0, 5.0)
    k = density * (np.pi * ball.diameter_m**2 / (8.0 * ball.mass_kg))
    columns = batch.Columns(
        launches.ball_speed_mps,
        launches.launch_rad,
        launches.direction_rad,
        launches.spin_rpm * (np.pi / 60.0 * ball.diameter_m),
        launches.spin_axis_rad,
        x,
        y,
        k * drag,
        k * lift,
        np.broadcast_to(law.re_per_mps(ball.diameter_m, air.viscosity_pa_s / density), (n,)),
    )
    log = wind.profile == "log" and bool(np.any((x != 0.0) | (y != 0.0)))
    shared = batch.Shared(
        wind.roughness_m if log else 0.0,
        wind.at_height_m,
        2.0 * law.spin_decay / ball.diameter_m,
        law.limits(),
    )
    ends = np.full((adaptive.ENDS, n), np.nan)
    known = ~np.isnan(sum(columns[:9]))
    whole = bool(known.all())
    rows = columns if whole else batch.Columns(*(each[known] for each in columns))
    landed = batch.fly_batch(rows, shared)
    index = np.arange(n) if whole else np.flatnonzero(known)
    ends[:12, index] = landed.rows
    redone = np.zeros(n, dtype=np.bool_)
    redone[index[landed.redo]] = True
    if redone.any():
        some = Launches(*(getattr(launches, name)[redone] for name in RANGES))
        part = Scale(drag[redone], lift[redone])
        params = _parameter_rows(law, some, air, wind, part, ball, density[redone], (x[redone], y[redone]))
        # One step's error of 1e-7 is far below what single precision leaves on the others.
        ends[:, redone] = fly_rows(
            law.code, _states(some, ball), params, max(tolerance, 1e-7), compiled=True
        ).T
    return replace(_flights(law, launches, ends.T, ball), redone=redone)


def _refuse_rows(launches: Launches) -> None:
    """Raise InputError at the first launch outside what can be flown; NaN is not known, not outside."""
    import numpy as np

    bad = launches.known() & ~launches.sensible()
    if not bad.any():
        return
    row = int(np.argmax(bad))
    for name, (low, high, words) in RANGES.items():
        value = float(getattr(launches, name)[row])
        if not low <= value <= high:
            raise InputError(
                f"launch {row + 1}: {name} = {value:g} cannot be flown ({int(bad.sum())} such launches).",
                f"Expected {words}.",
            )


def _states(launches: Launches, ball: Ball) -> NDArray[Any]:
    """The integrator's states at the strikes (n, 8)."""
    import numpy as np

    level = launches.ball_speed_mps * np.cos(launches.launch_rad)
    none = np.zeros(len(launches))
    columns = (
        none,
        level * np.cos(launches.direction_rad),
        level * np.sin(launches.direction_rad),
        launches.ball_speed_mps * np.sin(launches.launch_rad),
        launches.spin_rpm * (np.pi / 60.0 * ball.diameter_m),
        none,
        none,
        none,
    )
    return np.ascontiguousarray(np.stack(columns, axis=1))


def _parameter_rows(
    law: Law,
    launches: Launches,
    air: Air,
    wind: Wind,
    scale: Scale,
    ball: Ball,
    density_kg_m3: Any,
    wind_xy_mps: tuple[Any, Any] | None,
) -> NDArray[Any]:
    """What stays the same during each flight (n, 18), in the integrator's order."""
    import numpy as np

    n = len(launches)
    density = _column(
        "density_kg_m3", air.density_kg_m3 if density_kg_m3 is None else density_kg_m3, n, 0.3, 2.0
    )
    wind_x, wind_y = wind.components() if wind_xy_mps is None else wind_xy_mps
    x = _column("wind down the line", wind_x, n, -50.0, 50.0)
    y = _column("wind to the right", wind_y, n, -50.0, 50.0)
    log = wind.profile == "log" and bool(np.any((x != 0.0) | (y != 0.0)))
    rough = wind.roughness_m if log else 0.0
    k = density * (np.pi * ball.diameter_m**2 / (8.0 * ball.mass_kg))
    rows = np.empty((n, 18))
    rows[:, 0], rows[:, 1] = x, y
    rows[:, 2], rows[:, 3] = rough, 1.0 / math.log1p(wind.at_height_m / rough) if log else 0.0
    rows[:, 4] = k * _column("drag factor", scale.drag, n, 0.0, 5.0)
    rows[:, 5] = k * _column("lift factor", scale.lift, n, 0.0, 5.0)
    upright = np.cos(launches.spin_axis_rad)
    rows[:, 6] = upright * np.sin(launches.direction_rad)
    rows[:, 7] = -upright * np.cos(launches.direction_rad)
    rows[:, 8] = np.sin(launches.spin_axis_rad)
    rows[:, 9] = STANDARD_GRAVITY_MPS2
    rows[:, 10] = law.re_per_mps(ball.diameter_m, air.viscosity_pa_s / density)
    rows[:, 11] = 2.0 * law.spin_decay / ball.diameter_m
    rows[:, 12] = law.spin_decay_per_s
    rows[:, 13] = adaptive.STRETCH_M if log else 0.0
    rows[:, 14:] = law.limits()
    return rows


def _column(name: str, values: Any, n: int, low: float, high: float) -> NDArray[Any]:
    """A number or array as a column (n,). Raises InputError when it does not fit or leaves its range."""
    import numpy as np

    try:
        column = np.broadcast_to(np.asarray(values, dtype=np.float64), (n,))
    except (TypeError, ValueError) as error:
        raise InputError(f"{name}: {error}.", f"Give one number, or {n}: one a launch.") from error
    outside = ~np.isnan(column) & ~((column >= low) & (column <= high))
    if outside.any():
        row = int(np.argmax(outside))
        raise InputError(
            f"launch {row + 1}: {name} = {column[row]:g} cannot be used.", f"Expected {low:g} to {high:g}."
        )
    return column


def _flights(law: Law, launches: Launches, ends: NDArray[Any], ball: Ball) -> Flights:
    """The flights' numbers from the integrator's, with what left the law's range."""
    import numpy as np

    x, y, t, vx, vy, vz, surface, apex, s_low, s_high, re_high, margin, _ = ends.T
    level = np.hypot(vx, vy)
    numbers = (
        np.hypot(x, y), x, y, apex, t, np.arctan2(-vz, level), np.hypot(level, vz),
        surface * (60.0 / (np.pi * ball.diameter_m)), np.arctan2(vy, vx),
    )  # fmt: skip
    left = left_range(law, s_low, s_high, re_high, margin)
    return Flights(
        **dict(zip(FLIGHT_NUMBERS, numbers, strict=True)),
        launch=launches,
        law=law.name,
        extrapolated=np.asarray(np.any(left, axis=0)),
        reasons={words: int(out.sum()) for words, out in zip(REASONS, left, strict=True) if out.any()},
        redone=np.zeros(len(launches), dtype=np.bool_),
    )
