"""Runs: what must hold for any landing, bad numbers, and the band."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagwright.errors import InputError
from bagwright.estimate import Estimate
from bagwright.turf import FAIRWAY, GREEN, Turf, at_rest, holds, run
from bagwright.turf._kernel import BOUNCES_MAX, bounce_and_roll, rebound
from bagwright.turf.doubts import DRAWS, WAYS, band, draws, normals
from bagwright.turf.ground import stimp_mps2
from bagwright.turf.runs import run_m_of

SPEEDS = st.floats(0.0, 100.0)
DESCENTS = st.floats(0.0, math.pi / 2.0)
SPINS = st.floats(-20_000.0, 20_000.0)
DRIVE = (28.53, math.radians(37.3), 2094.0)
MID_IRON = (23.4, math.radians(47.0), 5850.0)


@given(SPEEDS, DESCENTS, SPINS, st.floats(0.3, 3.0), st.floats(0.2, 5.0), st.floats(0.05, 3.0))
@settings(max_examples=400, deadline=None)
def test_every_landing_comes_to_rest_and_gains_no_energy(
    speed: float, descent: float, spin_rpm: float, tilt: float, rest: float, friction: float
) -> None:
    spin = spin_rpm * math.pi / 30.0
    bounce_m, roll_m, bounces = bounce_and_roll(speed, descent, spin, tilt, rest, friction, 0.9)
    assert math.isfinite(bounce_m)
    assert math.isfinite(roll_m)
    assert 1 <= bounces < BOUNCES_MAX / 2
    u, down = speed * math.cos(descent), speed * math.sin(descent)
    forward, up, spin_after = rebound(u, down, spin, tilt, rest, friction)
    spin_share = 0.4 * 0.021335**2  # inertia of a uniform ball, two fifths of m r squared
    before = u * u + down * down + spin_share * spin * spin
    after = forward * forward + up * up + spin_share * spin_after * spin_after
    assert after <= before * (1.0 + 1e-9) + 1e-12


@given(SPEEDS, DESCENTS, SPINS)
@settings(max_examples=100, deadline=None)
def test_mirrored_ball_runs_the_other_way(speed: float, descent: float, spin_rpm: float) -> None:
    u, down, spin = speed * math.cos(descent), speed * math.sin(descent), spin_rpm * math.pi / 30.0
    forward, up, after = rebound(u, down, spin, 1.0, 1.0, 0.4)
    assert rebound(-u, down, -spin, 1.0, 1.0, 0.4) == (-forward, up, -after)


@pytest.mark.parametrize("landing", [DRIVE, MID_IRON])
@pytest.mark.parametrize("lie", ["fairway", "green"])
def test_firm_runs_farther_than_normal_than_soft_than_sand(
    landing: tuple[float, float, float], lie: str
) -> None:
    runs = [run(*landing, Turf(firmness, lie)).run_m for firmness in ("firm", "normal", "soft")]  # type: ignore[arg-type]
    runs.append(run(*landing, Turf(lie="sand")).run_m)
    values = [estimate.value for estimate in runs]
    assert values == sorted(values, reverse=True)
    assert len(set(values)) == 4


def test_rough_stops_a_drive_sooner_and_is_less_sure() -> None:
    fairway, rough = run(*DRIVE).run_m, run(*DRIVE, Turf(lie="rough")).run_m
    assert rough.value < 0.5 * fairway.value
    assert (rough.high - rough.low) / rough.value > (fairway.high - fairway.low) / fairway.value


def test_run_falls_with_descent_and_spin() -> None:
    by_descent = [run(26.0, math.radians(d), 4000.0).run_m.value for d in range(25, 60, 5)]
    by_spin = [run(23.0, math.radians(45.0), rpm).run_m.value for rpm in range(2000, 9000, 1000)]
    assert by_descent == sorted(by_descent, reverse=True)
    assert by_spin == sorted(by_spin, reverse=True)


def test_fast_green_rolls_farther() -> None:
    slow, fast = (run(*MID_IRON, Turf(lie="green", stimp_ft=ft)) for ft in (7.0, 13.0))
    assert fast.roll_m == pytest.approx(slow.roll_m * 13.0 / 7.0, rel=1e-9)
    assert fast.bounce_m == slow.bounce_m
    assert stimp_mps2(10.0) == pytest.approx(stimp_mps2(5.0) / 2.0)


@given(
    st.floats(5.0, 40.0),
    st.floats(0.1, 1.5),
    st.floats(0.0, 12_000.0),
    st.sampled_from(["firm", "normal", "soft"]),
)
@settings(max_examples=60, deadline=None)
def test_band_holds_its_value(speed: float, descent: float, spin: float, firmness: str) -> None:
    got = run(speed, descent, spin, Turf(firmness)).run_m  # type: ignore[arg-type]
    assert got.low <= got.value <= got.high
    assert got.low < got.high


def test_band_of_a_drive_is_as_wide_as_the_tilt_makes_it() -> None:
    """About 8 yd of run for 10 % of tilt; the doubt is 5 % (one sd) of tilt and what the landing adds."""
    band = run(*DRIVE).run_m
    half = (band.high - band.low) / 2.0 / 0.9144
    assert 0.5 * 8.0 * 1.645 < half < 12.0


@pytest.mark.parametrize("turf", [FAIRWAY, GREEN, Turf(lie="rough")], ids=lambda turf: turf.lie)
@pytest.mark.parametrize("landing", [DRIVE, MID_IRON])
def test_draws_are_enough_for_the_band(landing: tuple[float, float, float], turf: Turf) -> None:
    """The ends lie within a tenth of the width of those of 20,000 independent random draws."""
    rows = np.random.default_rng(3).standard_normal((20_000, WAYS)).tolist()
    got = run(*landing, turf).run_m
    finer = band(got.value, [run_m_of(*drawn) for drawn in draws(*landing, turf, z_of=rows)])
    width = finer.high - finer.low
    assert abs(got.low - finer.low) < 0.1 * width
    assert abs(got.high - finer.high) < 0.1 * width


def test_draws_are_standard_normal_and_do_not_go_together() -> None:
    z = np.array(normals())
    assert z.shape == (DRAWS, WAYS)
    assert np.abs(z.mean(axis=0)).max() < 1e-12
    assert z.std(axis=0) == pytest.approx(np.ones(WAYS), abs=0.015)
    assert np.abs(np.corrcoef(z.T) - np.eye(WAYS)).max() < 0.05


def test_surer_landing_numbers_narrow_the_band() -> None:
    speed, descent, spin = DRIVE

    def width(share: float) -> float:
        a, b, c = (Estimate(x, x * (1 - share), x * (1 + share)) for x in (speed, descent, spin))
        got = run(a, b, c).run_m
        assert got.value == run(*DRIVE).run_m.value
        return got.high - got.low

    assert width(1e-6) < width(0.05) < width(0.15)


def test_outside_the_data_is_said_and_widens() -> None:
    inside, outside = run(34.9, 0.5, 2500.0), run(35.1, 0.5, 2500.0)
    assert inside.extrapolated == ()
    assert outside.extrapolated == ("landing speed over 35 m/s",)
    assert run(20.0, math.radians(19.0), 2500.0).extrapolated == ("descent under 20 degrees",)
    assert outside.run_m.high - outside.run_m.low > 1.3 * (inside.run_m.high - inside.run_m.low)


def test_same_answer_every_time() -> None:
    assert run(*DRIVE) == run(*DRIVE)


def test_total_adds_the_carry() -> None:
    got = run(*DRIVE)
    total = got.total_m(230.0)
    assert (total.value, total.low, total.high) == tuple(
        230.0 + x for x in (got.run_m.value, got.run_m.low, got.run_m.high)
    )


def test_at_rest_is_mirror_symmetric_and_straight_on() -> None:
    x, y = at_rest(200.0, 10.0, 0.1, 20.0)
    assert (x, -y) == at_rest(200.0, -10.0, -0.1, 20.0)
    assert math.hypot(x - 200.0, y - 10.0) == pytest.approx(20.0)
    assert y > 10.0
    assert at_rest(200.0, 10.0, 0.1, -2.0)[1] < 10.0


@pytest.mark.parametrize("place", [0, 1, 2])
def test_nan_in_nan_out(place: int) -> None:
    numbers = list(DRIVE)
    numbers[place] = math.nan
    for turf in (FAIRWAY, GREEN, Turf(lie="sand")):
        got = run(numbers[0], numbers[1], numbers[2], turf)
        assert all(math.isnan(x) for x in (got.run_m.value, got.run_m.low, got.run_m.high, got.bounce_m))
        assert got.bounces == 0
    assert math.isnan(holds(numbers[0], numbers[1], numbers[2]).probability)


@pytest.mark.parametrize(
    ("numbers", "told"),
    [
        ((-1.0, 0.6, 2000.0), "landing speed -1 m/s is outside 0 to 100 m/s"),
        ((math.inf, 0.6, 2000.0), "landing speed inf m/s"),
        ((28.0, 37.3, 2000.0), "descent 37.3 rad is outside 0 to 1.5708 rad"),
        ((28.0, -0.1, 2000.0), "descent -0.1 rad"),
        ((28.0, 0.6, 3e4), "landing spin 30000 rpm"),
        (("28", 0.6, 2000.0), "landing speed '28' is not a number"),
        ((True, 0.6, 2000.0), "landing speed True is not a number"),
        ((None, 0.6, 2000.0), "landing speed None is not a number"),
        (
            (Estimate(28.0, 30.0, 31.0), 0.6, 2000.0),
            "range 30 to 31 of landing speed does not hold its value 28",
        ),
        ((Estimate(28.0, 20.0, math.inf), 0.6, 2000.0), "range 20 to inf of landing speed"),
        ((Estimate(28.0, math.nan, 31.0), 0.6, 2000.0), "range nan to 31 of landing speed"),
    ],
)
def test_hostile_numbers(numbers: tuple[float, float, float], told: str) -> None:
    with pytest.raises(InputError, match=r"Check the unit|Give low") as caught:
        run(*numbers)
    assert told in str(caught.value)


@pytest.mark.parametrize(
    ("firmness", "lie", "stimp", "told"),
    [
        ("hard", "fairway", None, "firmness 'hard' is not known. Use one of: firm, normal, soft."),
        ("firm", "mud", None, "lie 'mud' is not known"),
        (["firm"], "fairway", None, "firmness ['firm'] is not known"),
        ("x" * 500, "fairway", None, "firmness"),
        ("firm", "fairway", 10.0, "a green speed of 10 ft is given for fairway"),
        ("firm", "green", 0.0, "green speed 0 ft is outside 3 to 20 ft"),
        ("firm", "green", 21.0, "green speed 21 ft is outside"),
        ("firm", "green", math.nan, "green speed nan is not a number"),
        ("firm", "green", "ten", "green speed 'ten' is not a number"),
    ],
)
def test_hostile_turf(firmness: object, lie: object, stimp: object, told: str) -> None:
    with pytest.raises(InputError) as caught:
        Turf(firmness, lie, stimp)  # type: ignore[arg-type]
    assert told in str(caught.value)
    assert len(str(caught.value)) < 200


def test_sand_does_not_run_but_says_its_doubt() -> None:
    got = run(*DRIVE, Turf(lie="sand"))
    assert got.run_m == Estimate(0.0, 0.0, 2.0)


def test_ball_set_down_does_not_move() -> None:
    got = run(0.0, 0.5, 0.0)
    assert (got.bounce_m, got.roll_m, got.bounces) == (0.0, 0.0, 1)
