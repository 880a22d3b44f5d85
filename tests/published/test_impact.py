"""Impact against published and worked figures; `impact.csv` names each source and whether it was read.

Each test says the row it checks. Rows marked COMPUTED or DERIVED there were computed with another program.
"""

import csv
import math
import re
from pathlib import Path

import pytest

from bagwright.flight.launch import BALL_MASS_KG
from bagwright.impact import (
    HEADS,
    Delivery,
    face_share,
    friction,
    gear_effect,
    smash_ceiling,
    strike,
    strikes,
    yards_per_degree,
)
from bagwright.impact import heads as head_numbers
from bagwright.units import MPS_PER_FPS, MPS_PER_MPH

with Path(__file__).with_name("impact.csv").open(encoding="utf-8", newline="") as file:
    ROWS = {row["item"]: row["value"] for row in csv.DictReader(file)}

RAD = math.pi / 180.0


CHECKED = {
    "smash, square no-loft", "COR vs speed, solid ball", "COR law used by Penner 2001", "ball-face friction",
    "rolling-sphere impact", "share of start direction toward face", "launch share driver/7-iron/wedge",
    "rigid-rolling prediction of that share", "launch/dynamic loft 70-80 %, direction 70-85 % by club",
    "effective mass off centre", "half-inch miss, 200 g, 4500 g cm2 driver", "best impact model errors",
}  # fmt: skip
WORDS_ONLY = {"grip vs roll"}  # a ball can spin more than rolling gives, by how much is not said


def test_no_row_of_the_table_is_left_out() -> None:
    assert set(ROWS) == CHECKED | WORDS_ONLY


def test_smash_ceiling_from_momentum_and_restitution() -> None:
    light, ball, e, told_light, heavy, told_heavy = (
        float(text) for text in re.findall(r"(?:=|-> )([\d.]+)", ROWS["smash, square no-loft"])
    )
    assert smash_ceiling(light / 1000.0, e, ball / 1000.0) == pytest.approx(told_light, abs=0.0005)
    assert smash_ceiling(heavy / 1000.0, e, ball / 1000.0) == pytest.approx(told_heavy, abs=0.0005)
    assert smash_ceiling() == smash_ceiling(light / 1000.0, e, ball / 1000.0)


def test_restitution_law_of_penner_2001_from_memory() -> None:
    still, slope = (
        float(n) for n in re.findall(r"(0\.\d+)-(0\.\d+) v_n", ROWS["COR law used by Penner 2001"])[0]
    )
    assert (still, slope) == (head_numbers.PENNER_STILL, head_numbers.RESTITUTION_PER_MPS)
    assert HEADS["iron"].restitution(40.0) == pytest.approx(0.86 - 0.0029 * 40.0)


def test_restitution_of_solid_balls_of_chou_1994_falls_as_fast() -> None:
    """0.85 at 20 m/s, 0.78 at 45 m/s. The slope agrees to 4 %; Penner's level lies 0.05 lower, which is 3 %
    of ball speed, and the driver's face 0.05 higher than at 45 m/s here."""
    at_20, v_20, at_45, v_45 = 0.85, 20.0, 0.78, 45.0
    assert ROWS["COR vs speed, solid ball"].startswith("0.85 at 20 m/s -> 0.78 at 45 m/s")
    slope = (at_20 - at_45) / (v_45 - v_20)
    assert slope == pytest.approx(head_numbers.RESTITUTION_PER_MPS, rel=0.04)
    iron, driver = HEADS["iron"], HEADS["driver"]
    for v, e in ((v_20, at_20), (v_45, at_45)):
        assert iron.restitution(v) == pytest.approx(e, abs=0.052)
        assert iron.restitution(v) < e < driver.restitution(v)


def test_friction_of_gobush_1996() -> None:
    found = re.findall(r"(soft|hard) \d-piece (0\.\d+)->(0\.\d+)", ROWS["ball-face friction"])
    slow, fast = (
        float(n) for n in re.findall(r"as tangential speed (\S+)->(\d+) m/s", ROWS["ball-face friction"])[0]
    )
    assert len(found) == 2
    for cover, at_slow, at_fast in found:
        assert friction(slow, cover) == float(at_slow)
        assert friction(fast, cover) == float(at_fast)
        assert friction(5.0, cover) == float(at_slow)
        assert friction(0.5 * (slow + fast), cover) == pytest.approx(0.5 * (float(at_slow) + float(at_fast)))


