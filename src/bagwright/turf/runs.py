"""One ball's run after it lands, with its band."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from bagwright.estimate import Estimate
from bagwright.turf._kernel import Ground, bounce_and_roll
from bagwright.turf.doubts import BEYOND, Landing, band, centre, draws
from bagwright.turf.ground import FAIRWAY, Turf
from bagwright.turf.limits import beyond, check
from bagwright.units import RAD_S_PER_RPM

if TYPE_CHECKING:
    from bagwright.flight.launch import Flight

SAND_M = 2.0
"""Most that a ball moves on in sand (upper end of its band): judgement."""


@dataclass(frozen=True, slots=True)
class Run:
    """What a ball does after it lands, along its landing direction.

    `run_m` from landing to rest, with a 90 % range; negative where backspin brings the ball back. `bounce_m`
    and `roll_m` are the two parts of its value, `bounces` the impacts with the ground, the first included.
    `extrapolated` says why the landing lies outside the model's data (the range is then wider).
    """

    run_m: Estimate
    bounce_m: float
    roll_m: float
    bounces: int
    turf: Turf
    extrapolated: tuple[str, ...] = ()

    def total_m(self, carry_m: float) -> Estimate:
        """Carry plus run, with the run's range only: add the carry's own doubt where it is known."""
        return self.run_m.shifted(carry_m)


def run(
    landing_speed_mps: float | Estimate,
    descent_rad: float | Estimate,
    landing_spin_rpm: float | Estimate,
    turf: Turf = FAIRWAY,
) -> Run:
    """Bounce and roll of one ball.

    Landing speed in m/s (0-100), descent in radians below the horizontal (0 to a right angle), landing spin
    in rpm, backspin positive. Each is a number or an Estimate; a plain number is taken to come from the
    flight model and gets its doubt (see `doubts`). The range of the run covers that, the firmness and the
    model.

    NaN in any number gives NaN throughout and 0 bounces. Raises InputError for numbers outside the limits.
    """
    return run_with_sample(landing_speed_mps, descent_rad, landing_spin_rpm, turf)[0]


def run_with_sample(
    landing_speed_mps: float | Estimate,
    descent_rad: float | Estimate,
    landing_spin_rpm: float | Estimate,
    turf: Turf,
) -> tuple[Run, list[float]]:
    """The same with the runs in metres that its range is taken from, none for NaN and sand."""
    for name, number in zip(
        ("landing speed", "descent", "landing spin"),
        (landing_speed_mps, descent_rad, landing_spin_rpm),
        strict=True,
    ):
        check(name, number)
    landing = Landing(centre(landing_speed_mps), centre(descent_rad), centre(landing_spin_rpm))
    if any(math.isnan(number) for number in landing):
        return Run(Estimate(math.nan, math.nan, math.nan), math.nan, math.nan, 0, turf), []
    if turf.lie == "sand":
        return Run(Estimate(0.0, 0.0, SAND_M), 0.0, 0.0, 1, turf), []
    why = beyond(landing.speed_mps, landing.descent_rad)
    bounce_m, roll_m, bounces = _bounce(landing, turf.ground)
    landings = draws(landing_speed_mps, descent_rad, landing_spin_rpm, turf, BEYOND if why else 1.0)
    sample = [run_m_of(*drawn) for drawn in landings]
    return Run(band(bounce_m + roll_m, sample), bounce_m, roll_m, bounces, turf, why), sample


def run_after(flight: Flight, turf: Turf = FAIRWAY) -> Run:
    """Run of a ball that has flown, with the backspin part of its spin (the side part is left out)."""
    backspin_rpm = flight.landing_spin_rpm * math.cos(flight.launch.spin_axis_rad)
    return run(flight.landing_speed_mps, flight.descent_rad, backspin_rpm, turf)


def at_rest(
    downrange_m: float, offline_m: float, landing_direction_rad: float, run_m: float
) -> tuple[float, float]:
    """Downrange and offline (m, right positive) where a ball stops that runs on in its landing direction.

    `landing_direction_rad` is 0 along the target line and positive to the right. NaN in gives NaN out.
    """
    return (
        downrange_m + run_m * math.cos(landing_direction_rad),
        offline_m + run_m * math.sin(landing_direction_rad),
    )


def run_m_of(landing: Landing, ground: Ground) -> float:
    """Metres from landing to rest of one landing on one ground, unchecked."""
    bounce_m, roll_m, _ = _bounce(landing, ground)
    return bounce_m + roll_m


def _bounce(landing: Landing, ground: Ground) -> tuple[float, float, int]:
    speed_mps, descent_rad, spin_rpm = landing
    return bounce_and_roll(speed_mps, descent_rad, spin_rpm * RAD_S_PER_RPM, *ground)
