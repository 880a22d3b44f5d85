"""The best bag in a real browser: clubs ticked by keys, by finger and without a script; open to all; on paper."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.web.browser import DESK, PHONE, Served, Watched, served, too_wide, violations
from tests.web.test_every_page import made_answers

Look = Callable[..., Watched]


@pytest.fixture(scope="module")
def pick(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Served, str]]:
    """The demo with a pick on an invented problem, and the address of its page."""
    folder = tmp_path_factory.mktemp("served")
    with served(folder, "demo", "--no-pick", "--out", str(folder / "demo")) as running:
        yield running, f"/players/1/pick/{made_answers(running)['pick']}/"


def strokes(page: Page) -> float:
    return float(page.locator("#tried .answer-big").inner_text().split()[0])


def test_a_club_is_ticked_out_and_in_with_keys(pick: tuple[Served, str], look: Look) -> None:
    running, path = pick
    page = look(running.address, DESK).page(path)
    expect(page.locator("#tried")).to_contain_text("This is the picked bag.")
    assert violations(page) == []
    before = strokes(page)
    ticked = page.locator(".tick input:checked").count()
    box = page.locator(".tick input:checked").first
    place = box.get_attribute("value")
    box.focus()
    page.keyboard.press("Space")
    expect(page.locator("#tried")).to_contain_text("more than the picked bag")
    assert strokes(page) >= before
    assert "ticked=1" in page.url, "the address holds what is ticked"
    expect(page.locator(f".tick input[value='{place}']")).to_be_focused()
    assert page.locator("#tried").get_attribute("aria-live") == "polite"
    assert violations(page) == []
    page.locator(f".tick:has(input[value='{place}'])").click()
    expect(page.locator("#tried")).to_contain_text("This is the picked bag.")
    page.locator(f".tick:has(input[value='{place}'])").click()
    assert f"club={place}&" not in page.url + "&", "with the mouse too"
    page.reload()
    assert page.locator(".tick input:checked").count() == ticked - 1, "a reload keeps them"
    page.get_by_role("link", name="Today's bag").click()
    expect(page.locator("#tried")).not_to_contain_text("Tick at least one club")
    assert page.locator(".tick input:checked").count() >= 10


def test_a_finger_ticks_a_club_on_a_phone(
    pick: tuple[Served, str], look: Look, pictures: Path | None
) -> None:
    running, path = pick
    page = look(running.address, PHONE, has_touch=True).page(path)
    assert not too_wide(page)
    club = page.locator(".steps-table tbody th").first.bounding_box()
    assert club is not None
    assert club["width"] >= 120, "a club's name is not broken letter by letter"
    expect(page.locator("#side ~ .scroll svg")).to_be_visible()
    assert page.locator("#side ~ .scroll .canvas").evaluate("one => one.scrollWidth <= one.clientWidth")
    tick = page.locator(".tick:has(input:not(:checked))").first
    tick.scroll_into_view_if_needed()
    size = tick.bounding_box()
    assert size is not None
    assert size["height"] >= 44, "WCAG 2.2, 2.5.5: 44 CSS pixels for a finger"
    tick.tap()
    expect(page.locator("#tried")).to_contain_text("Not an allowed bag")
    assert not too_wide(page)
    assert violations(page) == []
    if pictures is not None:
        page.screenshot(path=str(pictures / "pick-phone.png"), full_page=True)


def test_without_scripts_a_bag_is_worked_out_by_its_button(pick: tuple[Served, str], look: Look) -> None:
    running, path = pick
    page = look(running.address, PHONE, java_script_enabled=False).page(path)
    page.locator(".tick input:checked").first.uncheck()
    page.get_by_role("button", name="Work this bag out").click()
    expect(page.locator("#tried")).to_contain_text("more than the picked bag")
    assert "ticked=1" in page.url


def test_on_paper_the_answer_stands_and_the_forms_do_not(pick: tuple[Served, str], look: Look) -> None:
    running, path = pick
    page = look(running.address, DESK).page(path)
    page.emulate_media(media="print")
    expect(page.locator("#proof")).to_be_visible()
    expect(page.locator("#live form")).to_be_hidden()
    expect(page.locator(".button").first).to_be_hidden()
    page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    expect(page.locator("#said li").first).to_be_visible()
    page.evaluate("window.dispatchEvent(new Event('afterprint'))")
    page.emulate_media(media="screen")
    expect(page.locator("#said li").first).to_be_hidden()


def test_a_pick_is_asked_for_and_says_what_it_lacks(
    pick: tuple[Served, str], look: Look, pictures: Path | None
) -> None:
    running, _path = pick
    watched = look(running.address, PHONE, has_touch=True)
    watched.expected += ["422"]
    page = watched.page("/players/1/pick/")
    assert violations(page) == []
    assert not too_wide(page)
    if pictures is not None:
        page.screenshot(path=str(pictures / "pick-ask.png"), full_page=True)
    page.get_by_label("Rounds in calm air").fill("0")
    page.get_by_role("button", name="Find the best bag").click()
    expect(page.locator(".notice.trouble")).to_contain_text("No course counts for this bag.")
    assert violations(page) == []
