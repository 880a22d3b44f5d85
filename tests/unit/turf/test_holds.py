"""The chance that a ball holds a green."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagwright.errors import InputError
from bagwright.estimate import Estimate
from bagwright.turf import GREEN, Turf, holds

IRON = (24.0, 5500.0)


def chance(descent_deg: float, depth_m: float = 10.0) -> float:
    return holds(IRON[0], math.radians(descent_deg), IRON[1], depth_m).probability


def test_steeper_than_45_degrees_holds_and_less_than_38_runs() -> None:
    """Common practice, no source: over about 45 degrees stops on a normal green, under about 38 runs."""
    assert chance(47.0) > 0.75
    assert chance(45.0) > 0.6
    assert chance(38.0) < 0.4
    assert chance(35.0) < 0.2


@given(st.floats(15.0, 30.0), st.floats(0.0, 10_000.0), st.floats(0.36, 1.5), st.floats(0.01, 0.3))
@settings(max_examples=60, deadline=None)
def test_never_falls_with_descent(speed: float, spin: float, descent: float, more: float) -> None:
    steeper = min(descent + more, math.pi / 2.0)
    flat, steep = (holds(speed, angle, spin).probability for angle in (descent, steeper))
    # Restitution has a small step at 20 m/s in its source, so a single draw may run a little farther.
    assert steep >= flat - 0.005


def test_rises_with_depth_and_softness() -> None:
    by_depth = [chance(42.0, depth) for depth in (2.0, 5.0, 10.0, 20.0, 40.0)]
    assert by_depth == sorted(by_depth)
    assert by_depth[0] < 0.05
    assert by_depth[-1] > 0.95
    got = holds(IRON[0], math.radians(42.0), IRON[1])
    assert got.if_firm < got.probability < got.if_soft


def test_follows_from_the_band_of_the_run() -> None:
    """The chance of stopping within the band's upper end is about 95 %, within the lower about 5 %."""
    the_run = holds(IRON[0], math.radians(42.0), IRON[1]).run.run_m
    assert chance(42.0, the_run.high) == pytest.approx(0.95, abs=0.02)
    assert chance(42.0, the_run.low) == pytest.approx(0.05, abs=0.02)


def test_doubt_of_the_landing_pulls_towards_even() -> None:
    def at(share: float) -> float:
        descent = Estimate(0.8, 0.8 * (1 - share), 0.8 * (1 + share))
        return holds(24.0, descent, 5500.0).probability

    assert 0.5 < at(0.3) < at(0.001) < 1.0


def test_a_ball_that_comes_back_holds() -> None:
    got = holds(20.0, math.radians(55.0), 11_000.0, 1.0)
    assert got.run.run_m.value < -1.0
    assert got.probability > 0.95


@pytest.mark.parametrize("depth", [-1.0, math.nan, math.inf, 101.0, "10", None, True])
def test_hostile_depth(depth: object) -> None:
    with pytest.raises(InputError, match="is not a number from 0 to 100 m"):
        holds(24.0, 0.8, 5500.0, depth)  # type: ignore[arg-type]


def test_only_greens_are_held() -> None:
    with pytest.raises(InputError, match="fairway is not a green"):
        holds(24.0, 0.8, 5500.0, turf=Turf())
    assert holds(24.0, 0.8, 5500.0, turf=GREEN).depth_m == 10.0
