"""Why: what every shot would cost from a spot, each with its own aim."""

from __future__ import annotations

import math
import threading
from collections import OrderedDict
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagwright.course.lies import PLAYED_FROM, Lie
from bagwright.course.raster import Raster
from bagwright.errors import InputError
from bagwright.strokes.balls import balls_of
from bagwright.strokes.cells import cells_of
from bagwright.strokes.hole import AIMS, MANY, OVER, STEP, Solver, strokes_of
from bagwright.strokes.patterns import PatternTable
from bagwright.strokes.probes import player_of
from bagwright.strokes.result import HoleStrokes, Place
from bagwright.strokes.states import on_raster

HALVINGS = 5
KEPT_HOLES = 6
"""Holes whose fields are held for the next question."""


@dataclass(frozen=True, slots=True)
class Alternative:
    """A shot from a spot: strokes to hole out, and how many more than with the first one."""

    shot: int
    """Number of the shot in the table."""
    aim_rad: float
    strokes: float
    more: float
    out: float
    """Chance of stroke and distance."""
    finish_m: Place
    """Mean end of solid balls, wind, height and run in it."""


class _Held:
    """Fields of a hole, and a lock: they serve one question at a time."""

    def __init__(self, hole: HoleStrokes, raster: Raster, table: PatternTable) -> None:
        self.parents = (hole, raster, table)
        cells = cells_of(raster, table, hole.local_rule_e5)
        self.solver = Solver(cells, player_of(table, raster.cell_m))
        self.lock = threading.Lock()
        states = on_raster(raster.lie, cells.tee)
        value = hole.value.astype(np.float32).ravel()
        played = (states.x[:-1].astype(np.int64), states.y[:-1].astype(np.int64))
        at = played[0] * cells.shape[1] + played[1]
        values = np.append(value[at], np.float32(hole.strokes)).astype(np.float32)
        if not bool(np.isfinite(values).all()):
            raise InputError(
                f"hole {hole.number}: the kept values do not belong to this raster.", "Work it out anew."
            )
        self.solver.pyramids.update(states, values)


_held: OrderedDict[tuple[int, int, int], _Held] = OrderedDict()
_door = threading.Lock()


def _fields(hole: HoleStrokes, raster: Raster, table: PatternTable) -> _Held:
    key = (id(hole), id(raster), id(table))
    with _door:
        found = _held.get(key) or _Held(hole, raster, table)
        _held[key] = found
        _held.move_to_end(key)
        while len(_held) > KEPT_HOLES:
            _held.popitem(last=False)
    return found


def alternatives(
    hole: HoleStrokes, raster: Raster, table: PatternTable, x_m: float, y_m: float, lie: Lie | None = None,
    most: int = 8,
) -> tuple[Alternative, ...]:  # fmt: skip
    """Every club's own choice from a spot, the fewest strokes first, at most `most` shots.

    One shot a club (pitches count as the club's), each aimed by the quick look and worth the mean of
    some 4,000 single balls on the kept values.
    `lie` None takes that of the cell. Raises InputError where no ball is played from there.
    """
    at = raster.cell(x_m, y_m)
    if hole.value.shape != raster.lie.shape:
        raise InputError(
            f"hole {hole.number}: its values are not kept, or of another raster.", "Work it out anew."
        )
    lie = lie if lie is not None else Lie(int(raster.lie[at])) if at is not None else Lie.OUT
    if lie not in PLAYED_FROM:
        raise InputError(
            f"hole {hole.number}: no shot is chosen from ({x_m:.0f}, {y_m:.0f}) m, {lie.name.lower()}.",
            "Choose a spot on fairway, rough, sand, under trees or the tee.",
        )
    held = _fields(hole, raster, table)
    c = raster.cell_m
    with held.lock:
        found = _all_shots(held.solver, (x_m - raster.x0_m) / c, (y_m - raster.y0_m) / c, lie)
    return _by_club(found, table, raster, most)


def _all_shots(solver: Solver, x: float, y: float, lie: Lie) -> dict[str, NDArray[Any]]:
    """Every allowed shot in reach: number, aim, strokes by single balls, flag, end in cells."""
    k, p, f, g = solver.kernel, solver.player, solver.fields, solver.cells
    away = math.hypot(g.pin[0] - x, g.pin[1] - y)
    bearing = math.atan2(g.pin[1] - y, g.pin[0] - x)
    reach = p.reach[lie]
    shots = np.flatnonzero(p.allowed[lie] & (reach <= away * OVER + 25))
    if not len(shots):
        shots = np.flatnonzero(p.allowed[lie])
    n = p.allowed.shape[1]
    h = _height(solver, x, y)
    start = _questions(np.repeat(shots, len(AIMS)), lie, (x, y, h), np.tile(bearing + AIMS, len(shots)), n)
    first = k.refine(f, p.quick, p.run, *start, STEP, 0).reshape(len(shots), -1)
    aims = bearing + AIMS[first.argmin(1)]
    asked = _questions(shots, lie, (x, y, h), aims, n)
    k.refine(f, p.quick, p.run, *asked, STEP, HALVINGS)
    whole, number, _ = asked
    eu, eo = solver.means(whole, number, balls_of(p, MANY), np.zeros(len(shots), np.int64))
    e = p.extra[lie, shots]
    d, q = e[:, 6] + number[6], e[:, 7] + number[7]
    return {
        "shot": shots, "aim": number[3], "strokes": strokes_of(eu, eo), "out": eo,
        "x": x + d * number[4] - q * number[5], "y": y + d * number[5] + q * number[4],
    }  # fmt: skip


def _questions(
    shots: NDArray[Any], lie: Lie, at: tuple[float, float, float], aims: NDArray[Any], n: int
) -> Any:
    """Questions from one spot, sorted by shot as the kernels want them."""
    number = np.zeros((8, len(shots)), np.float32)
    number[0], number[1], number[2] = at
    number[3] = aims
    number[4], number[5] = np.cos(aims), np.sin(aims)
    sums = np.searchsorted(shots, np.arange(n + 1)).astype(np.int64)
    return np.stack([np.full(len(shots), int(lie)), shots]).astype(np.int64), number, sums


def _height(solver: Solver, x: float, y: float) -> float:
    rows, columns = solver.cells.shape
    return float(solver.cells.height[min(max(int(x), 0), rows - 1), min(max(int(y), 0), columns - 1)])


def _by_club(
    found: dict[str, NDArray[Any]], table: PatternTable, raster: Raster, most: int
) -> tuple[Alternative, ...]:
    order = np.argsort(found["strokes"], kind="stable")
    least = float(found["strokes"][order[0]])
    out: dict[str, Alternative] = {}
    for i in order:
        shot = int(found["shot"][i])
        club = table.shots[shot].club
        if club in out:
            continue
        strokes = float(found["strokes"][i])
        end = (
            raster.x0_m + float(found["x"][i]) * raster.cell_m,
            raster.y0_m + float(found["y"][i]) * raster.cell_m,
        )
        out[club] = Alternative(
            shot, float(found["aim"][i]), strokes, strokes - least, float(found["out"][i]), end
        )
    return tuple(out.values())[:most]
