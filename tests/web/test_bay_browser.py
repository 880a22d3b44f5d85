"""The bay without a link, after an ended log-in, and under one thumb: a real browser, a real server that stops."""

from __future__ import annotations

import os
import re
import shutil
import signal
import socket
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, Route, expect

from tests.web.browser import DESK, PHONE, START_S, Served, Watched, too_wide, violations

pytestmark = pytest.mark.browser
Look = Callable[..., Watched]
LINE = re.compile("^One line")
GONE = ["net::ERR_", "Failed to load resource", "Failed to fetch", "htmx:"]
"""What a browser says of a server that is not there."""


@dataclass
class Stopping:
    """The demo's data on one port, by a server that can be stopped and started."""

    folder: Path
    port: int
    process: subprocess.Popen[str] | None = None
    said: list[str] = field(default_factory=list)
    visit: int = 0

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self, *words: str) -> None:
        command = [sys.executable, "-m", "bagwright", *words, "--no-browser", "--port", str(self.port)]
        own = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
        with (self.folder / "stderr.txt").open("a") as errors:
            self.process = subprocess.Popen(
                command, stdout=subprocess.PIPE, stderr=errors, text=True,
                env={**own, "BAGWRIGHT_DATA": str(self.folder / "demo" / "app"), "TZ": "UTC"},
            )  # fmt: skip
        watch = threading.Timer(START_S, self.process.kill)
        watch.start()
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.said.append(line)
            if line.startswith("Listening on "):
                break
        watch.cancel()
        assert self.said[-1].startswith("Listening on "), self.said

    def stop(self) -> None:
        if self.process is not None:
            assert self.process.stdout is not None
            self.process.kill()
            self.process.wait(timeout=8)
            self.process.stdout.close()
            self.process = None

    def hold(self, still: bool) -> None:
        """Let the program fall silent, as a radio link does that fades: nothing breaks, nothing comes."""
        assert self.process is not None
        self.process.send_signal(signal.SIGSTOP if still else signal.SIGCONT)

    def base(self, mode: str) -> sqlite3.Connection:
        path = next((self.folder / "demo" / "app").glob("*.sqlite3"))
        return sqlite3.connect(f"file:{path}?mode={mode}", uri=True)

    def begin_again(self, visit: int) -> None:
        """Make a finished visit one in hand."""
        with closing(self.base("rw")) as base, base:
            base.execute("UPDATE store_visit SET finished_at = NULL WHERE id = ?", (visit,))

    def balls(self) -> list[tuple[int, int]]:
        """Number and carry in whole yards of every ball of the visit, in order of arrival."""
        with closing(self.base("ro")) as base:
            rows = base.execute(
                "SELECT number, carry_m FROM store_shotrecord WHERE visit_id = ? ORDER BY id", (self.visit,)
            ).fetchall()
        return [(number, round((carry or 0.0) / 0.9144)) for number, carry in rows]


@pytest.fixture(scope="module")
def seeded(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, int]:
    """The demo's data, made once, and its visit."""
    folder = tmp_path_factory.mktemp("seeded")
    one = Stopping(folder, free_port())
    one.start("demo", "--no-pick", "--out", str(folder / "demo"))
    one.stop()
    path = re.search(r"/visits/(\d+)/", one.said[-1])
    assert path is not None
    return folder / "demo", int(path[1])


@pytest.fixture
def stopping(tmp_path: Path, seeded: tuple[Path, int]) -> Iterator[Stopping]:
    shutil.copytree(seeded[0], tmp_path / "demo")
    one = Stopping(tmp_path, free_port(), visit=seeded[1])
    try:
        yield one
    finally:
        one.stop()


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def until(page: Page, question: str, wanted: object, seconds: float = 10.0) -> None:
    """Ask the page until it answers as wanted: what a worker does is no event of the page."""
    for _ in range(int(seconds * 10)):
        if (answer := page.evaluate(question)) == wanted:
            return
        page.wait_for_timeout(100)
    assert answer == wanted


