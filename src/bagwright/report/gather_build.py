"""What a degree of loft and half an inch of length are worth, from the player's own strikes with a club."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from bagwright.bag.club import Bag
from bagwright.errors import InputError
from bagwright.estimate import Estimate
from bagwright.report.model import BuildClub
from bagwright.trial.flown import Flown
from bagwright.units import M_PER_IN

HALF_INCH_M = 0.5 * M_PER_IN
ROUGHLY = 1e-6


def with_worth(build: tuple[BuildClub, ...], flights: Mapping[str, Flown], bag: Bag) -> tuple[BuildClub, ...]:
    """Add what loft and length are worth to each club whose own strikes were measured."""
    return tuple(_worth(one, flights.get(one.club), bag) for one in build)


def _worth(one: BuildClub, flight: Flown | None, bag: Bag) -> BuildClub:
    from bagwright.impact import HEADS, carry_per_degree, head_of

    if flight is None or "ball speed" in flight.inferred or one.kind not in HEADS:
        return one
    try:
        per_degree = carry_per_degree(flight.launch, head_of(one.kind), air=flight.air)
        per_half_inch = _half_inch(one, flight, bag)
    except InputError:
        # A strike that no club of this kind delivers: the sheet then says nothing of loft and length.
        return one
    return replace(
        one, strike_mps=flight.ball_speed_mps, per_degree_m=per_degree, per_half_inch_m=per_half_inch
    )


def _half_inch(one: BuildClub, flight: Flown, bag: Bag) -> Estimate | None:
    """Metres of carry that half an inch more length gains by club speed alone; None without a length."""
    from bagwright.flight.fly import fly
    from bagwright.impact import delivery_of, head_of, speed_by_length, strike

    club = bag.find(one.club)
    if club is None or club.build.length_m is None:
        return None
    head = head_of(one.kind)
    now = delivery_of(flight.launch, head)
    faster = speed_by_length(now.club_speed_mps, club.build.length_m, HALF_INCH_M)

    def carry(by: float) -> float:
        launch = strike(replace(now, club_speed_mps=now.club_speed_mps + by), head).launch
        return fly(launch, flight.air, tolerance=ROUGHLY).carry_m

    before = carry(0.0)
    return Estimate(*(carry(by) - before for by in (faster.value, faster.low, faster.high)))
