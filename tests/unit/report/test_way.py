"""Where a shot ends as it is meant: landing by the table, run by the ground it comes down on, by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from bagwright.course.lies import Lie
from bagwright.report.strokes.plan import meant
from tests.unit.strokes.factory import raster_of, table

RUNS_M = (9.0, 5.0, 7.0, 2.5)
"""On fairway, in rough, on the green, and on soft ground: of this test only."""


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
    lie = np.full((220, 60), int(ground), np.uint8)
    raster = raster_of(lie, (10.0, 30.0), (190.0, 30.0), 4, 180.0)
    made = table(clubs=["8 iron"], swings=("stock",), pitches=())
    made = replace(made, run_m=np.broadcast_to(np.array(RUNS_M), made.run_m.shape).copy())
    end = meant(made, raster, ((0.0, 0.0), int(Lie.TEE)), (0, 0.0))
    # An 8 iron of the factory carries 148 yd and lands 0.4 % of that right; a yard is 0.9144 m exactly.
    assert end == pytest.approx((148 * 0.9144 + run_m, 0.004 * 148 * 0.9144))
