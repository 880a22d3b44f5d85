"""A visit begun by mistake: put aside, counted nowhere, nothing deleted, and taken back as it was."""

from __future__ import annotations

import datetime
from collections.abc import Callable

import pytest
from django.test import Client
from django.utils import timezone
from pytest_django import Settings

from bagwright.bay import board, checking, predicting, visits
from bagwright.errors import InputError
from bagwright.store.models import Account, Club, Decision, Player, Prediction, ShotRecord, Visit

pytestmark = pytest.mark.django_db
Add = Callable[..., list[ShotRecord]]


def test_a_visit_without_balls_goes_and_comes_back(client: Client, visit: Visit) -> None:
    assert "Started by mistake?" in client.get(f"/visits/{visit.pk}/intake/").content.decode()
    answer = client.post(f"/visits/{visit.pk}/aside/", {"why": ""}, follow=True)
    html = answer.content.decode()
    assert "The visit was put aside" in html
    assert "1 visit put aside" in html
    assert not visit.player.visits.exists()
    assert Visit.with_put_aside.filter(pk=visit.pk).exists(), "nothing is deleted"
    back = client.post(f"/visits/{visit.pk}/aside/", {"back": "1"})
    assert back["Location"] == f"/visits/{visit.pk}/"
    assert visit.player.visits.get() == visit


def test_with_balls_a_reason_is_asked_and_what_was_typed_stays(
    client: Client, visit: Visit, candidates: list[Club], add_shots: Add
) -> None:
    add_shots(visit, candidates[0], 3, 90.0)
    refused = client.post(f"/visits/{visit.pk}/aside/", {"why": "  "})
    assert refused.status_code == 422
    assert 'aria-invalid="true"' in refused.content.decode()
    long = client.post(f"/visits/{visit.pk}/aside/", {"why": "x" * 600}).content.decode()
    assert "x" * 600 in long
    assert Visit.objects.filter(pk=visit.pk).exists()
    client.post(f"/visits/{visit.pk}/aside/", {"why": "The wrong player <b>"})
    page = client.get(f"/players/{visit.player_id}/").content.decode()
    assert "The wrong player &lt;b&gt;" in page
    assert visit.shots.count() == 3


def test_it_counts_nowhere_until_it_is_taken_back(
    client: Client, visit: Visit, candidates: list[Club], add_shots: Add, account: Account
) -> None:
    earlier = Visit.objects.create(
        player=visit.player,
        coach=account,
        started_at=timezone.now() - datetime.timedelta(days=30),
        place="Old",
    )
    add_shots(earlier, candidates[0], 6, 90.0)
    add_shots(visit, candidates[0], 6, 92.0, seed=2)
    Prediction.objects.create(
        visit=earlier, club=candidates[0], swing="stock", quantity="carry_m", level=0.9, low=50.0, high=150.0,
        n_shots=6,
    )  # fmt: skip
    before = board.state_of(visit)
    assert before.table.n == 12
    assert predicting.record(account)[0].balls == 6
    visits.put_aside(account, earlier, "Unit not set up")
    assert board.state_of(visit).table.n == 6, "the kept state is not the one with its balls"
    assert predicting.record(account) == ()
    assert checking.earlier_visits(visit) == []
    assert visits.offered_from(visit) is None
    assert client.get("/api/visits").status_code == 200
    back = visits.take_back(account, earlier)
    assert (back.put_aside_at, back.put_aside_why) == (None, "")
    assert board.state_of(visit).table.n == 12
    assert predicting.record(account)[0].balls == 6


def test_its_pages_say_so_and_its_decision_comes_back_first(
    client: Client, visit: Visit, candidates: list[Club], account: Account
) -> None:
    made = Decision.objects.create(visit=visit, outcome="keep", choice=candidates[0])
    with pytest.raises(InputError, match="decision"):
        visits.put_aside(account, visit, "")
    Decision.objects.filter(pk=made.pk).update(withdrawn_at=timezone.now())
    visits.put_aside(account, visit, "")
    for path in ("", "intake/", "brief/", "bay/", "hand-over/"):
        answer = client.get(f"/visits/{visit.pk}/{path}")
        assert answer.status_code == 400
        assert "This visit was put aside" in answer.content.decode()
    assert client.post(f"/visits/{visit.pk}/shots/", {}).status_code in (400, 404)


def test_whoever_may_only_look_cannot_put_it_aside(
    settings: Settings, visit: Visit, account: Account, left_player: Player
) -> None:
    settings.SHOP = True
    Account.objects.filter(pk=account.pk).update(single=False, name="alice")
    stranger = Client()
    stranger.force_login(Account.objects.create_user("charlie", role="coach"))
    assert stranger.post(f"/visits/{visit.pk}/aside/", {"why": "x"}).status_code == 404
    visits.put_aside(account, visit, "x")
    assert stranger.post(f"/visits/{visit.pk}/aside/", {"back": "1"}).status_code == 404
    assert stranger.get(f"/visits/{visit.pk}/").status_code == 404
    assert Visit.with_put_aside.get(pk=visit.pk).put_aside_at is not None
