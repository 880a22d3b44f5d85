"""A dispersion restated: centre and spreads of one club there."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from bagwright.errors import InputError
from bagwright.estimate import Estimate
from bagwright.restate.doubt import ball_ratio, change, share_of, together
from bagwright.restate.setting import Setting

if TYPE_CHECKING:
    from bagwright.dispersion.results import Dispersion
    from bagwright.flight.launch import Launch, Scale

_SPEED_STEP = 0.01
_START_RAD, _TILT_RAD = math.radians(1.5), math.radians(4.0)
"""Usual spread of start and tilt of solid strikes: working judgements, only their proportion counts."""


@dataclass(frozen=True, slots=True)
class SpreadThere:
    """Where solid strikes with one club finish there: metres, each with its 90 % range."""

    club: str
    swing: str
    carry_m: Estimate
    offline_m: Estimate
    carry_sd_m: Estimate
    offline_sd_m: Estimate


@dataclass(frozen=True, slots=True)
class _Slopes:
    """Carry and side of the strike, and what each does per share of ball speed and per usual face.

    "Face" is the usual spread of start and tilt together.
    """

    carry: float
    side: float
    carry_by_speed: float
    side_by_speed: float
    carry_by_face: float
    side_by_face: float


def restate_dispersion(
    dispersion: Dispersion,
    launch: Launch,
    here: Setting,
    there: Setting,
    scale: Scale | None = None,
    *,
    law: str = "D1",
    seen: float = 1.0,
) -> SpreadThere:
    """Give a dispersion's centre and spreads there.

    `launch` is the usual strike, `scale` the level for the club, `seen` the share (0..1) of strikes whose
    launch and height were measured. The spreads are taken as those of different ball speeds and of different
    starts and tilts, and change as carry and side do with each. Raises InputError for a share outside 0 to 1
    and for a strike that does not fly.
    """
    if not 0.0 <= seen <= 1.0:
        raise InputError(f"restate: seen = {seen} is no share.", "Give 0 to 1.")
    a, b = (_slopes(launch, setting, law, scale) for setting in (here, there))
    if min(a.carry, b.carry, a.carry_by_speed, b.carry_by_speed) <= 0.0:
        raise InputError(f"restate: {launch} does not fly far enough to be restated.", "Check the launch.")
    k = b.carry / a.carry
    by_air = _carry(launch, replace(here, air=there.air), law, scale) / a.carry
    by_flight = k / ball_ratio(here, there).value
    by = change(dispersion.carry_m.value, by_flight, by_air, here, there, seen)
    moved = b.side - k * a.side
    half = share_of(seen) * abs(moved)
    side = dispersion.offline_m.scaled(k)
    off = _sum(side, Estimate(moved, moved - half, moved + half))
    by_carry, by_side = _sd_ratios(dispersion, a, b)
    return SpreadThere(
        dispersion.club, dispersion.swing, together(dispersion.carry_m, by), off,
        dispersion.carry_sd_m.scaled(by_carry), dispersion.offline_sd_m.scaled(by_side),
    )  # fmt: skip


def _sum(side: Estimate, by: Estimate) -> Estimate:
    """Sum of two independent estimates of either sign."""
    value = side.value + by.value
    return Estimate(
        value,
        value - math.hypot(side.value - side.low, by.value - by.low),
        value + math.hypot(side.high - side.value, by.high - by.value),
    )


def _carry(launch: Launch, setting: Setting, law: str, scale: Scale | None) -> float:
    from bagwright.flight.fly import fly
    from bagwright.flight.launch import Scale

    return fly(launch, setting.air, setting.wind, law, scale or Scale()).carry_m * setting.ball_factor


def _slopes(launch: Launch, setting: Setting, law: str, scale: Scale | None) -> _Slopes:
    from bagwright.flight.fly import fly
    from bagwright.flight.launch import Scale

    factor = setting.ball_factor

    def at(one: Launch) -> tuple[float, float]:
        flight = fly(one, setting.air, setting.wind, law, scale or Scale())
        return flight.carry_m * factor, flight.offline_m * factor

    def slope(name: str, step: float, centre: float) -> tuple[float, float]:
        up, down = (at(replace(launch, **{name: centre + d})) for d in (0.5 * step, -0.5 * step))
        return up[0] - down[0], up[1] - down[1]

    carry, side = at(launch)
    speed = slope("ball_speed_mps", _SPEED_STEP * launch.ball_speed_mps, launch.ball_speed_mps)
    start = slope("direction_rad", _START_RAD, launch.direction_rad)
    tilt = slope("spin_axis_rad", _TILT_RAD, launch.spin_axis_rad)
    return _Slopes(
        carry,
        side,
        speed[0] / _SPEED_STEP,
        speed[1] / _SPEED_STEP,
        math.hypot(start[0], tilt[0]),
        math.hypot(start[1], tilt[1]),
    )


def _sd_ratios(dispersion: Dispersion, a: _Slopes, b: _Slopes) -> tuple[float, float]:
    """Spreads of carry and side there over here.

    The two spreads here are taken as those of different speeds and different faces, whose variances follow
    from them; where no such variances give both, speed alone makes the carry's.
    """
    carry, side = dispersion.carry_sd_m.value**2, dispersion.offline_sd_m.value**2
    det = (a.carry_by_speed * a.side_by_face) ** 2 - (a.carry_by_face * a.side_by_speed) ** 2
    speed = face = -1.0
    if det > 0.0:
        speed = (carry * a.side_by_face**2 - side * a.carry_by_face**2) / det
        face = (side * a.carry_by_speed**2 - carry * a.side_by_speed**2) / det
    if speed < 0.0 or face < 0.0:
        speed = carry / a.carry_by_speed**2
        face = max(side - a.side_by_speed**2 * speed, 0.0) / a.side_by_face**2
    carry_there = b.carry_by_speed**2 * speed + b.carry_by_face**2 * face
    side_there = b.side_by_speed**2 * speed + b.side_by_face**2 * face
    return math.sqrt(carry_there / carry), math.sqrt(side_there / side)
