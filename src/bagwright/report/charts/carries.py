"""Distances with ranges: every club and swing of the bag by carry."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from bagwright.report.charts.render import Chart, Spec, make_chart
from bagwright.report.charts.scale import limits
from bagwright.report.model import CarryRow
from bagwright.report.safe import clean, label
from bagwright.report.theme import QUIET, SWING_COLOURS, SWING_SHAPES
from bagwright.report.words import Show, joined, spanned
from bagwright.words import join, tell, term

_ROW = 30
_NAME = 150
_FIGURES = 116
_PLOT = 352
_LEGEND = {"title": None, "orient": "top", "symbolSize": 90, "symbolOpacity": 1, "direction": "horizontal"}


def carry_chart(clubs: Sequence[CarryRow], show: Show) -> Chart:
    """Draw carries of solid strikes, longest club first; other swings stand below the stock swing."""
    names = clubs_by_carry(clubs)
    place = {name: i for i, name in enumerate(names)}
    known = [row for row in clubs if row.carry_m is not None]
    data = [_datum(row, place[row.club], show) for row in known]
    ends = [value for datum in data for value in (datum["low"], datum["high"])]
    low, high = limits(ends, parts=6, at_least=20.0)
    x = {
        "field": "carry",
        "type": "quantitative",
        "scale": {"domain": [low, high], "nice": False, "zero": False},
        "axis": {"title": tell("carry, {unit_word}", unit_word=show.unit_word), "tickCount": 8},
    }
    y = {
        "field": "lane",
        "type": "quantitative",
        "scale": {"domain": [-0.6, len(names) - 0.3], "reverse": True, "nice": False, "zero": False},
        "axis": {
            "values": list(range(len(names))),
            "labels": False,
            "title": None,
            "ticks": False,
            "domain": False,
        },
    }
    body = {
        "width": _PLOT,
        "height": max(2, len(names)) * _ROW,
        "data": {"values": data},
        "encoding": {"y": y},
        "layer": [_ranges(x, _colour(data)), _points(x, data), _names(names), _figures()],
    }
    title = tell("How far each club carries")
    return make_chart("distances", title, _in_words(known, names, show), body)


def clubs_by_carry(clubs: Sequence[CarryRow]) -> list[str]:
    """Give the clubs from long to short by stock carry (else the longest swing); unknown ones last."""
    reach: dict[str, tuple[int, float]] = {}
    for row in clubs:
        carry = row.carry_m.value if row.carry_m is not None else float("-inf")
        rank = (1 if row.swing == "stock" and row.carry_m is not None else 0, carry)
        reach[row.club] = max(rank, reach.get(row.club, (-1, float("-inf"))))
    return sorted(reach, key=lambda name: -reach[name][1])


def _datum(row: CarryRow, place: int, show: Show) -> dict[str, Any]:
    if row.carry_m is None:
        raise ValueError(f"{row.club} has no carry to draw")
    shown = show.scaled(row.carry_m)
    return {
        "club": label(row.club, 40),
        "swing": term(row.swing),
        "known": "hit" if row.measured else "estimated",
        "lane": place + (0.0 if row.swing == "stock" else 0.36),
        "carry": shown.value,
        "low": shown.low,
        "high": shown.high,
        "said": spanned(shown) if row.swing == "stock" else "",
    }


def _colour(data: list[dict[str, Any]]) -> Spec:
    swings = [swing for swing in SWING_SHAPES if any(datum["swing"] == swing for datum in data)]
    return {
        "field": "swing",
        "type": "nominal",
        "scale": {
            "domain": [term(swing) for swing in swings],
            "range": [SWING_COLOURS[swing] for swing in swings],
        },
    }


def _ranges(x: Spec, colour: Spec) -> Spec:
    return {
        "mark": {"type": "rule", "strokeWidth": 2.5, "opacity": 0.6},
        "encoding": {
            "x": {**x, "field": "low"},
            "x2": {"field": "high"},
            "stroke": {**colour, "legend": _LEGEND},
            "strokeDash": {
                "condition": {"test": "datum.known == 'estimated'", "value": [3, 3]},
                "value": [1, 0],
            },
        },
    }


def _points(x: Spec, data: list[dict[str, Any]]) -> Spec:
    colour = _colour(data)
    shapes = [SWING_SHAPES[swing] for swing in colour["scale"]["domain"]]
    return {
        "mark": {"type": "point", "filled": True, "size": 85, "opacity": 1, "strokeWidth": 1.6},
        "encoding": {
            "x": x,
            "fill": {**colour, "legend": _LEGEND},
            "stroke": {**colour, "legend": _LEGEND},
            "shape": {
                **colour,
                "scale": {"domain": colour["scale"]["domain"], "range": shapes},
                "legend": _LEGEND,
            },
            "fillOpacity": {
                "condition": {"test": "datum.known == 'estimated'", "value": 0},
                "value": 1,
            },
        },
    }


def _names(names: list[str]) -> Spec:
    values = [{"lane": i, "name": label(name, 40)} for i, name in enumerate(names)]
    return {
        "data": {"values": values},
        "mark": {"type": "text", "align": "left", "baseline": "middle", "dx": -_NAME, "limit": _NAME - 10},
        "encoding": {"x": {"value": 0}, "text": {"field": "name"}},
    }


def _figures() -> Spec:
    return {
        "transform": [{"filter": "datum.said != ''"}],
        "mark": {"type": "text", "align": "left", "baseline": "middle", "dx": 10, "color": QUIET},
        "encoding": {"x": {"value": "width"}, "text": {"field": "said"}},
    }


def _in_words(known: Sequence[CarryRow], names: list[str], show: Show) -> str:
    if not known:
        return tell("No carries are known yet.")
    said = []
    for name in names:
        swings = [
            tell(
                "{swing} {distance_ranged}{value}",
                swing=term(row.swing),
                distance_ranged=show.distance_ranged(row.carry_m),
                value="" if row.measured else tell(", estimated"),
            )
            for row in known
            if row.club == name
        ]
        if swings:
            said.append(tell("{name}: {joined}.", name=clean(name, 40), joined=joined(swings)))
    return tell("Carry of solid strikes with 90 % ranges, longest first. ") + join(" ", said)
