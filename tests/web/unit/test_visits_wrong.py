"""What cannot be on the pages of brief and plan: said beside its field, with everything typed still there."""

from __future__ import annotations

import pytest
from django.test import Client

from bagwright.bay import planning
from bagwright.store.models import Club, RackClub, Visit

pytestmark = pytest.mark.django_db


def test_a_wrong_carry_keeps_the_brief_and_the_builds(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    sent = {
        "slot-form": "1",
        "version": visit.version,
        "where": visit.slot_id,
        "spot_m": "9000 yd",
        "width_m": "20",
    }
    answer = client.post(f"/visits/{visit.pk}/brief/", sent)
    html = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="9000 yd"' in html
    assert 'id="spot_m-wrong"' in html
    assert "Who takes part" in html
    assert "50 cavity" in html


def test_too_few_builds_is_said_beside_them(client: Client, visit: Visit, candidates: list[Club]) -> None:
    answer = client.post(f"/visits/{visit.pk}/brief/", {"take-part": "1"})
    html = answer.content.decode()
    assert answer.status_code == 422
    assert 'id="picks-wrong"' in html
    assert 'name="where"' in html


def test_a_wish_that_names_nobody_stands_beside_the_wishes(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    sent = {
        "minutes": "45", "balls": "17", "warm_up": "11", "block": "3", "rules": "50 cavity before Nothing",
    }  # fmt: skip
    answer = client.post(f"/visits/{visit.pk}/plan/make/", sent)
    html = answer.content.decode()
    assert answer.status_code == 422
    assert 'id="rules-wrong"' in html
    for typed in ('value="45"', 'value="17"', 'value="11"', "50 cavity before Nothing"):
        assert typed in html


def test_what_another_screen_did_meanwhile_is_said_on_the_plan(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    wishes = {"minutes": 60, "balls": 12, "warm_up": 10, "block": 3, "swings": [], "rules": []}
    planning.make_plan(visit, wishes, by=None)
    ball = visit.queue.filter(state="waiting").first()
    assert ball is not None
    planning.skip(visit, ball.pk, None, block=False)
    for path, sent in (
        ("plan/skip/", {"ball": ball.pk}), ("plan/move/", {"ball": ball.pk, "by": "1"}), ("plan/move/", {"ball": "x"}),
        ("plan/leave/", {"club": candidates[0].pk}),
    ):  # fmt: skip
        answer = client.post(f"/visits/{visit.pk}/{path}", sent)
        html = answer.content.decode()
        assert answer.status_code == 422, path
        assert "Who hits what next" in html, path
        assert 'role="alert"' in html


def test_a_demo_club_that_is_lent_is_said_where_it_was_chosen(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    rack = RackClub.objects.create(name="52 demo", kind="wedge", hand="right", lent=1, lent_to="Kim Example")
    answer = client.post(f"/visits/{visit.pk}/plan/add/", {"club": f"rack-{rack.pk}"})
    html = answer.content.decode()
    assert answer.status_code == 422
    assert 'id="join-wrong"' in html
    assert "Make the order" in html
