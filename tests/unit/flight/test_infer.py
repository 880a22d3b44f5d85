"""From what was seen to the launch: derivatives, answers, honesty of ranges and words, refusals."""

import math
import subprocess
import sys

import pytest

from bagwright.air import Air, Wind, air
from bagwright.errors import InputError
from bagwright.estimate import Estimate
from bagwright.flight import _inverse_flight as rows_of
from bagwright.flight import _inverse_solve as solver
from bagwright.flight._inverse_law import d1, law_with_slopes
from bagwright.flight._inverse_slope import constants
from bagwright.flight.fly import fly
from bagwright.flight.infer import infer
from bagwright.flight.launch import Launch, Scale
from bagwright.flight.posterior import setting
from bagwright.flight.prior import KINDS, kind_of_loft, prior
from bagwright.flight.seen import Reading, Seen
from tests.unit.flight.reference import Case
from tests.unit.flight.reference import fly as independent

YD = 0.9144
FT = 0.3048
BALL = (0.04593, 0.021335, 9.80665, 1.4e-5, 0.0)
AIR = (1.2, 1.81e-5)
EXACT = {name: Reading(0.0, 1e-4) for name in ("carry_m", "apex_m", "offline_m", "time_s", "descent_rad")}


def rows(theta: list[float], wind: tuple[float, float, float, float], law: object = d1) -> list[list[float]]:
    _, _, work, _, out, _ = solver.buffers()
    assert rows_of.fly_tangent(theta, constants(BALL, AIR, wind, theta), law, 8, 1e-10, work, out)
    return out[:8]


def theta_of(
    speed: float, launch: float, spin: float, direction: float = 0.0, axis: float = 0.0
) -> list[float]:
    return [
        math.log(speed), math.radians(launch), math.log(spin * math.pi / 30), math.radians(direction),
        math.radians(axis), 0.0, 0.0,
    ]  # fmt: skip


@pytest.mark.parametrize("log", [False, True])
def test_the_flight_below_the_derivatives_is_that_of_an_independent_integrator(log: bool) -> None:
    case = Case(53, 17, 6500, 2, 8, wind_x=-3.0, wind_y=2.0, log=log)
    mine = rows(theta_of(53, 17, 6500, 2, 8), (-3.0, 2.0, 0.03 if log else 0.0, 10.0))
    theirs = independent(case)
    assert mine[rows_of.CARRY][0] == pytest.approx(theirs.carry, abs=2e-5)
    assert mine[rows_of.OFFLINE][0] == pytest.approx(theirs.y, abs=2e-5)
    assert mine[rows_of.APEX][0] == pytest.approx(theirs.apex, abs=2e-5)
    assert math.degrees(mine[rows_of.DESCENT][0]) == pytest.approx(theirs.descent_deg, abs=1e-4)
    assert math.exp(mine[rows_of.LN_LANDING_SPIN][0]) * 30 / math.pi == pytest.approx(
        theirs.spin_rpm, rel=1e-6
    )


@pytest.mark.parametrize("wind", [(0.0, 0.0, 0.0, 10.0), (-3.0, 2.0, 0.03, 10.0)])
@pytest.mark.parametrize("law", ["D1", "indoor-range-2001"])
def test_exact_derivatives_agree_with_differences(wind: tuple[float, float, float, float], law: str) -> None:
    six = law_with_slopes(law)[0]
    theta = theta_of(66, 12, 3100, 1.5, 6)
    theta[5], theta[6] = 0.05, -0.04
    exact = rows(theta, wind, six)
    for j in range(7):
        up, down = list(theta), list(theta)
        up[j] += 1e-4
        down[j] -= 1e-4
        above, below = rows(up, wind, six), rows(down, wind, six)
        for m in range(8):
            difference = (above[m][0] - below[m][0]) / 2e-4
            assert exact[m][j + 1] == pytest.approx(difference, rel=3e-5, abs=3e-4), (m, j)


