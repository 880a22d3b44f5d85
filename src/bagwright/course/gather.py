"""Elements in degrees to things of a golf course in metres: ground, tees, pins, trees, edges."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from shapely.geometry.base import BaseGeometry

from bagwright.course import limits
from bagwright.course.asking import Asked
from bagwright.course.elements import Element, MapFile
from bagwright.course.hole import Feature, Point
from bagwright.course.lies import Lie
from bagwright.course.plane import HIGHEST_LATITUDE_DEG, Plane
from bagwright.course.shapes import Mending, Ring, ShapeError, area_of, widened
from bagwright.course.tags import WATERWAY_WIDTH_M, Meaning, meaning_of
from bagwright.course.values import length_m
from bagwright.errors import InputError
from bagwright.words import tell

TREE_ROW_STEP_M = 8.0
"""Distance of the trees of a row, whose number no tag gives."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A place with its tags: a pin, or a tee drawn as a point."""

    at: Point
    tags: Mapping[str, str]
    source: str


@dataclass(frozen=True, slots=True)
class Area:
    """Ground with its tags."""

    feature: Feature
    tags: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class WayOf:
    """The way of a hole as it is drawn."""

    source: str
    tags: Mapping[str, str]
    points: tuple[Point, ...]


@dataclass(slots=True)
class Things:
    """All that was found on a map, in metres of `plane`, in the file's order."""

    plane: Plane
    ways: list[WayOf] = field(default_factory=list)
    areas: list[Area] = field(default_factory=list)
    tee_spots: list[Spot] = field(default_factory=list)
    pins: list[Spot] = field(default_factory=list)
    trees: list[Point] = field(default_factory=list)
    edges: list[tuple[str, Ring]] = field(default_factory=list)
    """Lines of out of bounds."""
    sites: list[Area] = field(default_factory=list)
    """Areas of golf courses."""
    left_out: dict[str, int] = field(default_factory=dict)
    streams: dict[str, float] = field(default_factory=dict)
    """Kinds of waterways whose width was not tagged, and the width they were read with."""

    edges_m: float = 0.0
    """Length of the edges of all areas so far."""
    mending: Mending = field(default_factory=Mending)

    def plant(self, trees: Sequence[Point]) -> None:
        """Take trees in, up to the limit; further ones are left out and counted."""
        room = limits.TREES - len(self.trees)
        self.trees += trees[:room]
        for _ in trees[room:]:
            self.leave_out("trees beyond the limit")

    def lay(self, area: Area, site: bool = False) -> None:
        """Take an area in. Raises InputError where the edges of all are too long."""
        self.edges_m += float(area.feature.shape.length)
        if self.edges_m > limits.EDGES_M:
            raise InputError(
                tell("The map's areas have edges of more than {km:,.0f} km.", km=limits.EDGES_M / 1000),
                tell("Cut the map to the one golf course."),
            )
        (self.sites if site else self.areas).append(area)

    def leave_out(self, word: str) -> None:
        """Count something that is left out."""
        self.left_out[word] = self.left_out.get(word, 0) + 1


def hole_elements(file: MapFile) -> list[Element]:
    """Give the ways of holes. Raises InputError where there are none or too many."""
    found = [e for e in file.elements if meaning_of(e.tags, e.kind, e.closed).role == "hole"]
    if not found:
        raise InputError(
            tell("{file} has no way of a hole (golf=hole).", file=file.file),
            tell("Draw each hole as a line from the tee to the pin with golf=hole and ref=1, 2, ..."),
        )
    if len(found) > limits.HOLES:
        raise InputError(
            tell(
                "{file} has {n} holes, more than {holes}.", file=file.file, n=len(found), holes=limits.HOLES
            ),
            tell("Cut it to one golf course."),
        )
    return found


def plane_for(holes: Sequence[Element], file: str) -> Plane:
    """Give the plane at the middle of the holes, rounded so that small changes of a map do not move it."""
    points = np.array([p for hole in holes for part in hole.parts for p in part.points])
    first = points[0, 1]
    turned = (points[:, 1] - first + 180.0) % 360.0 - 180.0
    lat = round((points[:, 0].min() + points[:, 0].max()) / 2, 4)
    lon = round((first + (turned.min() + turned.max()) / 2 + 180.0) % 360.0 - 180.0, 4)
    if abs(lat) > HIGHEST_LATITUDE_DEG:
        raise InputError(
            tell("{file}: the course lies at latitude {lat:.4f}.", file=file, lat=lat),
            tell("Check the map's positions."),
        )
    plane = Plane(float(lat), float(lon))
    away = np.hypot(*plane.xy(points[:, 0], points[:, 1]).T)
    if not float(away.max()) <= limits.COURSE_M:
        raise InputError(
            tell(
                "{file}: its holes lie up to {away:.0f} km from their middle, more than {course_m:.0f} km.",
                file=file,
                away=away.max() / 1000,
                course_m=limits.COURSE_M / 1000,
            ),
            tell("Cut the map to the one golf course, or name the course that is meant."),
        )
    return plane


