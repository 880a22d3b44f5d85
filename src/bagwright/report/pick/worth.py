"""What each club of a bag is worth, as bars with ranges."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from bagwright.pick.result import Worth
from bagwright.report.charts.render import Chart, Spec, make_chart
from bagwright.report.charts.scale import limits
from bagwright.report.pick.words import worth_figure
from bagwright.report.safe import clean, label
from bagwright.report.theme import INK, QUIET
from bagwright.words import join, tell

_ROW, _NAME, _PLOT = 26, 150, 380
_BAR = "#0072B2"


def worth_chart(worth: Sequence[Worth]) -> Chart:
    """Draw strokes a round that each club saves, the most first, with the 90 % range where it is known."""
    data = [_datum(one, lane) for lane, one in enumerate(worth)]
    ends = [
        value
        for datum in data
        for value in (datum["worth"], datum["low"], datum["high"])
        if value is not None
    ]
    low, high = limits([0.0, *ends], parts=6, at_least=0.05)
    x = {
        "field": "worth", "type": "quantitative", "scale": {"domain": [low, high], "nice": False},
        "axis": {"title": tell("strokes a round that the bag loses without it"), "tickCount": 6},
    }  # fmt: skip
    y = {
        "field": "lane", "type": "quantitative",
        "scale": {"domain": [-0.6, len(data) - 0.4], "reverse": True, "nice": False, "zero": False},
        "axis": {"values": list(range(len(data))), "labels": False, "title": None, "ticks": False,
                 "domain": False},
    }  # fmt: skip
    body: Spec = {
        "width": _PLOT, "height": max(2, len(data)) * _ROW, "data": {"values": data}, "encoding": {"y": y},
        "layer": [_bars(x), _ranges(x), _names(), _figures()],
    }  # fmt: skip
    return make_chart("worth", tell("What each club is worth"), _in_words(worth), body)


def _datum(one: Worth, lane: int) -> dict[str, Any]:
    spread = one.range
    return {
        "lane": lane, "club": label(one.club, 40), "worth": one.strokes, "said": worth_figure(one),
        "low": None if spread is None else spread.low, "high": None if spread is None else spread.high,
    }  # fmt: skip


def _bars(x: Spec) -> Spec:
    return {
        "mark": {"type": "bar", "height": 12, "color": _BAR, "opacity": 0.75},
        "encoding": {"x": x, "x2": {"datum": 0}},
    }


def _ranges(x: Spec) -> Spec:
    return {
        "transform": [{"filter": "datum.low !== null"}],
        "mark": {"type": "rule", "strokeWidth": 2, "color": INK},
        "encoding": {"x": {**x, "field": "low"}, "x2": {"field": "high"}},
    }


def _names() -> Spec:
    return {
        "mark": {"type": "text", "align": "left", "baseline": "middle", "dx": -_NAME, "limit": _NAME - 10},
        "encoding": {"x": {"value": 0}, "text": {"field": "club"}},
    }


def _figures() -> Spec:
    return {
        "mark": {"type": "text", "align": "left", "baseline": "middle", "dx": 10, "color": QUIET},
        "encoding": {"x": {"value": "width"}, "text": {"field": "said"}},
    }


def _in_words(worth: Sequence[Worth]) -> str:
    said = [tell("{club}: {strokes}.", club=clean(one.club, 40), strokes=worth_figure(one)) for one in worth]
    return tell("Strokes a round that the bag loses without each club. ") + join(" ", said)
