"""The page of flight says what the code does: laws, ranges, effects and spans. Residuals: tests/published."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from bagwright.air import Air
from bagwright.flight.aero import LAWS
from bagwright.flight.fly import FAST_FROM
from bagwright.flight.launch import RANGES, Launch
from bagwright.flight.spread import spread
from tests.published.test_flight_effects import EFFECTS

PAGE = (Path(__file__).parents[3] / "docs" / "flight.md").read_text(encoding="utf-8").replace("−", "-")
ROWS = [
    [cell.strip() for cell in line.strip("|").split("|")] for line in PAGE.splitlines() if line[:1] == "|"
]
BY_NAME = {row[0].strip("`"): row for row in ROWS}


def figures(text: str) -> list[float]:
    return [float(each.replace(",", "")) for each in re.findall(r"-?\d[\d,]*\.?\d*", text)]


@pytest.mark.parametrize("name", LAWS)
def test_every_law_is_told_with_its_range(name: str) -> None:
    law, row = LAWS[name], BY_NAME[name]
    assert bool(law.usable) <= bool(row[4])
    if name in ("D1", "bearman-harvey-1976", "indoor-range-2001", "smits-smith-1994", "lyu-2018"):
        assert figures(row[2]) == [law.s_low, law.s_high]
        assert {law.re_low, law.re_high} <= set(figures(row[3]))


def test_every_range_is_told() -> None:
    for told, name, factor in (
        ("ball speed", "ball_speed_mps", 1.0),
        ("launch", "launch_rad", math.degrees(1.0)),
        ("spin", "spin_rpm", 1.0),
        ("start direction", "direction_rad", math.degrees(1.0)),
        ("tilt of the spin axis", "spin_axis_rad", math.degrees(1.0)),
    ):
        rows = [row for row in ROWS if row[0] == told and len(row) == 3 and figures(row[2])]
        assert len(rows) == 1
        low, high, _ = RANGES[name]
        assert [figures(rows[0][1])[0], figures(rows[0][2])[0]] == pytest.approx(
            [low * factor, high * factor]
        )


def test_effects_are_those_that_the_tests_hold() -> None:
    shown = [row for row in ROWS if len(row) == 6 and row[1].endswith("%") and row[1][0] in "+-"]
    assert [[figures(cell.replace("+", ""))[0] for cell in row[1:]] for row in shown] == [
        list(column) for column in zip(*EFFECTS.values(), strict=True)
    ]


def test_spans_are_those_of_spread() -> None:
    shown = [row for row in ROWS if len(row) == 3 and "m/s," in row[0]]
    assert len(shown) == 6
    for words, carry, span in shown:
        speed, degrees, rpm = figures(words.partition(":")[2])
        doubt = spread(Launch(speed, math.radians(degrees), rpm), Air(1.2, 1.81e-5)).carry
        assert figures(carry) == [pytest.approx(doubt.value, abs=0.051)]
        assert figures(span.replace("+", "")) == [
            round(100 * (doubt.low / doubt.value - 1)), round(100 * (doubt.high / doubt.value - 1)),
        ]  # fmt: skip


def test_the_page_says_from_where_on_the_fast_schedule_flies() -> None:
    assert f"From {FAST_FROM} flights" in PAGE
