"""Shot patterns as points of blurred fields.

A normal part is split along its own axes: a level a little narrower than its smaller spread takes up most of
it, Gauss-Hermite points the rest (which is smooth, because the level is). The finer set keeps the level
narrow where a ball runs, so that the class of the landing and its place stay together.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from bagwright.strokes.blur import WIDTH, level_below
from bagwright.strokes.patterns import PARTS, PatternTable

if TYPE_CHECKING:
    from bagwright.strokes._kernel_read import Patterns

Floats = NDArray[np.float64]
LIES = 6
MOST = 13
"""Most points along one axis."""


@dataclass(frozen=True, slots=True)
class Rule:
    """How finely a pattern is split: a number of points along an axis by the spread left over the level's.

    `steps` are upper ends of that ratio for 1, 2, 3, ... points; `narrow` and `of_run` say how wide a level
    may be where the ball runs (cells, and a share of the longest run).
    """

    steps: tuple[float, ...]
    mishit_points: int
    narrow: float = math.inf
    of_run: float = 0.0


QUICK = Rule((0.12, 0.5, 0.8, 1.1, math.inf), 3)
"""About eleven points: for scans and sweeps."""
FULL = Rule((0.10, 0.45, 0.75, 1.0, 1.3, 1.6, 1.9, 2.3, 2.7, 3.1, 3.6, 4.1, math.inf), MOST, 2.0, 0.25)
"""For values: held to dense sums in the tests."""


@dataclass(frozen=True, slots=True)
class Player:
    """A table in cells of one raster: what both kinds of answers read, and the exact definition's numbers."""

    quick: Patterns
    full: Patterns
    parts: Floats
    """(6, n, PARTS, 6): weight, d, q, root of the covariance 11, 21, 22; cells."""
    extra: Floats
    """(6, n, 10) as in `Patterns`."""
    run: Floats
    run_sd: Floats
    reach: Floats
    """(6, n): mean length with the run on a fairway."""
    allowed: NDArray[np.bool_]


@lru_cache(maxsize=32)
def hermite(n: int) -> tuple[Floats, Floats]:
    """Gauss-Hermite points and weights of the standard normal."""
    x, w = np.polynomial.hermite_e.hermegauss(n)
    return x, w / w.sum()


def player_of(table: PatternTable, cell_m: float) -> Player:
    """Prepare a table for rasters with this cell."""
    parts = np.array(table.parts, float)
    parts[..., 1:5] /= cell_m
    run, run_sd = np.array(table.run_m, float) / cell_m, np.array(table.run_sd_m, float) / cell_m
    run_sd[(np.abs(run) < 0.05) & (run_sd < 0.05)] = 0
    run[run_sd == 0] = np.where(np.abs(run[run_sd == 0]) < 0.05, 0, run[run_sd == 0])
    extra = _extra(table, parts, run, run_sd, cell_m)
    roots = np.zeros((*parts.shape[:3], 6))
    roots[..., :3] = parts[..., :3]
    roots[..., 3] = parts[..., 3]
    roots[..., 4] = parts[..., 5] * parts[..., 4]
    roots[..., 5] = parts[..., 4] * np.sqrt(np.maximum(1 - parts[..., 5] ** 2, 0))
    return Player(
        _patterns(parts, extra, run, run_sd, QUICK, table.allowed),
        _patterns(parts, extra, run, run_sd, FULL, table.allowed),
        roots, extra, run, run_sd, extra[..., 8], np.array(table.allowed, bool),
    )  # fmt: skip


def _extra(table: PatternTable, parts: Floats, run: Floats, run_sd: Floats, cell_m: float) -> Floats:
    extra = np.zeros((LIES, table.n, 10))
    tan = np.maximum(np.array(table.tan_descent, float), 0.05)
    extra[..., 0] = 1 / tan
    extra[..., 1:4] = np.asarray(table.wind_x_m) / cell_m
    extra[..., 4:6] = np.asarray(table.wind_y_m) / cell_m
    extra[..., 6:8] = (parts[..., :1] * parts[..., 1:3]).sum(2)
    extra[..., 8] = extra[..., 6] + run[..., 0]
    extra[..., 9] = (np.abs(run) + run_sd).max(-1) > 0
    return extra


