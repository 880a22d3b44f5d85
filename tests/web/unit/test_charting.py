"""Charts in pages: compiled on the server, hostile text inert, words and table beside the picture."""

from __future__ import annotations

import json
import re

import pytest
from django.template import Context, Template

from bagwright.errors import MachineError
from bagwright.report.charts.render import Chart, make_chart
from bagwright.report.theme import FONT, INK, sign
from bagwright.web.charting import SCREEN_FONT, _compiled, vega_of

HOSTILE = [
    "</script><script>alert(1)</script>",
    "$x^{$",
    '"><img src=x onerror=alert(1)>',
    "\u202egnp",
    "5\u20ac",
    "bell\x07 escape\x1b[31m line\u2028 end",
    "white",
    INK,
]


def bars(title: str) -> Chart:
    body = {
        "data": {"values": [{"club": title, "carry": 100.0}]},
        "mark": "bar",
        "encoding": {"x": {"field": "carry", "type": "quantitative"}, "y": {"field": "club"}},
    }
    return make_chart("bars", title, f"{title} carries 100", body)


def test_a_chart_becomes_vega_with_the_same_data() -> None:
    vega = vega_of(bars("7 iron"))
    assert vega["$schema"].endswith("/vega/v6.json")
    assert "7 iron" in json.dumps(vega["data"])


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_stays_text(text: str) -> None:
    shown = Template("{% load charts %}{% chart one headings rows %}").render(
        Context({"one": bars(text), "headings": ["Club"], "rows": [[text]]})
    )
    assert shown.count("<script") == 1
    assert shown.count("</script>") == 1
    assert "<img" not in shown
    spec = re.search(r"<script[^>]*>(.*?)</script>", shown, re.DOTALL)
    assert spec is not None
    assert json.loads(spec[1])["data"][0]["values"][0]["club"] == text


def test_a_lone_half_of_a_character_is_refused_with_the_chart_s_name() -> None:
    with pytest.raises(MachineError, match='"bars"'):
        vega_of(bars("\ud800"))


def test_colours_and_font_are_the_page_s_but_data_are_left_alone() -> None:
    """Otherwise a dark page shows dark letters, and a club called "white" would lose its name."""
    one = {
        "title": {"text": "white", "color": INK},
        "data": {"values": [{"club": "white", "colour": sign(0).colour, "carry": 100.0}]},
        "mark": {"type": "point", "color": INK},
        "encoding": {
            "x": {"field": "carry", "type": "quantitative", "axis": {"title": "white"}},
            "y": {"field": "club", "scale": {"domain": ["white"]}},
            "fill": {"field": "colour", "scale": None},
        },
    }
    vega = vega_of(make_chart("one", "white", "white", one))
    row = vega["data"][0]["values"][0]
    assert row["club"] == "white"
    assert row["colour"] == "var(--oi-1, #0072b2)"
    assert ["white"] in [scale["domain"] for scale in vega["scales"]]
    assert "white" in [axis.get("title") for axis in vega["axes"]]
    assert vega["title"]["text"] == vega["description"] == "white"
    assert vega["background"] == "var(--sheet, #ffffff)"
    text = json.dumps(vega)
    assert FONT not in text
    assert SCREEN_FONT in text
    assert INK not in text.replace(f"var(--ink, {INK})", "")


def test_a_number_that_is_not_finite_is_missing() -> None:
    """NaN is no JSON: a page could not read the definition at all."""
    chart = bars("a")
    chart.spec["data"]["values"][0]["carry"] = float("nan")
    text = json.dumps(vega_of(chart), allow_nan=False)
    assert '"carry": null' in text


def test_the_same_chart_is_compiled_once() -> None:
    _compiled.cache_clear()
    assert vega_of(bars("b")) == vega_of(bars("b"))
    assert (_compiled.cache_info().misses, _compiled.cache_info().hits) == (1, 1)


def test_only_a_chart_whose_width_is_free_says_so() -> None:
    page = Template("{% load charts %}{% chart one %}")
    body = bars("c").spec
    fixed = page.render(Context({"one": Chart("landing", "t", "a", body)}))
    free = page.render(Context({"one": Chart("order", "t", "a", body)}))
    assert 'data-fit="width"' in free
    assert "data-fit" not in fixed
    assert "<details>" not in free
