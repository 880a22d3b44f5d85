"""From courses and one player's patterns with all clubs to the problem of the best bag."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagwright.course.raster import Raster
from bagwright.errors import InputError
from bagwright.pick.doubt import Doubt
from bagwright.pick.hole import USUAL, Fineness, HoleRows, rows_of_hole
from bagwright.pick.problem import Problem, Round
from bagwright.strokes.patterns import PatternTable
from bagwright.strokes.probes import player_of
from bagwright.words import tell

Singles = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Played:
    """A round that is played: its share of all rounds, its holes, and the patterns (with all clubs) there."""

    name: str
    weight: float
    rasters: Sequence[Raster]
    table: PatternTable
    local_rule_e5: bool = False


def clubs_of(table: PatternTable) -> tuple[str, ...]:
    """The clubs of a table in their order; a pitch belongs to its wedge."""
    return tuple(dict.fromkeys(shot.club for shot in table.shots))


def build_problem(
    rounds: Sequence[Played],
    *,
    threads: int | None = None,
    progress: Callable[[int, int], None] | None = None,
    stop: Callable[[], bool] | None = None,
    fineness: Fineness = USUAL,
) -> Problem:
    """`build_swayed` without the options' sway."""
    return build_swayed(rounds, None, threads=threads, progress=progress, stop=stop, fineness=fineness)[0]


def build_swayed(
    rounds: Sequence[Played],
    doubt: Doubt | None,
    *,
    threads: int | None = None,
    progress: Callable[[int, int], None] | None = None,
    stop: Callable[[], bool] | None = None,
    fineness: Fineness = USUAL,
) -> tuple[Problem, Singles]:
    """Solve every hole with all clubs and write down what each club can do from each spot.

    With a `doubt` (of the same clubs) the options are measured at its settings too: the second array
    (options, nodes) is what `Sure` takes, else it has no nodes.

    `threads` are holes at a time (None: the processors). `progress(done, of)` is called here after each hole.
    `stop()` is asked between steps; where it says True, StoppedError is raised. Weights are made to add up
    to 1. Raises InputError for no round, weights that are none, tables of different shots, a doubt of other
    clubs, and as `expected_strokes`.
    """
    weights = _weights(rounds)
    tell_progress, ends = progress or (lambda done, of: None), stop or (lambda: False)
    jobs = [
        (k, raster, one, player_of(one.table, raster.cell_m))
        for k, one in enumerate(rounds)
        for raster in one.rasters
    ]
    clubs = clubs_of(rounds[0].table)
    club_of = np.array([clubs.index(shot.club) for shot in rounds[0].table.shots], np.int64)

    settings = None if doubt is None else doubt.settings(clubs, rounds[0].table.shots)

    def job(index: int) -> HoleRows:
        _, raster, one, player = jobs[index]
        return rows_of_hole(raster, one.table, player, club_of, ends, fineness, one.local_rule_e5, settings)

    found: list[HoleRows] = []
    with ThreadPoolExecutor(min(threads or os.cpu_count() or 1, len(jobs))) as pool:
        for rows in pool.map(job, range(len(jobs))):
            found.append(rows)
            tell_progress(len(found), len(jobs))
    numbers = [raster.number for _, raster, *_ in jobs]
    problem = _joined(found, clubs, rounds, [k for k, *_ in jobs], numbers, weights)
    return problem, np.concatenate([one.response for one in found])


def _weights(rounds: Sequence[Played]) -> list[float]:
    if not rounds or not all(one.rasters for one in rounds):
        raise InputError(
            tell("There is no hole to choose a bag for."), tell("Choose a course with at least one hole.")
        )
    weights = [float(one.weight) for one in rounds]
    total = sum(weights)
    if not (0.0 < total < float("inf")) or min(weights) < 0.0:
        raise InputError(
            tell("Rounds need shares that are not negative and not all 0."), tell("Give some share to each.")
        )
    if any(one.table.shots != rounds[0].table.shots for one in rounds):
        raise InputError(
            tell("The rounds' patterns are not of the same shots."),
            tell("Make them from one bag and one fit."),
        )
    return [weight / total for weight in weights]


def _joined(
    found: Sequence[HoleRows], clubs: tuple[str, ...], rounds: Sequence[Played], of_round: Sequence[int],
    numbers: Sequence[int], weights: Sequence[float],
) -> Problem:  # fmt: skip
    """All holes one after the other, places counted on."""
    spots = np.cumsum([0, *(len(one.x_m) for one in found)])
    options = np.cumsum([0, *(len(one.club) for one in found)])
    entries = np.cumsum([0, *(len(one.next) for one in found)])
    names = tuple(Round(one.name, weight) for one, weight in zip(rounds, weights, strict=True))
    return Problem(
        clubs=clubs, shots=rounds[0].table.shots, rounds=names,
        hole_round=np.array(of_round, np.int64), hole_number=np.array(numbers, np.int64),
        hole_weight=np.array([weights[k] for k in of_round]), first_spot=spots.astype(np.int64),
        tee=np.array([one.tee + at for one, at in zip(found, spots[:-1], strict=True)], np.int64),
        tee_strokes=np.array([one.strokes[one.tee] for one in found], float),
        spot_x_m=np.concatenate([one.x_m for one in found]),
        spot_y_m=np.concatenate([one.y_m for one in found]),
        spot_lie=np.concatenate([one.lie for one in found]),
        spot_strokes=np.concatenate([one.strokes for one in found]).astype(np.float32),
        first_option=np.concatenate(
            [[0], *(one.first_option[1:] + at for one, at in zip(found, options, strict=False))]
        ).astype(np.int64),
        club=np.concatenate([one.club for one in found]), shot=np.concatenate([one.shot for one in found]),
        aim_rad=np.concatenate([one.aim for one in found]), cost=np.concatenate([one.cost for one in found]),
        first_entry=np.concatenate(
            [[0], *(one.first_entry[1:] + at for one, at in zip(found, entries, strict=False))]
        ).astype(np.int64),
        next=np.concatenate([one.next + at for one, at in zip(found, spots, strict=False)]).astype(np.int32),
        chance=np.concatenate([one.chance for one in found]),
    )  # fmt: skip
