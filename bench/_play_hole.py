"""A hole played out by a kept policy: plain, slow, and apart from the solver it checks.

Nothing of the solver's arithmetic is used: balls are drawn from the table of patterns in metres, come down on
the heights of the raster, run in small steps until water or their end, and are played on from where they
really lie. Relief is either where the raster has it for the cell in which the ball ended, or for the cell in
which it really entered the penalty area.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagwright.course.lies import Lie
from bagwright.course.raster import Raster
from bagwright.strokes.patterns import PatternTable
from bagwright.strokes.result import HoleStrokes

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
RUN_OF = {Lie.TEE: 0, Lie.FAIRWAY: 0, Lie.ROUGH: 1, Lie.GREEN: 2, Lie.DEEP: 3, Lie.SAND: 3, Lie.RECOVERY: 3}
STEP_M = 0.25
MOST = 80


@dataclass
class Field:
    """A raster to look things up in; what lies outside is out of bounds."""

    raster: Raster

    def cells(self, x: Floats, y: Floats) -> tuple[Ints, Ints, NDArray[np.bool_]]:
        r = self.raster
        i = np.floor((x - r.x0_m) / r.cell_m).astype(int)
        j = np.floor((y - r.y0_m) / r.cell_m).astype(int)
        inside = (i >= 0) & (j >= 0) & (i < r.lie.shape[0]) & (j < r.lie.shape[1])
        return np.where(inside, i, 0), np.where(inside, j, 0), inside

    def lie(self, x: Floats, y: Floats) -> Ints:
        i, j, inside = self.cells(x, y)
        return np.where(inside, self.raster.lie[i, j].astype(int), int(Lie.OUT))

    def height(self, x: Floats, y: Floats) -> Floats:
        if self.raster.height_m is None:
            return np.zeros(len(x))
        r = self.raster
        i = np.clip(np.floor((x - r.x0_m) / r.cell_m).astype(int), 0, r.lie.shape[0] - 1)
        j = np.clip(np.floor((y - r.y0_m) / r.cell_m).astype(int), 0, r.lie.shape[1] - 1)
        return np.asarray(r.height_m, float)[i, j]


def wet(lie: Ints) -> NDArray[np.bool_]:
    return np.isin(lie, [int(Lie.WATER), int(Lie.WATER_RED)])


def landing(
    field: Field, table: PatternTable, rng: np.random.Generator, x: Floats, y: Floats, lie: Ints, shot: Ints,
    aim: Floats,
) -> tuple[Floats, Floats]:  # fmt: skip
    """Where balls come down."""
    n = len(x)
    parts = np.asarray(table.parts)[lie, shot]
    part = (rng.random(n)[:, None] > np.cumsum(parts[:, :, 0], 1)[:, :-1]).sum(1)
    _, mx, my, sx, sy, rho = np.moveaxis(parts[np.arange(n), part], -1, 0)
    a, b = rng.standard_normal((2, n))
    d, q = mx + sx * a, my + sy * (rho * a + np.sqrt(1 - rho**2) * b)
    if table.wind_from_rad is not None:
        t = table.wind_from_rad - (field.raster.turn_rad or 0.0) - aim
        wx, wy = np.asarray(table.wind_x_m)[lie, shot], np.asarray(table.wind_y_m)[lie, shot]
        d = d + wx[:, 0] + wx[:, 1] * np.cos(t) + wx[:, 2] * np.cos(2 * t)
        q = q + wy[:, 0] * np.sin(t) + wy[:, 1] * np.sin(2 * t)
    c, s, tan = np.cos(aim), np.sin(aim), np.maximum(np.asarray(table.tan_descent)[lie, shot], 0.05)
    h, down = field.height(x, y), np.zeros(n)
    for _ in range(4):
        px, py = x + (d - down) * c - q * s, y + (d - down) * s + q * c
        down = (field.height(px, py) - h) / tan
    return x + (d - down) * c - q * s, y + (d - down) * s + q * c


def run_out(
    field: Field, table: PatternTable, rng: np.random.Generator, x: Floats, y: Floats, lie: Ints, shot: Ints,
    aim: Floats,
) -> tuple[Floats, Floats]:  # fmt: skip
    """Where balls that came down at (x, y) end: the first penalty area on the way, or the run's end."""
    down = field.lie(x, y)
    kind = np.array([RUN_OF.get(Lie(k), -1) for k in range(len(Lie))])[down]
    mean, sd = np.asarray(table.run_m)[lie, shot], np.asarray(table.run_sd_m)[lie, shot]
    row = np.arange(len(x))
    run = np.where(kind >= 0, mean[row, kind] + sd[row, kind] * rng.standard_normal(len(x)), 0.0)
    c, s = np.cos(aim) * np.sign(run), np.sin(aim) * np.sign(run)
    far, gone, open_ = np.abs(run), np.zeros(len(x)), np.abs(run) > 0
    while open_.any():
        k = np.flatnonzero(open_)
        gone[k] = np.minimum(gone[k] + STEP_M, far[k])
        stop = wet(field.lie(x[k] + gone[k] * c[k], y[k] + gone[k] * s[k])) | (gone[k] >= far[k])
        open_[k[stop]] = False
    return x + gone * c, y + gone * s


