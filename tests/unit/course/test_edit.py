"""Corrections one at a time, and what they do to the course; the drawn figures are known."""

from __future__ import annotations

import math

import pytest

from bagwright.course import edit
from bagwright.course.hole import Course, Hole
from bagwright.course.lies import Lie
from bagwright.course.load import load_course
from bagwright.course.overlay import Overlay, load_overlay, overlay_path, parse_overlay
from bagwright.course.overlay_text import overlay_text, save_overlay
from bagwright.course.rasterise import raster_of
from bagwright.errors import InputError
from tests.unit.course.drawn import PLANE, bounds, box, raw, whole_hole

MAP = raw(*whole_hole(), *whole_hole(x=100.0, ref="2"), box(40, 150, 60, 200, golf="bunker"), bounds())
CARD = b"hole,par,si,white m,red m,words\n1,4,1,400,350,water left at 210\n2,3,2,150,130,\n"


def course(overlay: Overlay | str | None = None, source: bytes = MAP) -> Course:
    """The drawn course with an overlay on it."""
    return load_course(source, name="drawn", overlay=overlay)


def put(overlay: Overlay, source: bytes = MAP) -> Course:
    """The course with the overlay, read back from its text as the app does; twice is the same."""
    text = overlay_text(overlay)
    assert parse_overlay(text) == overlay
    return course(text, source)


def first(found: Course) -> Hole:
    """Its first hole."""
    return found.holes[0]


def test_a_tee_moves_and_the_way_with_it() -> None:
    now = course()
    x, y = first(now).tees[0].at
    moved = put(edit.move_tee(edit.overlay_of(now), now, 1, "white", (x, y - 30.0)))
    assert first(moved).tees[0].at == pytest.approx((x, y - 30.0), abs=0.006)
    assert raster_of(moved, 1).length_m == pytest.approx(raster_of(now, 1).length_m + 30.0, abs=0.02)
    assert first(now).tees[0].at == (x, y), "the course before is as it was"


def test_tees_are_added_and_taken_away_but_never_the_last() -> None:
    now = course()
    overlay = edit.add_tee(
        edit.overlay_of(now), now, 1, "red", (first(now).way[0][0], first(now).way[0][1] + 60)
    )
    more = put(overlay)
    assert [t.name for t in first(more).tees] == ["white", "red"]
    gone = put(edit.remove_tee(overlay, more, 1, "white"))
    assert [t.name for t in first(gone).tees] == ["red"]
    assert raster_of(gone, 1).length_m == pytest.approx(290, abs=0.5)
    with pytest.raises(InputError, match="one tee only"):
        edit.remove_tee(overlay, gone, 1, "red")
    with pytest.raises(InputError, match="already"):
        edit.add_tee(overlay, more, 1, "Red", (0.0, 0.0))
    with pytest.raises(InputError, match="Tees: white"):
        edit.move_tee(edit.overlay_of(now), now, 1, "blue", (0.0, 0.0))


def test_the_pin_moves_along_the_picture() -> None:
    now = course()
    (at,) = edit.from_picture(now, 1, "white", [(340.0, 5.0)])
    moved = put(edit.move_pin(edit.overlay_of(now), now, 1, at))
    # 340 m on, 5 m to the right: the length is that of the triangle.
    assert raster_of(moved, 1).length_m == pytest.approx(math.hypot(340, 5), abs=0.02)


def test_an_area_is_drawn_redrawn_and_taken_away() -> None:
    now = course()
    ring = edit.from_picture(now, 1, "white", [(200, 10), (230, 10), (230, 30), (200, 30)])
    overlay = edit.set_area(edit.overlay_of(now), now, 1, Lie.WATER, ring)
    drawn = put(overlay)
    (water,) = (f for f in first(drawn).features if f.lie is Lie.WATER)
    assert water.source == "overlay/1"
    assert water.shape.area == pytest.approx(600, abs=1)
    raster = raster_of(drawn, 1)
    assert raster.lie[raster.cell(215, 20)] == Lie.WATER
    again = edit.set_area(overlay, drawn, 1, Lie.SAND, ring[:3], "overlay/1")
    (sand,) = (f for f in first(put(again)).features if f.source == "overlay/1")
    assert (sand.lie, round(sand.shape.area)) == (Lie.SAND, 300)
    assert edit.remove_area(again, put(again), 1, "overlay/1").holes == {}


