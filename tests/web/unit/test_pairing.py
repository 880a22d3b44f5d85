"""Pairing: one code for one device, five tries at most, one visit, and nothing else on the second listener."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from asgiref.sync import async_to_sync
from django.db import connection
from django.test import AsyncClient, Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone
from pytest_django import Settings

from bagwright.bay import pairing, visits
from bagwright.bay.accounts import hash_of
from bagwright.errors import InputError
from bagwright.store.models import Account, AuditEntry, Club, PairedDevice, PairingOffer, ShotRecord, Visit
from bagwright.web.middleware.paired import COOKIE, FOR_BAY, FOR_PLAYER

HOST, PORT = "192.0.2.20", 8490


class Second(AsyncClient):
    """A browser on the second listener: another machine's address, the name that the door was opened on."""

    def __init__(
        self, host: str = f"{HOST}:{PORT}", more: dict[bytes, bytes] | None = None, **rest: Any
    ) -> None:
        super().__init__(**rest)
        self.host = host
        self.more = list((more or {}).items())

    def _base_scope(self, **request: Any) -> dict[str, Any]:
        scope: dict[str, Any] = super()._base_scope(**request)  # type: ignore[misc]
        kept = [(name, value) for name, value in scope["headers"] if name != b"host"]
        scope["headers"] = [(b"host", self.host.encode()), *kept, *self.more]
        here = {"server": (HOST, PORT), "client": ("192.0.2.77", 50_000)}
        return {**scope, **here, "bagwright_paired": True, "bagwright_host": HOST}


def second(**rest: Any) -> Second:
    return Second(**rest)


def ask(client: AsyncClient, path: str, method: str = "get", **more: Any) -> Any:
    return async_to_sync(getattr(client, method))(path, **more)


def device_on(account: Account, visit: Visit, screen: str) -> tuple[AsyncClient, PairedDevice]:
    device, key = pairing.redeem(pairing.offer(account, visit, screen), "a tablet")
    client = second()
    client.cookies[COOKIE] = key
    return client, device


def routes(found: list[URLPattern | URLResolver]) -> list[URLPattern]:
    flat: list[URLPattern] = []
    for one in found:
        flat += [one] if isinstance(one, URLPattern) else routes(one.url_patterns)
    return flat


def test_a_code_is_kept_as_a_hash_and_works_once(account: Account, visit: Visit) -> None:
    code = pairing.offer(account, visit, "bay")
    assert len(code) == 8
    assert code not in repr(list(PairingOffer.objects.values()))
    device, key = pairing.redeem(f" {code[:4]} {code[4:]} ", "a tablet")
    assert (device.visit_id, device.screen, device.key_hash) == (visit.pk, "bay", hash_of(key))
    with pytest.raises(InputError, match="No code is waiting"):
        pairing.redeem(code, "another tablet")
    assert AuditEntry.objects.filter(action="device paired", player=visit.player).count() == 1


def test_a_code_ends_after_ten_minutes_and_with_the_next_one(account: Account, visit: Visit) -> None:
    first = pairing.offer(account, visit, "bay")
    later = pairing.offer(account, visit, "player")
    with pytest.raises(InputError, match="This is not the code"):
        pairing.redeem(first, "tablet") if first != later else pytest.skip("one in a hundred million")
    PairingOffer.objects.update(expires_at=timezone.now() - timedelta(seconds=1))
    with pytest.raises(InputError, match="No code is waiting"):
        pairing.redeem(later, "tablet")


