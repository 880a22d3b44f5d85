"""The limits that the bag check uses, against the table of limits beside this file.

The table names the source of each limit and whether it was read there or is from memory (`read_or_memory`);
rows from memory are checked only for agreement between two places typed apart.
"""

import csv
import re
from pathlib import Path

import pytest

from bagwright.bag import rules
from bagwright.units import M_PER_IN

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
