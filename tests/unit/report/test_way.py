"""Where a shot ends as it is meant: landing by the table, run by the ground it comes down on, by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bagwright.course.lies import Lie
from bagwright.course.raster import Raster
from bagwright.report.strokes.balls import finishes
from bagwright.report.strokes.plan import meant
from bagwright.strokes.patterns import PatternTable
from tests.unit.strokes.factory import raster_of, table

RUNS_M = (9.0, 5.0, 7.0, 2.5)
"""On fairway, in rough, on the green, and on soft ground: of this test only."""


def iron() -> PatternTable:
    made = table(clubs=["8 iron"], swings=("stock",), pitches=())
    return replace(made, run_m=np.broadcast_to(np.array(RUNS_M), made.run_m.shape).copy())


def everywhere(ground: Lie) -> Raster:
    lie = np.full((260, 240), int(ground), np.uint8)
    return raster_of(lie, (10.0, 120.0), (190.0, 120.0), 4, 180.0)


@pytest.mark.parametrize(
    ("ground", "run_m"),
    [
        (Lie.FAIRWAY, 9.0),
        (Lie.ROUGH, 5.0),
        (Lie.GREEN, 7.0),
        (Lie.DEEP, 2.5),
        (Lie.SAND, 2.5),
        (Lie.RECOVERY, 2.5),
        (Lie.WATER, 0.0),
        (Lie.OUT, 0.0),
    ],
)
def test_a_ball_runs_on_what_it_comes_down_on(ground: Lie, run_m: float) -> None:
    end = meant(iron(), everywhere(ground), ((0.0, 0.0), int(Lie.TEE)), (0, 0.0))
    # An 8 iron of the factory carries 148 yd and lands 0.4 % of that right; a yard is 0.9144 m exactly.
    assert end == pytest.approx((148 * 0.9144 + run_m, 0.004 * 148 * 0.9144))


def test_drawn_balls_scatter_about_the_pattern_s_mean_and_a_wet_one_stays_where_it_falls() -> None:
    """The mean of 4000 draws lies within 0.7 m, some four of its standard errors, of the one by hand."""
    shot, carry = (((0.0, 0.0), int(Lie.TEE)), (0, 0.0)), 148 * 0.9144
    dry, lost = finishes(iron(), everywhere(Lie.FAIRWAY), *shot, n=4000)
    assert not lost.any()
    # The factory's mishits, 6 of 100, carry 0.76 of the rest.
    mean = (0.94 + 0.06 * 0.76) * carry
    assert dry.mean(axis=0) == pytest.approx((mean + RUNS_M[0], 0.004 * carry), abs=0.7)
    wet, lost = finishes(iron(), everywhere(Lie.WATER), *shot, n=4000)
    assert lost.all()
    assert wet.mean(axis=0) == pytest.approx((mean, 0.004 * carry), abs=0.7)