@pytest.mark.parametrize(("speed", "launch", "spin"), [(75, 10.8, 2600), (53, 17, 6500), (40, 28, 9300)])
def test_a_flown_launch_is_found_again(speed: float, launch: float, spin: float) -> None:
    true = Launch(speed, math.radians(launch), spin, math.radians(1.0), math.radians(4.0))
    flown = fly(true)
    seen = Seen(
        carry_m=flown.carry_m, apex_m=flown.apex_m, offline_m=flown.offline_m, ball_speed_mps=speed,
        launch_rad=true.launch_rad, direction_rad=true.direction_rad,
    )  # fmt: skip
    found = infer(seen)
    for name in ("ball_speed_mps", "launch_rad", "spin_rpm", "direction_rad", "spin_axis_rad"):
        range_ = getattr(found, name)
        assert range_.low <= getattr(true, name) <= range_.high, name
    assert not found.contradicts


def test_exact_figures_are_honoured_by_the_launch_that_is_given_back() -> None:
    seen = Seen(carry_m=165 * YD, apex_m=88 * FT, offline_m=3.0, club_kind="iron")
    found = infer(seen, readings=EXACT)
    flown = fly(found.launch(), scale=found.scale)
    assert flown.carry_m == pytest.approx(165 * YD, abs=1e-3)
    assert flown.apex_m == pytest.approx(88 * FT, abs=1e-3)
    assert flown.offline_m == pytest.approx(3.0, abs=1e-3)
    assert found.carry_m.value == pytest.approx(165 * YD, abs=1e-3)
    assert found.apex_m.value == pytest.approx(88 * FT, abs=1e-3)
    assert found.offline_m.value == pytest.approx(3.0, abs=1e-3)


def test_equals_a_least_squares_fit_of_an_outside_library_on_an_outside_flight() -> None:
    """scipy.optimize.least_squares on scipy's DOP853: the same most probable launch."""
    import numpy as np
    from scipy.optimize import least_squares

    seen = Seen(carry_m=150.0, apex_m=27.0, offline_m=4.0, club_kind="iron")
    before = prior("iron")
    root, mean = np.array(before.root), np.array(before.mean)
    readings = {"carry_m": 2.0, "apex_m": 1.0, "offline_m": 1.5}

    def miss(q: np.ndarray) -> np.ndarray:
        t = mean + root @ q[:5]
        case = Case(
            math.exp(t[0]), math.degrees(t[1]), math.exp(t[2]) * 30 / math.pi, math.degrees(t[3]),
            math.degrees(t[4]), density=1.2,
            law=lambda s, re: (d1(s, re)[0] * math.exp(spread * q[5]), d1(s, re)[1] * math.exp(spread *
            q[6])), )  # fmt: skip
        f = independent(case, 1e-10)
        return np.concatenate([q, [(f.carry - 150.0) / 2.0, (f.apex - 27.0) / 1.0, (f.y - 4.0) / 1.5]])

    from bagwright.flight.prior import doubt_of_law

    spread = doubt_of_law(0.021335 * math.exp(before.mean[2] - before.mean[0]))
    theirs = least_squares(miss, np.zeros(7), xtol=1e-10, ftol=1e-12)
    t = mean + root @ theirs.x[:5]
    found = infer(
        seen,
        air=Air(1.2, 1.81e-5),
        scale=Scale(),
        readings={n: Reading(0.0, v) for n, v in readings.items()},
    )
    assert math.log(found.ball_speed_mps.value) == pytest.approx(t[0], abs=2e-4)
    assert found.launch_rad.value == pytest.approx(t[1], abs=2e-4)
    assert math.log(found.spin_rpm.value * math.pi / 30) == pytest.approx(t[2], abs=1e-3)
    assert found.direction_rad.value == pytest.approx(t[3], abs=2e-4)
    assert found.spin_axis_rad.value == pytest.approx(t[4], abs=5e-4)


