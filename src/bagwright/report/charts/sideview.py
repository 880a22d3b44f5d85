"""Flights from the side: height against distance, and below the ground a lane a club with carry and run."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from bagwright.report.charts.render import Chart, Spec, make_chart
from bagwright.report.charts.scale import limits, nice_step
from bagwright.report.model import FlightRow
from bagwright.report.safe import clean, label
from bagwright.report.theme import INK, KIND_SIGNS, QUIET, Sign, dash_of, sign
from bagwright.report.words import Show, degrees, held, number, part_of
from bagwright.units import RAD_PER_DEG, height_unit
from bagwright.words import join, tell

_WIDE = 280
_LANE = 20
_FIRST_LANE = 46
"""Pixels from the ground down to the first lane; the heads of the figures stand between."""
_LETTER = 6.8
"""Pixels that a letter of the chart's font takes, on the wide side of usual."""
_LOW = 84
"""Flights lower than this many pixels are drawn taller than true, by a whole factor that is stated."""
_TALLEST = 4
_COLUMNS = (8, 66, 122, 174)
"""Where the figures stand, in pixels right of the plot: height, landing angle, run, green."""


def sideview_chart(rows: Sequence[FlightRow | None], show: Show, *, trial: bool) -> Chart:
    """Draw the flights of a slot's candidates (`trial`, in their own signs) or of a bag (signs by kind).

    A candidate without a flight is None, so that the others keep their letters and signs.
    """
    placed = [
        (i, row) for i, row in enumerate(rows) if row is not None and row.path and row.carry_m is not None
    ]
    drawn = [row for _, row in placed]
    frame = _Frame(drawn, show, [i for i, _ in placed] if trial else None)
    name = "flight" if trial else "flights"
    title = tell("The candidates from the side") if trial else tell("The bag from the side")
    return make_chart(name, title, _in_words(drawn, show, frame.taller), frame.body())


