"""The green and the pin of a hole."""

from __future__ import annotations

import math
from collections.abc import Sequence

from shapely import Point as Dot

from bagwright.course.answering import GREEN_M
from bagwright.course.asking import Asked
from bagwright.course.gather import Area, Spot
from bagwright.course.hole import Feature, Point
from bagwright.course.lies import Lie
from bagwright.course.values import length_m
from bagwright.words import tell

REACH_M = 60.0
"""A green farther from the end of a hole's way is not its green."""
ASSUMED_DIAMETER_M = 26.0
"""A green that nobody drew: a circle of some 530 square metres, a usual size (common practice)."""


def green_of(
    number: int, end: Point, greens: Sequence[Area], pins: Sequence[Spot], asked: Asked
) -> tuple[Feature, Point, bool]:
    """Give a hole's green, its pin, and whether the green was drawn (else it is a stated circle)."""
    at = Dot(end)
    near = [g for g in greens if g.feature.shape.distance(at) <= REACH_M]
    drawn = min(near, key=lambda g: g.feature.shape.distance(at), default=None)
    if drawn is not None:
        return drawn.feature, _pin(drawn.feature, end, pins), True
    told = asked.told(number, "green")
    diameter = length_m(told, *GREEN_M) or ASSUMED_DIAMETER_M
    asked.ask(
        number,
        "green",
        tell("Hole {number} has no green.", number=number),
        tell("A circle {diameter:.0f} m across at the end of the hole's way.", diameter=diameter),
        tell('Draw it (golf=green), or answer with its diameter: "28 m".'),
    )
    middle = _nearest([p for p in pins if math.dist(p.at, end) <= REACH_M], end) or end
    return Feature(Lie.GREEN, Dot(middle).buffer(diameter / 2, quad_segs=12), "assumed"), middle, False


def _pin(green: Feature, end: Point, pins: Sequence[Spot]) -> Point:
    """Give the pin that is drawn on the green, else the middle of the green."""
    drawn = _nearest([p for p in pins if green.shape.distance(Dot(p.at)) <= 1.0], end)
    if drawn is not None:
        return drawn
    middle = green.shape.centroid
    if not green.shape.covers(middle):
        middle = green.shape.representative_point()
    return float(middle.x), float(middle.y)


def _nearest(pins: Sequence[Spot], end: Point) -> Point | None:
    best = min(pins, key=lambda p: math.dist(p.at, end), default=None)
    return None if best is None else best.at
