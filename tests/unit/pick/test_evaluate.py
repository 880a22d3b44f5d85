"""Bags of written-out problems against value iteration, a linear program and a general library."""

from __future__ import annotations

import dataclasses
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import linprog

from bagwright.errors import InputError
from bagwright.pick.evaluate import Evaluator
from bagwright.pick.problem import FALLBACK, Problem
from tests.unit.pick import tiny


@pytest.mark.parametrize("seed", [0, 1, 2])
def test_every_bag_is_that_of_value_iteration(seed: int) -> None:
    p = tiny.written(seed=seed)
    evaluator = Evaluator(p, threads=2)
    found = evaluator.strokes(range(p.whole + 1))
    expected = [tiny.by_iteration(p, bag).sum() for bag in range(p.whole + 1)]
    assert found - p.everything == pytest.approx(expected, abs=3e-6)
    assert 0 < evaluator.residual <= 1e-6
    assert evaluator.evaluations == p.whole + 1


def test_a_linear_program_agrees() -> None:
    # HiGHS through scipy: the largest D below every option's cost and what follows it.
    p = tiny.written(seed=4)
    rows, spot = tiny.dense(p), np.repeat(np.arange(len(p.spot_x_m)), np.diff(p.first_option))
    for bag in (0b00101, 0b11010):
        held = [k for k, club in enumerate(p.club.tolist()) if club == FALLBACK or bag >> club & 1]
        left = np.eye(len(p.spot_x_m))[spot[held]] - rows[held]
        best = linprog(
            -np.ones(left.shape[1]), A_ub=left, b_ub=p.cost[held], bounds=(0, None), method="highs"
        )
        assert Evaluator(p, 1).by_hole(bag) - p.tee_strokes == pytest.approx(
            np.asarray(best.x)[p.tee], abs=3e-6
        )


def test_quantecon_agrees() -> None:
    markov = pytest.importorskip("quantecon.markov", reason="quantecon is a library of the benchmarks")
    p, bag = tiny.written(holes=1, seed=5), 0b10110
    rows, spot = tiny.dense(p), np.repeat(np.arange(len(p.spot_x_m)), np.diff(p.first_option))
    held = np.array([club == FALLBACK or bool(bag >> club & 1) for club in p.club.tolist()])
    # Holed out is one spot more; a library for discounted problems is given a discount of nearly none.
    whole = np.concatenate([rows, 1 - rows.sum(1, keepdims=True)], 1)[held]
    whole = np.concatenate([whole, np.eye(whole.shape[1])[-1:]])
    reward, state = np.append(-p.cost[held].astype(float), 0.0), np.append(spot[held], len(p.spot_x_m))
    action = np.concatenate([np.arange(n) for n in np.bincount(state)])
    solved = markov.DiscreteDP(reward, whole, 1 - 1e-9, state, action).solve(method="policy_iteration")
    assert Evaluator(p, 1).by_hole(bag)[0] - 4.0 == pytest.approx(-solved.v[p.tee[0]], abs=3e-6)


def test_more_clubs_never_cost_strokes() -> None:
    p = tiny.written(seed=6)
    strokes = Evaluator(p, 1).strokes(range(p.whole + 1))
    for bag in range(p.whole + 1):
        for club in range(p.n):
            assert strokes[bag | 1 << club] <= strokes[bag] + 1e-6


def test_values_lie_never_above_the_truth() -> None:
    p = tiny.written(seed=7, spots=14)
    found = Evaluator(p, 1).strokes(range(p.whole + 1)) - p.everything
    truth = np.array([tiny.by_iteration(p, bag).sum() for bag in range(p.whole + 1)])
    assert (found <= truth + 2e-7).all()


def test_the_order_of_the_clubs_changes_nothing() -> None:
    p = tiny.written(seed=8)
    turned = (p.n - 1 - p.club).astype(np.int32)
    other = dataclasses.replace(p, club=np.where(p.club == FALLBACK, FALLBACK, turned).astype(np.int32))
    bags = list(range(p.whole + 1))
    mirrored = [sum(1 << (p.n - 1 - k) for k in range(p.n) if bag >> k & 1) for bag in bags]
    assert Evaluator(p, 1).strokes(bags) == pytest.approx(Evaluator(other, 1).strokes(mirrored), abs=1e-9)


def test_the_same_club_twice_adds_nothing() -> None:
    p = twice(tiny.written(seed=9), 2)
    evaluator, own, copy = Evaluator(p, 1), 1 << 2, 1 << (p.n - 1)
    rest = [bag for bag in range(1 << (p.n - 1)) if not bag & own]
    once = evaluator.strokes([bag | own for bag in rest])
    assert evaluator.strokes([bag | copy for bag in rest]) == pytest.approx(once, abs=1e-7)
    assert evaluator.strokes([bag | own | copy for bag in rest]) == pytest.approx(once, abs=1e-7)


