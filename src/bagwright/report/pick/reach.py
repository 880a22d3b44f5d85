"""How far the clubs carry that are in today's bag and in the picked one: gaps that a swap opens or closes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from bagwright.report.charts.render import Chart, Spec, make_chart
from bagwright.report.charts.scale import limits
from bagwright.report.safe import clean, label
from bagwright.report.theme import INK
from bagwright.report.words import Show
from bagwright.words import join, tell

_ROW, _NAME, _PLOT = 26, 150, 380
_STATES = ("stays", "goes out", "comes in")


@dataclass(frozen=True, slots=True)
class Reach:
    """One club: carry of its stock swing from a fairway, and between what 9 of 10 solid balls carry."""

    club: str
    carry_m: float
    low_m: float
    high_m: float
    today: bool
    picked: bool


def reach_chart(clubs: Sequence[Reach], show: Show) -> Chart:
    """Draw the carries of both bags, the longest first: what stays, what goes out and what comes in."""
    shown = sorted((one for one in clubs if one.today or one.picked), key=lambda one: -one.carry_m)
    words = {"stays": tell("stays"), "goes out": tell("goes out"), "comes in": tell("comes in")}
    data = [_datum(one, lane, show, words) for lane, one in enumerate(shown)]
    low, high = limits(
        [value for datum in data for value in (datum["low"], datum["high"])], parts=6, at_least=20.0
    )
    x = {
        "field": "carry", "type": "quantitative",
        "scale": {"domain": [low, high], "nice": False, "zero": False},
        "axis": {"title": tell("carry, {unit_word}", unit_word=show.unit_word), "tickCount": 8},
    }  # fmt: skip
    y = {
        "field": "lane", "type": "quantitative",
        "scale": {"domain": [-0.6, len(data) - 0.4], "reverse": True, "nice": False, "zero": False},
        "axis": {"values": list(range(len(data))), "labels": False, "title": None, "ticks": False,
                 "domain": False},
    }  # fmt: skip
    domain = [words[state] for state in _STATES]
    colour = {
        "field": "state", "type": "nominal",
        "scale": {"domain": domain, "range": ["#5c5c5c", "#D55E00", "#0072B2"]},
        "legend": {"title": None, "orient": "top", "direction": "horizontal", "symbolSize": 90,
                   "symbolOpacity": 1},
    }  # fmt: skip
    shape = {**colour, "scale": {"domain": domain, "range": ["circle", "cross", "diamond"]}}
    body: Spec = {
        "width": _PLOT, "height": max(2, len(data)) * _ROW, "data": {"values": data}, "encoding": {"y": y},
        "layer": [
            {
                "mark": {"type": "rule", "strokeWidth": 2, "opacity": 0.6},
                "encoding": {"x": {**x, "field": "low"}, "x2": {"field": "high"},
                             "stroke": colour},
            },
            {
                "mark": {"type": "point", "filled": True, "size": 85, "opacity": 1},
                "encoding": {"x": x, "fill": colour, "stroke": colour, "shape": shape},
            },
            {
                "mark": {"type": "text", "align": "left", "baseline": "middle", "dx": -_NAME,
                         "limit": _NAME - 10, "color": INK},
                "encoding": {"x": {"value": 0}, "text": {"field": "club"}},
            },
        ],
    }  # fmt: skip
    return make_chart("reach", tell("Carries before and after"), _in_words(shown, show), body)


def _state(one: Reach) -> str:
    return "stays" if one.today and one.picked else "goes out" if one.today else "comes in"


def _datum(one: Reach, lane: int, show: Show, words: dict[str, str]) -> dict[str, Any]:
    return {
        "lane": lane, "club": label(one.club, 40), "carry": show.inside(one.carry_m),
        "low": show.inside(one.low_m), "high": show.inside(one.high_m), "state": words[_state(one)],
    }  # fmt: skip


def _in_words(shown: Sequence[Reach], show: Show) -> str:
    words = {"stays": tell("stays"), "goes out": tell("goes out"), "comes in": tell("comes in")}
    said = [
        tell(
            "{club}: {carry}, {state}.", club=clean(one.club, 40), carry=show.distance(one.carry_m),
            state=words[_state(one)],
        )
        for one in shown
    ]  # fmt: skip
    return tell("Carries of stock swings, solid balls. ") + join(" ", said)
