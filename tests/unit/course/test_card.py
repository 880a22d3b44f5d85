"""Scorecards in every form: the values stand in the tables here, so they are known by hand."""

from __future__ import annotations

import io
import math

import pytest

from bagwright.course.along import length_of
from bagwright.course.hole import Course
from bagwright.course.lies import Lie
from bagwright.course.load import load_course
from bagwright.course.rasterise import raster_of
from bagwright.errors import InputError
from bagwright.units import M_PER_YD

CSV = """Our course
units,yards
hole,par,stroke index,white,yellow,name,words
1,4,7,400,372,The gate,"water left at 210, bunkers short"
2,3,17,165,,,
out,7,,565,,,
"""
TOML = """name = "Our course"
[[hole]]
par = 4
stroke_index = 7
name = "The gate"
length_yd = { white = 400, yellow = 372 }
words = "water left at 210 yd, bunkers short"
[[hole]]
par = 3
stroke_index = 17
length_yd = { white = 165 }
"""
LINES = """Our course
unit: yd
1: par 4, index 7, white 400, yellow 372, water left at 210, bunkers short
Hole 2 - par 3, SI 17, white 165 yd
"""
SIDEWAYS = """Hole;1;2;out
Par;4;3;7
HCP;7;17;
white (yd);400;165;565
yellow (yd);372;;
Notes;water left at 210, bunkers short;;
"""
PASTED = (
    "Loch  Par  Vorgabe  white yd  yellow yd  Bemerkung\n"
    "1  4  7  400  372  water left at 210, bunkers short\n"
    "2  3  17  165  -\n"
)
SPACED = (
    "Hole Par Stroke Index white(yd) yellow(yd) Notes\n"
    "1 4 7 400 372 water left at 210, bunkers short\n"
    "2 3 17 165 -\nout 7 - 565 372\n"
)


def workbook() -> bytes:
    """The same card as XLSX, with a sheet that is none."""
    from openpyxl import Workbook

    book = Workbook()
    sheet = book.active
    for row in (
        ["Hole", "Par", "SI", "white (yd)", "yellow (yd)", "Words"],
        [1, 4, 7, 400, 372, "water left at 210, bunkers short"],
        [2, 3, 17, 165, None, None],
    ):
        sheet.append(row)
    book.create_sheet("other").append(["nothing", "here"])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


TABS = CSV.replace('"', "").replace(",", "\t").replace("210\t bunkers", "210; bunkers")
FORMS = {
    "csv": CSV.encode(), "utf-16": CSV.encode("utf-16"), "tsv": TABS.encode(), "toml": TOML.encode(),
    "lines": LINES.encode(),
    "sideways": SIDEWAYS.encode(), "pasted": PASTED.encode(), "spaced": SPACED.encode(), "xlsx": workbook(),
}  # fmt: skip


def read(text: str, **options: str) -> Course:
    """The course of a card in text."""
    return load_course(text.encode(), name="card.csv", **options)


@pytest.mark.parametrize("form", FORMS)
def test_the_same_card_in_every_form(form: str) -> None:
    course = load_course(FORMS[form], name=f"card.{form}")
    one, two = course.holes
    assert (course.source, course.origin, course.bounds) == ("card", None, None)
    assert (one.number, one.par, one.stroke_index) == (1, 4, 7)
    assert (two.number, two.par, two.stroke_index) == (2, 3, 17)
    assert [t.name for t in one.tees] == ["white", "yellow"]
    assert [t.card_length_m for t in one.tees] == pytest.approx([400 * M_PER_YD, 372 * M_PER_YD])
    assert [t.name for t in two.tees] == ["white"]
    assert Lie.WATER_RED in {f.lie for f in one.features}
    assert sum(f.lie is Lie.SAND for f in one.features) == 2


def test_the_frame_and_the_model_are_as_stated() -> None:
    """Back tee at the origin, playing north; sizes of the model as docs/courses.md states them."""
    one = read(CSV).holes[0]
    assert one.tees[0].at == (0.0, 0.0)
    assert one.pin == pytest.approx((0.0, 400 * M_PER_YD))
    assert one.tees[1].at == pytest.approx((0.0, 28 * M_PER_YD))
    areas = {f.source: f.shape.area for f in one.features}
    length = 400 * M_PER_YD
    assert areas["model/green"] == pytest.approx(math.pi * 12 * 14, rel=0.01)
    assert areas["model/tee white"] == pytest.approx(8 * 10, rel=0.01)
    assert areas["model/fairway"] == pytest.approx(30 * (length - 14 - 130), rel=0.03)
    assert areas["words 2/1"] == pytest.approx(math.pi / 4 * 10 * 8, rel=0.01)
    # Water 40 m along the way and 20 m wide.
    assert areas["words 1/1"] == pytest.approx(40 * 20, rel=0.01)
    low_x, low_y, high_x, high_y = next(f.shape.bounds for f in one.features if f.source == "words 1/1")
    at = 210 * M_PER_YD
    assert (low_x, low_y, high_x, high_y) == pytest.approx((-38, at - 20, -18, at + 20))


