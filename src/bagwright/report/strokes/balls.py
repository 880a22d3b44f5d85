"""Where the balls of one shot finish, drawn ball by ball from its pattern: for pictures, never for values."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from bagwright.course.lies import Lie
from bagwright.course.raster import Raster
from bagwright.strokes.fields import GROUP
from bagwright.strokes.patterns import PatternTable

Floats = NDArray[np.float64]

LOST = (Lie.WATER, Lie.WATER_RED, Lie.OUT)
_STEP_M = 0.5


def lie_at(raster: Raster, points_m: Floats) -> NDArray[np.int64]:
    """The lie of places (n, 2) of the hole's frame; out of bounds beyond the raster."""
    i = np.floor((points_m[:, 0] - raster.x0_m) / raster.cell_m).astype(np.int64)
    j = np.floor((points_m[:, 1] - raster.y0_m) / raster.cell_m).astype(np.int64)
    nx, ny = raster.lie.shape
    inside = (i >= 0) & (i < nx) & (j >= 0) & (j < ny)
    found = np.full(len(points_m), int(Lie.OUT), dtype=np.int64)
    found[inside] = raster.lie[i[inside], j[inside]]
    return found


def carries(table: PatternTable, lie: int, shot: int, n: int, seed: int) -> Floats:
    """Draw (n, 2) landings of a shot in its own frame, on level ground, without the table's wind."""
    rng = np.random.default_rng(seed)
    parts = table.parts[lie, shot]
    which = rng.choice(len(parts), size=n, p=parts[:, 0] / parts[:, 0].sum())
    _w, x, y, x_sd, y_sd, corr = parts[which].T
    one, other = rng.standard_normal((2, n))
    side = corr * one + np.sqrt(np.maximum(1.0 - corr**2, 0.0)) * other
    return np.column_stack((x + x_sd * one, y + y_sd * side))


def drift(table: PatternTable, raster: Raster, lie: int, shot: int, aim_rad: float) -> tuple[float, float]:
    """What the table's wind adds along and to the right of a shot with this direction in the hole's frame."""
    if table.wind_from_rad is None:
        return 0.0, 0.0
    t = table.wind_from_rad - (raster.turn_rad or 0.0) - aim_rad
    along, side = table.wind_x_m[lie, shot], table.wind_y_m[lie, shot]
    return (
        float(along[0] + along[1] * math.cos(t) + along[2] * math.cos(2 * t)),
        float(side[0] * math.sin(t) + side[1] * math.sin(2 * t)),
    )


def finishes(
    table: PatternTable,
    raster: Raster,
    start: tuple[tuple[float, float], int],
    choice: tuple[int, float],
    n: int = 200,
    seed: int = 1,
) -> tuple[Floats, NDArray[np.bool_]]:
    """Draw where n balls end: (n, 2) metres, and which of them cost a penalty.

    `start` is the place and the lie, `choice` the shot's number and the direction of its aim. A ball that
    comes down in a penalty area or out of bounds, or runs into one, stays at its edge.
    """
    (x, y), lie = start
    shot, aim = choice
    local = carries(table, lie, shot, n, seed) + np.array(drift(table, raster, lie, shot, aim))
    cos, sin = math.cos(aim), math.sin(aim)
    along, right = np.array([cos, sin]), np.array([-sin, cos])
    landed = np.array([x, y]) + local[:, :1] * along + local[:, 1:] * right
    landed = landed - shorter(table, raster, (x, y), (lie, shot), landed)[:, None] * along
    group = GROUP[lie_at(raster, landed)]
    rng = np.random.default_rng(seed + 1)
    mean, sd = table.run_m[lie, shot], table.run_sd_m[lie, shot]
    run = np.where(group >= 0, mean[group] + sd[group] * rng.standard_normal(n), 0.0)
    ended = _run(raster, landed, along, run)
    return ended, np.isin(lie_at(raster, ended), [int(k) for k in LOST])


def shorter(
    table: PatternTable, raster: Raster, start: tuple[float, float], what: tuple[int, int], landed: Floats
) -> Floats:
    """How much shorter balls come down on higher ground: the height over the tangent of the descent."""
    heights = raster.height_m
    if heights is None:
        return np.zeros(len(landed))
    nx, ny = raster.lie.shape

    def height(points: Floats) -> Floats:
        i = np.clip(np.floor((points[:, 0] - raster.x0_m) / raster.cell_m).astype(np.int64), 0, nx - 1)
        j = np.clip(np.floor((points[:, 1] - raster.y0_m) / raster.cell_m).astype(np.int64), 0, ny - 1)
        return np.asarray(heights[i, j], dtype=np.float64)

    rise = height(landed) - height(np.array([start]))[0]
    steep: Floats = rise / max(float(table.tan_descent[what]), 0.05)
    return steep


def _run(raster: Raster, landed: Floats, along: Floats, run: Floats) -> Floats:
    """Follow the balls over the ground; one that meets a penalty area or the bounds stays there."""
    ended = landed + run[:, None] * along
    steps = int(np.ceil(np.abs(run).max(initial=0.0) / _STEP_M))
    stopped = np.isin(lie_at(raster, landed), [int(k) for k in LOST])
    ended[stopped] = landed[stopped]
    for k in range(1, steps + 1):
        part = np.clip(k * _STEP_M, 0.0, np.abs(run)) * np.sign(run)
        here = landed + part[:, None] * along
        now = np.isin(lie_at(raster, here), [int(k2) for k2 in LOST]) & ~stopped
        ended[now] = here[now]
        stopped |= now
    return ended
