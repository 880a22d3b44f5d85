"""The decision at the tee: every shot is tried, whatever the looks before have left."""

import numpy as np
import pytest

from bagwright.strokes.cells import cells_of
from bagwright.strokes.hole import Solver
from bagwright.strokes.probes import player_of
from bagwright.strokes.solve import KEPT, SWEEPS
from bagwright.strokes.tee import at_tee
from tests.unit.strokes import factory


def test_a_shot_that_was_left_out_before_is_found_at_the_tee() -> None:
    raster = factory.hole(104, 3, hills=True)
    table = factory.table(clubs=("driver", "7 iron", "58 wedge"), swings=("stock",))
    solver = Solver(cells_of(raster, table), player_of(table, raster.cell_m))
    search, *_ = solver.on_raster(solver.on_grid(), KEPT, SWEEPS)
    at_tee(solver, search)
    tee = search.states.tee
    value, shot = float(search.value[tee]), int(search.chosen[0][tee])
    others = np.flatnonzero(solver.player.allowed[search.states.lie[tee]])
    search.shot[tee], search.aim[tee] = -1, 0
    search.shot[tee, 0], search.aim[tee, 0] = others[others != shot][-1], search.bearing[tee] + 1.2
    at_tee(solver, search)
    assert int(search.chosen[0][tee]) == shot
    assert float(search.value[tee]) == pytest.approx(value, abs=0.003)
