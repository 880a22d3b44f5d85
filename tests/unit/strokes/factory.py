"""Invented holes and players for the tests of the strokes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagwright.course.lies import PLAYED_FROM, Lie
from bagwright.course.raster import CELL_M, Raster
from bagwright.strokes.patterns import PARTS, PatternTable, Shot

CARRIES_YD = {
    "driver": 240, "3 wood": 222, "5 wood": 208, "4 hybrid": 196, "5 iron": 183, "6 iron": 172, "7 iron": 160,
    "8 iron": 148, "9 iron": 136, "46 wedge": 124, "50 wedge": 110, "54 wedge": 94, "58 wedge": 76,
}  # fmt: skip
SWINGS = {"stock": 1.0, "gripped-down": 0.94, "three-quarter": 0.85}
PITCHES_YD = (4, 7, 11, 18, 27, 38, 50, 62)
DISTANCE = {
    Lie.TEE: 1.0, Lie.FAIRWAY: 1.0, Lie.ROUGH: 0.94, Lie.DEEP: 0.82, Lie.SAND: 0.85, Lie.RECOVERY: 0.7
}  # fmt: skip
SPREAD = {Lie.TEE: 1.0, Lie.FAIRWAY: 1.0, Lie.ROUGH: 1.3, Lie.DEEP: 1.5, Lie.SAND: 1.6, Lie.RECOVERY: 1.5}


def putts(yards: NDArray[Any]) -> NDArray[Any]:
    feet = np.maximum(yards, 0.1) * 3.0
    return 1.0 + 0.99 * (1 - np.exp(-np.maximum(feet - 1.5, 0) / 11.0)) + 0.0065 * np.maximum(feet - 12, 0)


def table(
    clubs: Sequence[str] | None = None,
    swings: Sequence[str] = tuple(SWINGS),
    pitches: Sequence[float] = PITCHES_YD,
    spread: float = 1.0,
    run: float = 1.0,
    bias: float = 0.004,
    wind_mps: float = 0.0,
    correlation: float = 0.15,
) -> PatternTable:
    """A player: solid shots in two normals, one mishit in sixteen; everything runs."""
    rows = [
        (Shot(club, swing), CARRIES_YD[club] * SWINGS[swing], 1.0 if swing == "stock" else 1.06)
        for club in (CARRIES_YD if clubs is None else clubs)
        for swing in swings
    ]
    rows += [(Shot("58 wedge", "pitch", y * CELL_M), float(y), 1.0) for y in pitches]
    n, lies = len(rows), len(PLAYED_FROM)
    parts = np.zeros((lies, n, PARTS, 6))
    allowed = np.ones((lies, n), bool)
    tan = np.zeros((lies, n))
    runs, run_sds = np.zeros((lies, n, 4)), np.zeros((lies, n, 4))
    wind_x, wind_y = np.zeros((lies, n, 3)), np.zeros((lies, n, 2))
    for li, lie in enumerate(PLAYED_FROM):
        for k, (shot, length, wider) in enumerate(rows):
            parts[li, k] = _parts(length, shot.swing == "pitch", lie, wider * spread, bias, correlation)
            tan[li, k] = math.tan(math.radians(36 + 14 * (1 - length / 250)))
            runs[li, k], run_sds[li, k] = _run(length, shot.swing == "pitch", run)
            share = (length / 240) ** 2 * wind_mps
            wind_x[li, k] = -0.1 * share, -2.6 * share, 0.2 * share
            wind_y[li, k] = -2.3 * share, 0.1 * share
            if shot.club == "driver" and lie != Lie.TEE:
                allowed[li, k] = False
    metres = np.linspace(0, 80, 400)
    mean = putts(metres / CELL_M)
    return PatternTable(
        tuple(shot for shot, _, _ in rows), parts, allowed, tan, runs, run_sds, wind_x, wind_y,
        math.radians(250) if wind_mps else None, metres, mean, mean**2 + 0.25 * np.minimum(mean - 1, 1),
    )  # fmt: skip


def _parts(length: float, pitch: bool, lie: Lie, spread: float, bias: float, rho: float) -> NDArray[Any]:
    fd, fs = DISTANCE[lie], SPREAD[lie] * spread
    if pitch:
        fd = 1 - 0.5 * (1 - fd)
        sd, sq = max(1.0, 0.09 * length) * fs, max(0.8, 0.055 * length) * fs
    else:
        long = length > 205
        sd = length * (0.040 + 0.006 * long) * fs
        sq = length * (0.050 + 0.012 * long + 0.008 * (length > 230)) * fs
    d, q = length * fd * CELL_M, bias * length * CELL_M
    sd, sq = sd * CELL_M, sq * CELL_M
    out = np.zeros((PARTS, 6))
    out[0] = 0.64, d, q, sd * 0.85, sq * 0.85, rho
    out[1] = 0.30, d, q, sd * 1.25, sq * 1.25, rho
    out[3] = 0.06, d * 0.76, q, sd * 2.2, sq * 2.2, 0.0
    return out


def _run(length: float, pitch: bool, factor: float) -> tuple[NDArray[Any], NDArray[Any]]:
    fairway = 0.22 * length if pitch else 22.0 * (length / 240) ** 2.6
    mean = np.array([fairway, 0.45 * fairway, min(0.9 * fairway, 9.0), 0.0]) * factor * CELL_M
    return mean, 0.3 * mean


def hole(
    seed: int,
    par: int = 4,
    *,
    water: bool = True,
    out: bool = True,
    hills: bool = False,
    length_yd: float | None = None,
    width: int = 160,
) -> Raster:
    """A hole with bends, trees, bunkers, a pond or a creek, and out of bounds along one side."""
    r = np.random.default_rng(seed)
    length = length_yd or {3: r.uniform(140, 215), 4: r.uniform(330, 460), 5: r.uniform(480, 550)}[par]
    nx, x0 = int(length + 90), 30.0
    x, y = np.meshgrid(np.arange(nx) + 0.5, np.arange(width) + 0.5, indexing="ij")
    bend = r.uniform(-26, 26) if par > 3 else 0.0

    def middle(at: NDArray[Any]) -> NDArray[Any]:
        return np.asarray(width / 2 + bend * (np.sin(np.clip((at - x0) / length, 0, 1.2) * math.pi) - 0.3))

    side = y - middle(x)
    wobble = 4 * np.sin(x / 37 + r.uniform(0, 6)) + 3 * np.sin(x / 19 + r.uniform(0, 6))
    lie = np.full((nx, width), int(Lie.ROUGH), np.uint8)
    pin_x = x0 + length
    pin_y = float(middle(np.array([pin_x]))[0])
    fairway = (np.abs(side) < r.uniform(13, 18) + 0.6 * wobble) & (x > x0 + 150) & (x < pin_x - 8)
    lie[fairway if par > 3 else (np.abs(side) < 10) & (x > pin_x - 40) & (x < pin_x - 12)] = Lie.FAIRWAY
    edge = r.uniform(28, 38) + wobble
    lie[np.abs(side) > edge] = Lie.DEEP
    lie[np.abs(side) > edge + 8] = Lie.RECOVERY
    where = r.choice([-1, 1])
    if out:
        lie[side * where > r.uniform(44, 56)] = Lie.OUT
    if water:
        _water(lie, x, y, side, r, (x0, length, pin_x, float(where)), width)
    _sand_and_green(lie, x, y, r, pin_x, pin_y, par, (x0, length), middle)
    tee_y = float(middle(np.array([x0]))[0])
    lie[(np.abs(x - x0) < 3) & (np.abs(y - tee_y) < 3)] = Lie.TEE
    lie[:2], lie[-2:], lie[:, :2], lie[:, -2:] = Lie.OUT, Lie.OUT, Lie.OUT, Lie.OUT
    pin = (pin_x + r.uniform(-3, 3), pin_y + r.uniform(-2, 2))
    height = 3.0 * np.sin(x / 60 + seed) + 2.0 * np.cos(y / 45) + 0.02 * x
    return raster_of(lie, (x0, tee_y), pin, par, length, height.astype(np.float32) if hills else None)


def _water(
    lie: NDArray[Any], x: NDArray[Any], y: NDArray[Any], side: NDArray[Any], r: np.random.Generator,
    at: tuple[float, float, float, float], width: int,
) -> None:  # fmt: skip
    x0, length, pin_x, where = at
    px, off = x0 + length * r.uniform(0.45, 0.8), -where * r.uniform(22, 34)
    lie[((x - px) / r.uniform(28, 55)) ** 2 + ((side - off) / r.uniform(12, 18)) ** 2 < 1] = Lie.WATER_RED
    if r.uniform() < 0.6:
        creek = pin_x - r.uniform(25, 50)
        lie[np.abs(x - creek - 0.15 * (y - width / 2)) < r.uniform(3, 7)] = Lie.WATER


def _sand_and_green(
    lie: NDArray[Any], x: NDArray[Any], y: NDArray[Any], r: np.random.Generator, px: float, py: float,
    par: int, stretch: tuple[float, float], middle: Any,
) -> None:  # fmt: skip
    x0, length = stretch
    for _ in range(int(r.integers(2, 6)) if par > 3 else 0):
        bx = x0 + r.uniform(190, length - 60)
        by = float(middle(np.array([bx]))[0]) + r.choice([-1, 1]) * r.uniform(15, 24)
        lie[((x - bx) / r.uniform(6, 12)) ** 2 + ((y - by) / r.uniform(4, 7)) ** 2 < 1] = Lie.SAND
    a, b, turn = r.uniform(11, 16), r.uniform(9, 13), r.uniform(0, math.pi)
    u = (x - px) * math.cos(turn) + (y - py) * math.sin(turn)
    v = -(x - px) * math.sin(turn) + (y - py) * math.cos(turn)
    collar = ((u / (a + 5)) ** 2 + (v / (b + 5)) ** 2 < 1) & (lie != Lie.FAIRWAY)
    lie[collar] = Lie.ROUGH
    for _ in range(int(r.integers(2, 5))):
        t = r.uniform(0, 2 * math.pi)
        bx, by = px + math.cos(t) * (a + 9), py + math.sin(t) * (b + 9)
        lie[((x - bx) / r.uniform(5, 9)) ** 2 + ((y - by) / r.uniform(4, 7)) ** 2 < 1] = Lie.SAND
    lie[(u / a) ** 2 + (v / b) ** 2 < 1] = Lie.GREEN


def raster_of(
    lie: NDArray[Any], tee: tuple[float, float], pin: tuple[float, float], par: int, length: float,
    height: NDArray[np.float32] | None = None,
) -> Raster:  # fmt: skip
    """A raster of cells with its relief: the nearest cell in play that is not nearer the pin."""
    return Raster(
        1, par, "back", length * CELL_M, CELL_M, -tee[0] * CELL_M, -tee[1] * CELL_M, lie, relief(lie, pin),
        height, (0.0, 0.0), ((pin[0] - tee[0]) * CELL_M, (pin[1] - tee[1]) * CELL_M), 0.3,
    )  # fmt: skip


def relief(lie: NDArray[Any], pin: tuple[float, float]) -> NDArray[np.int32]:
    from scipy.ndimage import binary_dilation
    from scipy.spatial import cKDTree

    nx, ny = lie.shape
    out = np.arange(nx * ny, dtype=np.int32).reshape(nx, ny)
    playable = (lie <= Lie.RECOVERY) & (lie != Lie.TEE)
    x, y = np.meshgrid(np.arange(nx) + 0.5, np.arange(ny) + 0.5, indexing="ij")
    away = np.hypot(x - pin[0], y - pin[1])
    for wet, good in (
        ((lie == Lie.WATER) | (lie == Lie.WATER_RED), playable),
        (lie == Lie.OUT, (lie == Lie.FAIRWAY)),
    ):
        rim = np.argwhere(good & binary_dilation(wet, iterations=3) if good is playable else good)
        cells = np.argwhere(wet)
        if not len(rim) or not len(cells):
            continue
        near = min(60, len(rim))
        _, which = cKDTree(rim).query(cells, k=near)
        which = which.reshape(len(cells), near)
        far = away[rim[which][..., 0], rim[which][..., 1]] >= away[cells[:, 0], cells[:, 1]][:, None] - 1.0
        pick = rim[which[np.arange(len(cells)), np.where(far.any(1), far.argmax(1), 0)]]
        out[cells[:, 0], cells[:, 1]] = pick[:, 0] * ny + pick[:, 1]
    return out
