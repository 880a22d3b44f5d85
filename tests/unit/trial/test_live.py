"""An order that lives through a visit: what is left, steps, newcomers, limits, fairness, cautions."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bagwright.bag.club import Bag, Club, Player
from bagwright.errors import InputError
from bagwright.trial.live import (
    Queue,
    bring_back,
    hit,
    leave,
    move,
    needs_caution,
    order_of,
    queue_of,
    refusal,
    skip,
    take_back,
    with_player,
)
from bagwright.trial.live_fair import fairness, worse
from bagwright.trial.live_join import add_candidate, add_setting
from bagwright.trial.order import spread_swings
from bagwright.trial.plan import PlanLimits, plan_trial


def queue(balls: int = 24, swings: list[str] | None = None, clubs: str = "A,B") -> Queue:
    return queue_of(plan_trial(clubs, balls=balls, swings=swings, warm_up=10))


def after(start: Queue, n: int) -> Queue:
    """The queue once n balls were hit in turn."""
    for _ in range(n):
        due = start.next_ball
        assert due is not None
        start = hit(start, due.club, due.swing)
    return start


def test_what_is_left_is_counted() -> None:
    now = queue()
    assert (now.left, now.warm_up_left, now.hits, now.allowed) == (34, 10, 0, 80)
    now = after(now, 12)
    assert (now.left, now.warm_up_left, now.hits, now.allowed) == (22, 0, 12, 68)
    assert now.next_ball is not None
    assert (now.next_ball.n, now.next_ball.club) == (13, "A")
    assert after(now, 22).next_ball is None


def test_minutes_left_by_hand_and_at_the_pace_of_the_visit() -> None:
    """B B B A A A left after B: one change. 6 x 35 s + 45 s + 10 min; at 60 s a ball 6 + 10 min."""
    now = queue(balls=12)
    waiting = [ball.club for ball in after(now, 16).waiting]
    assert waiting == ["B", "B", "B", "A", "A", "A"]
    assert after(now, 16).minutes_left() == pytest.approx((6 * 35 + 45) / 60 + 10)
    assert after(now, 16).minutes_left(60.0) == pytest.approx(16.0)
    assert after(now, 22).minutes_left() == 0.0


def test_a_plan_is_even_and_says_nothing() -> None:
    told = fairness(queue())
    assert (told.apart, told.blocked, told.words) == (0.0, False, ())
    assert told.longest_block == 6, "two blocks of three meet in the middle of the mirror"


def test_a_skipped_ball_stays_and_comes_back() -> None:
    now = after(queue(), 10)
    skipped = skip(now)
    assert skipped.balls[10].state == "skipped"
    assert skipped.left == now.left - 1
    assert bring_back(skipped, 11) == now
    with pytest.raises(InputError, match="Ball 11 is skipped"):
        skip(skipped, 11)
    with pytest.raises(InputError, match="no ball 99"):
        skip(now, 99)


def test_skipping_one_club_says_in_one_sentence_what_it_costs() -> None:
    """Six B, then A A A: of places 0 to 8 B has the mean 2.5 and A 7; 4.5 of 9 is 50 %."""
    now = after(queue(balls=12), 10)
    gone = skip(skip(skip(now)))
    assert worse(now, gone) == (
        "With this step A is hit 50 % of the test balls later than B on average (before it: 0 % at most): "
        "the comparison gets wider."
    )
    assert "hitting in blocks" in fairness(gone).words[0]
    assert fairness(gone).blocked
    assert worse(gone, now) == ""


def test_a_ball_moves_among_the_waiting_ones() -> None:
    now = after(queue(balls=12), 10)
    moved = move(now, 13, 14)
    assert [b.club for b in moved.balls[10:16]] == ["A", "A", "B", "A", "B", "B"]
    assert move(moved, 14, 13) == now
    with pytest.raises(InputError, match="Ball 3 is hit"):
        move(now, 3, 14)
    with pytest.raises(InputError, match="before the warm-up ends"):
        move(queue(), 12, 2)


def test_a_ball_out_of_turn_takes_its_place_and_an_unplanned_one_is_an_extra() -> None:
    now = after(queue(balls=12), 10)
    other = hit(now, "B")
    assert other.balls[13].number == 11
    assert other.next_ball is not None
    assert other.next_ball.n == 11, "A is still due"
    assert order_of(other)[:2] == ["B", "A"], "fairness sees what was really hit first"
    extra = hit(now, "7 iron")
    assert (len(extra.extras), extra.left, extra.hits) == (1, now.left, 11)
    assert "7 iron" not in extra.candidates
    assert take_back(extra, 11) == now
    assert take_back(other, 11) == now
    with pytest.raises(InputError, match="has number 40"):
        take_back(now, 40)
    with pytest.raises(InputError, match="no swing"):
        hit(now, "A", "wild")


def test_extra_balls_cut_what_the_body_has_no_room_for() -> None:
    """80 balls a visit: 10 + 60 planned leave room for ten; the eleventh extra ball cuts one of the order."""
    now = after(queue(balls=60), 10)
    for _ in range(10):
        now = hit(now, "7 iron")
    assert not now.dropped
    now = hit(now, "7 iron")
    assert now.hits + now.left == 80
    assert [(drop.balls, drop.reason) for drop in now.dropped] == [(1, "at most 80 balls a visit")]


def test_flat_out_balls_are_counted_by_club_and_visit() -> None:
    now = after(queue(balls=40, swings=["flat-out"]), 10)
    assert now.flat_out_left("A") == 6
    for _ in range(5):
        now = hit(now, "A", "flat-out")
    assert now.flat_out_left("A") == 1
    assert sum(ball.club == "A" and ball.swing == "flat-out" for ball in now.waiting) <= 1
    now = hit(hit(now, "A", "flat-out"), "A", "flat-out")
    assert now.flat_out_left("A") == 0
    assert not [ball for ball in now.waiting if (ball.club, ball.swing) == ("A", "flat-out")]
    assert "6 flat-out swings were hit with A" in refusal(now, "A", "flat-out")
    assert refusal(now, "B", "flat-out") == ""


def test_a_skipped_flat_out_ball_comes_back_only_where_there_is_room() -> None:
    now = after(queue(balls=40, swings=["flat-out"]), 10)
    first = next(ball for ball in now.waiting if (ball.club, ball.swing) == ("A", "flat-out"))
    gone = skip(now, first.n)
    assert bring_back(gone, first.n) == now
    for _ in range(6):
        gone = hit(gone, "A", "flat-out")
    with pytest.raises(InputError, match="at most 6 flat-out swings with one club"):
        bring_back(gone, first.n)


def test_a_ball_that_waits_again_never_stands_before_the_warm_up() -> None:
    start = queue(swings=["flat-out"])
    assert bring_back(skip(start), 1) == start
    early = add_candidate(hit(start, "A", "flat-out"), "C").queue
    again = take_back(early, 1)
    assert again.next_ball is not None
    assert again.next_ball.warm_up
    assert again.left == early.left + 1


def test_pain_in_mid_visit_halves_what_is_left() -> None:
    now = with_player(after(queue(balls=60), 30), Player(pain=True))
    assert now.hits + now.left == 40
    assert sum(drop.balls for drop in now.dropped) == 30
    assert "pain" in refusal(now, "A", "flat-out")
    assert fairness(now).apart <= 0.1


def test_flat_out_waits_for_the_warm_up_and_its_cautions() -> None:
    start = queue(swings=["flat-out"])
    assert needs_caution(start) == ()
    early = start
    for ball in start.waiting:
        if ball.swing == "flat-out":
            break
        early = skip(early)
    told = needs_caution(early)
    assert told[0] == "0 balls hit so far: flat-out only after a warm-up of 10 balls or more."
    warm = start
    while warm.next_ball is not None and warm.next_ball.swing != "flat-out":
        warm = after(warm, 1)
    told = needs_caution(warm)
    assert not any("so far" in one for one in told)
    assert any("Flat-out" in one for one in told)
    assert needs_caution(after(warm, 1)) == ()


def test_an_injury_is_told_first() -> None:
    warm = queue(swings=["flat-out"])
    while warm.next_ball is not None and warm.next_ball.swing != "flat-out":
        warm = after(warm, 1)
    told = needs_caution(with_player(warm, Player(injury="left wrist")))
    assert "left wrist" in told[0]


def test_a_newcomer_at_half_time_is_spread_and_its_price_is_said() -> None:
    """C has the mean place 23.5 of 0 to 35; A has six balls around 5.5, six around 23.5: 9 of 36 earlier."""
    now = after(queue(), 22)
    joined = add_candidate(now, "C")
    rest = [ball.club for ball in joined.queue.waiting]
    places = [i for i, club in enumerate(rest) if club == "C"]
    assert len(places) == 12, "as many as each of the others has in all"
    assert sum(places) / len(places) == pytest.approx((len(rest) - 1) / 2, abs=0.5)
    assert places[0] <= 4
    assert joined.queue.hits == 22
    assert not joined.dropped
    (words,) = joined.fairness.words
    assert words.startswith("C came in after 12 of 36 test balls and is hit 25 % of the test balls later")
    assert words.endswith("not balanced, and the comparison with it is wider.")


def test_a_newcomer_before_the_first_test_ball_costs_nothing() -> None:
    joined = add_candidate(after(queue(), 10), "C")
    assert joined.fairness.words == ()
    assert joined.fairness.apart <= 0.02


def test_all_share_the_room_that_is_left() -> None:
    now = after(queue(balls=64), 30)
    joined = add_candidate(now, "C")
    assert joined.queue.hits + joined.queue.left == 80
    counts = [order_of(joined.queue).count(club) for club in ("A", "B", "C")]
    assert max(counts) - min(counts) <= 2
    assert {drop.club for drop in joined.dropped} >= {"A", "B"}
    assert all("80 balls a visit, shared with C" in drop.reason for drop in joined.dropped)


def test_no_room_and_other_newcomers_that_cannot_be() -> None:
    full = after(queue(balls=64), 74)
    for _ in range(4):
        full = hit(full, "A")
    with pytest.raises(InputError, match="Only 2 balls are left"):
        add_candidate(full, "C")
    now = queue()
    with pytest.raises(InputError, match="takes part already"):
        add_candidate(now, "A")
    with pytest.raises(InputError, match="no name"):
        add_candidate(now, "  ")
    with pytest.raises(InputError, match="not in the bag"):
        add_candidate(now, "C", bag=Bag(clubs=(Club("D", "iron"),)))
    with pytest.raises(InputError, match="no swing"):
        add_candidate(now, "C", ["wild"])
    with pytest.raises(InputError, match="no trial"):
        add_candidate(Queue(), "C")


@pytest.mark.parametrize(("flat_out_visit", "wanted"), [(18, 4), (14, 2), (12, 0)])
def test_a_newcomer_gets_the_swings_of_the_others_within_the_limits(flat_out_visit: int, wanted: int) -> None:
    """Three clubs have four flat-out balls each; the visit's limit leaves the fourth four, two or none."""
    start = queue(balls=60, swings=["flat-out"], clubs="A,B,C")
    assert sum(ball.swing == "flat-out" for ball in start.waiting) == 12
    roomy = replace(start, limits=PlanLimits(visit_balls=120, flat_out_visit=flat_out_visit))
    joined = add_candidate(roomy, "D")
    new = [ball.swing for ball in joined.queue.waiting if ball.club == "D"]
    assert new.count("flat-out") == wanted
    assert len(new) == 20
    assert not joined.dropped


