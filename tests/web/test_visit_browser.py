"""Whole visits in a real browser: by touch on a phone, by keyboard at a desk, with a link that drops."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.web.browser import DESK, PHONE, TABLET, Served, Watched, too_wide, violations

pytestmark = pytest.mark.browser
Look = Callable[..., Watched]

BAG = """Club\tLoft\tLength in
7 iron\t33\t37
9 iron\t41\t36
Pitching wedge\t45\t35.75
Gap wedge\t50\t35.5
Sand wedge\t55\t35.25
"""
BALLS = ("93 2R 78", "96 4L 79", "90 1R 77", "97 6L 80", "94 0 78", "91 3R 77", "95 2L 79", "89 5R 76")


def add_player(page: Page, name: str, hand: str, *, touch: bool) -> None:
    page.get_by_role("link", name="Add a player").first.click()
    page.get_by_label("Name", exact=False).first.fill(name)
    page.get_by_label(re.compile("^Hand")).first.select_option(hand)
    page.get_by_label("Handicap").fill("14")
    consent = page.locator("details", has=page.locator("summary", has_text=re.compile("^Consent")))
    if consent.get_attribute("open") is None:
        consent.locator("summary").click()
    page.get_by_label("Consent given on").fill("2026-05-09")
    page.get_by_label("Consent given by").fill(name)
    save = page.get_by_role("button", name="Save", exact=True)
    save.tap() if touch else save.click()
    page.wait_for_url(re.compile(r"/players/\d+/bag/"))


def add_bag(page: Page) -> None:
    page.goto(re.sub(r"/players/(\d+)/.*", r"/players/\1/clubs/import/", page.url))
    page.get_by_label(re.compile("^Paste")).fill(BAG)
    page.get_by_role("button", name="Look first").click()
    page.get_by_role("button", name=re.compile(r"^Add 5 clubs")).click()
    page.wait_for_url(re.compile(r"/players/\d+/bag/"))
    page.goto(re.sub(r"/players/(\d+)/.*", r"/players/\1/clubs/new/?status=candidate", page.url))
    page.get_by_label(re.compile("^Name")).first.fill("50 cavity")
    page.get_by_label(re.compile("^Kind")).first.select_option("wedge")
    page.get_by_label(re.compile(r"^Loft, measured")).first.fill("50,5")
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_url(re.compile(r"/players/\d+/bag/"))


def enter(page: Page, line: str, n: int) -> None:
    """Type one ball and see it among the last ones."""
    page.get_by_label(re.compile("^One line")).fill(line)
    page.get_by_role("button", name="Enter").click()
    expect(page.locator(f"ol.shots li[value='{n}']")).to_be_visible()


@pytest.mark.parametrize(("size", "touch"), [(PHONE, True), (TABLET, True), (DESK, False)])
def test_a_whole_visit_from_intake_to_papers(
    empty: Served, look: Look, size: tuple[int, int], touch: bool
) -> None:
    """A made-up left-hander: bag pasted, conditions, safety, brief, plan, 30 balls, decision, papers."""
    page = look(empty.address, size, has_touch=touch, is_mobile=touch).page("/players/")
    name = f"Made-up {size[0]}"
    add_player(page, name, "left", touch=touch)
    add_bag(page)
    player = re.sub(r"/players/(\d+)/.*", r"/players/\1/", page.url)
    page.goto(player)
    page.get_by_role("button", name="Fitting").click()
    page.get_by_label("Surface").select_option("mat")
    page.get_by_label("Alignment").select_option("checked")
    page.get_by_label("The unit's figures are").select_option("as measured")
    page.get_by_role("button", name="Save and go on").click()
    expect(page.get_by_text("left-hander", exact=False).first).to_be_visible()
    page.get_by_role("button", name=re.compile("^Read, and told")).click()
    page.get_by_label("Club now in the slot").select_option(label="Gap wedge")
    page.get_by_role("button", name="Write the brief").click()
    page.get_by_role("button", name=re.compile("^These take part")).click()
    page.wait_for_url(re.compile(r"/plan/"))
    page.get_by_label("Minutes, handing over included").fill("60")
    page.get_by_label("Test balls").fill("18")
    page.get_by_role("button", name="Make the order").last.click()
    page.get_by_role("link", name="To the bay").click()
    for n in range(1, 31):
        enter(page, BALLS[n % len(BALLS)], n)
    expect(page.locator("#board .headline")).to_be_visible()
    assert violations(page) == []
    assert not too_wide(page)
    page.get_by_role("link", name="Decide").first.click()
    page.get_by_label("Keep the Gap wedge", exact=False).check()
    page.get_by_label("Why").fill("as good as the new one")
    page.get_by_role("button", name="Keep this decision").click()
    expect(page.get_by_text("Kept: Gap wedge")).to_be_visible()
    page.get_by_role("link", name="Hand over").last.click()
    expect(page.locator(".steps [aria-current]")).to_be_in_viewport(ratio=0.9)
    page.get_by_role("button", name="Hand these papers over").dblclick()
    expect(page.get_by_text("2 papers are kept as handed over")).to_be_visible()
    expect(page.get_by_role("link", name=re.compile("^(Report|Yardage card)$"))).to_have_count(2)
    assert violations(page) == []
    answer = page.request.get(
        empty.address + str(page.get_by_role("link", name="Report").first.get_attribute("href"))
    )
    assert answer.body().startswith(b"%PDF-")


def test_the_link_drops_and_no_ball_is_lost_or_doubled(demo: Served, look: Look) -> None:
    """Balls typed without a link wait, survive a reload of the page, and are sent in order."""
    watched = look(demo.address, PHONE)
    watched.expected += ["net::ERR_INTERNET_DISCONNECTED", "Failed to load resource", "htmx:"]
    page = watched.page(f"/visits/{demo.visit}/bay/")
    before = int(page.locator("ol.shots li").first.get_attribute("value") or 0)
    watched.context.set_offline(True)
    for line in ("91 1R 77", "92 2R 77", "93 3R 77"):
        page.get_by_label(re.compile("^One line")).fill(line)
        page.get_by_role("button", name="Enter").click()
    expect(page.locator("#queue li")).to_have_count(3)
    watched.context.set_offline(False)
    page.reload()
    expect(page.locator("#queue li")).to_have_count(0)
    expect(page.locator(f"ol.shots li[value='{before + 3}']")).to_contain_text("93")
    expect(page.locator(f"ol.shots li[value='{before + 1}']")).to_contain_text("91")
    expect(page.locator(f"ol.shots li[value='{before + 4}']")).to_have_count(0)


def test_two_screens_show_the_same_ball_and_undo(demo: Served, look: Look) -> None:
    page = look(demo.address, DESK).page(f"/visits/{demo.visit}/bay/")
    screen = look(demo.address, DESK).page(f"/visits/{demo.visit}/screen/")
    before = int(page.locator("ol.shots li").first.get_attribute("value") or 0)
    page.keyboard.type("88 7L 76")
    page.keyboard.press("Enter")
    expect(page.locator(f"ol.shots li[value='{before + 1}']")).to_be_visible()
    expect(screen.get_by_text("7 left")).to_be_visible()
    page.get_by_role("button", name="Undo").click()
    expect(page.locator(f"ol.shots li[value='{before + 1}']")).to_have_class(re.compile("out"))
    expect(screen.get_by_text("7 left")).to_have_count(0)
    page.get_by_role("button", name="Redo").click()
    expect(screen.get_by_text("7 left")).to_be_visible()


def test_a_wrong_line_says_its_piece_and_can_be_corrected(demo: Served, look: Look) -> None:
    watched = look(demo.address, PHONE)
    watched.expected += ["Failed to load resource"]
    page = watched.page(f"/visits/{demo.visit}/bay/")
    page.get_by_label(re.compile("^One line")).fill("168 12 84")
    page.get_by_role("button", name="Enter").click()
    expect(page.locator("#queue")).to_contain_text('"12" says no side')
    page.get_by_role("button", name="Type it again").click()
    expect(page.get_by_label(re.compile("^One line"))).to_have_value("168 12 84")


def test_a_ball_takes_at_most_four_taps(demo: Served, look: Look) -> None:
    """Carry, side, mark, Enter."""
    page = look(demo.address, PHONE, has_touch=True).page(f"/visits/{demo.visit}/bay/")
    before = int(page.locator("ol.shots li").first.get_attribute("value") or 0)
    page.get_by_role("group", name="Carry").get_by_role("button", name="91", exact=True).tap()
    page.get_by_role("group", name="Side").get_by_role("button", name="6R", exact=True).tap()
    page.get_by_role("group", name="Mark").get_by_role("button", name="thin").tap()
    page.get_by_role("button", name="Enter").tap()
    expect(page.locator(f"ol.shots li[value='{before + 1}']")).to_contain_text("thin")
    expect(page.locator(f"ol.shots li[value='{before + 1}']")).to_contain_text("6 right")