KEPT = """async () => (await (await caches.open("bagwright-bay")).keys()).map((one) => new URL(one.url).pathname)"""


def ready_to_drop(page: Page) -> None:
    """Wait until the worker keeps this page."""
    until(page, KEPT, [page.evaluate("location.pathname")])


def kept(page: Page) -> list[str]:
    """Paths of the pages with data that the worker keeps."""
    found: list[str] = page.evaluate(KEPT)
    return found


def enter(page: Page, line: str) -> None:
    page.get_by_label(LINE).fill(line)
    page.get_by_role("button", name="Enter", exact=True).click()


def state(page: Page) -> Any:
    return page.locator("#queue-state")


def test_the_bay_opens_and_takes_balls_while_the_program_is_stopped(stopping: Stopping, look: Look) -> None:
    """Stopped, reloaded twice, three balls, started again: exactly three more, in order."""
    stopping.start("serve")
    watched = look(stopping.address, PHONE, has_touch=True, is_mobile=True)
    watched.expected += GONE
    page = watched.page(f"/visits/{stopping.visit}/bay/")
    expect(state(page)).to_have_text("All sent")
    ready_to_drop(page)
    before = stopping.balls()
    stopping.stop()
    page.reload()
    expect(page.get_by_label(LINE)).to_be_visible()
    expect(state(page)).to_contain_text("No link since")
    expect(page.locator("#board")).to_contain_text("No link: the board comes when it is back.")
    assert violations(page) == []
    for n, line in enumerate(("91 1R 77", "92 2R 77", "93 3R 77"), start=1):
        enter(page, line)
        expect(state(page)).to_contain_text(f"{n} ball")
    page.get_by_role("link", name="Order", exact=True).click()
    expect(page.get_by_text("That page needs the link")).to_be_visible()
    assert page.url == f"{stopping.address}/visits/{stopping.visit}/bay/"
    assert violations(page) == []
    page.reload()
    expect(page.get_by_text("That page needs the link")).to_have_count(0)
    expect(state(page)).to_have_text("No link: 3 balls are kept here")
    assert stopping.balls() == before
    stopping.start("serve")
    expect(state(page)).to_have_text("All sent", timeout=45_000)
    last = before[-1][0]
    assert stopping.balls() == [*before, (last + 1, 91), (last + 2, 92), (last + 3, 93)]
    expect(page.locator(f"ol.shots li[value='{last + 3}']")).to_contain_text("93")
    expect(page.locator("#board .headline")).to_be_visible()
    assert page.locator("#trouble").inner_text() == ""


def test_only_the_bay_in_hand_is_kept(stopping: Stopping, look: Look) -> None:
    """Another visit's bay takes its place; a finished one, and every other page, leaves nothing behind.

    What is older than a day is not opened.
    """
    stopping.start("serve")
    watched = look(stopping.address, DESK)
    watched.expected += GONE
    page = watched.page(f"/visits/{stopping.visit}/bay/")
    ready_to_drop(page)
    for path in (f"/visits/{stopping.visit}/plan/", "/players/", f"/visits/{stopping.visit}/screen/"):
        page.goto(stopping.address + path)
        assert kept(page) == [f"/visits/{stopping.visit}/bay/"], path
    earlier = stopping.visit - 1
    page.goto(f"{stopping.address}/visits/{earlier}/bay/")
    until(page, KEPT, [], seconds=4.0)
    stopping.begin_again(earlier)
    page.goto(f"{stopping.address}/visits/{stopping.visit}/bay/")
    ready_to_drop(page)
    page.goto(f"{stopping.address}/visits/{earlier}/bay/")
    ready_to_drop(page)
    names = page.evaluate(
        """async () => { const found = [];
            for (const name of await caches.keys())
                for (const one of await (await caches.open(name)).keys()) found.push(new URL(one.url).pathname);
            return found; }"""
    )
    data = [path for path in names if not path.startswith("/static/")]
    assert data == [f"/visits/{earlier}/bay/"]

    page.evaluate(
        """async () => {
            const cache = await caches.open("bagwright-bay"), one = (await cache.keys())[0], old = await cache.match(one);
            const headers = new Headers(old.headers);
            headers.set("X-Kept-At", String(Date.now() - 24 * 3600 * 1000 - 1000));
            await cache.put(one, new Response(await old.blob(), { headers: headers }));
        }"""
    )
    stopping.stop()
    with pytest.raises(Exception, match="ERR_"):
        page.reload()


