"""Board, ratings, decision and bag in a real browser: tap, drag, keyboard, undo, two people at once."""

from __future__ import annotations

import re
from collections.abc import Callable

from playwright.sync_api import Page, expect

from tests.web.browser import DESK, PHONE, Served, Watched, violations

Look = Callable[..., Watched]


def test_a_rating_is_kept_at_the_tap_and_taken_back(demo: Served, look: Look) -> None:
    page = look(demo.address, PHONE, has_touch=True).page(f"/visits/{demo.visit}/ratings/")
    card = page.locator("form.rating").nth(1)
    look_at = card.get_by_role("group", name="Look at address")
    look_at.locator("label", has_text=re.compile(r"^4")).tap()
    expect(card.get_by_text("kept")).to_be_visible()
    with page.expect_response(lambda answer: answer.request.method == "POST"):
        card.get_by_label("In own words").fill("sits square")
        card.get_by_label("In own words").blur()
    page.reload()
    expect(card.get_by_label("In own words")).to_have_value("sits square")
    expect(look_at.get_by_role("radio", name="4", exact=True)).to_be_checked()
    for _ in range(2):
        page.get_by_role("button", name="Take the last rating back").click()
    expect(look_at.get_by_role("radio", name="not rated")).to_be_checked()
    expect(card.get_by_label("In own words")).to_have_value("")


def test_a_rating_tapped_without_a_link_is_kept_when_it_is_back(demo: Served, look: Look) -> None:
    watched = look(demo.address, PHONE, has_touch=True)
    watched.expected += ["net::ERR_INTERNET_DISCONNECTED", "htmx:afterRequest", "htmx:sendError"]
    page = watched.page(f"/visits/{demo.visit}/ratings/")
    card = page.locator("form.rating").nth(2)
    sound = card.get_by_role("group", name="Sound")
    watched.context.set_offline(True)
    sound.locator("label", has_text=re.compile(r"^2")).tap()
    expect(page.get_by_text("this was not done")).to_be_in_viewport()
    expect(card.get_by_text("kept")).to_have_count(0)
    watched.context.set_offline(False)
    expect(card.get_by_text("kept")).to_be_visible()
    expect(page.get_by_text("this was not done")).to_have_count(0)
    page.reload()
    expect(sound.get_by_role("radio", name="2", exact=True)).to_be_checked()
    page.get_by_role("button", name="Take the last rating back").click()


def test_ratings_go_by_keyboard(demo: Served, look: Look) -> None:
    page = look(demo.address, DESK).page(f"/visits/{demo.visit}/ratings/")
    card = page.locator("form.rating").first
    feel = card.get_by_role("group", name="Feel")
    feel.get_by_role("radio", name="not rated").focus()
    page.keyboard.press("ArrowLeft")
    expect(feel.get_by_role("radio", name=re.compile("^5"))).to_be_checked()
    expect(card.get_by_text("kept")).to_be_visible()
    page.get_by_role("button", name="Take the last rating back").click()


def carried(page: Page) -> list[str]:
    return [text.split(":")[0].strip() for text in page.locator("[data-zone=in] button").all_inner_texts()]


def test_a_club_is_dragged_out_and_back_by_undo(demo: Served, look: Look) -> None:
    page = look(demo.address, DESK).page(f"/visits/{demo.visit}/distances/")
    before = carried(page)
    page.locator("[data-zone=in] button", has_text="Gap wedge").drag_to(page.locator("[data-zone=out]"))
    expect(page.get_by_text("Tried, not kept:")).to_be_visible()
    assert "Gap wedge" not in carried(page)
    page.get_by_role("link", name="Undo").click()
    expect(page.get_by_text("Tried, not kept:")).to_have_count(0)
    assert carried(page) == before
    page.get_by_role("link", name="Redo").click()
    expect(page.locator("[data-zone=out] button", has_text="Gap wedge")).to_be_visible()
    page.go_back()
    expect(page.locator("[data-zone=in] button", has_text="Gap wedge")).to_be_visible()
    expect(page.locator("figure.chart svg")).to_be_visible()
    kept = page.evaluate("Object.keys(localStorage).concat(Object.keys(sessionStorage))")
    assert "htmx-history-cache" not in kept, "no page with a player's figures stays in the browser"


