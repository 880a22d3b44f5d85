"""How sure a change is: what published laws leave open, and what nobody knows of a ball."""

from __future__ import annotations

import math

from bagwright.estimate import Z90, Estimate
from bagwright.restate.setting import BALL_FACTORS, Setting

CHANGE_SD = 0.10
"""Doubt (sd) of a change of carry as a share of it, where launch, carry and height were measured.

Four published laws taken for the truth in turn, the default law levelled to their carry and height: with
this sd nine in ten of its changes in cold, altitude and wind hold the truth (a test repeats it)."""
CHANGE_SD_UNSEEN = 0.36
"""The same where the height was not measured or the launch was inferred."""


def share_of(seen: float) -> float:
    """Half of the 90 % range of a change as a share of it; `seen` as in `change`."""
    return Z90 * (CHANGE_SD * seen + CHANGE_SD_UNSEEN * (1.0 - seen))


def doubted(value: float, seen: float) -> Estimate:
    """A change with its range; `seen` as in `change`."""
    half = share_of(seen) * abs(value)
    return Estimate(value, value - half, value + half)


def change(
    carry_m: float, by_flight: float, by_air: float, here: Setting, there: Setting, seen: float
) -> Estimate:
    """Change of a carry in metres with its range.

    `by_flight` is flown carry there over here without the balls' factors, `by_air` the same with the wind
    of here; `seen` the share (0..1) of shots whose launch, carry and height were measured. Air and wind are
    doubted each for itself, so a gain and a loss that cancel are not a sure nothing.
    """
    ball = ball_ratio(here, there)
    value = carry_m * (by_flight * ball.value - 1.0)
    flight = share_of(seen) * carry_m * math.hypot(by_air - 1.0, by_flight - by_air)
    low = math.hypot(flight, carry_m * by_flight * (ball.value - ball.low))
    high = math.hypot(flight, carry_m * by_flight * (ball.high - ball.value))
    return Estimate(value, value - low, value + high)


def ball_ratio(here: Setting, there: Setting) -> Estimate:
    """Carry with the ball there over carry with the ball here; exactly 1 for one and the same ball."""
    if here.ball == there.ball:
        return Estimate(1.0, 1.0, 1.0)
    a, b = BALL_FACTORS[here.ball], BALL_FACTORS[there.ball]
    low = math.hypot(math.log(b.value / b.low), math.log(a.high / a.value))
    high = math.hypot(math.log(b.high / b.value), math.log(a.value / a.low))
    ratio = b.value / a.value
    return Estimate(ratio, ratio * math.exp(-low), ratio * math.exp(high))


def together(here: Estimate, by: Estimate) -> Estimate:
    """A carry plus its change, both doubts independent, the carry's own growing with its length."""
    value = here.value + by.value
    grown = value / here.value
    return Estimate(
        value,
        value - math.hypot(grown * (here.value - here.low), by.value - by.low),
        value + math.hypot(grown * (here.high - here.value), by.high - by.value),
    )
