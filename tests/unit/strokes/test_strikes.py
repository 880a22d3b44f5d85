"""Every shot flies to its own carry, as it was measured; what nobody measured follows from loft and carry."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bagwright.air import STANDARD, air
from bagwright.bag.club import Bag, Club, Player
from bagwright.course.lies import Lie
from bagwright.dispersion.fit import fit_dispersion
from bagwright.shots.record import Shot, ShotTable
from bagwright.strokes.by_lie import Ground, by_lie
from bagwright.strokes.flown_shots import Place, flown_shots
from bagwright.strokes.ground import Grounds
from bagwright.strokes.kernels import SWINGS, full_kernels, strike_of
from bagwright.strokes.table import patterns_of
from bagwright.turf import FAIRWAY
from tests.unit.strokes.finish import find

PLAYER = Player(handicap=8.0, driver_speed_mps=45.0)
BAG = Bag(
    PLAYER,
    (Club("7 iron", "iron", "7", stamped_loft_deg=33.0), Club("5 iron", "iron", "5", stamped_loft_deg=26.0)),
)


def shots(descent_deg: float | None, measured: bool = True, side: bool = True) -> ShotTable:
    rng = np.random.default_rng(6)
    made: list[Shot] = []
    for _ in range(10):
        a, b = rng.standard_normal(2)
        seen: dict[str, float] = {"carry_m": 140.0 + 4.0 * a}
        if side:
            seen["offline_m"] = 6.0 * b
        if measured:
            seen |= {"ball_speed_mps": 51.0 + a, "launch_rad": math.radians(18.0), "spin_rpm": 6600.0}
        if descent_deg is not None:
            seen["descent_rad"] = math.radians(descent_deg + 0.5 * b)
        made.append(Shot("7 iron", len(made), **seen))  # type: ignore[arg-type]
    return ShotTable.of(made)


def test_from_every_lie_a_shot_flies_to_the_carry_of_the_lie() -> None:
    fits = fit_dispersion(shots(None), PLAYER, BAG)
    kernels = full_kernels(BAG, fits, {}, SWINGS)
    lies = by_lie(kernels, {}, 8.0, Ground())
    flown = flown_shots(kernels, lies.x_m, lies.spin, Place(STANDARD, STANDARD, Grounds(FAIRWAY)))
    assert np.abs(flown.carry_m - lies.x_m).max() < 0.1


def test_a_measured_strike_and_descent_are_kept() -> None:
    fits = fit_dispersion(shots(47.0), PLAYER, BAG)
    strike = strike_of(fits, ("7 iron", "stock"))
    assert strike.ball_speed_mps == pytest.approx(51.0, abs=0.8)
    table = patterns_of(BAG, None, fits)
    seven = find(table, "7 iron")
    assert math.degrees(math.atan(table.tan_descent[Lie.FAIRWAY, seven])) == pytest.approx(47.0, abs=0.8)
    flat = patterns_of(BAG, None, fit_dispersion(shots(39.0), PLAYER, BAG))
    assert flat.run_m[Lie.FAIRWAY, seven, 0] > table.run_m[Lie.FAIRWAY, seven, 0] + 2.0
    assert not any("No ball speed" in text for text in table.said)


def test_without_a_measured_strike_loft_and_carry_decide() -> None:
    table = patterns_of(BAG, None, fit_dispersion(shots(None, measured=False), PLAYER, BAG))
    seven, five = (table.tan_descent[Lie.FAIRWAY, find(table, club)] for club in ("7 iron", "5 iron"))
    assert 38.0 < math.degrees(math.atan(seven)) < 53.0
    assert five < seven


def test_without_sides_the_side_is_that_of_the_handicap() -> None:
    """(2.9 + 0.16 h) degrees of the dispersion room, with the doubt of the centre about it."""
    table = patterns_of(BAG, None, fit_dispersion(shots(None, side=False), PLAYER, BAG))
    part = table.parts[Lie.FAIRWAY, find(table, "7 iron")]
    sd = math.degrees(
        math.atan2(float(np.sqrt(part[:3, 0] @ part[:3, 4] ** 2 / part[:3, 0].sum())), part[0, 1])
    )
    assert 0.9 * (2.9 + 0.16 * 8.0) < sd < 1.5 * (2.9 + 0.16 * 8.0)
    assert abs(part[0, 2]) < 0.1


def test_shots_hit_in_thin_air_are_shorter_at_the_sea() -> None:
    fits = fit_dispersion(shots(None), PLAYER, BAG)
    high = air(altitude_m=1600.0)
    at_home, away = (patterns_of(BAG, None, fits, air_here=high, air=there) for there in (high, STANDARD))
    seven = find(at_home, "7 iron")
    a, b = (table.parts[Lie.FAIRWAY, seven, 0, 1] for table in (at_home, away))
    assert a == pytest.approx(140.0, abs=3.0)
    assert 0.85 * a < b < 0.99 * a
