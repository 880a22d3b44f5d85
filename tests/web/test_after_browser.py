"""Delivery and check in a real browser: every page reachable by all, a gauge in one hand, metres on a phone."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.web.browser import DESK, PHONE, Served, Watched, violations

Look = Callable[..., Watched]


@pytest.fixture(scope="module")
def built(demo: Served) -> Served:
    """The demo, served; what one test stores the next ones see."""
    return demo


def gauge(page: Page, n: int, name: str = "loft_deg") -> str:
    """The selector of the n-th club's field."""
    return f"table.gauge tbody tr:nth-child({n}) [data-gauge={name}]"


def test_enter_goes_down_the_clubs_then_to_the_next_column(built: Served, look: Look) -> None:
    page = look(built.address, DESK).page(f"/visits/{built.visit}/check/")
    page.locator(gauge(page, 1)).focus()
    page.keyboard.type("12")
    page.keyboard.press("Enter")
    expect(page.locator(gauge(page, 2))).to_be_focused()
    page.keyboard.press("Shift+Enter")
    expect(page.locator(gauge(page, 1))).to_be_focused()
    last = page.locator("table.gauge [data-gauge=loft_deg]").last
    last.focus()
    page.keyboard.press("Enter")
    expect(page.locator(gauge(page, 1, "lie_angle_deg"))).to_be_focused()
    page.locator("table.gauge [data-gauge=groove_state]").last.focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="Keep the measures")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("1 club")


def test_a_built_club_is_measured_accepted_and_told(built: Served, look: Look) -> None:
    watched = look(built.address, PHONE)
    watched.expected += ["422"]
    page = watched.page(f"/visits/{built.visit}/delivery/")
    page.get_by_label("Loft (°)").fill("51,9")
    page.get_by_label("Loft (°)").press("Enter")
    expect(page.get_by_label("Lie angle (°)")).to_be_focused()
    page.get_by_role("button", name="Accept it").click()
    expect(page.get_by_role("heading", name="Accept it although")).to_be_visible()
    assert violations(page) == []
    page.get_by_label("Why it is accepted").fill("The player likes it")
    page.get_by_role("button", name="Accept it all the same").click()
    expect(page.get_by_role("status")).to_contain_text("can be hit in the bay")
    expect(page.get_by_text("Accepted although out of tolerance")).to_be_visible()