def test_wedges_reach_the_friction_limit_and_drivers_do_not() -> None:
    for speed in (35.0, 45.0, 55.0):
        assert not strike(Delivery(speed, 14 * RAD), HEADS["driver"], "hard").slides
    assert strike(Delivery(34.0, 50 * RAD, -5 * RAD), HEADS["wedge"], "hard").slides
    assert strike(Delivery(34.0, 58 * RAD, -6 * RAD), HEADS["wedge"], "soft").slides


def test_rolling_sphere_formula_of_penner_2001_form() -> None:
    """v_n = V cosL (1+e)/(1+m/M); v_t = V sinL/(1+m/M+5/2); spin = (5/2) v_t/r; launch = L -
    atan(v_t/v_n)."""
    head = HEADS["iron"]
    for speed, loft in ((30.0, 20.0), (36.0, 31.0), (40.0, 49.0)):
        got = strike(Delivery(speed, loft * RAD), head)
        share = BALL_MASS_KG / head.mass_kg
        into = speed * math.cos(loft * RAD)
        v_n = into * (1.0 + 0.86 - 0.0029 * into) / (1.0 + share)
        v_t = speed * math.sin(loft * RAD) / (1.0 + share + 2.5)
        assert got.ball_speed_mps.value == pytest.approx(math.hypot(v_n, v_t), rel=1e-12)
        assert got.spin_rpm.value == pytest.approx(2.5 * v_t / 0.021335 * 30.0 / math.pi, rel=1e-12)
        assert got.launch_rad.value == pytest.approx(loft * RAD - math.atan(v_t / v_n), rel=1e-12)


def test_share_of_the_face_by_the_rigid_rolling_model() -> None:
    told = re.findall(r"(0\.\d+) \((\d+)", ROWS["rigid-rolling prediction of that share"])
    assert len(told) == 3
    for (share, spin_loft), head in zip(told, (HEADS["driver"], HEADS["iron"], HEADS["wedge"]), strict=True):
        assert face_share(float(spin_loft) * RAD, head) == pytest.approx(float(share), abs=0.006)


def test_share_of_the_face_against_measured_players() -> None:
    """Driver and mid iron within 0.03 of the share measured over 1575 shots; the wedge's is 0.045 lower than
    the model gives, as the same source says of such models. Abstract of Wood et al. 2018: 61-83 %."""
    row = ROWS["launch share driver/7-iron/wedge"]
    measured = [float(n) for n in re.findall(r"(0\.\d+)/(0\.\d+)/(0\.\d+) measured", row)[0]]
    model = [
        face_share(12 * RAD, HEADS["driver"]), face_share(31 * RAD, HEADS["iron"]),
        face_share(49 * RAD, HEADS["wedge"]),
    ]  # fmt: skip
    assert model[:2] == pytest.approx(measured[:2], abs=0.03)
    assert model[2] == pytest.approx(measured[2], abs=0.05)
    low, high = (
        float(n) / 100.0
        for n in re.findall(r"(\d+)-(\d+) %", ROWS["share of start direction toward face"])[0]
    )
    assert all(low < share < high for share in model)


def test_direction_of_an_open_face_is_that_share_of_the_way() -> None:
    got = strike(Delivery(36.0, 28 * RAD, -3 * RAD, path_rad=-1 * RAD, face_rad=2 * RAD), HEADS["iron"])
    share = (got.direction_rad.value / RAD + 1.0) / 3.0
    low, high = (float(n) / 100.0 for n in re.findall(r"direction (\d+)-(\d+) %", " ".join(ROWS))[0])
    assert low < share < high


def test_launch_is_70_to_85_percent_of_the_loft_delivered() -> None:
    """Brozka et al. 2023 (read in a snippet): 70-80 % by club; a level driver's 82 % lies just above."""
    low, high = (float(n) / 100.0 for n in re.findall(r"loft (\d+)-(\d+) %", " ".join(ROWS))[0])
    for speed, loft, attack, kind in (
        (36.0, 27.0, -3.0, "iron"),
        (34.0, 45.0, -4.0, "wedge"),
        (40.0, 17.0, -2.0, "wood"),
    ):
        got = strike(Delivery(speed, loft * RAD, attack * RAD), HEADS[kind])  # type: ignore[index]
        assert low < got.launch_rad.value / (loft * RAD) < high
    driver = strike(Delivery(45.0, 13 * RAD), HEADS["driver"])
    assert driver.launch_rad.value / (13 * RAD) == pytest.approx(high, abs=0.03)


