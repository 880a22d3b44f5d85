"""Expected strokes of a round: every hole solved, played and certified, several holes at a time."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from time import perf_counter

import numpy as np
from numpy.typing import NDArray

from bagwright.course.lies import Lie
from bagwright.course.raster import Raster
from bagwright.errors import InputError
from bagwright.strokes.alternatives import Alternative, alternatives
from bagwright.strokes.cells import cells_of, check_playable
from bagwright.strokes.fields import TOP
from bagwright.strokes.hole import STILL, Solver
from bagwright.strokes.patterns import PatternTable
from bagwright.strokes.played import Policy, certify, demand_of, play, policy_of
from bagwright.strokes.probes import Player, player_of
from bagwright.strokes.result import HoleStrokes, Strokes
from bagwright.strokes.search import Search
from bagwright.strokes.tee import at_tee

__all__ = [
    "Alternative",
    "StoppedError",
    "alternatives",
    "expected_strokes",
    "solve_hole",
]

KEPT = 4
"""Candidates that every cell of the raster keeps."""
SWEEPS = 200
"""Most sweeps over all cells: ten are usual, more are needed where the player seldom carries a hazard."""


class StoppedError(Exception):
    """The caller asked to stop."""


def expected_strokes(
    rasters: Sequence[Raster],
    table: PatternTable,
    *,
    threads: int | None = None,
    progress: Callable[[int, int], None] | None = None,
    stop: Callable[[], bool] | None = None,
    local_rule_e5: bool = False,
) -> Strokes:
    """Solve every hole for one player: the fewest expected strokes from every spot, and how to get them.

    `threads` are holes at a time (None: the processors). `progress(done, of)` is called here after each hole.
    `stop()` is asked between steps; where it says True, StoppedError is raised. With `local_rule_e5` a ball
    out of bounds costs two strokes and is dropped at the fairway (Model Local Rule E-5), else stroke and
    distance.

    Raises InputError for no hole, and for a raster or table that cannot be played.
    """
    if not rasters:
        raise InputError("There is no hole to work out.", "Choose a course with at least one hole.")
    start = perf_counter()
    stop = stop or (lambda: False)
    players = {raster.cell_m: player_of(table, raster.cell_m) for raster in rasters}

    def pulse() -> None:
        if stop():
            raise StoppedError

    def one(raster: Raster) -> HoleStrokes:
        return solve_hole(raster, table, players[raster.cell_m], pulse, local_rule_e5)

    workers = min(threads or os.cpu_count() or 1, len(rasters))
    holes = _in_threads(one, rasters, workers, progress or (lambda done, of: None))
    return Strokes(tuple(holes), table.shots, table.said, perf_counter() - start)


def _in_threads(
    one: Callable[[Raster], HoleStrokes], rasters: Sequence[Raster], workers: int,
    progress: Callable[[int, int], None],
) -> list[HoleStrokes]:  # fmt: skip
    """Run the holes, the largest first; the first error ends all."""
    order = sorted(range(len(rasters)), key=lambda k: -rasters[k].lie.size)
    with ThreadPoolExecutor(max_workers=workers) as pool:
        waiting: dict[Future[HoleStrokes], int] = {pool.submit(one, rasters[k]): k for k in order}
        found: dict[int, HoleStrokes] = {}
        try:
            while waiting:
                done, _ = wait(waiting, return_when=FIRST_COMPLETED)
                for future in done:
                    found[waiting.pop(future)] = future.result()
                    progress(len(found), len(rasters))
        finally:
            for future in waiting:
                future.cancel()
    return [found[k] for k in range(len(rasters))]


def solve_hole(
    raster: Raster,
    table: PatternTable,
    player: Player,
    pulse: Callable[[], None],
    local_rule_e5: bool = False,
) -> HoleStrokes:
    """Solve one hole; `player` is the table prepared for the raster's cells."""
    start = perf_counter()
    cells = cells_of(raster, table, local_rule_e5)
    check_playable(cells, table.allowed)
    solver = Solver(cells, player, pulse)
    search, sweeps, change = solver.on_raster(solver.on_grid(), KEPT, SWEEPS)
    at_tee(solver, search)
    return finished(solver, search, sweeps, change, start, local_rule_e5)


def finished(
    solver: Solver, search: Search, sweeps: int, change: float, start: float, local_rule_e5: bool
) -> HoleStrokes:
    """Play a solved hole and bound its error.

    `change` is the last of `sweeps`; `start` when the hole was begun (`perf_counter`); `local_rule_e5` as the
    cells were made.
    """
    raster = solver.cells.raster
    policy = policy_of(solver, search)
    played = play(solver, policy)
    residual, bound = certify(solver, policy, played)
    value, shot, aim = pictures(solver, policy)
    return HoleStrokes(
        number=raster.number, par=raster.par, stroke_index=raster.stroke_index, tee=raster.tee,
        length_m=raster.length_m, tee_m=raster.tee_m, pin_m=raster.pin_m, corner_m=(raster.x0_m, raster.y0_m),
        cell_m=raster.cell_m, strokes=float(search.value[-1]), sd=played.sd, rounds=len(played.score),
        error_bound=bound, residual=residual, change=change,
        converged=change < STILL and played.given_up == 0 and float(search.value.max()) < 1 + TOP,
        sweeps=sweeps, cells=search.states.n - 1, seconds=perf_counter() - start,
        first=(int(policy.shot[-1]), float(policy.aim[-1])),
        demand=demand_of(solver, policy, played), value=value, shot=shot, aim=aim,
        local_rule_e5=local_rule_e5,
    )  # fmt: skip


def pictures(
    solver: Solver, policy: Policy
) -> tuple[NDArray[np.float32], NDArray[np.int16], NDArray[np.float32]]:
    """Value, shot and aim of every cell (nx, ny): putts on the green, NaN where no ball is played from."""
    lie, shape = solver.cells.raster.lie.ravel(), solver.cells.shape
    value = policy.value[:-1].copy()
    green = lie == Lie.GREEN
    value[green] = solver.cells.putts[green]
    shot = policy.shot[:-1].astype(np.int16)
    return value.reshape(shape), shot.reshape(shape), policy.aim[:-1].reshape(shape).copy()
