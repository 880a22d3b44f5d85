"""Club to ball: signs, symmetry, and the way back."""

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from bagwright.errors import InputError
from bagwright.flight.launch import Launch
from bagwright.impact import (
    HEADS,
    Delivery,
    Head,
    delivery_of,
    face_share,
    friction,
    head_of,
    smash_ceiling,
    strike,
)

RAD = math.pi / 180.0
KINDS = sorted(HEADS)


def deliver(speed: float, loft: float, attack: float = 0.0, path: float = 0.0, face: float = 0.0) -> Delivery:
    return Delivery(speed, loft * RAD, attack * RAD, path * RAD, face * RAD)


@given(st.floats(15.0, 60.0), st.floats(8.0, 60.0), st.floats(-8.0, 6.0), st.sampled_from(KINDS))
@settings(max_examples=200, deadline=None)
def test_delivery_of_is_the_way_back(speed: float, loft: float, attack: float, kind: str) -> None:
    delivery = deliver(speed, loft, attack)
    got = strike(delivery, HEADS[kind])  # type: ignore[index]
    assume(0.0 < got.launch_rad.value < 80.0 * RAD)
    assume(got.spin_rpm.value < 20_000.0)
    back = delivery_of(got.launch, HEADS[kind])  # type: ignore[index]
    assert back.club_speed_mps == pytest.approx(speed, rel=1e-9)
    assert back.loft_rad == pytest.approx(delivery.loft_rad, abs=1e-9)
    assert back.attack_rad == pytest.approx(delivery.attack_rad, abs=1e-9)


def test_delivery_of_keeps_the_start_direction() -> None:
    got = strike(delivery_of(Launch(60.0, 14 * RAD, 3000.0, 3 * RAD), HEADS["driver"]), HEADS["driver"])
    assert got.direction_rad.value == pytest.approx(3 * RAD)
    assert got.spin_axis_rad.value == pytest.approx(0.0, abs=1e-12)


@given(st.floats(-8.0, 8.0), st.floats(-8.0, 8.0), st.floats(10.0, 50.0))
@settings(max_examples=100, deadline=None)
def test_mirror_symmetric(path: float, face: float, loft: float) -> None:
    one = strike(deliver(40.0, loft, -2.0, path, face), HEADS["iron"])
    other = strike(deliver(40.0, loft, -2.0, -path, -face), HEADS["iron"])
    assert one.direction_rad.value == pytest.approx(-other.direction_rad.value, abs=1e-12)
    assert one.spin_axis_rad.value == pytest.approx(-other.spin_axis_rad.value, abs=1e-12)
    assert one.direction_rad.low == pytest.approx(-other.direction_rad.high, abs=1e-12)
    for name in ("ball_speed_mps", "launch_rad", "spin_rpm"):
        assert getattr(one, name).value == pytest.approx(getattr(other, name).value, rel=1e-12)


def test_face_open_to_path_curves_right_and_closed_left() -> None:
    open_face = strike(deliver(45.0, 13.0, 0.0, 0.0, 2.0), HEADS["driver"])
    closed = strike(deliver(45.0, 13.0, 0.0, 0.0, -2.0), HEADS["driver"])
    assert open_face.direction_rad.value > 0.0
    assert open_face.spin_axis_rad.value > 0.0
    assert closed.spin_axis_rad.value < 0.0
    across = strike(deliver(45.0, 13.0, 0.0, -4.0, -2.0), HEADS["driver"])
    assert across.direction_rad.value < 0.0 < across.spin_axis_rad.value


def test_range_of_the_tilt_keeps_its_side() -> None:
    tilt = strike(deliver(45.0, 13.0, 0.0, 0.0, 2.0), HEADS["driver"]).spin_axis_rad
    assert 0.0 < tilt.low < tilt.value < tilt.high < math.pi / 2.0


def test_turning_the_whole_swing_turns_the_start_only() -> None:
    straight = strike(deliver(45.0, 20.0, -3.0), HEADS["wood"])
    turned = strike(deliver(45.0, 20.0, -3.0, 5.0, 5.0), HEADS["wood"])
    assert turned.direction_rad.value == pytest.approx(5 * RAD)
    assert turned.spin_axis_rad.value == pytest.approx(0.0, abs=1e-12)
    assert turned.spin_rpm.value == pytest.approx(straight.spin_rpm.value)
    assert turned.spin_loft_rad == pytest.approx(23 * RAD)


