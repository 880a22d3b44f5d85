"""Aims refined by balls at the tee of an invented hole, against a fine row of aims and other balls."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from bagwright.pick.aims import aimed
from bagwright.pick.rows import Options, firsts
from bagwright.strokes.balls import balls_of
from bagwright.strokes.cells import cells_of
from bagwright.strokes.hole import Solver, strokes_of
from bagwright.strokes.probes import player_of
from bagwright.strokes.solve import KEPT, SWEEPS
from bagwright.strokes.tee import turned
from tests.unit.pick import tiny

OFF_RAD = np.float32(np.deg2rad(2.3))


@lru_cache(maxsize=1)
def solved() -> tuple[Solver, Options]:
    """The par 4, and two shots from its tee, aimed beside the pin; as from another spot again."""
    raster = tiny.holes()[1]
    cells = cells_of(raster, tiny.table())
    solver = Solver(cells, player_of(tiny.table(), raster.cell_m))
    grid = solver.on_grid()
    solver.on_raster(grid, KEPT, SWEEPS)
    tee, shots = grid.states.tee, np.flatnonzero(solver.player.allowed[grid.states.lie[grid.states.tee]])
    shot = np.tile(np.repeat(shots[[0, 3]], 2), 2)
    number = np.zeros((8, len(shot)), np.float32)
    number[0], number[1], number[2] = grid.states.x[tee], grid.states.y[tee], grid.height[tee]
    number = turned(number, grid.bearing[tee] + np.resize([OFF_RAD, -OFF_RAD], len(shot)).astype(np.float32))
    whole = np.stack([np.full(len(shot), grid.states.lie[tee]), shot]).astype(np.int64)
    spot = np.repeat([0, 1], len(shot) // 2)
    return solver, Options(spot, np.zeros(len(shot), np.int64), whole, number, np.zeros(len(shot)))


def strokes(options: Options, aim: NDArray[np.float32]) -> NDArray[np.float64]:
    """By balls that were not used to aim."""
    solver, _ = solved()
    balls = balls_of(solver.player, (8192,) * 4, first=7)
    return strokes_of(*solver.means(options.whole, turned(options.number, aim), balls, options.spot))


def test_aims_come_near_the_best_of_a_fine_row() -> None:
    solver, before = solved()
    after = aimed(solver, before, np.array([1.0, 0.0]), 0.01, 2e4)
    here, start, end = before.spot == 0, before.number[3], after.number[3]
    row = np.deg2rad(np.arange(-3.75, 3.8, 0.25)).astype(np.float32)
    each = np.array([strokes(before, start + turn) for turn in row])
    found, left = strokes(after, end), strokes(before, start)
    assert (found[here] < each.min(0)[here] + 0.004).all()
    assert (left - found)[here].max() > 0.01
    assert (np.abs(end - start) <= np.deg2rad(3.76)).all()
    np.testing.assert_allclose(np.hypot(after.number[4], after.number[5]), 1.0, atol=1e-6)


def test_spots_that_are_seldom_come_to_keep_their_aims() -> None:
    solver, before = solved()
    after = aimed(solver, before, np.array([1.0, 0.005]), 0.01, 2e4)
    there = before.spot == 1
    np.testing.assert_array_equal(after.number[:, there], before.number[:, there])
    assert (after.number[3] != before.number[3])[~there].any()
    np.testing.assert_array_equal(before.number, solved()[1].number)


def test_the_first_swing_of_each_club_is_left_where_it_stood() -> None:
    spot, club = np.array([0, 0, 0, 1, 1, 1]), np.array([2, 1, 2, 1, 1, 2])
    strokes_ = np.array([3.2, 3.0, 3.1, 4.0, 3.9, 3.9])
    number = np.arange(48, dtype=np.float32).reshape(8, 6)
    found = firsts(Options(spot, club, np.zeros((2, 6), np.int64), number, strokes_))
    assert found.number[0].tolist() == [1.0, 2.0, 4.0, 5.0]
    assert found.strokes.tolist() == [3.0, 3.1, 3.9, 3.9]
