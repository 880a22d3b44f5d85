"""The shop: first account by code, log-in and lock-out, invitations, roles, sessions, sharing, rack, logo."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Callable
from functools import cache

import pytest
from django.contrib.auth.hashers import make_password
from django.test import Client
from pytest_django import Settings

from bagwright.bay import accounts, rack, sessions, shopping
from bagwright.bay.bags import take_from_rack
from bagwright.errors import InputError
from bagwright.store.models import Account, AuditEntry, Player, RackClub, ShopSettings

PASSWORD = "three quiet words 7"


@cache
def hashed() -> str:
    """Hashing is slow on purpose: once for all accounts of these tests."""
    return make_password(PASSWORD)


@pytest.fixture
def shop(settings: Settings) -> None:
    settings.SHOP = True


@pytest.fixture
def people(db: None, shop: None) -> dict[str, Account]:
    """An owner, two coaches, a workshop."""
    made = {}
    for name, role in (("olga", "owner"), ("alice", "coach"), ("bob", "coach"), ("wim", "workshop")):
        made[name] = Account.objects.create(name=name, password=hashed(), role=role)
    return made


@pytest.mark.django_db
def test_the_first_account_needs_the_code_of_this_start(client: Client, shop: None) -> None:
    assert client.get("/players/").status_code == 302
    assert client.get("/login/").headers["Location"] == "/first/"
    wrong = client.post("/first/", {"code": "00000000x", "name": "olga", "password": PASSWORD})
    assert wrong.status_code == 422
    short = client.post("/first/", {"code": accounts.setup_code(), "name": "olga", "password": "short"})
    assert short.status_code == 422
    made = client.post("/first/", {"code": accounts.setup_code(), "name": "olga", "password": PASSWORD})
    assert made.status_code == 302
    assert Account.objects.get(name="olga").role == "owner"
    assert Account.objects.get(name="olga").password.startswith("argon2")
    again = Client().post("/first/", {"code": accounts.setup_code(), "name": "eve", "password": PASSWORD})
    assert again.status_code == 302
    assert not Account.objects.filter(name="eve").exists()


def test_log_in_changes_the_session_and_five_wrong_tries_shut_the_door(people: dict[str, Account]) -> None:
    client = Client()
    client.get("/login/")
    answer = client.post("/login/", {"username": "alice", "password": PASSWORD, "next": "//evil.example/"})
    assert answer.headers["Location"] == "/"
    first = client.session.session_key
    assert client.get("/players/").status_code == 200
    client.post("/logout/")
    assert client.get("/players/").status_code == 302
    client.post("/login/", {"username": "alice", "password": PASSWORD})
    assert client.session.session_key != first
    stranger = Client()
    answers = [
        stranger.post("/login/", {"username": "bob", "password": "wrong"}).status_code for _ in range(5)
    ]
    assert answers[:4] == [401] * 4
    assert answers[4] == 429
    assert stranger.post("/login/", {"username": "bob", "password": PASSWORD}).status_code == 429
    assert stranger.post("/login/", {"username": "nobody", "password": "wrong"}).status_code == 401


def test_an_invitation_makes_one_account_once(people: dict[str, Account]) -> None:
    token = accounts.invite(people["olga"], "coach")
    client = Client()
    assert client.get(f"/join/{token}/").status_code == 200
    assert client.post(f"/join/{token}/", {"name": "carl", "password": PASSWORD}).status_code == 302
    assert Account.objects.get(name="carl").role == "coach"
    assert Client().get(f"/join/{token}/").status_code == 404
    with pytest.raises(InputError, match="cannot be used"):
        accounts.join(token, "dave", PASSWORD)
    with pytest.raises(InputError, match="last owner"):
        accounts.change_role(people["olga"], people["olga"], "coach")


def test_each_coach_s_players_are_private_unless_shared(people: dict[str, Account]) -> None:
    player = Player.objects.create(coach=people["alice"], name="Robin Example", hand="left")
    clients = {name: Client() for name in people}
    for name, client in clients.items():
        client.force_login(people[name])
    page = f"/players/{player.pk}/"
    assert clients["alice"].get(page).status_code == 200
    for other in ("olga", "bob", "wim"):
        assert clients[other].get(page).status_code == 404
    shared = clients["alice"].post(f"/players/{player.pk}/share/", {"name": "bob"})
    assert shared.status_code == 302
    assert clients["bob"].get(page).status_code == 200
    assert clients["bob"].get(f"/players/{player.pk}/edit/").status_code == 404
    assert clients["bob"].get(f"/players/{player.pk}/share/").status_code == 404
    accounts.unshare(people["alice"], player, player.shares.get().pk)
    assert clients["bob"].get(page).status_code == 404
    seen = AuditEntry.objects.filter(player=player, action="opened").values_list("account__name", flat=True)
    assert set(seen) == {"alice", "bob"}


def test_a_password_change_and_a_closed_account_end_sessions(people: dict[str, Account]) -> None:
    one, two = Client(), Client()
    for client in (one, two):
        client.post("/login/", {"username": "alice", "password": PASSWORD})
    assert len(sessions.sessions_of(people["alice"])) == 2
    changed = one.post("/sessions/", {"old": PASSWORD, "new": "other quiet words 8"})
    assert changed.status_code == 302
    assert two.get("/players/").status_code == 302
    assert one.get("/players/").status_code == 200
    accounts.close(people["olga"], people["alice"])
    assert one.get("/players/").status_code == 302
    assert (
        Client().post("/login/", {"username": "alice", "password": "other quiet words 8"}).status_code == 401
    )


def test_only_the_owner_manages_accounts(people: dict[str, Account]) -> None:
    for name, status in (("olga", 200), ("alice", 404), ("wim", 404)):
        client = Client()
        client.force_login(people[name])
        assert client.get("/accounts/").status_code == status
    client = Client()
    client.force_login(people["olga"])
    page = client.post("/accounts/", {"invite": "1", "role": "coach"}).content.decode()
    assert "/join/" in page


def rack_club(hand: str, **more: object) -> RackClub:
    return RackClub.objects.create(name="52 wedge", kind="wedge", hand=hand, **more)


def test_the_rack_offers_the_player_s_hand_only_and_lends(
    people: dict[str, Account], bag_of: Callable[..., object]
) -> None:
    left = rack_club("left")
    right = rack_club("right", in_stock=1)
    player = Player.objects.create(coach=people["alice"], name="Kim Example", hand="left")
    with pytest.raises(InputError, match="other hand"):
        take_from_rack(people["alice"], player, right)
    assert take_from_rack(people["alice"], player, left).status == "candidate"
    rack.lend(people["alice"], right, "a colleague")
    with pytest.raises(InputError, match="None of them is free"):
        rack.lend(people["alice"], right, "somebody else")
    right.refresh_from_db()
    assert (right.free, right.lent_to) == (0, "a colleague")
    assert any("right-handers" in words for words in rack.missing_hands(rack.found()))
    rack.take_back(people["alice"], right)
    right.refresh_from_db()
    assert (right.free, right.lent_to) == (1, "")


def chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def png(width: int, height: int, rows: int | None = None) -> bytes:
    """A black picture; `rows` packs another number of rows than its header says."""
    packed = zlib.compress(b"\0" * (1 + 3 * width) * (height if rows is None else rows))
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", packed) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"<svg onload=alert(1)>", "neither a PNG nor a JPEG"),
        (png(9000, 10), "9000 by 10"),
        (b"\x89PNG\r\n\x1a\n" + b"x" * 600_000, "bytes"),
        (b"\xff\xd8\xff\xe0", "pixels"),
    ],
)
def test_a_logo_that_is_none_is_refused(content: bytes, said: str) -> None:
    with pytest.raises(InputError, match=said):
        shopping.picture_kind(content)


def test_a_logo_is_kept_and_served_as_what_it_is(people: dict[str, Account]) -> None:
    assert shopping.picture_kind(png(120, 40)) == "png"
    shopping.set_logo(people["olga"], png(120, 40) + b"<script>alert(1)</script>")
    assert bytes(shopping.settings_row().logo or b"") == png(120, 40), "what hangs on behind is cut off"
    client = Client()
    client.force_login(people["olga"])
    answer = client.get("/settings/logo/")
    assert (answer.status_code, answer["Content-Type"], answer["X-Content-Type-Options"]) == (
        200, "image/png", "nosniff",
    )  # fmt: skip
    shopping.set_logo(people["olga"], None)
    assert client.get("/settings/logo/").status_code == 404


def test_settings_of_the_shop_are_the_owner_s(people: dict[str, Account]) -> None:
    sent = {
        "shop": "1",
        "shop_name": "Bay",
        "units": "metres",
        "language": "de",
        "paper": "a4",
        "step_rules": "7-10",
        "left_words": "L, left",
        "right_words": "R, right",
        "version": "1",
    }
    coach, owner = Client(), Client()
    coach.force_login(people["alice"])
    owner.force_login(people["olga"])
    coach.post("/settings/", sent)
    assert shopping.settings_row().units == "yards"
    assert owner.post("/settings/", {**sent, "version": "99"}).status_code == 409
    assert owner.post("/settings/", {**sent, "role": "x", "logo_kind": "svg"}).status_code == 302
    row = ShopSettings.objects.get()
    assert (row.units, row.step_rules, row.version) == ("metres", "7-10", 2)
