"""OpenStreetMap XML (`.osm`): nodes with positions, ways that name nodes, relations that name ways."""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from bagwright.course.elements import MapFile, check_count, position, tags_of
from bagwright.course.osm_parts import Member, Raw, assemble
from bagwright.errors import InputError
from bagwright.shots.texts import clean
from bagwright.words import tell

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element as Node


def read_osm_xml(raw: bytes, file: str) -> MapFile:
    """Read a map in OpenStreetMap XML. Entities and document types are refused."""
    found = Raw(file)
    for kind, node in _top_elements(raw, file):
        _take(found, kind, node)
        check_count(len(found.ways) + len(found.relations), file)
    return assemble(found, _credit(raw))


def _top_elements(raw: bytes, file: str) -> Iterator[tuple[str, Node]]:
    """Give the children of the root one after the other, forgetting each."""
    from xml.etree.ElementTree import ParseError

    from defusedxml import DefusedXmlException
    from defusedxml.ElementTree import iterparse

    depth, root = 0, None
    try:
        events: Any = iterparse(io.BytesIO(raw), events=("start", "end"), forbid_dtd=True)
        for event, node in events:
            depth += 1 if event == "start" else -1
            if event == "start" and root is None:
                root = _root(node, file)
            if depth > 50:
                raise InputError(
                    tell("{file} is nested too deeply for a map.", file=file), tell("Export the map again.")
                )
            if event == "end" and depth == 1 and root is not None:
                yield str(node.tag), node
                root.clear()
    except DefusedXmlException as error:
        raise InputError(
            tell("{file} declares a document type or entities, which no map needs.", file=file),
            tell("Export the map again."),
        ) from error
    except (ParseError, ValueError, LookupError) as error:
        raise InputError(
            tell("{file} is broken XML ({error}).", file=file, error=clean(str(error), 80)),
            tell("Export the map again."),
        ) from error


def _root(node: Node, file: str) -> Node:
    if node.tag != "osm":
        raise InputError(
            tell(
                '{file} is XML of another kind (its root is "{tag}", not "osm").',
                file=file,
                tag=clean(str(node.tag), 40),
            ),
            tell("Give an OpenStreetMap file (.osm), GeoJSON, or Overpass JSON."),
        )
    return node


def _take(found: Raw, kind: str, node: Node) -> None:
    if kind not in ("node", "way", "relation"):
        return
    if node.get("action") == "delete" or node.get("visible") == "false":
        return
    key = clean(node.get("id", ""), 24)
    tags = tags_of((tag.get("k"), tag.get("v")) for tag in node.findall("tag"))
    if kind == "node":
        found.node(key, position(node.get("lat"), node.get("lon"), found.file, f"node {key}"), tags)
    elif kind == "way":
        found.way(key, tags, [clean(nd.get("ref", ""), 24) for nd in node.findall("nd")])
    else:
        members = [
            Member(m.get("type", ""), clean(m.get("ref", ""), 24), clean(m.get("role", ""), 24))
            for m in node.findall("member")
        ]
        found.relation(key, tags, members)


def _credit(raw: bytes) -> str:
    return "© OpenStreetMap contributors (ODbL)" if b"OpenStreetMap" in raw[:2000] else ""
