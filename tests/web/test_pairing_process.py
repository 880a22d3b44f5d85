"""Pairing on a running server: two listeners, one code, one device, nothing else there."""

from __future__ import annotations

import http.cookiejar
import re
import time
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from tests.web.browser import Served, served


@dataclass
class Device:
    """A browser without a window: cookies, forms with their token, no redirects followed by force."""

    home: str
    jar: http.cookiejar.CookieJar = field(default_factory=http.cookiejar.CookieJar)

    def __post_init__(self) -> None:
        self.opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(self.jar))

    def get(self, path: str, **headers: str) -> tuple[int, str]:
        return self._open(urllib.request.Request(self.home + path, headers=headers))

    def post(self, path: str, values: dict[str, str], form: str = "") -> tuple[int, str]:
        page = self.get(form or path)[1]
        token = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', page)
        data = urllib.parse.urlencode({**values, "csrfmiddlewaretoken": token[1] if token else ""}).encode()
        headers = {"Referer": self.home + path, "Origin": self.home, "Sec-Fetch-Site": "same-origin"}
        return self._open(urllib.request.Request(self.home + path, data=data, headers=headers))

    def _open(self, request: urllib.request.Request) -> tuple[int, str]:
        try:
            with self.opener.open(request, timeout=20) as answer:
                return answer.status, answer.read().decode()
        except urllib.error.HTTPError as error:
            with error:
                return error.code, error.read().decode()


@pytest.fixture
def running(tmp_path: Path) -> Iterator[Served]:
    with served(tmp_path, "demo", "--no-pick", "--out", str(tmp_path / "demo")) as one:
        yield one


def offered(desk: Device, visit: int, screen: str) -> tuple[str, str]:
    """Ask for a code on loopback's second address; returns the device's address and the code."""
    status, page = desk.post(f"/visits/{visit}/pair/", {"typed": "127.0.0.2", "screen": screen})
    assert status == 200, page
    address = re.search(r"http://127\.0\.0\.2:\d+", page)
    code = re.search(r'id="code">(\d{4}) (\d{4})<', page)
    assert address is not None
    assert code is not None
    assert "not encrypted" in page
    return address[0], code[1] + code[2]


def test_a_tablet_joins_and_sees_one_visit_only(running: Served) -> None:
    desk = Device(running.address)
    visit = running.visit
    home, code = offered(desk, visit, "bay")
    tablet = Device(home)
    assert tablet.get(f"/visits/{visit}/bay/")[0] == 404
    assert tablet.get("/players/")[0] == 404
    status, page = tablet.post("/pair/", {"code": code})
    assert status == 200, page
    assert 'id="entry"' in page
    assert "Jory" not in page, "the player's name is not shown on a paired screen"
    others = (
        "/players/",
        "/players/1/",
        f"/visits/{visit}/decide/",
        "/settings/",
        "/api/visits",
        "/healthy/",
    )
    for path in (*others, f"/visits/{visit}/pair/", f"/visits/{visit - 1}/bay/", "/due/"):
        assert tablet.get(path)[0] == 404, path
    assert tablet.get(f"/visits/{visit}/board/", **{"HX-Request": "true"})[0] == 200
    club = re.search(r'data-club="(\d+)" aria-pressed', page)
    assert club is not None
    line = {"line": "90 2R 77", "club": club[1], "swing": "stock", "key": "tablet-0001"}
    status, page = tablet.post(f"/visits/{visit}/shots/", line, form=f"/visits/{visit}/bay/")
    assert status == 200
    assert "2\u00a0right" in page
    again = Device(home)
    assert again.post("/pair/", {"code": code})[0] == 422, "one code is for one device"
    device = re.search(r'name="revoke" value="(\d+)"', desk.get(f"/visits/{visit}/pair/")[1])
    assert device is not None
    desk.post(f"/visits/{visit}/pair/", {"revoke": device[1]})
    assert tablet.get(f"/visits/{visit}/bay/")[0] == 404


