"""Numbers as people read them, with values worked out by hand."""

from __future__ import annotations

import math

import pytest

from bagwright.distances.table import Step
from bagwright.estimate import Estimate
from bagwright.report.words import (
    Show,
    counted,
    degrees,
    joined,
    number,
    one_in,
    plain_degrees,
    share,
    sided,
    step_said,
    sure,
    usual_side,
)

NB = "\u00a0"
YARDS, METRES = Show("yards"), Show("metres")


def test_numbers_have_a_true_minus_and_no_minus_zero() -> None:
    assert number(-3.4) == "−3"
    assert number(-0.04, 1) == "0.0"
    assert number(12.345, 2) == "12.35" or number(12.345, 2) == "12.34"


def test_a_carry_in_both_systems() -> None:
    # 100 yd = 91.44 m exactly (international yard, 1959).
    carry = Estimate(91.44, 88.6968, 95.0976)
    assert YARDS.distance_ranged(carry) == f"100{NB}yd (97{NB}to{NB}104)"
    assert METRES.distance_ranged(carry) == f"91{NB}m (89{NB}to{NB}95)"
    assert YARDS.plus_minus(carry) == f"100{NB}±4"


def test_the_half_width_of_a_range_is_never_rounded_down_or_to_zero() -> None:
    assert METRES.plus_minus(Estimate(50.0, 49.9, 50.1)).endswith("±1")
    assert METRES.plus_minus(Estimate(50.0, 47.9, 52.1)).endswith("±3")


@pytest.mark.parametrize(
    ("word", "overlap", "gap", "said"),
    [
        ("even", 0.02, 0.03, "even"),
        ("gap", 0.0, 0.84, "gap, likely (84 %)"),
        ("overlap", 0.91, 0.0, "overlap, very likely (91 %)"),
        ("same carry", 0.80, 0.0, "same carry, likely (80 %)"),
        ("wide", 0.01, 0.31, "wide, a gap 31 %"),
        ("narrow", 0.42, 0.0, "narrow, an overlap 42 %"),
    ],
)
def test_a_step_s_word_has_its_chance_beside_it(word: str, overlap: float, gap: float, said: str) -> None:
    ten = Estimate(10.0, 8.0, 12.0)
    step = Step("7 iron", "8 iron", ten, 0.08, 8.0, 12.0, 5.0, 15.0, overlap, gap, word, "yes", "")
    assert step_said(step).replace("\xa0", " ") == said


def test_heights_are_in_feet_beside_yards() -> None:
    # 30 ft = 9.144 m exactly.
    assert YARDS.height(Estimate(9.144, 8.5344, 9.7536)) == f"30{NB}ft (28{NB}to{NB}32)"
    assert METRES.height(Estimate(9.144, 8.5344, 9.7536)) == f"9{NB}m (9{NB}to{NB}10)"


@pytest.mark.parametrize(
    ("right", "shown"),
    [
        (0.16, f"left{NB}84{NB}%"),
        (0.99, f"right{NB}>97{NB}%"),
        (0.55, "either side"),
        (0.41, "either side"),
        (None, "–"),
        (math.nan, "–"),
    ],
)
def test_the_usual_side_is_a_word_with_its_chance(right: float | None, shown: str) -> None:
    assert usual_side(right) == shown


def test_words_never_go_without_the_figure() -> None:
    assert sure(0.83) == f"likely (83{NB}%)"
    assert sure(0.995) == f"almost certain (>97{NB}%)"


def test_small_chances_as_cases() -> None:
    assert one_in(0.125) == "about 1 case in 8"
    assert one_in(0.004) == "fewer than 1 case in 100"
    assert one_in(0.6) == "about 6 cases in 10"


def test_small_words() -> None:
    assert joined(["A", "B", "C"]) == "A, B and C"
    assert joined(["A"]) == "A"
    assert counted(1, "ball") == f"1{NB}ball"
    assert counted(3, "ball") == f"3{NB}balls"
    assert sided(-3.4) == f"3{NB}left"
    assert sided(0.2) == "0"
    assert share(Estimate(0.062, 0.02, 0.141)) == f"6{NB}% (2{NB}to{NB}14)"
    assert degrees(Estimate(math.radians(47), math.radians(45), math.radians(49))) == f"47° (45{NB}to{NB}49)"
    assert plain_degrees(50.0) == "50°"
    assert plain_degrees(50.5) == "50.5°"
    assert YARDS.length(0.9017) == f"35.50{NB}in"
    assert METRES.length(0.9017) == f"90.2{NB}cm"


@pytest.mark.parametrize(
    "say", [YARDS.ranged, YARDS.distance_ranged, YARDS.height, YARDS.side, share, degrees]
)
def test_what_was_not_measured_is_a_dash_and_never_a_zero(say: object) -> None:
    assert callable(say)
    assert say(None) == "–"