class _Frame:
    """Scales and data of one picture. Heights are in distance units times `taller`, lanes below zero."""

    def __init__(self, rows: Sequence[FlightRow], show: Show, places: Sequence[int] | None) -> None:
        self.rows, self.show, self.trial, self.places = rows, show, places is not None, places
        self.signs = [_sign(row, places[i] if places is not None else None) for i, row in enumerate(rows)]
        far = [show.inside(_farthest(row)) for row in rows]
        self.far = limits(far, parts=6, at_least=20.0, zero=True)[1]
        self.pixels = _WIDE / self.far
        self.top = max([show.inside(max(z for _, z in row.path)) for row in rows], default=1.0)
        self.taller = min(_TALLEST, max(1, math.ceil(_LOW / (self.top * self.pixels))))
        self.step = nice_step(self.top * show.per_unit_m / height_unit(show.system).factor, 4)
        highest = math.ceil(self._feet(self.top) / self.step) * self.step
        self.ticks = [self._plotted(self.step * n) for n in range(round(highest / self.step) + 1)]
        self.ceiling = self.ticks[-1]
        self.floor = -(_FIRST_LANE + (len(rows) - 0.3) * _LANE) / self.pixels

    def _feet(self, units: float) -> float:
        return units * self.show.per_unit_m / height_unit(self.show.system).factor

    def _plotted(self, height: float) -> float:
        return self.show.inside(height * height_unit(self.show.system).factor) * self.taller

    def _lane(self, i: int) -> float:
        return -(_FIRST_LANE + i * _LANE) / self.pixels

    def body(self) -> Spec:
        """Give the picture without its config; a sentence where there is nothing to draw."""
        if not self.rows:
            return {
                "width": _WIDE,
                "height": 40,
                "data": {"values": [{}]},
                "mark": {"type": "text", "text": tell("No flight can be drawn from these shots.")},
            }
        layers = [
            self._ground(), self._drops(), self._paths(), self._tops(), self._runs(), self._ranges(),
            self._landings(), *self._names(), *self._figures(),
        ]  # fmt: skip
        return {
            "width": _WIDE,
            "height": round((self.ceiling - self.floor) * self.pixels),
            "layer": layers,
        }

    def _x(self, field: str) -> Spec:
        return {
            "field": field,
            "type": "quantitative",
            "scale": {"domain": [0, self.far], "nice": False},
            "axis": {
                "title": tell(
                    "{unit_word} from the ball; {scale_words}",
                    unit_word=self.show.unit_word,
                    scale_words=scale_words(self.taller),
                ),
                "tickCount": 8,
            },
        }

    def _y(self, field: str) -> Spec:
        unit = height_unit(self.show.system)
        by = self.show.per_unit_m / unit.factor / self.taller
        return {"field": field, "type": "quantitative",
                "scale": {"domain": [self.floor, self.ceiling], "nice": False, "zero": False},
                "axis": {"values": self.ticks, "title": None, "domain": False,
                         "labelExpr": f"format(datum.value * {by:.9g}, '.0f') + ' {unit.name}'"}}  # fmt: skip

    def _ground(self) -> Spec:
        return {"data": {"values": [{"x": 0, "to": self.far, "y": 0}]},
                "mark": {"type": "rule", "color": INK, "strokeWidth": 1.4},
                "encoding": {"x": self._x("x"), "x2": {"field": "to"}, "y": self._y("y")}}  # fmt: skip

    def _drops(self) -> Spec:
        values = [
            {"x": self.show.inside(row.carry_m.value), "y": 0, "to": self._lane(i)}
            for i, row in enumerate(self.rows)
            if row.carry_m is not None
        ]
        return {"data": {"values": values},
                "mark": {"type": "rule", "color": "#9a9a9a", "strokeWidth": 0.8, "strokeDash": [2, 2]},
                "encoding": {"x": self._x("x"), "y": self._y("y"), "y2": {"field": "to"}}}  # fmt: skip

    def _paths(self) -> Spec:
        values = [
            {"i": i, "n": n, "x": self.show.inside(x), "y": self.show.inside(z) * self.taller}
            for i, row in enumerate(self.rows)
            for n, (x, z) in enumerate(row.path)
        ]
        ids = list(range(len(self.rows)))
        colours, dashes = [s.colour for s in self.signs], [self._dash(i) for i in ids]
        return {
            "data": {"values": values},
            "mark": {"type": "line", "strokeWidth": 2.2 if self.trial else 1.7},
            "encoding": {
                "x": self._x("x"), "y": self._y("y"), "order": {"field": "n"},
                "stroke": {"field": "i", "type": "nominal", "legend": None,
                           "scale": {"domain": ids, "range": colours}},
                "strokeDash": {"field": "i", "type": "nominal", "legend": None,
                               "scale": {"domain": ids, "range": dashes}},
            },
        }  # fmt: skip

    def _dash(self, i: int) -> list[int]:
        if self.places is not None:
            return dash_of(self.places[i])
        return KIND_SIGNS.get(self.rows[i].kind, KIND_SIGNS[""])[1]

    def _marks(self, values: list[dict[str, Any]], size: int) -> Spec:
        ids = list(range(len(self.rows)))
        scale = {"domain": ids, "range": [s.colour for s in self.signs]}
        colour = {"field": "i", "type": "nominal", "legend": None, "scale": scale}
        shapes = {"domain": ids, "range": [s.shape for s in self.signs]}
        return {
            "data": {"values": values},
            "mark": {"type": "point", "filled": True, "size": size, "opacity": 1},
            "encoding": {
                "x": self._x("x"), "y": self._y("y"), "fill": colour, "stroke": colour,
                "shape": {"field": "i", "type": "nominal", "legend": None, "scale": shapes},
            },
        }  # fmt: skip

    def _tops(self) -> Spec:
        highest = [max(row.path, key=lambda point: point[1]) for row in self.rows]
        values = [
            {"i": i, "x": self.show.inside(x), "y": self.show.inside(z) * self.taller}
            for i, (x, z) in enumerate(highest)
        ]
        return self._marks(values, 70 if self.trial else 34)

    def _landings(self) -> Spec:
        values = [
            {"i": i, "x": self.show.inside(row.carry_m.value), "y": self._lane(i)}
            for i, row in enumerate(self.rows)
            if row.carry_m is not None
        ]
        return self._marks(values, 62)

    def _runs(self) -> Spec:
        """Bands from the carry's middle plus the least run to plus the most, on the lanes."""
        values = [
            {
                "x": self.show.inside(row.carry_m.value + row.run_m.low),
                "to": self.show.inside(row.carry_m.value + row.run_m.high),
                "y": self._lane(i),
                "colour": self.signs[i].colour,
            }
            for i, row in enumerate(self.rows)
            if row.carry_m is not None and row.run_m is not None
        ]
        return {"data": {"values": values},
                "mark": {"type": "bar", "height": 9, "fillOpacity": 0.22, "strokeWidth": 1},
                "encoding": {"x": self._x("x"), "x2": {"field": "to"}, "y": self._y("y"),
                             "fill": {"field": "colour", "type": "nominal", "scale": None},
                             "stroke": {"field": "colour", "type": "nominal", "scale": None}}}  # fmt: skip

    def _ranges(self) -> Spec:
        values = [
            {
                "x": self.show.inside(row.carry_m.low),
                "to": self.show.inside(row.carry_m.high),
                "y": self._lane(i),
                "colour": self.signs[i].colour,
            }
            for i, row in enumerate(self.rows)
            if row.carry_m is not None
        ]
        return {"data": {"values": values}, "mark": {"type": "rule", "strokeWidth": 2},
                "encoding": {"x": self._x("x"), "x2": {"field": "to"}, "y": self._y("y"),
                             "stroke": {"field": "colour", "type": "nominal", "scale": None}}}  # fmt: skip

    def _names(self) -> list[Spec]:
        """Names at the left of the lanes, on white, as other clubs' drop lines may pass there."""
        values = [{"x": 0, "y": self._lane(i), "text": self._name(i)} for i in range(len(self.rows))]
        layers: list[Spec] = []
        for halo in ({"stroke": "white", "strokeWidth": 5}, {}):
            mark = {"type": "text", "align": "left", "baseline": "middle", "dx": 3, **halo}
            encoding = {"x": self._x("x"), "y": self._y("y"), "text": {"field": "text"}}
            layers.append({"data": {"values": values}, "mark": mark, "encoding": encoding})
        return layers

    def _name(self, i: int) -> str:
        """Give a club's name cut to the room between the axis and its lane's first mark."""
        carry = self.rows[i].carry_m
        room = self.show.inside(carry.low) * self.pixels - 14 if carry is not None else 60.0
        letters = max(6, min(30, int(room / _LETTER)))
        name = label(self.rows[i].club, letters)
        return tell("{letter}  {name}", letter=self.signs[i].letter, name=name) if self.trial else name

    def _figures(self) -> list[Spec]:
        """Height, landing angle, run and green beside each lane, each with its range; heads above them."""
        heads = (
            tell("Height"),
            tell("Lands at"),
            tell("Run, {unit}", unit=self.show.unit),
            tell("Holds a green"),
        )
        above = -(_FIRST_LANE - 20) / self.pixels
        layers = []
        for column, (dx, head) in enumerate(zip(_COLUMNS, heads, strict=True)):
            values = [{"y": above, "text": head, "bold": True}]
            values += [
                {"y": self._lane(i), "text": figures_of(row, self.show)[column], "bold": False}
                for i, row in enumerate(self.rows)
            ]
            layers.append({
                "data": {"values": values},
                "mark": {"type": "text", "align": "left", "baseline": "middle", "dx": dx},
                "encoding": {
                    "x": {"value": "width"}, "y": self._y("y"), "text": {"field": "text"},
                    "color": {"condition": {"test": "datum.bold", "value": QUIET}, "value": INK},
                },
            })  # fmt: skip
        return layers


