"""Charts in a real browser: drawn under the policy, readable on a phone and in the dark, harmless when broken."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.web.browser import DESK, PHONE, Served, Watched, too_wide, violations

pytestmark = pytest.mark.browser
Look = Callable[..., Watched]
PICTURES = ("landing", "flight", "order", "carries")
DRAWN = "figure.chart[data-state='drawn']"


def opened(watched: Watched, visit: int, picture: str) -> Page:
    page = watched.page(f"/visits/{visit}/pictures/?picture={picture}")
    expect(page.locator(DRAWN)).to_have_count(1)
    return page


def letters_px(page: Page) -> float:
    """Height of the smallest letters of the chart, as they stand on the screen."""
    return float(
        page.evaluate(
            """() => {
              const svg = document.querySelector("figure.chart svg");
              const scale = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
              const sizes = [...svg.querySelectorAll("text")].map(t => parseFloat(t.getAttribute("font-size")));
              return scale * Math.min(...sizes.filter(Number.isFinite));
            }"""
        )
    )


def cut_off(page: Page) -> list[str]:
    """Texts of the chart that reach beyond the picture's edge: measured with another font than drawn with."""
    found: list[str] = page.evaluate(
        """() => {
          const svg = document.querySelector("figure.chart svg"), edge = svg.getBoundingClientRect();
          return [...svg.querySelectorAll("text")].filter(function (text) {
            const box = text.getBoundingClientRect();
            return box.width && (box.left < edge.left - 1 || box.right > edge.right + 1);
          }).map(text => text.textContent);
        }"""
    )
    return found


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("picture", PICTURES)
def test_a_chart_is_drawn_and_can_be_read_on_a_phone(
    demo: Served, look: Look, picture: str, scheme: str
) -> None:
    page = opened(look(demo.address, PHONE, color_scheme=scheme), demo.visit, picture)
    assert page.locator("figure.chart svg path").count() > 10
    assert letters_px(page) >= 10.0
    assert cut_off(page) == []
    assert violations(page) == []
    assert not too_wide(page)


def test_letters_stand_out_from_the_picture_s_ground_in_light_and_dark(demo: Served, look: Look) -> None:
    """The colours are the page's own, so the letters are light on dark when the page is dark."""
    seen = {}
    for scheme in ("light", "dark"):
        page = opened(look(demo.address, DESK, color_scheme=scheme), demo.visit, "order")
        seen[scheme] = page.evaluate(
            """() => [...document.querySelectorAll("figure.chart svg text")]
              .map(t => getComputedStyle(t).fill.match(/\\d+/g).slice(0, 3).reduce((a, b) => a + Number(b), 0) / 3)"""
        )
    assert max(seen["light"]) < 128.0 < min(seen["dark"])


def test_a_chart_takes_the_room_that_it_gets(demo: Served, look: Look) -> None:
    page = opened(look(demo.address, DESK), demo.visit, "order")
    width = "document.querySelector('figure.chart svg').getBoundingClientRect().width"
    wide = page.evaluate(width)
    page.set_viewport_size({"width": 420, "height": 844})
    page.wait_for_function(f"() => {width} <= 420")
    assert wide > 600.0
    assert letters_px(page) >= 10.0


def test_what_must_be_scrolled_is_reached_by_the_keyboard(demo: Served, look: Look) -> None:
    page = opened(look(demo.address, PHONE), demo.visit, "flight")
    canvas = page.locator("figure.chart .canvas")
    assert canvas.evaluate("e => e.scrollWidth > e.clientWidth")
    expect(canvas).to_have_attribute("tabindex", "0")
    page.set_viewport_size({"width": DESK[0], "height": DESK[1]})
    expect(canvas).not_to_have_attribute("tabindex", "0")


def test_another_picture_comes_without_a_new_page(demo: Served, look: Look) -> None:
    page = opened(look(demo.address, DESK), demo.visit, "landing")
    page.evaluate("() => { window.same = true; }")
    before = page.locator("figure.chart").get_attribute("data-spec")
    page.locator("#tab-order").click()
    expect(page.locator("#tab-order")).to_have_attribute("aria-current", "true")
    expect(page.locator(DRAWN)).to_have_count(1)
    assert page.locator("figure.chart").get_attribute("data-spec") != before
    assert page.evaluate("window.same")


def test_a_chart_that_cannot_be_drawn_leaves_its_words(demo: Served, look: Look) -> None:
    """Two broken ones: not JSON at all, and data from another host, which a chart never asks for."""
    page = opened(look(demo.address, DESK), demo.visit, "landing")
    page.evaluate(
        """() => {
          const first = document.querySelector("figure.chart");
          const away = JSON.stringify({ data: [{ name: "a", url: "https://elsewhere.example/x.json" }], marks: [] });
          for (const [id, text] of [["broken", "{"], ["away", away]]) {
            const copy = first.cloneNode(true);
            copy.removeAttribute("data-state");
            copy.dataset.spec = id;
            copy.querySelector("script").id = id;
            copy.querySelector("script").textContent = text;
            first.after(copy);
          }
          document.dispatchEvent(new CustomEvent("bagwright:charts"));
        }"""
    )
    failed = page.locator("figure.chart[data-state='failed']")
    expect(page.locator("figure.chart[data-spec='broken']")).to_have_attribute("data-state", "failed")
    expect(failed.first.locator(".canvas")).to_be_hidden()
    expect(failed.first.locator("figcaption")).to_contain_text("Landing points")
    expect(page.locator("figure.chart[data-spec='away']")).to_have_attribute(
        "data-state", re.compile("failed|drawn")
    )
    expect(page.locator(DRAWN)).not_to_have_count(0)


def test_the_tip_tells_a_mark_and_goes_away(demo: Served, look: Look) -> None:
    """A definition that names a tip shows it as text, whatever stands in it; Escape sends it off."""
    page = opened(look(demo.address, DESK), demo.visit, "landing")
    said = "<img src=x onerror=alert(1)>"
    page.evaluate(
        """(said) => {
          const figure = document.querySelector("figure.chart").cloneNode(true);
          figure.removeAttribute("data-state");
          figure.dataset.spec = figure.querySelector("script").id = "tipped";
          figure.querySelector("script").textContent = JSON.stringify({ width: 200, height: 200, marks: [
            { type: "rect", encode: { enter: { width: { value: 200 }, height: { value: 200 },
              fill: { value: "gray" }, tooltip: { signal: "{club: '" + said + "', carry: '90 yd'}" } } } }] });
          document.querySelector("figure.chart").before(figure);
          document.dispatchEvent(new CustomEvent("bagwright:charts"));
        }""",
        said,
    )
    expect(page.locator(DRAWN)).to_have_count(2)
    page.locator("figure.chart[data-spec='tipped'] svg").hover(position={"x": 100, "y": 100})
    tip = page.locator("#chart-tip")
    expect(tip).to_have_text(f"club: {said}\ncarry: 90 yd")
    assert violations(page) == []
    page.keyboard.press("Escape")
    expect(tip).to_be_hidden()
