"""Whatever happens in a visit: no ball is lost or doubled, and the limits hold."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from bagwright.bag.club import Player
from bagwright.errors import InputError
from bagwright.trial.live import (
    Queue,
    bring_back,
    hit,
    leave,
    move,
    queue_of,
    skip,
    take_back,
    with_player,
)
from bagwright.trial.live_fair import fairness
from bagwright.trial.live_join import add_candidate, add_setting
from bagwright.trial.plan import PlanLimits, plan_trial

NAMES = ("A", "B", "C")
SWING = st.sampled_from(["stock", "stock", "stock", "flat-out", "gripped-down"])
PLACE = st.integers(1, 90)
steps = st.one_of(
    st.tuples(st.just("next"), st.integers(1, 12)),
    st.tuples(st.just("hit"), st.sampled_from([*NAMES, "New", "Other"]), SWING),
    st.tuples(st.just("skip"), st.one_of(st.none(), PLACE)),
    st.tuples(st.just("back"), PLACE),
    st.tuples(st.just("move"), PLACE, PLACE),
    st.tuples(st.just("take"), PLACE),
    st.tuples(st.just("leave"), st.sampled_from([*NAMES, "New"])),
    st.tuples(st.just("join"), st.sampled_from(["New", "A"]), st.sampled_from([None, ["flat-out"]])),
    st.tuples(st.just("setting"), st.sampled_from(NAMES)),
    st.tuples(st.just("pain"),),
)  # fmt: skip


@st.composite
def queues(draw: st.DrawFn) -> Queue:
    k = draw(st.integers(2, 3))
    block = draw(st.integers(1, 4))
    plan = plan_trial(
        list(NAMES[:k]),
        balls=draw(st.integers(4, 12)) * k,
        swings=draw(st.sampled_from([None, ["flat-out"], ["flat-out", "gripped-down"]])),
        block=block,
    )
    limits = draw(st.sampled_from([PlanLimits(), PlanLimits(visit_balls=50, flat_out_visit=8)]))
    return queue_of(plan, limits=limits, block=block)


def done(queue: Queue, step: tuple[object, ...]) -> Queue:
    """Do one step; "next" hits so many balls in turn, places are those where the step can be."""
    what, *words = step
    if what == "next":
        for _ in range(words[0]):  # type: ignore[call-overload]
            due = queue.next_ball
            queue = hit(queue, due.club, due.swing) if due else queue
        return queue
    if what in ("back", "move", "take"):
        state = {"back": "skipped", "move": "waiting", "take": "hit"}[str(what)]
        fit = [ball for ball in queue.balls if ball.state == state]
        places = [ball.number if what == "take" else ball.n for ball in fit]
        words = [places[word % len(places)] if places else word for word in words]  # type: ignore[operator]
    plain = {
        "hit": hit, "skip": skip, "back": bring_back, "move": move, "take": take_back, "leave": leave,
        "pain": lambda one: with_player(one, Player(pain=True)),
        "join": lambda one, *rest: add_candidate(one, *rest).queue,
        "setting": lambda one, club: add_setting(one, club, "+1°").queue,
    }  # fmt: skip
    return plain[str(what)](queue, *words)  # type: ignore[operator]


def planned(queue: Queue) -> Counter[tuple[str, str, bool]]:
    return Counter((ball.club, ball.swing, ball.warm_up) for ball in queue.balls)


def numbers(queue: Queue) -> list[int]:
    return sorted([b.number for b in queue.balls if b.number] + [b.number for b in queue.extras])


def holds(queue: Queue) -> None:
    """What is true of every queue."""
    assert [ball.n for ball in queue.balls] == list(range(1, len(queue.balls) + 1))
    assert len(set(numbers(queue))) == len(numbers(queue)) == queue.hits
    assert all((ball.number is not None) == (ball.state == "hit") for ball in queue.balls)
    assert all(a.warm_up or not b.warm_up for a, b in pairwise(queue.waiting))
    own = queue.own_limits
    assert queue.left == 0 or queue.hits + queue.left <= own.visit_balls
    flat = [ball.club for ball in queue.waiting if ball.swing == "flat-out"]
    assert not flat or len(flat) + queue.hit_with("flat-out") <= own.flat_out_visit
    for club in flat:
        assert flat.count(club) + queue.hit_with("flat-out", club) <= own.flat_out_each
    told = fairness(queue)
    assert 0.0 <= told.apart < 1.0
    assert queue.minutes_left() >= 0.0


@given(queues(), st.lists(steps, max_size=12))
def test_no_ball_is_lost_or_doubled_and_limits_hold(queue: Queue, todo: list[tuple[object, ...]]) -> None:
    holds(queue)
    for step in todo:
        try:
            after = done(queue, step)
        except InputError:
            continue
        holds(after)
        new = planned(after) - planned(queue)
        assert not planned(queue) - planned(after), "a planned ball is gone"
        if step[0] in ("join", "setting"):
            assert len({club for club, _, _ in new}) == 1
            assert sum(new.values()) % 2 == 0
        else:
            assert not new
        grew = after.hits - queue.hits
        assert grew == {"hit": 1, "take": -1}.get(str(step[0]), grew if step[0] == "next" else 0)
        queue = after


@given(queues(), st.integers(0, 40), st.sampled_from([None, ["flat-out"]]))
def test_a_newcomer_is_hit_all_through_the_rest(queue: Queue, balls: int, swings: list[str] | None) -> None:
    """Its balls mirror around the middle of what is left, and the others stay as even as they were to be."""
    for _ in range(min(balls, queue.left - 8)):
        due = queue.next_ball
        assert due is not None
        queue = hit(queue, due.club, due.swing)
    made = add_candidate(queue, "New", swings).queue
    rest = [ball.club for ball in made.waiting if not ball.warm_up]
    places = [i for i, club in enumerate(rest) if club == "New"]
    assert len(places) >= 4
    assert abs(sum(places) / len(places) - (len(rest) - 1) / 2) <= 2.0
    assert places[0] <= len(rest) / 2 - 1
    others = replace(made, balls=tuple(ball for ball in made.balls if ball.club != "New"))
    assert fairness(others).apart <= fairness(queue).apart + (0.2 if made.dropped else 0.1)


@given(queues(), st.lists(st.sampled_from(["skip", "move"]), max_size=6))
def test_the_queue_from_before_a_step_is_the_way_back(queue: Queue, todo: list[str]) -> None:
    kept = [queue]
    for what in todo:
        waiting = kept[-1].waiting
        if len(waiting) < 2:
            return
        kept.append(skip(kept[-1]) if what == "skip" else move(kept[-1], waiting[-1].n, waiting[-2].n))
    assert kept[0] == queue
    assert planned(kept[-1]) == planned(queue)
