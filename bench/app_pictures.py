"""Pictures of every page of the app with the invented player, for the docs and for looking at.

    .venv/bin/python -m bench.app_pictures [FOLDER]

Needs a Chromium on this machine; without a folder they go to docs/pictures/app.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from tests.web.browser import DESK, PHONE, find_browser, launch, served, watched

ROOT = Path(__file__).parents[1]
PAGES = {
    "players": "/players/", "player": "/players/1/", "player-edit": "/players/1/edit/", "bag": "/players/1/bag/",
    "club": "/players/clubs/11/", "clubs-from-a-table": "/players/1/clubs/import/", "intake": "/visits/2/intake/",
    "safety": "/visits/2/safety/", "brief": "/visits/2/brief/", "plan": "/visits/2/plan/", "bay": "/visits/2/bay/",
    "pictures": "/visits/2/pictures/", "ratings": "/visits/2/ratings/", "decide": "/visits/2/decide/",
    "distances": "/visits/2/distances/", "hand-over": "/visits/2/hand-over/", "player-screen": "/visits/2/screen/",
    "shot-table": "/visits/2/table/", "form-of-a-line": "/visits/2/form/", "pair": "/visits/2/pair/",
    "due": "/due/", "record": "/record/", "rack": "/rack/", "settings": "/settings/", "help": "/help/",
}  # fmt: skip
ON_A_PHONE = ("players", "bag", "bay", "decide", "distances", "ratings", "plan")
IN_THE_DARK = ("bay", "decide")


def main() -> None:
    """Take them all."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "docs/pictures/app"
    folder.mkdir(parents=True, exist_ok=True)
    path = find_browser()
    if path is None:
        raise SystemExit("No Chromium was found on this machine.")
    with (
        tempfile.TemporaryDirectory() as room,
        served(Path(room), "demo", "--out", str(Path(room) / "demo")) as running,
        sync_playwright() as playwright,
    ):
        browser = launch(playwright, path)
        for names, size, scheme in (
            (tuple(PAGES), DESK, "light"),
            (ON_A_PHONE, PHONE, "light"),
            (IN_THE_DARK, DESK, "dark"),
        ):
            seen = watched(browser, running.address, size, color_scheme=scheme)
            page = seen.page("/help/")
            for name in names:
                take(page, running.address + PAGES[name], folder / file_name(name, size, scheme))
            seen.close()
        browser.close()


def file_name(name: str, size: tuple[int, int], scheme: str) -> str:
    """The page's name, with "phone" or "dark" where it is."""
    return name + ("-phone" if size == PHONE else "") + ("-dark" if scheme == "dark" else "") + ".png"


def take(page: Page, address: str, path: Path) -> None:
    """One picture, once charts and board have come."""
    page.goto(address, wait_until="networkidle" if not address.endswith(("bay/", "screen/")) else "load")
    page.wait_for_timeout(900)
    page.screenshot(path=path)


if __name__ == "__main__":
    main()
