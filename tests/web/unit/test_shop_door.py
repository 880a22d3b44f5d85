"""The shop's door: how long log-ins last, what is counted, whom the workshop's role keeps out, what is taken over."""

from __future__ import annotations

import re
from datetime import timedelta
from functools import cache
from types import SimpleNamespace
from typing import Any

import pytest
from axes.models import AccessAttempt
from django.contrib.auth.hashers import make_password
from django.contrib.sessions.models import Session
from django.test import Client
from django.utils import timezone
from pytest_django import Settings

from bagwright.bay import accounts, sessions
from bagwright.errors import InputError
from bagwright.store.models import Account, ApiToken, AuditEntry, Invitation, Player, PlayerShare
from bagwright.web.middleware.who import single_account

PASSWORD = "three quiet words 7"


@cache
def hashed() -> str:
    """Hashing is slow on purpose: once for all accounts of these tests."""
    return make_password(PASSWORD)


PHONE = "Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) Version/18.0 Mobile Safari/604.1"


@pytest.fixture
def people(db: None, settings: Settings) -> dict[str, Account]:
    settings.SHOP = True
    made = {}
    for name, role in (("olga", "owner"), ("alice", "coach"), ("bob", "coach"), ("wim", "workshop")):
        made[name] = Account.objects.create(name=name, password=hashed(), role=role)
    return made


def logged_in(name: str, password: str = PASSWORD, **headers: str) -> Client:
    client = Client(headers=headers)
    answer = client.post("/login/", {"username": name, "password": password})
    assert answer.status_code == 302, answer.content
    return client


def later(monkeypatch: pytest.MonkeyPatch, **span: float) -> None:
    now = timezone.now() + timedelta(**span)
    monkeypatch.setattr("bagwright.bay.sessions.timezone", SimpleNamespace(now=lambda: now))


@pytest.mark.parametrize(
    ("steps_h", "open_after"),
    [
        ((11.9,), True),
        ((12.1,), False),
        ((11.0, 22.0, 33.0), True),
        ((-24.0,), True),
        ((-24.0, -23.0), True),
        ((8760.0,), False),
    ],
)
def test_a_log_in_ends_when_it_is_not_used(
    people: dict[str, Account], monkeypatch: pytest.MonkeyPatch, steps_h: tuple[float, ...], open_after: bool
) -> None:
    """Twelve hours idle; a clock that goes back a day locks nobody out."""
    client = logged_in("alice")
    for hours in steps_h:
        later(monkeypatch, hours=hours)
        status = client.get("/players/").status_code
    assert (status == 200) is open_after


def test_a_log_in_ends_after_fourteen_days_in_any_case(
    people: dict[str, Account], monkeypatch: pytest.MonkeyPatch
) -> None:
    client = logged_in("alice")
    statuses = []
    for hours in range(0, 15 * 24, 6):
        later(monkeypatch, hours=hours)
        statuses.append(client.get("/players/").status_code)
    assert statuses == [200] * 56 + [302] * 4


def test_the_list_names_devices_and_ends_one_or_all(people: dict[str, Account]) -> None:
    desk, phone = logged_in("alice"), logged_in("alice", **{"User-Agent": PHONE})
    other = logged_in("bob")
    page = desk.get("/sessions/").content.decode()
    assert "Safari iPhone" in page
    assert page.count("this one") == 1
    assert not any(key in page for key in Session.objects.values_list("session_key", flat=True))
    name = re.search(r'name="end" value="([0-9a-f]{16})"', page)
    assert name is not None
    other.post("/sessions/", {"end": name[1]})
    assert phone.get("/players/").status_code == 200, "somebody else's session is not ended by its name"
    desk.post("/sessions/", {"end": name[1]})
    assert phone.get("/players/").status_code == 302
    assert desk.get("/players/").status_code == 200
    again = logged_in("alice")
    answer = desk.post("/sessions/", {"everywhere": "1"})
    assert answer["Clear-Site-Data"] == '"cache"'
    assert desk.get("/players/").status_code == 302
    assert again.get("/players/").status_code == 302
    assert other.get("/players/").status_code == 200


