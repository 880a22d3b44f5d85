"""Shots typed as one line: the form's order, units and side words; every error names its piece."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from bagwright.errors import InputError
from bagwright.shots.line import (
    LineError,
    LineForm,
    Typed,
    dump_form,
    example,
    form_words,
    load_form,
    pad_steps,
    parse_line,
    tag_words,
    write_line,
)
from bagwright.shots.line_club import split_club
from bagwright.shots.line_form import FIGURES, TAGS
from bagwright.shots.line_words import words_of
from bagwright.shots.record import MISHITS, SWINGS
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
        ("168 L12", "L12", "could be a launch or a side"),
        ("168 12 R84", "12", "Write 12R or 12L"),
        ("168 +12L 84", "+12L", "has a sign and a side"),
        ("168 300R", "300R", "At most 218 yd to either side"),
        ("168 300 R", "300 R", "At most 218 yd to either side"),
        ("168 12R s6,200", "s6,200", "thousands or decimals"),
        ("168 12R s6.200", "s6.200", "Write 6200, or 6.20"),
        ("168.1234 0", "168.1234", "more than two decimals"),
        ("168 12R s0", "s0", "Between 50 and 16000 rpm"),
        ("168 12R l-30", "l-30", "Between -20 and 80 deg"),
        ("bad 168 12R", "168", "figure after the mark"),
        ("168 0 bad net 12R", "12R", "figure after the mark"),
        ("168 0 bad 150m", "150m", "figure after the mark"),
        ("168 0 bad net 12ydR", "12ydR", "figure after the mark"),
        ("168 0 heavy thin", "thin", "second mark after heavy"),
        ("168 0 thin bad", "bad", "second mark after thin"),
        ("168 0 gd fo", "fo", "second swing"),
        (">low 0", ">low", "no carry"),
        ("168 12R 84m", "84m", "no unit of the ball speed"),
        ("168m 12R", "12R", "says no unit, another figure says m"),
        ("168 12R 84 c140km/h", "84", "says no unit, another figure says km/h"),
        ("168x 12R", "168x", "no carry"),
        ("168 12x", "12x", "no side"),
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


def test_a_decimal_is_read_with_point_and_comma_and_written_with_the_forms_own() -> None:
    assert parse_line("153.6 11.0L 37.5", METRES) == parse_line("153,6 11,0L 37,5", METRES)
    assert write_line(parse_line("153.6 11.25L 37.5", METRES), METRES) == "153,6 11,25L 37,5"
    assert write_line(parse_line("168,5 12R", YARDS), YARDS) == "168.5 12R"


def test_a_letter_that_is_also_a_side_is_a_figure_once_the_side_is_there() -> None:
    assert parse_line("168 12L l18", YARDS).values["launch_rad"] == pytest.approx(0.31416, abs=1e-5)
    assert "offline_m" not in parse_line("168 - l18", YARDS).values


@pytest.mark.parametrize(
    ("word", "mishit"), [("hv", "heavy"), ("th", "thin"), ("TP", "topped"), ("SH", "shank")]
)
def test_marks_have_short_words(word: str, mishit: str) -> None:
    typed = parse_line(f"168 12R {word}", YARDS)
    assert (typed.mark, typed.reason) == ("mishit", mishit)


@pytest.mark.parametrize("mishit", MISHITS)
@pytest.mark.parametrize("swing", SWINGS)
def test_every_mark_and_swing_of_the_record_can_be_typed(mishit: str, swing: str) -> None:
    typed = parse_line(f"168 {swing} {mishit}", YARDS)
    assert (typed.swing, typed.mark, typed.reason) == (swing, "mishit", mishit)


def test_a_form_may_need_a_figure_and_an_own_letter() -> None:
    form = load_form({**dump_form(YARDS), "needed": ["carry_m", "offline_m"], "tags": {"p": "spin_rpm"}})
    assert parse_line("168 12R p6200", form).values["spin_rpm"] == 6200
    with pytest.raises(LineError, match="The side is missing"):
        parse_line("168 -", form)
    assert parse_line("168 - bad", form).mark == "bad-read"
    assert form_words(form) == "carry yd, side yd with L or R, [ball speed mph]"


def test_what_cannot_be_written_is_said() -> None:
    with pytest.raises(InputError, match="no place for club_speed_mps"):
        write_line(Typed({"club_speed_mps": 38.0}), load_form({**dump_form(YARDS), "tags": {}}))
    with pytest.raises(InputError, match="least"):
        write_line(Typed({"offline_m": 1.0}, carry_at_least=True), YARDS)


def test_the_pad_follows_the_form() -> None:
    steps = pad_steps(METRES)
    assert [(step.word, step.unit) for step in steps] == [
        ("carry", "m"),
        ("side", "m"),
        ("ball speed", "m/s"),
    ]
    assert [step.side_keys for step in steps] == [None, ("L", "R"), None]
    signed = pad_steps(load_form({**dump_form(METRES), "signed_sides": True}))
    assert (signed[1].side_keys, signed[1].signed) == (None, True)


def test_letters_are_told_in_the_forms_units() -> None:
    assert "s6200 spin rpm" in tag_words(YARDS)
    assert "h27 height m" in tag_words(METRES)
    assert all("ball speed" not in words for words in tag_words(YARDS)), "it has a place already"


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
        {**dump_form(YARDS), "units": {**YARDS.units, "carry_m": "mph"}},
        {**dump_form(YARDS), "right": ["l"]},
        {**dump_form(YARDS), "left": ["<b>"]},
        {**dump_form(YARDS), "left": ["s"]},
        {"order": [["carry_m"]], "left": ["L"], "right": ["R"]},
        {"order": [], "left": ["L"], "right": ["R"]},
        {**dump_form(YARDS), "units": {}},
        {**dump_form(YARDS), "units": {"carry_m": ["yd"]}},
        {**dump_form(YARDS), "units": {"launch_rad": "rad"}},
        {**dump_form(YARDS), "tags": {"s": "offline_m"}},
        {**dump_form(YARDS), "tags": {"s": "spin_rpm", "p": "spin_rpm"}},
        {**dump_form(YARDS), "tags": {"spin": "spin_rpm"}},
        {**dump_form(YARDS), "tags": {"s": ["spin_rpm"]}},
        {**dump_form(YARDS), "needed": ["apex_m"]},
        {**dump_form(YARDS), "decimal_mark": ";"},
        {**dump_form(YARDS), "left": ["thin"]},
        {**dump_form(YARDS), "left": []},
        {**dump_form(YARDS), "left": [7]},
        {**dump_form(YARDS), "language": "xx"},
        {**dump_form(METRES), "left": ["hoch"]},
    ],
)
def test_a_form_that_is_none_is_refused(data: object) -> None:
    with pytest.raises(InputError):
        load_form(data)


def test_a_form_from_before_letters_and_decimals_is_still_read() -> None:
    old = {name: dump_form(YARDS)[name] for name in ("order", "units", "left", "right", "signed_sides")}
    assert load_form(old) == YARDS


def test_a_missing_side_is_written_before_a_letter_that_might_be_one() -> None:
    form = load_form({**dump_form(YARDS), "tags": {"r": "launch_rad"}})
    typed = Typed({"carry_m": 150.0, "launch_rad": 0.0})
    assert write_line(typed, form) == "164.04 - - r0"
    assert parse_line(write_line(typed, form), form).values["launch_rad"] == 0.0


PAGE = (Path(__file__).parents[3] / "docs" / "typing.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("line", re.findall(r"^\| `([^`]+)` \| (?:yards|metres)", PAGE, re.MULTILINE))
def test_every_line_of_the_page_is_read(line: str) -> None:
    assert parse_line(line, METRES if "metres" in _row_of(line) else YARDS).values


def _row_of(line: str) -> str:
    return next(row for row in PAGE.splitlines() if row.startswith(f"| `{line}` |"))


def test_the_page_tells_every_letter_and_word() -> None:
    assert len(re.findall(r"^\| `[^`]+` \| (?:yards|metres)", PAGE, re.MULTILINE)) == 8
    for letter, name in TAGS.items():
        assert re.search(rf"^\| `{letter}` \| {FIGURES[name].word}", PAGE, re.MULTILINE), letter
    german = words_of("de")
    for word in (*german.swings, *german.mishits, *german.bad, *german.unclear):
        assert f"`{word}`" in PAGE, word


# German words of the practice tee: common practice, no source; the sums of the units by hand.
@pytest.mark.parametrize(
    ("text", "mark", "reason", "swing"),
    [
        ("153 5R fett", "mishit", "heavy", None),
        ("153 5li DÜNN", "mishit", "thin", None),
        ("153 5R du\u0308nn", "mishit", "thin", None),
        ("153 5re getoppt kg", "mishit", "topped", "gripped-down"),
        ("153 0 spitze halb", "mishit", "toe", "half"),
        ("153 0 hacke dreiviertel", "mishit", "heel", "three-quarter"),
        ("socket", "mishit", "shank", None),
        ("153 0 hoch einsatz", "mishit", "high", "flat-out"),
        ("153 0 thin gd", "mishit", "thin", "gripped-down"),
        ("153 0 fehlmessung Netz zuerst", "bad-read", "Netz zuerst", None),
    ],
)
def test_a_german_form_understands_german_words(text: str, mark: str, reason: str, swing: str | None) -> None:
    typed = parse_line(text, METRES)
    assert (typed.mark, typed.reason, typed.swing) == (mark, reason, swing)
    with pytest.raises(LineError):
        parse_line("153 5R 60 fett", YARDS)


@pytest.mark.parametrize(("word", "either"), [("voll", "normal or einsatz"), ("kurz", "gegriffen or halb")])
def test_a_german_word_for_two_swings_is_asked(word: str, either: str) -> None:
    with pytest.raises(LineError, match=either) as caught:
        parse_line(f"153 5R {word}", METRES)
    assert (caught.value.start, caught.value.end) == (7, 7 + len(word))


def test_a_unit_that_is_said_is_taken() -> None:
    said = parse_line("153m 11mL 135km/h s6200rpm h27m", METRES).values
    assert said == pytest.approx(
        {"carry_m": 153.0, "offline_m": -11.0, "ball_speed_mps": 37.5, "spin_rpm": 6200.0, "apex_m": 27.0}
    )
    assert parse_line("168yd 12ydR", METRES).values == pytest.approx(
        {"carry_m": 168 * M_PER_YD, "offline_m": 12 * M_PER_YD}
    )
    assert parse_line("168yd 0", METRES).values["offline_m"] == 0.0, "on the line in every unit"


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Eisen 7 153 5R", "Eisen 7"),
        ("7er Eisen 153", "7er Eisen"),
        ("7 Eisen 153 5 L", "7 Eisen"),
        ("Holz 3 195", "Holz 3"),
        ("Pitching Wedge 110 kg", "Pitching Wedge"),
        ("Sandwedge 80", "Sandwedge"),
        ("PW 110", "PW"),
        ("SW 56° 92 3L", "SW 56°"),
        ("56 Grad 92 3L", "56 Grad"),
        ("Driver 230 5L", "Driver"),
        ("50  Cavity 92 1R", "50  Cavity"),
        ("4H 180 3R", "4H"),
        ("h4 180 3R", ""),
        ("56 92 3L", ""),
        ("168 12R 84", ""),
        ("d 230", ""),
        ("fett", ""),
        ("12R", ""),
        ("4 h27", ""),
        ("- 5R", ""),
        ("", ""),
    ],
)
def test_a_line_may_begin_with_a_club(text: str, name: str) -> None:
    assert split_club(text, METRES, ["50 cavity", "168", "Gap wedge"]) == (name, len(name))


def test_the_form_of_the_page_is_one() -> None:
    (block,) = re.findall(r"^    \{.*?\}$", PAGE, re.MULTILINE | re.DOTALL)
    assert load_form(json.loads(block)).needed == ("carry_m",)
