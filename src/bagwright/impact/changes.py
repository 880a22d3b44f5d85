"""What a change of loft, length or speed would do, and what a degree of loft is worth in carry.

Every answer is a difference of two estimates with the same model, so it is surer than either, but it stays an
estimate: the range takes the errors of impact and the disagreement of the flight laws together.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from bagwright.air import STANDARD, Air
from bagwright.errors import InputError
from bagwright.estimate import Estimate
from bagwright.flight.fly import fly
from bagwright.flight.launch import Launch
from bagwright.impact.heads import Cover, Head, check_number
from bagwright.impact.strikes import BACKSPIN_SD, LAUNCH_SD, Z_90, Delivery, Strike, delivery_of, strike
from bagwright.units import M_PER_YD

OTHER_LAWS = ("pooled", "bearman-harvey-1976", "indoor-range-2001")
"""Laws whose disagreement with the default enters the range of a carry."""
TOLERANCE = 1e-6
"""Error allowed a step of these flights: under a millimetre of carry."""
ARMS_M = 0.7
"""Arms added to the club's length for the radius of the swing: judgement."""
LENGTH_SHARE = 0.5
"""Share of the speed that a longer club gives at the same turning speed: none to all of it, so half."""
LOFT_SHARE_SD = 0.15
"""Doubt (sd) that a degree of loft bent or set is a degree delivered: judgement."""

Variant = tuple[float, float, str]
"""Factor on launch, factor on spin, flight law."""
DEFAULT: Variant = (1.0, 1.0, "D1")


@dataclass(frozen=True, slots=True)
class WhatIf:
    """Before and after a change, and the change in each number with a 90 % range: an estimate."""

    before: Strike
    after: Strike
    club_speed_mps: Estimate
    ball_speed_mps: Estimate
    launch_rad: Estimate
    spin_rpm: Estimate
    carry_m: Estimate
    descent_rad: Estimate


def speed_by_length(club_speed_mps: float, club_length_m: float, longer_m: float) -> Estimate:
    """Change of club speed in m/s with a club `longer_m` longer (negative shorter).

    Half of what the same turning speed gives, from none to all of it. Judgement: no source read gives it.
    """
    check_number("club_length_m", club_length_m, 0.4, 1.3)
    check_number("longer_m", longer_m, -0.2, 0.2)
    full = club_speed_mps * longer_m / (club_length_m + ARMS_M)
    return Estimate(LENGTH_SHARE * full, min(full, 0.0), max(full, 0.0))


def what_if(
    now: Delivery | Launch,
    head: Head,
    loft_rad: float = 0.0,
    faster_mps: float = 0.0,
    longer_m: float = 0.0,
    club_length_m: float | None = None,
    air: Air = STANDARD,
    cover: Cover | None = None,
) -> WhatIf:
    """What the same swing would launch, and carry, after a change.

    `loft_rad` more loft, `faster_mps` more club speed, a club `longer_m` longer (its present length is then
    needed); negative for less. `now` is a delivery, or the launch that the player has (its delivery is then
    the model's). Attack angle and strike are taken to stay as they are, which a longer club does not promise.
    Raises InputError for a change that leads outside what clubs and swings have.
    """
    check_number("loft_rad", loft_rad, math.radians(-20.0), math.radians(20.0))
    check_number("faster_mps", faster_mps, -20.0, 20.0)
    before = delivery_of(now, head) if isinstance(now, Launch) else now
    speed = Estimate(faster_mps, faster_mps, faster_mps)
    if longer_m:
        grown = speed_by_length(before.club_speed_mps, _said(club_length_m), longer_m)
        speed = Estimate(grown.value + faster_mps, grown.low + faster_mps, grown.high + faster_mps)

    def after(faster: float, more: float) -> Delivery:
        return replace(before, club_speed_mps=before.club_speed_mps + faster, loft_rad=before.loft_rad + more)

    deliveries = [after(speed.value, loft_rad)]
    deliveries += [after(faster, loft_rad) for faster in (speed.low, speed.high)]
    off = Z_90 * LOFT_SHARE_SD * loft_rad
    deliveries += [after(speed.value, loft_rad - off), after(speed.value, loft_rad + off)]
    return _compared(before, deliveries, speed, head, air, cover)


def _said(club_length_m: float | None) -> float:
    if club_length_m is None:
        raise InputError("the club's present length is not given.", "Give club_length_m.")
    return club_length_m


