"""How sure a pick is: chances and ranges from draws that are known beforehand."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from numpy.typing import NDArray

from bagwright.pick.best import pick_bag
from bagwright.pick.evaluate import Evaluator
from bagwright.pick.how_sure import nothing_as_good, with_draws
from bagwright.pick.route import cheapest_route
from bagwright.pick.wish import Wish
from tests.unit.pick.small import random_problem

NAMES = ("driver", "3 wood", "hybrid", "5 iron", "7 iron", "9 iron", "wedge", "52 wedge", "58 wedge")
WISH = Wish(5, within=0.05, today=NAMES[:5], prices=tuple((name, 100.0) for name in NAMES[5:]))


class Shifted:
    """Strokes as they are, and each club worth more or less by a normal draw of its own."""

    def __init__(self, evaluator: Evaluator, sd: float) -> None:
        self.evaluator = evaluator
        self.moved = np.random.default_rng(2).normal(0.0, sd, (4000, len(NAMES)))

    def strokes(self, bags: Sequence[int]) -> NDArray[np.float64]:
        holds = np.array([[bag >> i & 1 for i in range(len(NAMES))] for bag in bags])
        return np.asarray(self.evaluator.strokes(bags) - self.moved @ holds.T)


def test_chances_add_up_and_ranges_hold_the_worth() -> None:
    problem = random_problem(NAMES, 1)
    pick, proof = pick_bag(problem, WISH)
    sure = with_draws(pick, problem, Shifted(Evaluator(problem), 0.02))
    chances = [sure.how_sure.chance, *(one.chance for one in sure.runners_up)]
    assert sum(one for one in chances if one is not None) == pytest.approx(1.0)
    assert sure.how_sure.draws == 4000
    assert f"the best of the {len(chances)} listed" in sure.how_sure.shots
    for one in sure.worth:
        assert one.range is not None
        # A normal of 0.02: half the 90 % range is 1.645 times that (4000 draws: within 5 %).
        assert one.range.high - one.strokes == pytest.approx(0.0329, rel=0.08)
        assert one.range.low == pytest.approx(max(0.0, one.strokes - 0.0329), abs=0.003)
    route = cheapest_route(problem, Evaluator(problem), WISH, proof.strokes, reach=5.0)
    assert route is not None
    assert route.nothing_more is not None
    told = nothing_as_good(route, problem, proof.best, Shifted(Evaluator(problem), 0.0))
    assert told.nothing_chance == (1.0 if route.nothing_more <= 0.001 else 0.0)
    told = nothing_as_good(route, problem, proof.best, Shifted(Evaluator(problem), 100.0))
    assert told.nothing_chance == pytest.approx(0.5, abs=0.03)


def test_without_draws_that_differ_the_best_is_certain() -> None:
    problem = random_problem(NAMES, 3)
    pick, _ = pick_bag(problem, WISH)
    sure = with_draws(pick, problem, Shifted(Evaluator(problem), 0.0))
    assert sure.how_sure.chance == 1.0
    assert sure.runners_up
    assert sure.how_sure.shots.startswith("Almost certain")
