"""Where balls finished: from above, equal scales, regions that hold 50 and 90 % of solid strikes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from bagwright.report.charts.render import Chart, Spec, make_chart
from bagwright.report.charts.scale import limits
from bagwright.report.model import Ball, Landing, Region
from bagwright.report.safe import clean, label
from bagwright.report.theme import INK, QUIET, sign
from bagwright.report.words import Show, counted, number, sided
from bagwright.words import join, tell, term

_CORNERS = 72
_TOGETHER = 3
"""Up to this many candidates share one picture; more get a small picture each."""


def landing_chart(
    landings: Sequence[Landing], balls: Sequence[Ball], show: Show, spot_m: float | None = None
) -> Chart:
    """Landing points and regions of each candidate. Bad reads are not drawn; mishits are hollow."""
    drawn = [ball for ball in balls if ball.mark not in ("bad-read", "warm-up") and _has_place(ball)]
    frame = _Frame(landings, drawn, show, spot_m)
    together = len(landings) <= _TOGETHER
    body: Spec = frame.view(range(len(landings))) if together else frame.grid()
    title = tell("Where the balls finished")
    return make_chart("landing", title, _in_words(landings, drawn, show, spot_m), body)


def outline(region: Region, corners: int = _CORNERS) -> list[tuple[float, float]]:
    """Points (side, carry) in metres around a region, closed."""
    first, second = region.half_axes_m
    sin, cos = math.sin(region.angle_rad), math.cos(region.angle_rad)
    points = []
    for i in range(corners + 1):
        turn = 2 * math.pi * (i % corners) / corners
        along, across = first * math.cos(turn), second * math.sin(turn)
        points.append(
            (region.side_m + along * sin + across * cos, region.carry_m + along * cos - across * sin)
        )
    return points


def _has_place(ball: Ball) -> bool:
    return ball.carry_m is not None and ball.side_m is not None


class _Frame:
    """Limits and scales that every picture of one chart shares."""

    def __init__(
        self, landings: Sequence[Landing], balls: Sequence[Ball], show: Show, spot_m: float | None
    ) -> None:
        self.landings, self.show = landings, show
        self.spot = show.inside(spot_m) if spot_m is not None else None
        self.points = [self._point(ball) for ball in balls if self._index(ball) is not None]
        self.edges = [datum for i, landing in enumerate(landings) for datum in self._edges(i, landing)]
        everything = [*self.points, *self.edges]
        across = max([8.0, *(abs(datum["side"]) for datum in everything)])
        _, half = limits([across], parts=2, at_least=1.0, zero=True)
        self.x = (-half, half)
        carries = [datum["carry"] for datum in everything]
        self.y = limits([*carries, *([self.spot] if self.spot is not None else [])], parts=6, at_least=10.0)

    def _index(self, ball: Ball) -> int | None:
        keys = [(landing.club, landing.swing) for landing in self.landings]
        return keys.index((ball.club, ball.swing)) if (ball.club, ball.swing) in keys else None

    def _point(self, ball: Ball) -> dict[str, Any]:
        i = self._index(ball)
        if i is None or ball.carry_m is None or ball.side_m is None:
            raise ValueError(f"ball {ball.order} has no place on the chart")
        return {
            "i": i,
            "label": self.label(i),
            "side": self.show.inside(ball.side_m),
            "carry": self.show.inside(ball.carry_m),
            "struck": "mishit" if ball.mark == "mishit" else "solid",
        }

    def label(self, i: int) -> str:
        """Give the legend's words for candidate i."""
        landing = self.landings[i]
        swing = "" if landing.swing == "stock" else tell(", {swing}", swing=term(landing.swing))
        return tell(
            "{letter}  {landing_club}{swing}",
            letter=sign(i).letter,
            landing_club=label(landing.club, 26),
            swing=swing,
        )

    def _edges(self, i: int, landing: Landing) -> list[dict[str, Any]]:
        found = []
        for region in landing.regions:
            for n, (side, carry) in enumerate(outline(region)):
                found.append({
                    "i": i, "label": self.label(i), "n": n, "level": f"{region.level:.0%}",
                    "side": self.show.inside(side), "carry": self.show.inside(carry),
                })  # fmt: skip
        return found

    def view(
        self, which: Sequence[int], wide: float = 400.0, tall: float = 310.0, *, alone: bool = False
    ) -> Spec:
        """One picture of some candidates; a yard across is as long as a yard away."""
        scale = min(wide / (self.x[1] - self.x[0]), tall / (self.y[1] - self.y[0]))
        ticks = 4 if alone else 5
        x = {
            "field": "side",
            "type": "quantitative",
            "scale": {"domain": list(self.x), "nice": False, "zero": False},
            "axis": {
                "title": tell(
                    "left  ←  {unit_word} from the target line  →  right", unit_word=self.show.unit_word
                ),
                "labelExpr": "abs(datum.value)",
                "tickCount": ticks,
            },
        }
        y = {
            "field": "carry",
            "type": "quantitative",
            "scale": {"domain": list(self.y), "nice": False, "zero": False},
            "axis": {"title": tell("carry, {unit_word}", unit_word=self.show.unit_word)},
        }
        if alone:
            x["axis"] |= {"title": tell("left ← {unit} → right", unit=self.show.unit)}  # type: ignore[operator]
        legend = (
            None
            if alone
            else {"title": None, "orient": "right", "symbolSize": 110, "symbolOpacity": 1, "offset": 96}
        )
        layers = [
            self._line(),
            *self._spot_line(alone),
            self._regions(which, x, y, legend),
            self._balls(which, x, y, legend),
        ]
        return {
            "width": round(scale * (self.x[1] - self.x[0])),
            "height": round(scale * (self.y[1] - self.y[0])),
            "layer": layers,
        }

    def grid(self) -> Spec:
        """Give a small picture for each candidate, three in a row, all on one scale."""
        small = []
        for i in range(len(self.landings)):
            one = self.view([i], 160.0, 300.0, alone=True)
            one["title"] = {"text": self.label(i), "limit": 190, "fontSize": 12}
            small.append(one)
        rows = [{"hconcat": small[i : i + 3], "spacing": 22} for i in range(0, len(small), 3)]
        return {"vconcat": rows, "spacing": 20}

    def _line(self) -> Spec:
        return {
            "data": {"values": [{"side": 0}]},
            "mark": {"type": "rule", "color": INK, "strokeWidth": 1.2},
            "encoding": {"x": {"field": "side", "type": "quantitative"}},
        }

    def _spot_line(self, alone: bool) -> list[Spec]:
        if self.spot is None:
            return []
        data = {
            "values": [
                {
                    "carry": self.spot,
                    "said": tell("the spot: {number} {unit}", number=number(self.spot), unit=self.show.unit),
                }
            ]
        }
        y = {"field": "carry", "type": "quantitative"}
        rule = {"type": "rule", "color": QUIET, "strokeDash": [4, 3]}
        lines: list[Spec] = [{"data": data, "mark": rule, "encoding": {"y": y}}]
        if not alone:
            text = {"type": "text", "align": "left", "baseline": "middle", "dx": 6, "color": QUIET}
            where: Spec = {"y": y, "x": {"value": "width"}, "text": {"field": "said"}}
            lines.append({"data": data, "mark": text, "encoding": where})
        return lines

    def _regions(self, which: Sequence[int], x: Spec, y: Spec, legend: Spec | None) -> Spec:
        return {
            "data": {"values": [datum for datum in self.edges if datum["i"] in which]},
            "mark": {"type": "line", "strokeWidth": 1.8, "interpolate": "linear"},
            "encoding": {
                "x": x, "y": y, "order": {"field": "n"},
                "stroke": self._scale("colour", legend),
                "strokeDash": {"field": "level", "type": "nominal",
                               "scale": {"domain": ["50%", "90%"], "range": [[1, 0], [5, 4]]},
                               "legend": None},
            },
        }  # fmt: skip

    def _balls(self, which: Sequence[int], x: Spec, y: Spec, legend: Spec | None) -> Spec:
        return {
            "data": {"values": [datum for datum in self.points if datum["i"] in which]},
            "mark": {"type": "point", "filled": True, "size": 62, "strokeWidth": 1.5, "opacity": 0.95},
            "encoding": {
                "x": x, "y": y,
                "fill": self._scale("colour", legend),
                "stroke": self._scale("colour", legend),
                "shape": self._scale("shape", legend),
                "fillOpacity": {"condition": {"test": "datum.struck == 'mishit'", "value": 0}, "value": 0.85},
            },
        }  # fmt: skip

    def _scale(self, what: str, legend: Spec | None) -> Spec:
        n = len(self.landings)
        scale = {
            "domain": [self.label(i) for i in range(n)],
            "range": [getattr(sign(i), what) for i in range(n)],
        }
        return {"field": "label", "type": "nominal", "scale": scale, "legend": legend}