def test_a_model_hole_becomes_a_raster_with_its_lies() -> None:
    raster = raster_of(read(CSV), 1, "yellow")
    assert raster.length_m == pytest.approx(372 * M_PER_YD)
    assert raster.turn_rad is None
    at = {
        x: raster.lie[raster.cell(x * M_PER_YD, y * M_PER_YD)]
        for x, y in ((0.2, 0.2), (250, 0.3), (372, 0.1))
    }
    assert at == {0.2: Lie.TEE, 250: Lie.FAIRWAY, 372: Lie.GREEN}
    assert raster.lie[raster.cell((210 - 28) * M_PER_YD, -28.0)] == Lie.WATER_RED


def test_without_a_unit_it_is_asked_and_the_answer_acts() -> None:
    text = "hole,par,si,white\n1,4,1,400\n"
    metres = read(text)
    assert metres.holes[0].tees[0].card_length_m == 400.0
    assert "unit" in {q.key for q in metres.questions}
    yards = read(text, overlay='[answers]\nunit = "yd"\n')
    assert yards.holes[0].tees[0].card_length_m == pytest.approx(400 * M_PER_YD)
    assert "unit" not in {q.key for q in yards.questions}


def test_a_line_without_commas() -> None:
    course = read("Loch 1 Par 4 HCP 7 Gelb 366 Rot 322 Wasser links bei 210m und Bunker rechts\n")
    (hole,) = course.holes
    assert (hole.par, hole.stroke_index) == (4, 7)
    assert [(t.name, t.card_length_m) for t in hole.tees] == [("Gelb", 366.0), ("Rot", 322.0)]
    assert {Lie.WATER_RED, Lie.SAND} <= {f.lie for f in hole.features}


def test_words_of_a_card_in_two_units_are_asked_about_and_a_yard_card_is_told_in_yards() -> None:
    text = 'hole,par,si,white yd,red m,words\n1,4,1,400,300,"bunker left at 200"\n'
    assert "unit" in {q.key for q in read(text).questions}
    yards = read(text, overlay='[answers]\nunit = "yd"\n')
    assert "200 yd from the back tee" in yards.notes["read 1 words 1"]
    assert "15 x 10 yd" in yards.notes["read 1 words 1"], "14 x 9 m"


def test_pars_and_indices_of_one_tee() -> None:
    course = read("hole,par,si,par red,si red,white m,red m\n1,4,7,5,9,380,360\n")
    red = course.holes[0].tee("red")
    assert (red.par, red.stroke_index) == (5, 9)
    assert course.holes[0].tee("white").par is None


def test_a_dogleg_has_the_card_s_length_along_the_way() -> None:
    course = read("hole,par,white m,words\n1,4,360,dogleg right at 200 by 50 degrees\n")
    way = course.holes[0].way
    assert length_of(way) == pytest.approx(360.0)
    assert way[1] == pytest.approx((0.0, 200.0))
    # East of the leg north, by the sine of 50 degrees.
    assert way[2] == pytest.approx((160 * math.sin(math.radians(50)), 200 + 160 * math.cos(math.radians(50))))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("hole,par,white m\n1,9,300\n", r'row 2: par is "9"'),
        ("hole,par,white m\n1,4,300\n1,4,310\n", "row 3: hole 1 stands there twice"),
        ("hole,par,white m\n1,4,abc\n", 'row 2, column 3: "abc" is no length'),
        ("hole,par,white m\n1,4,3000\n", "hole 1, white: 3000 m is no length"),
        ("hole,par,white m\n1,4,\n", "hole 1 has no length"),
        ("hole,par,si\n1,4,3\n", "no column of lengths"),
        ("hole,par,white m\n", "no hole below"),
        ("nothing of a card", "neither a map"),
        ("1: par 4, white 300 m\n1: par 3, white 150 m\n", "line 2: hole 1 stands there twice"),
        ("[[hole]]\npar = 4\nlength_m = { white = 'x' }\n", "white is .x."),
        (f"[[hole]]\nlength_m = {{ {', '.join(f't{k} = 300' for k in range(13))} }}\n", "at most 12 tees"),
        ("[[hole]]\npar = 4\nlenght_m = { white = 300 }\n", "length_m"),
        ("hole,par,white m\n" + "1,4,300\n" * 401, "more than 400 rows|twice"),
        ("a" * 1_000_001, "too large for a scorecard"),
        ("hole,par,white m\n1,4,\x01300\n", "neither a map"),
    ],
)
def test_what_is_wrong_is_named_with_its_place(text: str, told: str) -> None:
    with pytest.raises(InputError, match=told) as caught:
        read(text)
    assert caught.value.next_step


def test_an_unknown_column_is_asked_about() -> None:
    course = read("hole,par,greenkeeper,white m\n1,4,Ann,300\n2,4,Bob,320\n")
    (question,) = (q for q in course.questions if q.key == "column 3")
    assert "greenkeeper" in question.words
    assert course.tee_names == ("white",)
