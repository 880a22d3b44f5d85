"""The ground: an address of an unknown host, a forwarded request and a foreign form are refused."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from bagwright.store.convert import core_bag, core_table
from bagwright.store.models import Club, ShotRecord, Visit


@pytest.mark.django_db
def test_a_visit_becomes_the_core_s_table_and_bag(
    visit: Visit, candidates: list[Club], add_shots: Callable[..., list[ShotRecord]]
) -> None:
    add_shots(visit, candidates[0], 3, 90.0)
    table = core_table([visit])
    assert table.n == 3
    assert list(table.text("club")) == ["Gap wedge"] * 3
    assert core_bag(visit.player).find("51 blade") is not None


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"HTTP_HOST": "evil.example"}, 400),
        ({"HTTP_X_FORWARDED_FOR": "1.2.3.4"}, 400),
        ({"REMOTE_ADDR": "192.0.2.7"}, 403),
        ({}, 200),
    ],
)
def test_single_mode_answers_this_machine_only(client: Client, headers: dict[str, Any], status: int) -> None:
    assert client.get("/healthy/", **headers).status_code == status


@pytest.mark.django_db
def test_a_form_of_another_site_is_refused(client: Client) -> None:
    answer = client.post("/healthy/", headers={"Sec-Fetch-Site": "cross-site"})
    assert answer.status_code == 403
    assert "frame-ancestors" in answer["Content-Security-Policy"]
