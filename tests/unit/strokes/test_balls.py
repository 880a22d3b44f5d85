"""Single balls of a shot: where they end, against the normal's integrals and a simulator of its own."""

from __future__ import annotations

import dataclasses
from functools import lru_cache
from typing import Any

import numpy as np
import pytest
from scipy.special import ndtr

from bagwright.course.lies import Lie
from bagwright.course.raster import CELL_M, Raster
from bagwright.strokes.balls import Balls, balls_of, ends, means, points, variants
from bagwright.strokes.cells import Cells, cells_of
from bagwright.strokes.fields import turf_of
from bagwright.strokes.patterns import PatternTable
from bagwright.strokes.probes import Player, player_of
from bench._play_hole import Field, landing, run_out
from tests.unit.strokes import factory


@lru_cache(maxsize=1)
def ground() -> tuple[Raster, PatternTable, Cells, Player]:
    raster = factory.hole(104, 3, hills=True)
    table = factory.table(clubs=("driver", "7 iron"), swings=("stock",), pitches=(18, 38), wind_mps=4.0)
    return raster, table, cells_of(raster, table), player_of(table, raster.cell_m)


def question(cells: Cells, lie: int, shot: int, at: tuple[float, float], aim: float) -> Any:
    number = np.zeros((8, 1), np.float32)
    number[:6, 0] = *at, cells.height[int(at[0]), int(at[1])], aim, np.cos(aim), np.sin(aim)
    return np.array([[lie], [shot]]), number, np.zeros(1, np.int64)


def test_points_have_the_moments_of_normals() -> None:
    z = points(256, 2).astype(float)
    assert z[:3].mean(1) == pytest.approx(0, abs=1e-6)
    np.testing.assert_allclose(z[:3] @ z[:3].T / 256, np.eye(3), atol=1e-5)
    assert z[3].sum() == pytest.approx(1, abs=1e-6)


def test_every_way_of_mirroring_is_taken() -> None:
    assert np.bincount(variants(np.arange(4000))).min() > 400


def test_balls_on_flat_ground_fall_as_the_normal_says() -> None:
    """Chances of blocks of cells are products of differences of the normal's integral."""
    table = factory.table(clubs=("7 iron",), swings=("stock",), pitches=(), run=0.0, correlation=0.0)
    lie = np.full((260, 120), int(Lie.FAIRWAY), np.uint8)
    lie[100:104, 58:62] = Lie.GREEN
    lie[:2], lie[-2:], lie[:, :2], lie[:, -2:] = Lie.OUT, Lie.OUT, Lie.OUT, Lie.OUT
    cells = cells_of(factory.raster_of(lie, (20.0, 60.0), (102.0, 60.0), 4, 82.0), table)
    player = player_of(table, CELL_M)
    found, weight = ends(
        turf_of(cells), player, balls_of(player, (4096,) * 4), *question(cells, 1, 0, (20, 60), 0)
    )
    assert weight.sum() == pytest.approx(1, abs=1e-5)
    side = 10
    chance = np.zeros((26, 12))
    np.add.at(chance, (found[0] // 120 // side, found[0] % 120 // side), weight[0])
    exact = np.zeros_like(chance)
    for w, d, q, sd, sq, _ in table.parts[1, 0]:
        if w > 0:
            x = np.diff(ndtr((np.arange(27) * side - 20 - d / CELL_M) / (sd / CELL_M)))
            y = np.diff(ndtr((np.arange(13) * side - 60 - q / CELL_M) / (sq / CELL_M)))
            exact += w * np.outer(x, y)
    np.testing.assert_allclose(chance, exact, atol=2e-3)


@pytest.mark.parametrize(("lie", "shot"), [(1, 0), (1, 1), (5, 1), (2, 3)])
def test_balls_end_where_a_simulator_of_its_own_puts_them(lie: int, shot: int) -> None:
    """Hills, wind, runs by lie and water on the way: shares of lies against 60,000 drawn balls."""
    raster, table, cells, player = ground()
    x, y = 60.0, cells.pin[1]
    aim = float(np.arctan2(cells.pin[1] - y, cells.pin[0] - x))
    found, weight = ends(
        turf_of(cells), player, balls_of(player, (2048,) * 4), *question(cells, lie, shot, (x, y), aim)
    )
    ours = np.bincount(raster.lie.ravel()[found[0]], weight[0], minlength=10)
    n, field, rng = 60_000, Field(raster), np.random.default_rng(3)
    spread = (np.full(n, v) for v in (lie, shot, aim))
    kinds, shots, aims = (np.asarray(v) for v in spread)
    x_m, y_m = raster.x0_m + x * raster.cell_m, raster.y0_m + y * raster.cell_m
    down = landing(field, table, rng, np.full(n, x_m), np.full(n, y_m), kinds, shots, aims)
    ex, ey = run_out(field, table, rng, *down, kinds, shots, aims)
    theirs = np.bincount(field.lie(ex, ey).astype(int), minlength=10) / n
    np.testing.assert_allclose(ours, theirs, atol=0.012)


def test_means_are_those_of_the_balls() -> None:
    _, _, cells, player = ground()
    turf, balls = turf_of(cells), balls_of(player, (256, 128, 64, 600))
    whole, number, variant = question(cells, 2, 1, (70.0, 60.0), 0.1)
    rest = np.where(cells.kind == 3, -1, 2 + np.arange(cells.kind.size) * 1e-4).astype(np.float32)
    found, weight = ends(turf, player, balls, whole, number, variant)
    eu, eo = means(turf, player, balls, rest, whole, number, variant)
    values = rest[found[0]]
    assert eu[0] == pytest.approx((weight[0] * (np.abs(values) - 1)).sum(), rel=1e-4)
    assert eo[0] == pytest.approx(weight[0][values < 0].sum(), abs=1e-5)


def test_a_part_without_weight_has_no_balls() -> None:
    _, _, _, player = ground()
    balls: Balls = balls_of(player, (64, 64, 64, 32))
    empty = player.parts[:, :, :4, 0] <= 0
    assert empty.any()
    assert (balls.plan[empty][:, 1] == 0).all()
    parts = np.array(player.parts)
    parts[:, :, 1, 0] = 0
    assert balls_of(dataclasses.replace(player, parts=parts), (64, 64, 64, 32)).most < balls.most
