"""Courses in a real browser: corrected by pointer, by finger and by keys; strokes asked at a spot; open to all."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.web.browser import DESK, PHONE, Served, Watched, too_wide, violations

Look = Callable[..., Watched]
CARD = "hole,par,stroke index,white (yd)\n1,3,1,120\n"


@pytest.fixture(scope="module")
def course(empty: Served) -> Served:
    """The app on empty data; the first test pastes a course, the others go on with it."""
    return empty


def figures(page: Page) -> list[list[float]]:
    text = page.locator("#points").input_value()
    return [[float(x) for x in line.split()] for line in text.splitlines() if line.strip()]


def test_a_course_is_pasted_and_corrected_by_pointer_and_by_keys(course: Served, look: Look) -> None:
    page = look(course.address, DESK).page("/courses/")
    assert violations(page) == []
    page.get_by_label("Or paste the card").fill(CARD)
    page.get_by_role("button", name="Read it").click()
    assert violations(page) == []
    page.get_by_role("link", name="1", exact=True).click()
    assert violations(page) == []
    # The pin by keys: three steps to the right, ten towards the tee.
    page.get_by_label("What", exact=True).select_option("pin")
    ring = page.get_by_role("button", name="pin, 120 yd")
    ring.focus()
    for key in ("ArrowRight", "ArrowRight", "ArrowRight", "Shift+ArrowDown"):
        page.keyboard.press(key)
    assert figures(page) == [[pytest.approx(110, abs=0.2), pytest.approx(3, abs=0.2)]]
    page.get_by_role("button", name="Keep the correction").click()
    expect(page.get_by_role("status").first).to_contain_text("pin moved")
    # Water by pointer: three corners on the picture, one of them dragged.
    page.get_by_label("What", exact=True).select_option("mark")
    box = page.locator("#stage svg.handles").bounding_box()
    assert box is not None
    for dx, dy in ((0.5, 0.45), (0.55, 0.45), (0.55, 0.5)):
        page.mouse.click(box["x"] + dx * box["width"], box["y"] + dy * box["height"])
    expect(page.get_by_role("button", name="corner 3")).to_be_visible()
    before = figures(page)
    corner = page.get_by_role("button", name="corner 1").locator(".ring").bounding_box()
    assert corner is not None
    page.mouse.move(corner["x"] + corner["width"] / 2, corner["y"] + corner["height"] / 2)
    page.mouse.down()
    page.mouse.move(corner["x"] - 30, corner["y"], steps=4)
    page.mouse.up()
    after = figures(page)
    assert after[0][1] < before[0][1] - 1
    assert after[1:] == before[1:]
    page.get_by_role("button", name="Keep the correction").click()
    expect(page.get_by_role("status").first).to_contain_text("water red marked")
    expect(page.locator("#areas ~ ul")).to_contain_text("penalty area, red")
    page.get_by_role("button", name="Take the last one back").click()
    expect(page.get_by_role("status").first).to_contain_text("Taken back")


def test_a_finger_marks_an_area_on_a_phone(course: Served, look: Look) -> None:
    page = look(course.address, PHONE, has_touch=True).page("/courses/1/holes/1/")
    assert not too_wide(page)
    assert violations(page) == []
    page.get_by_label("What", exact=True).select_option("mark")
    page.locator("#stage").scroll_into_view_if_needed()
    box = page.locator("#stage svg.handles").bounding_box()
    assert box is not None
    for dx, dy in ((0.45, 0.4), (0.55, 0.4), (0.5, 0.5)):
        page.touchscreen.tap(box["x"] + dx * box["width"], box["y"] + dy * box["height"])
    assert len(figures(page)) == 3


def test_a_player_s_strokes_are_worked_out_and_asked_with_keys(course: Served, look: Look) -> None:
    page = look(course.address, DESK).page("/players/new/")
    page.get_by_label("Name").fill("Robin Example")
    page.get_by_label("Hand").first.select_option("right")
    page.get_by_label("Handicap").fill("14")
    page.get_by_role("button", name="Save").click()
    page.goto(f"{course.address}/players/1/clubs/import/")
    page.locator("#text").fill("Club,Kind,Stamped loft\n8 iron,iron,35\nSand wedge,wedge,55\n")
    page.get_by_role("button", name="Look first").click()
    page.get_by_role("button", name="Add 2 clubs").click()
    page.goto(f"{course.address}/players/1/courses/?course=1")
    page.get_by_role("button", name="Plays here").click()
    assert violations(page) == []
    page.get_by_role("button", name="Work out the strokes").click()
    answer = page.locator(".answer-big")
    expect(answer).to_be_visible(timeout=90_000)
    # One par 3 of 120 yd: over par, less than two over (common practice, no source).
    assert 3.0 < float(answer.inner_text().split()[0]) < 5.0
    assert violations(page) == []
    page.get_by_role("link", name="Hole 1").click()
    assert violations(page) == []
    cross = page.get_by_role("button", name="spot,")
    cross.focus()
    page.keyboard.press("Shift+ArrowDown")
    page.keyboard.press("Shift+ArrowDown")
    page.keyboard.press("Enter")
    expect(page.locator("#spot")).to_contain_text("to the pin", timeout=30_000)
    page.keyboard.press("Escape")
    expect(page.locator("#spot")).to_be_empty()
    expect(cross).to_be_focused()


def test_on_a_phone_a_tapped_spot_s_answer_stands_over_the_foot_of_the_window(
    course: Served, look: Look, pictures: Path | None
) -> None:
    page = look(course.address, PHONE, has_touch=True).page("/players/1/strokes/1/holes/1/")
    page.locator("#stage").scroll_into_view_if_needed()
    box = page.locator("#stage svg.handles").bounding_box()
    assert box is not None
    # Low on the picture, where the answer would cover it: the page makes room.
    page.evaluate("(top) => window.scrollTo(0, top - 40)", page.evaluate("window.scrollY") + box["y"])
    top = page.locator("#stage svg.handles").bounding_box()
    assert top is not None
    page.touchscreen.tap(195, min(top["y"] + 0.62 * top["height"], 800))
    answer = page.locator("#spot")
    expect(answer).to_contain_text("strokes expected", timeout=30_000)
    assert answer.get_attribute("aria-live") == "polite"
    line, cross = page.locator(".spot-answer").bounding_box(), page.locator(".cursor .plate").bounding_box()
    panel = page.locator("#spot-panel").bounding_box()
    assert line is not None
    assert cross is not None
    assert panel is not None
    assert 0 < line["y"] < line["y"] + line["height"] <= PHONE[1]
    assert panel["height"] < PHONE[1] / 2, "the picture stays in sight"
    assert cross["y"] + cross["height"] <= panel["y"]
    assert "M" in (page.locator("#stage .handles .edge").get_attribute("d") or ""), "the shot is drawn"
    assert not too_wide(page)
    assert violations(page) == []
    if pictures is not None:
        page.screenshot(path=str(pictures / "spot-phone.png"))
    page.get_by_role("button", name="Close").click()
    expect(answer).to_be_empty()


def test_without_scripts_a_spot_is_asked_by_its_figures(course: Served, look: Look) -> None:
    page = look(course.address, PHONE, java_script_enabled=False).page(
        "/players/1/strokes/1/holes/1/?at=60 2"
    )
    expect(page.locator("#spot-panel .spot-answer")).to_contain_text("strokes expected")
