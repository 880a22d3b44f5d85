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
    """Carry and side of the strike, per share of ball speed, and side per usual start and tilt."""

    carry: float
    side: float
    carry_by_speed: float
    side_by_speed: float
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
    launch and height were measured. The carry's spread changes as carry does per share of ball speed; the
    side's as side does with start and tilt, and by what different ball speeds drift in the wind. Raises
    InputError for a share outside 0 to 1 and a strike that does not fly.
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
    off = together_side(side, Estimate(moved, moved - half, moved + half))
    carry_sd = dispersion.carry_sd_m.scaled(b.carry_by_speed / a.carry_by_speed)
    return SpreadThere(
        dispersion.club, dispersion.swing, together(dispersion.carry_m, by), off, carry_sd,
        _side_sd(dispersion, a, b),
    )  # fmt: skip


def together_side(side: Estimate, by: Estimate) -> Estimate:
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

    carry, side = at(launch)
    speed = launch.ball_speed_mps
    faster, slower = (
        at(replace(launch, ball_speed_mps=speed * (1.0 + d))) for d in (_SPEED_STEP, -_SPEED_STEP)
    )
    started = at(replace(launch, direction_rad=launch.direction_rad + _START_RAD))[1] - side
    tilted = at(replace(launch, spin_axis_rad=launch.spin_axis_rad + _TILT_RAD))[1] - side
    return _Slopes(
        carry,
        side,
        (faster[0] - slower[0]) / (2.0 * _SPEED_STEP),
        (faster[1] - slower[1]) / (2.0 * _SPEED_STEP),
        math.hypot(started, tilted),
    )


def _side_sd(dispersion: Dispersion, a: _Slopes, b: _Slopes) -> Estimate:
    """Spread of side there: that of start and tilt by ratio, that of drift exchanged."""

    def there(side_sd: float, carry_sd: float) -> float:
        speed_sd = carry_sd / a.carry_by_speed
        own = max(side_sd**2 - (a.side_by_speed * speed_sd) ** 2, 0.0)
        return math.sqrt(own * (b.side_by_face / a.side_by_face) ** 2 + (b.side_by_speed * speed_sd) ** 2)

    side, carry = dispersion.offline_sd_m, dispersion.carry_sd_m.value
    return Estimate(there(side.value, carry), there(side.low, carry), there(side.high, carry))
