"""Plans: order, limits, wishes, what is dropped."""

from __future__ import annotations

from itertools import pairwise

import pytest

from bagwright.bag.club import Player
from bagwright.errors import InputError
from bagwright.trial.order import is_blocked, mirrored, read_wishes, williams_row
from bagwright.trial.plan import Plan, PlanLimits, plan_trial
from tests.unit.trial.visits import wedge_bag


def hit(plan: Plan) -> list[str]:
    return [ball.club for ball in plan.order if not ball.warm_up]


def test_two_candidates_alternate_in_mirrored_blocks() -> None:
    plan = plan_trial("A,B", balls=12)
    assert "".join(hit(plan)) == "AAABBBBBBAAA"
    assert len(plan.order) == 24
    assert [ball.n for ball in plan.order] == list(range(1, 25))


def test_time_is_balls_changes_and_handing_over() -> None:
    """35 s a ball, 45 s a change, 10 min to hand over: A A | B B ... counted by hand."""
    plan = plan_trial("A,B", balls=12, warm_up=10)
    changes = 1 + 1 + 2  # inside the warm-up, to the test, A-B and B-A
    assert plan.minutes == pytest.approx((22 * 35 + changes * 45) / 60 + 10)
    assert sum(ball.first_after_change for ball in plan.order) == changes


def test_slot_of_the_handbook_fits_forty_minutes() -> None:
    plan = plan_trial("50 wedge,52 wedge", balls=24, minutes=40)
    assert plan.minutes <= 40
    assert plan.test_balls == 24
    assert not plan.dropped
    assert {ball.swing for ball in plan.order} == {"stock", "three-quarter"}


def test_short_time_drops_the_least_useful_first_and_says_which() -> None:
    plan = plan_trial("A,B", balls=24, minutes=30, swings=["flat-out", "gripped-down"])
    assert plan.minutes <= 30
    assert plan.dropped[0].swing == "flat-out"
    assert all(drop.balls > 0 and "30 minutes" in drop.reason for drop in plan.dropped)
    kept = plan.test_balls + sum(drop.balls for drop in plan.dropped if drop.swing != "warm-up")
    assert kept == 24


def test_no_time_is_an_error_with_the_least_that_is_needed() -> None:
    with pytest.raises(InputError, match="smallest fair plan does not fit: 18 balls"):
        plan_trial("A,B", balls=24, minutes=15)


@pytest.mark.parametrize("player", [Player(age=12.0), Player(age=65.0), Player(pain=True)])
def test_limits_are_halved_for_juniors_older_players_and_pain(player: Player) -> None:
    plan = plan_trial("A,B,C", balls=60, player=player, swings=["flat-out"])
    assert len(plan.order) <= 40
    assert sum(ball.swing == "flat-out" for ball in plan.order) <= 9
    assert any("halved" in text for text in plan.cautions)


def test_injury_comes_before_everything() -> None:
    plan = plan_trial("A,B", player=Player(injury="left elbow", hand="left"))
    assert plan.cautions[0].startswith("Injury note: left elbow")
    assert any("Left-hander" in text for text in plan.cautions)


def test_flat_out_never_in_the_warm_up_and_spread_out() -> None:
    plan = plan_trial("A,B", balls=48, swings=["flat-out"])
    swings = [ball.swing for ball in plan.order]
    first = swings.index("flat-out")
    assert not any(ball.warm_up for ball in plan.order[first:])
    assert all(not (a == b == "flat-out") for a, b in pairwise(swings))
    for club in "AB":
        assert sum(b.club == club and b.swing == "flat-out" for b in plan.order) <= 6


def test_balls_hit_already_count() -> None:
    assert len(plan_trial("A,B", balls=60, already_hit=30).order) <= 50


def test_wishes_are_kept_and_a_last_club_is_told() -> None:
    plan = plan_trial("driver,A,B", balls=24, constraints=["Driver last", "B before A"])
    order = hit(plan)
    assert order[-8:] == ["driver"] * 8
    assert "driver" not in order[:-8]
    assert order.index("B") < order.index("A")
    assert "driver" not in [ball.club for ball in plan.order if ball.warm_up]
    assert any("driver last" in text for text in plan.cautions)


