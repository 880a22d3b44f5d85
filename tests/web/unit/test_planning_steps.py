"""Steps in an order of balls: whatever happens, no ball is lost, none is doubled, and a step back is one."""

from __future__ import annotations

import datetime
import itertools
import random
from collections import Counter

import pytest
from django.utils import timezone

from bagwright.bay import following, orderview, planning, shots, trialling
from bagwright.bay.shots import Entry
from bagwright.errors import InputError
from bagwright.store.models import Account, Candidate, Change, Club, Player, RackClub, ShotRecord, Visit

WISHES = {"balls": 18, "minutes": 90.0, "block": 3, "warm_up": 12, "swings": []}


def hit(visit: Visit, club: Club, n: int = 1, swing: str = "stock") -> ShotRecord:
    for _ in range(n):
        visit.refresh_from_db()
        entry = Entry(f"key-{visit.shot_count:05d}", club.pk, {"carry_m": 90.0}, swing=swing)
        added = shots.add_shot(visit, None, entry)
    return added.shot


def order(visit: Visit) -> list[tuple[int, str, bool, str]]:
    rows = visit.queue.order_by("n")
    return [(row.club_id, row.swing, row.warm_up, row.state) for row in rows]


def kinds(visit: Visit) -> Counter[tuple[int, str, bool]]:
    return Counter((club, swing, warm) for club, swing, warm, _state in order(visit))


def waiting(visit: Visit) -> list[int]:
    return [row.club_id for row in visit.queue.filter(state="waiting", warm_up=False).order_by("n")]


def sound(visit: Visit) -> None:
    """What always holds: places from 1, a hit ball has its shot, a shot has at most one place."""
    rows = list(visit.queue.order_by("n"))
    assert [row.n for row in rows] == list(range(1, len(rows) + 1))
    assert all((row.state == "hit") == (row.shot_id is not None) for row in rows)
    live = set(visit.shots.filter(undone_at__isnull=True).values_list("pk", flat=True))
    placed = [row.shot_id for row in rows if row.shot_id is not None]
    assert len(placed) == len(set(placed))
    assert set(placed) <= live
    left = following.left_of(visit)
    assert left.hit == len(live)
    assert left.balls + left.hit <= 80


@pytest.mark.django_db
@pytest.mark.parametrize("seed", range(6))
def test_no_ball_is_lost_whatever_is_done(visit: Visit, candidates: list[Club], seed: int) -> None:
    """Hits in and out of turn, skips, moves, balls taken back, brought back: the same balls are all there."""
    rng = random.Random(seed)
    planning.make_plan(visit, {**WISHES, "swings": ["flat-out"]})
    first = kinds(visit)
    refused: list[InputError] = []
    for _ in range(30):
        what = rng.choice(("hit", "hit", "out of turn", "skip", "move", "block", "back", "take back"))
        rows = list(visit.queue.filter(state="waiting").order_by("n"))
        gone = list(visit.queue.filter(state="skipped"))
        try:
            if what == "hit" and rows:
                hit(visit, rows[0].club, swing=rows[0].swing)
            elif what == "out of turn":
                hit(visit, rng.choice(candidates))
            elif what == "skip" and rows:
                planning.skip(visit, rng.choice(rows).pk, block=rng.random() < 0.3)
            elif what == "move" and rows:
                planning.move(visit, rng.choice(rows).pk, rng.choice((-1, 1)))
            elif what == "block" and rows:
                planning.move_block(visit, rng.choice(rows).pk, rng.choice((-1, 1)))
            elif what == "back" and gone:
                planning.bring_back(visit, rng.choice(gone).pk)
            elif what == "take back" and (last := visit.shots.filter(undone_at__isnull=True).last()):
                shots.remove_shot(None, last)
        except InputError as error:
            refused.append(error)
        sound(visit)
        assert kinds(visit) == first
    assert all(error.next_step for error in refused)


@pytest.mark.django_db
def test_every_step_back_gives_the_order_before_it(visit: Visit, candidates: list[Club]) -> None:
    planning.make_plan(visit, WISHES)
    seen = [order(visit)]
    balls = list(visit.queue.filter(warm_up=False).order_by("n"))
    planning.skip(visit, balls[2].pk)
    seen.append(order(visit))
    planning.move_block(visit, visit.queue.filter(state="waiting", warm_up=False).order_by("n")[0].pk, 1)
    seen.append(order(visit))
    planning.leave(None, visit, candidates[2])
    assert candidates[2].pk not in waiting(visit)
    while seen:
        assert planning.undo(visit)
        assert order(visit) == seen.pop()
    assert Candidate.objects.get(visit=visit, club=candidates[2]).left_at is None
    assert planning.undo(visit)
    assert order(visit) == [], "the first step made the order"
    assert not planning.undo(visit)


