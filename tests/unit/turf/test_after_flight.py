"""Runs after flights: what the trade expects of whole shots."""

import math

import pytest

from bagwright.flight.fly import fly
from bagwright.flight.launch import Flight, Launch
from bagwright.turf import FAIRWAY, Turf, holds, run, run_after

RAD = math.pi / 180.0


def shot(speed: float, launch_deg: float, spin: float, axis_deg: float = 0.0) -> Flight:
    return fly(Launch(speed, launch_deg * RAD, spin, 0.0, axis_deg * RAD))


def share_of_carry(flight: Flight) -> float:
    return run_after(flight, FAIRWAY).run_m.value / flight.carry_m


def test_fairway_wood_runs_4_to_10_percent_of_its_carry_less_as_it_falls_steeper() -> None:
    """Common practice, no source: a well-struck fairway wood on normal turf."""
    shots = [
        shot(*launch)
        for launch in ((66.0, 11.0, 3500.0), (62.0, 12.0, 4000.0), (58.0, 13.0, 4200.0), (55.0, 14.0, 4500.0))
    ]
    assert all(0.04 < share_of_carry(flight) < 0.10 for flight in shots)
    steeper = [shot(62.0, *launch) for launch in ((11.0, 3500.0), (12.0, 4000.0), (13.0, 4500.0))]
    assert [flight.descent_rad for flight in steeper] == sorted(flight.descent_rad for flight in steeper)
    shares = [share_of_carry(flight) for flight in steeper]
    assert shares == sorted(shares, reverse=True)


def test_the_longer_the_club_the_longer_the_run() -> None:
    bag = [
        (70.0, 11.0, 2700.0),
        (62.0, 12.0, 3800.0),
        (53.0, 17.0, 6000.0),
        (47.0, 22.0, 7800.0),
        (40.0, 28.0, 9000.0),
    ]
    runs = [run_after(shot(*launch), FAIRWAY).run_m.value for launch in bag]
    assert runs == sorted(runs, reverse=True)
    assert runs[0] > 15.0
    assert abs(runs[-1]) < 1.5


def test_short_irons_hold_a_normal_green_and_low_long_ones_do_not() -> None:
    """Common practice, no source: over about 45 degrees of descent holds, under about 38 runs."""
    wedge, low_iron = shot(40.0, 28.0, 9300.0), shot(58.0, 10.0, 3600.0)
    assert wedge.descent_rad > 45 * RAD
    assert low_iron.descent_rad < 38 * RAD
    chances = [
        holds(f.landing_speed_mps, f.descent_rad, f.landing_spin_rpm).probability for f in (wedge, low_iron)
    ]
    assert chances[0] > 0.95
    assert chances[1] < 0.1


def test_left_and_right_are_alike_and_tilt_takes_backspin() -> None:
    left, right, straight = (shot(53.0, 17.0, 6500.0, tilt) for tilt in (-20.0, 20.0, 0.0))
    assert run_after(left).run_m.value == pytest.approx(run_after(right).run_m.value, rel=1e-6)
    same_landing = run(right.landing_speed_mps, right.descent_rad, right.landing_spin_rpm)
    assert run_after(right).run_m.value > same_landing.run_m.value
    assert run_after(straight).run_m.value == run(
        straight.landing_speed_mps, straight.descent_rad, straight.landing_spin_rpm
    ).run_m.value  # fmt: skip


def test_total_of_a_drive_on_firm_ground() -> None:
    drive = shot(75.0, 10.8, 2600.0)
    firm, soft = (run_after(drive, Turf(name)).total_m(drive.carry_m) for name in ("firm", "soft"))
    assert firm.value - soft.value == pytest.approx(9.8 * 0.9144, rel=0.25)
