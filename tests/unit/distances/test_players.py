"""Whole bags of four players, from a slow junior to a fast hitter: what is advised, and what is not.

That slow swings bunch at the long end and often do better with fewer clubs is common practice, no source.
"""

import re

import pytest

from bagwright.distances import DistanceTable, distances
from bagwright.distances.rows import table_rows
from bagwright.distances.setsize import set_size
from bagwright.distances.table import StepRules
from bagwright.units import M_PER_YD
from tests.unit.distances.players import FAST, JUNIOR, SENIOR, WOMAN, Line, bag_of, fits_of

PLAYERS: dict[str, tuple[tuple[Line, ...], float, float, float | None]] = {
    "55 mph junior": (JUNIOR, 55.0, 36.0, 13.0),
    "65 mph woman": (WOMAN, 65.0, 24.0, None),
    "75 mph senior": (SENIOR, 75.0, 18.0, 70.0),
    "115 mph player": (FAST, 115.0, 2.0, None),
}
SLOW = ("55 mph junior", "65 mph woman", "75 mph senior")


def measure(player: str) -> DistanceTable:
    lines, speed, handicap, age = PLAYERS[player]
    return distances(fits_of(lines, handicap), bag_of(lines, speed, handicap, age))


@pytest.mark.parametrize(
    ("player", "bunches"),
    [
        ("55 mph junior", [("3 wood", "5 wood"), ("4 iron", "5 iron")]),
        ("65 mph woman", [("3 wood", "5 wood", "7 wood"), ("5 iron", "6 iron")]),
        ("75 mph senior", [("3 iron", "4 iron", "5 iron")]),
        ("115 mph player", []),
    ],
)
def test_the_long_end_bunches_for_slow_swings_only(player: str, bunches: list[tuple[str, ...]]) -> None:
    found = [f for f in measure(player).findings if f.kind == "long end"]
    assert [f.clubs for f in found] == bunches
    for finding in found:
        assert finding.probability is not None
        assert finding.probability >= 0.9
        assert "less loft brings no more carry (common practice, no source)" in finding.next_step


@pytest.mark.parametrize("player", SLOW)
def test_a_slow_swing_is_advised_fewer_clubs_with_reasons(player: str) -> None:
    found = [f for f in measure(player).findings if f.kind == "set size"]
    assert len(found) == 1
    few, many = (int(n) for n in re.findall(r"(\d+) to (\d+) clubs", found[0].words)[0])
    carried = len(PLAYERS[player][0]) + 1
    assert 7 <= few <= many < carried
    assert found[0].clubs, "it says which clubs change the steps least"
    assert "common practice, no source" in found[0].words
    assert "Driver" not in found[0].clubs


def test_a_fast_player_is_left_fourteen_clubs_and_no_false_finding() -> None:
    kinds = {f.kind for f in measure("115 mph player").findings}
    assert kinds <= {"wedge soles", "wedge swings"}


def test_slower_swings_need_fewer_clubs() -> None:
    sizes = []
    for lines, speed, handicap, age in PLAYERS.values():
        size = set_size(
            table_rows(fits_of(lines, handicap), bag_of(lines, speed, handicap, age)), StepRules()
        )
        assert size is not None
        sizes.append(sum(size) / 2)
    assert sizes == sorted(sizes)
    assert sizes[-1] > 12.0


def test_leaving_out_what_is_advised_makes_no_gap() -> None:
    for player in SLOW:
        lines, speed, handicap, age = PLAYERS[player]
        out = next(f.clubs for f in measure(player).findings if f.kind == "set size")
        kept = tuple(line for line in lines if line[0] not in out)
        smaller = distances(fits_of(kept, handicap), bag_of(kept, speed, handicap, age))
        assert not [f for f in smaller.findings if f.kind == "gap"]
        assert not [f for f in smaller.findings if f.kind == "overlap"]


@pytest.mark.parametrize("player", PLAYERS)
def test_every_number_comes_with_a_range_and_every_finding_with_words(player: str) -> None:
    result = measure(player)
    for row in result.clubs:
        assert row.carry_m.low < row.carry_m.value < row.carry_m.high
        assert row.swings
    for step in result.steps:
        assert step.step_m.low < step.step_m.value < step.step_m.high
        assert 0.0 <= step.p_overlap <= 1.0
        assert 0.0 <= step.p_gap <= 1.0
    for finding in result.findings:
        assert finding.words
        assert "  " not in finding.words
        for word in ("best", "proven", "nan"):
            assert word not in f" {finding.words} {finding.next_step} ".split()


MIDDLE: tuple[Line, ...] = (
    ("5i", "iron", "5", 26.5, 183.0), ("6i", "iron", "6", 30.0, 172.0), ("7i", "iron", "7", 33.5, 160.0),
    ("8i", "iron", "8", 37.5, 148.0), ("9i", "iron", "9", 41.5, 136.0), ("PW", "wedge", "PW", 46.0, 124.0),
)  # fmt: skip


def test_irons_of_a_mid_handicap_stand_8_to_15_yards_apart_and_raise_no_finding() -> None:
    """Neighbouring irons 8-15 yd apart for a mid-handicap: common practice, no source."""
    result = distances(fits_of(MIDDLE, 12.0), bag_of(MIDDLE, 95.0, 12.0))
    for step in result.steps:
        assert 8.0 <= step.step_m.value / M_PER_YD <= 15.0
        assert step.word in ("even", "narrow")
    assert not {"gap", "overlap", "long end", "off the loft line"} & {f.kind for f in result.findings}


@pytest.mark.parametrize("carry", [120.0, 150.0, 180.0, 210.0])
@pytest.mark.parametrize("share", [0.072, 0.085, 0.098])
def test_steps_of_7_to_10_percent_of_carry_are_even(carry: float, share: float) -> None:
    """Steps of 7-10 % of carry: common practice, no source."""
    longer = carry * (1 + share / 2) / (1 - share / 2)
    lines: tuple[Line, ...] = (("a", "iron", None, 30.0, longer), ("b", "iron", None, 34.0, carry))
    assert distances(fits_of(lines, 12.0, 0.5), bag_of(lines, 95.0, 12.0)).steps[0].word == "even"