def test_what_the_figures_do_not_fix_is_said() -> None:
    found = infer(Seen(carry_m=165 * YD, club_kind="iron"))
    assert "spin_rpm" in found.open
    told = " ".join(found.words)
    assert "spin is not fixed by carry alone" in told
    assert "rpm" in told
    assert found.spin_rpm.high / found.spin_rpm.low > 2.0


def test_more_figures_narrow_and_fix() -> None:
    rough = infer(Seen(carry_m=150.0, club_kind="iron"))
    better = infer(Seen(carry_m=150.0, apex_m=27.0, club_kind="iron"))
    best = infer(Seen(carry_m=150.0, apex_m=27.0, ball_speed_mps=53.0, spin_rpm=6500.0, club_kind="iron"))
    widths = [math.log(r.spin_rpm.high / r.spin_rpm.low) for r in (rough, better, best)]
    assert widths[0] > widths[1] > widths[2]
    assert "spin_rpm" in best.fixed


def test_contradicting_figures_are_not_averaged_in_silence() -> None:
    found = infer(Seen(carry_m=250 * YD, apex_m=3 * FT, ball_speed_mps=90 * 0.44704))
    assert found.contradicts
    assert found.misfit_sd > 5.0
    assert found.worst == "carry_m"
    assert found.rest_says is not None
    assert found.rest_says.high < 150 * YD
    assert "contradict" in found.words[0]
    assert "carry" in found.words[0]


def test_figures_that_belong_together_do_not_contradict() -> None:
    flown = fly(Launch(53.0, math.radians(17.0), 6500.0))
    seen = Seen(carry_m=flown.carry_m, apex_m=flown.apex_m, ball_speed_mps=53.0, spin_rpm=6500.0)
    assert infer(seen).misfit_sd < 2.0


def test_a_mirrored_shot_has_a_mirrored_launch() -> None:
    """Nothing asks for the hand: the left-hander's shot is the mirror image."""
    right = infer(Seen(carry_m=150.0, apex_m=27.0, offline_m=8.0, curve_m=5.0, club_kind="iron"))
    left = infer(Seen(carry_m=150.0, apex_m=27.0, offline_m=-8.0, curve_m=-5.0, club_kind="iron"))
    assert left.ball_speed_mps.value == pytest.approx(right.ball_speed_mps.value, rel=1e-6)
    assert left.spin_axis_rad.value == pytest.approx(-right.spin_axis_rad.value, abs=1e-6)
    assert left.direction_rad.low == pytest.approx(-right.direction_rad.high, abs=1e-5)


def test_a_total_needs_a_ground_and_carries_its_band() -> None:
    with pytest.raises(InputError, match="ground"):
        infer(Seen(total_m=240.0))

    def ground(speed: float, descent: float, spin: float) -> Estimate:
        run = 20.0 - 30.0 * (descent - 0.65)
        return Estimate(run, run - 10.0, run + 10.0)

    found = infer(Seen(total_m=246.0, club_kind="driver"), ground=ground)
    assert found.total_m is not None
    assert found.carry_m.high - found.carry_m.low > 15.0
    assert found.total_m.value - found.carry_m.value == pytest.approx(
        20.0 - 30.0 * (found.descent_rad.value - 0.65), abs=0.1
    )


def test_wind_air_and_level_are_taken_into_account() -> None:
    seen = Seen(carry_m=150.0, apex_m=27.0, club_kind="iron")
    calm = infer(seen).ball_speed_mps.value
    assert infer(seen, wind=Wind(5.0, 0.0)).ball_speed_mps.value > calm + 1.0
    assert infer(seen, air=air(altitude_m=2000.0)).ball_speed_mps.value < calm
    assert infer(seen, scale=Scale(1.1, 1.0)).ball_speed_mps.value > calm


