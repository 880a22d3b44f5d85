"""The integrator against scipy's DOP853, closed forms, its own order, and itself as machine code."""

from __future__ import annotations

import math
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import DOP853

from bagwright.air import CALM, Air, Wind
from bagwright.errors import MachineError
from bagwright.flight import _dop853, adaptive, rows
from bagwright.flight import fly as fly_module
from bagwright.flight._bh76 import GRID
from bagwright.flight._dop853 import TABLEAU
from bagwright.flight.aero import LAWS
from bagwright.flight.fly import ONE, RULE_BALL, fly, fly_many
from bagwright.flight.launch import Ball, Launch, Launches, Scale
from bagwright.units import STANDARD_GRAVITY_MPS2
from tests.unit.flight import reference
from tests.unit.flight.reference import Case

AIR = Air(1.2, 1.81e-5)
CASES = {
    "fast driver": Case(75, 10.8, 2600),
    "mid iron": Case(53, 17, 6500),
    "wedge": Case(40, 28, 9300),
    "lob": Case(22, 55, 7000),
    "topped": Case(20, 0.5, 300),
    "chip": Case(3, 20, 500),
    "knuckle": Case(60, 12, 0),
    "hooked into the wind": Case(70, 14, 3500, -5, -35, wind_x=-9, wind_y=6),
    "high air, tail wind": Case(66, 11, 3500, density=0.9, wind_x=12, wind_y=-3),
    "log head wind": Case(75, 10.8, 2600, wind_x=-8, log=True),
    "log cross wind, wedge": Case(40, 28, 9300, 3, 10, wind_x=2, wind_y=-9, log=True),
    "log tail wind over scrub": Case(53, 17, 6500, wind_x=7, log=True, roughness=0.25),
    "heavy small ball": Case(60, 14, 3000, mass=0.047, diameter=0.0411),
}


def as_ours(case: Case) -> tuple[Launch, Air, Wind, Ball]:
    speed = math.hypot(case.wind_x, case.wind_y)
    origin = math.atan2(-case.wind_y, -case.wind_x)
    return (
        Launch(
            case.speed_mps,
            math.radians(case.launch_deg),
            case.spin_rpm,
            math.radians(case.direction_deg),
            math.radians(case.axis_deg),
        ),
        Air(case.density, case.viscosity),
        Wind(speed, origin, "log" if case.log else "uniform", roughness_m=case.roughness) if speed else CALM,
        Ball(case.mass, case.diameter),
    )


@pytest.mark.parametrize("name", CASES)
def test_against_scipy(name: str) -> None:
    """scipy at 1e-12: equations, events and tableau of another program. 10 micrometres and microradians."""
    case = CASES[name]
    launch, air, wind, ball = as_ours(case)
    ours, theirs = fly(launch, air, wind, ball=ball), reference.fly(case)
    assert ours.downrange_m == pytest.approx(theirs.x, abs=1e-5)
    assert ours.offline_m == pytest.approx(theirs.y, abs=1e-5)
    assert ours.apex_m == pytest.approx(theirs.apex, abs=1e-6)
    assert ours.time_s == pytest.approx(theirs.time, abs=1e-6)
    assert ours.landing_speed_mps == pytest.approx(theirs.speed, abs=1e-6)
    assert math.degrees(ours.descent_rad) == pytest.approx(theirs.descent_deg, abs=1e-5)
    assert ours.landing_spin_rpm == pytest.approx(theirs.spin_rpm, abs=1e-3)


def test_tableau_is_that_of_scipys_class() -> None:
    assert np.reshape(_dop853.A, (12, 12)) == pytest.approx(DOP853.A, abs=0)
    assert np.array(_dop853.B) == pytest.approx(DOP853.B, abs=0)
    assert np.array(_dop853.E5) == pytest.approx(DOP853.E5[:12], abs=0)
    assert np.array(_dop853.E3) == pytest.approx(DOP853.E3[:12], abs=0)


def test_vacuum_is_the_parabola() -> None:
    """Closed form: range v² sin(2a)/g, apex (v sin a)²/2g, time 2 v sin a/g."""
    v, a, g = 70.0, math.radians(12.0), STANDARD_GRAVITY_MPS2
    flight = fly(Launch(v, a, 3000.0), AIR, scale=Scale(0.0, 0.0))
    assert flight.carry_m == pytest.approx(v * v * math.sin(2 * a) / g, abs=1e-9)
    assert flight.apex_m == pytest.approx((v * math.sin(a)) ** 2 / (2 * g), abs=1e-10)
    assert flight.time_s == pytest.approx(2 * v * math.sin(a) / g, abs=1e-10)
    assert flight.descent_rad == pytest.approx(a, abs=1e-11)
    assert flight.landing_speed_mps == pytest.approx(v, abs=1e-10)


