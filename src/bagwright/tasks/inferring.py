"""From what was seen of a shot back to how it was struck: one shot, or a table of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from bagwright.estimate import Estimate
from bagwright.tasks.flying import Place
from bagwright.units import RAD_PER_DEG, System

if TYPE_CHECKING:
    from bagwright.air import Air, Wind
    from bagwright.flight.infer import Ground
    from bagwright.flight.seen import Seen
    from bagwright.turf import Turf


@dataclass(frozen=True, slots=True)
class Struck:
    """Launch conditions that explain what was seen, and the flight that follows; 90 % ranges throughout.

    `fixed` and `open` name the launch values that the figures do and do not fix; `words` say it, and whether
    the figures contradict each other.
    """

    ball_speed_mps: Estimate
    launch_deg: Estimate
    spin_rpm: Estimate
    direction_deg: Estimate
    spin_axis_deg: Estimate
    carry_m: Estimate
    total_m: Estimate
    apex_m: Estimate
    time_s: Estimate
    descent_deg: Estimate
    offline_m: Estimate
    curve_m: Estimate
    fixed: tuple[str, ...]
    open: tuple[str, ...]
    contradicts: bool
    misfit_sd: float
    worst: str | None
    words: tuple[str, ...]
    law: str
    air: Air
    wind: Wind
    turf: Turf


def infer_one(seen: Seen, place: Place, system: System = "yards") -> Struck:
    """Find the launch that explains one shot. Raises InputError for nothing seen or impossible figures."""
    from bagwright.flight.infer import infer

    ground = ground_of(place)
    found = infer(seen, place.air, place.wind, place.law, ground=ground, units=system)
    degrees = 1.0 / RAD_PER_DEG
    total = found.total_m
    if total is None:
        raise RuntimeError("a total comes with every ground")
    return Struck(
        ball_speed_mps=found.ball_speed_mps,
        launch_deg=found.launch_rad.scaled(degrees),
        spin_rpm=found.spin_rpm,
        direction_deg=found.direction_rad.scaled(degrees),
        spin_axis_deg=found.spin_axis_rad.scaled(degrees),
        carry_m=found.carry_m,
        total_m=total,
        apex_m=found.apex_m,
        time_s=found.time_s,
        descent_deg=found.descent_rad.scaled(degrees),
        offline_m=found.offline_m,
        curve_m=found.curve_m,
        fixed=found.fixed,
        open=found.open,
        contradicts=found.contradicts,
        misfit_sd=found.misfit_sd,
        worst=found.worst,
        words=found.words,
        law=found.law,
        air=place.air,
        wind=place.wind,
        turf=place.turf,
    )


def ground_of(place: Place) -> Ground:
    """How far a ball runs on the place's turf, as `infer` asks for it."""
    from bagwright.turf import run

    def ground(landing_speed_mps: float, descent_rad: float, landing_spin_rpm: float) -> Estimate:
        return run(landing_speed_mps, descent_rad, landing_spin_rpm, place.turf).run_m

    return ground
