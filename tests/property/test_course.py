"""Courses from anything: a plain error or a course, in bounded time; overlays read back as written."""

from __future__ import annotations

import json
import math
import time
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from bagwright.course import heightfile
from bagwright.course import overlay_record as record
from bagwright.course.asking import name_of
from bagwright.course.lies import Lie
from bagwright.course.load import load_course
from bagwright.course.overlay import parse_overlay
from bagwright.course.overlay_text import overlay_text
from bagwright.course.phrase import phrases_of
from bagwright.course.plane import Plane
from bagwright.course.rasterise import raster_of
from bagwright.course.shapes import crossings
from bagwright.course.tomltable import Place
from bagwright.errors import BagwrightError
from bagwright.files import quoted
from tests.unit.course.drawn import XY, area, bounds, hole, line, raw, spot, whole_hole

PUBLISHED = Path(__file__).parents[1] / "published"
MANY = settings(max_examples=60)

# --- overlays --------------------------------------------------------------------------------------------

NUMBER = st.floats(-20_000, 20_000)
PLACE = st.builds(Place, NUMBER, NUMBER) | st.builds(
    Place, st.floats(-90, 90), st.floats(-180, 180), st.just(True)
)
PLACES = st.lists(PLACE, min_size=3, max_size=5).map(tuple)
LINE = st.text(st.characters(exclude_categories=("C", "Z")), min_size=1, max_size=20)
HEIGHT = st.none() | st.floats(-500, 9000)
TEE = st.builds(
    record.TeeChange, LINE, st.none() | PLACE, HEIGHT, st.none() | st.floats(20, 2000), st.booleans()
)
AREA = st.builds(record.AreaChange, st.just("add"), LINE, st.sampled_from(list(Lie)), PLACES) | st.builds(
    record.AreaChange, st.just("remove"), LINE
)
MODEL = st.fixed_dictionaries({}, optional={"words": LINE, "fairway_width_m": st.floats(5, 120)})
HOLE = st.builds(
    record.HoleChange,
    par=st.none() | st.integers(3, 7), stroke_index=st.none() | st.integers(1, 36), name=st.none() | LINE,
    pin=st.none() | PLACE, pin_height_m=HEIGHT, way=st.just(()) | PLACES, trees=st.none() | PLACES,
    tees=st.lists(TEE, max_size=2).map(tuple), areas=st.lists(AREA, max_size=2).map(tuple), model=MODEL,
)  # fmt: skip
OVERLAY = st.builds(
    record.Overlay,
    origin=st.none() | st.tuples(st.floats(-85, 85), st.floats(-180, 180)),
    course=st.none() | LINE,
    name=st.none() | LINE,
    answers=st.dictionaries(st.sampled_from(["bounds", "7 par", "7 words 2", "number way/12"]), LINE),
    holes=st.dictionaries(st.integers(1, 99), HOLE, max_size=2),
    bounds=st.just(()) | PLACES,
    no_bounds=st.booleans(),
)


@MANY
@given(OVERLAY)
def test_an_overlay_reads_back_as_it_was_written(overlay: record.Overlay) -> None:
    assert parse_overlay(overlay_text(overlay)) == overlay


# --- anything --------------------------------------------------------------------------------------------


def tried(source: bytes, **options: Any) -> str:
    """Read a course; gives the next step of the plain error, "" for a course. Anything else gets out."""
    try:
        load_course(source, name="any", **options)
    except BagwrightError as error:
        return error.next_step or "no next step"
    return ""


@MANY
@given(st.binary(max_size=300) | st.text(max_size=200).map(str.encode))
@example(b"\x00")
@example(b"[[hole]]")
@example("1: par 4, 300 m, ".encode("utf-16"))
def test_any_bytes_are_a_course_or_a_plain_error(source: bytes) -> None:
    assert tried(source) != "no next step"


JSON: st.SearchStrategy[Any] = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=8,
)


@MANY
@given(st.data())
def test_a_map_with_something_else_in_any_place_is_a_course_or_a_plain_error(data: st.DataObject) -> None:
    document = json.loads(raw(*whole_hole(), bounds()))
    at: Any = document
    for _ in range(data.draw(st.integers(1, 7))):
        keys = list(at) if isinstance(at, dict) else list(range(len(at))) if isinstance(at, list) else []
        if not keys:
            break
        key = data.draw(st.sampled_from(keys))
        if not isinstance(at[key], dict | list) or data.draw(st.booleans()):
            at[key] = data.draw(JSON)
            break
        at = at[key]
    assert tried(json.dumps(document).encode()) != "no next step"


