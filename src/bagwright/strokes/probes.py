"""Shot patterns as a few points of blurred fields.

The solid parts of a pattern are taken together as one normal with their mean and covariance; the mishit
stays apart. Each is split along its own axes: a level a little narrower than its smaller spread takes up most
of it, Gauss-Hermite points the rest (which is smooth, because the level is). What this leaves out (tails, the
run by the place of landing, the ground's shape) is measured point by point in `_kernel_fine`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from bagwright.strokes.blur import WIDTH, WIDTHS
from bagwright.strokes.patterns import PARTS, PatternTable

if TYPE_CHECKING:
    from bagwright.strokes._kernel_read import Patterns

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
LIES = 6
MISHIT = PARTS - 1
MOST_POINTS = 32
"""Room for the points of one normal."""


@dataclass(frozen=True, slots=True)
class Rule:
    """How finely a normal is split, by the spread left over that of the level.

    `steps` are upper ends of that ratio for 1, 2, 3, ... points; `major` and `minor` the most points along
    the axes of the solid normal, `mishit` along the longer axis of the other (one across).
    """

    steps: tuple[float, ...]
    major: int
    minor: int
    mishit: int
    parts: bool = False
    """Whether the solid parts are read one by one."""
    every: int = 1
    """Only every second, third ... level is used."""
    narrow: float = 1.0
    """How wide a level may be over the smaller spread."""


STEPS = (0.12, 0.5, 0.8, 1.1)
QUICK = Rule(STEPS, 5, 2, 3)
"""About eleven points: for aims and sweeps."""
COARSE = Rule(STEPS, 3, 1, 1)
"""About four points: for the first look."""


FINE = Rule((0.10, 0.45, 0.75, 1.0, 1.3, 1.6, 2.0), 8, 4, 6, parts=True, every=2, narrow=0.85)
"""For what the run, tails and heights add: each part on its own."""


@dataclass(frozen=True, slots=True)
class Player:
    """A table in cells of one raster: what the answers read, and the numbers of the exact definition."""

    quick: Patterns
    coarse: Patterns
    fine: Patterns
    parts: NDArray[np.float32]
    """(6, n, PARTS + 1, 6): weight, d, q, root of the covariance 11, 21, 22; cells. The last is the normal
    that stands for the solid parts together."""
    extra: NDArray[np.float32]
    """(6, n, 10) as in `Patterns`."""
    run: NDArray[np.float32]
    """(6, n, 4, 2): mean and sd of the run by class of landing, cells."""
    reach: NDArray[np.float32]
    """(6, n): mean length with the run on a fairway."""
    allowed: NDArray[np.bool_]


@lru_cache(maxsize=32)
def hermite(n: int) -> tuple[Floats, Floats]:
    """Gauss-Hermite points and weights of the standard normal."""
    x, w = np.polynomial.hermite_e.hermegauss(n)
    return x, w / w.sum()


def player_of(table: PatternTable, cell_m: float) -> Player:
    """Prepare a table for rasters with this cell."""
    # In C order whatever the table's: another order would be compiled for anew.
    parts = np.array(table.parts, float, order="C")
    parts[..., 1:5] /= cell_m
    runs = (np.array(given, float, order="C") for given in (table.run_m, table.run_sd_m))
    run = np.stack(list(runs), -1) / cell_m
    run[(np.abs(run) < 0.05).all(-1)] = 0
    whole = np.concatenate([parts, _together(parts)[:, :, None]], 2)
    extra = _extra(table, whole, run, cell_m)
    roots = np.array(whole)
    roots[..., 4] = whole[..., 5] * whole[..., 4]
    roots[..., 5] = whole[..., 4] * np.sqrt(np.maximum(1 - whole[..., 5] ** 2, 0))
    allowed = np.ascontiguousarray(table.allowed, bool)
    return Player(
        _patterns(whole, extra, QUICK), _patterns(whole, extra, COARSE), _patterns(whole, extra, FINE),
        roots.astype(np.float32),
        extra.astype(np.float32), run.astype(np.float32), extra[..., 8].astype(np.float32), allowed,
    )  # fmt: skip


def _together(parts: Floats) -> Floats:
    """One normal (6, n, 6) with mean and covariance of the solid parts."""
    solid = parts[:, :, :MISHIT]
    weight = solid[..., 0].sum(-1)
    share = solid[..., 0] / np.maximum(weight, 1e-12)[..., None]
    d, q = (share * solid[..., 1]).sum(-1), (share * solid[..., 2]).sum(-1)
    dd = (share * (solid[..., 3] ** 2 + (solid[..., 1] - d[..., None]) ** 2)).sum(-1)
    qq = (share * (solid[..., 4] ** 2 + (solid[..., 2] - q[..., None]) ** 2)).sum(-1)
    own = solid[..., 5] * solid[..., 3] * solid[..., 4]
    dq = (share * (own + (solid[..., 1] - d[..., None]) * (solid[..., 2] - q[..., None]))).sum(-1)
    sd, sq = np.sqrt(dd), np.sqrt(qq)
    return np.stack([weight, d, q, sd, sq, dq / np.maximum(sd * sq, 1e-12)], -1)


def _extra(table: PatternTable, whole: Floats, run: Floats, cell_m: float) -> Floats:
    extra = np.zeros((LIES, table.n, 10))
    tan = np.maximum(np.array(table.tan_descent, float), 0.05)
    extra[..., 0] = 1 / tan
    extra[..., 1:4] = np.asarray(table.wind_x_m) / cell_m
    extra[..., 4:6] = np.asarray(table.wind_y_m) / cell_m
    extra[..., 6:8] = whole[:, :, PARTS, 1:3]
    extra[..., 8] = extra[..., 6] + run[..., 0, 0]
    extra[..., 9] = np.abs(run).max((-1, -2)) > 0
    return extra


def levels_below(width: Floats) -> Ints:
    """Widest levels that are not wider."""
    found: Ints = np.clip(np.searchsorted(WIDTH, width * 1.0000001) - 1, 0, WIDTHS - 1).astype(np.int64)
    return found


def _patterns(whole: Floats, extra: Floats, rule: Rule) -> Patterns:
    from bagwright.strokes._kernel_read import Patterns

    chosen = range(MISHIT) if rule.parts else (PARTS,)
    each = [_split(whole[:, :, k], extra[..., 0], rule.major, rule.minor, rule) for k in chosen]
    each.append(_split(whole[:, :, MISHIT], extra[..., 0], rule.mishit, 2 if rule.parts else 1, rule))
    # The used ones first: weight 0 marks the rest.
    points = np.concatenate(each, 2)
    used = points[..., 2] > 0
    order = np.argsort(~used, axis=-1, kind="stable")
    points = np.take_along_axis(points, order[..., None], 2)
    middle = levels_below(whole[:, :, PARTS, 3:5].max(-1))
    return Patterns(
        used.sum(-1), np.ascontiguousarray(points[..., [0, 1, 2, 4, 5]], np.float32),
        points[..., 3].astype(np.int64),
        extra.astype(np.float32), middle,
    )  # fmt: skip


def _split(part: Floats, cot: Floats, most_major: int, most_minor: int, rule: Rule) -> Floats:
    """Points (6, n, MOST_POINTS, 6) of one normal along its principal axes.

    A flat descent (`cot`, 6, n) wants narrow levels: slopes stretch it. Fields: d, q, weight, level; the
    normal's own d, and the level's share of its variance along the aim.
    """
    weight, d, q, sd, sq, rho = np.moveaxis(part, -1, 0)
    narrow = np.clip(rule.narrow * (1.2 - 0.14 * cot), 0.5, 1.0) if rule.parts else 1.0
    cross = rho * sd * sq
    half, apart = (sd**2 + sq**2) / 2, (sd**2 - sq**2) / 2
    root = np.hypot(apart, cross)
    large, small = np.sqrt(half + root), np.sqrt(np.maximum(half - root, 0))
    turn = 0.5 * np.arctan2(cross, apart)
    level = levels_below(small * narrow) // rule.every * rule.every
    width = WIDTH[level]
    out = np.zeros((*weight.shape, MOST_POINTS, 6))
    rests = (np.sqrt(np.maximum(spread**2 - width**2, 0.0)) for spread in (large, small))
    major, minor = rests
    for at in np.ndindex(weight.shape):
        if weight[at] <= 0:
            continue
        (xa, wa), (xb, wb) = (
            hermite(_count(float(rest[at] / width[at]), most, rule.steps))
            for rest, most in ((major, most_major), (minor, most_minor))
        )
        a, b = (v.ravel() for v in np.meshgrid(xa * major[at], xb * minor[at], indexing="ij"))
        c, s, n = math.cos(turn[at]), math.sin(turn[at]), len(a)
        out[at][:n, 0], out[at][:n, 1] = d[at] + a * c - b * s, q[at] + a * s + b * c
        out[at][:n, 2], out[at][:n, 3] = weight[at] * np.outer(wa, wb).ravel(), level[at]
        out[at][:n, 4], out[at][:n, 5] = d[at], min((float(width[at]) / max(float(sd[at]), 1e-9)) ** 2, 1.0)
    return out


def _count(ratio: float, most: int, steps: tuple[float, ...]) -> int:
    return min(next((i + 1 for i, end in enumerate(steps) if ratio < end), len(steps) + 1), most)