def test_half_inch_miss_of_a_driver() -> None:
    """200 g, 4500 g cm2, depth 35 mm: ball speed -1.3 %; gear spin 480 (mean turning) to 960 rpm (final).

    The row does not give the ball speed; 70.5 m/s (158 mph), a usual drive, gives both ends of its spin.
    """
    row = ROWS["half-inch miss, 200 g, 4500 g cm2 driver"]
    loss, low, high = (float(n) for n in re.findall(r"-(\d\.\d) %.* (\d+)-(\d+) rpm", row)[0])
    head = HEADS["driver"]
    assert (head.mass_kg, head.inertia_kg_m2, head.depth_m) == (0.200, 4.5e-4, 0.035)
    got = gear_effect(0.0127, 70.5, head)
    assert 100.0 * (1.0 - got.speed_factor.value) == pytest.approx(loss, abs=0.05)
    assert -got.side_spin_rpm.value == pytest.approx(0.5 * (low + high), rel=0.02)
    assert 1.0 / got.mass_kg == pytest.approx(1.0 / 0.200 + 0.0127**2 / 4.5e-4, rel=1e-12)


def test_errors_are_those_of_the_published_models() -> None:
    row = ROWS["best impact model errors"]
    assert row == "ball speed 1 %, launch and backspin <10 %, sidespin and azimuth 30-50 %"
    assert (strikes.SPEED_SD, strikes.LAUNCH_SD, strikes.BACKSPIN_SD) == (0.01, 0.10, 0.10)
    assert pytest.approx(0.5 * (0.30 + 0.50)) == strikes.SIDE_SD
    got = strike(Delivery(45.0, 13 * RAD, 0.0, 0.0, 3 * RAD), HEADS["driver"])
    for estimate, sd in (
        (got.ball_speed_mps, 0.01), (got.launch_rad, 0.10), (got.spin_rpm, 0.10), (got.direction_rad, 0.40),
    ):  # fmt: skip
        assert (estimate.high - estimate.low) / 2.0 == pytest.approx(1.645 * sd * estimate.value, rel=1e-3)


@pytest.mark.parametrize(
    ("iron_mph", "told"), [(70.0, (0.9, 2.6, 2.8)), (80.0, (2.3, 3.4, 3.2)), (90.0, (3.6, 3.9, 3.4))]
)
def test_yards_per_degree_by_speed_of_the_seven_iron(iron_mph: float, told: tuple[float, ...]) -> None:
    """Yards a degree between 4- and 5-, 6- and 7-, 9-iron and pitching wedge, of a computation with the same
    impact and flight laws: loft less 7 degrees delivered, 1.2 mph a club.

    It does not state the rest; these assumptions give all nine figures to their last digit: lofts 24/28,
    31/35 and 41/45 degrees, 2 degrees down, head 260 g, restitution 0.86 - 0.0029 v, air of 1.199 kg/m3."""
    pairs = ((24.0, 28.0, 2.5), (31.0, 35.0, 0.5), (41.0, 45.0, -2.5))
    for (strong, weak, clubs_up), yards in zip(pairs, told, strict=True):
        middle = Delivery(
            (iron_mph + 1.2 * clubs_up) * MPS_PER_MPH, ((strong + weak) / 2 - 7) * RAD, -2 * RAD
        )
        per_degree = 1.2 * MPS_PER_MPH / (weak - strong)
        got = yards_per_degree(middle, HEADS["iron"], (weak - strong) * RAD, per_degree)
        assert got.value == pytest.approx(yards, abs=0.05)
        assert got.low < got.value < got.high


def test_ball_speed_of_the_distance_test_set_up() -> None:
    """120 mph of club speed launch the ball of the overall distance standard at 256-260 ft/s.

    By the R&A's control ball V = 180.13 + 123.712 e - 0.04309 t ft/s with e 0.78-0.80 and 440-470
    microseconds (notice of May 2025, read). The driver here, at 10 degrees of launch, agrees within 2 %."""
    told = [180.13 + 123.712 * e - 0.04309 * t for e, t in ((0.78, 470.0), (0.80, 440.0))]
    assert told == pytest.approx([256.0, 260.0], abs=0.7)
    got = strike(Delivery(120.0 * MPS_PER_MPH, 12.2 * RAD), HEADS["driver"])
    assert got.launch_rad.value == pytest.approx(10.0 * RAD, rel=0.02)
    assert got.ball_speed_mps.value / MPS_PER_FPS == pytest.approx(sum(told) / 2.0, rel=0.02)
    assert got.ball_speed_mps.low / MPS_PER_FPS < told[0]
