"""Charts in pages: compiled on the server, hostile text inert, words and table beside the picture."""

from __future__ import annotations

import json
import re

import pytest
from django.template import Context, Template

from bagwright.report.charts.render import Chart, make_chart
from bagwright.web.charting import vega_of

HOSTILE = [
    "</script><script>alert(1)</script>",
    "$x^{$",
    '"><img src=x onerror=alert(1)>',
    "\u202egnp",
    "5\u20ac",
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
    assert text in json.dumps(json.loads(spec[1]), ensure_ascii=False).replace('\\"', '"')