def test_a_stolen_session_is_dead_after_log_out(people: dict[str, Account]) -> None:
    client = logged_in("alice")
    thief = Client()
    thief.cookies["sessionid"] = client.cookies["sessionid"].value
    assert thief.get("/players/").status_code == 200
    client.post("/logout/")
    assert thief.get("/players/").status_code == 302


def test_a_session_known_before_the_log_in_is_not_the_one_after(people: dict[str, Account]) -> None:
    client = Client()
    client.get("/login/")
    session = client.session
    session["planted"] = "1"
    session.save()
    client.cookies["sessionid"] = session.session_key or ""
    client.post("/login/", {"username": "alice", "password": PASSWORD})
    assert client.cookies["sessionid"].value != session.session_key
    assert not Session.objects.filter(session_key=session.session_key).exists()


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("wrong", "other quiet words 8", "The present password is not this one"),
        (PASSWORD, "7 chars", "too short"),
        (PASSWORD, "alice and alice", "little but the name"),
        (PASSWORD, "1234567890123", "numeric|common"),
    ],
)
def test_the_password_page_says_what_is_wrong(
    people: dict[str, Account], old: str, new: str, said: str
) -> None:
    client = logged_in("alice")
    answer = client.post("/sessions/", {"old": old, "new": new})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert re.search(said, page)
    assert f'value="{new}"' not in page
    people["alice"].refresh_from_db()
    assert people["alice"].check_password(PASSWORD)


@pytest.mark.parametrize("password", ["short", "1234567890123", "olgaolgaolga", ""])
def test_weak_passwords_are_refused(people: dict[str, Account], password: str) -> None:
    with pytest.raises(InputError):
        accounts.check_password(password, people["olga"])


def test_twenty_wrong_passwords_are_slowed_and_the_right_person_gets_in_later(
    people: dict[str, Account],
) -> None:
    client = Client()
    forged = [
        client.post(
            "/login/",
            {"username": "alice", "password": f"wrong {n}"},
            headers={"X-Forwarded-For": f"203.0.113.{n}"},
        ).status_code
        for n in range(20)
    ]
    assert forged == [401] * 4 + [429] * 16, "a forged forwarding header starts no new count"
    assert client.post("/login/", {"username": "alice", "password": PASSWORD}).status_code == 429
    elsewhere = Client(REMOTE_ADDR="198.51.100.5")
    assert elsewhere.post("/login/", {"username": "alice", "password": PASSWORD}).status_code == 302
    AccessAttempt.objects.update(attempt_time=timezone.now() - timedelta(minutes=16))
    assert client.post("/login/", {"username": "alice", "password": PASSWORD}).status_code == 302


def test_many_names_from_one_address_shut_its_door(people: dict[str, Account]) -> None:
    AccessAttempt.objects.bulk_create(
        AccessAttempt(username=f"n{i}", ip_address="127.0.0.1", failures_since_start=1, user_agent="x")
        for i in range(50)
    )
    assert Client().post("/login/", {"username": "bob", "password": PASSWORD}).status_code == 429
    elsewhere = Client(REMOTE_ADDR="198.51.100.5")
    assert elsewhere.post("/login/", {"username": "bob", "password": PASSWORD}).status_code == 302


