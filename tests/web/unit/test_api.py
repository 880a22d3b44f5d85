"""The door for other software: tokens, one shot a key, one shape of error, nothing of others' players."""

from __future__ import annotations

import hashlib
from typing import Any

import pytest
from django.test import Client

from bagwright.store.models import Account, ApiToken, Club, ShotRecord, Visit

TOKEN = "bw_" + "t" * 40


@pytest.fixture
def token(account: Account) -> str:
    ApiToken.objects.create(token_hash=hashlib.sha256(TOKEN.encode()).hexdigest(), account=account)
    return TOKEN


def send(client: Client, visit: Visit, token: str, **shot: Any) -> Any:
    return client.post(
        f"/api/visits/{visit.pk}/shots",
        shot,
        content_type="application/json",
        headers={"Authorization": f"Bearer {token}"},
    )


@pytest.mark.django_db
def test_a_shot_is_stored_once_however_often_it_is_sent(
    visit: Visit, candidates: list[Club], token: str
) -> None:
    client = Client(enforce_csrf_checks=True)
    shot = {"key": "unit-0001", "club_id": candidates[1].pk, "figures": {"carry_m": 92.5, "offline_m": -3.0}}
    first = send(client, visit, token, **shot)
    assert first.status_code == 201, first.content
    assert first.json()["shot"]["figures"]["carry_m"] == 92.5
    again = send(client, visit, token, **shot)
    assert (again.status_code, again.json()["new"]) == (200, False)
    assert ShotRecord.objects.count() == 1
    other = send(client, visit, token, **{**shot, "figures": {"carry_m": 99.0}})
    assert other.status_code == 400
    assert "another shot" in other.json()["error"]["message"]


@pytest.mark.django_db
def test_the_key_may_stand_in_its_header_and_the_club_in_the_order(
    client: Client, visit: Visit, candidates: list[Club], token: str
) -> None:
    answer = client.post(
        f"/api/visits/{visit.pk}/shots",
        {"club": "51 blade", "figures": {"carry_m": 90.0}},
        content_type="application/json",
        headers={"Authorization": f"Bearer {token}", "Idempotency-Key": "unit-0002"},
    )
    assert answer.status_code == 201
    assert answer.json()["shot"]["club"] == "51 blade"
    listed = client.get(f"/api/visits/{visit.pk}/shots", headers={"Authorization": f"Bearer {token}"})
    assert [row["key"] for row in listed.json()] == ["unit-0002"]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("shot", "status"),
    [
        ({"key": "unit-0003", "club_id": 999999, "figures": {"carry_m": 90.0}}, 400),
        ({"key": "unit-0003", "figures": {"carry_m": 90.0}}, 400),
        ({"key": "short", "club_id": 1, "figures": {}}, 422),
        ({"club_id": 1, "figures": {"carry_m": 90.0}}, 400),
        ({"key": "unit-0003", "club": "Gap wedge", "figures": {"luck": 1.0}}, 400),
        ({"key": "unit-0003", "club": "Gap wedge", "figures": {"carry_m": 1e9}}, 400),
        ({"key": "unit-0003", "club": "Gap wedge", "figures": {"carry_m": "far"}}, 422),
        ({"key": "unit-0003", "club": "Gap wedge", "owner": 1, "figures": {"carry_m": 90.0}}, 422),
    ],
)
def test_what_cannot_be_is_refused_in_one_shape(
    client: Client, visit: Visit, candidates: list[Club], token: str, shot: dict[str, Any], status: int
) -> None:
    answer = send(client, visit, token, **shot)
    assert answer.status_code == status, answer.content
    assert set(answer.json()) == {"error"}
    assert set(answer.json()["error"]) == {"message", "next_step"}
    assert ShotRecord.objects.count() == 0


@pytest.mark.django_db
def test_others_players_do_not_exist(client: Client, visit: Visit) -> None:
    stranger = Account.objects.create_user("stranger", role="coach")
    ApiToken.objects.create(token_hash=hashlib.sha256(b"bw_other").hexdigest(), account=stranger)
    answer = client.get(f"/api/visits/{visit.pk}", headers={"Authorization": "Bearer bw_other"})
    assert answer.status_code == 404
    assert client.get("/api/visits", headers={"Authorization": "Bearer bw_other"}).json() == []
    nobody = client.get("/api/visits", headers={"Authorization": "Bearer wrong"}, REMOTE_ADDR="127.0.0.1")
    assert nobody.status_code in (200, 401)


@pytest.mark.django_db
def test_a_page_needs_its_token_against_foreign_forms(visit: Visit, candidates: list[Club]) -> None:
    client = Client(enforce_csrf_checks=True)
    answer = client.post(
        f"/api/visits/{visit.pk}/shots",
        {"key": "unit-0004", "club": "Gap wedge", "figures": {"carry_m": 90.0}},
        content_type="application/json",
    )
    assert answer.status_code == 403
    assert ShotRecord.objects.count() == 0
