"""The pick with everything beside it: worth, near bags, pins, swaps, cheapest way, each against every bag."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest

from bagwright.errors import InputError
from bagwright.pick.best import pick_bag, slot_worth
from bagwright.pick.evaluate import Evaluator
from bagwright.pick.problem import Problem
from bagwright.pick.proof import Proof, verify
from bagwright.pick.route import cheapest_route
from bagwright.pick.search import SAME
from bagwright.pick.swaps import swaps_of
from bagwright.pick.wish import Pin, Wish, limits_of
from tests.unit.pick.small import random_problem
from tests.unit.pick.toys import allowed

NAMES = ("driver", "3 wood", "hybrid", "5 iron", "7 iron", "9 iron", "wedge", "52 wedge", "58 wedge")
WISH = Wish(5, within=0.03, today=NAMES[:5], prices=tuple((name, 100.0) for name in NAMES[5:]))
EXACT = 5e-6
"""Single precision of the evaluator, added over some holes."""


@pytest.fixture(scope="module")
def problem() -> Problem:
    return random_problem(NAMES, 1, rounds=2)


@pytest.fixture(scope="module")
def every(problem: Problem) -> dict[int, float]:
    bags = list(range(1 << problem.n))
    return dict(zip(bags, Evaluator(problem).strokes(bags).tolist(), strict=True))


def best_of(every: dict[int, float], wish: Wish) -> tuple[int, float]:
    found = {bag: every[bag] for bag in allowed(limits_of(wish, NAMES))}
    bag = min(found, key=lambda one: found[one])
    return bag, found[bag]


@pytest.mark.parametrize("how", ["search", "every"])
def test_a_pick_is_the_best_of_every_bag(problem: Problem, every: dict[int, float], how: str) -> None:
    pick, proof = pick_bag(problem, WISH, how=how)  # type: ignore[arg-type]
    bag, least = best_of(every, WISH)
    assert pick.optimal
    assert pick.round == pick.bound == pick.likely_bound == pytest.approx(least, abs=EXACT)
    assert pick.gap == 0.0
    assert "Under this model and these inputs" in pick.how_sure.proof
    near = {
        one
        for one in combinations(range(9), 5)
        if every[sum(1 << i for i in one)] <= least + WISH.within and sum(1 << i for i in one) != bag
    }
    assert {one.clubs for one in pick.runners_up} == {tuple(NAMES[i] for i in one) for one in near}
    assert pick.near == len(near) > 0
    for one in pick.runners_up:
        assert set(pick.clubs) - set(one.without) | set(one.instead) == set(one.clubs)
    assert pick.today == pytest.approx(every[problem.bag(WISH.today)], abs=EXACT)
    assert verify(proof, pick.problem, Evaluator(problem)).holds


def test_worth_is_the_bag_without_the_club(problem: Problem, every: dict[int, float]) -> None:
    pick, _ = pick_bag(problem, WISH)
    bag = problem.bag(pick.clubs)
    assert {one.club for one in pick.worth} == set(pick.clubs)
    for one in pick.worth:
        without = bag & ~problem.bag([one.club])
        assert one.strokes == pytest.approx(every[without] - every[bag], abs=EXACT)
        assert one.times > 0.0 or one.strokes == pytest.approx(0.0, abs=EXACT)
        for hole in one.holes:
            assert hole.strokes > 0.0
        assert all(other.club != one.club and other.club in pick.clubs for other in one.takes_over)
    assert [one.strokes for one in pick.worth] == sorted((one.strokes for one in pick.worth), reverse=True)
    assert slot_worth(problem, pick.clubs) == pick.worth


def test_what_a_pin_costs(problem: Problem, every: dict[int, float]) -> None:
    out = next(name for name in NAMES if name not in pick_bag(problem, WISH)[0].clubs)
    wish = replace(WISH, pins=(Pin(out, "the low one under trees"),))
    pick, _ = pick_bag(problem, wish)
    (pin,) = pick.pins
    assert out in pick.clubs
    assert pin.strokes == pytest.approx(best_of(every, wish)[1] - best_of(every, WISH)[1], abs=EXACT)
    assert pin.strokes > 0.0
    assert pin.reason == "the low one under trees"


def test_each_round_s_own_bag(problem: Problem) -> None:
    pick, proof = pick_bag(problem, WISH)
    limits = limits_of(WISH, NAMES)
    found = swaps_of(problem, Evaluator(problem), limits, proof.best)
    assert [one.scene for one in found] == ["round 1", "round 2"]
    rows = Evaluator(problem).holes(list(allowed(limits)))
    now = Evaluator(problem).holes([proof.best])[0]
    for number, one in enumerate(found):
        mine, weight = problem.hole_round == number, problem.rounds[number].weight
        least = float(rows[:, mine].sum(1).min()) / weight
        assert one.strokes == pytest.approx(least, abs=1e-5)
        assert one.saves == pytest.approx(float(now[mine].sum()) / weight - least, abs=1e-5)
        assert set(pick.clubs) - set(one.without) | set(one.instead) == set(one.clubs)
    assert swaps_of(random_problem(NAMES, 2), Evaluator(random_problem(NAMES, 2)), limits, proof.best) == ()


@pytest.mark.parametrize("reach", [0.0005, 0.03, 5.0])
def test_the_cheapest_way_is_the_cheapest(problem: Problem, every: dict[int, float], reach: float) -> None:
    price = dict(zip(NAMES[5:], (150.0, 20.0, 90.0, 40.0), strict=True))
    wish = replace(WISH, prices=tuple(price.items()))
    least = best_of(every, wish)[1]
    found = cheapest_route(problem, Evaluator(problem), wish, least, {"wedge": 3.0}, reach)
    assert found is not None
    limits = limits_of(wish, NAMES)
    costs = [limits.cost(bag) / 100 for bag in allowed(limits) if every[bag] <= least + reach + SAME]
    assert found.price == min(costs) == sum(price[name] for name in found.buys)
    assert found.more <= reach + SAME
    nothing = best_of(every, replace(wish, changes=0))[1] - least
    assert found.nothing_more == pytest.approx(nothing, abs=EXACT)
    if not found.buys:
        assert found.lead_time_days == 0.0
    elif set(found.buys) != {"wedge"}:
        assert found.lead_time_days is None


def test_a_club_without_a_price_is_named_not_bought(problem: Problem, every: dict[int, float]) -> None:
    wish = replace(WISH, prices=())
    found = cheapest_route(problem, Evaluator(problem), wish, best_of(every, wish)[1], reach=5.0)
    assert found is not None
    assert found.no_price == NAMES[5:]
    assert found.buys == ()


def test_stopped_it_says_what_could_still_be_saved_and_goes_on(problem: Problem) -> None:
    wish = replace(WISH, slots=4)
    whole, _ = pick_bag(problem, wish, how="search")
    pick, proof = pick_bag(problem, wish, how="search", stop=lambda: True)
    assert not pick.optimal
    assert pick.bound <= whole.round <= pick.round
    assert pick.bound < pick.round
    assert "Not proven" in pick.how_sure.proof
    assert not proof.whole
    checked = verify(proof, pick.problem, Evaluator(problem))
    assert not checked.holds
    assert checked.open > 0
    assert checked.faults == ()
    assert checked.lowest <= whole.round + 1e-5
    every_one, listed = pick_bag(problem, wish, how="every", resume=proof)
    assert (every_one.method, every_one.optimal, every_one.round) == ("every bag", True, whole.round)
    assert verify(listed, pick.problem, Evaluator(problem)).holds
    again, proof = pick_bag(problem, wish, resume=proof)
    assert again.optimal
    assert again.round == whole.round
    assert verify(proof, again.problem, Evaluator(problem)).holds
    half, left = pick_bag(problem, wish, how="every", stop=lambda: True)
    assert half.optimal, "126 bags are worked out at once, before anything is asked"
    assert verify(left, half.problem, Evaluator(problem)).holds
    with pytest.raises(InputError):
        pick_bag(problem, replace(wish, slots=3), resume=proof)


@pytest.fixture(scope="module")
def proven(problem: Problem) -> Proof:
    return pick_bag(problem, WISH, how="search")[1]


def test_a_true_proof_is_accepted_from_its_file(problem: Problem, proven: Proof, tmp_path: Path) -> None:
    proven.save(tmp_path / "pick.json")
    problem.save(tmp_path / "pick.npz")
    again, place = Proof.load(tmp_path / "pick.json"), Problem.load(tmp_path / "pick.npz")
    found = verify(again, place.digest(), Evaluator(place))
    assert found.holds, found.faults
    assert again == proven
    assert found.lowest > proven.strokes or found.lowest == pytest.approx(proven.strokes, abs=EXACT)


def tampered(proof: Proof, how: str) -> Proof:
    """A proof that is wrong in one way."""
    plain = json.loads(json.dumps(proof.plain()))
    tree, least = plain["tree"], plain["strokes"] + WISH.within
    if how == "a subset is missing":
        tree[1] = None
    elif how == "a bound is too high":
        _first_number(tree, least, lambda number: number + 0.01)
    elif how == "a bound is too low to close":
        _first_number(tree, least, lambda number: plain["strokes"])
    elif how == "a split is of no free club":
        tree[2][0] = tree[0]
    elif how == "a number is none":
        _first_number(tree, least, lambda number: float("nan"))
    elif how == "a near bag is hidden":
        plain["near"] = plain["near"][:1]
    elif how == "the best is another":
        plain["best"], plain["strokes"] = plain["near"][1]
    elif how == "the best costs less":
        plain["strokes"] -= 0.001
        plain["near"][0][1] -= 0.001
    elif how == "the wish is another":
        plain["wish"]["slots"] = 6
    elif how == "a pin is lifted":
        plain["wish"]["pins"] = [{"club": NAMES[0], "reason": "x"}]
    return Proof.of(plain)


def _first_number(tree: list, least: float, change) -> None:  # type: ignore[no-untyped-def]
    """Change the first number above what a near bag costs."""
    waiting = [tree]
    while waiting:
        node = waiting.pop()
        for at, one in enumerate(node[1:], start=1):
            if isinstance(one, float) and one > least:
                node[at] = change(one)
                return
            if isinstance(one, list):
                waiting.append(one)
    raise AssertionError("no number in the tree")


@pytest.mark.parametrize(
    "how",
    [
        "a subset is missing",
        "a bound is too high",
        "a bound is too low to close",
        "a split is of no free club",
        "a number is none",
        "a near bag is hidden",
        "the best is another",
        "the best costs less",
        "the wish is another",
        "a pin is lifted",
    ],
)
def test_a_proof_that_was_tampered_with_is_refused(problem: Problem, proven: Proof, how: str) -> None:
    found = verify(tampered(proven, how), problem.digest(), Evaluator(problem))
    assert not found.holds
    assert found.faults


def test_a_proof_of_another_problem_is_refused(problem: Problem, proven: Proof) -> None:
    other = replace(problem, cost=problem.cost + np.float32(1e-6))
    assert not verify(proven, other.digest(), Evaluator(other)).holds


@pytest.mark.parametrize(
    "text",
    ["", "[]", "{}", '{"kind": "x", "version": 1}', '{"kind": "bagwright proof of a pick", "version": 2}'],
)
def test_a_file_that_is_no_proof_is_said(text: str, tmp_path: Path) -> None:
    (tmp_path / "pick.json").write_text(text)
    with pytest.raises(InputError):
        Proof.load(tmp_path / "pick.json")
    with pytest.raises(InputError):
        Proof.load(tmp_path / "none.json")


def test_a_search_whose_file_leaves_bags_out_is_not_taken_up(problem: Problem) -> None:
    wish = replace(WISH, slots=4)
    _, stopped = pick_bag(problem, wish, how="search", stop=lambda: True)
    assert not stopped.whole
    for tree in (None, [0, None, {"open": [None, None, None]}], {"open": True}, {"open": [None]}, [0]):
        with pytest.raises(InputError):
            pick_bag(problem, wish, resume=replace(stopped, tree=tree))
    with pytest.raises(InputError):
        pick_bag(problem, wish, resume=replace(stopped, best=problem.whole))