def test_a_newcomer_gets_the_swings_it_is_said_to_get() -> None:
    new = [ball for ball in add_candidate(queue(), "C", ["half"]).queue.waiting if ball.club == "C"]
    assert (len(new), sum(ball.swing == "half" for ball in new)) == (12, 2)


def test_a_setting_is_a_build_of_its_own() -> None:
    joined = add_setting(after(queue(), 14), "A", " +1° ")
    assert "A (+1°)" in joined.queue.candidates
    with pytest.raises(InputError, match="takes no part"):
        add_setting(queue(), "Z", "+1°")
    with pytest.raises(InputError, match="no name"):
        add_setting(queue(), "A", " ")


def test_one_that_left_keeps_its_balls_and_may_come_back() -> None:
    now = after(queue(), 16)
    gone = leave(now, "A")
    assert not [ball for ball in gone.waiting if ball.club == "A"]
    assert order_of(gone).count("A") == 3
    back = add_candidate(gone, "A").queue
    assert order_of(back).count("A") == pytest.approx(12, abs=1)
    assert not back.joined, "it was there from the first ball"
    with pytest.raises(InputError, match="takes no part"):
        leave(now, "Z")


@pytest.mark.parametrize("n", range(3, 9))
@pytest.mark.parametrize(("flat", "half"), [(0, 1), (1, 1), (2, 0), (1, 0), (2, 1)])
def test_swings_are_spread_also_where_their_number_is_odd(n: int, flat: int, half: int) -> None:
    swings = spread_swings(["A"] * n, {"A": {"flat-out": flat, "half": half, "stock": n - flat - half}})
    assert (swings.count("flat-out"), swings.count("half")) == (flat, half)
    if flat == 1 and not half:
        assert abs(swings.index("flat-out") - (n - 1) / 2) <= 0.5
