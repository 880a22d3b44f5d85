"""Out of bounds: areas and lines of its own tag, else the edge of the golf course."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry
from shapely.ops import split

from bagwright.course.asking import Asked
from bagwright.course.gather import Things
from bagwright.course.ground import MARGIN_M
from bagwright.course.hole import Feature, Point
from bagwright.course.lies import Lie
from bagwright.course.shapes import (
    Ring,
    ShapeError,
    check_crossings,
    check_work,
    pieces,
    polygons_only,
    usable,
)
from bagwright.words import tell

BAND_M = 30.0
"""Depth of the band that is read as out behind a line which parts nothing (judgement)."""
_STRETCH_M = 40.0
"""A line whose end lies this near to the course's edge is drawn on to it (judgement)."""
_CORRIDOR_M = 40.0
"""Ground on both sides of a way that leaves the course's area, added to it (judgement)."""


def site_of(things: Things, ways: Sequence[Sequence[Point]], asked: Asked) -> BaseGeometry | None:
    """Give the area of the golf course that most of the holes lie in, or None (and a question)."""
    lines = [LineString(way) for way in ways]
    best, most = None, 0
    for site in things.sites[:50]:
        shape = site.feature.shape
        shapely.prepare(shape)
        inside = sum(1 for line in lines if shape.intersects(line))
        if inside > most:
            best, most = shape, inside
    if best is None:
        asked.ask(
            0,
            "bounds",
            tell("The map does not say where the course ends (leisure=golf_course)."),
            _without_site(),
            tell("Draw the course's area, or add [bounds] in the overlay."),
        )
        return None
    return _with_ways(best, lines, asked)


def _without_site() -> str:
    """Say what is out of bounds where the course's area is not known: pictures end at that margin."""
    return tell(
        "Out of bounds is what has its own tag, and what lies farther than {margin:.0f} m from "
        "a hole's tees, fairway, bunkers and green.",
        margin=MARGIN_M,
    )


def _with_ways(site: BaseGeometry, lines: Sequence[LineString], asked: Asked) -> BaseGeometry:
    outside = [line for line in lines if not site.covers(line)]
    if not outside:
        return site
    try:
        for line in outside:
            corridor = line.buffer(_CORRIDOR_M, quad_segs=4)
            check_work(site, corridor)
            site = site.union(corridor)
        site = usable(site)
    except ShapeError as error:
        asked.ask(
            0,
            "bounds",
            tell("{n} holes leave the course's area, and it {error}.", n=len(outside), error=str(error)),
            _without_site(),
            tell("Redraw the course's area."),
        )
        return None
    asked.ask(
        0,
        "bounds",
        tell("{n} holes leave the course's area.", n=len(outside)),
        tell("{corridor_m:.0f} m on both sides of their ways belong to the course.", corridor_m=_CORRIDOR_M),
        tell("Redraw the course's area."),
    )
    return site


def out_areas(
    things: Things, site: BaseGeometry | None, ways: Sequence[Sequence[Point]], asked: Asked
) -> list[Feature]:
    """Give the areas that lines of out of bounds part from the course."""
    found: list[Feature] = []
    lines = [LineString(way) for way in ways]
    for source, edge in _joined(things.edges):
        try:
            found += [Feature(Lie.OUT, shape, source) for shape in _beyond(source, edge, site, lines, asked)]
        except ShapeError as error:
            asked.ask(
                0,
                f"edge {source}",
                tell(
                    "The line of out of bounds {source} cannot be used: {error}.",
                    source=source,
                    error=str(error),
                ),
                tell("It is left out."),
                tell("Redraw it, or add the area in the overlay."),
            )
    return found


def _joined(edges: Sequence[tuple[str, Ring]]) -> list[tuple[str, Ring]]:
    """Lines whose ends meet become one, under the name of the first."""
    if len(edges) < 2:
        return list(edges)
    merged = shapely.line_merge(shapely.MultiLineString([LineString(e) for _, e in edges]))
    out = []
    for line in pieces(merged):
        start = next((s for s, e in edges if shapely.dwithin(LineString(e), line, 1e-6)), edges[0][0])
        out.append((start, np.array(line.coords)))
    return out


def _beyond(
    source: str, edge: Ring, site: BaseGeometry | None, lines: Sequence[LineString], asked: Asked
) -> list[BaseGeometry]:
    """What lies beyond a line: the pieces of the course without a hole, else a band on its far side."""
    if len(edge) < 2 or not LineString(edge).length > 1.0:
        raise ShapeError(tell("it has no length"))
    if site is not None:
        cutter = LineString(_stretched(edge, site))
        check_work(site, cutter)
        if not cutter.is_simple:
            raise ShapeError(tell("it crosses itself"))
        parts = [part for polygon in pieces(site) for part in split(polygon, cutter).geoms]
        empty = [p for p in parts if not any(p.intersects(line) for line in lines)]
        beside = [p for p in empty if p.distance(LineString(edge)) < 1.0]
        if beside and len(parts) > len(pieces(site)):
            return [usable(polygons_only(part)) for part in beside]
    asked.ask(
        0,
        f"edge {source}",
        tell("The line of out of bounds {source} does not part the course in two.", source=source),
        tell("A band {band_m:.0f} m deep on its side away from the nearest hole is out.", band_m=BAND_M),
        tell("Draw it on to the course's edge, or as an area."),
    )
    return [_band(edge, lines)]


def _band(edge: Ring, lines: Sequence[LineString]) -> BaseGeometry:
    """The band beside a line on the side where the nearest hole's way is not."""
    line = shapely.simplify(LineString(edge), 0.5)
    if shapely.get_num_coordinates(line) > 500:
        raise ShapeError(tell("it has more than 500 points"))
    check_crossings(line)
    near = min(lines, key=line.distance)
    way = near.interpolate(near.project(line.interpolate(0.5, normalized=True)))
    sides = [usable(line.buffer(sign * BAND_M, single_sided=True, cap_style="flat")) for sign in (1.0, -1.0)]
    return max(sides, key=lambda side: side.centroid.distance(way))


def _stretched(edge: Ring, site: BaseGeometry) -> Ring:
    """The line with its ends drawn on straight where the course's edge is near."""
    rim = site.boundary
    points = [tuple(p) for p in edge.tolist()]
    for at, before in ((0, 1), (-1, -2)):
        end, inner = np.array(points[at]), np.array(points[before])
        step = float(np.hypot(*(end - inner)))
        if step > 0 and rim.distance(shapely.Point(end)) <= _STRETCH_M:
            points.insert(0 if at == 0 else len(points), tuple(end + (end - inner) / step * 2 * _STRETCH_M))
    return np.array(points)
