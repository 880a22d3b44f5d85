"""The solver against exact answers: closed forms, a linear program, a general library, every policy."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from scipy.special import ndtr

from bagwright.course.lies import Lie
from bagwright.course.raster import CELL_M, Raster
from bagwright.strokes.patterns import PARTS, PatternTable, Shot
from bagwright.strokes.solve import expected_strokes
from tests.unit.strokes import factory, shortest_path


def test_the_small_shortest_path_has_its_published_values() -> None:
    # Worked out elsewhere with value iteration, HiGHS and two MDP libraries: 10, 200 and 400 yd.
    c = shortest_path.line(shortest_path.CLUBS)
    for values in (shortest_path.by_iteration(c), shortest_path.by_program(c)):
        assert values[[0, 19, 39]] == pytest.approx([1.6666666667, 3.5148148148, 4.0768518519], abs=1e-9)


def test_two_more_independent_solvers_agree_to_a_billionth() -> None:
    c = shortest_path.line(shortest_path.CLUBS, 24)
    assert shortest_path.by_program(c) == pytest.approx(shortest_path.by_iteration(c), abs=1e-9)
    tiny = shortest_path.line({m: shortest_path.CLUBS[m] for m in (5, 1)}, 8)
    assert shortest_path.by_policies(tiny) == pytest.approx(shortest_path.by_iteration(tiny), abs=1e-9)


def test_quantecon_agrees_to_a_billionth() -> None:
    pytest.importorskip("quantecon", reason="quantecon is a library of the benchmarks")
    c = shortest_path.line(shortest_path.CLUBS, 24)
    assert shortest_path.by_quantecon(c) == pytest.approx(shortest_path.by_iteration(c), abs=1e-9)


CLUBS = {"a": 150.0, "b": 90.0, "c": 30.0, "d": 10.0}


def straight(lengths_yd: dict[str, float], out: bool = False, sd_yd: float = 0.02) -> PatternTable:
    """Shots of nearly no spread, no run, two putts from everywhere."""
    n, lies = len(lengths_yd), 6
    parts = np.zeros((lies, n, PARTS, 6))
    yd = CELL_M
    for k, length in enumerate(lengths_yd.values()):
        parts[:, k, 0] = 1.0, length * yd, 0.0, sd_yd * yd, sd_yd * yd, 0.0
        if out:
            parts[:, k, 0, 0], parts[:, k, 3] = 0.8, (0.2, length * yd, 300 * yd, sd_yd * yd, sd_yd * yd, 0.0)
    zero = np.zeros((lies, n, 4))
    return PatternTable(
        tuple(Shot(name, "stock") for name in lengths_yd), parts, np.ones((lies, n), bool),
        np.ones((lies, n)), zero, zero, np.zeros((lies, n, 3)), np.zeros((lies, n, 2)), None,
        np.array([0.0, 200.0]),
        np.array([2.0, 2.0]), np.array([4.0, 4.0]),
    )  # fmt: skip


def corridor(length_yd: int, water: tuple[int, int] | None = None) -> Raster:
    """A straight strip of fairway with a large green; water across it where asked."""
    lie = np.full((length_yd + 60, 80), int(Lie.FAIRWAY), np.uint8)
    x, y = np.meshgrid(np.arange(lie.shape[0]) + 0.5, np.arange(80) + 0.5, indexing="ij")
    if water:
        lie[(x > 20 + water[0]) & (x < 20 + water[1])] = Lie.WATER
    lie[np.hypot(x - 20 - length_yd, y - 40) < 14] = Lie.GREEN
    lie[:2], lie[-2:], lie[:, :2], lie[:, -2:] = Lie.OUT, Lie.OUT, Lie.OUT, Lie.OUT
    return factory.raster_of(lie, (20.0, 40.0), (20.0 + length_yd, 40.0), 4, float(length_yd))


@pytest.mark.parametrize(
    ("length", "strokes", "off"),
    [
        (150, 3.0, 1e-3),  # one shot and two putts
        (240, 4.0, 1e-3),  # two shots, in either order
        # 150 + 90 + 90: of shots that cost the same the tee takes the one whose end is read too low.
        (330, 5.0, 0.025),
    ],
)
def test_a_hole_without_spread_costs_its_shots_and_putts(length: int, strokes: float, off: float) -> None:
    found = expected_strokes([corridor(length)], straight(CLUBS), threads=1).holes[0]
    assert found.strokes == pytest.approx(strokes, abs=off)
    # Between spots a pattern without spread is read with an error, which the certificate finds.
    assert found.strokes + found.residual == pytest.approx(strokes, abs=1e-3)
    assert found.converged
    assert found.sd == pytest.approx(0.0, abs=1e-3)
    assert found.error_bound < off + 1e-3


def test_stroke_and_distance_is_summed_in_closed_form() -> None:
    # A fifth of the shots is out of bounds: V = (1 + 0.8 * 2 + 0.2 * 1) / (1 - 0.2) = 3.5 (geometric series).
    found = expected_strokes([corridor(150)], straight({"a": 150.0}, out=True), threads=1).holes[0]
    assert found.strokes == pytest.approx(3.5, abs=2e-3)
    # Strokes are 3 + 2 N with N geometric, P(N = n) = 0.8 * 0.2^n: variance 4 * 0.2 / 0.64 = 1.25.
    assert found.sd == pytest.approx(np.sqrt(1.25), rel=0.05)


def test_water_that_cannot_be_carried_is_laid_up_to_and_a_carry_is_taken() -> None:
    # 240 yd with water from 100 to 180: lay up 90, then 150 carries it: 2 + 2 putts.
    found = expected_strokes([corridor(240, (100, 180))], straight(CLUBS), threads=1)
    assert found.strokes == pytest.approx(4.0, abs=2e-3)
    assert found.shots[found.holes[0].first[0]].club == "b"
    # Without the club that lays up it takes at least a stroke more.
    alone = expected_strokes([corridor(240, (100, 180))], straight({"a": 150.0, "d": 10.0}), threads=1)
    assert alone.strokes > found.strokes + 0.99


def test_the_solver_agrees_with_the_same_hole_written_out() -> None:
    """A small hole, row by row from the normal's integrals over cells: by iteration and by HiGHS."""
    raster, table = small_hole()
    found = expected_strokes([raster], table, threads=1).holes[0]
    choices, tee = written_out(raster, table, found.first[1])
    exact = shortest_path.by_iteration(choices)
    q = choices.cost + choices.chance @ exact
    near = q < exact[choices.state] + 0.005
    few = shortest_path.Choices(choices.state[near], choices.cost[near], choices.chance[near])
    assert shortest_path.by_program(few) == pytest.approx(exact, abs=2e-7)
    # Written out it may aim in five directions about the pin, ours anywhere.
    assert exact[tee] - 0.006 - found.error_bound < found.strokes < exact[tee] + found.error_bound + 0.001


