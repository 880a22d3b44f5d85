"""One synthetic hole of 400 yd, in three formats and two forms, read to the same hole."""

import json
import math
from pathlib import Path
from typing import Any

import pytest

from bagwright.course.along import length_of
from bagwright.course.hole import Course
from bagwright.course.lies import Lie
from bagwright.course.load import load_course

PUBLISHED = Path(__file__).parents[2] / "published"
NAMES = ("hole.osm", "hole.geojson", "hole_overpass.json")


def inline_form() -> bytes:
    """The skeleton form turned into the one whose ways carry their own points."""
    document: dict[str, Any] = json.loads((PUBLISHED / "hole_overpass.json").read_text())
    nodes = {e["id"]: {"lat": e["lat"], "lon": e["lon"]} for e in document["elements"] if e["type"] == "node"}
    ways = [e for e in document["elements"] if e["type"] == "way"]
    for way in ways:
        way["geometry"] = [nodes[key] for key in way.pop("nodes")]
    return json.dumps({"elements": ways}).encode()


def courses() -> list[Course]:
    """The published hole from every file of it."""
    found = [load_course(PUBLISHED / name) for name in NAMES]
    return [*found, load_course(inline_form(), name="inline.json")]


@pytest.mark.parametrize("course", courses(), ids=[*NAMES, "inline"])
def test_the_hole_is_the_same_in_every_format(course: Course) -> None:
    (hole,) = course.holes
    assert (course.name, hole.number, hole.par, hole.stroke_index) == ("Synthetic", 1, 4, 7)
    assert [f.lie for f in hole.features] == [
        Lie.TEE, Lie.FAIRWAY, Lie.GREEN, Lie.SAND, Lie.WATER_RED, Lie.RECOVERY, Lie.OUT,
    ]  # fmt: skip
    assert course.bounds is not None
    assert length_of(hole.way) == pytest.approx(365.76, abs=0.003)
    assert [tee.name for tee in hole.tees] == ["white"]
    assert hole.tees[0].card_length_m == 366.0
    assert course.questions == ()


def test_the_formats_agree_to_the_bit() -> None:
    first, *others = courses()
    for other in others:
        assert other.holes == first.holes
        assert other.origin == first.origin


def test_areas_have_their_drawn_sizes() -> None:
    """10 m square tee (8 x 10), 30 yd fairway of 235 m, ring polygons of 24 points for green and bunker."""
    hole = load_course(PUBLISHED / "hole.osm").holes[0]
    area = {f.lie: f.shape.area for f in hole.features}
    ring = 24 / 2 * math.sin(2 * math.pi / 24)  # Area of a polygon of 24 points on the unit circle.
    assert area[Lie.TEE] == pytest.approx(8 * 10, rel=0.01)
    assert area[Lie.FAIRWAY] == pytest.approx(30 * 235, rel=0.01)
    assert area[Lie.GREEN] == pytest.approx(ring * 13**2, rel=0.02)
    assert area[Lie.SAND] == pytest.approx(ring * 6**2, rel=0.02)
    assert area[Lie.OUT] == pytest.approx(10 * 420, rel=0.01)
