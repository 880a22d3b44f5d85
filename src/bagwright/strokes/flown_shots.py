"""Descent and run of every shot from every lie, through flight and turf."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagwright.air import Air
from bagwright.course.lies import Lie
from bagwright.strokes.ground import Grounds, run_with_sd
from bagwright.strokes.kernel import Kernel
from bagwright.strokes.lie_table import TREES
from bagwright.strokes.patterns import RUN_LIES
from bagwright.strokes.strikes import SHORTEST_M, Strikes, base_strikes, by_speed

Floats = NDArray[np.float64]

MOST_BACK_M = -4.0
"""Furthest that a run is taken to come back: the turf model's figures beyond are not trusted;
judgement."""
ROUNDS = 6
LEAST_CARRY = 0.1
"""Least share of a chip's length that it flies: judgement."""


@dataclass(frozen=True, slots=True, eq=False)
class FlownShots:
    """Arrays (6, n): carry in the course's air, tangent of the descent; run and its sd by class (6, n, 4).

    `strikes` (6, n) are the launches behind them.
    """

    carry_m: Floats
    tan_descent: Floats
    run_m: Floats
    run_sd_m: Floats
    strikes: Strikes


@dataclass(frozen=True, slots=True)
class Place:
    """Where the shots fly: air of the visit and of the course, and what balls run on."""

    air_here: Air
    air: Air
    grounds: Grounds


def flown_shots(kernels: Sequence[Kernel], x_m: Floats, spin: Floats, place: Place) -> FlownShots:
    """Fly every shot from every lie to its carry `x_m` (6, n); a pitch to its whole length on a green.

    `spin` (6, n) is the lie's factor on the spin.
    """
    start, steep = _starts(kernels, place.air_here)
    shape = x_m.shape
    six = Strikes(
        *(
            np.broadcast_to(getattr(start, name), shape).copy()
            for name in ("ball_speed_mps", "launch_rad", "spin_rpm", "drag")
        )
    )
    partial = np.array([kernel.partial for kernel in kernels], dtype=bool)
    six.spin_rpm[:] *= spin
    six.launch_rad[int(Lie.RECOVERY), ~partial] *= TREES.punch_launch
    carry = _carries(kernels, start, x_m, place, steep)
    here = by_speed(six, np.maximum(carry, SHORTEST_M), place.air_here)
    flights = here.fly(place.air)
    there = flights.carry_m.reshape(shape) * np.minimum(carry / SHORTEST_M, 1.0)
    descent = np.arctan(np.tan(flights.descent_rad.reshape(shape)) * steep)
    landing = (flights.landing_speed_mps.reshape(shape), descent, flights.landing_spin_rpm.reshape(shape))
    runs = [_run(name, place.grounds, landing) for name in RUN_LIES]
    return FlownShots(
        there,
        np.tan(descent),
        np.stack([run[0] for run in runs], -1),
        np.stack([run[1] for run in runs], -1),
        here,
    )


def _run(name: str, grounds: Grounds, landing: tuple[Floats, Floats, Floats]) -> tuple[Floats, Floats]:
    mean, sd = run_with_sd(name, grounds, landing)
    return np.maximum(mean, MOST_BACK_M), sd


def _starts(kernels: Sequence[Kernel], air: Air) -> tuple[Strikes, Floats]:
    """Strikes (n,) to start from, and measured over flown tangent of the descent (1 where unmeasured).

    A swing that was not measured takes the strike of the club's stock swing, a pitch that of the wedge's.
    """
    full = [kernel for kernel in kernels if not kernel.partial]
    source = {}
    for kernel in full:
        if kernel.shot.swing == "stock" or kernel.shot.club not in source:
            source[kernel.shot.club] = kernel
    bases = {kernel.shot: kernel for kernel in source.values()}
    bases |= {kernel.shot: kernel for kernel in full if kernel.strike.ball_speed_mps is not None}
    listed = list(bases.values())
    strikes = base_strikes(listed, air)
    flown = strikes.fly(air).descent_rad
    steep = np.array([
        np.tan(kernel.strike.descent_rad) / np.tan(flown[i]) if kernel.strike.descent_rad else 1.0
        for i, kernel in enumerate(listed)
    ])  # fmt: skip
    place = {kernel.shot: i for i, kernel in enumerate(listed)}
    at = np.array([place.get(kernel.shot, place[source[kernel.shot.club].shot]) for kernel in kernels])
    picked = Strikes(
        strikes.ball_speed_mps[at], strikes.launch_rad[at], strikes.spin_rpm[at], strikes.drag[at]
    )
    return picked, steep[at]


def _carries(kernels: Sequence[Kernel], start: Strikes, x_m: Floats, place: Place, steep: Floats) -> Floats:
    """Carries (6, n): of a full shot its `x_m`, of a pitch what the run on a green adds up to its length."""
    at = np.flatnonzero([kernel.partial for kernel in kernels])
    if not len(at):
        return x_m
    some = Strikes(start.ball_speed_mps[at], start.launch_rad[at], start.spin_rpm[at], start.drag[at])
    length = x_m[int(Lie.FAIRWAY), at]
    carry = 0.8 * length
    for _ in range(ROUNDS):
        flights = by_speed(some, np.maximum(carry, SHORTEST_M), place.air_here).fly(place.air_here)
        descent = np.arctan(np.tan(flights.descent_rad) * steep[at])
        run, _ = _run("green", place.grounds, (flights.landing_speed_mps, descent, flights.landing_spin_rpm))
        carry = np.clip(
            carry * length / np.maximum(carry + run, 0.3 * length), LEAST_CARRY * length, 1.1 * length
        )
    found = x_m.copy()
    found[:, at] = carry * (x_m[:, at] / length)
    return found