def one_step(h: float) -> list[float]:
    """State after one step of the mid iron's flight."""
    launch = Launch(53.0, math.radians(17.0), 6500.0)
    p = fly_module._parameters(LAWS["D1"], launch, AIR, CALM, ONE, RULE_BALL)
    out = [0.0] * 8
    adaptive.step(
        fly_module._state(launch, RULE_BALL), h, adaptive.D1, p, GRID, TABLEAU, [0.0] * 96, out, 1e-9
    )
    return out


def after(duration: float, steps: int) -> np.ndarray:
    """State after equal steps."""
    launch = Launch(53.0, math.radians(17.0), 6500.0)
    p = fly_module._parameters(LAWS["D1"], launch, AIR, CALM, ONE, RULE_BALL)
    state, out = fly_module._state(launch, RULE_BALL), [0.0] * 8
    for _ in range(steps):
        adaptive.step(state, duration / steps, adaptive.D1, p, GRID, TABLEAU, [0.0] * 96, out, 1e-9)
        state = list(out)
    return np.array(state)


def test_observed_order_is_eight() -> None:
    """Halving the step divides the error of three seconds of flight by 2^8, give or take rounding."""
    exact = after(3.0, 64)
    errors = [float(np.abs(after(3.0, n) - exact).max()) for n in (2, 4, 8)]
    orders = [math.log2(a / b) for a, b in pairwise(errors)]
    assert min(orders) > 7.0
    assert max(orders) < 11.0


def test_a_smaller_tolerance_gives_a_smaller_error() -> None:
    launch, wind = Launch(60.0, 0.25, 5000.0, 0.05, 0.1), Wind(7.0, 1.0)
    exact = fly(launch, AIR, wind, tolerance=1e-13).carry_m
    errors = [abs(fly(launch, AIR, wind, tolerance=t).carry_m - exact) for t in (1e-5, 1e-7, 1e-9, 1e-11)]
    assert errors == sorted(errors, reverse=True)
    assert errors[2] < 1e-7


def test_machine_code_gives_the_same_as_plain_python() -> None:
    """The same source twice; only the last digits of sin, log and fused operations may differ.

    Laws with kinks (tables, clamps) turn those digits into other steps, so theirs agree less closely.
    """
    rng = np.random.default_rng(4)
    n = rows.COMPILE_FROM
    launches = Launches.of(
        rng.uniform(5, 85, n), rng.uniform(0.02, 1.2, n), rng.uniform(0, 11_000, n),
        rng.uniform(-0.2, 0.2, n), rng.uniform(-0.6, 0.6, n),
    )  # fmt: skip
    for law in LAWS:
        if law == "constant":
            continue
        smooth = law in ("D1", "pooled")
        near = 1e-8 if smooth else 1e-4
        for wind in (CALM, Wind(6.0, 0.7)):
            many = fly_many(launches, AIR, wind, law)
            for i in range(0, n, 60):
                one = fly(launches[i], AIR, wind, law)
                assert many.carry_m[i] == pytest.approx(one.carry_m, abs=near)
                assert many.apex_m[i] == pytest.approx(one.apex_m, abs=near)
                assert many.landing_spin_rpm[i] == pytest.approx(one.landing_spin_rpm, abs=10 * near)
                assert bool(many.extrapolated[i]) == bool(one.extrapolated)


def test_a_ball_that_does_not_come_down_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(adaptive, "MAX_STEPS", 3)
    with pytest.raises(MachineError, match="could not be followed"):
        fly(Launch(70.0, 0.2, 3000.0), AIR)
    with pytest.raises(MachineError, match="1 of 1 flights"):
        fly_many(Launches.of(70.0, 0.2, 3000.0), AIR)


def test_one_flight_loads_neither_numpy_nor_numba() -> None:
    code = (
        "import sys; from bagwright.flight.fly import fly; from bagwright.flight.launch import Launch; "
        "fly(Launch(70.0, 0.2, 3000.0)); print({'numpy', 'numba', 'scipy'} & set(sys.modules))"
    )
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", code],
        capture_output=True,
        text=True,
        check=False,
        cwd=Path(__file__).parents[3],
    )
    assert done.stdout.strip() == "set()", done.stderr


def test_wind_that_meets_the_ball_at_rest_is_followed() -> None:
    """A tail wind as fast as the ball: at some moment the air hardly moves past it."""
    flight = fly(Launch(12.0, 0.9, 2000.0), AIR, Wind(7.4, math.pi, "uniform"))
    case = Case(12.0, math.degrees(0.9), 2000.0, wind_x=7.4)
    assert flight.carry_m == pytest.approx(reference.fly(case).carry, abs=1e-5)


def test_a_rising_ball_that_dips_first_lands_where_it_touches() -> None:
    """Launched almost level: no lift to speak of without spin, so it touches down at once."""
    flight = fly(Launch(30.0, math.radians(0.1), 0.0), AIR)
    assert flight.carry_m < 0.5
    assert 0.0 < flight.apex_m < 1e-3