def figures_of(row: FlightRow, show: Show) -> tuple[str, str, str, str]:
    """Give height, landing angle, run and green of one flight as short text, each with how sure."""
    unit = height_unit(show.system)
    height = descent = run = holds = "–"
    if row.apex_m is not None:
        about = "" if "apex" in row.shown_as_measured else "≈"
        height = tell(
            "{about}{part_of} {unit}",
            about=about,
            part_of=part_of(row.apex_m.scaled(1.0 / unit.factor)),
            unit=unit.name,
        )
    if row.descent_rad is not None:
        about = "" if "descent" in row.shown_as_measured else "≈"
        descent = tell(
            "{about}{part_of}°", about=about, part_of=part_of(row.descent_rad.scaled(1.0 / RAD_PER_DEG))
        )
    if row.run_m is not None:
        shown = show.scaled(row.run_m)
        run = tell("{number} to {number_2}", number=number(shown.low), number_2=number(shown.high))
    if row.holds is not None:
        holds = held(row.holds)
    return height, descent, run, holds


def scale_words(taller: int) -> str:
    """Say how heights are drawn against distances."""
    return (
        tell("equal scales") if taller == 1 else tell("heights drawn {taller} times as tall", taller=taller)
    )


def _sign(row: FlightRow, place: int | None) -> Sign:
    if place is not None:
        return sign(place)
    return KIND_SIGNS.get(row.kind, KIND_SIGNS[""])[0]


def _farthest(row: FlightRow) -> float:
    if row.carry_m is None:
        raise ValueError(f"{row.club} has no carry to draw")
    run = row.run_m.high if row.run_m is not None else 0.0
    return max(row.carry_m.high, row.carry_m.value + run, max(x for x, _ in row.path))


def _in_words(rows: Sequence[FlightRow], show: Show, taller: int) -> str:
    if not rows:
        return tell("No flight can be drawn from these shots.")
    said = [
        tell(
            "Flights of the median solid strike from the side, {scale_words}.",
            scale_words=scale_words(taller),
        )
    ]
    for row in rows:
        height, descent, run, holds = (
            tell("not known") if text == "–" else text for text in _long(row, show)
        )
        said.append(
            tell(
                "{row_club}: carries {distance_ranged}, {height} high, lands at {descent}, runs "
                "{run}, stops on a normal green {holds}.",
                row_club=clean(row.club, 40),
                distance_ranged=show.distance_ranged(row.carry_m),
                height=height,
                descent=descent,
                run=run,
                holds=holds,
            )
        )
    return join(" ", said)


def _long(row: FlightRow, show: Show) -> tuple[str, str, str, str]:
    run, holds = figures_of(row, show)[2], held(row.holds)
    run = run if row.run_m is None else tell("{run} {unit}", run=run, unit=show.unit)
    return show.height(row.apex_m), degrees(row.descent_rad), run, holds