@MANY
@given(st.data())
def test_a_broken_osm_file_is_a_course_or_a_plain_error(data: st.DataObject) -> None:
    text = bytearray((PUBLISHED / "hole.osm").read_bytes())
    for _ in range(data.draw(st.integers(1, 4))):
        place = data.draw(st.integers(0, len(text) - 1))
        text[place : place + data.draw(st.integers(0, 30))] = data.draw(st.binary(max_size=12))
    assert tried(bytes(text)) != "no next step"


@MANY
@given(st.text(st.characters(exclude_categories=("C", "Z")), max_size=120))
def test_any_words_leave_a_hole_that_can_be_played(words: str) -> None:
    text = f"[[hole]]\npar = 4\nlength_m = {{ white = 350 }}\nwords = {quoted(words or 'x')}\n"
    course = load_course(text.encode(), name="card.toml")
    assert {Lie.TEE, Lie.FAIRWAY, Lie.GREEN} <= {f.lie for f in course.holes[0].features}


TOLD = (
    "water bunkers bunker trees carry forced out of bounds dogleg stream green width left right both sides "
    "short behind across at to by 20 150 210 250 30x25 m yd degrees wide uphill yellow and over heath , ;"
)
WORDS = st.lists(st.sampled_from(TOLD.split()), max_size=9).map(" ".join)


@settings(max_examples=15)
@given(WORDS)
def test_any_card_words_make_ground_that_a_raster_can_be_made_of(words: str) -> None:
    course = load_course(f'hole,par,white m,words\n1,4,380,"{words}"\n'.encode(), name="card.csv")
    raster = raster_of(course, 1)
    cells = [raster.cell(*raster.tee_m), raster.cell(*raster.pin_m)]
    assert None not in cells
    assert math.isclose(raster.length_m, 380.0, abs_tol=0.01)
    names = [key.removeprefix("read ") for key in course.notes if key.startswith("read ")]
    names += [name_of(q.hole, q.key) for q in course.questions if q.hole]
    assert sorted(names) == sorted(f"1 words {k}" for k in range(1, len(phrases_of(words, "m")) + 1))


@MANY
@given(st.binary(max_size=200) | st.text(max_size=200).map(str.encode))
@example(b"ncols")
@example(b"ncols 2\nnrows 2\nxllcorner 0\nyllcorner 0\ncellsize 1e-300\n1 2 3 4")
def test_any_heights_are_heights_or_a_plain_error(source: bytes) -> None:
    assert tried(raw(*whole_hole(), bounds()), heights=source, heights_name="any") != "no next step"


# --- made to be slow or large ----------------------------------------------------------------------------


def star(points: int, radius: float) -> list[XY]:
    """A line that crosses itself nearly everywhere."""
    return [(radius * math.cos(2.4 * i), 200 + radius * math.sin(2.4 * i)) for i in range(points)]


def comb(teeth: int, width: float) -> list[XY]:
    """A valid area with a very long edge."""
    step = 300.0 / teeth
    rows = [
        [(-width, i * step), (width, i * step), (width, (i + 0.25) * step), (-width, (i + 0.25) * step)]
        for i in range(teeth)
    ]
    return [*(p for row in rows for p in row), (-width - 1, 300 - 0.75 * step), (-width - 1, 0)]


TENFOLD = "".join(f'<!ENTITY {chr(98 + i)} "{f"&{chr(97 + i)};" * 10}">' for i in range(12))
LAUGH = (
    f'<?xml version="1.0"?><!DOCTYPE osm [<!ENTITY a "aaaaaaaaaa">{TENFOLD}]>'
    '<osm><node id="1" lat="40" lon="-35"><tag k="name" v="&m;"/></node></osm>'
)
STAKES = [line([(-90, y), (290, y + 3)], golf="out_of_bounds") for y in range(-90, 490, 4)]
SLOW = {
    "deep JSON": b'{"features":' + b"[" * 200_000 + b"]" * 200_000 + b"}",
    "entities": LAUGH.encode(),
    "a million points": raw(hole()).replace(
        b'"coordinates": [', b'"coordinates": [' + b"[-35,40]," * 10**6, 1
    ),
    "crossings": raw(hole(), *[area(star(590, 900), natural="wood") for _ in range(30)]),
    "crossing water": raw(hole(), *[line(star(590, 900), waterway="stream", width="200") for _ in range(30)]),
    "long edges": raw(hole(), *[area(comb(1200, 5000), golf="bunker") for _ in range(4)]),
    "combs": raw(hole(), *[area(comb(150, 50), golf="water_hazard") for _ in range(6)]),
    "stakes": raw(hole(), bounds(), *STAKES),
    "far away": raw(hole(), line([(0, 0), (9e5, 9e5)], golf="hole", ref="2")),
    "huge numbers": raw(hole()).replace(b"[-35.5", b"[1e308", 1),
    "not a number": raw(hole()).replace(b"[-35.5", b"[NaN", 1),
}


