"""Every address of the app in a real browser: nothing that axe minds, no page wider than its screen, in light and dark.

The tables of `pages` hold every route; a new one without a row fails the first test. Whatever the console, the page's
policy or a request to elsewhere has to say fails too (`Watched`).
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

from playwright.sync_api import Page

from tests.web.browser import DESK, PHONE, TABLET, Served, Watched, shop_of_the_demo, too_wide, violations
from tests.web.pages import DEMO, DOORS, ELSEWHERE, NO_PAGE, SHOP, numbers
from tests.web.test_visit_browser import add_player
from tests.web.unit.test_security import all_routes

Look = Callable[..., Watched]
ROOT = Path(__file__).parents[2]
PASSWORD = "three quiet words 7"

MADE = """
from bagwright.web.serve import start_django
start_django()
from bagwright.store.models import Player
from tests.web.unit.made_pick import kept_pick
from tests.web.unit.made_round import kept_run
player = Player.objects.get(is_demo=True)
played = player.played_courses.first()
print(kept_run(player, played.course, played.tee).pk, kept_pick(player, played.course, played.tee, slots=14).pk)
"""
"""Answers for the pages of strokes and of the best bag that nobody has to wait for."""
EMPTY = ("players", "due", "record", "rack", "courses")
WITHOUT_A_BALL = (
    "player", "bag-edit", "intake", "safety", "brief", "plan", "bay", "player-screen", "board", "pictures", "ratings",
    "decide", "visit-bag", "table-add", "handover", "delivery", "delivery-compare", "check-measure", "check-compare",
    "check-outcome",
)  # fmt: skip


def test_every_route_is_looked_at_or_is_said_to_be_no_page() -> None:
    listed = [*DEMO, *SHOP, *DOORS, *ELSEWHERE, *NO_PAGE]
    assert len(listed) == len(set(listed))
    assert {str(route.name) for route in all_routes()} ^ set(listed) == set(), (
        "say in pages.py where a page is looked at"
    )


def looked_over(page: Page, name: str) -> list[str]:
    """What is wrong with a page as it stands: whole on a phone in light, its colours in the dark, its width on all."""
    for summary in page.locator("details:not([open]) > summary").all():
        if summary.is_visible():
            summary.click()
    found = [f"{name}: {said}" for said in violations(page)]
    for size in (TABLET, DESK, PHONE):
        page.set_viewport_size({"width": size[0], "height": size[1]})
        if too_wide(page):
            found.append(f"{name}: wider than {size[0]}")
    page.emulate_media(color_scheme="dark")
    found += [f"{name}, dark: {said}" for said in violations(page, only=("color-contrast",))]
    page.emulate_media(color_scheme="light")
    return found


def go_over(page: Page, home: str, places: Mapping[str, str], values: Mapping[str, str]) -> list[str]:
    """Open each place and look it over; what is wrong, page by page."""
    found = []
    for name, place in places.items():
        answer = page.goto(home + place.format_map(values))
        assert answer is not None
        if answer.status != 200:
            found.append(f"{name}: {answer.status}")
        found += looked_over(page, name)
    return found


def made_answers(running: Served) -> dict[str, str]:
    """Put made-up answers for a round and a pick into the demo's database; gives their numbers."""
    data = next(running.folder.rglob("secret-key")).parent
    done = subprocess.run(
        [sys.executable, "-c", MADE], capture_output=True, text=True, check=False, timeout=120, cwd=ROOT,
        env={**os.environ, "BAGWRIGHT_DATA": str(data), "DATABASE_URL": running.database},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return dict(zip(("run", "pick"), done.stdout.split(), strict=True))


def test_every_page_of_the_demo(demo: Served, look: Look) -> None:
    page = look(demo.address, PHONE).page("/help/")
    values = numbers(page, demo) | made_answers(demo)
    assert go_over(page, demo.address, DEMO, values) == []


def test_every_page_before_there_is_anything_on_it(empty: Served, look: Look) -> None:
    page = look(empty.address, PHONE).page("/players/")
    found = go_over(page, empty.address, {name: DEMO[name] for name in EMPTY}, {})
    page.goto(empty.address + "/players/")
    add_player(page, "Made-up", "right", touch=False)
    values = {"player": re.findall(r"/players/(\d+)/", page.url)[0]}
    page.goto(f"{empty.address}/players/{values['player']}/")
    page.get_by_role("button", name="Fitting").click()
    page.wait_for_url(re.compile(r"/visits/\d+/intake/"))
    values["visit"] = re.findall(r"/visits/(\d+)/", page.url)[0]
    assert found + go_over(page, empty.address, {name: DEMO[name] for name in WITHOUT_A_BALL}, values) == []


def test_what_is_not_there_and_what_is_refused_say_so_to_all(demo: Served, look: Look) -> None:
    """A page that is none, a form that is not filled in, a table that is none: each has its words and no fault."""
    watched = look(demo.address, PHONE)
    watched.expected += ["Failed to load resource"]
    page = watched.page("/no-such-page/")
    found = looked_over(page, "404")
    page.goto(f"{demo.address}/players/new/")
    page.evaluate("document.querySelectorAll('form').forEach((form) => { form.noValidate = true; })")
    page.get_by_role("button", name="Save", exact=True).click()
    page.locator("[aria-invalid=true]").first.wait_for()
    found += looked_over(page, "form refused")
    page.goto(f"{demo.address}/visits/{demo.visit}/table/")
    field = page.locator("input[type=file]").first
    field.set_input_files({"name": "none.csv", "mimeType": "text/csv", "buffer": b"\x00\x01\x02"})
    with page.expect_navigation():
        page.get_by_role("button", name="Let its balls join").click()
    found += looked_over(page, "table refused")
    assert found == []


def test_every_page_of_a_shop(look: Look, tmp_path: Path) -> None:
    with shop_of_the_demo(tmp_path) as (running, code):
        page = look(running.address, PHONE).page("/players/")
        found = looked_over(page, "first-account")
        page.fill("#code", code)
        page.fill("#name", "Olga")
        page.fill("#password", PASSWORD)
        page.press("#password", "Enter")
        page.wait_for_url("**/players/")
        values = {
            "visit": str(running.visit),
            "player": re.findall(r'href="/players/(\d+)/', page.content())[0],
        }
        found += go_over(page, running.address, SHOP, values)
        page.goto(f"{running.address}/visits/{running.visit}/hand-over/")
        page.get_by_role("button", name="Hand these papers over").click()
        page.get_by_text("papers are kept as handed over").wait_for()
        found += go_over(page, running.address, {"workshop": SHOP["workshop"]}, {})
        page.goto(f"{running.address}/visits/{running.visit}/link/")
        page.get_by_role("button", name="Make a link").click()
        papers = page.locator("code.secret").inner_text()
        page.goto(f"{running.address}/accounts/")
        page.get_by_role("button", name="Make a link").click()
        invitation = page.locator("code").inner_text()
        stranger = look(running.address, PHONE).page("/login/")
        found += looked_over(stranger, "login")
        for name, address in (("for-you", papers), ("join", invitation)):
            assert address.startswith(running.address)
            found += go_over(stranger, "", {name: address}, {})
    assert found == []
