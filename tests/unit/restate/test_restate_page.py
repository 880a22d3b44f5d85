"""The numbers that docs/restate.md shows."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

import bagwright.restate as package
from bagwright.flight.fly import fly
from bagwright.flight.launch import Launch
from bagwright.restate import BALL_FACTORS, CARD, Setting, doubt, restate_shots
from bagwright.shots.record import Shot, ShotTable

PAGE = (Path(__file__).parents[3] / "docs" / "restate.md").read_text(encoding="utf-8")
STRIKES = {
    "fast driver": (75.0, 10.8, 2600.0),
    "slow driver": (58.0, 13.0, 2900.0),
    "mid iron": (53.0, 17.0, 6500.0),
    "wedge": (40.0, 28.0, 9300.0),
}
HERE = Setting()


def changes(club: str) -> list[float]:
    """Percent of carry by place of the card, winds from one side only."""
    speed, degrees, rpm = STRIKES[club]
    strike = Launch(speed, math.radians(degrees), rpm)
    shot = Shot(club, 1, carry_m=fly(strike).carry_m, ball_speed_mps=speed, launch_rad=strike.launch_rad,
                spin_rpm=rpm)  # fmt: skip
    found = []
    for place in CARD:
        if place.label not in ("20 °C", "sea level", "cross from the left"):
            one = restate_shots(ShotTable.of([shot]), HERE, place.setting(HERE)).changes[0]
            found.append(100.0 * one.change_m.value / one.carry_here_m)
    return found


@pytest.mark.parametrize("club", STRIKES)
def test_the_table_of_changes(club: str) -> None:
    row = re.search(rf"^\| {club} \|(.+)\|$", PAGE, re.MULTILINE)
    assert row is not None
    told = [float(cell.replace("−", "-").strip(" %+")) for cell in row[1].split("|")]
    assert told == pytest.approx(changes(club), abs=0.051)


def test_balls_and_doubts_are_told() -> None:
    for name in ("range", "soft"):
        f = BALL_FACTORS[name]
        assert f"| {name} | {f.value:.2f} | {f.low:.2f} to {f.high:.2f} |" in PAGE
    assert f"{100 * doubt.CHANGE_SD:.0f} %" in PAGE
    assert f"{100 * doubt.CHANGE_SD_UNSEEN:.0f} %" in PAGE


def test_every_public_name_is_on_the_page() -> None:
    for name in package.__all__:
        assert f"`{name}" in PAGE, name


def test_the_example_of_the_page_runs() -> None:
    code = re.search(r"```python\n(.+?)```", PAGE, re.DOTALL)
    assert code is not None
    strike = Launch(53.0, math.radians(17.0), 6500.0)
    flown = fly(strike)
    shot = Shot("7 iron", 1, carry_m=flown.carry_m, apex_m=flown.apex_m, ball_speed_mps=53.0,
                launch_rad=strike.launch_rad, spin_rpm=6500.0)  # fmt: skip
    names: dict[str, object] = {"shots": ShotTable.of([shot] * 5)}
    exec(code[1], names)  # noqa: S102 - the page's own example
    back, measured = names["back"], names["shots"]
    assert isinstance(back, package.Restated)
    assert isinstance(measured, ShotTable)
    assert back.table.measure("carry_m") == pytest.approx(measured.measure("carry_m"), rel=1e-9)
