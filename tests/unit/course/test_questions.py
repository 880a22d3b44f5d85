"""What a map leaves open is asked, with the stated reading, and answers act. Values are drawn, so known."""

from __future__ import annotations

import numpy as np
import pytest

from bagwright.course.answering import check_answer, takes
from bagwright.course.ground import ground_of
from bagwright.course.hole import Course
from bagwright.course.lies import Lie
from bagwright.course.reach import facts_of
from bagwright.course.way import beside
from bagwright.errors import InputError
from tests.unit.course.drawn import area, asked, bounds, box, hole, line, read, spot, whole_hole


def lies(course: Course, number: int = 1) -> dict[Lie, float]:
    """The area of the last feature of each lie, square metres."""
    (found,) = (h for h in course.holes if h.number == number)
    return {f.lie: f.shape.area for f in found.features}


def test_a_whole_map_leaves_nothing_open() -> None:
    assert asked(read(*whole_hole(), bounds())) == {}


def test_no_fairway_is_read_as_a_stated_strip_and_its_width_can_be_answered() -> None:
    parts = [f for f in whole_hole() if f["properties"].get("golf") != "fairway"]
    course = read(*parts, bounds())
    assert "30 m wide" in asked(course)["1 fairway"]
    # From 130 m to the green's front at 336 less 3 m of apron.
    assert lies(course)[Lie.FAIRWAY] == pytest.approx(30.0 * (336 - 3 - 130), rel=0.01)
    wide = read(*parts, bounds(), overlay='[answers]\n"1 fairway" = "26 m"\n')
    assert asked(wide) == {}
    assert lies(wide)[Lie.FAIRWAY] == pytest.approx(26.0 * (336 - 3 - 130), rel=0.01)


def test_a_par_three_needs_no_fairway() -> None:
    assert "1 fairway" not in asked(read(hole(y=150.0, par="3"), bounds()))


def test_no_green_is_read_as_a_circle() -> None:
    parts = [f for f in whole_hole() if f["properties"].get("golf") != "green"]
    course = read(*parts, bounds())
    assert "26 m" in asked(course)["1 green"]
    assert lies(course)[Lie.GREEN] == pytest.approx(3.1416 * 13**2, rel=0.02)
    answered = read(*parts, bounds(), overlay='[answers]\n"1 green" = "30 yd"\n')
    assert lies(answered)[Lie.GREEN] == pytest.approx(3.1416 * (15 * 0.9144) ** 2, rel=0.02)


def test_no_tee_no_par_no_index_no_bounds() -> None:
    names = asked(read(line([(0, 0), (0, 350)], golf="hole", ref="1")))
    assert set(names) == {"1 tees", "1 par", "1 green", "1 fairway", "bounds", "stroke_index"}
    assert "par 4" in names["1 par"]


@pytest.mark.parametrize(("yards", "par"), [(250, 3), (251, 4), (470, 4), (471, 5)])
def test_a_missing_par_goes_by_length(yards: int, par: int) -> None:
    """Boundaries of the Course Rating System Manual (2020): a scratch man reaches 250 and 470 yd."""
    course = read(line([(0, 0), (0, yards * 0.9144)], golf="hole", ref="1"))
    assert course.holes[0].par == par
    answered = read(
        line([(0, 0), (0, yards * 0.9144)], golf="hole", ref="1"), overlay='[answers]\n"1 par" = "6"'
    )
    assert answered.holes[0].par == 6


def test_two_ways_of_one_number_and_one_without() -> None:
    course = read(
        *whole_hole(), hole("1", x=60.0), line([(120, 0), (120, 350)], golf="hole", par="4"), bounds()
    )
    names = asked(course)
    assert "1 same number" in names
    assert names["number feature/6"].startswith("It is hole 2")
    assert [h.number for h in course.holes] == [1, 2]
    other = read(*whole_hole(), hole("1", x=60.0), bounds(), overlay='[answers]\n"number feature/5" = "9"\n')
    assert [h.number for h in other.holes] == [1, 9]


