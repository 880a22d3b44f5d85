"""The decision board: the candidates as rows, with ranges on the four sides and what is still open."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from bagwright.estimate import Estimate
from bagwright.report.charts.render import Chart, Spec, make_chart
from bagwright.report.charts.scale import limits
from bagwright.report.model import Answer, CandidateRow, SideLine, SideName
from bagwright.report.safe import clean, label
from bagwright.report.theme import INK, QUIET, sign
from bagwright.report.words import Show, joined, number, spanned, sure
from bagwright.words import join, tell

WIDTH_FACTOR = 2 * 1.6449
"""Width that holds 90 % of a normal spread, in standard deviations (standard normal quantile 0.95 twice)."""

_ROW = 52
_PANEL = 109
_NAME = 140


@dataclass(frozen=True, slots=True)
class _Panel:
    side: SideName
    title: str
    asks: str
    pick: Callable[[CandidateRow], Estimate | None]
    digits: int = 0
    zero: bool = True
    at_least: float = 4.0
    spot: float | None = None


def board_chart(
    candidates: Sequence[CandidateRow], sides: Sequence[SideLine], answer: Answer, show: Show
) -> Chart:
    """Give the decision board of two or more candidates; a side that nobody measured says so in its panel."""
    panels = _panels(answer, show)
    rows = [_name(i, row) for i, row in enumerate(candidates)]
    views = [_view(panel, candidates, rows, sides, i == 0) for i, panel in enumerate(panels)]
    title = tell("The candidates from four sides")
    alt = _in_words(panels, candidates, sides)
    return make_chart("candidates", title, alt, {"hconcat": views, "spacing": 14, "bounds": "flush"})


def width_of(sd_m: Estimate | None) -> Estimate | None:
    """Give the width that holds nine in ten solid strikes, from the standard deviation of a normal spread."""
    return sd_m.scaled(WIDTH_FACTOR) if sd_m is not None else None


def _panels(answer: Answer, show: Show) -> list[_Panel]:
    def shown(estimate: Estimate | None) -> Estimate | None:
        return show.scaled(estimate) if estimate is not None else None

    spot = show.inside(answer.spot_m) if answer.spot_m is not None else None
    carry = tell("carry, {unit}", unit=show.unit) + (
        tell(" (line: {number})", number=number(spot)) if spot is not None else ""
    )
    place = tell("average miss, {unit}", unit=show.unit)
    return [
        _Panel(
            "strike",
            tell("Strike"),
            tell("mishits, % of balls"),
            lambda row: row.mishit_share.scaled(100.0) if row.mishit_share else None,
            at_least=10.0,
        ),
        _Panel("flight", tell("Flight"), carry, lambda row: shown(row.carry_m), zero=False, spot=spot),
        _Panel(
            "dispersion",
            tell("Dispersion"),
            tell("width for 9 in 10, {unit}", unit=show.unit),
            lambda row: shown(width_of(row.offline_sd_m)),
            at_least=8.0,
        ),
        *(
            [
                _Panel(
                    "place in the bag",
                    tell("Place in the bag"),
                    place,
                    lambda row: shown(row.miss_m),
                    digits=1,
                )
            ]
            if answer.measure == "miss"
            else []
        ),
    ]


def _name(i: int, row: CandidateRow) -> list[str]:
    lines = textwrap.wrap(f"{sign(i).letter}  {label(row.name, 60)}", 21, max_lines=2, placeholder="…")
    return [*lines, tell("(the present club)")] if row.present else lines


def _view(
    panel: _Panel,
    candidates: Sequence[CandidateRow],
    rows: list[list[str]],
    sides: Sequence[SideLine],
    first: bool,
) -> Spec:
    picked = [panel.pick(row) for row in candidates]
    known = [estimate for estimate in picked if estimate is not None]
    ends = [edge for estimate in known for edge in (estimate.low, estimate.high)]
    if panel.spot is not None:
        ends.append(panel.spot)
    low, high = limits(ends, parts=3, at_least=panel.at_least, zero=panel.zero)
    data = [_datum(i, estimate, panel.digits) for i, estimate in enumerate(picked)]
    x = {
        "field": "value",
        "type": "quantitative",
        "scale": {"domain": [low, high], "nice": False, "zero": False},
        "axis": {
            "tickCount": 3,
            "title": _open_lines(panel.side, sides),
            "titlePadding": 8,
            "titleColor": INK,
        },
    }
    layers: list[Spec] = [_ranges(x), _points(x, len(candidates)), _values()]
    if panel.spot is not None:
        layers.insert(0, _spot(panel.spot, len(candidates)))
    if first:
        layers.append(_names(rows))
    return {
        "width": _PANEL,
        "height": _ROW * len(candidates),
        "title": {
            "text": panel.title,
            "subtitle": panel.asks,
            "subtitleColor": QUIET,
            "subtitleFontSize": 11.5,
            "frame": "group",
        },
        "data": {"values": data},
        "encoding": {"y": _lane(len(candidates), 0.62)},
        "layer": layers,
    }


def _datum(i: int, estimate: Estimate | None, digits: int) -> dict[str, Any]:
    datum: dict[str, Any] = {"row": i, "letter": sign(i).letter, "said": tell("not measured")}
    if estimate is not None:
        datum |= {"value": estimate.value, "low": estimate.low, "high": estimate.high}
        datum["said"] = spanned(estimate, digits)
    return datum


def _lane(n: int, at: float) -> Spec:
    """Rows from top to bottom; `at` 0..1 is the height within each row."""
    return {
        "field": "row",
        "type": "quantitative",
        "scale": {"domain": [-at, n - at], "reverse": True, "nice": False, "zero": False},
        "axis": {"values": [i + 1 - at for i in range(n - 1)], "labels": False, "title": None, "ticks": False,
                 "domain": False},
    }  # fmt: skip


def _ranges(x: Spec) -> Spec:
    return {
        "transform": [{"filter": "isValid(datum.value)"}],
        "mark": {"type": "rule", "strokeWidth": 3.5, "opacity": 0.55, "clip": True},
        "encoding": {"x": {**x, "field": "low"}, "x2": {"field": "high"}, "color": _colours(36)},
    }


def _points(x: Spec, n: int) -> Spec:
    return {
        "transform": [{"filter": "isValid(datum.value)"}],
        "mark": {"type": "point", "filled": True, "size": 110, "opacity": 1},
        "encoding": {"x": x, "color": _colours(n), "shape": _shapes(n)},
    }


def _colours(n: int) -> Spec:
    signs = [sign(i) for i in range(n)]
    scale = {"domain": [s.letter for s in signs], "range": [s.colour for s in signs]}
    return {"field": "letter", "type": "nominal", "scale": scale, "legend": None}


def _shapes(n: int) -> Spec:
    signs = [sign(i) for i in range(n)]
    scale = {"domain": [s.letter for s in signs], "range": [s.shape for s in signs]}
    return {"field": "letter", "type": "nominal", "scale": scale, "legend": None}


def _values() -> Spec:
    return {
        "mark": {"type": "text", "align": "left", "dy": -17, "dx": 2, "fontSize": 11.5},
        "encoding": {
            "x": {"value": 0},
            "text": {"field": "said"},
            "color": {"condition": {"test": "isValid(datum.value)", "value": INK}, "value": QUIET},
        },
    }


def _spot(spot: float, n: int) -> Spec:
    """Give a short upright line in every row at the carry that the slot needs."""
    return {
        "data": {"values": [{"row": i, "value": spot} for i in range(n)]},
        "mark": {"type": "tick", "orient": "vertical", "size": 17, "thickness": 1.8, "color": INK},
        "encoding": {"x": {"field": "value", "type": "quantitative"}},
    }


def _names(rows: list[list[str]]) -> Spec:
    values = [{"row": i, "name": lines} for i, lines in enumerate(rows)]
    return {
        "data": {"values": values},
        "mark": {
            "type": "text",
            "align": "left",
            "baseline": "middle",
            "dx": -_NAME,
            "lineHeight": 14,
            "limit": _NAME + 20,
        },
        "encoding": {"x": {"value": 0}, "text": {"field": "name"}},
    }


def _open_lines(side: SideName, sides: Sequence[SideLine]) -> list[str]:
    line = next((line for line in sides if line.side == side), None)
    if line is None or (line.probability is None and not line.still_open):
        return [tell("still open:"), tell("not compared")]
    if line.leader is None or line.probability is None or line.probability < 0.60:
        figure = f" ({line.probability:.0%})".replace("%", " %") if line.probability is not None else ""
        return [tell("still open:"), tell("cannot tell{figure}", figure=figure)]
    ahead = tell("longest") if side == "flight" else tell("ahead")
    return [tell("{leader} {ahead}:", leader=label(line.leader, 18), ahead=ahead), sure(line.probability)]


def _in_words(panels: list[_Panel], candidates: Sequence[CandidateRow], sides: Sequence[SideLine]) -> str:
    said = []
    for panel in panels:
        values = []
        for row in candidates:
            estimate = panel.pick(row)
            shown = spanned(estimate, panel.digits) if estimate is not None else tell("not measured")
            values.append(tell("{row} {shown}", row=clean(row.name, 40), shown=shown))
        said.append(
            tell(
                "{title} ({asks}): {joined}; {open_lines}.",
                title=panel.title,
                asks=panel.asks,
                joined=joined(values),
                open_lines=join(" ", _open_lines(panel.side, sides)),
            )
        )
    return tell("The candidates from four sides, each value with its 90 % range. ") + join(" ", said)
