"""Fixtures of the tests in a real browser; without one on the machine they are skipped, and say so."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, expect, sync_playwright

from tests.web.browser import PHONE, WAIT_S, Served, Watched, find_browser, launch, served, watched

expect.set_options(timeout=WAIT_S * 1000)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One a module: while it is open its driver keeps an event loop in this thread, and `asyncio.run` fails."""
    path = find_browser()
    if path is None:
        pytest.skip("no chromium on this machine: the screens were not tried in a browser")
    with sync_playwright() as playwright:
        opened = launch(playwright, path)
        yield opened
        opened.close()


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The demo, served; one a module."""
    folder = tmp_path_factory.mktemp("served")
    with served(folder, "demo", "--no-pick", "--out", str(folder / "demo")) as running:
        yield running


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The app on empty data; one a module."""
    folder = tmp_path_factory.mktemp("empty")
    with served(folder, "serve") as running:
        yield running


@pytest.fixture
def look(browser: Browser) -> Iterator[Callable[..., Watched]]:
    """Open a watched context of a size; at the end of the test every one must have been without trouble."""
    opened: list[Watched] = []

    def open_one(home: str, size: tuple[int, int] = PHONE, **more: Any) -> Watched:
        opened.append(watched(browser, home, size, **more))
        return opened[-1]

    yield open_one
    for one in opened:
        one.close()


@pytest.fixture
def pictures(request: pytest.FixtureRequest) -> Path | None:
    """Where pictures of pages go when somebody asks for them: `pytest --pictures=FOLDER`."""
    folder = request.config.getoption("--pictures")
    return Path(str(folder)) if folder else None