def test_an_unknown_name_gets_the_same_answers_and_takes_as_long(
    people: dict[str, Account], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same pages word for word, and the same work: one hashing of a password each time."""
    from django.contrib.auth.hashers import Argon2PasswordHasher

    hashed: list[str] = []
    real = Argon2PasswordHasher.encode

    def counted(self: Any, password: str, salt: str) -> str:
        hashed.append(password)
        return real(self, password, salt)

    verified: list[str] = []
    real_verify = Argon2PasswordHasher.verify

    def counted_verify(self: Any, password: str, encoded: str) -> bool:
        verified.append(password)
        return real_verify(self, password, encoded)

    monkeypatch.setattr(Argon2PasswordHasher, "encode", counted)
    monkeypatch.setattr(Argon2PasswordHasher, "verify", counted_verify)
    pages = {}
    for name in ("alice", "nobod"):
        client = Client()
        answers = [client.post("/login/", {"username": name, "password": "wrong"}) for _ in range(5)]
        work = len(hashed) + len(verified)
        hashed.clear()
        verified.clear()
        texts = [
            re.sub(r'(value|content)="[A-Za-z0-9]{64}"', "", a.content.decode()).replace(name, "")
            for a in answers
        ]
        pages[name] = ([a.status_code for a in answers], texts, work)
    assert pages["alice"] == pages["nobod"]
    assert pages["alice"][0] == [401, 401, 401, 401, 429]
    assert pages["alice"][2] == 5


def test_no_password_and_no_name_is_kept_of_a_wrong_try(people: dict[str, Account]) -> None:
    Client().post("/login/", {"username": "alice", "password": "my real password, mistyped"})
    kept = repr(list(AccessAttempt.objects.values("get_data", "post_data", "path_info")))
    assert "mistyped" not in kept
    assert "alice" not in kept


@pytest.mark.parametrize(
    "after", ["//evil.example", "https://evil.example/", "/\\evil.example", "javascript:alert(1)", "http:///evil.example",
              "\thttps://evil.example", "/%0d%0aSet-Cookie:x=1\r\nX: y"],
)  # fmt: skip
def test_a_log_in_leads_to_this_site_only(people: dict[str, Account], after: str) -> None:
    for client, path in ((Client(), "/login/"), (Client(), f"/login/?next={after}")):
        answer = client.post(path, {"username": "alice", "password": PASSWORD, "next": after})
        assert answer["Location"] == "/", after


def test_a_log_in_leads_to_the_page_that_was_wanted(people: dict[str, Account]) -> None:
    client = Client()
    asked = client.get("/rack/?hand=left")
    page = client.get(asked["Location"]).content.decode()
    assert 'name="next" value="/rack/?hand=left"' in page
    answer = client.post("/login/", {"username": "alice", "password": PASSWORD, "next": "/rack/?hand=left"})
    assert answer["Location"] == "/rack/?hand=left"


def test_ten_wrong_setup_codes_shut_the_first_door_until_the_next_start(
    db: None, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.SHOP = True
    monkeypatch.setitem(accounts._WRONG, "setup", 0)
    code = accounts.setup_code()
    wrong = f"{(int(code) + 1) % 10**8:08d}"
    for _ in range(accounts.SETUP_TRIES):
        assert (
            Client().post("/first/", {"code": wrong, "name": "eve", "password": PASSWORD}).status_code == 422
        )
    shut = Client().post("/first/", {"code": code, "name": "olga", "password": PASSWORD})
    assert shut.status_code == 422
    assert "Start bagwright again" in shut.content.decode()
    assert not Account.objects.filter(single=False).exists()


def test_the_first_account_takes_over_what_was_entered_without_accounts(
    db: None, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(accounts._WRONG, "setup", 0)
    player = Player.objects.create(coach=single_account(), name="Robin Example", hand="right")
    settings.SHOP = True
    client = Client()
    sent = {"code": accounts.setup_code(), "name": "Olga", "password": PASSWORD, "role": "x", "is_active": ""}
    assert client.post("/first/", sent).status_code == 302
    owner = Account.objects.get(name="Olga")
    assert (owner.role, owner.single, owner.is_active) == ("owner", False, True)
    assert client.get(f"/players/{player.pk}/").status_code == 200


@pytest.mark.parametrize("kind", ["used", "expired", "revoked", "never"])
def test_an_invitation_that_is_none_any_more_is_not_there(people: dict[str, Account], kind: str) -> None:
    token = accounts.invite(people["olga"], "coach")
    assert token not in repr(list(Invitation.objects.values()))
    if kind == "used":
        accounts.join(token, "carl", PASSWORD)
    elif kind == "expired":
        Invitation.objects.update(expires_at=timezone.now() - timedelta(seconds=1))
    elif kind == "revoked":
        accounts.revoke_invitation(people["olga"], Invitation.objects.get().pk)
    else:
        token = "x" * 43
    assert Client().get(f"/join/{token}/").status_code == 404
    sent = {"name": "dave", "password": PASSWORD, "role": "owner"}
    assert Client().post(f"/join/{token}/", sent).status_code == 404
    assert not Account.objects.filter(name="dave").exists()


def test_who_joins_cannot_choose_the_role(people: dict[str, Account]) -> None:
    token = accounts.invite(people["olga"], "workshop")
    sent = {"name": "carl", "password": PASSWORD, "role": "owner", "is_active": "1", "single": "1"}
    assert Client().post(f"/join/{token}/", sent).status_code == 302
    made = Account.objects.get(name="carl")
    assert (made.role, made.single) == ("workshop", False)


@pytest.mark.parametrize("name", ["ALICE", " alice ", "\uff21lice", "a", "x" * 101, "a\nb", "\u202eecila"])
def test_a_name_that_looks_like_another_or_is_none_is_refused(people: dict[str, Account], name: str) -> None:
    token = accounts.invite(people["olga"], "coach")
    assert Client().post(f"/join/{token}/", {"name": name, "password": PASSWORD}).status_code == 422
    assert Account.objects.count() == 4


def test_the_last_owner_stays(people: dict[str, Account]) -> None:
    client = logged_in("olga")
    olga = people["olga"]
    for sent in ({"role": "coach"}, {"close": "1"}):
        assert client.post("/accounts/", {"account": str(olga.pk), **sent}).status_code == 400
    olga.refresh_from_db()
    assert (olga.role, olga.is_active) == ("owner", True)
    client.post("/accounts/", {"account": str(people["bob"].pk), "role": "owner"})
    assert client.post("/accounts/", {"account": str(olga.pk), "role": "coach"}).status_code == 302
    assert client.get("/accounts/").status_code == 404, "who is an owner no more has no such page"


def test_a_closed_account_has_no_session_no_token_and_its_players_find_a_coach(
    people: dict[str, Account],
) -> None:
    alice, bob = people["alice"], people["bob"]
    player = Player.objects.create(coach=alice, name="Robin Example", hand="left")
    PlayerShare.objects.create(player=player, account=bob)
    token, page = accounts.make_token(alice, "monitor"), f"/players/{player.pk}/"
    held = {"Authorization": f"Bearer {token}"}
    coach, owner = logged_in("alice"), logged_in("olga")
    assert Client().get("/api/visits", headers=held).status_code == 200
    give = {"account": str(alice.pk), "give": "1", "to": "bob"}
    assert owner.post("/accounts/", give).status_code == 400, "an open account keeps its own"
    owner.post("/accounts/", {"account": str(alice.pk), "close": "1"})
    assert coach.get(page).status_code == 302
    assert Client().get("/api/visits", headers=held).status_code == 401
    assert owner.get(page).status_code == 404
    assert owner.post("/accounts/", {**give, "to": "wim"}).status_code == 400
    assert owner.post("/accounts/", give).status_code == 302
    player.refresh_from_db()
    assert player.coach == bob
    assert not PlayerShare.objects.exists()
    assert AuditEntry.objects.filter(
        player=player, action="given to a colleague", account=people["olga"]
    ).exists()


def test_the_workshop_sees_its_sheets_and_nothing_of_players(people: dict[str, Account]) -> None:
    client = logged_in("wim")
    assert client.get("/")["Location"] == "/workshop/"
    for path in ("/workshop/", "/settings/", "/sessions/", "/help/"):
        assert client.get(path).status_code == 200, path
    page = client.get("/settings/").content.decode()
    assert "/audit/" not in page
    assert "/players/" not in page
    for path in ("/players/", "/players/new/", "/rack/", "/rack/new/", "/due/", "/record/", "/audit/", "/tokens/", "/accounts/",
                 "/api/visits", "/players/1/"):  # fmt: skip
        assert client.get(path).status_code == 404, path
        assert client.post(path).status_code == 404, path
    sent = {"name": "X", "hand": "left"}
    client.post("/players/new/", sent)
    assert not Player.objects.exists()


def test_a_coach_who_becomes_workshop_loses_the_door_for_software_too(people: dict[str, Account]) -> None:
    token = accounts.make_token(people["alice"], "monitor")
    accounts.change_role(people["olga"], people["alice"], "workshop")
    assert Client().get("/api/visits", headers={"Authorization": f"Bearer {token}"}).status_code == 401


def test_a_token_is_shown_once_kept_as_a_hash_and_its_owner_revokes_it(people: dict[str, Account]) -> None:
    client, other = logged_in("alice"), logged_in("bob")
    page = client.post(
        "/tokens/", {"label": "<b>monitor</b>", "account": str(people["bob"].pk)}
    ).content.decode()
    token = re.search(r"bw_[A-Za-z0-9_-]{43}", page)
    assert token is not None
    assert "<b>monitor" not in page
    assert token[0] not in client.get("/tokens/").content.decode()
    kept = ApiToken.objects.get()
    assert kept.account == people["alice"]
    assert token[0] not in repr(list(ApiToken.objects.values()))
    other.post("/tokens/", {"revoke": str(kept.pk)})
    kept.refresh_from_db()
    assert kept.revoked_at is None
    client.post("/tokens/", {"revoke": str(kept.pk)})
    kept.refresh_from_db()
    assert kept.revoked_at is not None


def test_the_audit_list_is_one_s_own_and_the_owner_sees_no_names_of_players(
    people: dict[str, Account],
) -> None:
    player = Player.objects.create(coach=people["alice"], name="Robin Example", hand="left")
    logged_in("alice").get(f"/players/{player.pk}/")
    for n in range(120):
        AuditEntry.objects.create(account=people["alice"], player=player, action=f"step {n % 3}")
    page = logged_in("olga").get("/audit/").content.decode()
    assert "Robin Example" not in page
    assert f"#{player.pk}" in page
    assert "Page 1 of 2" in page
    own = logged_in("alice")
    assert "Robin Example" in own.get("/audit/").content.decode()
    some = own.get("/audit/", {"action": "step 1", "days": "7", "player": str(player.pk)}).content.decode()
    assert len(re.findall(r"What[^>]*>step 1", some)) == 40
    assert not re.search(r"What[^>]*>step 2", some)
    other = (
        logged_in("bob")
        .get("/audit/", {"player": str(player.pk), "page": "-3", "days": "x"})
        .content.decode()
    )
    assert not re.search(r"What[^>]*>step", other)
    assert (
        own.get("/audit/", {"page": "999", "action": "' OR 1=1 --", "account": "9" * 30}).status_code == 200
    )


def test_the_player_s_page_leads_its_own_coach_to_sharing(people: dict[str, Account]) -> None:
    player = Player.objects.create(coach=people["alice"], name="Robin Example", hand="left")
    accounts.share(people["alice"], player, "bob", may_change=True)
    link = f"/players/{player.pk}/share/"
    assert link in logged_in("alice").get(f"/players/{player.pk}/").content.decode()
    assert link not in logged_in("bob").get(f"/players/{player.pk}/").content.decode()


def test_who_may_only_look_cannot_share_and_the_workshop_is_no_colleague(people: dict[str, Account]) -> None:
    player = Player.objects.create(coach=people["alice"], name="Robin Example", hand="left")
    with pytest.raises(InputError, match="No colleague"):
        accounts.share(people["alice"], player, "wim", may_change=False)
    accounts.share(people["alice"], player, "bob", may_change=True)
    bob = logged_in("bob")
    assert bob.get(f"/players/{player.pk}/edit/").status_code == 200
    assert bob.get(f"/players/{player.pk}/share/").status_code == 404
    assert bob.post(f"/players/{player.pk}/share/", {"name": "olga"}).status_code == 404


def test_the_shop_s_pages_are_not_there_without_a_shop(client: Client, db: None) -> None:
    for path in ("/login/", "/first/", "/join/x/", "/accounts/", "/sessions/", "/players/1/share/"):
        assert client.get(path).status_code == 404, path


def test_what_has_expired_is_swept(people: dict[str, Account]) -> None:
    logged_in("alice")
    Session.objects.update(expire_date=timezone.now() - timedelta(days=1))
    logged_in("bob")
    sessions.sweep()
    assert Session.objects.count() == 1