@pytest.mark.django_db
def test_a_step_back_keeps_what_was_hit_since(visit: Visit, candidates: list[Club]) -> None:
    planning.make_plan(visit, WISHES)
    before = kinds(visit)
    skipped = visit.queue.filter(warm_up=False).order_by("n")[5]
    planning.skip(visit, skipped.pk)
    for _ in range(4):
        due = following.next_ball(visit)
        assert due is not None
        hit(visit, due.club)
    assert planning.undo(visit)
    sound(visit)
    assert kinds(visit) == before
    assert following.left_of(visit).balls == sum(before.values()) - 4


@pytest.mark.django_db
def test_balls_hit_in_a_new_order_count_in_the_old_one_too(visit: Visit, candidates: list[Club]) -> None:
    planning.make_plan(visit, WISHES)
    before = kinds(visit)
    planning.make_plan(visit, {**WISHES, "balls": 12})
    for _ in range(3):
        due = following.next_ball(visit)
        assert due is not None
        hit(visit, due.club)
    planning.undo(visit)
    sound(visit)
    assert kinds(visit) == before
    assert following.left_of(visit).balls == sum(before.values()) - 3


@pytest.mark.django_db
def test_a_block_moves_past_its_neighbour_and_no_test_ball_before_the_warm_up(
    visit: Visit, candidates: list[Club]
) -> None:
    planning.make_plan(visit, WISHES)
    coming = orderview.order_of(visit).coming
    test = [block for block in coming if not block.warm_up]
    names = [block.club for block in test]
    words = planning.move_block(visit, test[1].balls[0].pk, 1)
    after = [block.club for block in orderview.order_of(visit).coming if not block.warm_up]
    flat = [club for block in test for club in [block.club] * len(block.balls)]
    moved = [
        club for b in orderview.order_of(visit).coming if not b.warm_up for club in [b.club] * len(b.balls)
    ]
    assert moved != flat
    assert sorted(moved) == sorted(flat)
    assert after != names
    assert "comparison gets wider" in words
    with pytest.raises(InputError, match="warm-up"):
        planning.move_block(visit, visit.queue.filter(warm_up=False).order_by("n")[0].pk, -1)


@pytest.mark.django_db
def test_a_ball_that_another_screen_took_is_said(visit: Visit, candidates: list[Club]) -> None:
    planning.make_plan(visit, WISHES)
    ball = visit.queue.order_by("n")[0]
    hit(visit, ball.club)
    with pytest.raises(InputError, match="another screen"):
        planning.skip(visit, ball.pk)


@pytest.mark.django_db
def test_whoever_is_warm_warms_up_no_more(visit: Visit, candidates: list[Club]) -> None:
    """Ten balls are a warm-up; fewer count for it, and all count for the visit's limit."""
    hit(visit, visit.player.clubs.get(name="Sand wedge"), 4)
    planning.make_plan(visit, {**WISHES, "minutes": None})
    assert following.left_of(visit).warm_up == 8
    hit(visit, visit.player.clubs.get(name="Sand wedge"), 6)
    planning.make_plan(visit, {**WISHES, "minutes": None})
    left = following.left_of(visit)
    assert (left.warm_up, left.balls, left.hit, left.allowed) == (0, 18, 10, 70)


@pytest.mark.django_db
def test_minutes_hold_when_the_order_is_made_anew(visit: Visit, candidates: list[Club]) -> None:
    hit(visit, visit.player.clubs.get(name="Sand wedge"), 12)
    planning.make_plan(visit, {**WISHES, "balls": 60, "minutes": 40})
    left = following.left_of(visit)
    assert 12 <= left.balls < 60
    assert left.minutes <= 40.5
    assert left.clock_min is not None
    assert 39 < left.clock_min <= 40


@pytest.mark.django_db
def test_limits_cut_what_waits_when_other_balls_are_hit(visit: Visit, candidates: list[Club]) -> None:
    """Half of the limits for a player with pain: 40 a visit; an unplanned ball costs a planned one."""
    Player.objects.filter(pk=visit.player_id).update(pain=True)
    visit = Visit.objects.get(pk=visit.pk)
    planning.make_plan(visit, {**WISHES, "balls": 60, "minutes": None, "warm_up": 10})
    before = following.left_of(visit)
    assert before.balls <= 40
    driver = visit.player.clubs.get(name="Driver")
    hit(visit, driver, 41 - before.balls)
    after = following.left_of(visit)
    assert after.balls == before.balls - 1
    assert after.balls + after.hit == 40
    assert any("40 balls a visit" in gone.reason for gone in orderview.order_of(visit).dropped)
    sound(visit)


