"""Launches that the flight benches share, and what they are held against.

`domain` is golf: driver to lob wedge along one line, with scatter, and wind of 5 m/s each way; `hostile` is
anything. The reference is DOP853 at 1e-12, here or, in `scipy_flight`, SciPy's own.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from bagwright.flight import batch
from bagwright.flight.launch import BALL_DIAMETER_M, BALL_MASS_KG

RADIUS_M = BALL_DIAMETER_M / 2
DENSITY_KG_M3 = 1.2
K_PER_M = DENSITY_KG_M3 * math.pi * RADIUS_M**2 / (2 * BALL_MASS_KG)
DECAY_PER_M = 1.4e-5 / RADIUS_M
LIMITS = (0.25, 7e4, 0.3, 4e4)
ROUGH = batch.Shared(0.03, 10.0, DECAY_PER_M, LIMITS)
RE_PER_MPS = BALL_DIAMETER_M * DENSITY_KG_M3 / 1.81e-5
YARDS = 1 / 0.9144


def domain(n: int, seed: int) -> np.ndarray:
    """Golf's launches (n, 7): speed m/s, launch, direction rad, spin rpm, axis rad, wind x, y m/s at 10 m."""
    rng = np.random.default_rng(seed)
    u = rng.uniform(0, 1, n)
    speed = (75 - 40 * u) * (1 + 0.05 * rng.standard_normal(n))
    up = np.clip(np.radians(10.5 + 22 * u + 1.5 * rng.standard_normal(n)), np.radians(5), np.radians(50))
    rpm = (2600 + 7000 * u) * np.clip(1 + 0.12 * rng.standard_normal(n), 0.4, 2)
    side = np.radians(2 * rng.standard_normal(n))
    axis = np.radians(8 * rng.standard_normal(n))
    wind = 5 * rng.standard_normal((n, 2))
    return np.column_stack([speed, up, side, rpm, axis, wind])


def hostile(n: int, seed: int) -> np.ndarray:
    """Any launches: 10 to 90 m/s, 3 to 60 degrees, 500 to 12,000 rpm, 40 degrees of tilt, wind of 20 m/s."""
    rng = np.random.default_rng(seed)
    draw = rng.uniform
    return np.column_stack([
        draw(10, 90, n), np.radians(draw(3, 60, n)), np.radians(draw(-20, 20, n)), draw(500, 12_000, n),
        np.radians(draw(-40, 40, n)), draw(-20, 20, n), draw(-20, 20, n),
    ])  # fmt: skip


def columns_of(rows: np.ndarray) -> batch.Columns:
    """The launches as the batch takes them."""
    speed, up, side, rpm, axis, x, y = (np.ascontiguousarray(column) for column in rows.T)
    k = np.full(len(speed), K_PER_M)
    spin = rpm * (2 * np.pi / 60 * RADIUS_M)
    return batch.Columns(speed, up, side, spin, axis, x, y, k, k, np.full(len(speed), RE_PER_MPS))


def reference(rows: np.ndarray, tolerance: float = 1e-11) -> np.ndarray:
    """Downrange, offline, apex and time (4, n) by the program's adaptive method, compiled."""
    from bagwright.air import Wind, air
    from bagwright.flight.fly import fly_many
    from bagwright.flight.launch import Launches

    speed, up, side, rpm, axis, x, y = rows.T
    flights = fly_many(
        Launches.of(speed, up, rpm, side, axis),
        air(density_kg_m3=DENSITY_KG_M3),
        Wind(5.0, 0.0),
        wind_xy_mps=(x, y),
        tolerance=tolerance,
        fast=False,
    )
    return np.stack([flights.downrange_m, flights.offline_m, flights.apex_m, flights.time_s])


def rates(row: np.ndarray) -> Any:
    """The equations of one flight as plain Python, written anew for SciPy: state x y z vx vy vz spin."""
    speed, up, side, _, axis, wx, wy = row
    del speed, up
    ax = math.cos(axis) * math.sin(side)
    ay = -math.cos(axis) * math.cos(side)
    az = math.sin(axis)
    per_log = 1 / math.log1p(10.0 / 0.03)

    def slope(t: float, s: np.ndarray) -> list[float]:
        del t
        share = math.log1p(max(s[2], 0.0) / 0.03) * per_log
        ux, uy, uz = s[3] - wx * share, s[4] - wy * share, s[5]
        u = math.sqrt(ux * ux + uy * uy + uz * uz)
        ratio = s[6] * RADIUS_M / u
        drag = K_PER_M * u * (0.207 + 0.34 * ratio**2 / (ratio**2 + 0.162))
        lift = K_PER_M * u * 0.56 * ratio / (ratio + 0.245)
        return [
            s[3], s[4], s[5],
            lift * (ay * uz - az * uy) - drag * ux,
            lift * (az * ux - ax * uz) - drag * uy,
            lift * (ax * uy - ay * ux) - drag * uz - 9.80665,
            -1.4e-5 * u * s[6] / RADIUS_M,
        ]  # fmt: skip

    return slope


def rates_in_numpy(row: np.ndarray) -> Any:
    """The same equations on small arrays, as most would write them."""
    axis = np.array([
        math.cos(row[4]) * math.sin(row[2]), -math.cos(row[4]) * math.cos(row[2]), math.sin(row[4])
    ])  # fmt: skip
    wind = np.array([row[5], row[6], 0.0])
    per_log = 1 / np.log1p(10.0 / 0.03)
    weight = np.array([0.0, 0.0, -9.80665])

    def slope(t: float, s: np.ndarray) -> np.ndarray:
        del t
        u = s[3:6] - wind * np.log1p(max(s[2], 0.0) / 0.03) * per_log
        speed = np.linalg.norm(u)
        ratio = s[6] * RADIUS_M / speed
        drag = 0.207 + 0.34 * ratio**2 / (ratio**2 + 0.162)
        lift = 0.56 * ratio / (ratio + 0.245)
        force = K_PER_M * speed * (lift * np.cross(axis, u) - drag * u)
        return np.concatenate([s[3:6], force + weight, [-1.4e-5 * speed * s[6] / RADIUS_M]])

    return slope


def scipy_flight(row: np.ndarray, method: str, rtol: float, atol: float, kind: str = "floats") -> np.ndarray:
    """Downrange, offline, apex and time of one flight by SciPy's solve_ivp with events."""
    from scipy import integrate

    solve: Any = integrate.solve_ivp
    speed, up, side, rpm = row[:4]
    start = [
        0.0, 0.0, 0.0, speed * math.cos(up) * math.cos(side), speed * math.cos(up) * math.sin(side),
        speed * math.sin(up), rpm * math.pi / 30,
    ]  # fmt: skip

    def ground(t: float, s: np.ndarray) -> float:
        del t
        return float(s[2])

    def top(t: float, s: np.ndarray) -> float:
        del t
        return float(s[5])

    ground.terminal, ground.direction = True, -1  # type: ignore[attr-defined]
    top.direction = -1  # type: ignore[attr-defined]
    equations = rates(row) if kind == "floats" else rates_in_numpy(row)
    done = solve(equations, (0, 40), start, method=method, rtol=rtol, atol=atol, events=[ground, top])
    at = done.y_events[0][0]
    return np.array([at[0], at[1], done.y_events[1][0][2], done.t_events[0][0]])
