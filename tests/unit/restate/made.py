"""Invented shots of a player of our own, flown by the program itself in stated air."""

from __future__ import annotations

import math

import numpy as np

from bagwright.air import CALM, Wind
from bagwright.flight.fly import fly
from bagwright.flight.launch import Launch
from bagwright.restate import Setting
from bagwright.shots.record import Shot, ShotTable

USUAL = {"driver": (66.0, 12.0, 2700.0), "7 iron": (53.0, 17.0, 6500.0), "56": (38.0, 29.0, 9000.0)}


def shots(n: int = 12, here: Setting | None = None, longer: float = 1.0, seed: int = 5) -> list[Shot]:
    """n strikes with every club of USUAL, all figures measured; carries `longer` than the law's."""
    where = here if here is not None else Setting()
    rng = np.random.default_rng(seed)
    made: list[Shot] = []
    for club, (speed, degrees, rpm) in USUAL.items():
        for _ in range(n):
            strike = Launch(
                speed * rng.normal(1.0, 0.015), math.radians(degrees + rng.normal()),
                rpm * rng.normal(1.0, 0.05), rng.normal(0.0, 0.02), rng.normal(0.0, 0.05),
            )  # fmt: skip
            f = fly(strike, where.air, where.wind)
            made.append(
                Shot(
                    club=club, order=len(made) + 1, visit="range day", carry_m=f.carry_m * longer,
                    total_m=f.carry_m * longer + 6.0, offline_m=f.offline_m + 1.0,
                    offline_total_m=f.offline_m + 1.2, apex_m=f.apex_m, descent_rad=f.descent_rad,
                    time_s=f.time_s, ball_speed_mps=strike.ball_speed_mps, launch_rad=strike.launch_rad,
                    spin_rpm=strike.spin_rpm, direction_rad=strike.direction_rad,
                    spin_axis_rad=strike.spin_axis_rad,
                )
            )  # fmt: skip
    return made


def table(n: int = 12, longer: float = 1.0) -> ShotTable:
    """The shots as a table."""
    return ShotTable.of(shots(n, longer=longer))


HEAD = Wind(4.4704, 0.0)
TAIL = Wind(4.4704, math.pi)
STILL = CALM
