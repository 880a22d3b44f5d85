"""The limits that the bag check uses, against the table of limits beside this file.

The table names the source of each limit and whether it was read there or is from memory (`read_or_memory`);
rows from memory are checked only for agreement between two places typed apart.
"""

import csv
import re
from pathlib import Path

import pytest

from bagwright.bag import rules
from bagwright.flight.launch import BALL_DIAMETER_M, BALL_MASS_KG, Ball
from bagwright.impact import smash_ceiling
from bagwright.impact.heads import LIMIT_RESTITUTION
from bagwright.units import G_PER_OZ, M_PER_IN

with Path(__file__).with_name("equipment_limits.csv").open(encoding="utf-8", newline="") as file:
    ROWS = {row["item"]: row for row in csv.DictReader(file)}


def numbers(item: str) -> list[float]:
    return [float(text) for text in re.findall(r"-?\d+(?:\.\d+)?", ROWS[item]["limit"])]


def test_clubs_carried_rule_4_1b_from_memory() -> None:
    assert numbers("clubs carried") == [rules.CLUBS_MAX]
    assert "4.1b(1)" in rules.COUNT_SOURCE
    assert "MEMORY" in ROWS["clubs carried"]["read_or_memory"]
    assert "memory" in rules.COUNT_SOURCE


def test_club_length_part_2_section_1c_from_memory() -> None:
    shortest, longest = numbers("club length")
    assert shortest * M_PER_IN == pytest.approx(rules.LENGTH_MIN_M, rel=1e-12)
    assert longest * M_PER_IN == pytest.approx(rules.LENGTH_MAX_M, rel=1e-12)
    assert "memory" in rules.LENGTH_SOURCE


def test_optional_46_inch_local_rule_read_in_a_report() -> None:
    mark = ROWS["club length"]["read_or_memory"]
    assert float(re.findall(r"(\d+) in optional", mark)[0]) * M_PER_IN == pytest.approx(
        rules.LOCAL_LENGTH_MAX_M
    )


def test_putter_loft_part_2_section_1a_read() -> None:
    highest, lowest = numbers("putter loft")
    assert (lowest, highest) == rules.PUTTER_LOFT_DEG
    assert ROWS["putter loft"]["read_or_memory"] == "read directly"
    assert "(read)" in rules.LOFT_SOURCE


def test_wood_head_volume_appendix_2_4b_read() -> None:
    assert [float(n) for n in re.findall(r"<=(\d+) cm3 \+(\d+)", ROWS["wood head volume"]["limit"])[0]] == [
        rules.HEAD_VOLUME_CM3,
        rules.HEAD_VOLUME_TOLERANCE_CM3,
    ]
    assert "(read)" in rules.VOLUME_SOURCE


def test_ball_mass_rules_of_2016_appendix_3_read() -> None:
    ounces, grams = numbers("ball mass")
    assert pytest.approx(grams / 1000.0, rel=1e-12) == BALL_MASS_KG
    assert grams == pytest.approx(ounces * G_PER_OZ, abs=0.005)
    assert Ball().mass_kg == BALL_MASS_KG


def test_ball_diameter_same_source_read() -> None:
    inches, millimetres = numbers("ball diameter")
    assert pytest.approx(millimetres / 1000.0, rel=1e-12) == BALL_DIAMETER_M
    assert millimetres == pytest.approx(inches * 25.4, abs=0.005)


def test_historical_restitution_sets_the_smash_ceiling() -> None:
    assert [float(n) for n in re.findall(r"COR (0\.\d+)", " ".join(ROWS))] == [LIMIT_RESTITUTION]
    assert "historical" in ROWS["COR 0.830"]["limit"]
    assert smash_ceiling() == smash_ceiling(0.200, LIMIT_RESTITUTION)


CHECKED = {
    "clubs carried",
    "club length",
    "putter loft",
    "wood head volume",
    "ball mass",
    "ball diameter",
    "COR 0.830",
}
OF_A_FLIGHT = {
    "ball overall distance",
    "ball overall distance from 1 Jan 2028 (decision Dec 2023)",
    "test atmosphere 75 F, 30 inHg, 50 % RH",
}
"""Held by the tests of flight: totals of the distance standard in its air."""
NOT_IN_A_BAG_FILE = {
    "wood head size": "dimensions",
    "wood head MOI": "moment of inertia",
    "spring effect, woods": "spring effect",
    "spring effect, lofts >35 deg": "spring effect",
    "used drivers": "spring effect",
    "grooves (all irons/wedges)": "grooves",
    "grooves, loft >=25 deg": "grooves",
}
OF_A_LABORATORY = {"ball initial velocity", "ball conditioning"}


def test_no_row_of_the_table_is_left_out() -> None:
    assert set(ROWS) == CHECKED | OF_A_FLIGHT | set(NOT_IN_A_BAG_FILE) | OF_A_LABORATORY


@pytest.mark.parametrize("item", sorted(NOT_IN_A_BAG_FILE))
def test_limits_that_a_bag_file_cannot_show_are_said_to_be_unchecked(item: str) -> None:
    assert NOT_IN_A_BAG_FILE[item] in rules.NOT_IN_THE_FILE.lower()