def twice(p: Problem, club: int) -> Problem:
    """The problem with a copy of a club as its last."""
    source = np.concatenate([[k, k] if own == club else [k] for k, own in enumerate(p.club.tolist())])
    again = np.append(False, source[1:] == source[:-1])
    rows = tiny.dense(p)[source]
    of, to = np.nonzero(rows)
    spot = np.repeat(np.arange(len(p.spot_x_m)), np.diff(p.first_option))[source]
    return dataclasses.replace(
        p, clubs=(*p.clubs, "copy"), club=np.where(again, p.n, p.club[source]).astype(np.int32),
        shot=p.shot[source], aim_rad=p.aim_rad[source], cost=p.cost[source],
        first_option=np.concatenate([[0], np.cumsum(np.bincount(spot))]),
        first_entry=np.concatenate([[0], np.cumsum(np.bincount(of, minlength=len(rows)))]),
        next=to.astype(np.int32), chance=rows[of, to].astype(np.float32),
    )  # fmt: skip


def test_a_club_that_is_not_used_can_stay_at_home() -> None:
    p = tiny.written(clubs=7, seed=10)
    evaluator = Evaluator(p, 1)
    for bag in combinations(range(p.n), 5):
        held = sum(1 << club for club in bag)
        unused = np.flatnonzero(evaluator.use_of(held).times[list(bag)] == 0)
        for k in unused:
            assert evaluator.strokes([held & ~(1 << bag[k])])[0] == pytest.approx(
                evaluator.strokes([held])[0], abs=2e-6
            )


def test_use_is_that_of_the_chosen_options() -> None:
    p = tiny.written(seed=11)
    evaluator, bag = Evaluator(p, 1), 0b10011
    choice, _ = evaluator.choices(bag)
    onward = tiny.dense(p)[choice]
    start = np.zeros(len(p.spot_x_m))
    start[p.tee] = 1.0
    times = np.linalg.solve(np.eye(len(start)) - onward.T, start)
    assert evaluator.visits(choice) == pytest.approx(times, abs=1e-6)
    use = evaluator.use_of(bag)
    assert use.times.sum() + use.fallback == pytest.approx(times.sum(), abs=1e-5)
    assert use.times[[2, 3]] == pytest.approx(0.0)
    cost = times @ p.cost[choice]
    assert cost == pytest.approx(evaluator.strokes([bag])[0] - p.everything, abs=1e-5)


def test_holes_add_up_with_their_weights() -> None:
    p = dataclasses.replace(tiny.written(seed=12), hole_weight=np.array([0.25, 0.75]))
    evaluator = Evaluator(p, 1)
    assert evaluator.holes([3, 9]).sum(1) == pytest.approx(evaluator.strokes([3, 9]))
    assert p.hole_weight @ evaluator.by_hole(3) == pytest.approx(evaluator.strokes([3])[0])
    assert evaluator.strokes([]).shape == (0,)


def test_a_problem_is_kept_and_known_again(tmp_path: Path) -> None:
    p = tiny.written(seed=13)
    p.save(tmp_path / "problem.npz")
    again = Problem.load(tmp_path / "problem.npz")
    assert again.digest() == p.digest()
    assert again.clubs == p.clubs
    cost = p.cost.copy()
    cost[3] += 1e-6
    assert dataclasses.replace(p, cost=cost).digest() != p.digest()
    assert tiny.written(seed=14).digest() != p.digest()


def test_what_is_no_problem_is_refused(tmp_path: Path) -> None:
    (tmp_path / "other.npz").write_bytes(b"nothing of the kind")
    with pytest.raises(InputError, match="cannot be read"):
        Problem.load(tmp_path / "other.npz")
    p = tiny.written()
    far = p.next.copy()
    far[0] = 10_000
    with pytest.raises(ValueError, match="points outside"):
        dataclasses.replace(p, next=far)
    with pytest.raises(ValueError, match="below 0"):
        dataclasses.replace(p, cost=-p.cost - 1)
    with pytest.raises(ValueError, match="fallback"):
        dataclasses.replace(p, club=np.zeros_like(p.club))


def test_bags_are_numbers_of_these_clubs() -> None:
    p = tiny.written()
    assert p.names(p.bag(["club 3", "club 1"])) == ("club 1", "club 3")
    with pytest.raises(InputError, match="no such club"):
        p.bag(["club 9"])
    with pytest.raises(InputError, match="A bag is a number"):
        Evaluator(p, 1).strokes([p.whole + 1])
