"""The first bags once more, each solved on every yard of its holes with all its shots and aims free.

The problem keeps the aims of the player with all clubs and a small grid of spots; this takes neither for
granted. Bags that differ on a hole only in clubs that none of them would play there share its solution.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagwright.course.raster import Raster
from bagwright.errors import InputError
from bagwright.pick.build import Played
from bagwright.pick.evaluate import Evaluator
from bagwright.strokes.cells import cells_of, check_playable
from bagwright.strokes.hole import Solver
from bagwright.strokes.patterns import PatternTable
from bagwright.strokes.probes import player_of
from bagwright.strokes.solve import KEPT, SWEEPS, StoppedError
from bagwright.strokes.tee import at_tee
from bagwright.words import tell

Floats = NDArray[np.float64]

COMES = 1e-3
"""Times that a hole must come to a spot for its options to matter (judgement)."""
NEAR = 0.1
"""Options that cost this much more than the chosen one matter, strokes: aims move them less (judgement)."""


@dataclass(frozen=True, slots=True)
class Confirmed:
    """A bag solved anew: strokes a weighted round, and those of its holes (h,) without the weights."""

    bag: int
    strokes: float
    by_hole: Floats


def table_of(table: PatternTable, names: Sequence[str]) -> PatternTable:
    """The patterns of some clubs."""
    held = np.array([shot.club in names for shot in table.shots])
    arrays: dict[str, Any] = {
        name: np.ascontiguousarray(getattr(table, name)[:, held])
        for name in ("parts", "allowed", "tan_descent", "run_m", "run_sd_m", "wind_x_m", "wind_y_m")
    }
    shots = tuple(shot for shot, kept in zip(table.shots, held, strict=True) if kept)
    return replace(table, shots=shots, **arrays)


def confirm(
    evaluator: Evaluator,
    rounds: Sequence[Played],
    bags: Sequence[int],
    *,
    threads: int | None = None,
    progress: Callable[[int, int], None] | None = None,
    stop: Callable[[], bool] | None = None,
) -> tuple[Confirmed, ...]:
    """Solve bags anew on the holes that the evaluator's problem was built from.

    `progress(done, of)` counts solutions of holes. Where `stop()` says True, StoppedError is raised. Raises
    InputError where the rounds are not those of the problem, and where a bag cannot play a hole.
    """
    p, ends = evaluator.problem, stop or (lambda: False)
    holes = [(one, raster) for one in rounds for raster in one.rasters]
    if [raster.number for _, raster in holes] != p.hole_number.tolist():
        raise InputError(
            tell("These rounds are not those that the problem was built from."), tell("Build it anew.")
        )
    keys = [[(h, bag & int(mask)) for h, mask in enumerate(matters(evaluator, bag))] for bag in bags]
    jobs = {key: bag for bag, own in reversed(list(zip(bags, keys, strict=True))) for key in own}

    def job(key: tuple[int, int]) -> float:
        one, raster = holes[key[0]]
        return _strokes(raster, one, p.names(jobs[key]), ends)

    order = sorted(jobs, key=lambda key: -holes[key[0]][1].lie.size)
    found: dict[tuple[int, int], float] = {}
    with ThreadPoolExecutor(min(threads or os.cpu_count() or 1, len(order))) as pool:
        for key, strokes in zip(order, pool.map(job, order), strict=True):
            found[key] = strokes
            if progress is not None:
                progress(len(found), len(order))
    by_hole = [np.array([found[key] for key in own]) for own in keys]
    return tuple(
        Confirmed(bag, float(p.hole_weight @ own), own) for bag, own in zip(bags, by_hole, strict=True)
    )


def matters(evaluator: Evaluator, bag: int) -> list[int]:
    """For every hole the clubs of the bag that come into question at some spot a round comes to."""
    p = evaluator.problem
    choice, d = evaluator.choices(bag)
    behind = evaluator.behind(d)
    spot = evaluator.spot_of_option
    seen = (evaluator.visits(choice)[spot] > COMES) & (behind < NEAR) & (p.club >= 0)
    hole = np.searchsorted(p.first_spot, spot, side="right") - 1
    out = [0] * len(p.tee)
    for h, club in set(zip(hole[seen].tolist(), p.club[seen].tolist(), strict=True)):
        if bag >> club & 1:
            out[h] |= 1 << club
    return out


def _strokes(raster: Raster, one: Played, names: Sequence[str], stop: Callable[[], bool]) -> float:
    """Strokes of a hole with some clubs, every cell a spot of its own, the tee by many balls."""

    def pulse() -> None:
        if stop():
            raise StoppedError

    table = table_of(one.table, names)
    if not table.n:
        raise InputError(tell("A bag without a club cannot be solved."), tell("Keep at least one."))
    cells = cells_of(raster, table, one.local_rule_e5)
    check_playable(cells, table.allowed)
    solver = Solver(cells, player_of(table, raster.cell_m), pulse)
    search, *_ = solver.on_raster(solver.on_grid(), KEPT, SWEEPS)
    at_tee(solver, search)
    return float(search.value[-1])


def apart(evaluator: Evaluator, found: Sequence[Confirmed]) -> Floats:
    """By how much (bags,) each bag's strokes above the first bag's differ here from the problem's own."""
    ours = evaluator.strokes([one.bag for one in found])
    fine = np.array([one.strokes for one in found])
    return np.asarray((ours - ours[0]) - (fine - fine[0]))
