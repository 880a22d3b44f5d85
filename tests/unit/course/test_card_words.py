"""What a card's words mean: tables of words, each with the ground that it must make, worked out by hand.

The model hole is 400 m long, its fairway 30 m wide, its green 24 x 28 m; figures without a unit are metres.
"""

from __future__ import annotations

import re

import pytest

from bagwright.course.ground import ground_of
from bagwright.course.hole import Course, Hole
from bagwright.course.lies import Lie
from bagwright.course.load import load_course
from bagwright.course.mirror import mirrored
from bagwright.course.rasterise import raster_of
from bagwright.course.reach import facts_of


def card(words: str, par: int = 4, length: float = 400, unit: str = "m", **options: str) -> Course:
    """A card of one hole with these words."""
    text = f'hole,par,si,white {unit},words\n1,{par},1,{length},"{words}"\n'
    return load_course(text.encode(), name="card.csv", **options)


def told(words: str) -> Hole:
    """The hole, every word of which was understood."""
    course = card(words)
    assert not [q for q in course.questions if q.hole == 1], "something was not understood"
    return course.holes[0]


def made(words: str) -> list[tuple[Lie, tuple[int, ...]]]:
    """The ground that words make: lie and box (least x and y, greatest x and y) in whole metres."""
    return [
        (f.lie, tuple(round(v) for v in f.shape.bounds))
        for f in told(words).features
        if f.source.startswith("words")
    ]


RED, YELLOW, SAND, OUT, TREES, DEEP = Lie.WATER_RED, Lie.WATER, Lie.SAND, Lie.OUT, Lie.RECOVERY, Lie.DEEP
# Half the fairway is 15 m; the green's edge is 14 m before and behind the pin, 12 m beside it.
GROUND: dict[str, list[tuple[Lie, tuple[int, ...]]]] = {
    "water left at 210": [(RED, (-38, 190, -18, 230))],
    "Wasser links bei 210": [(RED, (-38, 190, -18, 230))],
    "water right 180-240": [(RED, (18, 180, 38, 240))],
    "pond right at 180 to 240 m": [(RED, (18, 180, 38, 240))],
    "water left at 200 yd": [(RED, (-38, 163, -18, 203))],
    "yellow water across at 300": [(YELLOW, (-60, 300, 60, 320))],
    "stream across at 255": [(RED, (-60, 255, 60, 259))],
    "Bach quer bei 255": [(RED, (-60, 255, 60, 259))],
    "forced carry 160": [(RED, (-60, 100, 60, 160))],
    "carry 120 to 160 over heath": [(DEEP, (-60, 120, 60, 160))],
    "bunker short": [(SAND, (-5, 376, 5, 384))],
    "bunkers left": [(SAND, (-22, 388, -14, 398)), (SAND, (-22, 402, -14, 412))],
    "bunker left and right": [(SAND, (-22, 395, -14, 405)), (SAND, (14, 395, 22, 405))],
    "bunker front left": [(SAND, (-18, 381, -8, 389))],
    "two bunkers back right": [(SAND, (12, 407, 22, 415)), (SAND, (5, 415, 15, 423))],
    "pond front right": [(RED, (11, 372, 27, 387))],
    "bunkers at 200 and 240 right": [(SAND, (12, 193, 22, 207)), (SAND, (12, 233, 22, 247))],
    "bunker right at 220": [(SAND, (12, 213, 22, 227))],
    "out of bounds right": [(OUT, (40, -20, 130, 434))],
    "Aus rechts": [(OUT, (40, -20, 130, 434))],
    "trees left": [(TREES, (-90, 40, -30, 400))],
    "Wald links 150-230": [(TREES, (-90, 150, -30, 230))],
    "heath right": [(DEEP, (20, 40, 90, 400))],
}


@pytest.mark.parametrize("words", GROUND)
def test_words_make_the_ground_they_say(words: str) -> None:
    for (lie, found), (wanted, box) in zip(made(words), GROUND[words], strict=True):
        assert lie is wanted
        assert found == pytest.approx(box, abs=1.01)


@pytest.mark.parametrize(
    ("words", "width"),
    [("width 26", 26), ("fairway 26 m wide", 26), ("Breite 26", 26), ("width 30 yd", 27.43)],
)
def test_the_fairway_s_width(words: str, width: float) -> None:
    (fairway,) = (f for f in told(words).features if f.lie is Lie.FAIRWAY)
    assert fairway.shape.bounds[2] - fairway.shape.bounds[0] == pytest.approx(width, abs=0.01)


@pytest.mark.parametrize("words", ["green 20x30", "Grün 20 x 30 m", "green 20 by 30"])
def test_the_green_s_size(words: str) -> None:
    (green,) = (f for f in told(words).features if f.lie is Lie.GREEN)
    low_x, low_y, high_x, high_y = green.shape.bounds
    assert (high_x - low_x, high_y - low_y) == pytest.approx((20, 30), abs=0.01)


@pytest.mark.parametrize(
    ("words", "rise"), [("uphill 12 m", 12), ("bergab 8 m", -8), ("downhill 30 ft", -9.144)]
)
def test_a_climb(words: str, rise: float) -> None:
    hole = told(words)
    assert hole.tees[0].height_m == 0.0
    assert hole.pin_height_m == pytest.approx(rise)


