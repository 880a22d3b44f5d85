"""Off-centre strikes: signs for both hands, loss, bad numbers."""

import math

import pytest

from bagwright.errors import InputError
from bagwright.impact import HEADS, gear_effect

DRIVER = HEADS["driver"]


def spin(toe_m: float, hand: str) -> float:
    return gear_effect(toe_m, 68.0, DRIVER, hand).side_spin_rpm.value  # type: ignore[arg-type]


def test_toe_curves_back_across_for_either_hand() -> None:
    """Right is positive. Toe: left for a right-hander, right for a left-hander; heel the other way."""
    assert spin(0.015, "right") < 0.0
    assert spin(-0.015, "right") > 0.0
    assert spin(0.015, "left") > 0.0
    assert spin(-0.015, "left") < 0.0


def test_hands_and_sides_mirror() -> None:
    one, other = gear_effect(0.012, 68.0, DRIVER, "right"), gear_effect(0.012, 68.0, DRIVER, "left")
    assert one.side_spin_rpm.value == -other.side_spin_rpm.value
    assert one.side_spin_rpm.low == -other.side_spin_rpm.high
    assert one.speed_factor == other.speed_factor
    assert spin(0.012, "right") == -spin(-0.012, "right")


def test_loses_more_the_farther_out_and_nothing_in_the_centre() -> None:
    factors = [gear_effect(x, 68.0, DRIVER).speed_factor.value for x in (0.0, 0.01, 0.02, 0.03)]
    assert factors[0] == 1.0
    assert factors == sorted(factors, reverse=True)
    centre = gear_effect(0.0, 68.0, DRIVER)
    assert centre.side_spin_rpm.value == 0.0
    assert centre.mass_kg == pytest.approx(DRIVER.mass_kg, rel=1e-15)


def test_a_shallow_head_gives_less_spin_than_a_deep_one() -> None:
    assert abs(gear_effect(0.01, 50.0, HEADS["iron"]).side_spin_rpm.value) < 0.5 * abs(spin(0.01, "right"))


def test_ranges_hold_their_values_and_their_side() -> None:
    got = gear_effect(0.015, 68.0, DRIVER)
    assert got.speed_factor.low < got.speed_factor.value < got.speed_factor.high <= 1.0
    assert got.side_spin_rpm.low < got.side_spin_rpm.value < got.side_spin_rpm.high < 0.0


@pytest.mark.parametrize(
    ("numbers", "told"),
    [
        ((0.5, 68.0, DRIVER), "toe_m = 0.5 cannot be used"),
        ((math.nan, 68.0, DRIVER), "toe_m = nan is not a number"),
        ((0.01, 176.0, DRIVER), "centre_ball_speed_mps = 176 cannot be used"),
        ((0.01, 68.0, DRIVER, "both"), "hand 'both' is not known"),
    ],
)
def test_hostile(numbers: tuple[object, ...], told: str) -> None:
    with pytest.raises(InputError) as caught:
        gear_effect(*numbers)  # type: ignore[arg-type]
    assert told in str(caught.value)
