"""Bounce and roll against worked rows and parameters of the published model (Penner 2002).

`turf.csv` was computed with another program from Penner 2002 (Canadian Journal of Physics 80, 931-940), whose
equations were read second-hand in four agreeing transcriptions; each row is held to its printed digits.
`turf_parameters.csv` names the source of each parameter and whether it was read or is from memory.
"""

import csv
import json
import math
import re
from pathlib import Path

import pytest

from bagwright.turf import Turf, run
from bagwright.turf import _kernel as kernel
from bagwright.turf import ground as turf_ground
from bagwright.turf._kernel import BALL_RADIUS_M, bounce_and_roll, rebound
from bagwright.units import M_PER_YD

HERE = Path(__file__).parent
RAD_S_PER_RPM = math.pi / 30.0
DRIVER = (28.53, math.radians(37.3), 2094.0)


def table(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


ROWS = table("turf.csv")
PARAMETERS = {row["item"]: row for row in table("turf_parameters.csv")}


def half_digit(text: str) -> float:
    """Half of the last printed digit, and a hair for binary fractions."""
    decimals = len(text.partition(".")[2])
    return float(0.5 * 10.0**-decimals * (1.0 + 1e-9))


def printed(row: dict[str, str], column: str, value: float, digits_of: str | None = None) -> None:
    text = row[column]
    assert abs(value - float(text)) <= half_digit(digits_of or text), f"{column}: {value} is not {text}"


def impact(row: dict[str, str]) -> tuple[float, float, float]:
    """Forward and downward speed and backspin (rad/s) at landing."""
    speed = float(row["land_speed_mps"])
    angle = math.radians(float(row["land_angle_deg"]))
    return speed * math.cos(angle), speed * math.sin(angle), float(row["backspin_rpm"]) * RAD_S_PER_RPM


def options(row: dict[str, str]) -> tuple[float, float]:
    """Friction and deceleration of the roll: Penner's unless the row says otherwise."""
    said = json.loads(row["options"])
    assert set(said) <= {"mu", "rho_g"}
    friction = said.get("mu", turf_ground.FRICTION)
    return friction, turf_ground.roll_mps2(said.get("rho_g", turf_ground.ROLL_RESISTANCE))


def name(row: dict[str, str]) -> str:
    return f"{row['case']} {row['land_speed_mps']} m/s {row['land_angle_deg']} deg {row['options']}"


@pytest.mark.parametrize("row", ROWS, ids=name)
def test_first_rebound(row: dict[str, str]) -> None:
    u, down, spin = impact(row)
    forward, up, spin_after = rebound(u, down, spin, 1.0, 1.0, options(row)[0])
    printed(row, "first_rebound_u", forward)
    printed(row, "first_rebound_up", up)
    printed(row, "first_spin_rpm", spin_after / RAD_S_PER_RPM, "0")
    theta = kernel.TILT_SHARE_PER_MPS * math.hypot(u, down) * math.atan2(u, down)
    printed(row, "theta1_deg", math.degrees(theta))
    # Restitution seen from outside the kernel: normal speed after over before, in the tilted frame.
    before = down * math.cos(theta) + u * math.sin(theta)
    after = up * math.cos(theta) - forward * math.sin(theta)
    printed(row, "e1", after / before)
    along = forward * math.cos(theta) + up * math.sin(theta)
    rolled = abs(along + BALL_RADIUS_M * spin_after) < 1e-9
    assert rolled == (row["rolled"] == "True")


@pytest.mark.parametrize("row", ROWS, ids=name)
def test_whole_run(row: dict[str, str]) -> None:
    speed, angle = float(row["land_speed_mps"]), math.radians(float(row["land_angle_deg"]))
    spin = float(row["backspin_rpm"]) * RAD_S_PER_RPM
    friction, roll = options(row)
    bounce_m, roll_m, bounces = bounce_and_roll(speed, angle, spin, 1.0, 1.0, friction, roll)
    assert bounces == int(row["n_bounces"])
    printed(row, "bounce_m", bounce_m, "0.00")
    printed(row, "roll_m", roll_m, "0.00")
    printed(row, "run_m", bounce_m + roll_m, "0.00")
    printed(row, "run_yd", (bounce_m + roll_m) / M_PER_YD, "0.0")


def test_every_row_is_there() -> None:
    assert len(ROWS) == 20
    assert len(PARAMETERS) == 16


@pytest.mark.parametrize("row", [row for row in ROWS if row["options"] == "{}"], ids=name)
def test_public_run_on_a_firm_fairway_gives_the_same(row: dict[str, str]) -> None:
    angle = math.radians(float(row["land_angle_deg"]))
    got = run(float(row["land_speed_mps"]), angle, float(row["backspin_rpm"]), Turf("firm"))
    printed(row, "run_m", got.run_m.value, "0.00")


def numbers(item: str, column: str = "value") -> list[float]:
    return [float(text) for text in re.findall(r"(?<![a-z\d.])-?\d+(?:\.\d+)?", PARAMETERS[item][column])]


def test_restitution_penner_2002_equation_5() -> None:
    a, b, c = (float(n) for n in re.findall(r"0\.\d+", PARAMETERS["restitution e(vn), vn<=20 m/s"]["value"]))
    assert (a, b, c) == kernel.RESTITUTION
    assert numbers("restitution vn>20 m/s") == [kernel.FAST_RESTITUTION]
    # Worked values: e(5), e(10), e(15); straight down, so no tilt.
    for speed, e in ((5.0, 0.345), (10.0, 0.225), (15.0, 0.151)):
        _, up, _ = rebound(0.0, speed, 0.0, 1.0, 1.0, 0.4)
        assert up / speed == pytest.approx(e, abs=0.0006)
    _, up, _ = rebound(0.0, 20.001, 0.0, 1.0, 1.0, 0.4)
    assert up / 20.001 == pytest.approx(0.120, abs=1e-12)


def test_tilt_penner_2002_page_934() -> None:
    degrees, speed, incidence = numbers("turf tilt theta_c")
    assert math.degrees(kernel.TILT_RAD) == pytest.approx(degrees)
    assert speed == kernel.TILT_SPEED_MPS
    assert math.degrees(kernel.TILT_INCIDENCE_RAD) == pytest.approx(incidence)


def test_rolls_out_from_the_friction_limit_of_daish_1972() -> None:
    u, down, spin = 6.0, 9.0, 300.0
    forward, up, _ = rebound(u, down, spin, 0.0, 1.0, 5.0)
    e = up / down
    limit = 2.0 * (u + BALL_RADIUS_M * spin) / (7.0 * (1.0 + e) * down)
    for friction, rolls in ((limit * 1.0001, True), (limit * 0.9999, False)):
        u_after, _, spin_after = rebound(u, down, spin, 0.0, 1.0, friction)
        assert (abs(u_after + BALL_RADIUS_M * spin_after) < 1e-9) == rolls
    # Rolling exit u' = (5/7)u - (2/7) r w and w' = -u'/r.
    assert forward == pytest.approx(5.0 / 7.0 * u - 2.0 / 7.0 * BALL_RADIUS_M * spin, rel=1e-12)
    # Sliding exit u' = u - mu v (1+e) and w' = w - 5 mu v (1+e) / (2r).
    u_after, _, spin_after = rebound(u, down, spin, 0.0, 1.0, 0.5 * limit)
    push = 0.5 * limit * down * (1.0 + e)
    assert u_after == pytest.approx(u - push, rel=1e-12)
    assert spin_after == pytest.approx(spin - 5.0 * push / (2.0 * BALL_RADIUS_M), rel=1e-12)


def test_friction_stop_and_roll_penner_2002_pages_933_935() -> None:
    assert numbers("mu (turf)") == [turf_ground.FRICTION]
    assert numbers("stop bouncing") == [1000.0 * kernel.STOP_REBOUND_M]
    text = PARAMETERS["rolling deceleration"]["value"]
    assert float(re.findall(r"rho_g=(0\.\d+)", text)[0]) == turf_ground.ROLL_RESISTANCE
    assert turf_ground.roll_mps2(0.131) == pytest.approx(5.0 / 7.0 * 0.131 * 9.80665, rel=1e-12)


def test_green_speeds_of_the_rolling_resistances() -> None:
    text = PARAMETERS["stimp equivalence of rho_g"]["value"]
    for resistance, stimp in re.findall(r"(0\.\d+)->(\d+\.\d) ft", text):
        assert turf_ground.stimp_mps2(float(stimp)) == pytest.approx(
            turf_ground.roll_mps2(float(resistance)), rel=0.01
        )
    # Stimp 10 ft is 0.549 m/s2, 0.056 of g.
    assert turf_ground.stimp_mps2(10.0) == pytest.approx(0.549, abs=0.0006)
    assert turf_ground.stimp_mps2(10.0) / 9.80665 == pytest.approx(0.056, abs=0.0005)
    release = float(re.findall(r"release (\d\.\d\d) ft/s", PARAMETERS["stimpmeter"]["value"])[0])
    assert pytest.approx(release * 0.3048) == turf_ground.STIMP_RELEASE_MPS


def run_yd(descent_deg: float) -> float:
    return run(DRIVER[0], math.radians(descent_deg), DRIVER[2], Turf("firm")).run_m.value / M_PER_YD


def firmness_yd(speed_mps: float, descent_deg: float) -> list[float]:
    """Yards of run that a normal and a soft fairway take from a firm one."""
    landing = (speed_mps, math.radians(descent_deg), DRIVER[2])
    firm, normal, soft = (run(*landing, Turf(name)).run_m.value for name in ("firm", "normal", "soft"))
    return [(normal - firm) / M_PER_YD, (soft - firm) / M_PER_YD]


def test_firmness_differences_of_usga_and_ra_2023() -> None:
    """Tour tee shots: -4.49 yd on medium, -9.80 yd on soft fairways against firm (read second-hand).

    The landing of those drives is not given. With the driver landing of Biber et al. 2023 (28.53 m/s, 37.3
    degrees) the mapping comes within 10 % of both; 2.7 degrees steeper or 1 m/s slower it meets both to 2 %.
    """
    told = [float(x) for x in re.findall(r"-\d+\.\d+", PARAMETERS["USGA/R&A 2023 fairway firmness"]["value"])]
    assert told == [-4.49, -9.80]
    assert firmness_yd(28.53, 37.3) == pytest.approx(told, rel=0.10)
    assert firmness_yd(28.53, 40.0) == pytest.approx(told, rel=0.025)
    assert firmness_yd(27.5, 37.3) == pytest.approx(told, rel=0.02)
    scales = numbers("firmness mapping for this model")
    assert scales == [turf_ground.TILT_SCALE[f] for f in ("firm", "normal", "soft")]


def test_run_by_landing_angle_and_its_slope() -> None:
    """Driver landing by descent 25-45 degrees, yards (a worked table of the same model)."""
    got = [run_yd(d) for d in (25.0, 30.0, 35.0, 40.0, 45.0)]
    assert got == pytest.approx([37.2, 33.8, 30.1, 26.2, 22.2], abs=0.06)
    assert (got[-1] - got[0]) / 20.0 == pytest.approx(-0.75, abs=0.01)


def test_sensitivity_to_tilt_and_rolling_resistance() -> None:
    """Run of the driver landing in yards: worked values of the same model."""
    speed, descent, rpm = DRIVER
    spin = rpm * RAD_S_PER_RPM
    roll = turf_ground.roll_mps2(0.131)
    for scale, yards in ((0.85, 44.0), (1.0, 28.0), (1.1, 20.0), (1.2, 12.0)):
        got = sum(bounce_and_roll(speed, descent, spin, scale, 1.0, 0.4, roll)[:2]) / M_PER_YD
        assert got == pytest.approx(yards, abs=1.0)
    for resistance, yards in ((0.10, 29.0), (0.40, 26.8)):
        slow = turf_ground.roll_mps2(resistance)
        got = sum(bounce_and_roll(speed, descent, spin, 1.0, 1.0, 0.4, slow)[:2]) / M_PER_YD
        assert got == pytest.approx(yards, abs=0.06)


def test_backward_at_159_and_191_revolutions_as_in_penners_figure() -> None:
    """The sign agrees with the figure; how far does not agree with Haake's ball that came 7 m back on a firm
    green at 148 rev/s (read second-hand): the model brings it back less than a metre."""
    for rev_s in (159.0, 191.0):
        assert run(20.0, math.radians(50.0), 60.0 * rev_s, Turf("firm", "green")).run_m.value < -0.3
    back = run(20.0, math.radians(50.0), 60.0 * 148.0, Turf("firm", "green")).run_m
    assert -1.0 < back.value < 0.0
    assert back.low > -7.0


def test_constant_effective_angle_of_biber_2023_lies_inside_the_tilts_used() -> None:
    """12.9 degrees (artificial) and 18.4 (natural tee) fit better than the formula, by its authors; at the
    reference impact the formula's tilt lies between the two on all three firmnesses."""
    artificial, natural = numbers("Biber et al 2023 constant effective angle")[:2]
    for scale in turf_ground.TILT_SCALE.values():
        assert artificial < math.degrees(kernel.TILT_RAD) * scale < natural
