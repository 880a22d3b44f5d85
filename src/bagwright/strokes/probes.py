"""Shot patterns as a few points of blurred fields.

The solid parts of a pattern are taken together as one normal with their mean and covariance; the mishit
stays apart. Each is split along its own axes: a level a little narrower than its smaller spread takes up most
of it, Gauss-Hermite points the rest (which is smooth, because the level is). What this leaves out (tails, the
run by the place of landing, the ground's shape) is measured by single balls (`balls`).
"""

from __future__ import annotations

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
MOST_POINTS = 13
"""Room for the points of a pattern."""


@dataclass(frozen=True, slots=True)
class Rule:
    """The most points along the two axes of the solid normal, and along the longer one of the mishits'."""

    major: int
    minor: int
    mishit: int


STEPS = (0.12, 0.5, 0.8, 1.1)
"""Upper ends of the spread left over that of the level, for 1, 2, 3, ... points."""
EVERY = 2
"""Only every second level is used: the reading of 960 shots was not worse (0.1133 and 0.1134 strokes)."""
QUICK = Rule(5, 2, 3)
"""About eleven points: for aims and sweeps."""
COARSE = Rule(3, 1, 1)
"""About four points: for the first look."""
GROUNDS = np.array([0.4, 0.4, 0.2])
"""How often a quick pattern comes down on fairway, rough and green (judgement): its run is spread so."""
APART = 2.0
"""Weight of the runs' differences by ground in that spread: a ball that comes down short of the turf that
runs also stops short, so that they add more than their variance. Found on 960 shots, whose quick answers
were spread by 0.071 strokes about the exact ones without the run's spread, by 0.063 with it."""


@dataclass(frozen=True, slots=True)
class Player:
    """A table in cells of one raster: what the answers read, and the numbers of the exact definition."""

    quick: Patterns
    coarse: Patterns
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
    usual: NDArray[np.float32]
    """(4,) mean run of the allowed shots by class of landing, over that on a fairway: 0 to 1."""
    levels: tuple[int, ...]
    """Levels of the blur that the allowed shots read."""


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
    wide = _with_run(whole, run)
    quick, coarse = _patterns(wide, extra, QUICK), _patterns(wide, extra, COARSE)
    return Player(
        quick, coarse, roots.astype(np.float32), extra.astype(np.float32), run.astype(np.float32),
        extra[..., 8].astype(np.float32), allowed, _usual(run, allowed), _levels(allowed, quick, coarse),
    )  # fmt: skip


def _usual(run: Floats, allowed: NDArray[np.bool_]) -> NDArray[np.float32]:
    mean = run[..., 0][allowed].sum(0)
    return np.asarray(np.clip(mean / max(float(mean[0]), 1e-9), 0.0, 1.0), np.float32)


def _levels(allowed: NDArray[np.bool_], quick: Patterns, coarse: Patterns) -> tuple[int, ...]:
    """Levels that the points of allowed shots lie on, and those at which the ground is looked at."""
    found = [quick.middle[allowed]]
    for p in (quick, coarse):
        found.append(p.level[(np.arange(p.level.shape[2]) < p.count[..., None]) & allowed[..., None]])
    return tuple(int(k) for k in np.unique(np.concatenate(found)))


def _with_run(whole: Floats, run: Floats) -> Floats:
    """The normals (6, n, parts, 6) as long as the run's spread makes them on usual ground."""
    mean = (GROUNDS * run[:, :, :3, 0]).sum(-1)
    apart = (GROUNDS * (run[:, :, :3, 0] - mean[..., None]) ** 2).sum(-1)
    more = (GROUNDS * run[:, :, :3, 1] ** 2).sum(-1) + APART * apart
    wide = np.array(whole)
    wide[..., 3] = np.sqrt(whole[..., 3] ** 2 + more[..., None])
    wide[..., 5] *= whole[..., 3] / np.maximum(wide[..., 3], 1e-12)
    return wide


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

    each = [_split(whole[:, :, PARTS], rule.major, rule.minor), _split(whole[:, :, MISHIT], rule.mishit, 1)]
    # The used ones first: weight 0 marks the rest.
    points = np.concatenate(each, 2)
    used = points[..., 2] > 0
    order = np.argsort(~used, axis=-1, kind="stable")[..., :MOST_POINTS]
    points = np.take_along_axis(points, order[..., None], 2)
    middle = levels_below(whole[:, :, PARTS, 3:5].max(-1)) // EVERY * EVERY
    return Patterns(
        used.sum(-1), np.ascontiguousarray(points[..., :3], np.float32), points[..., 3].astype(np.int64),
        extra.astype(np.float32), middle,
    )  # fmt: skip


def _split(part: Floats, most_major: int, most_minor: int) -> Floats:
    """Points (6, n, most, 4) of one normal along its principal axes: d, q, weight, level."""
    weight, d, q, sd, sq, rho = np.moveaxis(part, -1, 0)
    cross = rho * sd * sq
    half, apart = (sd**2 + sq**2) / 2, (sd**2 - sq**2) / 2
    root = np.hypot(apart, cross)
    large, small = np.sqrt(half + root), np.sqrt(np.maximum(half - root, 0))
    turn = 0.5 * np.arctan2(cross, apart)
    level = levels_below(small) // EVERY * EVERY
    width = WIDTH[level]
    major, minor = (np.sqrt(np.maximum(spread**2 - width**2, 0.0)) for spread in (large, small))
    counts = [
        np.minimum(np.searchsorted(STEPS, rest / width, side="right") + 1, most)
        for rest, most in ((major, most_major), (minor, most_minor))
    ]
    out = np.zeros((*weight.shape, most_major * most_minor, 4))
    for many, few in np.ndindex(most_major, most_minor):
        at = (weight > 0) & (counts[0] == many + 1) & (counts[1] == few + 1)
        (xa, wa), (xb, wb) = hermite(many + 1), hermite(few + 1)
        a = major[at][:, None] * np.repeat(xa, few + 1)
        b = minor[at][:, None] * np.tile(xb, many + 1)
        c, s, n = np.cos(turn[at])[:, None], np.sin(turn[at])[:, None], (many + 1) * (few + 1)
        share = weight[at][:, None] * np.outer(wa, wb).ravel()
        one = np.stack([d[at][:, None] + a * c - b * s, q[at][:, None] + a * s + b * c, share], -1)
        out[at, :n, :3], out[at, :n, 3] = one, level[at][:, None]
    return out