def test_the_fifth_wrong_code_ends_the_right_one_too(account: Account, visit: Visit) -> None:
    code = pairing.offer(account, visit, "bay")
    wrong = f"{(int(code) + 1) % 10**8:08d}"
    for left in (4, 3, 2, 1):
        with pytest.raises(InputError, match="not the code") as told:
            pairing.redeem(wrong, "tablet")
        assert str(left) in told.value.next_step
    with pytest.raises(pairing.ClosedError):
        pairing.redeem(wrong, "tablet")
    with pytest.raises(InputError):
        pairing.redeem(code, "tablet")
    assert not PairedDevice.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_tries_at_the_same_moment_are_five_together(
    account: Account, visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Twenty at once look at the code five times, not twenty: the try is counted first."""
    pairing.offer(account, visit, "bay")
    looked, together = [], threading.Barrier(20)

    def look(given: str, kept: str) -> bool:
        looked.append(given)
        return False

    monkeypatch.setattr(pairing, "check_password", look)

    def try_one(n: int) -> None:
        together.wait()
        try:
            pairing.redeem(f"{n:08d}", "tablet")
        except InputError:
            pass
        finally:
            connection.close()

    threads = [threading.Thread(target=try_one, args=(n,)) for n in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert 1 <= len(looked) <= 5


def test_a_device_ends_with_its_time_its_visit_and_its_revocation(account: Account, visit: Visit) -> None:
    client, device = device_on(account, visit, "bay")
    page = f"/visits/{visit.pk}/bay/"
    assert ask(client, page).status_code == 200
    visits.finish(account, visit)
    assert ask(client, page).status_code == 404
    with pytest.raises(InputError, match="finished"):
        pairing.offer(account, visit, "bay")
    visits.finish(account, visit, again=True)
    assert ask(client, page).status_code == 200
    PairedDevice.objects.filter(pk=device.pk).update(expires_at=timezone.now())
    assert ask(client, page).status_code == 404
    client, device = device_on(account, visit, "bay")
    assert ask(client, page).status_code == 200
    pairing.revoke(account, visit, device.pk)
    assert ask(client, page).status_code == 404


@pytest.mark.parametrize(("screen", "allowed"), [("bay", FOR_BAY | {"entry-form"}), ("player", FOR_PLAYER)])
def test_a_device_has_its_pages_and_no_other_address_answers(
    account: Account, visit: Visit, candidates: list[Club], add_shots: Callable[..., list[ShotRecord]],
    screen: str, allowed: frozenset[str],
) -> None:  # fmt: skip
    """Every route of the app, walked: what is not allowed by name is not there, by any method."""
    shot = add_shots(visit, candidates[0], 3, 90.0)[0]
    client, _device = device_on(account, visit, screen)
    for route in routes(get_resolver().url_patterns):
        if route.name in ("pair", "live"):
            continue
        values = dict.fromkeys(route.pattern.converters, 1) | {"visit_id": visit.pk, "shot_id": shot.pk}
        given = {name: values[name] if name != "token" else "x" for name in route.pattern.converters}
        names = [str(route.name), f"api:{route.name}"]
        path = next(found for name in names if (found := _address(name, given)))
        for method in ("get", "post", "put", "delete"):
            status = ask(client, path, method).status_code
            if route.name in allowed and (route.name != "entry-form" or method == "get"):
                assert status != 404, (method, path)
                assert status < 500, (method, path)
            else:
                assert status == 404, (method, path)
            assert ask(second(), path, method).status_code == 404, (method, path)


def _address(name: str, given: dict[str, Any]) -> str:
    from django.urls import NoReverseMatch

    try:
        return reverse(name, kwargs=given)
    except NoReverseMatch:
        return ""


def test_a_device_sees_no_other_visit_and_no_other_shot(
    account: Account, visit: Visit, candidates: list[Club], add_shots: Callable[..., list[ShotRecord]]
) -> None:
    other = Visit.objects.create(player=visit.player, coach=account, started_at=timezone.now())
    shot = add_shots(other, candidates[0], 1, 90.0)[0]
    client, _device = device_on(account, visit, "bay")
    for path in (f"/visits/{other.pk}/bay/", f"/visits/{other.pk}/revision/", f"/shots/{shot.pk}/"):
        assert ask(client, path).status_code == 404, path
    assert ask(client, f"/shots/{shot.pk}/remove/", "post").status_code == 404
    assert ask(client, f"/visits/{other.pk}/shots/", "post", data={"line": "90 2R 77"}).status_code == 404
    shot.refresh_from_db()
    assert shot.undone_at is None


def test_a_player_s_screen_changes_nothing(account: Account, visit: Visit, candidates: list[Club]) -> None:
    client, _device = device_on(account, visit, "player")
    sent = {"line": "90 2R 77", "club": candidates[0].pk, "key": "screen-0001"}
    assert ask(client, f"/visits/{visit.pk}/shots/", "post", data=sent).status_code == 404
    assert ask(client, f"/visits/{visit.pk}/screen/", "post").status_code == 405
    assert not visit.shots.exists()


def test_a_device_s_ball_is_stored_as_nobody_s(
    account: Account, visit: Visit, candidates: list[Club]
) -> None:
    client, _device = device_on(account, visit, "bay")
    sent = {"line": "90 2R 77", "club": str(candidates[0].pk), "swing": "stock", "key": "tablet-0001"}
    assert ask(client, f"/visits/{visit.pk}/shots/", "post", data=sent).status_code == 302
    assert visit.shots.count() == 1
    page = ask(client, f"/visits/{visit.pk}/bay/").content.decode()
    assert "/settings/" not in page
    assert "/players/" not in page


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        HOST,
        f"{HOST}:80",
        f"evil.example:{PORT}",
        f"{HOST}:{PORT}.evil.example",
        "127.0.0.1",
        "",
    ],
)
def test_the_second_listener_knows_one_name(db: None, host: str) -> None:
    assert ask(second(host=host), "/pair/").status_code == 400


def test_the_second_listener_s_name_opens_nothing_on_the_main_one(db: None) -> None:
    assert ask(second(), "/pair/").status_code == 200
    assert Client().get("/players/", headers={"Host": f"{HOST}:{PORT}"}).status_code == 400
    assert Client().get("/pair/").status_code == 404


@pytest.mark.parametrize(
    "name", [b"x-forwarded-for", b"forwarded", b"via", b"x-real-ip", b"x-forwarded-host"]
)
def test_nothing_forwarded_is_answered_there(db: None, name: bytes) -> None:
    assert ask(second(more={name: b"127.0.0.1"}), "/pair/").status_code == 400


def test_the_device_s_form_needs_its_token(account: Account, visit: Visit) -> None:
    code = pairing.offer(account, visit, "bay")
    checked = second(enforce_csrf_checks=True)
    assert ask(checked, "/pair/", "post", data={"code": code}).status_code == 403
    assert not PairedDevice.objects.exists()


def test_the_key_is_a_cookie_that_scripts_and_other_sites_do_not_get(account: Account, visit: Visit) -> None:
    code = pairing.offer(account, visit, "bay")
    answer = ask(second(), "/pair/", "post", data={"code": code})
    cookie = answer.cookies[COOKIE]
    assert answer["Location"] == f"/visits/{visit.pk}/bay/"
    assert (cookie["httponly"], cookie["samesite"], cookie["max-age"]) == (True, "Strict", 12 * 3600)
    assert cookie.value not in repr(list(PairedDevice.objects.values()))


def test_a_wrong_code_is_said_with_what_is_left(account: Account, visit: Visit) -> None:
    code = pairing.offer(account, visit, "bay")
    answer = ask(second(), "/pair/", "post", data={"code": f"{(int(code) + 1) % 10**8:08d}"})
    assert answer.status_code == 422
    assert "4 tries are left" in answer.content.decode()
    assert "not encrypted" in answer.content.decode()


def test_without_its_own_server_pairing_says_so(client: Client, visit: Visit) -> None:
    answer = client.post(f"/visits/{visit.pk}/pair/", {"typed": "192.0.2.20", "screen": "bay"})
    assert answer.status_code == 422
    assert "bagwright serve" in answer.content.decode()
    assert not PairingOffer.objects.exists()


@pytest.mark.parametrize(
    "typed", ["", "home", ".".join("0000"), "::", "224.0.0.1", "1.2.3", "١٩٢.0.2.1", "127.0.0.1; id"]
)
def test_what_is_no_address_is_refused_beside_the_field(client: Client, visit: Visit, typed: str) -> None:
    answer = client.post(f"/visits/{visit.pk}/pair/", {"typed": typed, "screen": "bay"})
    assert answer.status_code == 422
    assert 'role="alert"' in answer.content.decode()


def test_the_page_says_what_an_open_link_means_and_how_pairing_stands(
    client: Client, account: Account, visit: Visit
) -> None:
    page = client.get(f"/visits/{visit.pk}/pair/").content.decode()
    assert "not encrypted (http)" in page
    assert "the door is closed" in page
    _client, device = device_on(account, visit, "bay")
    part = client.get(f"/visits/{visit.pk}/pair/", headers={"HX-Request": "true"}).content.decode()
    assert "a tablet" in part
    assert "<h1>" not in part
    client.post(f"/visits/{visit.pk}/pair/", {"revoke": str(device.pk)})
    device.refresh_from_db()
    assert device.revoked_at is not None


def test_another_visit_s_device_is_not_cut_off_from_here(
    account: Account, client: Client, visit: Visit
) -> None:
    _client, device = device_on(account, visit, "bay")
    other = Visit.objects.create(player=visit.player, coach=account, started_at=timezone.now())
    client.post(f"/visits/{other.pk}/pair/", {"revoke": str(device.pk)})
    device.refresh_from_db()
    assert device.revoked_at is None


def test_in_a_shop_a_tablet_logs_in_instead(
    settings: Settings, client: Client, account: Account, visit: Visit
) -> None:
    settings.SHOP = True
    client.force_login(account)
    assert client.get(f"/visits/{visit.pk}/pair/").status_code == 404
