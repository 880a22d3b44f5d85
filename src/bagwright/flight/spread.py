"""How far the published laws disagree about one launch: the doubt of a flight that no shot has confirmed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from bagwright.air import CALM, STANDARD, Air, Wind
from bagwright.estimate import Estimate
from bagwright.flight.aero import DEFAULT, LAWS, SPREAD
from bagwright.flight.fly import ONE, RULE_BALL, fly
from bagwright.flight.launch import Ball, Flight, Launch, Scale

OWN_DOUBT = 0.02
"""Least doubt of a carry, as a share: what D1 is off for the drivers that it was fitted to."""
_OWN_DESCENT_RAD = 0.035
"""The same for the descent angle: 2 degrees, what D1 is short of the one landing that was published."""


@dataclass(frozen=True, slots=True)
class Spread:
    """What the laws say of one launch: D1's value, with the lowest and the highest of all as the range.

    `carry`, `apex` in m, `descent` in radians; `by_law` the flights themselves; `words` says how to take it.
    """

    carry: Estimate
    apex: Estimate
    descent: Estimate
    by_law: Mapping[str, Flight]
    words: str


def spread(
    launch: Launch, air: Air = STANDARD, wind: Wind = CALM, scale: Scale = ONE, ball: Ball = RULE_BALL
) -> Spread:
    """How far the published laws disagree about a launch.

    The laws are D1 and those of `aero.SPREAD`; each is a ball of its own time and tunnel, so the range holds
    the differences between balls as well as between measurements. It is the span of what was published, not a
    probability, and never narrower than D1's own known error. Raises InputError as `fly`.
    """
    flights = {law: fly(launch, air, wind, law, scale, ball) for law in (DEFAULT, *SPREAD)}
    own = flights[DEFAULT]
    carry = _span([f.carry_m for f in flights.values()], own.carry_m, OWN_DOUBT * own.carry_m)
    return Spread(
        carry,
        _span([f.apex_m for f in flights.values()], own.apex_m, OWN_DOUBT * own.apex_m),
        _span([f.descent_rad for f in flights.values()], own.descent_rad, _OWN_DESCENT_RAD),
        flights,
        _words(carry, own),
    )


def _span(values: list[float], value: float, doubt: float) -> Estimate:
    return Estimate(value, min(*values, value - doubt), max(*values, value + doubt))


def _words(carry: Estimate, own: Flight) -> str:
    low, high = 100 * (carry.low / carry.value - 1), 100 * (carry.high / carry.value - 1)
    told = f"{len(SPREAD) + 1} published laws give this carry within {low:+.0f} and {high:+.0f} %"
    if own.extrapolated:
        told += "; part of the flight lies outside what they were measured for"
    return (
        f"{told}. Measured shots of the player's own set the level; the law then carries it to other air, "
        f"wind and launches. ({LAWS[own.law].title})"
    )
