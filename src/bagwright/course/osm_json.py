"""Overpass JSON, both with inline geometry (`out geom`) and with separate nodes (`out body; >; out skel`)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from bagwright.course.elements import LatLon, MapFile, check_count, position, tags_of, told
from bagwright.course.osm_parts import Member, Raw, assemble
from bagwright.errors import InputError
from bagwright.shots.texts import clean
from bagwright.words import tell


def read_overpass(document: Mapping[str, Any], file: str) -> MapFile:
    """Read a map in Overpass JSON from the parsed document."""
    elements = document.get("elements")
    if not isinstance(elements, list):
        raise InputError(tell('{file}: "elements" is no list.', file=file), tell("Export the map again."))
    raw = Raw(file)
    for number, element in enumerate(elements, start=1):
        if not isinstance(element, dict):
            raise InputError(
                tell("{file}: element {number} is no object.", file=file, number=number),
                tell("Export the map again."),
            )
        _take(raw, element, number)
        check_count(len(raw.ways) + len(raw.relations), file)
    about = document.get("osm3s")
    words = (
        told(document.get("generator"))
        + " "
        + told(about.get("copyright") if isinstance(about, dict) else "")
    )
    credited = "ODbL" in words or "OpenStreetMap" in words
    return assemble(raw, "© OpenStreetMap contributors (ODbL)" if credited else "")


def _take(raw: Raw, element: dict[str, Any], number: int) -> None:
    kind, key = element.get("type"), _key(element.get("id"))
    pairs = element.get("tags")
    tags = tags_of(pairs.items()) if isinstance(pairs, dict) else {}
    where = f"element {number}"
    if kind == "node":
        at = position(element.get("lat"), element.get("lon"), raw.file, where)
        raw.node(key, at, tags or raw.node_tags.get(key, {}))
    elif kind == "way":
        refs = [_key(ref) for ref in _listed(element.get("nodes"), raw.file, where)]
        raw.way(key, tags, refs, _geometry(element.get("geometry"), raw.file, where))
    elif kind == "relation":
        members = [_member(m, raw.file, where) for m in _listed(element.get("members"), raw.file, where)]
        raw.relation(key, tags, members)


def _key(value: object) -> str:
    if isinstance(value, int) and abs(value) > 10**18:
        return "?"
    return clean(str(value), 24) if isinstance(value, int | str) else "?"


def _listed(value: object, file: str, where: str) -> list[Any]:
    if value is None:
        return []
    if not isinstance(value, list):
        raise InputError(
            tell("{file}: {where}: nodes and members must be lists.", file=file, where=where),
            tell("Export the map again."),
        )
    return value


def _geometry(value: object, file: str, where: str) -> tuple[LatLon, ...]:
    """Points that stand in the element; `null` marks a point outside the box that was asked for."""
    points = _listed(value, file, where)
    if not all(isinstance(point, dict | None) for point in points):
        raise InputError(
            tell("{file}: {where}: its geometry is no list of points.", file=file, where=where),
            tell("Export the map again."),
        )
    return tuple(
        position(point.get("lat"), point.get("lon"), file, where) for point in points if point is not None
    )


def _member(value: object, file: str, where: str) -> Member:
    if not isinstance(value, dict):
        raise InputError(
            tell("{file}: {where}: a member is no object.", file=file, where=where),
            tell("Export the map again."),
        )
    points = _geometry(value.get("geometry"), file, where)
    role = value.get("role")
    kind = value.get("type")
    return Member(
        kind if isinstance(kind, str) else "", _key(value.get("ref")),
        clean(role, 24) if isinstance(role, str) else "", points,
    )  # fmt: skip