def test_more_loft_launches_higher_slower_with_more_spin() -> None:
    strikes = [strike(deliver(36.0, loft, -3.0), HEADS["iron"]) for loft in (20.0, 25.0, 30.0, 40.0)]
    assert [s.launch_rad.value for s in strikes] == sorted(s.launch_rad.value for s in strikes)
    assert [s.spin_rpm.value for s in strikes] == sorted(s.spin_rpm.value for s in strikes)
    assert [-s.ball_speed_mps.value for s in strikes] == sorted(-s.ball_speed_mps.value for s in strikes)


@given(st.floats(15.0, 60.0), st.floats(5.0, 60.0), st.sampled_from(KINDS))
@settings(max_examples=60, deadline=None)
def test_never_over_the_smash_ceiling(speed: float, loft: float, kind: str) -> None:
    head = HEADS[kind]  # type: ignore[index]
    ceiling = smash_ceiling(head.mass_kg, head.restitution(speed * math.cos(loft * RAD)))
    assert strike(deliver(speed, loft), head).smash.value <= ceiling + 1e-12


def test_weak_friction_takes_spin_and_adds_launch() -> None:
    grips = strike(deliver(34.0, 50.0, -5.0), HEADS["wedge"])
    slides = strike(deliver(34.0, 50.0, -5.0), HEADS["wedge"], "hard")
    assert not grips.slides
    assert slides.slides
    assert slides.spin_rpm.value < grips.spin_rpm.value
    assert slides.launch_rad.value > grips.launch_rad.value


def test_face_share_falls_with_spin_loft() -> None:
    shares = [face_share(angle * RAD, HEADS["iron"]) for angle in (5.0, 20.0, 40.0, 60.0)]
    assert shares == sorted(shares, reverse=True)
    assert all(0.6 < share < 0.85 for share in shares)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"club_speed_mps": 0.0}, "delivery: club_speed_mps = 0 cannot be used"),
        ({"club_speed_mps": math.nan}, "delivery: club_speed_mps = nan is not a number"),
        ({"loft_rad": 27.0}, "delivery: loft_rad = 27 cannot be used"),
        ({"attack_rad": "steep"}, "delivery: attack_rad = 'steep' is not a number"),
        ({"path_rad": None}, "delivery: path_rad = None is not a number"),
        ({"face_rad": True}, "delivery: face_rad = True is not a number"),
        ({"face_rad": math.inf}, "delivery: face_rad = inf cannot be used"),
    ],
)
def test_hostile_deliveries(change: dict[str, object], told: str) -> None:
    with pytest.raises(InputError) as caught:
        replace(deliver(40.0, 20.0), **change)  # type: ignore[arg-type]
    assert told in str(caught.value)


def test_hostile_heads_and_names() -> None:
    with pytest.raises(InputError, match=r"head: mass_kg = 200 cannot be used"):
        Head(200.0, 0.8, 4.5e-4, 0.03)
    with pytest.raises(InputError, match="no head is known for 'putter'"):
        head_of("putter")
    with pytest.raises(InputError, match="cover 'balata' is not known"):
        friction(10.0, "balata")  # type: ignore[arg-type]
    with pytest.raises(InputError, match=r"restitution = 1\.1 cannot be used"):
        smash_ceiling(0.2, 1.1)
    assert head_of("iron") is HEADS["iron"]


def test_launches_that_no_delivery_gives() -> None:
    with pytest.raises(InputError, match="more than rolling gives"):
        delivery_of(Launch(10.0, 0.5, 20_000.0), HEADS["wedge"])
    with pytest.raises(InputError, match="club_speed_mps"):
        delivery_of(Launch(1.0, 0.5, 0.0), HEADS["driver"])
    with pytest.raises(InputError, match="launch_rad"):
        _ = strike(deliver(30.0, 0.0, -20.0), HEADS["iron"]).launch
