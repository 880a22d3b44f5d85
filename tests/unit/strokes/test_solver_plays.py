"""Solved holes played out, read back, asked, stopped; and what must hold of every answer."""

from __future__ import annotations

import dataclasses
import json
from functools import lru_cache

import numpy as np
import pytest

from bagwright.bag.club import Player
from bagwright.course.lies import Lie
from bagwright.course.raster import Raster
from bagwright.errors import InputError
from bagwright.strokes.figures import bag_of_figures, table_of_figures
from bagwright.strokes.patterns import PatternTable
from bagwright.strokes.reference import reference_player
from bagwright.strokes.result import HoleStrokes, Strokes
from bagwright.strokes.solve import StoppedError, alternatives, expected_strokes
from bench._play_hole import mean_and_error, play_hole
from tests.unit.strokes import factory

FEW = ("driver", "7 iron", "46 wedge", "58 wedge")


@lru_cache(maxsize=4)
def player(**changes: float) -> PatternTable:
    return factory.table(clubs=FEW, swings=("stock",), pitches=(7, 18, 38), **changes)


@lru_cache(maxsize=4)
def solved(seed: int = 104, par: int = 3) -> tuple[Raster, Strokes]:
    raster = factory.hole(seed, par, hills=True)
    return raster, expected_strokes([raster], player(wind_mps=4.0), threads=1)


def one(raster: Raster, table: PatternTable | None = None) -> HoleStrokes:
    return expected_strokes([raster], table or player(wind_mps=4.0), threads=1).holes[0]


def test_a_plain_player_of_the_policy_needs_as_many_strokes() -> None:
    """20,000 rounds of a simulator that shares nothing with the solver, on water and out of bounds."""
    raster, found = solved()
    hole = found.holes[0]
    assert {int(Lie.WATER_RED), int(Lie.OUT)} <= {int(k) for k in np.unique(raster.lie[5:-5, 5:-5])}
    mean, error = mean_and_error(play_hole(hole, raster, player(wind_mps=4.0), 20_000, 7))
    assert abs(mean - hole.strokes) < 4 * error + hole.error_bound
    assert hole.sd == pytest.approx(np.sqrt(20_000) * error, rel=0.04)
    assert hole.converged
    assert abs(hole.residual) <= hole.error_bound < 0.02


def test_another_bag_with_one_club_more_never_needs_more() -> None:
    raster, found = solved()
    small = factory.table(clubs=("driver", "46 wedge"), swings=("stock",), pitches=(7, 18, 38), wind_mps=4.0)
    fewer = one(raster, small)
    assert found.holes[0].strokes <= fewer.strokes + found.holes[0].error_bound + fewer.error_bound
    both = np.isfinite(fewer.value)
    assert np.mean((found.holes[0].value - fewer.value)[both] > 0.02) < 0.02


def test_a_mirrored_hole_and_player_need_the_same() -> None:
    raster = factory.hole(101, 3, width=110)
    table = player()
    parts = np.array(table.parts)
    parts[..., 2], parts[..., 5] = -parts[..., 2], -parts[..., 5]
    ny = raster.lie.shape[1]
    flip = np.arange(raster.lie.size).reshape(raster.lie.shape)[:, ::-1].ravel()
    other = dataclasses.replace(
        raster, lie=np.ascontiguousarray(raster.lie[:, ::-1]),
        relief=np.argsort(flip)[raster.relief[:, ::-1].ravel()].reshape(raster.lie.shape).astype(np.int32),
        y0_m=-(raster.y0_m + ny * raster.cell_m), pin_m=(raster.pin_m[0], -raster.pin_m[1]),
    )  # fmt: skip
    a, b = one(raster, table), one(other, dataclasses.replace(table, parts=parts))
    assert abs(a.strokes - b.strokes) < 2e-3 + a.error_bound + b.error_bound
    # Single balls of a spot are not mirrored: cells are known to some 0.002 each.
    assert np.nanmedian(np.abs(a.value - b.value[:, ::-1])) < 2e-3


def test_more_ground_out_of_bounds_never_helps() -> None:
    raster, found = solved()
    lie = raster.lie.copy()
    lie[lie == Lie.RECOVERY] = Lie.OUT
    lie[:, -20:] = Lie.OUT
    worse = one(dataclasses.replace(raster, lie=lie))
    assert worse.strokes >= found.holes[0].strokes - found.holes[0].error_bound - worse.error_bound


def test_a_result_is_kept_and_read_again() -> None:
    _, found = solved()
    again = Strokes.of(json.loads(json.dumps(found.plain())), found.arrays())
    assert again == found
    for name in ("value", "shot", "aim"):
        np.testing.assert_array_equal(getattr(again.holes[0], name), getattr(found.holes[0], name))
    bare = Strokes.of(found.plain(), {})
    assert bare.holes[0].value.shape == (0, 0)
    assert bare.holes[0].at(0.0, 0.0) is None