def test_three_lines_of_one_number_are_all_named() -> None:
    course = read(*whole_hole(), hole("1", x=60.0), hole("1", x=90.0), bounds())
    (question,) = (q for q in course.questions if q.key == "same number")
    assert question.words == "3 ways are hole 1: feature/1, feature/5, feature/6."
    assert question.read_as == "feature/1 is hole 1; feature/5, feature/6 are left out."
    assert 'answer "number feature/5" and "number feature/6" with a number' in question.answer
    given = '[answers]\n"number feature/5" = "2"\n"number feature/6" = "3"\n'
    told = read(*whole_hole(), hole("1", x=60.0), hole("1", x=90.0), bounds(), overlay=given)
    assert [h.number for h in told.holes] == [1, 2, 3]


@pytest.mark.parametrize(("turn_deg", "side"), [(60.0, -1.0), (105.0, -1.0), (-60.0, 1.0), (-105.0, 1.0)])
def test_outside_a_bend_is_the_side_away_from_the_turn(turn_deg: float, side: float) -> None:
    """By hand: a way north that turns right (positive) has its outside on the left, however sharp."""
    turn = np.radians(turn_deg)
    way = ((0.0, 0.0), (0.0, 100.0), (100.0 * np.sin(turn), 100.0 + 100.0 * np.cos(turn)))
    # About the turn's outer bisector, within the wedge of |turn| where the bend itself is the nearest place.
    middle = turn / 2.0 - np.sign(turn) * np.pi / 2.0
    for share in (-0.9, -0.5, 0.0, 0.5, 0.9):
        off = middle + share * abs(turn) / 2.0
        point = np.array([[10.0 * np.sin(off), 100.0 + 10.0 * np.cos(off)]])
        _along, found = beside(point, way)
        assert np.sign(found[0]) == side


def test_a_hole_with_two_bends_says_the_side_of_each_bunker_by_its_own_leg() -> None:
    """Three legs: north, east, north. A bunker below the middle leg lies right of the way, one above left."""
    parts = [
        line([(0, 0), (0, 150), (150, 150), (150, 300)], golf="hole", ref="1", par="5", handicap="1"),
        box(-5, -5, 5, 5, golf="tee", tee="white"), box(140, 290, 160, 310, golf="green"),
        box(70, 120, 80, 130, golf="bunker"), box(70, 170, 80, 180, golf="bunker"),
        box(168, 220, 176, 228, golf="bunker"), box(-24, 60, -16, 68, golf="bunker"), bounds(),
    ]  # fmt: skip
    facts = facts_of(ground_of(read(*parts), 1))
    sides = {round(thing.reach_m / 10): thing.side for thing in facts.in_play if thing.lie is Lie.SAND}
    # From the tee by Pythagoras: 139 m (70, 120), 184 m (70, 170), 277 m (168, 220), 62 m (-16, 60).
    assert sides == {14: "right", 18: "left", 28: "right", 6: "left"}


def test_a_way_that_begins_on_the_green_is_turned_round_unless_told() -> None:
    parts = whole_hole()
    parts[0] = line([(0, 350), (0, 0)], golf="hole", ref="1", par="4", handicap="1")
    turned = read(*parts, bounds())
    assert "turned feature/1" in asked(turned)
    assert turned.holes[0].way[0] == pytest.approx(
        (0.0 - turned.holes[0].pin[0], turned.holes[0].way[0][1]), abs=1
    )
    assert turned.holes[0].pin[1] - turned.holes[0].way[0][1] == pytest.approx(350, abs=1)


def test_things_far_from_every_hole_are_counted() -> None:
    course = read(*whole_hole(), bounds(), box(0, 900, 20, 920, golf="bunker"))
    assert any(key.startswith("left out: ") for key in course.notes)
    assert Lie.SAND not in lies(course)


def test_a_hole_outside_the_course_stretches_it_and_is_asked() -> None:
    course = read(*whole_hole(), box(-100, -50, 100, 200, leisure="golf_course"))
    assert "40 m on both sides" in asked(course)["bounds"]


def test_a_line_of_stakes_parts_the_course() -> None:
    """The stakes run along x = 60; beyond them the course's rectangle is out, on this side it is not."""
    course = read(*whole_hole(), bounds(), line([(60, -100), (60, 500)], golf="out_of_bounds"))
    # The rectangle from x = 60 to 300 and y = -100 to 500.
    assert lies(course)[Lie.OUT] == pytest.approx(240 * 600, rel=0.01)