@pytest.mark.parametrize("name", SLOW)
def test_a_file_made_to_be_slow_is_over_soon(name: str) -> None:
    """Ten seconds is far more than any of these take on two cores; without its limit each takes minutes."""
    begin = time.process_time()
    told = ""
    try:
        course = load_course(SLOW[name], name=f"{name}.json")
        raster_of(course, course.holes[0].number)
    except BagwrightError as error:
        told = str(error)
    assert time.process_time() - begin < 10.0
    assert bool(told) == (name in REFUSED), told


REFUSED = (
    "deep JSON",
    "entities",
    "a million points",
    "long edges",
    "far away",
    "huge numbers",
    "not a number",
)


@pytest.mark.parametrize("seed", range(5))
def test_crossings_are_counted_as_shapely_finds_them(seed: int) -> None:
    """Against shapely, pair by pair: neighbours share an end and cross in no inner point."""
    points = np.random.default_rng(seed).uniform(-9, 9, (25, 2))
    steps = [shapely.LineString(pair) for pair in pairwise(points)]
    wanted = sum(one.crosses(other) for i, one in enumerate(steps) for other in steps[i + 2 :])
    assert crossings(shapely.LineString(points)) == wanted > 10
    # A ring's last step meets its first; two lines are no one line.
    parts = shapely.MultiLineString([points[:12], points[12:]])
    split = [*steps[:11], *steps[12:]]
    pairs = sum(one.crosses(other) for i, one in enumerate(split) for other in split[i + 1 :])
    assert crossings(parts) == pairs


# --- what holds for every map ----------------------------------------------------------------------------


@settings(max_examples=25)
@given(st.floats(-70, 70), st.floats(-180, 180), st.lists(st.tuples(NUMBER, NUMBER), min_size=1, max_size=5))
def test_degrees_and_metres_there_and_back(lat: float, lon: float, points: list[XY]) -> None:
    plane = Plane(lat, lon)
    near = [(x / 4, y / 4) for x, y in points]
    found = plane.latlon(near)
    assert np.abs(plane.xy(found[:, 0], found[:, 1]) - near).max() < 1e-5


@pytest.mark.parametrize("seed", range(4))
def test_half_the_grid_gives_the_same_areas_within_the_edge(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Refining the grid moves an area by no more than cells along its edge can."""
    from bagwright.course import ground, heights, rasterise

    t = np.linspace(0, 2 * math.pi, 30)[:-1]
    r = 18 + 6 * np.cos(3 * t + seed)
    more = area([(25 + a, 200 + b) for a, b in zip(r * np.cos(t), r * np.sin(t), strict=True)], golf="bunker")
    course = load_course(raw(*whole_hole(), bounds(), more))
    shape = next(f.shape for f in course.holes[0].features if f.lie is Lie.SAND)
    shares = []
    for factor in (1.0, 0.5):
        cell = 0.9144 * factor
        for module in (ground, heights, rasterise):
            monkeypatch.setattr(module, "CELL_M", cell)
        shares.append(float((raster_of(course, 1).lie == Lie.SAND).sum()) * cell**2)
    assert shares[1] == pytest.approx(shape.area, abs=1.5 * math.sqrt(shape.length / 0.4572) * 0.4572**2)
    assert shares[0] == pytest.approx(shares[1], abs=3 * math.sqrt(shape.length / 0.9144) * 0.9144**2)


def test_a_mirrored_map_gives_the_mirrored_raster() -> None:
    from bagwright.course.mirror import mirrored

    parts = [
        area([(20, 180), (45, 185), (40, 230)], golf="lateral_water_hazard"),
        area([(-30, 240), (-18, 240), (-20, 252)], golf="bunker"),
        spot((-25, 150), natural="tree"),
    ]
    features = [
        *whole_hole(),
        *parts,
        area([(-90, -60), (110, -60), (110, 430), (-90, 430)], leisure="golf_course"),
    ]
    document = json.loads(raw(*features))

    def turned(value: Any) -> Any:
        if isinstance(value, list) and value and isinstance(value[0], float):
            return [-71.0 - value[0], value[1]]
        return [turned(v) for v in value]

    for feature in document["features"]:
        feature["geometry"]["coordinates"] = turned(feature["geometry"]["coordinates"])
    one = raster_of(load_course(raw(*features)), 1)
    two = mirrored(raster_of(load_course(json.dumps(document).encode()), 1))
    assert one.lie.shape == two.lie.shape
    assert (one.lie != two.lie).mean() < 1e-3


def test_heights_are_kept_around_the_holes_only() -> None:
    course = load_course(raw(*whole_hole(), bounds()))
    low_x, low_y, high_x, high_y = heightfile.box_of(course)
    assert (high_x - low_x, high_y - low_y) == pytest.approx((300, 650), abs=1)