def test_a_drag_that_ends_where_it_began_changes_nothing(demo: Served, look: Look) -> None:
    page = look(demo.address, DESK).page(f"/visits/{demo.visit}/distances/")
    page.locator("[data-zone=in] button", has_text="Gap wedge").drag_to(
        page.locator("[data-zone=in] button", has_text="Driver")
    )
    page.wait_for_timeout(300)
    expect(page.get_by_text("Tried, not kept:")).to_have_count(0)
    assert page.locator("button.ghost").count() == 0


def test_the_same_by_keyboard_with_a_bend(demo: Served, look: Look) -> None:
    page = look(demo.address, DESK).page(f"/visits/{demo.visit}/distances/")
    page.locator("[data-zone=out] button", has_text="50 cavity").focus()
    page.keyboard.press("Enter")
    expect(page.locator("[data-zone=in] button", has_text="50 cavity")).to_be_focused()
    page.get_by_role("button", name="+1° 50 cavity").focus()
    page.keyboard.press("Enter")
    row = page.get_by_role("row", name=re.compile("50 cavity"))
    expect(row.first).to_contain_text("1° weaker")
    expect(row.first).to_contain_text("estimated")
    page.get_by_role("link", name="As it is").click()
    expect(page.get_by_text("Tried, not kept:")).to_have_count(0)


def test_two_who_decide_at_once_and_a_way_back(demo: Served, look: Look) -> None:
    first = look(demo.address, DESK).page(f"/visits/{demo.visit}/decide/")
    watched = look(demo.address, PHONE)
    watched.expected += ["Failed to load resource"]
    second = watched.page(f"/visits/{demo.visit}/decide/")
    first.get_by_label("Accept the 50 cavity").check()
    first.get_by_label("Why").fill("steps even")
    first.get_by_role("button", name="Keep this decision").click()
    expect(first.get_by_text("Accepted: 50 cavity.")).to_be_visible()
    second.get_by_label("Leave it open").check()
    second.get_by_label("Why").fill("typed on the phone")
    second.get_by_role("button", name="Keep this decision").click()
    expect(second.get_by_text("Somebody else has decided")).to_be_visible()
    expect(second.get_by_label("Why")).to_have_value("typed on the phone")
    expect(second.get_by_text("Accepted: 50 cavity.")).to_be_visible()
    assert violations(second) == []
    first.get_by_role("button", name="Take the decision back").click()
    expect(first.get_by_text("The decision was taken back.")).to_be_visible()
    expect(first.get_by_text("Accepted: 50 cavity.")).to_have_count(0)


def test_a_picture_is_one_tap_away_and_drawn(demo: Served, look: Look) -> None:
    page = look(demo.address, PHONE, has_touch=True).page(f"/visits/{demo.visit}/bay/")
    page.locator("#board").get_by_role("link", name="Pictures").tap()
    for name in ("From the side", "Ball by ball", "Carries of the bag", "Where balls finished"):
        page.locator("#pictures").get_by_role("link", name=name).tap()
        expect(page.locator(f"#pictures a[aria-current]:has-text('{name}')")).to_be_visible()
        expect(page.locator("#pictures figure.chart svg")).to_be_visible()
        expect(page.locator("#pictures figcaption")).not_to_be_empty()


def test_a_new_ball_leaves_open_what_was_open(demo: Served, look: Look) -> None:
    page = look(demo.address, DESK).page(f"/visits/{demo.visit}/bay/")
    board = page.locator("#board")
    board.get_by_text("things to mind").click()
    board.get_by_role("link", name="Pictures").click()
    page.locator("#pictures").get_by_role("link", name="Ball by ball").click()
    expect(page.locator("#pictures a[aria-current]:has-text('Ball by ball')")).to_be_visible()
    expect(page.locator("#pictures figure.chart svg")).to_be_visible()
    rows = page.locator("#pictures tbody tr")
    before = rows.count()
    page.get_by_label(re.compile("^One line")).fill("88 7L 76")
    page.get_by_role("button", name="Enter").click()
    expect(rows).to_have_count(before + 1)
    expect(page.locator("#things-to-mind")).to_have_attribute("open", "")
    expect(page.locator("#pictures figure.chart svg")).to_be_visible()
    page.get_by_role("button", name="Undo").click()
    expect(rows).to_have_count(before)