def test_a_shape_that_crosses_itself_is_mended_or_left_out_and_said() -> None:
    bow = area([(30, 200), (50, 220), (50, 200), (30, 220)], golf="bunker")
    assert lies(read(*whole_hole(), bounds(), bow))[Lie.SAND] == pytest.approx(2 * 100, rel=0.01)
    flat = area([(30, 200), (50, 200), (40, 200), (35, 200)], golf="bunker")
    assert "shape feature/6" in asked(read(*whole_hole(), bounds(), flat))


def test_several_courses_in_one_file() -> None:
    east = [
        line([(x, 0), (x, 350)], golf="hole", ref=str(i), par="4", handicap=str(i), course="East")
        for i, x in enumerate((0, 60), start=1)
    ]
    west = [line([(200, 0), (200, 350)], golf="hole", ref="1", par="4", handicap="1", course="West")]
    assert read(*east, *west).name == "East"
    assert "course" in asked(read(*east, *west))
    assert len(read(*east, *west, course="west").holes) == 1
    assert read(*east, *west, overlay='course = "West"').name == "West"
    with pytest.raises(InputError, match="nearest"):
        read(*east, *west, course="Wext")


def test_tees_of_tags_areas_and_points() -> None:
    course = read(
        hole(dist__white="350", dist__red="300"),
        spot((0, 20), golf="tee", tee="yellow"),
        box(-4, -4, 4, 4, golf="tee"),
        bounds(),
    )
    (found,) = course.holes
    assert [tee.name for tee in found.tees] == ["white", "yellow", "red"]
    assert found.tees[2].card_length_m == 300.0
    assert found.pin[1] - found.tees[2].at[1] == pytest.approx(300.0, abs=0.5)
    assert "1 tee red" in asked(course)


def test_tees_beyond_the_limit_are_left_out_and_said() -> None:
    spots = [spot((0, 10.0 * k), golf="tee", tee=f"t{k}") for k in range(13)]
    course = read(*whole_hole()[2:], hole(), *spots, bounds())
    assert [tee.name for tee in course.holes[0].tees] == [f"t{k}" for k in range(12)]
    assert asked(course) == {"1 tees": "The 12 longest are read."}
    assert "13 tees" in course.questions[0].words


@pytest.mark.parametrize(
    ("name", "answer"),
    [
        ("bounds", "yes"),
        ("7 par", "2"),
        ("7 par", "8"),
        ("7 par", "9"),
        ("7 par", "four"),
        ("unit", "ells"),
        ("7 fairway", "wide"),
        ("7 tees", "white"),
    ],
)
def test_an_answer_that_says_nothing_is_refused(name: str, answer: str) -> None:
    with pytest.raises(InputError, match="cannot be used"):
        check_answer(name, answer)
    with pytest.raises(InputError, match="cannot be used"):
        read(*whole_hole(), overlay=f'[answers]\n"{name}" = "{answer}"\n')


def test_as_read_closes_every_question() -> None:
    course = read(line([(0, 0), (0, 350)], golf="hole"), hole("1", x=90))
    text = "[answers]\n" + "".join(f'"{name}" = "as read"\n' for name in asked(course))
    closed = read(line([(0, 0), (0, 350)], golf="hole"), hole("1", x=90), overlay=text)
    assert closed.questions == ()
    assert closed.holes == course.holes


def test_every_question_says_what_it_takes() -> None:
    course = read(line([(0, 0), (0, 350)], golf="hole", ref="1"))
    assert {q.key: takes(q) for q in course.questions} == {
        "tees": "nothing", "par": "par", "green": "length", "fairway": "length", "bounds": "nothing",
        "stroke_index": "nothing",
    }  # fmt: skip


def test_the_question_of_a_par_names_the_range_that_is_taken() -> None:
    course = read(line([(0, 0), (0, 350)], golf="hole", ref="7"), bounds())
    (question,) = (one for one in course.questions if one.key == "par")
    assert question.answer == "Answer with a par from 3 to 7."
    for par in ("3", "4", "5", "6"):
        check_answer("7 par", par)