def test_a_paired_screen_is_told_of_changes_until_it_is_cut_off(running: Served) -> None:
    """The stream lives longer than the request that opened the listener, and ends with the device."""
    desk = Device(running.address)
    visit = running.visit
    home, code = offered(desk, visit, "player")
    screen = Device(home)
    screen.post("/pair/", {"code": code})
    with screen.opener.open(f"{home}/visits/{visit}/live/", timeout=20) as stream:
        assert stream.readline() == b"retry: 2000\n"
        club = re.search(r'data-club="(\d+)" aria-pressed', desk.get(f"/visits/{visit}/bay/")[1])
        assert club is not None
        line = {"line": "90 2R 77", "club": club[1], "swing": "stock", "key": "desk-0001"}
        time.sleep(2.5)  # past the first look at whether the device is still paired
        desk.post(f"/visits/{visit}/shots/", line, form=f"/visits/{visit}/bay/")
        assert any(stream.readline() == b"event: changed\n" for _ in range(20))
        device = re.search(r'name="revoke" value="(\d+)"', desk.get(f"/visits/{visit}/pair/")[1])
        assert device is not None
        desk.post(f"/visits/{visit}/pair/", {"revoke": device[1]})
        started = time.monotonic()
        while stream.readline():
            assert time.monotonic() - started < 10.0


def test_a_door_that_opens_again_is_where_it_was(running: Served) -> None:
    """A paired tablet keeps its page, and what waits in it to be sent, when the door was closed meanwhile."""
    desk = Device(running.address)
    visit = running.visit
    home, code = offered(desk, visit, "bay")
    tablet = Device(home)
    assert tablet.post("/pair/", {"code": code})[0] == 200
    desk.post(f"/visits/{visit}/pair/", {"close": "1"})
    assert not answers_still(tablet)
    assert offered(desk, visit, "player")[0] == home
    assert tablet.get(f"/visits/{visit}/bay/")[0] == 200


def test_an_address_of_another_machine_is_said_and_the_page_stays(running: Served) -> None:
    desk = Device(running.address)
    sent = {"typed": "192.0.2.201", "screen": "bay"}
    status, page = desk.post(f"/visits/{running.visit}/pair/", sent)
    assert status == 422
    assert "192.0.2.201 cannot be listened on" in page
    assert 'value="192.0.2.201"' in page


def test_the_player_s_screen_can_enter_nothing(running: Served) -> None:
    desk = Device(running.address)
    home, code = offered(desk, running.visit, "player")
    screen = Device(home)
    assert screen.post("/pair/", {"code": code})[0] == 200
    assert screen.get(f"/visits/{running.visit}/screen/")[0] == 200
    assert screen.get(f"/visits/{running.visit}/bay/")[0] == 404
    assert screen.get(f"/visits/{running.visit}/board/")[0] == 404


def answers_still(device: Device) -> bool:
    try:
        device.get("/pair/")
    except (urllib.error.URLError, ConnectionError):
        return False
    return True


def test_five_wrong_codes_close_the_door(running: Served) -> None:
    desk = Device(running.address)
    home, code = offered(desk, running.visit, "bay")
    stranger = Device(home)
    wrong = f"{(int(code) + 1) % 10**8:08d}"
    answers = [stranger.post("/pair/", {"code": wrong})[0] for _ in range(5)]
    assert answers == [422, 422, 422, 422, 403]
    for _ in range(100):
        if not answers_still(stranger):
            break
        time.sleep(0.05)
    assert not answers_still(stranger)
    assert desk.get(f"/visits/{running.visit}/bay/")[0] == 200


def test_another_name_for_the_address_is_refused(running: Served) -> None:
    desk = Device(running.address)
    home, _code = offered(desk, running.visit, "bay")
    assert Device(home).get("/pair/", Host="evil.example")[0] == 400
    assert Device(running.address).get("/pair/")[0] == 404
    assert desk.post(f"/visits/{running.visit}/pair/", {"typed": "224.0.0.1", "screen": "bay"})[0] == 422
