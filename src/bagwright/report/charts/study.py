"""Pictures of a study: the spread of strokes, clubs by handicap, what clubs are worth."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from bagwright.report.charts.render import Chart, Spec, make_chart
from bagwright.report.charts.scale import limits, nice_step
from bagwright.report.safe import clean, label
from bagwright.report.theme import INK, KIND_SIGNS, QUIET
from bagwright.words import join, tell

_WIDTH = 520
_HEIGHT = 220
_ROW = 24
_CELL = 74
_NAME = 110
_BARS = 30
VIRIDIS_FROM_DARK = 0.55
"""From this share of the scale on viridis is light enough for ink on it; below, figures are white."""


def spread_chart(strokes: Sequence[float]) -> Chart:
    """Draw how many players need how many strokes a round, with lines at 5, 50 and 95 in a hundred."""
    title = tell("Expected strokes of a round")
    if not strokes:
        return make_chart("strokes", title, tell("No player was worked out."), _nothing())
    import numpy as np

    values = np.asarray(strokes)
    step = nice_step(max(float(np.ptp(values)), 1.0), _BARS)
    low = step * np.floor(values.min() / step)
    counts = np.bincount(np.floor((values - low) / step).astype(int))
    bars = [
        {"from": low + step * i, "to": low + step * (i + 1), "n": int(n), "zero": 0}
        for i, n in enumerate(counts)
    ]
    marks = [
        {"at": float(np.quantile(values, share)), "share": tell("{percent} %", percent=percent)}
        for percent, share in ((5, 0.05), (50, 0.5), (95, 0.95))
    ]
    body: Spec = {"width": _WIDTH, "height": _HEIGHT, "layer": [_bars(bars), *_lines(marks)]}
    alt = tell(
        "{n} players. Half need fewer than {middle:.1f} strokes; 5 in a hundred fewer than {low:.1f}, 5 more "
        "than {high:.1f}.",
        n=len(values), middle=marks[1]["at"], low=marks[0]["at"], high=marks[2]["at"],
    )  # fmt: skip
    return make_chart("strokes", title, alt, body)


def _bars(bars: list[dict[str, Any]]) -> Spec:
    x = {
        "field": "from", "type": "quantitative", "scale": {"zero": False, "nice": False},
        "axis": {"title": tell("strokes"), "grid": False},
    }  # fmt: skip
    y = {"field": "n", "type": "quantitative", "axis": {"title": tell("players"), "tickMinStep": 1}}
    return {
        "data": {"values": bars},
        "mark": {"type": "rect", "color": "#0072B2", "stroke": "white", "strokeWidth": 0.5},
        "encoding": {"x": x, "x2": {"field": "to"}, "y": y, "y2": {"field": "zero"}},
    }


def _lines(marks: list[dict[str, Any]]) -> list[Spec]:
    x = {"field": "at", "type": "quantitative"}
    rule = {"type": "rule", "color": INK, "strokeWidth": 1.2, "strokeDash": [5, 3]}
    text = {"type": "text", "align": "left", "baseline": "top", "dx": 4, "color": INK}
    return [
        {"data": {"values": marks}, "mark": rule, "encoding": {"x": x}},
        {
            "data": {"values": marks},
            "mark": text,
            "encoding": {"x": x, "y": {"value": 0}, "text": {"field": "share"}},
        },
    ]


def clubs_chart(shares: Mapping[str, Mapping[str, float]], clubs: Sequence[str], *, picked: bool) -> Chart:
    """Draw clubs against bands of handicap: how often each is in the best bag, or is used in a round.

    Every field holds its figure; colour says the same once more.
    """
    title = (
        tell("How often a club is in the best bag") if picked else tell("How often a club is used in a round")
    )
    values: list[dict[str, Any]] = [
        {"band": band, "club": label(club, 30), "value": value, "said": _figure(value, picked)}
        for band, row in shares.items()
        for club, value in row.items()
    ]
    if not values:
        return make_chart("clubs", title, tell("No player was worked out."), _nothing())
    top = 1.0 if picked else limits([datum["value"] for datum in values], zero=True)[1]
    bands = list(shares)
    x = {"field": "band", "type": "ordinal", "sort": bands,
         "axis": {"title": tell("handicap"), "labelAngle": 0, "orient": "top"}}  # fmt: skip
    y = {
        "field": "club",
        "type": "ordinal",
        "sort": [label(club, 30) for club in clubs],
        "axis": {"title": None},
    }
    colour = {"field": "value", "type": "quantitative", "legend": None,
              "scale": {"scheme": "viridis", "domain": [0, top]}}  # fmt: skip
    ink = {"condition": {"test": f"datum.value > {VIRIDIS_FROM_DARK * top}", "value": INK}, "value": "white"}
    body: Spec = {
        "width": {"step": _CELL}, "height": {"step": _ROW}, "data": {"values": values},
        "encoding": {"x": x, "y": y},
        "layer": [
            {"mark": {"type": "rect"}, "encoding": {"fill": colour}},
            {"mark": {"type": "text"}, "encoding": {"text": {"field": "said"}, "color": ink}},
        ],
    }  # fmt: skip
    said = [
        tell("Handicap {band}: {row}.", band=band, row=join(", ", _row_words(row, picked)))
        for band, row in shares.items()
    ]
    return make_chart("clubs", title, join(" ", said), body)


def _row_words(row: Mapping[str, float], picked: bool) -> Iterator[str]:
    for club, value in row.items():
        yield tell("{club} {figure}", club=clean(club, 30), figure=_figure(value, picked))


def _figure(value: float, picked: bool) -> str:
    return tell("{percent:.0f} %", percent=100 * value) if picked else tell("{times:.1f}", times=value)


def worth_chart(worth: Mapping[str, Sequence[float]]) -> Chart:
    """Draw what a club in the best bag is worth in strokes a round: 5 %, median and 95 % by club."""
    rows = [(club, low, middle, high) for club, (low, middle, high) in worth.items()]
    title = tell("What a club is worth in the best bag")
    if not rows:
        return make_chart("worth", title, tell("No club's worth was worked out."), _nothing())
    data: list[dict[str, Any]] = [
        {"lane": i, "club": label(club, 30), "kind": club.rpartition(" ")[2], "low": low, "value": middle,
         "high": high}
        for i, (club, low, middle, high) in enumerate(rows)
    ]  # fmt: skip
    ends = limits(
        [value for datum in data for value in (datum["low"], datum["high"])], parts=6, at_least=0.1, zero=True
    )
    x = {
        "field": "value", "type": "quantitative", "scale": {"domain": list(ends), "nice": False},
        "axis": {"title": tell("strokes a round (median; 5 to 95 in a hundred players)"), "tickCount": 6},
    }  # fmt: skip
    y = {
        "field": "lane", "type": "quantitative",
        "scale": {"domain": [-0.6, len(rows) - 0.4], "reverse": True, "nice": False, "zero": False},
        "axis": {"values": list(range(len(rows))), "labels": False, "title": None, "ticks": False,
                 "domain": False},
    }  # fmt: skip
    kinds = [kind for kind in KIND_SIGNS if any(datum["kind"] == kind for datum in data)]
    scale = {"domain": kinds}
    colour = {"field": "kind", "type": "nominal", "legend": None,
              "scale": {**scale, "range": [KIND_SIGNS[kind][0].colour for kind in kinds]}}  # fmt: skip
    shape = {"field": "kind", "type": "nominal", "legend": None,
             "scale": {**scale, "range": [KIND_SIGNS[kind][0].shape for kind in kinds]}}  # fmt: skip
    body: Spec = {
        "width": _WIDTH - _NAME, "height": max(2, len(rows)) * _ROW, "data": {"values": data},
        "encoding": {"y": y},
        "layer": [
            {"mark": {"type": "rule", "strokeWidth": 2, "color": QUIET},
             "encoding": {"x": {**x, "field": "low"}, "x2": {"field": "high"}}},
            {"mark": {"type": "point", "filled": True, "size": 70, "opacity": 1},
             "encoding": {"x": x, "fill": colour, "shape": shape}},
            {"mark": {"type": "text", "align": "left", "baseline": "middle", "dx": -_NAME,
                      "limit": _NAME - 8},
             "encoding": {"x": {"value": 0}, "text": {"field": "club"}}},
        ],
    }  # fmt: skip
    said = (
        tell(
            "{club} {middle:.2f} ({low:.2f} to {high:.2f})",
            club=clean(club, 30),
            middle=middle,
            low=low,
            high=high,
        )
        for club, low, middle, high in rows
    )
    alt = tell("Strokes a round, median with 5 to 95 in a hundred players: {said}.", said=join("; ", said))
    return make_chart("worth", title, alt, body)


def _nothing() -> Spec:
    return {"width": _WIDTH, "height": 40, "data": {"values": [{}]},
            "mark": {"type": "text", "text": tell("Nothing to draw.")}}  # fmt: skip
