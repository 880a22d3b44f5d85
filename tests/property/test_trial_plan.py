"""Whatever is asked of a plan: it is balanced, keeps its limits, and is the same every time."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from bagwright.bag.club import Player
from bagwright.errors import InputError
from bagwright.trial.plan import PlanLimits, plan_trial

NAMES = ("A", "B", "C", "D", "E")
requests = st.fixed_dictionaries(
    {
        "candidates": st.integers(2, 5).map(lambda k: list(NAMES[:k])),
        "balls": st.one_of(st.none(), st.integers(20, 90)),
        "minutes": st.one_of(st.none(), st.floats(25.0, 120.0)),
        "player": st.builds(Player, age=st.one_of(st.none(), st.floats(5.0, 95.0)), pain=st.booleans()),
        "swings": st.lists(
            st.sampled_from(["flat-out", "gripped-down", "three-quarter", "half"]), max_size=3
        ),
        "block": st.integers(1, 5),
        "warm_up": st.integers(10, 15),
        "whole_bag": st.booleans(),
    }
)


@given(requests)
def test_balanced_within_limits_and_repeatable(request: dict[str, object]) -> None:
    try:
        plan = plan_trial(**request)  # type: ignore[arg-type]
    except InputError as error:
        if "does not fit" not in error.message:
            raise
        return
    player = request["player"]
    assert isinstance(player, Player)
    limits = PlanLimits().for_player(player)
    assert len(plan.order) <= limits.visit_balls
    assert request["minutes"] is None or plan.minutes <= request["minutes"]  # type: ignore[operator]
    flat = [ball.club for ball in plan.order if ball.swing == "flat-out"]
    assert len(flat) <= limits.flat_out_visit
    assert all(flat.count(club) <= limits.flat_out_each for club in flat)
    assert not any(ball.warm_up and ball.swing != "stock" for ball in plan.order)
    assert all(not b.warm_up or a.warm_up for a, b in pairwise(plan.order))
    order = [ball.club for ball in plan.order if not ball.warm_up]
    middle = (len(order) - 1) / 2
    for club in request["candidates"]:  # type: ignore[attr-defined]
        places = [i for i, name in enumerate(order) if name == club]
        assert len(places) >= 4
        assert abs(sum(places) / len(places) - middle) <= 1.0
    assert plan == plan_trial(**request)  # type: ignore[arg-type]


@given(st.permutations(NAMES), st.permutations(NAMES))
def test_wishes_that_agree_are_always_kept(names: list[str], turn: list[str]) -> None:
    wishes = [f"{a} before {b}" for a, b in pairwise(turn)]
    plan = plan_trial(names, balls=40, constraints=wishes)
    order = [ball.club for ball in plan.order if not ball.warm_up]
    assert list(dict.fromkeys(order)) == turn
