"""The watch over pages itself: what it must notice, it notices; a start that fails says why."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tests.web.browser import PHONE, served, violations, watched

pytestmark = pytest.mark.browser
HEAD = "<!doctype html><html lang='en'><head><title>t</title></head><body><main><h1>t</h1>"
PAGES = {
    "/calm": HEAD + "<p>Nothing to see.</p></main>",
    "/inline": HEAD + "<script>document.title = 'ran'</script></main>",
    "/style": HEAD + "<p style='color: red'>red</p></main>",
    "/says": HEAD + "<script src='/says.js'></script></main>",
    "/throws": HEAD + "<script src='/throws.js'></script></main>",
    "/elsewhere": HEAD + "<img alt='' src='http://127.0.0.2:9/x.png'></main>",
    "/socket": HEAD + "<script src='/socket.js'></script></main>",
    "/unnamed": HEAD + "<button></button><img src='data:,'></main>",
    "/says.js": "console.error('said aloud')",
    "/throws.js": "throw new Error('fell over')",
    "/socket.js": "new WebSocket('ws://127.0.0.2:9/')",
}
POLICY = "default-src 'none'; script-src 'self'; style-src 'self'; img-src *; connect-src *"


class _Pages(BaseHTTPRequestHandler):
    def do_GET(self) -> None:
        body = PAGES.get(self.path, "").encode()
        self.send_response(200)
        self.send_header("Content-Type", "text/javascript" if self.path.endswith(".js") else "text/html")
        self.send_header("Content-Security-Policy", POLICY)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, format: str, *args: object) -> None:
        """Say nothing: the tests' output is for the tests."""


@pytest.fixture(scope="module")
def home() -> Iterator[str]:
    with ThreadingHTTPServer(("127.0.0.1", 0), _Pages) as server:
        thread = threading.Thread(target=server.serve_forever)
        thread.start()
        yield f"http://127.0.0.1:{server.server_address[1]}"
        server.shutdown()
        thread.join()


def settled(page: Page) -> Page:
    page.wait_for_timeout(300)
    return page


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("/inline", "Content Security Policy"),
        ("/style", "Content Security Policy"),
        ("/says", "said aloud"),
        ("/throws", "fell over"),
        ("/elsewhere", "asked elsewhere: http://127.0.0.2:9/x.png"),
        ("/socket", "asked elsewhere: ws://127.0.0.2:9/"),
    ],
)
def test_trouble_on_a_page_fails_the_test_that_looked_at_it(
    browser: Browser, home: str, path: str, said: str
) -> None:
    looked = watched(browser, home, PHONE)
    settled(looked.page(path))
    with pytest.raises(AssertionError, match=said):
        looked.close()


def test_a_calm_page_is_no_trouble_and_an_expected_one_neither(browser: Browser, home: str) -> None:
    calm = watched(browser, home, PHONE)
    settled(calm.page("/calm"))
    calm.close()
    warned = watched(browser, home, PHONE)
    warned.expected.append("said aloud")
    settled(warned.page("/says"))
    warned.close()


def test_an_address_that_only_begins_like_ours_is_elsewhere(browser: Browser, home: str) -> None:
    looked = watched(browser, home, PHONE)
    page = looked.page("/calm")
    page.evaluate("src => document.body.append(Object.assign(new Image(), { src }))", home + "@127.0.0.2:9/x")
    settled(page)
    with pytest.raises(AssertionError, match="asked elsewhere"):
        looked.close()


def test_axe_finds_what_has_no_name(browser: Browser, home: str) -> None:
    looked = watched(browser, home, PHONE)
    assert violations(looked.page("/calm")) == []
    found = violations(looked.page("/unnamed"))
    looked.context.close()
    assert {line.partition(":")[0] for line in found} >= {"button-name", "image-alt"}


def test_a_start_that_fails_shows_its_words(tmp_path: Path) -> None:
    with (
        pytest.raises(AssertionError, match=r"--host is 192\.0\.2\.7"),
        served(tmp_path, "serve", "--host", "192.0.2.7"),
    ):
        pass