def test_a_level_narrows_what_the_law_leaves_open() -> None:
    seen = Seen(ball_speed_mps=53.0, launch_rad=0.3, spin_rpm=6500.0, club_kind="iron")
    wide, narrow = infer(seen), infer(seen, scale=Scale(1.05, 0.98))
    assert narrow.carry_m.high - narrow.carry_m.low < wide.carry_m.high - wide.carry_m.low


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("carry_m", -5.0), ("carry_m", math.nan), ("carry_m", math.inf), ("carry_m", True),
        ("carry_m", "165"),
        ("apex_m", 1e9), ("spin_rpm", 1e9), ("spin_rpm", 0.0), ("launch_rad", 20.0),
        ("ball_speed_mps", 400.0),
        ("time_s", 0.0), ("loft_rad", 9.0), ("descent_rad", -0.3),
    ],
)  # fmt: skip
def test_hostile_figures_are_refused_with_their_name(field: str, value: object) -> None:
    with pytest.raises(InputError, match=field):
        Seen(**{field: value})  # type: ignore[arg-type]


def test_nothing_seen_unknown_clubs_and_short_totals_are_refused() -> None:
    with pytest.raises(InputError, match="nothing was seen"):
        infer(Seen(club_kind="iron"))
    with pytest.raises(InputError, match="putter"):
        infer(Seen(carry_m=100.0, club_kind="putter"))
    with pytest.raises(InputError, match="total"):
        Seen(carry_m=200.0, total_m=20.0)
    with pytest.raises(InputError, match="law"):
        infer(Seen(carry_m=100.0), law="no such law")


def test_the_unknown_club_is_a_mix_and_the_chances_add_up() -> None:
    found = infer(Seen(carry_m=90.0, apex_m=25.0))
    assert sum(found.kinds.values()) == pytest.approx(1.0)
    assert max(found.kinds, key=lambda k: found.kinds[k]) == "wedge"
    drive = infer(Seen(ball_speed_mps=75.0, launch_rad=0.2))
    assert max(drive.kinds, key=lambda k: drive.kinds[k]) == "driver"


def test_club_speed_alone_gives_an_answer() -> None:
    found = infer(Seen(club_speed_mps=42.0, club_kind="driver"))
    assert 1.40 < found.ball_speed_mps.value / 42.0 < 1.51
    assert found.misfit_sd == 0.0


@pytest.mark.parametrize("kind", KINDS)
def test_priors_hold_the_reference_launches_of_the_flight_checks(kind: str) -> None:
    """Launches of flight.csv, class values: each lies within two sd of its kind."""
    typical = {
        "driver": (66, 11, 3500), "wood": (58, 13, 2900), "iron": (53, 17, 6500),
        "wedge": (40, 28, 9300),
    }.get(kind)  # fmt: skip
    before = prior(kind)
    assert before.sd()[0] < 0.3
    if typical is None:
        return
    both = zip(theta_of(*typical)[:3], before.mean, before.sd(), strict=False)
    z = [(t - m) / s for t, m, s in both]
    assert max(abs(v) for v in z) < 2.0


def test_lofts_choose_kinds() -> None:
    assert [kind_of_loft(math.radians(d)) for d in (9, 15, 20, 34, 56)] == list(KINDS)


def test_same_question_same_answer_and_metres_when_asked() -> None:
    seen = Seen(carry_m=150.0)
    assert infer(seen) == infer(seen)
    contradiction = Seen(carry_m=230.0, ball_speed_mps=35.0)
    assert " m " in infer(contradiction, units="metres").words[0]
    assert " yd " in infer(contradiction).words[0]


def test_one_shot_loads_no_compiler() -> None:
    code = (
        "import sys; from bagwright.flight.infer import infer; from bagwright.flight.seen import Seen;"
        "infer(Seen(carry_m=150.0, apex_m=27.0)); sys.exit('numba' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_standard_air_and_calm_when_nothing_is_said() -> None:
    from bagwright.air import STANDARD

    assert setting(None, None, "D1", None, None, None).air[0] == STANDARD.density_kg_m3