def test_an_area_of_the_map_is_removed_whichever_hole_s_picture_shows_it() -> None:
    now = course()
    (owner,) = (h.number for h in now.holes if any(f.lie is Lie.SAND for f in h.features))
    other = 3 - owner
    source = next(f.source for h in now.holes for f in h.features if f.lie is Lie.SAND)
    gone = put(edit.remove_area(edit.overlay_of(now), now, other, source))
    assert not any(f.lie is Lie.SAND for h in gone.holes for f in h.features)
    with pytest.raises(InputError, match="not known"):
        edit.remove_area(edit.overlay_of(now), now, 1, "way/999")


def test_a_fairway_that_two_holes_share_changes_on_both() -> None:
    shared = [f for f in (*whole_hole(), *whole_hole(100.0, "2")) if f["properties"].get("golf") != "fairway"]
    source = raw(*shared, box(-20, 120, 120, 330, golf="fairway"), bounds())
    now = course(source=source)
    name = next(f.source for f in first(now).features if f.lie is Lie.FAIRWAY)
    assert all(any(f.source == name for f in h.features) for h in now.holes)
    gone = put(edit.remove_area(edit.overlay_of(now), now, 1, name), source)
    assert not any(f.source == name for h in gone.holes for f in h.features)
    rough = put(edit.set_area(edit.overlay_of(now), now, 1, Lie.DEEP, [(0, 0), (9, 0), (9, 9)], name), source)
    assert {f.lie for h in rough.holes for f in h.features if f.source == name} == {Lie.DEEP}


def test_par_index_way_trees_and_bounds() -> None:
    now = course()
    overlay = edit.set_par(edit.overlay_of(now), now, 2, 5)
    overlay = edit.set_stroke_index(overlay, now, 2, 18)
    (ax, ay), (bx, by) = now.holes[1].way[0], now.holes[1].pin
    overlay = edit.set_way(overlay, now, 2, [(ax, ay), (ax + 80, (ay + by) / 2), (bx, by)])
    overlay = edit.set_trees(overlay, now, 2, [(ax + 10, ay + 100)])
    overlay = edit.set_bounds(overlay, now, None)
    found = put(overlay)
    hole = found.holes[1]
    assert (hole.par, hole.stroke_index, len(hole.way), len(hole.trees)) == (5, 18, 3, 1)
    assert found.bounds is None
    edge = [(-300.0, -300.0), (300.0, -300.0), (300.0, 300.0), (-300.0, 300.0)]
    drawn = put(edit.set_bounds(overlay, found, edge)).bounds
    assert drawn is not None
    assert drawn.area == pytest.approx(600**2)
    assert 2 not in edit.forget_hole(overlay, 2).holes
    assert edit.set_par(edit.set_par(edit.overlay_of(now), now, 2, 5), now, 2, None).holes == {}


def test_a_card_is_corrected_by_its_own_names() -> None:
    now = course(source=CARD)
    assert len({f.source for f in first(now).features}) == len(first(now).features), "every area has its name"
    overlay = edit.set_model(edit.overlay_of(now), now, 1, "fairway_width_m", 40.0)
    overlay = edit.set_model(overlay, now, 1, "words", "bunker short, hills left")
    overlay = edit.remove_area(overlay, now, 1, "model/deep left")
    overlay = edit.move_tee(overlay, now, 1, "red", (5.0, 60.0))
    found = put(overlay, CARD)
    sources = [f.source for f in first(found).features]
    assert "model/deep left" not in sources
    assert "words 1/1" in sources
    assert first(found).tee("red").at == (5.0, 60.0)
    assert [q.key for q in found.questions if q.hole == 1] == ["words 2"]
    closed = put(edit.answer(overlay, "1 words 2", "trees left"), CARD)
    assert not [q for q in closed.questions if q.hole == 1]
    assert edit.take_back(edit.answer(overlay, "1 words 2", "none"), "1 words 2") == overlay
    assert edit.set_model(overlay, found, 1, "words", None).holes[1].model == {"fairway_width_m": 40.0}
    with pytest.raises(InputError, match="no common edge"):
        edit.set_bounds(overlay, found, None)
    with pytest.raises(InputError, match="is a scorecard"):
        course("[bounds]\nnone = true\n", CARD)
    with pytest.raises(InputError, match="is a map"):
        edit.set_model(overlay, course(), 1, "words", "x")


