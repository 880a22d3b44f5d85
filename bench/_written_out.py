"""A hole written out as a sparse decision process for a general library: what the solver saves."""

from __future__ import annotations

import time
import warnings
from typing import Any

import numpy as np
from scipy import sparse

from bagwright.course.lies import Lie
from bagwright.course.raster import Raster
from bagwright.strokes.balls import balls_of, ends, variants
from bagwright.strokes.cells import FLAG, RELIEF, Cells, cells_of
from bagwright.strokes.fields import turf_of
from bagwright.strokes.patterns import PatternTable
from bagwright.strokes.probes import player_of
from bagwright.strokes.result import HoleStrokes
from bagwright.strokes.states import lies_played

BALLS = 2048
AIMS = np.deg2rad(np.arange(-12, 13, 6))


def rows(raster: Raster, table: PatternTable, size: int) -> tuple[Any, ...]:
    """Transition rows (state-action, state), rewards, states and actions of blocks of size x size cells."""
    cells: Cells = cells_of(raster, table)
    g, p = turf_of(cells), player_of(table, raster.cell_m)
    many = balls_of(p, (BALLS // 4,) * 4)
    lie = lies_played(raster.lie)
    nx, ny = raster.lie.shape
    block = (np.arange(nx)[:, None] // size) * (ny // size + 1) + np.arange(ny)[None, :] // size
    middle = lie[size // 2 :: size, size // 2 :: size]
    at = [(i * size + size // 2, j * size + size // 2) for i, j in np.argwhere(middle <= Lie.RECOVERY)]
    number = np.full(block.max() + 2, -1)
    for k, (i, j) in enumerate(at):
        number[block[i, j]] = k
    state_of = number[block.ravel()]
    n = len(at)
    near = _nearest(state_of, at, nx, ny)
    indptr, indices, data, reward, state, action = [0], [], [], [], [], []
    starts = [(i + 0.5, j + 0.5, int(lie[i, j])) for i, j in at] + [(*cells.tee, int(Lie.TEE))]
    for s, (x, y, kind) in enumerate(starts):
        away = np.hypot(cells.pin[0] - x, cells.pin[1] - y)
        shots = np.flatnonzero(p.allowed[kind] & (np.abs(p.reach[kind] - away) < 30 + 0.15 * away))
        shots = shots if len(shots) else np.flatnonzero(p.allowed[kind])[:3]
        bearing = np.arctan2(cells.pin[1] - y, cells.pin[0] - x)
        h = cells.height[min(int(x), nx - 1), min(int(y), ny - 1)]
        each, turn = np.repeat(shots, len(AIMS)), np.tile(bearing + AIMS, len(shots))
        asked = np.zeros((8, len(each)), np.float32)
        asked[0], asked[1], asked[2], asked[3], asked[4], asked[5] = x, y, h, turn, np.cos(turn), np.sin(turn)
        whole = np.stack([np.full(len(each), kind), each])
        for a, (end, w) in enumerate(
            zip(*ends(g, p, many, whole, asked, variants(each * 0 + s)), strict=True)
        ):
            kinds = cells.kind[end]
            relief = np.where(kinds == RELIEF, cells.relief[end], end)
            green = cells.kind[relief] == 1
            cost = 1 + w @ (
                cells.penalty[end] * (kinds == RELIEF) + (kinds == FLAG) + cells.putts[relief] * green
            )
            to = np.where(kinds == FLAG, s, np.where(green, n + 1, near[relief]))
            where, which = np.unique(to, return_inverse=True)
            indices.append(where)
            data.append(np.bincount(which, w) / w.sum())
            indptr.append(indptr[-1] + len(where))
            reward.append(-cost)
            state.append(s)
            action.append(a)
    indices.append(np.array([n + 1]))
    data.append(np.ones(1))
    indptr.append(indptr[-1] + 1)
    chance = sparse.csr_matrix(
        (np.concatenate(data), np.concatenate(indices), indptr), (len(reward) + 1, n + 2)
    )
    return chance, np.append(reward, 0.0), np.append(state, n + 1), np.append(action, 0), n


def _nearest(state_of: Any, at: Any, nx: int, ny: int) -> Any:
    """The state that a ball in each cell is played from: that of its block, else the nearest block's."""
    from scipy.spatial import KDTree

    i, j = np.divmod(np.arange(nx * ny), ny)
    _, near = KDTree(np.array(at)).query(np.column_stack([i, j]))
    return np.where(state_of >= 0, state_of, near)


def solve_written_out(raster: Raster, table: PatternTable, hole: HoleStrokes, size: int) -> None:
    """Build it, solve it by a general library, and say both times and both answers."""
    from quantecon.markov import DiscreteDP

    start = time.thread_time()
    chance, reward, state, action, tee = rows(raster, table, size)
    built = time.thread_time() - start
    start = time.thread_time()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        game = DiscreteDP(reward, chance, 1 - 1e-7, state, action)
        found = game.solve(method="value_iteration", epsilon=1e-5, max_iter=2000)
    solved = time.thread_time() - start
    print(
        f"written out in blocks of {size} x {size} yd: {chance.shape[1]} states, {chance.shape[0]} rows, {chance.nnz / 1e6:.1f} M numbers; "
        f"built in {built:.1f} s, solved by quantecon in {solved:.2f} s: {-found.v[tee]:.4f} strokes (here {hole.strokes:.4f})"
    )
