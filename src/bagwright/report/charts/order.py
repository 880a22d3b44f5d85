"""The order of shots with drift: how far each ball flew past or short of its club's own centre."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from bagwright.report.charts.render import Chart, Spec, make_chart
from bagwright.report.charts.scale import limits
from bagwright.report.model import Ball, DriftLine
from bagwright.report.safe import clean, label
from bagwright.report.theme import INK, QUIET, sign
from bagwright.report.words import Show, counted, number, spanned
from bagwright.words import join, tell

_WIDTH = 560
_HEIGHT = 165
OTHERS = tell("other clubs")


def order_chart(
    balls: Sequence[Ball], drift: Sequence[DriftLine], candidates: Sequence[str], show: Show
) -> Chart:
    """Draw one strip for each visit, balls in the order hit, the drift with its range behind them."""
    visits = list(dict.fromkeys(ball.visit for ball in balls))
    drawn = [ball for ball in balls if ball.off_centre_m is not None and ball.mark != "bad-read"]
    points = [_point(ball, candidates, show) for ball in drawn]
    lines = [datum for line in drift for datum in _drift(line, show)]
    ends = [datum["off"] for datum in points] + [
        value for datum in lines for value in (datum["low"], datum["high"])
    ]
    domain = limits(ends, parts=4, at_least=10.0)
    strips = [_strip(visit, points, lines, candidates, domain, show, len(visits) > 1) for visit in visits]
    body: Spec = strips[0] if len(strips) == 1 else {"vconcat": strips, "spacing": 16}
    title = tell("Ball by ball: past or short of the club's own carry")
    return make_chart("order", title, _in_words(visits, drawn, drift, show), body if strips else _empty())


def _point(ball: Ball, candidates: Sequence[str], show: Show) -> dict[str, Any]:
    if ball.off_centre_m is None:
        raise ValueError(f"ball {ball.order} has no carry to draw")
    return {
        "visit": ball.visit,
        "order": ball.order,
        "off": show.inside(ball.off_centre_m),
        "label": _label(candidates, ball.club),
        "struck": ball.mark or "solid",
    }


def _label(candidates: Sequence[str], club: str) -> str:
    if club not in candidates:
        return OTHERS
    return tell("{letter}  {club}", letter=sign(candidates.index(club)).letter, club=label(club, 26))


def _drift(line: DriftLine, show: Show) -> list[dict[str, Any]]:
    found = []
    for order, estimate in zip(line.balls, line.drift_m, strict=True):
        shown = show.scaled(estimate)
        found.append(
            {"visit": line.visit, "order": order, "off": shown.value, "low": shown.low, "high": shown.high}
        )
    return found


def _strip(
    visit: str,
    points: list[dict[str, Any]],
    lines: list[dict[str, Any]],
    candidates: Sequence[str],
    domain: tuple[float, float],
    show: Show,
    titled: bool,
) -> Spec:
    here = [datum for datum in points if datum["visit"] == visit]
    last = max([datum["order"] for datum in here], default=1)
    x = {"field": "order", "type": "quantitative",
         "scale": {"domain": [0, last + 1], "nice": False},
         "axis": {"title": tell("ball of the visit"), "grid": False, "tickMinStep": 1}}  # fmt: skip
    y = {
        "field": "off",
        "type": "quantitative",
        "scale": {"domain": list(domain), "nice": False, "zero": False},
        "axis": {"title": tell("past (+) or short (−), {unit}", unit=show.unit), "tickCount": 5},
    }
    fitted = {"values": [datum for datum in lines if datum["visit"] == visit]}
    layers = [
        _zero(),
        *_fitted(fitted, x, y),
        _balls(here, candidates, {datum["label"] for datum in points}, x, y),
    ]
    strip: Spec = {"width": _WIDTH, "height": _HEIGHT, "layer": layers}
    if titled:
        strip["title"] = {
            "text": tell("Visit {visit}", visit=label(visit, 40)) if visit else tell("Visit"),
            "fontSize": 12,
        }
    return strip


def _zero() -> Spec:
    return {
        "data": {"values": [{"off": 0}]},
        "mark": {"type": "rule", "color": INK, "strokeWidth": 1},
        "encoding": {"y": {"field": "off", "type": "quantitative"}},
    }


def _fitted(data: Spec, x: Spec, y: Spec) -> list[Spec]:
    if not data["values"]:
        return []
    band = {"data": data, "mark": {"type": "area", "color": QUIET, "opacity": 0.16, "clip": True},
            "encoding": {"x": x, "y": {**y, "field": "low"}, "y2": {"field": "high"}}}  # fmt: skip
    line = {
        "data": data,
        "mark": {"type": "line", "color": QUIET, "strokeWidth": 2, "clip": True},
        "encoding": {"x": x, "y": y},
    }
    return [band, line]


def _balls(
    here: list[dict[str, Any]], candidates: Sequence[str], present: set[str], x: Spec, y: Spec
) -> Spec:
    labels = list(dict.fromkeys(_label(candidates, name) for name in candidates))
    signs = [sign(i) for i in range(len(labels))]
    colours, shapes = [s.colour for s in signs], [s.shape for s in signs]
    if OTHERS in present:
        labels, colours, shapes = [*labels, OTHERS], [*colours, "#8a8a8a"], [*shapes, "circle"]
    kept = [i for i, label in enumerate(labels) if label in present]
    pick = {"domain": [labels[i] for i in kept]}
    legend = {"title": None, "orient": "top", "columns": min(3, len(kept)), "symbolSize": 90}
    field: Spec = {"field": "label", "type": "nominal", "legend": legend}
    return {
        "data": {"values": here},
        "mark": {"type": "point", "filled": True, "size": 55, "strokeWidth": 1.4, "opacity": 1},
        "encoding": {
            "x": x, "y": y,
            "fill": {**field, "scale": {**pick, "range": [colours[i] for i in kept]}},
            "stroke": {**field, "scale": {**pick, "range": [colours[i] for i in kept]}, "legend": None},
            "shape": {**field, "scale": {**pick, "range": [shapes[i] for i in kept]}},
            "fillOpacity": {"condition": {"test": "datum.struck != 'solid'", "value": 0}, "value": 1},
        },
    }  # fmt: skip


def _empty() -> Spec:
    return {"width": _WIDTH, "height": 40, "data": {"values": [{}]},
            "mark": {"type": "text", "text": tell("No balls with a known carry.")}}  # fmt: skip


def _in_words(visits: list[str], drawn: list[Ball], drift: Sequence[DriftLine], show: Show) -> str:
    said = [tell("Each ball in the order hit, against its own club's centre.")]
    for visit in visits:
        here = [ball for ball in drawn if ball.visit == visit]
        name = tell("Visit {visit}", visit=clean(visit, 40)) if visit else tell("The visit")
        said.append(
            tell("{name}: {counted} with a known carry.", name=name, counted=counted(len(here), "ball"))
        )
        line = next((line for line in drift if line.visit == visit and line.balls), None)
        if line is not None:
            first, last = show.scaled(line.drift_m[0]), show.scaled(line.drift_m[-1])
            said.append(
                tell(
                    "The fitted drift goes from {spanned} {unit} at ball {number} to {spanned_2} {unit} "
                    "at ball {number_2}.",
                    spanned=spanned(first, 1),
                    unit=show.unit,
                    number=number(line.balls[0]),
                    spanned_2=spanned(last, 1),
                    number_2=number(line.balls[-1]),
                )
            )
    return join(" ", said)
