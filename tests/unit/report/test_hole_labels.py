"""Words over a hole's picture stand apart from each other, from the flag and inside the frame."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import combinations
from xml.etree import ElementTree

import numpy as np
import pytest

from bagwright.course.hole import Course
from bagwright.course.rasterise import raster_of
from bagwright.report.holes.labels import Label, Place, placed
from bagwright.report.holes.layers import Aim, aims_layer, contour_layer
from bagwright.report.holes.picture import hole_picture
from bagwright.report.holes.view import View
from tests.unit.course.made import hole

VIEW = View(0.0, 0.0, 100.0, 100.0, 1.0, 0.0, 0.0, "metres")
NEAR_THE_GREEN = ("Pitching wedge three-quarter", "Sand wedge 20 yd", "Lob wedge 10 yd", "7 iron", "8 iron")


def boxes(svg: str) -> dict[str, tuple[float, float, float, float]]:
    """What every text of a drawing covers, with the width that the drawing itself reckons with."""
    found = {}
    for node in ElementTree.fromstring(svg).iter():  # noqa: S314 - a picture that this test drew
        if node.tag.endswith("text"):
            cls, words = node.get("class") or "", node.text or ""
            hold = next((one[3:] for one in ("hp-end", "hp-middle") if one in cls.split()), "start")
            place = Place(float(node.get("x") or 0), float(node.get("y") or 0), hold)
            found[f"{words} {place.x} {place.y}"] = Label(words, [], cls).box(place)
    return found


def cover(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def test_shots_that_end_at_the_green_have_their_words_apart() -> None:
    course = Course("Made", (hole(),), None, None, (), "map", "", None, {})
    raster = raster_of(course, 1)
    x, y = raster.centres()
    value = 2.0 + np.hypot(x[:, None] - raster.pin_m[0], y[None, :] - raster.pin_m[1]) / 100.0
    aims = [
        Aim((0.0, 0.0), (raster.pin_m[0] - 6.0 + 3.0 * k, raster.pin_m[1] + 2.0 * k), words)
        for k, words in enumerate(NEAR_THE_GREEN)
    ]
    levels = [round(2.0 + 0.2 * k, 1) for k in range(15)]
    picture = hole_picture(
        course,
        1,
        layers=[contour_layer(value, raster, levels), replace(aims_layer(aims), words="Said of the layer.")],
    )
    assert picture.words.sentences[-1] == "Said of the layer."
    assert "Said of the layer." in picture.svg, "for those who hear it"
    clipped = re.search(r"<g clip-path[^>]*>(.*?)</g>", picture.svg, re.S)
    assert clipped is not None
    found = boxes(f"<svg>{clipped[1]}</svg>")
    for words in NEAR_THE_GREEN:
        assert any(name.startswith(words) for name in found), words
    assert sum(1 for name in found if re.match(r"\d\.\d|\d ", name)) > 5, "lines of equal value have figures"
    together = [(a, b) for a, b in combinations(found, 2) if cover(found[a], found[b])]
    assert together == []
    view = picture.view
    for name, (x0, y0, x1, y1) in found.items():
        assert view.left <= x0 < x1 <= view.left + view.width, name
        assert view.top <= y0 < y1 <= view.top + view.height, name
    pin_x, pin_y = view.at(*raster.pin_m)
    assert not any(cover(box, (pin_x - 1, pin_y - 17, pin_x + 8, pin_y)) for box in found.values())


def test_a_label_takes_its_first_free_place_and_one_far_off_is_joined_to_what_it_names() -> None:
    taken = [(0.0, 0.0, 60.0, 30.0)]
    near, far = Place(10.0, 20.0), Place(10.0, 70.0)
    drawn = placed([Label("iron", [near, far], "hp-halo", names=(8.0, 18.0))], taken, VIEW)
    assert 'y="70"' in drawn
    assert "hp-leader" in drawn
    drawn = placed([Label("iron", [near, far], "hp-halo", names=(8.0, 18.0))], [], VIEW)
    assert 'y="20"' in drawn
    assert "hp-leader" not in drawn


@pytest.mark.parametrize("needed", [True, False])
def test_without_room_what_is_needed_stands_where_it_covers_least_and_the_rest_is_left_out(
    needed: bool,
) -> None:
    taken = [(0.0, 0.0, 100.0, 60.0), (0.0, 60.0, 100.0, 66.0)]
    places = [Place(10.0, 40.0), Place(10.0, 70.0)]
    drawn = placed([Label("iron", places, "hp-halo", needed=needed)], taken, VIEW)
    assert ('y="70"' in drawn) is needed
    assert 'y="40"' not in drawn


def test_a_label_beyond_the_frame_is_moved_into_it_or_left_out_where_it_is_not_needed() -> None:
    beyond = [Place(90.0, 50.0)]
    # Four letters of 13 px take 4 x 0.6 x 13 = 31.2 px: they begin at 100 - 31.2 at most.
    assert 'x="68.8"' in placed([Label("iron", beyond, "hp-halo")], [], VIEW)
    assert placed([Label("iron", beyond, "hp-halo", needed=False)], [], VIEW) == ""


def test_the_legend_says_what_the_cross_and_the_dotted_line_are() -> None:
    course = Course("Made", (hole(),), None, None, (), "map", "", None, {})
    assert "from the tee that is played (+) to the flag" in hole_picture(course, 1).svg