def test_an_ended_log_in_keeps_balls_and_says_so(stopping: Stopping, look: Look) -> None:
    """A shop: logged out in another tab, two balls are kept, the page is forgotten; after the log-in they are sent."""
    stopping.start("serve", "--shop")
    assert stopping.process is not None
    assert stopping.process.stdout is not None
    code = re.search(r"\b(\d{8})\b", stopping.process.stdout.readline())
    assert code is not None
    watched = look(stopping.address, DESK)
    watched.expected += GONE
    page = watched.page("/first/")
    page.fill("#code", code[1])
    page.fill("#name", "Olga")
    page.fill("#password", "three quiet words 7")
    page.press("#password", "Enter")
    page.wait_for_url("**/players/")
    page.goto(f"{stopping.address}/visits/{stopping.visit}/bay/")
    ready_to_drop(page)
    before = stopping.balls()
    other = watched.page("/players/")
    other.get_by_role("button", name="Log out").click()
    other.wait_for_url("**/login/**")
    # Nothing of a player stays after the log-out.
    until(other, KEPT, [])
    enter(page, "94 4R 77")
    enter(page, "95 5R 77")
    expect(state(page)).to_have_text("Log in again: 2 balls are kept")
    expect(page.locator("#queue")).to_have_attribute("data-state", "login")
    assert violations(page) == []
    page.get_by_role("link", name="Log in", exact=True).click()
    page.fill("input[name=username]", "Olga")
    page.fill("input[name=password]", "three quiet words 7")
    page.press("input[name=password]", "Enter")
    page.wait_for_url("**/bay/")
    expect(state(page)).to_have_text("All sent")
    last = before[-1][0]
    assert stopping.balls() == [*before, (last + 1, 94), (last + 2, 95)]
    # A page from before the log-in goes on with the token of now.
    page.get_by_role("button", name="Undo").click()
    expect(page.locator("ol.shots li.out")).to_have_count(1)
    left_open = watched.page(f"/visits/{stopping.visit}/bay/")
    other.goto(f"{stopping.address}/players/")
    other.get_by_role("button", name="Log out").click()
    other.fill("input[name=username]", "Olga")
    other.fill("input[name=password]", "three quiet words 7")
    other.press("input[name=password]", "Enter")
    other.wait_for_url("**/players/**")
    left_open.get_by_role("button", name="Undo").click()
    expect(left_open.locator("ol.shots li.out")).to_have_count(2)


