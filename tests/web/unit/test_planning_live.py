"""An order that lives through a visit: who joins late, what it costs, limits that hold, balls that come back."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from bagwright.bay import following, ordering, orderview, planning, shots, trialling
from bagwright.bay.shots import Entry
from bagwright.errors import InputError
from bagwright.store.models import Club, Player, ShotRecord, Visit

WISHES = {"balls": 60, "minutes": 200.0, "block": 3, "warm_up": 12}


def follow(visit: Visit, n: int) -> None:
    """Hit the next balls of the order."""
    for _ in range(n):
        visit.refresh_from_db()
        due = following.next_ball(visit)
        assert due is not None
        key = f"key-{visit.shot_count:05d}"
        shots.add_shot(visit, None, Entry(key, due.club_id, {"carry_m": 90.0}, swing=due.swing))


def soft(visit: Visit, name: str = "50 soft") -> Club:
    return Club.objects.create(
        player=visit.player, name=name, kind="wedge", loft_deg=50.0, status="candidate"
    )


@pytest.mark.django_db
def test_the_queue_is_the_order_of_the_database(visit: Visit, candidates: list[Club]) -> None:
    planning.make_plan(visit, WISHES)
    follow(visit, 5)
    shots.add_shot(
        visit, None, Entry("key-extra", visit.player.clubs.get(name="Driver").pk, {"carry_m": 200.0})
    )
    queue = ordering.held(visit).queue
    assert [ball.number for ball in queue.balls if ball.state == "hit"] == [1, 2, 3, 4, 5]
    assert [(extra.club, extra.number) for extra in queue.extras] == [("Driver", 6)]
    assert queue.hits == 6
    assert queue.next_ball is not None
    assert following.left_of(visit).balls == queue.left == 72 - 5


@pytest.mark.django_db
@pytest.mark.parametrize(("pain", "limit"), [(False, 80), (True, 40)])
def test_who_joins_late_shares_the_balls_that_the_limit_allows(
    visit: Visit, candidates: list[Club], pain: bool, limit: int
) -> None:
    Player.objects.filter(pk=visit.player_id).update(pain=pain)
    visit = Visit.objects.get(pk=visit.pk)
    planning.make_plan(visit, {**WISHES, "balls": 24 if pain else 60})
    follow(visit, 20)
    late = soft(visit)
    words = planning.join(None, visit, late)
    queue = ordering.held(visit).queue
    assert queue.hits + queue.left <= limit
    assert sum(1 for ball in queue.waiting if ball.club == late.name) >= 4
    assert any(late.name in text and "came in after 8 of" in text for text in words)
    told = [d for d in orderview.order_of(visit).dropped if "shared with" in d.reason]
    assert told, "what had to go for the newcomer is said"
    skipped = visit.queue.filter(state="skipped").count()
    assert skipped > 0, "no ball is lost: it stays in the order as skipped"
    assert planning.undo(visit)
    assert not visit.queue.filter(club=late).exists()
    assert visit.queue.filter(state="skipped").count() < skipped
    assert late.pk not in [c.club_id for c in planning.taking_part(visit)]


@pytest.mark.django_db
def test_a_newcomer_hits_the_swings_of_the_others(visit: Visit, candidates: list[Club]) -> None:
    planning.make_plan(visit, {**WISHES, "balls": 36, "swings": ["gripped-down"]})
    late = soft(visit)
    planning.join(None, visit, late)
    swings = set(visit.queue.filter(club=late).values_list("swing", flat=True))
    assert swings == {"stock", "gripped-down"}


@pytest.mark.django_db
def test_another_setting_joins_as_a_build_of_its_own(visit: Visit, candidates: list[Club]) -> None:
    planning.make_plan(visit, {**WISHES, "balls": 24})
    made, _words = trialling.add_setting(None, visit, candidates[1], "hosel_setting", "+1°")  # type: ignore[arg-type]
    assert made.made_from == candidates[1]
    assert made.name == "50 cavity (+1°)"
    assert visit.queue.filter(club=made, state="waiting").count() >= 4
    candidates[1].refresh_from_db()
    assert candidates[1].hosel_setting != "+1°", "the old setting keeps its balls"


@pytest.mark.django_db
def test_a_ball_comes_back_unless_the_limit_has_no_room(
    visit: Visit, candidates: list[Club], add_shots: Callable[..., list[ShotRecord]]
) -> None:
    planning.make_plan(visit, {**WISHES, "balls": 18})
    ball = visit.queue.filter(warm_up=False).order_by("n")[4]
    planning.skip(visit, ball.pk)
    planning.bring_back(visit, ball.pk)
    assert visit.queue.get(pk=ball.pk).state == "waiting"
    assert planning.undo(visit)
    add_shots(visit, candidates[0], 80 - following.left_of(visit).balls, 90.0)
    with pytest.raises(InputError, match="at most 80 balls"):
        planning.bring_back(visit, ball.pk)


@pytest.mark.django_db
def test_flat_out_waits_for_the_warm_up_and_says_why(visit: Visit, candidates: list[Club]) -> None:
    planning.make_plan(visit, {**WISHES, "balls": 36, "swings": ["flat-out"]})
    assert following.left_of(visit).refusal == ""
    flat = visit.queue.filter(swing="flat-out").order_by("n")[0]
    with pytest.raises(InputError, match="before the warm-up ends"):
        planning.move(visit, flat.pk, -100)
    for ball in list(visit.queue.filter(state="waiting", n__lt=flat.n)):
        planning.skip(visit, ball.pk)
    assert following.next_ball(visit) == visit.queue.get(pk=flat.pk)
    assert "flat-out only after a warm-up of 10 balls" in following.left_of(visit).refusal


@pytest.mark.django_db
def test_a_step_says_what_it_does_to_the_fairness(visit: Visit, candidates: list[Club]) -> None:
    planning.make_plan(visit, {**WISHES, "balls": 18})
    assert orderview.order_of(visit).words == ()
    first = visit.queue.filter(warm_up=False).order_by("n")[0]
    last = visit.queue.filter(warm_up=False).order_by("-n")[0]
    assert first.club_id == last.club_id
    assert "the comparison gets wider" in planning.skip(visit, first.pk, block=True)
    assert len(orderview.order_of(visit).words) == 1
    block = next(one for one in orderview.order_of(visit).coming if not one.warm_up)
    before = list(visit.queue.order_by("n").values_list("club_id", "swing"))
    planning.move_block(visit, block.balls[0].pk, 1)
    after = list(visit.queue.order_by("n").values_list("club_id", "swing"))
    assert after != before
    assert sorted(after) == sorted(before)


@pytest.mark.django_db
def test_the_very_ball_that_was_chosen_is_skipped(visit: Visit, candidates: list[Club]) -> None:
    planning.make_plan(visit, WISHES)
    keys = list(visit.queue.order_by("n").values_list("pk", flat=True))
    middle = visit.queue.filter(warm_up=False).order_by("n")[1]
    planning.skip(visit, middle.pk)
    assert visit.queue.get(state="skipped").pk == middle.pk
    assert list(visit.queue.order_by("n").values_list("pk", flat=True)) == keys
    with pytest.raises(InputError, match="left out"):
        planning.skip(visit, middle.pk)