def gather(file: MapFile, holes: Sequence[Element], plane: Plane, asked: Asked) -> Things:
    """Turn a file's elements into things; what cannot be used is a question or a count."""
    things = Things(plane)
    wanted = {id(hole) for hole in holes}
    east, north = plane.metres_per_deg
    box = (_reach(holes, plane) + 2 * limits.FAR_M) / np.array([max(east, 1.0), north])
    for element in file.elements:
        meaning = meaning_of(element.tags, element.kind, element.closed)
        if meaning.role == "nothing" or (meaning.role == "hole" and id(element) not in wanted):
            continue
        if meaning.role == "left out":
            things.leave_out(meaning.word)
        elif meaning.role != "site" and not _near(element, plane, box):
            things.leave_out("elements far from every hole")
        else:
            _take(things, element, meaning, asked)
    return things


def _reach(holes: Sequence[Element], plane: Plane) -> float:
    points = np.array([p for hole in holes for part in hole.parts for p in part.points])
    return float(np.abs(plane.xy(points[:, 0], points[:, 1])).max())


def _near(element: Element, plane: Plane, box: np.ndarray) -> bool:
    """Whether the element's box meets the box around the holes."""
    points = np.array([p for part in element.parts for p in part.points])
    lon = (points[:, 1] - plane.longitude_deg + 180.0) % 360.0 - 180.0
    lat = points[:, 0] - plane.latitude_deg
    return bool(lon.min() <= box[0] and lon.max() >= -box[0] and lat.min() <= box[1] and lat.max() >= -box[1])


def rings_of(element: Element, plane: Plane) -> list[tuple[str, Ring]]:
    """Give an element's lines in metres, each with its role."""
    return [(p.role, plane.xy(*zip(*p.points, strict=True))) for p in element.parts]


def _take(things: Things, element: Element, meaning: Meaning, asked: Asked) -> None:
    lines = rings_of(element, things.plane)
    at: Point = (float(lines[0][1][0, 0]), float(lines[0][1][0, 1]))
    role, tags, source = meaning.role, element.tags, element.source
    try:
        if role == "hole":
            things.ways.append(WayOf(source, tags, tuple((float(x), float(y)) for x, y in lines[0][1])))
        elif role == "pin":
            things.pins.append(Spot(at, tags, source))
        elif role in ("tree", "row"):
            things.plant([at] if role == "tree" else _along(lines[0][1]))
        elif role == "edge":
            things.edges.append((source, lines[0][1]))
        elif role == "stream":
            things.lay(_stream(things, element, lines[0][1], meaning.lie))
        elif role == "tee" and element.kind != "area" and not element.closed:
            middle = lines[0][1].mean(axis=0)
            things.tee_spots.append(Spot((float(middle[0]), float(middle[1])), tags, source))
        else:
            area = Area(Feature(meaning.lie, area_of(lines, things.mending), source), tags)
            things.lay(area, role == "site")
    except ShapeError as error:
        asked.ask(
            0,
            f"shape {source}",
            tell(
                "{source} ({tags}) cannot be used: {error}.",
                source=source,
                tags=_named(tags),
                error=str(error),
            ),
            tell("It is left out."),
            tell("Redraw it in the map, or add the area in the overlay."),
        )


def _named(tags: Mapping[str, str]) -> str:
    for key in ("golf", "natural", "landuse", "waterway", "leisure"):
        if key in tags:
            return f"{key}={tags[key][:40]}"
    return "no golf tag"


def _along(line: Ring) -> list[Point]:
    """Trees of a row."""
    steps = np.hypot(*np.diff(line, axis=0).T)
    ends = np.concatenate(([0.0], np.cumsum(steps)))
    if not ends[-1] > 0:
        return []
    count = min(2_000, max(2, math.ceil(ends[-1] / TREE_ROW_STEP_M) + 1))
    s = np.linspace(0.0, ends[-1], count)
    return list(
        zip(np.interp(s, ends, line[:, 0]).tolist(), np.interp(s, ends, line[:, 1]).tolist(), strict=True)
    )


def _stream(things: Things, element: Element, line: Ring, lie: Lie) -> Area:
    kind = element.tags.get("waterway", "")
    width = length_m(element.tags.get("width"), 0.3, 200.0)
    if width is None:
        width = WATERWAY_WIDTH_M.get(kind, WATERWAY_WIDTH_M["stream"])
        things.streams[kind or "water drawn as a line"] = width
    shape: BaseGeometry = widened(line, width)
    return Area(Feature(lie, shape, element.source), element.tags)
