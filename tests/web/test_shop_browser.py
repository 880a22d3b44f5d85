"""The shop and the pairing in a real browser: from the first account to a second screen, by anybody's means."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tests.web.browser import DESK, PHONE, TABLET, Served, Watched, served, too_wide, violations, watched

PASSWORD = "three quiet words 7"
TABLE = "Club;Loft;Length cm;Head;Shaft\n7 iron;31;94;cavity;steel 95\n52 wedge;52;90;blade;steel 110"


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[tuple[Served, str]]:
    with served(tmp_path, "serve", "--shop") as running:
        assert running.process.stdout is not None
        said = running.process.stdout.readline()
        code = re.search(r"\b(\d{8})\b", said)
        assert code is not None, said
        yield running, code[1]


def sound(page: Page, pictures: Path | None, name: str) -> None:
    """Nothing that axe minds, nothing wider than the screen; a picture for whoever asks for pictures."""
    page.wait_for_load_state("load")
    if pictures is not None:
        width = (page.viewport_size or {"width": 0})["width"]
        dark = page.evaluate("matchMedia('(prefers-color-scheme: dark)').matches")
        page.screenshot(path=pictures / f"{name}-{width}{'-dark' if dark else ''}.png", full_page=True)
    assert violations(page) == [], name
    assert not too_wide(page), name


def test_a_shop_from_its_first_account_to_a_colleague_s_look(
    shop: tuple[Served, str], look: Callable[..., Watched], pictures: Path | None
) -> None:
    running, code = shop
    desk = look(running.address, DESK)
    desk.expected.append("422")
    owner = desk.page("/players/")
    assert owner.url.endswith("/first/")
    sound(owner, pictures, "first")
    owner.fill("#code", "1")
    owner.fill("#name", "Olga")
    owner.fill("#password", PASSWORD)
    owner.press("#password", "Enter")
    owner.get_by_role("alert").filter(has_text="not the code").wait_for()
    owner.fill("#code", code)
    owner.fill("#password", PASSWORD)
    owner.press("#password", "Enter")
    owner.wait_for_url("**/players/")
    owner.goto(f"{running.address}/accounts/")
    owner.get_by_role("button", name="Make a link").click()
    link = owner.locator("code").inner_text()
    sound(owner, pictures, "accounts")

    phone = look(running.address, PHONE, color_scheme="dark", has_touch=True)
    coach = phone.page(link.removeprefix(running.address))
    sound(coach, pictures, "join")
    coach.fill("#name", "Carl")
    coach.fill("#password", PASSWORD)
    coach.get_by_role("button", name="Join").tap()
    coach.wait_for_url("**/players/")
    coach.goto(f"{running.address}/rack/import/")
    coach.fill("#text", TABLE)
    coach.select_option("#hand", "left")
    coach.get_by_role("button", name="Look first").tap()
    coach.get_by_role("heading", name="Understood, not stored yet").wait_for()
    sound(coach, pictures, "rack-import")
    coach.get_by_role("button", name=re.compile("Put 2 clubs")).tap()
    coach.wait_for_url("**/rack/")
    coach.get_by_label("Lend to: 7 iron").fill("Robin")
    coach.get_by_role("button", name=re.compile("Lend ?: 7 iron")).tap()
    coach.get_by_text("lent to Robin").wait_for()
    sound(coach, pictures, "rack")
    for path in ("settings", "sessions", "tokens", "audit"):
        coach.goto(f"{running.address}/{path}/")
        sound(coach, pictures, path)
        owner.goto(f"{running.address}/{path}/")
        sound(owner, pictures, path)
    owner.goto(f"{running.address}/rack/")
    sound(owner, pictures, "rack")
    owner.get_by_role("link", name="7 iron").click()
    owner.get_by_role("heading", name="7 iron").wait_for()
    sound(owner, pictures, "rack-club")
    coach.get_by_role("button", name="Log out").tap()
    coach.wait_for_url("**/login/")
    sound(coach, pictures, "login")


def test_a_second_screen_is_paired_by_reading_a_code_out(
    demo: Served, look: Callable[..., Watched], browser: Browser, pictures: Path | None
) -> None:
    desk = look(demo.address, TABLET)
    page = desk.page(f"/visits/{demo.visit}/pair/")
    assert page.get_by_text("not encrypted (http)").is_visible()
    page.fill("#typed", "127.0.0.3")
    page.get_by_role("button", name="Show a code").click()
    address, code = page.locator(".read-out.address").inner_text(), page.locator("#code").inner_text()
    sound(page, pictures, "offer")
    home = address.removesuffix("/pair/")
    assert home.startswith("http://127.0.0.3:")
    tablet = watched(browser, home, PHONE, has_touch=True)
    tablet.expected.append("422")
    screen = tablet.page("/pair/")
    screen.fill("#code", "12")
    screen.get_by_role("button", name="Pair").tap()
    screen.get_by_role("alert").filter(has_text="tries are left").wait_for()
    sound(screen, pictures, "pair")
    screen.fill("#code", code)
    screen.get_by_role("button", name="Pair").tap()
    screen.wait_for_url(f"**/visits/{demo.visit}/bay/")
    assert violations(screen) == []
    wrong = [
        link.get_attribute("href") or ""
        for link in screen.get_by_role("link").all()
        if not re.search(r"#|/(bay|screen|board|form|pictures)/|^/shots/", link.get_attribute("href") or "")
    ]
    assert wrong == [], "a paired screen offers no page that it cannot open"
    cut = page.get_by_role("button", name=re.compile("Cut off"))
    cut.wait_for()  # the desk's page sees by itself that the device has joined
    cut.click()
    page.get_by_text("No device is paired with this visit.").wait_for()
    assert screen.request.get(f"{home}/visits/{demo.visit}/bay/").status == 404
    tablet.expected += ["404", "500", "Failed to load", "ERR_", "EventSource"]
    tablet.close()
    page.get_by_role("button", name=re.compile("Close the door")).click()
    page.get_by_text("the door is closed").wait_for()