def small_hole() -> tuple[Raster, PatternTable]:
    rows, columns = 52, 22
    lie = np.full((rows, columns), int(Lie.ROUGH), np.uint8)
    x, y = np.meshgrid(np.arange(rows) + 0.5, np.arange(columns) + 0.5, indexing="ij")
    lie[np.abs(y - 11) < 5] = Lie.FAIRWAY
    lie[(x > 22) & (x < 27)] = Lie.WATER_RED
    lie[np.hypot(x - 40, y - 11) < 6] = Lie.GREEN
    lie[np.hypot(x - 32, y - 16) < 3] = Lie.SAND
    lie[:2], lie[-2:], lie[:, :2], lie[:, -2:] = Lie.OUT, Lie.OUT, Lie.OUT, Lie.OUT
    raster = factory.raster_of(lie, (6.0, 11.0), (40.0, 11.0), 3, 34.0)
    table = factory.table(clubs=(), pitches=(5, 12, 32), run=0.0, correlation=0.0)
    # As wide as long, so that a cell's chance is a product of two differences of the normal's integral.
    parts = np.array(table.parts)
    parts[..., 3] = np.maximum(parts[..., 3], 1.6 * CELL_M)
    parts[..., 4] = parts[..., 3]
    return raster, dataclasses.replace(table, parts=parts)


def written_out(raster: Raster, table: PatternTable, aim: float) -> tuple[shortest_path.Choices, int]:
    """Rows of every state, shot and five aims (and the given one at the tee)."""
    lie, cell = raster.lie, raster.cell_m
    rows, columns = lie.shape
    played = np.argwhere(lie <= Lie.RECOVERY)
    number = np.full(lie.shape, -1)
    number[tuple(played.T)] = np.arange(len(played))
    pin = ((raster.pin_m[0] - raster.x0_m) / cell, (raster.pin_m[1] - raster.y0_m) / cell)
    away = np.hypot(np.arange(rows)[:, None] + 0.5 - pin[0], np.arange(columns)[None, :] + 0.5 - pin[1])
    putts = np.interp(away * cell, table.putt_m, table.putts)
    wet, green, out = lie == Lie.WATER_RED, lie == Lie.GREEN, lie == Lie.OUT
    target = np.where(wet, number.ravel()[raster.relief], number)
    state, cost, chance = [], [], []
    starts = [(i + 0.5, j + 0.5, int(lie[i, j])) for i, j in played] + [(6.0, 11.0, int(Lie.TEE))]
    for s, (x, y, kind) in enumerate(starts):
        last = s == len(played)
        bearing = np.arctan2(pin[1] - y, pin[0] - x)
        for shot in range(table.n):
            for turn in [*(bearing + np.deg2rad([-16, -8, 0, 8, 16])), *([aim] if last else [])]:
                p = cell_chances(table.parts[kind, shot], x, y, turn, cell, lie.shape)
                lost = 1 - p[~out].sum()
                row = np.zeros(len(starts))
                on = ~(green | out)
                np.add.at(row, target[on], p[on])
                state.append(s)
                cost.append((1 + p[wet].sum() + (p * putts)[green].sum() + lost) / (1 - lost))
                chance.append(row / (1 - lost))
    return shortest_path.Choices(np.array(state), np.array(cost), np.array(chance)), len(played)


def cell_chances(
    parts: np.ndarray, x: float, y: float, aim: float, cell: float, shape: tuple[int, ...]
) -> np.ndarray:
    total = np.zeros(shape)
    for weight, d, q, sd, _, _ in parts:
        if weight > 0:
            at = (
                x + (d * np.cos(aim) - q * np.sin(aim)) / cell,
                y + (d * np.sin(aim) + q * np.cos(aim)) / cell,
            )
            one, two = (
                np.diff(ndtr((np.arange(n + 1) - a) / (sd / cell))) for n, a in zip(shape, at, strict=True)
            )
            total += weight * np.outer(one, two)
    return total