@pytest.mark.parametrize(
    "words",
    [
        "hills left",
        "water left at 900",
        "dogleg right at 395",
        "width 300",
        "windmill",
        "forced carry 5",
        "12",
        "left",
    ],
)
def test_what_is_not_understood_is_asked_and_changes_nothing(words: str) -> None:
    course, bare = card(words), card("")
    (question,) = (q for q in course.questions if q.hole == 1)
    assert question.key == "words 1"
    assert "Not read" in question.read_as
    assert [f.shape for f in course.holes[0].features] == [f.shape for f in bare.holes[0].features]


@pytest.mark.parametrize(
    ("words", "stated"), [("forced carry 390", 390.0), ("water across at 370 to 395", 395.0)]
)
def test_ground_across_that_reaches_beyond_the_green_s_front_is_cut_there_and_asked_about(
    words: str, stated: float
) -> None:
    """The green of this hole is 28 m deep with the pin at 400 m: its front is at 386 m."""
    course = card(words)
    (question,) = (q for q in course.questions if q.hole == 1)
    assert f"{stated:.0f} m are longer than the way to the green's front, 386 m" in question.read_as
    assert "right across the hole" in question.read_as
    water = [f.shape for f in course.holes[0].features if f.lie is Lie.WATER_RED]
    assert water
    # The hole plays north: the far edge of the water is the green's front.
    assert max(shape.bounds[3] for shape in water) == pytest.approx(386.0, abs=0.5)
    assert not any(q.hole == 1 for q in card("forced carry 380").questions)


def test_a_fairway_begins_beyond_the_water_that_lies_over_it() -> None:
    """A par 3 of 168 m: its apron would begin 15 m before the green at 154 m, but water lies to 150 m."""
    course = card("forced carry 150", par=3, length=168)
    facts = facts_of(ground_of(course, 1))
    assert facts.fairway_from_m == pytest.approx(150.0, abs=0.5)
    plain = facts_of(ground_of(card("", par=3, length=168), 1))
    assert plain.fairway_from_m == pytest.approx(139.0, abs=0.5)


def test_half_understood_is_said() -> None:
    course = card("water left at 210 beside the ruins")
    (question,) = (q for q in course.questions if q.hole == 1)
    assert "ruins" in question.read_as
    assert any(f.lie is Lie.WATER_RED for f in course.holes[0].features)


def test_words_beyond_the_limits_are_asked_about_and_none_is_dropped() -> None:
    many = card("; ".join(f"water left at {100 + k}" for k in range(45)))
    (question,) = (q for q in many.questions if q.hole == 1)
    assert question.key == "words 40"
    assert "Not read" in question.read_as
    assert "water left at 139; water left at 140" in question.words
    assert sum(f.lie is Lie.WATER_RED for f in many.holes[0].features) == 39
    # Eleven times six bunkers are more than the 60 pieces of ground that a hole holds: ten are read.
    full = card("; ".join(["6 bunkers left"] * 11))
    assert [q.key for q in full.questions if q.hole == 1] == ["words 11"]
    assert sum(f.lie is Lie.SAND for f in full.holes[0].features) == 60


def test_other_words_or_none_answer_it() -> None:
    other = card("hills left", overlay='[answers]\n"1 words 1" = "trees left"\n')
    assert [f.lie for f in other.holes[0].features if f.source == "words 1/1"] == [Lie.RECOVERY]
    assert not [q for q in other.questions if q.hole == 1]
    gone = card("water left at 210, bunker short", overlay='[answers]\n"1 words 1" = "none"\n')
    assert {f.source for f in gone.holes[0].features if f.source.startswith("words")} == {"words 2/1"}


def test_every_reading_is_listed() -> None:
    course = card("water left at 210, bunker short, width 26")
    assert [key for key in course.notes if key.startswith("read ")] == [
        "read 1 words 1", "read 1 words 2", "read 1 words 3",
    ]  # fmt: skip
    assert "190 m to 230 m" in course.notes["read 1 words 1"]


def test_the_overlay_s_words_and_numbers_take_the_card_s_place() -> None:
    text = '[hole.1.model]\nwords = "bunker short"\nfairway_width_yd = 40\n'
    hole = card("water left at 210", overlay=text).holes[0]
    assert Lie.WATER_RED not in {f.lie for f in hole.features}
    (fairway,) = (f for f in hole.features if f.lie is Lie.FAIRWAY)
    assert fairway.shape.bounds[2] == pytest.approx(20 * 0.9144, abs=0.01)


SWAP = {"left": "right", "right": "left"}


@pytest.mark.parametrize(
    "words",
    [
        "water left at 210, bunkers short, trees right",
        "dogleg left at 220, bunker right at 215, out of bounds right",
        "two bunkers front left, pond behind right, bunkers at 200 and 240 left",
        "forced carry 150, two bunkers left, tree right at 230, heath left at 180 to 260",
    ],
)
def test_a_mirrored_card_gives_the_mirrored_hole(words: str) -> None:
    other = re.sub(r"left|right", lambda found: SWAP[found[0]], words)
    one, two = raster_of(card(words), 1), mirrored(raster_of(card(other), 1))
    assert one.lie.shape == two.lie.shape
    # A cell whose centre lies on an edge may fall to either side.
    assert (one.lie != two.lie).mean() < 2e-3