@pytest.mark.django_db
def test_flat_out_is_counted_and_refused_before_the_warm_up(visit: Visit, candidates: list[Club]) -> None:
    planning.make_plan(visit, {**WISHES, "balls": 36, "swings": ["flat-out"]})
    left = following.left_of(visit)
    assert 0 < left.flat_out <= 18
    assert left.flat_out_allowed == 18
    for row in visit.queue.filter(swing="stock", state="waiting"):
        planning.skip(visit, row.pk)
    assert "only after a warm-up" in following.left_of(visit).refusal
    hit(visit, candidates[0], swing="flat-out")
    assert following.left_of(visit).flat_out_allowed == 17


@pytest.mark.django_db
def test_the_pace_of_the_visit_tells_the_minutes(visit: Visit, candidates: list[Club]) -> None:
    planning.make_plan(visit, WISHES)
    usual = following.left_of(visit).minutes
    first = following.next_ball(visit)
    assert first is not None
    hit(visit, first.club, 8)
    start = timezone.now()
    for i, shot in enumerate(visit.shots.order_by("number")):
        ShotRecord.objects.filter(pk=shot.pk).update(hit_at=start + datetime.timedelta(seconds=120 * i))
    left = following.left_of(visit)
    assert left.minutes == pytest.approx(left.balls * 2.0 + 10.0)
    assert left.minutes > usual


@pytest.mark.django_db
def test_another_setting_is_another_build_and_joins(
    visit: Visit, candidates: list[Club], account: Account
) -> None:
    planning.make_plan(visit, WISHES)
    for _ in range(14):
        due = following.next_ball(visit)
        assert due is not None
        hit(visit, due.club)
    Club.objects.filter(pk=candidates[1].pk).update(lie_angle_deg=64.0)
    candidates[1].refresh_from_db()
    made, words = trialling.add_setting(account, visit, candidates[1], "hosel_setting", " +1° ", None)
    assert (made.name, made.hosel_setting, made.made_from_id) == ("50 cavity (+1°)", "+1°", candidates[1].pk)
    assert (made.loft_deg, made.lie_angle_deg) == (None, None), "loft and lie of the old setting do not hold"
    assert waiting(visit).count(made.pk) >= 4
    assert any("came in after 2 of" in text for text in words)
    sound(visit)
    with pytest.raises(InputError, match="already"):
        trialling.add_setting(account, visit, made, "hosel_setting", "+1°")
    assert planning.undo(visit)
    assert made.pk not in waiting(visit)
    assert made.pk not in [c.club_id for c in planning.taking_part(visit)]


@pytest.mark.django_db
def test_the_present_club_stays_and_two_at_least(visit: Visit, candidates: list[Club]) -> None:
    with pytest.raises(InputError, match="in the slot"):
        planning.leave(None, visit, candidates[0])
    planning.leave(None, visit, candidates[1])
    with pytest.raises(InputError, match="Two builds"):
        planning.leave(None, visit, candidates[2])
    for i in range(4):
        club = Club.objects.create(player=visit.player, name=f"5{i} more", kind="wedge", status="candidate")
        planning.join(None, visit, club)
    seventh = Club.objects.create(player=visit.player, name="59 more", kind="wedge", status="candidate")
    with pytest.raises(InputError, match="6 builds"):
        planning.join(None, visit, seventh)


@pytest.mark.django_db
def test_only_demo_clubs_for_the_player_s_hand_may_join(visit: Visit, candidates: list[Club]) -> None:
    RackClub.objects.create(name="52 right", kind="wedge", hand="right")
    RackClub.objects.create(name="52 left", kind="wedge", hand="left")
    RackClub.objects.create(name="53 lent", kind="wedge", hand="right", in_stock=1, lent=1)
    names = [choice.name for choice in trialling.could_join(visit) if choice.rack]
    assert names == ["52 right"]


@pytest.mark.django_db
def test_first_balls_after_a_change_follow_what_is_hit(visit: Visit, candidates: list[Club]) -> None:
    planning.make_plan(visit, WISHES)
    hit(visit, candidates[2])
    rows = list(visit.queue.filter(state="waiting").order_by("n"))
    last = candidates[2].pk
    for row in rows:
        assert row.first_after_change == (row.club_id != last)
        last = row.club_id


@pytest.mark.django_db
def test_wishes_come_back_in_the_form_and_every_step_has_its_author(
    visit: Visit, candidates: list[Club], account: Account
) -> None:
    planning.make_plan(visit, {**WISHES, "rules": ["51 blade last"]}, by=account)
    assert planning.wishes_of(visit)["rules"] == ["51 blade last"]
    last = [b.club_id for b in visit.queue.filter(warm_up=False).order_by("n")]
    assert last[-6:] == [candidates[2].pk] * 6
    assert Change.objects.get(visit=visit, what="plan").made_by == account
    runs = [list(group) for _club, group in itertools.groupby(last)]
    assert len(runs) > 3
    assert orderview.order_of(visit).words, "what the wish costs is said"