def _patterns(
    parts: Floats, extra: Floats, run: Floats, run_sd: Floats, rule: Rule, allowed: NDArray[np.bool_]
) -> Patterns:
    from bagwright.strokes._kernel_read import Patterns

    n = parts.shape[1]
    first, last = np.zeros((LIES, n), np.int64), np.zeros((LIES, n), np.int64)
    middle, runs = np.zeros((LIES, n), np.int64), np.zeros((LIES, n, 4), np.int64)
    points = np.zeros((LIES, n, 4, 3, 2), np.float32)
    rows: list[tuple[float, float, float]] = []
    levels: list[int] = []
    for lie, k in np.ndindex(LIES, n):
        first[lie, k] = len(rows)
        if allowed[lie, k]:
            widest = _widest(rule, run[lie, k], run_sd[lie, k])
            for m in range(PARTS):
                _split(parts[lie, k, m], rule, widest, m == PARTS - 1, rows, levels)
            main = parts[lie, k, int(parts[lie, k, :, 0].argmax())]
            middle[lie, k] = level_below(float(max(main[3], main[4])))
            for g in range(4):
                runs[lie, k, g] = _run(run[lie, k, g], run_sd[lie, k, g], widest, points[lie, k, g])
        last[lie, k] = len(rows)
    return Patterns(
        first, last, np.array(rows, np.float32).reshape(-1, 3), np.array(levels, np.int64),
        extra.astype(np.float32), middle, points, runs,
    )  # fmt: skip


def _widest(rule: Rule, run: Floats, run_sd: Floats) -> float:
    """Widest level for a shot: as wide as the pattern where nothing runs."""
    longest = float(np.abs(run).max())
    if longest == 0 and float(run_sd.max()) == 0:
        return math.inf
    return max(rule.narrow, rule.of_run * longest)


def _run(mean: float, sd: float, widest: float, out: NDArray[np.float32]) -> int:
    """Points of the run on one class of ground; none where nothing runs."""
    if mean == 0 and sd == 0:
        return 0
    wide = min(widest, 1e3)
    count = 1 if sd < 0.2 * wide or sd < 0.15 else 2 if sd < 0.6 * wide else 3
    x, w = hermite(count)
    out[:count, 0], out[:count, 1] = mean + sd * x, w
    return count


def _split(
    part: Floats, rule: Rule, widest: float, mishit: bool, rows: list[tuple[float, float, float]],
    levels: list[int],
) -> None:  # fmt: skip
    """Points of one normal part along its principal axes."""
    weight, d, q, sd, sq, rho = (float(v) for v in part)
    if weight <= 0:
        return
    covariance = np.array([[sd * sd, rho * sd * sq], [rho * sd * sq, sq * sq]])
    values, axes = np.linalg.eigh(covariance)
    small, large = np.sqrt(np.maximum(values, 0))
    level = level_below(min(float(small), widest))
    width = float(WIDTH[level])
    most = rule.mishit_points if mishit else MOST
    minor = _axis(float(small), width, rule, min(most, MOST if rule.narrow < math.inf else 2))
    major = _axis(float(large), width, rule, most)
    for a, wa in zip(*minor, strict=True):
        for b, wb in zip(*major, strict=True):
            step = a * axes[:, 0] + b * axes[:, 1]
            rows.append((d + float(step[0]), q + float(step[1]), weight * float(wa) * float(wb)))
            levels.append(level)


def _axis(spread: float, width: float, rule: Rule, most: int) -> tuple[Floats, Floats]:
    rest = math.sqrt(max(spread * spread - width * width, 0.0))
    count = next(i + 1 for i, end in enumerate(rule.steps) if rest < end * width or math.isinf(end))
    x, w = hermite(min(count, most))
    return x * rest, w
