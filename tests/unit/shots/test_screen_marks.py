"""Plausibility suggests, people decide, nothing is deleted."""

import math
import re

import pytest

from bagwright.errors import InputError
from bagwright.shots.marks import mark_from_words, with_mark, with_suggestions, without_mark
from bagwright.shots.record import Mark, Shot, ShotTable
from bagwright.shots.screen import screen
from bagwright.shots.texts import (
    change_text,
    clean,
    display_name,
    escaped,
    mark_in_note,
    swing_word,
    unescaped,
)

GOOD = {
    "carry_m": 140.0, "total_m": 147.0, "apex_m": 28.0, "ball_speed_mps": 50.0, "club_speed_mps": 37.0,
    "speed_ratio": 50 / 37, "launch_rad": math.radians(18), "spin_rpm": 6500.0, "time_s": 5.9,
    "descent_rad": math.radians(46),
}  # fmt: skip


def table(*changes: dict[str, float]) -> ShotTable:
    shots = [Shot("7 iron", i + 1, **{**GOOD, **change}) for i, change in enumerate(changes)]  # type: ignore[arg-type]
    return ShotTable.of(shots)


def test_an_ordinary_shot_is_left_alone() -> None:
    assert screen(table({})) == {}


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"speed_ratio": 1.62}, "speed ratio"),
        ({"club_speed_mps": 30.0, "speed_ratio": 1.35}, "do not belong together|is not ball over club"),
        ({"speed_ratio": 1.20}, "is not ball over club"),
        ({"spin_rpm": 20_000.0}, "spin"),
        ({"ball_speed_mps": 120.0, "club_speed_mps": 80.0, "speed_ratio": 1.5}, "speed"),
        ({"carry_m": 300.0, "total_m": 310.0}, "carry beyond"),
        ({"apex_m": 74.0, "ball_speed_mps": 37.5, "club_speed_mps": 27.4, "time_s": 8.0}, "height beyond"),
        ({"time_s": 2.0}, "time of flight too short"),
        ({"total_m": 60.0}, "total well short"),
        ({"launch_rad": math.radians(80)}, "launch angle"),
    ],
)
def test_what_cannot_be_is_suggested_as_a_bad_read(change: dict[str, float], word: str) -> None:
    marks = screen(table({}, change))
    assert list(marks) == [1]
    assert (marks[1].kind, marks[1].author) == ("bad-read", "model")
    assert re.search(word, marks[1].reason)


def test_vacuum_range_is_the_textbook_one() -> None:
    """Range without air at 45 degrees is v^2/g (any mechanics textbook); 50 m/s gives 254.93 m."""
    assert screen(table({"carry_m": 254.9, "total_m": 255.0})) == {}
    assert "carry beyond" in screen(table({"carry_m": 255.0, "total_m": 256.0}))[0].reason


def test_a_shot_that_people_marked_is_left_alone() -> None:
    marked = with_mark(table({"spin_rpm": 20_000.0}), 0, Mark("mishit", "thin", "professional"))
    assert screen(marked) == {}


def test_marks_are_reversible_and_the_old_table_stays() -> None:
    old = table({}, {})
    new = with_mark(old, 1, Mark("mishit", "heavy", "professional"))
    assert (old.marks, list(new.marks)) == ({}, [1])
    assert without_mark(new, 1).marks == {}
    assert list(new.marks) == [1]
    assert without_mark(new, 0).marks == new.marks
    assert new.n == old.n


def test_marks_outside_the_table_or_of_no_kind_are_errors() -> None:
    shots = table({})
    for i in (-1, 1):
        with pytest.raises(InputError, match="position"):
            with_mark(shots, i, Mark("mishit"))
        with pytest.raises(InputError, match="position"):
            without_mark(shots, i)
    with pytest.raises(InputError, match="no mark"):
        with_mark(shots, 0, Mark("odd"))  # type: ignore[arg-type]
    with pytest.raises(InputError, match="probability"):
        with_mark(shots, 0, Mark("mishit", probability=1.5))


def test_suggestions_are_taken_over_one_by_one_and_never_over_people() -> None:
    shots = table({"spin_rpm": 20_000.0}, {"time_s": 1.0}, {})
    suggested = screen(shots)
    taken = with_suggestions(shots, suggested, [0])
    assert list(taken.marks) == [0]
    mine = with_mark(shots, 1, Mark("mishit", "thin", "professional"))
    assert with_suggestions(mine, suggested, [0, 1]).marks[1].author == "professional"
    with pytest.raises(InputError, match="Shot 3 has no suggestion"):
        with_suggestions(shots, suggested, [2])


def test_marks_as_people_type_them() -> None:
    assert mark_from_words("Heavy") == Mark("mishit", "heavy", "professional")
    assert mark_from_words("bad read", "net first") == Mark("bad-read", "net first", "professional")
    assert mark_from_words("warm-up", author="me").author == "me"
    with pytest.raises(InputError, match="no mark"):
        mark_from_words("odd")


@pytest.mark.parametrize(
    ("note", "kind"),
    [
        ("heavy", "mishit"),
        ("Chunked!", "mishit"),
        ("a bit thin", "mishit"),
        ("good, off the toe", "mishit"),
        ("misread", "bad-read"),
        ("hit net first", "bad-read"),
        ("warm up", "warm-up"),
        ("not heavy", None),
        ("heavy?", None),
        ("toe down lie", None),
        ("", None),
        ("solid", None),
        ("heavy rain", None),
    ],
)
def test_notes_that_are_a_marks_word(note: str, kind: str | None) -> None:
    mark = mark_in_note(note)
    assert (mark.kind if mark else None) == kind


def test_words_for_swings_and_changes() -> None:
    assert [swing_word(w) for w in ("", "Full", "3/4", "LOW", " choke  down ")] == [
        "stock",
        "stock",
        "three-quarter",
        "LOW",
        "gripped-down",
    ]
    assert [change_text(w) for w in ("", "tip", "Tape: new", "new glove", "other: x")] == [
        "",
        "tip",
        "face tape: new",
        "other: new glove",
        "other: x",
    ]


def test_text_is_cleaned_and_escaped() -> None:
    assert clean("a\u202eb\x07 \n c") == "ab c"
    assert clean("x" * 300, 10) == "x" * 9 + "…"
    assert display_name("..\\..\\evil\u202e.csv") == "evil.csv"
    assert display_name("///") == "unnamed file"
    for text in ("=1", "+1", "-1", "@a", "＝1", "'a", "''", "plain", "", "it's"):
        assert unescaped(escaped(text)) == text
        assert escaped(text)[:1] not in tuple("=+-@＝＋－＠")
