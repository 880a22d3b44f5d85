"""Who finds which player: strangers nothing, a colleague who may look only looks."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from bagwright.store.models import Account, Club, Player, PlayerShare


@pytest.fixture
def stranger(settings: Any, db: None) -> Client:
    settings.SHOP = True
    client = Client()
    client.force_login(
        Account.objects.create_user("stranger", None), backend="django.contrib.auth.backends.ModelBackend"
    )
    return client


def addresses(player: Player, club: Club) -> list[tuple[str, str]]:
    here = f"/players/{player.pk}"
    return [
        *[("get", f"{here}{end}") for end in ("/", "/edit/", "/bag/", "/bag/file/", "/clubs/new/",
                                              "/clubs/import/")],
        *[("post", f"{here}{end}") for end in ("/edit/", "/archive/", "/visits/new/", "/clubs/new/",
                                               "/clubs/import/", "/rack/1/")],
        ("get", f"/players/clubs/{club.pk}/"),
        ("post", f"/players/clubs/{club.pk}/"),
        ("post", f"/players/clubs/{club.pk}/status/"),
    ]  # fmt: skip


@pytest.mark.django_db
def test_a_stranger_finds_nothing(
    stranger: Client, player: Player, bag_of: Callable[[Player], dict[str, Club]]
) -> None:
    club = bag_of(player)["Driver"]
    for method, path in addresses(player, club):
        assert getattr(stranger, method)(path).status_code == 404, path
    assert "Robin" not in stranger.get("/players/").content.decode()
    nobody = Client()
    assert nobody.get(f"/players/{player.pk}/").status_code in (302, 403)


@pytest.mark.django_db
def test_a_colleague_who_may_look_may_not_change(
    stranger: Client, player: Player, bag_of: Callable[[Player], dict[str, Club]]
) -> None:
    club = bag_of(player)["Driver"]
    PlayerShare.objects.create(player=player, account=Account.objects.get(name="stranger"))
    for path in ("/", "/bag/", "/bag/file/"):
        assert stranger.get(f"/players/{player.pk}{path}").status_code == 200
    text = stranger.get(f"/players/{player.pk}/bag/").content.decode()
    assert "/status/" not in text
    assert "Robin" in stranger.get("/players/").content.decode()
    looking = ("/", "/bag/", "/bag/file/")
    for method, path in addresses(player, club):
        if method == "get" and path.endswith(looking) and path.startswith("/players/"):
            continue
        assert getattr(stranger, method)(path).status_code == 404, path
