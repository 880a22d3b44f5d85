"""A real browser on a real server: started once a run, a context a test; a page's trouble is a failure."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from playwright.sync_api import Browser, BrowserContext, Page, Playwright

from tests.web.database import command, own_database
from tests.web.system import installed

AXE = (Path(__file__).parent / "vendor" / "axe.min.js").read_text(encoding="utf-8")
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage",
]  # fmt: skip
NAMES = ("chromium", "chromium-browser", "google-chrome")
START_S = 120
"""A first start compiles its arithmetic; two at once on two busy cores have been seen to take 40 s."""
WAIT_S = 30
"""Longest wait for a page or a part of it. Only what fails waits so long; a busy machine needs more than the usual 5."""
PHONE, TABLET, DESK = (390, 844), (768, 1024), (1440, 900)


def find_browser() -> str | None:
    """The system's own browser; on a bare Debian that tests as root in CI, install it first.

    BAGWRIGHT_INSTALL_BROWSER=1 asks for the same outside CI.
    """
    asked = os.environ.get("BAGWRIGHT_INSTALL_BROWSER") == "1"
    return _lying_about() or (_lying_about() if installed("chromium", asked=asked) else None)


def _lying_about() -> str | None:
    return next((path for name in NAMES if (path := shutil.which(name))), None)


def launch(playwright: Playwright, path: str) -> Browser:
    return playwright.chromium.launch(executable_path=path, args=FLAGS)


@dataclass
class Served:
    """A running bagwright: its address, its data, and the process."""

    address: str
    path: str
    process: subprocess.Popen[str]
    folder: Path
    database: str = ""
    """Address of its database on PostgreSQL; empty where it is a file in the folder."""

    @property
    def visit(self) -> int:
        return int(self.path.strip("/").split("/")[1])


@contextmanager
def served(folder: Path, *words: str, **environment: str) -> Iterator[Served]:
    """Start bagwright with these words, wait until it listens, and see it stop within five seconds.

    On a database of its own: a file in the folder, or one on the server that TEST_DATABASE_URL names.
    """
    with own_database() as base, _started(folder, words, {**base, **environment}) as running:
        yield running


@contextmanager
def shop_of_the_demo(folder: Path) -> Iterator[tuple[Served, str]]:
    """A shop that begins with the demo's player and visit, and the code that makes its first account."""
    with own_database() as base:
        with _started(folder, ("demo", "--no-pick", "--out", str(folder / "demo")), base) as seeded:
            visit = seeded.path
        data = {} if base else {"BAGWRIGHT_DATA": str(folder / "demo" / "app")}
        with _started(folder, ("serve", "--shop"), {**base, **data}) as running:
            assert running.process.stdout is not None
            said = running.process.stdout.readline()
            code = re.search(r"\b(\d{8})\b", said)
            assert code is not None, said
            running.path = visit
            yield running, code[1]


@contextmanager
def _started(folder: Path, words: tuple[str, ...], environment: dict[str, str]) -> Iterator[Served]:
    said_to = folder / "stderr.txt"
    with said_to.open("w") as errors:
        process = subprocess.Popen(
            command(words, environment),
            stdout=subprocess.PIPE,
            stderr=errors,
            text=True,
            env={**_own_environment(), "BAGWRIGHT_DATA": str(folder / "data"), "TZ": "UTC", **environment},
        )
    assert process.stdout is not None
    # A start that hangs is a failure with words, not a run without an end.
    watch = threading.Timer(START_S, process.kill)
    watch.start()
    try:
        said = next((line for line in process.stdout if line.startswith("Listening on ")), None)
        watch.cancel()
        assert said is not None, f"no address within {START_S} s: {said_to.read_text()}"
        parts = urlsplit(said.split()[2])
        database = environment.get("DATABASE_URL", "")
        yield Served(f"{parts.scheme}://{parts.netloc}", parts.path, process, folder, database)
        process.terminate()
        process.wait(timeout=5)
    finally:
        watch.cancel()
        process.kill()
        process.wait()
        process.stdout.close()
    assert "ERROR" not in said_to.read_text(), said_to.read_text()


def _own_environment() -> dict[str, str]:
    """What this process was given, without the database that its own tests write to."""
    return {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}


@dataclass
class Watched:
    """A browser context whose pages are watched: errors, policy violations, requests to elsewhere."""

    context: BrowserContext
    home: str
    troubles: list[str] = field(default_factory=list)
    expected: list[str] = field(default_factory=list)
    """Words of troubles that a test brings about on purpose, such as a lost link."""

    def page(self, path: str = "/") -> Page:
        page = self.context.new_page()
        page.set_default_timeout(WAIT_S * 1000)
        page.on("pageerror", lambda error: self.troubles.append(f"error on {page.url}: {error}"))
        page.on("console", lambda said: self._said(said.type, said.text, page.url))
        page.on("request", lambda request: self._asked(request.url))
        page.on("websocket", lambda socket: self._asked(socket.url))
        page.goto(self.home + path)
        return page

    def _said(self, kind: str, text: str, where: str) -> None:
        if kind in ("error", "warning"):
            self.troubles.append(f"console of {where}: {text}")

    def _asked(self, url: str) -> None:
        if not url.startswith((self.home + "/", "data:", "blob:")):
            self.troubles.append(f"asked elsewhere: {url}")

    def close(self) -> None:
        self.context.close()
        left = [t for t in self.troubles if not any(word in t for word in self.expected)]
        assert not left, "\n".join(left)


def watched(browser: Browser, home: str, size: tuple[int, int], **more: Any) -> Watched:
    context = browser.new_context(viewport={"width": size[0], "height": size[1]}, **more)
    return Watched(context, home)


def violations(page: Page, only: Sequence[str] = ()) -> list[str]:
    """What axe finds on a page as it stands, by all of its rules or some."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE)
    found = page.evaluate("(only) => axe.run(only.length ? { runOnly: only } : {})", list(only))["violations"]
    return [f"{v['id']}: {v['nodes'][0]['html'][:160]}" for v in found]


def too_wide(page: Page) -> bool:
    """True where a page must be scrolled sideways."""
    return bool(page.evaluate("document.documentElement.scrollWidth > window.innerWidth + 1"))