def _in_words(landings: Sequence[Landing], balls: Sequence[Ball], show: Show, spot_m: float | None) -> str:
    said = [tell("Landing points seen from above, equal scales, target line in the middle.")]
    if spot_m is not None:
        said.append(tell("The spot is {distance} away.", distance=show.distance(spot_m)))
    for landing in landings:
        hit = [ball for ball in balls if (ball.club, ball.swing) == (landing.club, landing.swing)]
        mishits = sum(ball.mark == "mishit" for ball in hit)
        name = clean(landing.club, 40) + (
            "" if landing.swing == "stock" else tell(", {swing}", swing=term(landing.swing))
        )
        text = tell(
            "{name}: {counted}, {counted_2} among them",
            name=name,
            counted=counted(len(hit), "ball"),
            counted_2=counted(mishits, "mishit"),
        )
        for region in landing.regions:
            across, along = region_size(region)
            text += tell(
                "; {level:.0f} % of solid strikes within {across} {unit} across and {along} {unit} along, "
                "centred {carry} {unit} out and {side}",
                level=100.0 * region.level,
                across=show.bare(across),
                along=show.bare(along),
                carry=show.bare(region.carry_m),
                side=sided(show.inside(region.side_m)),
                unit=show.unit,
            )
        said.append(text + ".")
    return join(" ", said)


def region_size(region: Region) -> tuple[float, float]:
    """Full width across the target line and length along it of a region, in metres."""
    first, second = region.half_axes_m
    sin, cos = math.sin(region.angle_rad), math.cos(region.angle_rad)
    return 2 * math.hypot(first * sin, second * cos), 2 * math.hypot(first * cos, second * sin)
