"""Small maps in GeoJSON for the tests, drawn in metres about a place in the open Atlantic."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from bagwright.course.asking import name_of
from bagwright.course.hole import Course
from bagwright.course.load import load_course
from bagwright.course.plane import Plane

PLANE = Plane(40.5, -35.5)
XY = tuple[float, float]


def position(at: XY) -> list[float]:
    """Longitude and latitude of a place in metres."""
    lat, lon = PLANE.latlon([at])[0]
    return [float(lon), float(lat)]


def feature(kind: str, coordinates: Any, **tags: str) -> dict[str, Any]:
    """One feature; `par__red` writes the tag `par:red`."""
    return {
        "type": "Feature",
        "properties": {key.replace("__", ":"): value for key, value in tags.items()},
        "geometry": {"type": kind, "coordinates": coordinates},
    }


def line(points: Sequence[XY], **tags: str) -> dict[str, Any]:
    """A line with its tags."""
    return feature("LineString", [position(p) for p in points], **tags)


def area(points: Sequence[XY], **tags: str) -> dict[str, Any]:
    """An area, its ring closed."""
    ring = [position(p) for p in points]
    return feature("Polygon", [[*ring, ring[0]]], **tags)


def box(x0: float, y0: float, x1: float, y1: float, **tags: str) -> dict[str, Any]:
    """A rectangle."""
    return area([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], **tags)


def spot(at: XY, **tags: str) -> dict[str, Any]:
    """A point with its tags."""
    return feature("Point", position(at), **tags)


def hole(ref: str = "1", y: float = 350.0, x: float = 0.0, **tags: str) -> dict[str, Any]:
    """The way of a hole, due north from y = 0."""
    return line([(x, 0.0), (x, y)], golf="hole", ref=ref, **{"par": "4", "handicap": "1", **tags})


def whole_hole(x: float = 0.0, ref: str = "1") -> list[dict[str, Any]]:
    """A hole that leaves nothing open: way, tee, fairway, green."""
    return [
        hole(ref, x=x),
        box(x - 4, -4, x + 4, 4, golf="tee", tee="white"),
        box(x - 15, 120, x + 15, 330, golf="fairway"),
        box(x - 12, 336, x + 12, 364, golf="green"),
    ]


def bounds() -> dict[str, Any]:
    """The course's area about all that is drawn here."""
    return box(-200, -100, 300, 500, leisure="golf_course", name="Drawn")


def raw(*features: dict[str, Any]) -> bytes:
    """The bytes of a file with these features."""
    return json.dumps({"type": "FeatureCollection", "features": list(features)}).encode()


def read(*features: dict[str, Any], **options: Any) -> Course:
    """The course that these features make."""
    return load_course(raw(*features), name="drawn.geojson", **options)


def asked(course: Course) -> dict[str, str]:
    """The questions by name with their reading."""
    return {name_of(q.hole, q.key): str(q.read_as) for q in course.questions}