@pytest.mark.parametrize(
    ("wishes", "word"),
    [
        (["A last", "B last"], "Both"),
        (["A before B", "B before A"], "contradict"),
        (["A last", "A before B"], "contradict"),
        (["A before C", "C before B", "A after B"], "contradict"),
        (["Z last"], "not hit"),
        (["A sometimes"], "no wish"),
    ],
)
def test_impossible_wishes_are_errors(wishes: list[str], word: str) -> None:
    with pytest.raises(InputError, match=word):
        plan_trial("A,B,C", constraints=wishes)


@pytest.mark.parametrize(
    "wrong",
    [
        {"candidates": "A"}, {"candidates": " , "}, {"balls": 5}, {"block": 6}, {"warm_up": 3},
        {"minutes": -5.0}, {"minutes": float("nan")}, {"swings": ["fade away"]}, {"already_hit": -1},
        {"candidates": ",".join("ABCDEFGHIJKLM")},
    ],
)  # fmt: skip
def test_hostile_requests_are_errors(wrong: dict[str, object]) -> None:
    request: dict[str, object] = {"candidates": "A,B", **wrong}
    with pytest.raises(InputError):
        plan_trial(**request)  # type: ignore[arg-type]


def test_whole_bag_goes_up_and_back_down() -> None:
    clubs = ["wedge", "9 iron", "7 iron", "driver"]
    order = hit(plan_trial(clubs, whole_bag=True))
    assert order == order[::-1]
    assert order[:12] == [club for club in clubs for _ in range(3)]


def test_whole_bag_of_a_bag_leaves_the_putter_and_the_rack() -> None:
    plan = plan_trial("", bag=wedge_bag(), whole_bag=True)
    assert list(dict.fromkeys(hit(plan))) == ["54 wedge", "Gap", "PW", "9 iron"]


def test_the_club_in_the_slot_takes_part_and_warm_up_goes_short_to_long() -> None:
    plan = plan_trial("50 X", bag=wedge_bag(), balls=12)
    assert set(hit(plan)) == {"50 X", "Gap"}
    warm = list(dict.fromkeys(ball.club for ball in plan.order if ball.warm_up))
    assert warm == ["54 wedge", "Gap"]


def test_names_near_a_wrong_one_are_told() -> None:
    with pytest.raises(InputError, match="Gap"):
        plan_trial("Gpa,50 X", bag=wedge_bag())


def test_williams_square_of_four() -> None:
    """In a Williams square of even size every treatment follows every other exactly once (Williams 1949)."""
    rows = [williams_row(4, r) for r in range(4)]
    follows = [(a, b) for row in rows for a, b in pairwise(row)]
    assert rows[0] == (0, 1, 2, 3)
    assert len(follows) == len(set(follows)) == 12
    assert all(sorted(column) == [0, 1, 2, 3] for column in zip(*rows, strict=True))


def test_blocks_are_told_from_an_alternating_order() -> None:
    def blocked(order: str, visits: str | None = None) -> bool:
        return is_blocked(list(visits or "v" * len(order)), list(range(len(order))), list(order))

    assert blocked("AAABBB")
    assert blocked("AAAAABBBBBCCCCC")
    assert not blocked("AAABBBBBBAAA")
    assert not blocked("ABABABAB")
    assert not blocked("ABCCBA")
    assert blocked("AABB", "1122")
    assert not blocked("ABBAABBA", "11112222")


def test_unequal_counts_still_mirror() -> None:
    order = mirrored(("A", "B"), {"A": 8, "B": 4}, 3, read_wishes([], ["A", "B"]))
    assert order == order[::-1]
    assert order.count("A") == 8


def test_limits_can_be_the_users_own() -> None:
    own = PlanLimits(ball_s=60.0, change_s=0.0, hand_over_min=0.0)
    assert plan_trial("A,B", balls=8, warm_up=10, limits=own).minutes == pytest.approx(18.0)


def test_half_of_every_limit() -> None:
    half = PlanLimits().for_player(Player(age=70.0))
    assert (half.visit_balls, half.flat_out_each, half.flat_out_visit) == (40, 3, 9)
    assert PlanLimits().for_player(Player(age=40.0)) == PlanLimits().for_player(None) == PlanLimits()