def test_a_new_release_takes_the_place_of_the_old_worker(look: Look) -> None:
    """A stub of a site with two releases of the worker: the second one's shelf replaces the first one's."""
    from bagwright.web.views import bay_worker

    release = ["one"]

    class Stub(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            script = self.path == "/worker.js"
            text = bay_worker.written(release[0], ["/static/part.css"]) if script else "<title>stub</title>"
            kind = "text/javascript" if script else "text/css" if "static" in self.path else "text/html"
            self.send_response(200)
            self.send_header("Content-Type", kind)
            self.send_header("Cache-Control", "no-store")
            self.end_headers()
            self.wfile.write(text.encode())

        def log_message(self, *words: object) -> None:
            """Quiet: the test says what went wrong."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Stub)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        page = look(f"http://127.0.0.1:{server.server_port}", DESK).page("/visits/1/bay/")
        page.evaluate("navigator.serviceWorker.register('/worker.js', {scope: '/'})")
        until(page, "caches.keys()", ["bagwright-shell-one"])
        page.evaluate(
            "caches.open('bagwright-bay').then((cache) => cache.put('/visits/1/bay/', new Response('old')))"
        )
        release[0] = "two"
        page.reload()
        page.evaluate("navigator.serviceWorker.getRegistration().then((one) => one.update())")
        until(page, "caches.keys()", ["bagwright-shell-two"])
    finally:
        server.shutdown()
        server.server_close()


def test_a_refused_line_is_mended_or_thrown_away(demo: Served, look: Look) -> None:
    """The newest stands open, older ones are counted; a line that is being mended is not lost by a reload."""
    watched = look(demo.address, PHONE, has_touch=True)
    watched.expected += ["Failed to load resource"]
    page = watched.page(f"/visits/{demo.visit}/bay/")
    before = int(page.locator("ol.shots li").first.get_attribute("value") or 0)
    for line in ("168 12 84", "169 13 85", "170 14 86"):
        enter(page, line)
        expect(page.locator("#queue-refused li")).to_contain_text(line)
    expect(page.locator("#queue-refused li")).to_have_count(1)
    expect(page.get_by_text("2 refused before it")).to_be_visible()
    expect(state(page)).to_have_text("All sent")
    page.get_by_role("button", name="Type it again").first.tap()
    page.reload()
    expect(page.locator("#queue-refused li")).to_contain_text("170 14 86")
    page.get_by_role("button", name="Type it again").first.tap()
    expect(page.get_by_label(LINE)).to_have_value("170 14 86")
    enter(page, "90 4R 78")
    expect(page.locator(f"ol.shots li[value='{before + 1}']")).to_contain_text("90")
    expect(page.locator("#queue-refused li")).to_contain_text("169 13 85")
    page.once("dialog", lambda dialog: dialog.dismiss())
    page.get_by_role("button", name="Throw it away").first.tap()
    expect(page.locator("#queue-refused li")).to_contain_text("169 13 85")
    for _ in range(2):
        page.once("dialog", lambda dialog: dialog.accept())
        page.get_by_role("button", name="Throw it away").first.tap()
        page.wait_for_timeout(200)
    expect(page.locator("#queue li")).to_have_count(0)
    assert violations(page) == []


def test_undo_means_the_ball_that_still_waits(demo: Served, look: Look) -> None:
    """Never the one before it, which is all that the program knows by then."""
    watched = look(demo.address, PHONE, has_touch=True)
    watched.expected += GONE
    page = watched.page(f"/visits/{demo.visit}/bay/")
    before = int(page.locator("ol.shots li").first.get_attribute("value") or 0)
    enter(page, "88 4R 78")
    mine = page.locator(f"ol.shots li[value='{before + 1}']")
    expect(mine).to_contain_text("88")

    def slowly(route: Route) -> None:
        time.sleep(0.5)
        route.continue_()

    page.route("**/shots/", slowly)
    enter(page, "91 2L 79")
    page.get_by_role("button", name="Undo").tap()
    expect(page.locator(f"ol.shots li[value='{before + 2}']")).to_contain_text("taken out")
    expect(mine).not_to_contain_text("taken out")
    page.unroute("**/shots/")
    page.context.set_offline(True)
    enter(page, "94 1R 80")
    expect(state(page)).to_contain_text("1 ball is kept here")
    page.once("dialog", lambda dialog: dialog.accept())
    page.get_by_role("button", name="Undo").tap()
    expect(page.locator("#queue li")).to_have_count(0)
    page.context.set_offline(False)
    expect(state(page)).to_have_text("All sent")
    expect(mine).not_to_contain_text("taken out")
    expect(page.locator(f"ol.shots li[value='{before + 3}']")).to_have_count(0)
    assert violations(page) == []


@pytest.mark.parametrize("hand", ["right", "left"])
def test_all_of_the_pad_lies_under_one_thumb(demo: Served, look: Look, hand: str) -> None:
    """At 390x844 with Enter at the lower edge every key is in sight and 44 px or more; mirrored it is the same."""
    page = look(demo.address, PHONE, has_touch=True, is_mobile=True).page(f"/visits/{demo.visit}/bay/")
    if hand == "left":
        page.get_by_text("More figures and words").tap()
        page.get_by_role("button", name="Pad for the left hand").tap()
        page.reload()
    page.locator("#enter").evaluate("one => one.scrollIntoView({ block: 'end' })")
    boxes = page.locator(".pad button, .marks button, #enter").evaluate_all(
        "all => all.map((one) => { const b = one.getBoundingClientRect(); return [one.textContent, b.left, b.top, b.width, b.height]; })"
    )
    assert len(boxes) == 3 + 24 + 16 + 8 + 1
    assert [text for text, *_ in boxes if _[1] < 0 or _[1] + _[3] > PHONE[1] + 1] == []
    assert [text for text, *_ in boxes if _[2] < 44 or _[3] < 44] == []
    place = {text: left for text, left, *_ in boxes}
    beside, digit = place["Go on"], place["7"]
    assert (beside > digit) == (hand == "right")
    assert place["7"] < place["9"], "figures stand in their usual order for either hand"
    assert not too_wide(page)
    assert violations(page) == []


TAPS = [
    (["91", "6R", "thin", "Enter"], "91 6R thin"),
    (["91", "6R", "Enter"], "91 6R"),
    (["91", "Enter"], "91"),
]


@pytest.mark.parametrize(("taps", "line"), TAPS)
def test_a_ball_is_four_taps_at_most(demo: Served, look: Look, taps: list[str], line: str) -> None:
    page = look(demo.address, PHONE, has_touch=True, is_mobile=True).page(f"/visits/{demo.visit}/bay/")
    before = int(page.locator("ol.shots li").first.get_attribute("value") or 0)
    page.evaluate("document.addEventListener('click', () => { window.taps = (window.taps || 0) + 1; }, true)")
    for text in taps[:-1]:
        page.locator("#entry").get_by_role("button", name=text, exact=True).tap()
    expect(page.get_by_label(LINE)).to_have_value(line)
    page.get_by_role("button", name="Enter", exact=True).tap()
    expect(page.locator(f"ol.shots li[value='{before + 1}']")).to_contain_text("91")
    assert page.evaluate("window.taps") == len(taps) <= 4, "counted by the page"


def press(page: Page, *names: str) -> None:
    for name in names:
        page.get_by_role("group", name="Keypad").get_by_role("button", name=name, exact=True).tap()


def test_the_keypad_types_what_no_strip_has(demo: Served, look: Look) -> None:
    page = look(demo.address, PHONE, has_touch=True, is_mobile=True).page(f"/visits/{demo.visit}/bay/")
    line = page.get_by_label(LINE)
    press(page, "1", "0", "5", "Decimal mark", "5", "Go on", "7", "Right", "Go on", "7", "8")
    expect(line).to_have_value("105.5 7R 78")
    page.get_by_role("group", name="Which figure").get_by_role("button", name=re.compile("^Carry")).tap()
    press(page, "9", "6", "At least")
    expect(line).to_have_value(">96 7R 78")
    press(page, "Left", "4")
    expect(line).to_have_value(">96 L4 78")
    press(page, "Erase", "8", "Right")
    expect(line).to_have_value(">96 8R 78")
    # What is typed by hand is taken over: a key changes its own figure only.
    line.fill("97 3L 80 s6200")
    page.get_by_role("group", name="Which figure").get_by_role("button", name=re.compile("^Ball speed")).tap()
    press(page, "8", "1")
    expect(line).to_have_value("97 3L 81 s6200")
    page.get_by_role("group", name="Mark").get_by_role("button", name="toe").tap()
    expect(line).to_have_value("97 3L 81 s6200 toe")


def test_a_wide_table_shows_on_which_side_it_goes_on(demo: Served, look: Look) -> None:
    page = look(demo.address, PHONE, has_touch=True, is_mobile=True).page(f"/visits/{demo.visit}/distances/")
    table = page.get_by_role("region", name="Wedges by swing")
    expect(table).to_have_attribute("data-more", "end")
    table.evaluate("one => one.scrollTo(10000, 0)")
    expect(table).to_have_attribute("data-more", "start")
    page.set_viewport_size({"width": DESK[0], "height": DESK[1]})
    expect(table).not_to_have_attribute("data-more", re.compile(".*"))


def test_the_keyboard_goes_on_as_before(demo: Served, look: Look) -> None:
    page = look(demo.address, DESK).page(f"/visits/{demo.visit}/bay/")
    before = int(page.locator("ol.shots li").first.get_attribute("value") or 0)
    for n, text in enumerate(("88 7L 76", "89 5R 77 thin"), start=1):
        page.keyboard.type(text)
        page.keyboard.press("Enter")
        expect(page.locator(f"ol.shots li[value='{before + n}']")).to_be_visible()
    expect(page.get_by_label(LINE)).to_be_focused()
    expect(page.get_by_role("group", name="Keypad")).to_be_hidden()


PLACES = """() => Array.from(document.querySelectorAll("%s"), (one) => {
    const b = one.getBoundingClientRect();
    return [b.left, b.top].map(Math.round).join(" ");
})"""
SCREEN = PLACES % ".screen-grid p, .landings"
PAD = PLACES % "#line, .pad button, .marks button, #enter"


def test_the_player_s_screen_says_that_its_link_is_lost(stopping: Stopping, look: Look) -> None:
    """And when its figure was last new; nothing moves, and all comes back by itself."""
    stopping.start("serve")
    shown = [screen_before(stopping, look, size) for size in (PHONE, DESK)]
    stopping.stop()
    for page, figure, places in shown:
        screen_without_a_link(page, figure, places)
    stopping.start("serve")
    for page, _figure, places in shown:
        expect(page.locator("#link-state")).to_be_empty(timeout=20_000)
        assert page.evaluate(SCREEN) == places


def screen_before(stopping: Stopping, look: Look, size: tuple[int, int]) -> tuple[Page, str, list[str]]:
    watched = look(stopping.address, size)
    watched.expected += GONE
    page = watched.page(f"/visits/{stopping.visit}/screen/")
    expect(page.get_by_text(re.compile(r"Last new at \d\d:\d\d"))).to_be_visible()
    expect(page.locator("#link-state")).to_be_empty()
    assert violations(page) == []
    return page, page.locator(".huge").last.inner_text(), page.evaluate(SCREEN)


def screen_without_a_link(page: Page, figure: str, places: list[str]) -> None:
    expect(page.locator("#link-state")).to_contain_text("No link since")
    assert page.locator(".huge").last.inner_text() == figure
    assert page.evaluate(SCREEN) == places
    banner, first = page.locator("#link-state").bounding_box(), page.locator(".screen-grid").bounding_box()
    assert banner is not None
    assert first is not None
    assert banner["y"] + banner["height"] <= first["y"] + 1, "the words cover nothing"
    assert violations(page) == []


def test_a_link_that_only_falls_silent_is_noticed(stopping: Stopping, look: Look) -> None:
    """The pad stays where it is under the thumb; what is entered meanwhile is sent when the link speaks again."""
    stopping.start("serve")
    watched = look(stopping.address, PHONE, has_touch=True, is_mobile=True)
    watched.expected += GONE
    page = watched.page(f"/visits/{stopping.visit}/bay/")
    expect(page.locator("#board .headline")).to_be_visible()
    page.evaluate("window.scrollTo(0, 0)")
    before, places = stopping.balls(), page.evaluate(PAD)
    stopping.hold(still=True)
    try:
        expect(state(page)).to_contain_text("No link since", timeout=30_000)
        assert page.evaluate(PAD) == places
        enter(page, "96 6R 77")
        expect(state(page)).to_have_text("No link: 1 ball is kept here")
        page.evaluate("window.scrollTo(0, 0)")
        assert page.evaluate(PAD) == places
    finally:
        stopping.hold(still=False)
    expect(state(page)).to_have_text("All sent", timeout=30_000)
    assert stopping.balls() == [*before, (before[-1][0] + 1, 96)]
