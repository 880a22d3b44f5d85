"""GeoJSON (RFC 7946) whose properties are OpenStreetMap tags. Positions are longitude, latitude, WGS 84."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from bagwright.course import limits
from bagwright.course.elements import Element, Kind, LatLon, MapFile, Part, position, tags_of, told
from bagwright.errors import InputError
from bagwright.shots.texts import clean
from bagwright.words import tell

_POINTS = {"Point": 0, "MultiPoint": 1}
_LINES = {"LineString": 1, "MultiLineString": 2}
_AREAS = {"Polygon": 2, "MultiPolygon": 3}


def read_geojson(document: Mapping[str, Any], file: str) -> MapFile:
    """Read a map in GeoJSON from the parsed document."""
    out = MapFile(file)
    words = f"{told(document.get('attribution'))} {told(document.get('copyright'))}"
    if "OpenStreetMap" in words or "ODbL" in words:
        out.credit = "© OpenStreetMap contributors (ODbL)"
    for number, feature in enumerate(features_of(document, file), start=1):
        if not isinstance(feature, dict):
            raise InputError(
                tell("{file}: feature {number} is no object.", file=file, number=number),
                tell("Export the map again."),
            )
        for element in _elements(feature, number, file):
            out.add(element)
    return out


def features_of(document: Mapping[str, Any], file: str) -> list[Any]:
    """Give the features of a collection, or the one feature that the document is."""
    if document.get("type") == "Feature":
        return [document]
    features = document.get("features")
    if not isinstance(features, list):
        raise InputError(tell('{file}: "features" is no list.', file=file), tell("Export the map again."))
    return features


def _elements(feature: dict[str, Any], number: int, file: str) -> Iterator[Element]:
    properties = feature.get("properties")
    tags = _tags(properties) if isinstance(properties, dict) else {}
    source = _source(feature, tags, number)
    geometry = feature.get("geometry")
    if geometry is None or not tags:
        return
    for kind, parts in shapes_of(geometry, file, f"feature {number} ({source})"):
        yield Element(source, tags, kind, parts)


def _tags(properties: dict[str, Any]) -> dict[str, str]:
    inner = properties.get("tags")
    tags = tags_of((inner if isinstance(inner, dict) else properties).items())
    if isinstance(properties.get("@id"), str):
        tags["@id"] = clean(properties["@id"], 40)
    return tags


def _source(feature: dict[str, Any], tags: Mapping[str, str], number: int) -> str:
    key = feature.get("id")
    if isinstance(key, str) or (isinstance(key, int) and abs(key) < 10**18):
        return clean(str(key), 40) or f"feature/{number}"
    return tags.get("@id") or f"feature/{number}"


def shapes_of(
    geometry: object, file: str, where: str, deep: int = 0
) -> Iterator[tuple[Kind, tuple[Part, ...]]]:
    """Give the shapes of one geometry. Raises InputError for what RFC 7946 does not know."""
    if not isinstance(geometry, dict) or deep > 4:
        raise InputError(
            tell("{file}: {where}: its geometry is no geometry.", file=file, where=where),
            tell("Export the map again."),
        )
    kind, coordinates = geometry.get("type"), geometry.get("coordinates")
    if kind == "GeometryCollection":
        inner = geometry.get("geometries")
        for one in inner if isinstance(inner, list) else ():
            yield from shapes_of(one, file, where, deep + 1)
        return
    if kind in _POINTS:
        for line in _lines(coordinates, _POINTS[kind], file, where):
            yield from (("point", (Part((point,)),)) for point in line)
    elif kind in _LINES:
        for line in _lines(coordinates, _LINES[kind], file, where):
            if len(line) >= 2:
                yield "line", (Part(line),)
    elif kind in _AREAS:
        yield from _areas(coordinates, _AREAS[kind], file, where)
    else:
        raise InputError(
            tell(
                '{file}: {where}: "{kind}" is no kind of geometry.', file=file, where=where, kind=told(kind)
            ),
            tell("Export the map again."),
        )


def _areas(coordinates: object, depth: int, file: str, where: str) -> Iterator[tuple[Kind, tuple[Part, ...]]]:
    polygons = coordinates if depth == 3 else [coordinates]
    parts: list[Part] = []
    for polygon in polygons if isinstance(polygons, list) else ():
        rings = list(_lines(polygon, 2, file, where))
        parts += [Part(ring, "inner" if i else "outer") for i, ring in enumerate(rings) if len(ring) >= 3]
    if len(parts) > limits.RINGS:
        raise InputError(
            tell("{file}: {where}: has {n:,} rings.", file=file, where=where, n=len(parts)),
            tell("Simplify it."),
        )
    if parts:
        yield "area", tuple(Part(_closed(part.points), part.role) for part in parts)


def _closed(ring: tuple[LatLon, ...]) -> tuple[LatLon, ...]:
    return ring if ring[0] == ring[-1] else (*ring, ring[0])


def _lines(value: object, depth: int, file: str, where: str) -> Iterator[tuple[LatLon, ...]]:
    """Lines of positions from nested lists, `depth` lists deep above one position."""
    if not isinstance(value, list):
        raise InputError(
            tell("{file}: {where}: its coordinates are no list.", file=file, where=where),
            tell("Export the map again."),
        )
    if depth == 0:
        yield (_position(value, file, where),)
    elif depth == 1:
        yield tuple(_position(point, file, where) for point in value)
    else:
        for inner in value:
            yield from _lines(inner, depth - 1, file, where)


def _position(value: object, file: str, where: str) -> LatLon:
    if not isinstance(value, list) or not 2 <= len(value) <= 8:
        raise InputError(
            tell("{file}: {where}: {value} is no position.", file=file, where=where, value=told(value)),
            tell("Write [longitude, latitude]."),
        )
    return position(value[1], value[0], file, where)
