"""What other air does to each club: change of carry by temperature, altitude and wind, with ranges."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from bagwright.report.charts.render import Chart, Spec, make_chart
from bagwright.report.charts.scale import limits
from bagwright.report.model import AirCard, AirColumn
from bagwright.report.safe import clean, label
from bagwright.report.theme import INK, Sign, sign
from bagwright.report.words import Show, number
from bagwright.words import join, tell

_ROW = 26
_NAME = 120
_PART = 152
_TITLES = {"temperature": tell("Temperature"), "altitude": tell("Altitude"), "wind": tell("Wind")}


def air_chart(card: AirCard, show: Show) -> Chart:
    """Draw a part for each group of settings, a lane a club, a sign a setting with its 90 % range."""
    groups = list(dict.fromkeys(column.group for column in card.columns))
    clubs = [row.club for row in card.rows]
    body: Spec = {
        "hconcat": [_part(card, group, clubs, show, first=not i) for i, group in enumerate(groups)],
        "spacing": 14,
        "resolve": {"scale": dict.fromkeys(("fill", "stroke", "shape", "x", "y"), "independent")},
    }
    return make_chart("air", tell("What other air does"), _in_words(card, show), body)


def _data(card: AirCard, group: str, show: Show) -> list[dict[str, Any]]:
    found = []
    for i, column in enumerate(card.columns):
        if column.group != group:
            continue
        for lane, row in enumerate(card.rows):
            change = row.change_m[i]
            if change is None:
                continue
            shown = show.scaled(change)
            found.append(
                {"lane": lane, "label": column.label, "by": shown.value, "low": shown.low, "high": shown.high}
            )
    return found


def _part(card: AirCard, group: str, clubs: Sequence[str], show: Show, *, first: bool) -> Spec:
    data = _data(card, group, show)
    columns = [column for column in card.columns if column.group == group]
    ends = [0.0, *(value for datum in data for value in (datum["low"], datum["high"]))]
    low, high = limits(ends, parts=4, at_least=4.0)
    x = {
        "field": "by",
        "type": "quantitative",
        "scale": {"domain": [low, high], "nice": False, "zero": False},
        "axis": {
            "title": tell("change of carry, {unit_word}", unit_word=show.unit_word),
            "tickCount": 4,
            "labelExpr": "(datum.value > 0 ? '+' : '') + replace(datum.label, '-', '−')",
        },
    }
    y = {"field": "lane", "type": "quantitative",
         "scale": {"domain": [-0.6, len(clubs) - 0.4], "reverse": True, "nice": False, "zero": False},
         "axis": {"values": list(range(len(clubs))), "labels": False, "title": None, "ticks": False,
                  "domain": False}}  # fmt: skip
    layers = [_today(), *_marks(data, columns, x, y)]
    if first:
        layers.append(_names(clubs, y))
    return {
        "width": _PART,
        "height": max(2, len(clubs)) * _ROW,
        "title": {"text": _TITLES.get(group, group.capitalize()), "fontSize": 12},
        "layer": layers,
    }


def _today() -> Spec:
    return {"data": {"values": [{"by": 0}]}, "mark": {"type": "rule", "color": INK, "strokeWidth": 1},
            "encoding": {"x": {"field": "by", "type": "quantitative"}}}  # fmt: skip


def _marks(data: list[dict[str, Any]], columns: Sequence[AirColumn], x: Spec, y: Spec) -> list[Spec]:
    signs: list[Sign] = [sign(i) for i in range(len(columns))]
    domain = [column.label for column in columns]
    legend = {"title": None, "orient": "bottom", "columns": 2, "symbolSize": 80, "symbolOpacity": 1,
              "symbolStrokeWidth": 1.4, "labelLimit": 120}  # fmt: skip
    colour = {"field": "label", "type": "nominal", "legend": legend,
              "scale": {"domain": domain, "range": [s.colour for s in signs]}}  # fmt: skip
    shape = {"field": "label", "type": "nominal", "legend": legend,
             "scale": {"domain": domain, "range": [s.shape for s in signs]}}  # fmt: skip
    ranges = {"data": {"values": data}, "mark": {"type": "rule", "strokeWidth": 2, "opacity": 0.65},
              "encoding": {"x": {**x, "field": "low"}, "x2": {"field": "high"}, "y": y,
                           "stroke": colour}}  # fmt: skip
    points = {"data": {"values": data}, "mark": {"type": "point", "filled": True, "size": 60, "opacity": 1},
              "encoding": {"x": x, "y": y, "fill": colour, "stroke": colour, "shape": shape}}  # fmt: skip
    return [ranges, points]


def _names(clubs: Sequence[str], y: Spec) -> Spec:
    values = [{"lane": i, "name": label(name, 40)} for i, name in enumerate(clubs)]
    return {
        "data": {"values": values},
        "mark": {"type": "text", "align": "left", "baseline": "middle", "dx": -_NAME, "limit": _NAME - 8},
        "encoding": {"x": {"value": 0}, "y": y, "text": {"field": "name"}},
    }


def _in_words(card: AirCard, show: Show) -> str:
    said = [tell("Change of carry against today ({today}), with 90 % ranges.", today=clean(card.today, 80))]
    for row in card.rows:
        parts = []
        for column, change in zip(card.columns, row.change_m, strict=True):
            if change is None:
                continue
            shown = show.scaled(change)
            parts.append(
                tell(
                    "{label} {signed} ({signed_2} to {signed_3})",
                    label=clean(column.label, 30),
                    signed=signed(shown.value),
                    signed_2=signed(shown.low),
                    signed_3=signed(shown.high),
                )
            )
        if parts:
            said.append(
                tell(
                    "{row_club}: {parts} {unit_word}.",
                    row_club=clean(row.club, 40),
                    parts=join(", ", parts),
                    unit_word=show.unit_word,
                )
            )
    return join(" ", said)


def signed(value: float) -> str:
    """Give a whole number with its sign: "+3", "−4", "0"."""
    text = number(value)
    return text if text == "0" or text.startswith("−") else "+" + text
