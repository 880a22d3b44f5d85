"""Shots typed as one line: the form's order, units and side words; every error names its piece."""

from __future__ import annotations

import pytest

from bagwright.errors import InputError
from bagwright.shots.line import LineError, LineForm, dump_form, example, form_words, load_form, parse_line
from bagwright.units import M_PER_YD, MPS_PER_MPH

YARDS = LineForm.usual("yards")
METRES = LineForm.usual("metres", "de")


def test_the_line_that_a_thumb_types() -> None:
    typed = parse_line("168 12R 84", YARDS)
    assert typed.values["carry_m"] == pytest.approx(168 * M_PER_YD)
    assert typed.values["offline_m"] == pytest.approx(12 * M_PER_YD)
    assert typed.values["ball_speed_mps"] == pytest.approx(84 * MPS_PER_MPH)
    assert (typed.swing, typed.mark) == (None, "")


def test_metres_with_a_decimal_comma() -> None:
    typed = parse_line("153,6 11,0L 37,5", METRES)
    assert typed.values == pytest.approx({"carry_m": 153.6, "offline_m": -11.0, "ball_speed_mps": 37.5})
    assert parse_line("153,6 11 links", METRES).values["offline_m"] == -11.0


@pytest.mark.parametrize("side", ["12R", "R12", "12 R", "12r", "12right", "12 right"])
def test_sides_are_read_however_they_are_written(side: str) -> None:
    assert parse_line(f"168 {side}", YARDS).values["offline_m"] == pytest.approx(12 * M_PER_YD)


def test_more_figures_marks_and_swings() -> None:
    typed = parse_line("96 0 - s6200 l24.5 h60 gd thin", YARDS)
    assert typed.values["spin_rpm"] == 6200
    assert typed.values["launch_rad"] == pytest.approx(0.42761, abs=1e-5)
    assert typed.values["apex_m"] == pytest.approx(60 * 0.3048)
    assert "ball_speed_mps" not in typed.values
    assert (typed.swing, typed.mark, typed.reason) == ("gripped-down", "mishit", "thin")
    lost = parse_line(">210 4L bad net hit first", YARDS)
    assert lost.carry_at_least
    assert (lost.mark, lost.reason) == ("bad-read", "net hit first")
    assert parse_line("shank", YARDS).mark == "mishit"


@pytest.mark.parametrize(
    ("text", "piece", "said"),
    [
        ("168 12 84", "12", "Write 12R or 12L"),
        ("1680 12R", "1680", "cannot be"),
        ("168 12R 84 99", "99", "one figure more"),
        ("168 12R fast", "fast", "no ball speed"),
        ("168 12R s6200 s6100", "s6100", "twice"),
        ("168 -12 84", "-12", "says no side"),
        ("1e3 0", "1e3", "no carry"),
        ("", "", "Nothing was typed"),
        ("gd", "gd", "no figure"),
    ],
)
def test_an_error_names_its_piece_and_the_next_step(text: str, piece: str, said: str) -> None:
    with pytest.raises(LineError) as caught:
        parse_line(text, YARDS)
    assert text[caught.value.start : caught.value.end] == piece
    assert said in str(caught.value)
    assert caught.value.next_step


def test_signed_sides_only_where_the_form_says_so() -> None:
    form = load_form({**dump_form(YARDS), "signed_sides": True})
    assert parse_line("168 -12", form).values["offline_m"] == pytest.approx(-12 * M_PER_YD)
    assert parse_line("168 12", form).values["offline_m"] == pytest.approx(12 * M_PER_YD)


@pytest.mark.parametrize("form", [YARDS, METRES])
def test_a_form_says_itself_and_its_example_reads(form: LineForm) -> None:
    assert "carry" in form_words(form)
    assert len(parse_line(example(form), form).values) == len(form.order)
    assert load_form(dump_form(form)) == form


@pytest.mark.parametrize(
    "data",
    [
        None,
        {},
        {"order": ["carry_m", "carry_m"], "left": ["L"], "right": ["R"]},
        {"order": ["luck"], "left": ["L"], "right": ["R"]},
        {"order": ["carry_m"], "units": {"carry_m": "mph"}, "left": ["L"], "right": ["R"]},
        {"order": ["carry_m"], "left": ["L"], "right": ["l"]},
        {"order": ["carry_m"], "left": ["<b>"], "right": ["R"]},
        {"order": ["carry_m"], "left": ["s"], "right": ["R"]},
    ],
)
def test_a_form_that_is_none_is_refused(data: object) -> None:
    with pytest.raises(InputError):
        load_form(data)
