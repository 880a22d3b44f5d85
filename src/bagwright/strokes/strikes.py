"""How every shot flies: launch, descent, landing, from what was measured and else inferred by loft and carry.

One inference for each club and swing finds the launch that explains what was measured and the fitted carry
together (`bagwright.flight.infer_many`); what nobody measured comes out of it by kind and loft. A factor on
drag then lets the flight end at that carry, so that no flight law sets a player's distances. The same strike,
slower, gives the shorter shots: from a worse lie, and of a pitch.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from bagwright.air import STANDARD, Air, Wind
from bagwright.flight.fly import fly_many
from bagwright.flight.launch import Flights, Launches, Scale
from bagwright.strokes.kernel import Kernel

Floats = NDArray[np.float64]

STEPS = 12
NEAR_M = 0.02
_DRAG = (float(np.log(0.5)), float(np.log(2.0)))
_SLOWEST_MPS, _FASTEST_MPS = 1.6, 105.0
SHORTEST_M = 0.3


@dataclass(frozen=True, slots=True, eq=False)
class Strikes:
    """Launches of shots, arrays of one shape; `drag` is the factor that lets each end at its own carry."""

    ball_speed_mps: Floats
    launch_rad: Floats
    spin_rpm: Floats
    drag: Floats

    def fly(self, air: Air = STANDARD, wind: Wind | None = None) -> Flights:
        """Fly them all, flattened."""
        calm = wind if wind is not None else Wind(0.0, 0.0)
        launches = Launches.of(
            self.ball_speed_mps.ravel(), self.launch_rad.ravel(), self.spin_rpm.ravel(), 0.0, 0.0
        )
        return fly_many(launches, air, calm, scale=Scale(self.drag.ravel(), 1.0), fast=True)


def base_strikes(kernels: Sequence[Kernel], air: Air) -> Strikes:
    """Strikes (n,) of full shots, each ending at its own carry in this air."""
    rows = tuple(
        (
            kernel.kind, kernel.loft_deg, max(round(kernel.x_m, 3), SHORTEST_M), kernel.strike.ball_speed_mps,
            kernel.strike.launch_rad, kernel.strike.spin_rpm, kernel.strike.apex_m, kernel.strike.descent_rad,
        )
        for kernel in kernels
    )  # fmt: skip
    speed, launch, spin = _inferred(rows, air)
    carry = np.array([row[2] for row in rows])
    start = Strikes(speed, launch, spin, np.ones(len(rows)))
    levelled = _with(start, carry, air, lambda z: replace(start, drag=np.exp(np.clip(z, *_DRAG))), 0.0, -0.05)
    left = np.abs(levelled.fly(air).carry_m - carry) > NEAR_M
    return by_speed(levelled, carry, air) if left.any() else levelled


_Row = tuple[
    str, float, float, float | None, float | None, float | None, float | None, float | None
]  # kind, loft, carry, ball speed, launch, spin, apex, descent


@lru_cache(maxsize=32)
def _inferred(rows: tuple[_Row, ...], air: Air) -> tuple[Floats, Floats, Floats]:
    from bagwright.flight.infer_many import infer_many

    names = ("carry_m", "ball_speed_mps", "launch_rad", "spin_rpm", "apex_m", "descent_rad")
    columns = {
        name: np.array([np.nan if row[k] is None else row[k] for row in rows], dtype=np.float64)
        for k, name in enumerate(names, start=2)
    }
    columns["loft_rad"] = np.radians([min(max(row[1], 4.0), 70.0) for row in rows])
    found = infer_many(columns, [row[0] for row in rows], air).value
    return found["ball_speed_mps"], found["launch_rad"], found["spin_rpm"]


def by_speed(start: Strikes, carry_m: Floats, air: Air) -> Strikes:
    """The same strikes at the ball speeds that carry so far; spin in proportion to speed."""

    def at(z: Floats) -> Strikes:
        speed = np.clip(start.ball_speed_mps * np.exp(z), _SLOWEST_MPS, _FASTEST_MPS)
        factor = speed / start.ball_speed_mps
        return replace(start, ball_speed_mps=speed, spin_rpm=np.clip(start.spin_rpm * factor, 30.0, 15_000.0))

    now = start.fly(air).carry_m.reshape(carry_m.shape)
    # In thin air a carry grows as speed squared, a full drive's about as its power 1.3.
    first = np.log(carry_m / now) / np.where(carry_m < 60.0, 1.8, 1.4)
    return _with(start, carry_m, air, at, first, 0.0)


def _with(
    start: Strikes,
    carry_m: Floats,
    air: Air,
    at: Callable[[Floats], Strikes],
    first: Floats | float,
    other: float,
) -> Strikes:
    """Secant on one number a shot until every flight ends at its carry; halved where a step runs away."""
    shape = carry_m.shape
    a = np.broadcast_to(np.asarray(other, dtype=np.float64), shape).copy()
    b = np.broadcast_to(np.asarray(first, dtype=np.float64), shape).copy()
    b = np.where(np.abs(b - a) < 1e-6, a + 0.02, b)
    off_a = at(a).fly(air).carry_m.reshape(shape) - carry_m
    for _ in range(STEPS):
        tried = at(b)
        off_b = tried.fly(air).carry_m.reshape(shape) - carry_m
        if np.abs(off_b).max() < NEAR_M:
            return tried
        slope = (off_b - off_a) / np.where(np.abs(b - a) > 1e-12, b - a, 1e-12)
        safe = np.abs(slope) > 1e-9
        step = np.clip(np.where(safe, -off_b / np.where(safe, slope, 1.0), 0.0), -0.5, 0.5)
        a, off_a, b = b, off_b, b + np.where(np.abs(off_b) < NEAR_M / 4, 0.0, step)
    return at(b)
