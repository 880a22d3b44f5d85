"""Bodies that are too long or too slow never reach the application; only a named proxy speaks for others."""

from __future__ import annotations

import asyncio
from collections.abc import Iterable
from typing import Any

import pytest
from django.test import Client, RequestFactory
from pytest_django import Settings

from bagwright.web.doorstep import Doorstep
from bagwright.web.middleware import guard
from bagwright.web.middleware.proxy import address_of, believe

MOST = 1000


def answer_of(
    pieces: Iterable[bytes], *, said: bytes | None = None, pause_s: float = 0.0, **limits: float
) -> tuple[int, int]:
    """Send a body in pieces; returns the status and how many bytes the application was given."""
    given = 0

    async def application(scope: Any, receive: Any, send: Any) -> None:
        nonlocal given
        while True:
            message = await receive()
            given += len(message.get("body", b""))
            if not message.get("more_body"):
                break
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b"ok"})

    waiting = [{"type": "http.request", "body": piece, "more_body": True} for piece in pieces]
    waiting.append({"type": "http.request", "body": b"", "more_body": False})
    statuses: list[int] = []

    async def receive() -> Any:
        await asyncio.sleep(pause_s)
        return waiting.pop(0)

    async def send(message: Any) -> None:
        if message["type"] == "http.response.start":
            statuses.append(message["status"])

    headers = [] if said is None else [(b"Content-Length", said)]
    door = Doorstep(application, lambda path: MOST, **limits)
    asyncio.run(door({"type": "http", "path": "/", "headers": headers}, receive, send))
    assert len(statuses) == 1
    return statuses[0], given


@pytest.mark.parametrize(
    ("pieces", "said", "status"),
    [
        ([b"x" * MOST], b"1000", 200),
        ([b"x" * MOST], None, 200),
        ([b"x"] * MOST, None, 200),
        ([], b"1001", 413),
        ([], b"9" * 400, 413),
        ([], b"-1", 400),
        ([], b"1e3", 400),
        ([], "١".encode(), 400),
        ([b"x" * MOST, b"x"], None, 413),
        ([b"x" * (MOST + 1)], b"1", 413),
    ],
)
def test_a_body_is_measured_by_what_it_says_and_by_what_comes(
    pieces: list[bytes], said: bytes | None, status: int
) -> None:
    answered, given = answer_of(pieces, said=said)
    assert answered == status
    assert given <= MOST


def test_a_held_line_is_let_go() -> None:
    assert answer_of([b"x"] * 3, pause_s=0.2, piece_within_s=0.05)[0] == 408
    assert answer_of([b"x"] * 50, pause_s=0.02, piece_within_s=5.0, body_within_s=0.2)[0] == 408
    assert answer_of([b"x"] * 3, pause_s=0.01, piece_within_s=5.0)[0] == 200


def test_after_the_body_the_line_may_be_quiet_for_long() -> None:
    """A stream of events waits for the end of its connection: that wait has no limit."""
    waited: list[Any] = []

    async def application(scope: Any, receive: Any, send: Any) -> None:
        await receive()
        waited.append(await receive())

    steps = [(0.0, {"type": "http.request", "more_body": False}), (0.2, {"type": "http.disconnect"})]

    async def receive() -> Any:
        pause, message = steps.pop(0)
        await asyncio.sleep(pause)
        return message

    door = Doorstep(application, lambda path: MOST, piece_within_s=0.05, body_within_s=0.05)
    asyncio.run(door({"type": "http", "path": "/", "headers": []}, receive, receive))
    assert waited == [{"type": "http.disconnect"}]


def test_tables_may_be_longer_than_forms() -> None:
    assert guard.most_bytes("/visits/1/table/") == 64 * 2**20
    assert guard.most_bytes("/login/") == guard.most_bytes("/settings/") == 4 * 2**20


PROXY = "192.0.2.1"


@pytest.mark.parametrize(
    ("proxy", "asker", "forwarded", "seen", "https"),
    [
        ("", "198.51.100.7", "203.0.113.9", "198.51.100.7", False),
        ("", PROXY, "203.0.113.9", PROXY, False),
        (PROXY, "198.51.100.7", "203.0.113.9", "198.51.100.7", False),
        (PROXY, PROXY, "203.0.113.9", "203.0.113.9", True),
        (PROXY, PROXY, "127.0.0.1, 203.0.113.9", "203.0.113.9", True),
        (PROXY, PROXY, "2001:db8::9", "2001:db8::9", True),
        (PROXY, PROXY, "evil\nINJECTED", PROXY, True),
        (PROXY, PROXY, "", PROXY, True),
    ],
)
def test_only_the_named_proxy_speaks_for_others(
    settings: Settings, proxy: str, asker: str, forwarded: str, seen: str, https: bool
) -> None:
    settings.TRUSTED_PROXY = proxy
    if proxy:
        settings.SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    headers = {"REMOTE_ADDR": asker, "HTTP_X_FORWARDED_FOR": forwarded, "HTTP_X_FORWARDED_PROTO": "https"}
    request = RequestFactory().get("/", **headers)  # type: ignore[arg-type]
    believe(request)
    assert address_of(request) == seen
    assert request.is_secure() is https


@pytest.mark.parametrize(
    "name", ["X-Forwarded-For", "X-Forwarded-Host", "X-Forwarded-Proto", "Forwarded", "Via", "X-Real-Ip"]
)
def test_without_accounts_nothing_forwarded_is_answered(db: None, client: Client, name: str) -> None:
    assert client.get("/players/", headers={name: "127.0.0.1"}).status_code == 400
    assert client.get("/players/").status_code == 200


@pytest.mark.parametrize(
    "address", ["192.0.2.7", "10.0.0.1", "2001:db8::1", "", "::ffff:192.0.2.7", "localhost"]
)
def test_without_accounts_only_this_machine_is_answered(db: None, client: Client, address: str) -> None:
    assert client.get("/players/", REMOTE_ADDR=address).status_code == 403


@pytest.mark.parametrize("address", ["127.0.0.1", "127.8.9.1", "::1", "::ffff:127.0.0.1"])
def test_every_way_to_say_this_machine_is_known(db: None, client: Client, address: str) -> None:
    assert client.get("/players/", REMOTE_ADDR=address).status_code == 200


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_another_site_cannot_send_forms(db: None, client: Client, site: str) -> None:
    for path in ("/settings/", "/logout/", "/players/new/"):
        assert client.post(path, headers={"Sec-Fetch-Site": site}).status_code == 403
