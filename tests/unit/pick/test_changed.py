"""A player who is changed: faster clubs carry further, more loft shorter, the present stays as it is."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bagwright.air import STANDARD, Wind
from bagwright.bag.club import Bag, Build, Club, Player
from bagwright.course.lies import Lie
from bagwright.dispersion.fit import fit_dispersion
from bagwright.errors import InputError
from bagwright.flight.launch import Launch
from bagwright.impact import carry_per_degree, head_of
from bagwright.pick.changed import Change, tables_of
from bagwright.shots.record import ShotTable
from bagwright.strokes.kernels import full_kernels
from bagwright.strokes.patterns import PatternTable
from bagwright.strokes.strikes import base_strikes
from bagwright.strokes.table import in_winds

BAG = Bag(
    Player(handicap=14.0, driver_speed_mps=41.0),
    (
        Club("Driver", "driver", "1", stamped_loft_deg=10.5, build=Build(length_m=1.149)),
        Club("7 iron", "iron", "7", stamped_loft_deg=32.0),
        Club("Gap wedge", "wedge", "G", stamped_loft_deg=50.0),
    ),
)


def carry(table: PatternTable, club: str, swing: str = "stock") -> float:
    at = next(
        i
        for i, shot in enumerate(table.shots)
        if (shot.club, shot.swing, shot.length_m) == (club, swing, None)
    )
    parts = table.parts[int(Lie.FAIRWAY), at, :-1]
    return float(parts[:, 0] @ parts[:, 1] / parts[:, 0].sum())


def test_without_a_change_it_is_the_player_s_own_table() -> None:
    winds = [None, Wind(5.0, 0.3)]
    ours = tables_of(BAG, None, winds)
    theirs = [table for _, table in in_winds(BAG, [(1.0, wind) for wind in winds])]
    for a, b in zip(ours, theirs, strict=True):
        assert a.shots == b.shots
        np.testing.assert_array_equal(a.parts, b.parts)
        np.testing.assert_array_equal(a.wind_x_m, b.wind_x_m)


def test_faster_goes_further_and_no_more_than_speed_allows() -> None:
    now, faster = tables_of(BAG, None, [None])[0], tables_of(BAG, None, [None], [Change(faster=0.05)])[0]
    for club in ("Driver", "7 iron", "Gap wedge"):
        ratio = carry(faster, club) / carry(now, club)
        # Without air a carry grows as speed squared: 10 %; drag takes part of it away.
        assert 1.02 < ratio < 1.11, club
    assert any("5.0 % speed" in said for said in faster.said)


def test_a_degree_of_loft_is_what_the_impact_model_says() -> None:
    change = Change("Gap wedge", loft_rad=math.radians(2.0))
    now, after = (tables_of(BAG, None, [None], changes)[0] for changes in ((), (change,)))
    assert carry(after, "7 iron") == carry(now, "7 iron")
    lost = carry(now, "Gap wedge") - carry(after, "Gap wedge")

    fits = fit_dispersion(ShotTable.of([]), BAG.player, BAG)
    kernel = next(k for k in full_kernels(BAG, fits, {}, ("stock",)) if k.shot.club == "Gap wedge")
    strike = base_strikes([kernel], STANDARD)
    launch = Launch(float(strike.ball_speed_mps[0]), float(strike.launch_rad[0]), float(strike.spin_rpm[0]))
    per_degree = carry_per_degree(launch, head_of("wedge")).value
    assert lost == pytest.approx(2.0 * per_degree, rel=0.15)


def test_a_changed_build_stands_beside_the_present_one() -> None:
    change = Change("Driver", longer_m=-0.0254, name="Driver-1in")
    table = tables_of(BAG, None, [None], [change])[0]
    assert {shot.club for shot in table.shots} == {"Driver", "7 iron", "Gap wedge", "Driver-1in"}
    assert carry(table, "Driver-1in") < carry(table, "Driver")
    assert carry(table, "Driver") == carry(tables_of(BAG, None, [None])[0], "Driver")


def test_what_cannot_be_changed_is_said() -> None:
    for change in (
        Change("3 wood", loft_rad=0.02),
        Change("7 iron", longer_m=0.01),
        Change("Driver", loft_rad=0.5),
    ):
        with pytest.raises(InputError):
            tables_of(BAG, None, [None], [change])
