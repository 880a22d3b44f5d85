"""Bags side by side: which clubs each carries, a club a row and a bag a column."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bagwright.report.charts.render import Chart, Spec, make_chart
from bagwright.report.safe import clean, label
from bagwright.report.theme import INK, QUIET
from bagwright.words import join, tell

_ROW, _NAME, _COLUMN, _LINE = 24, 150, 110, 15
_SLIM, _SHORT = 66, 8
"""Columns under names of so few letters are so wide: with two of them the picture fits on a phone."""
_IN = "#0072B2"


@dataclass(frozen=True, slots=True)
class BagColumn:
    """One bag: its name and its clubs."""

    name: str
    clubs: frozenset[str]


def bags_chart(clubs: Sequence[str], columns: Sequence[BagColumn]) -> Chart:
    """Draw a full dot where a bag carries a club and a ring where not; clubs that differ are said to."""
    data = [
        {"row": row, "column": at, "in": club in one.clubs}
        for row, club in enumerate(clubs)
        for at, one in enumerate(columns)
    ]
    names = [
        {"row": row, "club": label(club, 40), "differs": len({club in one.clubs for one in columns}) > 1}
        for row, club in enumerate(clubs)
    ]
    heads = [{"column": at, "head": head} for at, head in enumerate(_heads([one.name for one in columns]))]
    lift = -8 - _LINE * max((str(one["head"]).count("\n") for one in heads), default=0)
    width = _SLIM if all(len(one.name) <= _SHORT for one in columns) else _COLUMN
    scale = {"nice": False, "zero": False}
    x = {"field": "column", "type": "quantitative", "axis": None,
         "scale": {**scale, "domain": [-0.5, len(columns) - 0.5]}}  # fmt: skip
    y = {"field": "row", "type": "quantitative", "axis": None,
         "scale": {**scale, "domain": [-0.6, len(clubs) - 0.4], "reverse": True}}  # fmt: skip
    body: Spec = {
        "width": width * len(columns), "height": _ROW * max(2, len(clubs)),
        "layer": [
            {
                "data": {"values": data},
                "mark": {"type": "point", "shape": "circle", "size": 110, "strokeWidth": 1.4, "opacity": 1},
                "encoding": {
                    "x": x, "y": y,
                    "fill": {"condition": {"test": "datum.in", "value": _IN}, "value": "white"},
                    "stroke": {"condition": {"test": "datum.in", "value": _IN}, "value": QUIET},
                },
            },
            {
                "data": {"values": names},
                "mark": {"type": "text", "align": "left", "baseline": "middle", "dx": -_NAME,
                         "limit": _NAME - 10, "color": INK},
                "encoding": {
                    "x": {"value": 0}, "y": y, "text": {"field": "club"},
                },
            },
            {
                "data": {"values": names},
                "transform": [{"filter": "datum.differs"}],
                "mark": {"type": "text", "align": "left", "baseline": "middle", "dx": 8, "color": INK},
                "encoding": {"x": {"value": "width"}, "y": y, "text": {"value": tell("differs")}},
            },
            {
                "data": {"values": heads},
                "mark": {"type": "text", "baseline": "bottom", "lineBreak": "\n", "color": INK, "dy": lift},
                "encoding": {"x": x, "y": {"value": 0}, "text": {"field": "head"}},
            },
        ],
    }  # fmt: skip
    return make_chart("bags", tell("Bags side by side"), _in_words(clubs, columns), body)


def _heads(names: Sequence[str]) -> list[str]:
    """The columns' names on lines that fit above them, all of one height, the words at the foot."""
    parts = [[label(part.strip(), 18) for part in name.split(",")] for name in names]
    lines = max((len(one) for one in parts), default=0)
    return [join("\n", [*[""] * (lines - len(one)), *one]) for one in parts]


def _in_words(clubs: Sequence[str], columns: Sequence[BagColumn]) -> str:
    common = [club for club in clubs if all(club in one.clubs for one in columns)]
    said = [tell("In all bags: {clubs}.", clubs=", ".join(clean(club, 40) for club in common))]
    for one in columns:
        own = [clean(club, 40) for club in clubs if club in one.clubs and club not in common]
        said.append(tell("{name} also: {clubs}.", name=clean(one.name, 80), clubs=", ".join(own) or "-"))
    return join(" ", said)
