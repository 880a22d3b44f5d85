"""The way that the choice takes: shot after shot where every ball comes off as it is meant."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from bagwright.course.lies import Lie
from bagwright.course.raster import Raster
from bagwright.course.way import beside
from bagwright.report.strokes.balls import drift, lie_at, shorter
from bagwright.strokes.fields import GROUP
from bagwright.strokes.patterns import PatternTable
from bagwright.strokes.result import HoleStrokes

Place = tuple[float, float]
MOST_STEPS = 8


@dataclass(frozen=True, slots=True)
class Step:
    """One shot of the way. Places are metres in the hole's frame: x from the tee to the pin, y to the right.

    `side_m` and `along_m` say where it ends against the hole's way (right positive) and how far along it.
    """

    at_m: Place
    lie: int
    shot: int
    club: str
    words: str
    aim_rad: float
    to_m: Place
    to_lie: int
    along_m: float
    side_m: float
    aim_side_m: float
    """How far right of the hole's way the aim passes where the ball ends; a usual miss is aimed off."""
    strokes: float
    """Expected strokes from `at_m` to hole out."""


def steps_of(hole: HoleStrokes, raster: Raster, table: PatternTable) -> tuple[Step, ...]:
    """Follow the choice from the tee until the green, a penalty, or a place that is not played from."""
    at, lie = raster.tee_m, int(Lie.TEE)
    shot, aim = hole.first
    strokes = hole.strokes
    found: list[Step] = []
    while len(found) < MOST_STEPS:
        end = meant(table, raster, (at, lie), (shot, aim))
        to_lie = int(lie_at(raster, np.array([end]))[0])
        along, side = beside(np.array([end]), raster.way_m)
        played = table.shots[shot]
        # The hole's frame has y to the right: the sign of `beside` turns.
        found.append(
            Step(
                at, lie, shot, played.club, played.words, aim, end, to_lie, float(along[0]), -float(side[0]),
                _aim_side(raster, at, aim, end), strokes,
            )
        )  # fmt: skip
        spot = hole.at(*end)
        if spot is None or spot.shot is None or spot.aim_rad is None or math.dist(end, at) < 1.0:
            break
        # A ball that comes to rest on a teeing ground lies as on a fairway.
        lie = int(Lie.FAIRWAY) if to_lie == Lie.TEE else to_lie
        at, shot, aim, strokes = end, spot.shot, spot.aim_rad, spot.strokes
    return tuple(found)


def _aim_side(raster: Raster, at: Place, aim: float, end: Place) -> float:
    reach = (end[0] - at[0]) * math.cos(aim) + (end[1] - at[1]) * math.sin(aim)
    point = np.array([[at[0] + reach * math.cos(aim), at[1] + reach * math.sin(aim)]])
    return -float(beside(point, raster.way_m)[1][0])


def meant(table: PatternTable, raster: Raster, start: tuple[Place, int], choice: tuple[int, float]) -> Place:
    """Where a shot ends as it is meant: the middle of its weightiest part, with wind, slope and run."""
    (x, y), lie = start
    shot, aim = choice
    parts = table.parts[lie, shot]
    _weight, along, right, *_more = parts[int(parts[:, 0].argmax())]
    wind_along, wind_right = drift(table, raster, lie, shot, aim)
    along, right = along + wind_along, right + wind_right
    forward = np.array([math.cos(aim), math.sin(aim)])
    across = np.array([-forward[1], forward[0]])
    landed = np.array([[x, y]]) + along * forward + right * across
    landed = landed - shorter(table, raster, (x, y), (lie, shot), landed)[:, None] * forward
    ground = GROUP[lie_at(raster, landed)[0]]
    run = float(table.run_m[lie, shot, ground]) if ground >= 0 else 0.0
    end = landed[0] + run * forward
    return float(end[0]), float(end[1])


def plain(steps: Mapping[int, tuple[Step, ...]]) -> dict[str, list[dict[str, Any]]]:
    """The steps of every hole as JSON has them."""
    return {str(number): [asdict(step) for step in found] for number, found in steps.items()}


def of_plain(data: Mapping[str, Any]) -> dict[int, tuple[Step, ...]]:
    """The same again."""
    return {
        int(number): tuple(
            Step(**{**step, "at_m": tuple(step["at_m"]), "to_m": tuple(step["to_m"])}) for step in steps
        )
        for number, steps in data.items()
    }