def test_put_on_twice_it_changes_nothing_more() -> None:
    from bagwright.course.amend import apply_overlay

    now = course()
    overlay = edit.remove_area(edit.overlay_of(now), now, 1, first(now).features[1].source)
    overlay = edit.move_pin(overlay, now, 1, (first(now).pin[0] + 3, first(now).pin[1]))
    once = apply_overlay(now, overlay)
    assert apply_overlay(once, overlay) == once


def test_an_overlay_drawn_from_another_zero_lands_on_the_same_ground() -> None:
    """A map that grew has another middle; the overlay keeps the zero that it was drawn from."""
    now = course()
    ring = edit.from_picture(now, 1, "white", [(200, 10), (230, 10), (230, 30), (200, 30)])
    overlay = edit.set_area(edit.overlay_of(now), now, 1, Lie.WATER, ring)
    grown = raw(*whole_hole(), *whole_hole(100.0, "2"), *whole_hole(1500.0, "3"), bounds())
    found = course(overlay, grown)
    assert found.origin != now.origin
    raster = raster_of(found, 1)
    assert raster.lie[raster.cell(215, 20)] == Lie.WATER
    assert raster.lie[raster.cell(215, 33)] != Lie.WATER
    later = edit.move_pin(overlay, found, 1, found.holes[0].pin)
    assert course(later, grown).holes[0].pin == pytest.approx(found.holes[0].pin, abs=0.02)


def test_a_place_in_degrees() -> None:
    lat, lon = PLANE.latlon([(2.0, 352.0)])[0].tolist()
    found = course(f"[hole.1]\npin = {{ lat = {lat!r}, lon = {lon!r} }}\n")
    assert math.dist(found.holes[0].pin, course().holes[0].pin) == pytest.approx(math.hypot(2, 2), abs=0.01)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[hole.9]\npar = 4\n", "hole 9, which is not there"),
        ("[hole.1]\nparr = 4\n", 'nearest known one is "par"'),
        ("[hole.1]\npar = 12\n", "par is 12, not a whole number from 3 to 7"),
        ("[hole.1]\npin = [1e9, 0]\n", "pin is a list"),
        ("[hole.1]\npin = [nan, 0]\n", "pin is a list"),
        ("[[hole.1.area]]\ndo = 'remove'\nsource = 'feature/77'\n", "feature/77"),
        ("[[hole.1.area]]\nlie = 'sandy'\nshape = [[0,0],[1,0],[1,1]]\n", '"sand"'),
        ("[[hole.1.area]]\nlie = 'sand'\nshape = [[0,0],[1,0],[2,0]]\n", "no area"),
        ("[[hole.1.tee]]\nname = 'gold'\n", "gold"),
        ("[hole.1.model]\nwords = 'water left'\n", "is a map"),
        ("[answers]\nfoo = 'x'\n", "foo"),
        ("[hole.1\n", "no.* TOML|not a TOML"),
        ("x = " + "[" * 5000 + "]" * 5000, "not a TOML"),
    ],
)
def test_what_is_wrong_in_the_file_is_named(text: str, told: str) -> None:
    with pytest.raises(InputError, match=told) as caught:
        course(text)
    assert caught.value.next_step


def test_the_file_beside_the_map(tmp_path) -> None:  # type: ignore[no-untyped-def]
    path = overlay_path(tmp_path / "links.osm")
    assert path.name == "links.overlay.toml"
    overlay = edit.answer(edit.set_par(edit.overlay_of(course()), course(), 1, 5), "bounds")
    save_overlay(path, overlay)
    assert load_overlay(path) == overlay
    assert '[answers]\nbounds = "as read"' in path.read_text()
    path.write_bytes(b"\xff\xfe")
    with pytest.raises(InputError, match="not UTF-8"):
        load_overlay(path)