def _compared(
    before: Delivery, afters: list[Delivery], speed: Estimate, head: Head, air: Air, cover: Cover | None
) -> WhatIf:
    """The change from `before` to the first of `afters`; the others are how it may turn out instead."""
    start = strike(before, head, cover)
    ends = [strike(each, head, cover) for each in afters]

    def change(of: Callable[[Strike], float], sd_share: float) -> Estimate:
        changes = [of(end) - of(start) for end in ends]
        return _combined(
            changes[0], [*changes[1:], *(changes[0] * (1 + s * Z_90 * sd_share) for s in (-1, 1))]
        )

    def flown(of: Callable[[Launch, Variant], float]) -> Estimate:
        central = of(ends[0].launch, DEFAULT) - of(start.launch, DEFAULT)
        others = [of(end.launch, DEFAULT) - of(start.launch, DEFAULT) for end in ends[1:]]
        others += [of(ends[0].launch, v) - of(start.launch, v) for v in variants()]
        return _combined(central, others)

    return WhatIf(
        start,
        ends[0],
        speed,
        change(lambda s: s.ball_speed_mps.value, 0.05),
        change(lambda s: s.launch_rad.value, LAUNCH_SD),
        change(lambda s: s.spin_rpm.value, BACKSPIN_SD),
        flown(lambda launch, v: _flown(launch, v, air)[0]),
        flown(lambda launch, v: _flown(launch, v, air)[1]),
    )


def carry_per_degree(
    now: Delivery | Launch,
    head: Head,
    span_rad: float = math.radians(4.0),
    faster_per_degree_mps: float = 0.0,
    air: Air = STANDARD,
    cover: Cover | None = None,
) -> Estimate:
    """Metres of carry that a degree less of delivered loft gains around a delivery or a player's own launch.

    Taken between `span_rad` / 2 less and more loft (1-10 degrees). `faster_per_degree_mps` is the club speed
    that a degree less brings along with the longer club it usually belongs to; 0 for the same club bent. Low
    or negative values mean that less loft no longer carries farther. Raises InputError as `what_if` does.
    """
    check_number("span_rad", span_rad, math.radians(1.0), math.radians(10.0))
    check_number("faster_per_degree_mps", faster_per_degree_mps, -2.0, 2.0)
    middle = delivery_of(now, head) if isinstance(now, Launch) else now
    span_deg = math.degrees(span_rad)

    def launched(sign: float) -> Launch:
        faster = middle.club_speed_mps - sign * faster_per_degree_mps * span_deg / 2.0
        loft = middle.loft_rad + sign * span_rad / 2.0
        return strike(replace(middle, club_speed_mps=faster, loft_rad=loft), head, cover).launch

    strong, weak = launched(-1.0), launched(1.0)

    def gain(variant: Variant) -> float:
        return (_flown(strong, variant, air)[0] - _flown(weak, variant, air)[0]) / span_deg

    return _combined(gain(DEFAULT), [gain(variant) for variant in variants()])


def yards_per_degree(
    now: Delivery | Launch,
    head: Head,
    span_rad: float = math.radians(4.0),
    faster_per_degree_mps: float = 0.0,
    air: Air = STANDARD,
    cover: Cover | None = None,
) -> Estimate:
    """`carry_per_degree` in yards."""
    return carry_per_degree(now, head, span_rad, faster_per_degree_mps, air, cover).scaled(1.0 / M_PER_YD)


def variants() -> list[Variant]:
    """Ways in which launch, spin and law may be off for both ends of a change alike, one at a time."""
    launch, spin = Z_90 * LAUNCH_SD, Z_90 * BACKSPIN_SD
    out = [
        (1.0 - launch, 1.0, "D1"),
        (1.0 + launch, 1.0, "D1"),
        (1.0, 1.0 - spin, "D1"),
        (1.0, 1.0 + spin, "D1"),
    ]
    return out + [(1.0, 1.0, law) for law in OTHER_LAWS]


def _flown(launch: Launch, variant: Variant, air: Air) -> tuple[float, float]:
    """Carry and descent of a launch in one variant."""
    on_launch, on_spin, law = variant
    flight = fly(
        Launch(launch.ball_speed_mps, launch.launch_rad * on_launch, launch.spin_rpm * on_spin),
        air,
        law=law,
        tolerance=TOLERANCE,
    )
    return flight.carry_m, flight.descent_rad


def _combined(value: float, others: list[float]) -> Estimate:
    """A value with independent ways to be off, combined by the root of their squares on each side.

    Several ways of one kind (the laws) count as several: wide rather than narrow.
    """
    low = math.sqrt(math.fsum(min(other - value, 0.0) ** 2 for other in others))
    high = math.sqrt(math.fsum(max(other - value, 0.0) ** 2 for other in others))
    return Estimate(value, value - low, value + high)
