"""Pictures of every page of the app with the invented player, and of a shop, for the docs and for looking at.

    .venv/bin/python -m bench.app_pictures [FOLDER]

Needs a Chromium on this machine; without a folder they go to docs/pictures/app. The pages are those of
tests/web/pages.py, which a test holds to the app's own addresses.
"""

from __future__ import annotations

import base64
import re
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from tests.web.browser import DESK, PHONE, Served, find_browser, launch, served, shop_of_the_demo, watched
from tests.web.pages import DEMO, SHOP, numbers

ROOT = Path(__file__).parents[1]
ON_A_PHONE = (
    "players", "bag-edit", "bay", "board", "decide", "visit-bag", "ratings", "plan", "strokes", "strokes-hole",
    "course-hole", "check-measure", "pick",
)  # fmt: skip
IN_THE_DARK = ("bay", "decide", "player-screen", "strokes-hole")
LEFT_OUT = ("home", "visit")
"""They lead to another page."""
PASSWORD = "three quiet words 7"  # noqa: S105 - of an account that lives as long as the pictures take
QUALITY = 72
WORKED_OUT_MS = 300_000


def main() -> None:
    """Take them all."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "docs/pictures/app"
    folder.mkdir(parents=True, exist_ok=True)
    path = find_browser()
    if path is None:
        raise SystemExit("No Chromium was found on this machine.")
    with tempfile.TemporaryDirectory() as room, sync_playwright() as playwright:
        browser = launch(playwright, path)
        one, other = Path(room) / "one", Path(room) / "shop"
        one.mkdir()
        other.mkdir()
        with served(one, "demo", "--no-pick", "--out", str(one / "demo")) as running:
            of_one_machine(browser, running, folder)
        with shop_of_the_demo(other) as (running, code):
            of_a_shop(browser, running, code, folder)
        browser.close()


def of_one_machine(browser: Browser, running: Served, folder: Path) -> None:
    """Every page at a desk, some on a phone and some in the dark."""
    seen = watched(browser, running.address, DESK)
    page = seen.page("/help/")
    values = numbers(page, running)
    values["run"] = a_round(page, running, values["player"])
    values["pick"] = a_pick(page, running, values["player"])
    seen.close()
    places = {name: place.format_map(values) for name, place in DEMO.items() if name not in LEFT_OUT}
    for names, size, scheme in (
        (tuple(places), DESK, "light"),
        (ON_A_PHONE, PHONE, "light"),
        (IN_THE_DARK, DESK, "dark"),
    ):
        seen = watched(browser, running.address, size, color_scheme=scheme)
        page = seen.page("/help/")
        for name in names:
            take(page, running.address + places[name], folder / file_name(name, size, scheme))
        page.close()
        seen.close()


def a_round(page: Page, running: Served, player: str) -> str:
    """Have the strokes of the first course worked out, and give the answer's number."""
    page.goto(f"{running.address}/players/{player}/courses/")
    page.get_by_role("button", name="Work out the strokes").first.click()
    page.wait_for_url(re.compile(r"/strokes/\d+/"))
    page.locator("a[href*='/holes/']").first.wait_for(timeout=WORKED_OUT_MS)
    return re.findall(r"/strokes/(\d+)/", page.url)[0]


def a_pick(page: Page, running: Served, player: str) -> str:
    """Have the best bag for the first course searched, and give the answer's number."""
    page.goto(f"{running.address}/players/{player}/pick/")
    page.get_by_role("button", name="Find the best bag").click()
    page.wait_for_url(re.compile(r"/pick/\d+/"))
    page.locator("#proof").wait_for(timeout=WORKED_OUT_MS)
    return re.findall(r"/pick/(\d+)/", page.url)[0]


def of_a_shop(browser: Browser, running: Served, code: str, folder: Path) -> None:
    """What only a shop has, from the first account on."""
    seen = watched(browser, running.address, DESK)
    page = seen.page("/players/")
    take(page, running.address + "/first/", folder / "first-account.webp")
    page.fill("#code", code)
    page.fill("#name", "Olga")
    page.fill("#password", PASSWORD)
    page.press("#password", "Enter")
    page.wait_for_url("**/players/")
    found = re.search(r'href="/players/(\d+)/', page.content())
    assert found is not None
    page.goto(f"{running.address}/visits/{running.visit}/hand-over/")
    page.get_by_role("button", name="Hand these papers over").click()
    page.get_by_text("papers are kept as handed over").wait_for()
    values = {"visit": str(running.visit), "player": found[1]}
    for name, place in SHOP.items():
        take(page, running.address + place.format_map(values), folder / f"{name}.webp")
    page.get_by_role("button", name="Make a link").click()
    link = page.locator("code.secret").inner_text()
    stranger = watched(browser, running.address, PHONE)
    door = stranger.page("/login/")
    take(door, running.address + "/login/", folder / "login-phone.webp")
    take(door, link, folder / "for-you-phone.webp")
    stranger.close()
    seen.close()


def file_name(name: str, size: tuple[int, int], scheme: str) -> str:
    """The page's name, with "phone" or "dark" where it is."""
    return name + ("-phone" if size == PHONE else "") + ("-dark" if scheme == "dark" else "") + ".webp"


def take(page: Page, address: str, path: Path) -> None:
    """One picture, once charts and board have come. WebP: a third of the bytes of a PNG."""
    page.goto(address)
    page.wait_for_timeout(1500)
    session = page.context.new_cdp_session(page)
    shot = session.send("Page.captureScreenshot", {"format": "webp", "quality": QUALITY})
    session.detach()
    path.write_bytes(base64.b64decode(shot["data"]))


if __name__ == "__main__":
    main()