def entered(field: Field, x0: Floats, y0: Floats, x: Floats, y: Floats) -> tuple[Floats, Floats]:
    """Where a ball that ends in water at (x, y) last came into it on the straight way from (x0, y0)."""
    out_x, out_y = x.copy(), y.copy()
    length = np.hypot(x - x0, y - y0)
    open_ = np.ones(len(x), bool)
    for k in range(1, int(length.max() / STEP_M) + 2 if len(x) else 0):
        back = np.maximum(1 - k * STEP_M / np.maximum(length, 1e-9), 0)
        px, py = x0 + back * (x - x0), y0 + back * (y - y0)
        open_ &= wet(field.lie(px, py))
        out_x[open_], out_y[open_] = px[open_], py[open_]
        if not open_.any():
            break
    return out_x, out_y


def play_hole(
    hole: HoleStrokes, raster: Raster, table: PatternTable, rounds: int, seed: int, *, crossed: bool = False
) -> Floats:
    """Strokes of so many rounds; putts have their mean and spread from the middle of the ball's cell."""
    field, rng = Field(raster), np.random.default_rng(seed)
    ny = raster.lie.shape[1]
    x, y = np.full(rounds, raster.tee_m[0]), np.full(rounds, raster.tee_m[1])
    lie = np.full(rounds, int(Lie.TEE))
    score, alive = np.zeros(rounds), np.arange(rounds)
    for _ in range(MOST):
        if not len(alive):
            return score
        ax, ay, al = x[alive], y[alive], lie[alive]
        i, j, _ = field.cells(ax, ay)
        tee = al == Lie.TEE
        shot = np.where(tee, hole.first[0], hole.shot[i, j].astype(int))
        aim = np.where(tee, hole.first[1], hole.aim[i, j].astype(float))
        px, py = landing(field, table, rng, ax, ay, al, shot, aim)
        ex, ey = run_out(field, table, rng, px, py, al, shot, aim)
        score[alive] += 1
        end = field.lie(ex, ey)
        out = end == Lie.OUT
        score[alive[out]] += 1
        drowned = np.flatnonzero(wet(end))
        if len(drowned):
            wx, wy = ex[drowned], ey[drowned]
            if crossed:
                wx, wy = entered(field, ax[drowned], ay[drowned], wx, wy)
            a, b, _ = field.cells(wx, wy)
            place = raster.relief[a, b]
            ex[drowned] = raster.x0_m + (place // ny + 0.5) * raster.cell_m
            ey[drowned] = raster.y0_m + (place % ny + 0.5) * raster.cell_m
            end[drowned] = field.lie(ex[drowned], ey[drowned])
            score[alive[drowned]] += 1
        green = end == Lie.GREEN
        a, b, _ = field.cells(ex[green], ey[green])
        mx, my = raster.x0_m + (a + 0.5) * raster.cell_m, raster.y0_m + (b + 0.5) * raster.cell_m
        left = np.hypot(mx - raster.pin_m[0], my - raster.pin_m[1])
        putts = np.interp(left, table.putt_m, table.putts)
        own = np.maximum(np.interp(left, table.putt_m, table.putts_square) - putts**2, 0)
        score[alive[green]] += putts + np.sqrt(own) * rng.standard_normal(len(left))
        on = ~out
        x[alive[on]], y[alive[on]] = ex[on], ey[on]
        lie[alive[on]] = np.where(end[on] == Lie.TEE, int(Lie.FAIRWAY), end[on])
        alive = alive[~green]
    raise RuntimeError(f"{len(alive)} of {rounds} rounds were not over after {MOST} shots")


def mean_and_error(score: NDArray[Any]) -> tuple[float, float]:
    """Mean and its standard error."""
    return float(score.mean()), float(score.std(ddof=1) / np.sqrt(len(score)))
