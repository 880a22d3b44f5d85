"""The order of a visit: made fair, followed, changed, taken back; limits of the body hold."""

from __future__ import annotations

import itertools

import pytest
from django.test import Client

from bagwright.bay import cautions, following, planning, shots, visits
from bagwright.bay.shots import Entry
from bagwright.errors import InputError
from bagwright.store.models import Account, Club, Player, Visit

WISHES = {"balls": 18, "minutes": 90.0, "block": 3, "warm_up": 12}


def hit(visit: Visit, club: Club, n: int, swing: str = "stock") -> None:
    for _ in range(n):
        visit.refresh_from_db()
        key = f"key-{visit.shot_count:05d}"
        shots.add_shot(visit, None, Entry(key, club.pk, {"carry_m": 90.0}, swing=swing))


@pytest.mark.django_db
def test_a_plan_is_mirrored_and_followed(visit: Visit, candidates: list[Club]) -> None:
    planning.make_plan(visit, WISHES)
    test = [b for b in visit.queue.order_by("n") if not b.warm_up]
    order = [b.club_id for b in test]
    assert len(order) == 18
    places = {c.pk: [i for i, pk in enumerate(order) if pk == c.pk] for c in candidates}
    means = [sum(p) / len(p) for p in places.values()]
    assert max(means) - min(means) < 1e-9, "every club sits on average in the middle of the visit"
    first = following.next_ball(visit)
    assert first is not None
    assert first.warm_up
    hit(visit, first.club, 1)
    assert visit.shots.get().mark == "warm-up"
    assert following.left_of(visit).warm_up == 11


@pytest.mark.django_db
def test_a_ball_out_of_turn_takes_its_own_place_or_none(visit: Visit, candidates: list[Club]) -> None:
    planning.make_plan(visit, WISHES)
    before = following.left_of(visit).balls
    hit(visit, candidates[2], 1)
    assert following.left_of(visit).balls == before - 1
    driver = visit.player.clubs.get(name="Driver")
    hit(visit, driver, 1)
    assert following.left_of(visit).balls == before - 1
    shot = visit.shots.get(number=1)
    shots.remove_shot(None, shot)
    assert following.left_of(visit).balls == before


@pytest.mark.django_db
def test_skip_move_and_undo_lose_no_ball(visit: Visit, candidates: list[Club]) -> None:
    planning.make_plan(visit, WISHES)
    before = [(b.club_id, b.swing) for b in visit.queue.order_by("n")]
    balls = list(visit.queue.filter(warm_up=False).order_by("n"))
    edge = next(a for a, b in itertools.pairwise(balls) if a.club_id != b.club_id)
    planning.move(visit, edge.pk, 1)
    after = [(b.club_id, b.swing) for b in visit.queue.order_by("n")]
    assert after != before
    assert sorted(after) == sorted(before)
    assert planning.undo(visit)
    assert [(b.club_id, b.swing) for b in visit.queue.order_by("n")] == before
    planning.skip(visit, visit.queue.order_by("n")[0].pk)
    assert visit.queue.filter(state="skipped").count() == 1
    assert following.left_of(visit).balls == len(before) - 1


@pytest.mark.django_db
def test_a_newcomer_is_spread_over_what_is_left(visit: Visit, candidates: list[Club]) -> None:
    planning.make_plan(visit, WISHES)
    rack = Club.objects.create(
        player=visit.player, name="50 soft", kind="wedge", loft_deg=50.0, status="candidate"
    )
    planning.join(None, visit, rack)
    waiting = [b for b in visit.queue.filter(state="waiting").order_by("n") if not b.warm_up]
    places = [i for i, b in enumerate(waiting) if b.club_id == rack.pk]
    assert len(places) >= 4
    middle = sum(places) / len(places) / (len(waiting) - 1)
    assert 0.35 < middle < 0.65
    assert planning.undo(visit)
    assert not visit.queue.filter(club=rack).exists()


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("born_in", "pain", "limit"), [(None, False, 80), (2012, False, 40), (1950, False, 40), (1990, True, 40)]
)
def test_ball_limits_are_halved_for_the_young_the_old_and_pain(
    visit: Visit, candidates: list[Club], born_in: int | None, pain: bool, limit: int
) -> None:
    """Software defaults, not common practice."""
    Player.objects.filter(pk=visit.player_id).update(born_in=born_in, pain=pain)
    visit.refresh_from_db()
    assert following.left_of(Visit.objects.get(pk=visit.pk)).allowed == limit


@pytest.mark.django_db
def test_a_minor_needs_a_guardian_and_everybody_consent(account: Account, client: Client) -> None:
    import datetime

    child = Player.objects.create(
        coach=account, name="Kim Example", hand="left", born_in=datetime.date.today().year - 12
    )
    with pytest.raises(InputError, match="guardian"):
        visits.start_visit(child, account, "fitting")
    child.guardian = "Parent Example"
    with pytest.raises(InputError, match="consent"):
        visits.start_visit(child, account, "fitting")
    child.consent_on = datetime.date.today()
    child.save()
    visit = visits.start_visit(child, account, "fitting")
    words = " ".join(c.words for c in cautions.cautions_of(visit))
    assert "guardian" in words
    assert "left-hander" in words
    assert "halved" in words
    assert client.get(f"/visits/{visit.pk}/").headers["Location"].endswith("/intake/")


@pytest.mark.django_db
def test_the_last_visit_s_values_are_offered(visit: Visit, account: Account) -> None:
    import datetime

    Player.objects.filter(pk=visit.player_id).update(consent_on=datetime.date.today())
    Visit.objects.filter(pk=visit.pk).update(
        place="Bay 2", temperature_k=285.0, wind_mps=3.0, aligned="checked"
    )
    player = Player.objects.get(pk=visit.player_id)
    new = visits.start_visit(player, account, "fitting")
    assert (new.place, new.temperature_k, new.surface) == ("Bay 2", 285.0, "mat")
    assert (new.wind_mps, new.aligned) == (None, ""), "wind and alignment are looked at anew"


@pytest.mark.django_db
def test_intake_reads_units_and_refuses_an_old_page(client: Client, visit: Visit) -> None:
    sent = {
        "version": visit.version, "temperature_k": "12 C", "altitude_m": "500", "wind_mps": "10", "wind_from_rad": "90",
        "humidity": "55", "surface": "mat", "place": "Bay 2",
    }  # fmt: skip
    assert client.post(f"/visits/{visit.pk}/intake/", sent).status_code == 302
    visit.refresh_from_db()
    assert visit.temperature_k == pytest.approx(285.15)
    assert visit.altitude_m == pytest.approx(500 * 0.3048)
    assert visit.humidity == pytest.approx(0.55)
    assert visit.wind_from_rad == pytest.approx(1.5708, abs=1e-4)
    old = client.post(f"/visits/{visit.pk}/intake/", {**sent, "place": "Bay 3"})
    assert old.status_code == 409
    assert "Bay 3" in old.content.decode()
    visit.refresh_from_db()
    assert visit.place == "Bay 2"
    wrong = client.post(
        f"/visits/{visit.pk}/intake/", {**sent, "version": visit.version, "temperature_k": "warm"}
    )
    assert wrong.status_code == 422
    assert "not a temperature" in wrong.content.decode()
