"""OpenStreetMap's own forms: relations with islands, pieces of rings, things that are missing or deleted.

The lake is a square of 60 m with an island of 20 m: 3,200 square metres, whatever the form.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from itertools import pairwise
from xml.etree.ElementTree import Element, SubElement, tostring

import pytest

from bagwright.course.hole import Course
from bagwright.course.lies import Lie
from bagwright.course.load import load_course
from bagwright.errors import InputError
from tests.unit.course.drawn import XY, asked, position

OUTER: list[XY] = [(30, 100), (90, 100), (90, 160), (30, 160)]
ISLAND: list[XY] = [(50, 120), (70, 120), (70, 140), (50, 140)]
WAY: list[XY] = [(0, 0), (0, 350)]


class Drawing:
    """A map in OpenStreetMap XML, and the same as Overpass JSON."""

    def __init__(self) -> None:
        self.root = Element("osm", version="0.6")
        self.elements: list[dict[str, object]] = []
        self.count = 0

    def nodes(self, points: Sequence[XY]) -> list[int]:
        """Draw points; gives their ids."""
        made = []
        for point in points:
            self.count += 1
            lon, lat = position(point)
            SubElement(self.root, "node", id=str(self.count), lat=repr(lat), lon=repr(lon))
            self.elements.append({"type": "node", "id": self.count, "lat": lat, "lon": lon})
            made.append(self.count)
        return made

    def way(self, nodes: Sequence[int], **tags: str) -> int:
        """Draw a way through nodes; gives its id."""
        self.count += 1
        way = SubElement(self.root, "way", id=str(self.count))
        for node in nodes:
            SubElement(way, "nd", ref=str(node))
        self._tags(way, tags)
        self.elements.append({"type": "way", "id": self.count, "nodes": list(nodes), "tags": tags})
        return self.count

    def relation(self, members: Sequence[tuple[int, str]], **tags: str) -> None:
        """Draw a relation of ways with their roles."""
        self.count += 1
        relation = SubElement(self.root, "relation", id=str(self.count))
        for ref, role in members:
            SubElement(relation, "member", type="way", ref=str(ref), role=role)
        self._tags(relation, tags)
        told = [{"type": "way", "ref": ref, "role": role} for ref, role in members]
        self.elements.append({"type": "relation", "id": self.count, "members": told, "tags": tags})

    def _tags(self, element: Element, tags: dict[str, str]) -> None:
        for key, value in tags.items():
            SubElement(element, "tag", k=key, v=value)

    def xml(self) -> Course:
        """Read it as OpenStreetMap XML."""
        return load_course(tostring(self.root), name="map.osm")

    def overpass(self) -> Course:
        """Read it as Overpass JSON."""
        return load_course(json.dumps({"elements": self.elements}).encode(), name="map.json")


def lake(pieces: int = 1, drop: int | None = None) -> Drawing:
    """A hole and the lake, its outer ring in so many pieces; `drop` leaves one piece out of the file."""
    drawing = Drawing()
    drawing.way(drawing.nodes(WAY), golf="hole", ref="1", par="4", handicap="1")
    outer = drawing.nodes(OUTER)
    ring = [*outer, outer[0]]
    cuts = [round(i * 4 / pieces) for i in range(pieces + 1)]
    members = []
    for i, (a, b) in enumerate(pairwise(cuts)):
        if i == drop:
            members.append((9999, "outer"))
        else:
            members.append((drawing.way(ring[a : b + 1]), "outer"))
    inner = drawing.nodes(ISLAND)
    members.append((drawing.way([*inner, inner[0]]), "inner"))
    drawing.relation(members, type="multipolygon", natural="water")
    return drawing


@pytest.mark.parametrize("pieces", [1, 2, 4])
@pytest.mark.parametrize("form", ["xml", "overpass"])
def test_a_lake_with_an_island(pieces: int, form: str) -> None:
    course: Course = getattr(lake(pieces), form)()
    (water,) = (f for f in course.holes[0].features if f.lie is Lie.WATER_RED)
    assert water.shape.area == pytest.approx(60**2 - 20**2, rel=1e-3)
    assert water.source.startswith("relation/")


@pytest.mark.parametrize("form", ["xml", "overpass"])
def test_a_piece_that_is_not_in_the_file_is_said(form: str) -> None:
    course: Course = getattr(lake(4, drop=2), form)()
    names = asked(course)
    assert "missing" in names
    assert any(name.startswith("shape relation/") for name in names), "the ring cannot be closed"
    assert not any(f.lie is Lie.WATER_RED for f in course.holes[0].features)


def test_both_forms_are_one_course() -> None:
    drawing = lake(2)
    assert drawing.xml().holes == drawing.overpass().holes


def test_deleted_things_are_not_read() -> None:
    drawing = lake()
    for relation in drawing.root.iter("relation"):
        relation.set("action", "delete")
    assert not any(f.lie is Lie.WATER_RED for f in drawing.xml().holes[0].features)


def test_a_stream_has_its_width_and_one_in_a_pipe_is_none() -> None:
    drawing = Drawing()
    drawing.way(drawing.nodes(WAY), golf="hole", ref="1", par="4", handicap="1")
    drawing.way(drawing.nodes([(-50, 200), (50, 200)]), waterway="stream", width="3")
    drawing.way(drawing.nodes([(-50, 250), (50, 250)]), waterway="ditch", tunnel="culvert")
    course = drawing.xml()
    (stream,) = (f for f in course.holes[0].features if f.lie is Lie.WATER_RED)
    assert stream.shape.area == pytest.approx(100 * 3, rel=1e-3)
    assert course.notes["left out: waterways under ground"] == "1"
    assert "water width" not in asked(course)


@pytest.mark.parametrize(
    ("source", "told"),
    [
        (b"<html></html>", 'root is "html", not "osm"'),
        (b"<osm><node id='1' lat='95' lon='0'/></osm>", "95, 0 is no position"),
        (b"<osm><node id='1' lat='nan' lon='0'/></osm>", "nan, 0 is no position"),
        (b"<osm><node", "broken XML"),
        (b"<osm>" + b"<a>" * 60 + b"</a>" * 60 + b"</osm>", "nested too deeply"),
        (b"<!DOCTYPE osm [<!ENTITY a 'b'>]><osm/>", "document type or entities"),
        (b"<osm/>", "no way of a hole"),
        (b'{"elements": 3}', '"elements" is no list'),
        (b'{"elements": [3]}', "element 1 is no object"),
        (b'{"features": 3}', '"features" is no list'),
        (b'{"type": "FeatureCollection", "features": []}', "no way of a hole"),
        (b'{"elements": [{"type": "node", "id": 1, "lat": 1e999, "lon": 0}]}', "no position|broken JSON"),
    ],
)
def test_what_is_no_map_is_said(source: bytes, told: str) -> None:
    with pytest.raises(InputError, match=told) as caught:
        load_course(source, name="map")
    assert caught.value.next_step
