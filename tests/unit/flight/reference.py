"""An independent flight for the tests: scipy's DOP853 on the equations of docs/flight.md, written again."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from scipy.integrate import solve_ivp

Coefficients = Callable[[float, float], tuple[float, float]]


def d1(S: float, Re: float) -> tuple[float, float]:
    return 0.207 + 0.34 * S**2 / (S**2 + 0.162), 0.56 * S / (S + 0.245)


@dataclass(frozen=True)
class Case:
    """One flight to be computed. Wind components are the air's own motion at 10 m."""

    speed_mps: float
    launch_deg: float
    spin_rpm: float
    direction_deg: float = 0.0
    axis_deg: float = 0.0
    density: float = 1.2
    viscosity: float = 1.81e-5
    wind_x: float = 0.0
    wind_y: float = 0.0
    log: bool = False
    roughness: float = 0.03
    decay: float = 1.4e-5
    mass: float = 0.04593
    diameter: float = 0.04267
    gravity: float = 9.80665
    law: Coefficients = d1

    def but(self, **changes: object) -> Case:
        return replace(self, **changes)  # type: ignore[arg-type]


@dataclass(frozen=True)
class Landing:
    x: float
    y: float
    time: float
    apex: float
    speed: float
    descent_deg: float
    spin_rpm: float

    @property
    def carry(self) -> float:
        return math.hypot(self.x, self.y)


def acceleration(
    case: Case, position: np.ndarray, velocity: np.ndarray, omega: float
) -> tuple[np.ndarray, float]:
    """Acceleration, and the rate of the spin in rad/s^2."""
    height = max(float(position[2]), 0.0)
    share = math.log(1 + height / case.roughness) / math.log(1 + 10 / case.roughness) if case.log else 1.0
    air_motion = share * np.array([case.wind_x, case.wind_y, 0.0])
    u = velocity - air_motion
    speed = float(np.linalg.norm(u))
    radius = case.diameter / 2
    cd, cl = case.law(radius * omega / speed, speed * case.diameter * case.density / case.viscosity)
    tilt, direction = math.radians(case.axis_deg), math.radians(case.direction_deg)
    a = np.array(
        [math.cos(tilt) * math.sin(direction), -math.cos(tilt) * math.cos(direction), math.sin(tilt)]
    )
    half = 0.5 * case.density * math.pi * radius**2
    # The frame is left-handed (x ahead, y right, z up); the product is taken by its components all the same.
    force = -half * cd * speed * u + half * cl * speed * np.cross(a, u)
    return force / case.mass - np.array([0, 0, case.gravity]), -case.decay * speed * omega / radius


def fly(case: Case, tolerance: float = 1e-12) -> Landing:
    """The flight to the landing, by scipy's DOP853 and its events."""
    launch, direction = math.radians(case.launch_deg), math.radians(case.direction_deg)
    velocity = case.speed_mps * np.array(
        [math.cos(launch) * math.cos(direction), math.cos(launch) * math.sin(direction), math.sin(launch)]
    )
    start = np.concatenate([np.zeros(3), velocity, [case.spin_rpm * math.pi / 30]])

    def rates(_t: float, s: np.ndarray) -> np.ndarray:
        push, slowing = acceleration(case, s[:3], s[3:6], s[6])
        return np.concatenate([s[3:6], push, [slowing]])

    def ground(_t: float, s: np.ndarray) -> float:
        return float(s[2])

    def top(_t: float, s: np.ndarray) -> float:
        return float(s[5])

    ground.terminal, ground.direction = True, -1  # type: ignore[attr-defined]
    top.direction = -1  # type: ignore[attr-defined]
    done = solve_ivp(
        rates, (0, 60), start, "DOP853", events=[ground, top], rtol=tolerance, atol=tolerance, max_step=0.5
    )
    assert done.t_events is not None
    assert done.y_events is not None
    end, time = done.y_events[0][0], float(done.t_events[0][0])
    return Landing(
        float(end[0]),
        float(end[1]),
        time,
        max(float(s[2]) for s in done.y_events[1]),
        float(np.linalg.norm(end[3:6])),
        math.degrees(math.atan2(-end[5], math.hypot(end[3], end[4]))),
        float(end[6] * 30 / math.pi),
    )