def test_demand_counts_every_shot_once() -> None:
    _, found = solved()
    times = {lie: sum(d.times for d in found.demand if d.lie == lie) for lie in range(6)}
    assert times[Lie.TEE] >= 1.0
    assert all(0 <= d.low_m < d.high_m for d in found.demand)
    # Shots, putts and penalties together are the strokes.
    assert 1.0 <= sum(times.values()) <= found.strokes - 1.0


def test_alternatives_say_what_each_club_costs() -> None:
    raster, found = solved()
    hole, table = found.holes[0], player(wind_mps=4.0)
    told = alternatives(hole, raster, table, 0.0, 0.0, Lie.TEE)
    assert told[0].strokes == pytest.approx(hole.strokes, abs=0.004)
    assert told[0].more == 0.0
    assert [a.strokes for a in told] == sorted(a.strokes for a in told)
    assert len({table.shots[a.shot].club for a in told}) == len(told)
    kept = Strokes.of(found.plain(), found.arrays()).holes[0]
    assert [a.shot for a in alternatives(kept, raster, table, 0.0, 0.0, Lie.TEE)] == [a.shot for a in told]
    spot = hole.at(40.0, 0.0)
    assert spot is not None
    assert alternatives(hole, raster, table, 40.0, 0.0)[0].strokes == pytest.approx(spot.strokes, abs=0.05)
    with pytest.raises(InputError, match="no shot is chosen"):
        alternatives(hole, raster, table, -9999.0, 0.0)


def test_a_drop_at_the_fairway_for_two_strokes_is_kept_with_the_result() -> None:
    """Model Local Rule E-5 costs never more here than stroke and distance: it leaves the ball further on."""
    raster, found = solved()
    table = player(wind_mps=4.0)
    dropped = expected_strokes([raster], table, threads=1, local_rule_e5=True).holes[0]
    assert dropped.local_rule_e5
    assert Strokes.of(found.plain(), {}).holes[0].local_rule_e5 is False
    assert dropped.strokes <= found.holes[0].strokes + dropped.error_bound + found.holes[0].error_bound
    told = alternatives(dropped, raster, table, 0.0, 0.0, Lie.TEE)
    assert told[0].strokes == pytest.approx(dropped.strokes, abs=0.004)


def test_from_anywhere_there_is_a_way_out() -> None:
    """Undecided spots once looked cheap: balls under trees were chipped 3 m at a time for ever."""
    raster = factory.hole(101, 3, width=130)
    lie = raster.lie.copy()
    lie[4:60, 4:30] = Lie.RECOVERY
    lie[4:60, 30:34] = Lie.OUT
    hole = one(dataclasses.replace(raster, lie=lie), reference_player("bogey").table())
    assert hole.converged
    assert hole.sweeps < 30
    assert np.nanmax(hole.value) < 10.0


def test_progress_is_told_and_a_stop_is_heard() -> None:
    raster = factory.hole(101, 3, width=110)
    told: list[tuple[int, int]] = []
    expected_strokes([raster], player(), threads=1, progress=lambda done, of: told.append((done, of)))
    assert told == [(1, 1)]
    with pytest.raises(StoppedError):
        expected_strokes([raster], player(), threads=1, stop=lambda: True)
    with pytest.raises(InputError, match="no hole"):
        expected_strokes([], player())


def test_a_lie_that_forbids_every_shot_is_refused() -> None:
    raster, table = factory.hole(101, 3, width=110), player()
    allowed = np.array(table.allowed)
    allowed[Lie.SAND] = False
    with pytest.raises(InputError, match="sand"):
        one(raster, dataclasses.replace(table, allowed=allowed))


def forced(length: int, near: int, far: int) -> Raster:
    """A hole with water across it from `near` to `far` yards, rough and trees at its sides."""
    lie = np.full((length + 60, 120), int(Lie.FAIRWAY), np.uint8)
    x, y = np.meshgrid(np.arange(length + 60) + 0.5, np.arange(120) + 0.5, indexing="ij")
    lie[np.abs(y - 60) > 25] = Lie.ROUGH
    lie[np.abs(y - 60) > 40] = Lie.RECOVERY
    lie[(x > 20 + near) & (x < 20 + far)] = Lie.WATER
    lie[np.hypot(x - 20 - length, y - 60) < 12] = Lie.GREEN
    lie[:2], lie[-2:], lie[:, :2], lie[:, -2:] = Lie.OUT, Lie.OUT, Lie.OUT, Lie.OUT
    return factory.raster_of(lie, (20.0, 60.0), (20.0 + length, 60.0), 4, float(length))


def test_a_carry_that_seldom_comes_off_rests_and_one_beyond_reach_says_that_it_does_not() -> None:
    """A handicap of 54: values move on for some 30 sweeps; what costs more than 15 strokes is not known."""
    weak = table_of_figures(bag_of_figures(Player("weak", handicap=54.0)))
    hard = one(forced(320, 40, 260), weak)
    assert hard.converged
    assert hard.sweeps > 25
    assert hard.error_bound < 0.1
    assert not one(forced(360, 20, 320), weak).converged
