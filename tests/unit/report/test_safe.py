"""Text of other people: nothing breaks, nothing runs, nothing goes missing without a sign."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagwright.report.safe import FONT_FILES, FONTS, MISSING_GLYPH, clean, drawable, without_glyph


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Zoë #Müller *x* $1$ _u_ {b}", "Zoë #Müller *x* $1$ _u_ {b}"),
        ("<b>bold</b> & \"q\" 'q'", "<b>bold</b> & \"q\" 'q'"),
        ("a\x00b\x1b[31mc\x7f\x85d", "a b [31mc d"),
        ("line\nbreak\ttab\r\n\u2028end", "line break tab end"),
        ("exe.\u202egnp", "exe.gnp"),
        ("\ud800lone", "lone"),
        ("", ""),
        ("   ", ""),
        ("Anna\u200dMaria", "Anna\u200dMaria"),
    ],
)
def test_text_is_kept_but_for_what_can_do_harm(text: str, shown: str) -> None:
    assert clean(text) == shown


def test_long_text_ends_in_an_ellipsis() -> None:
    assert clean("é" * 5000, 20) == "é" * 19 + "…"
    assert len(clean("ab " * 3000, 50)) <= 50


def test_right_to_left_text_is_isolated_so_that_it_cannot_reorder_the_sentence() -> None:
    # Unicode Standard Annex 9, section 2.4: FSI U+2068 and PDI U+2069 isolate a run.
    assert clean("שלום 7") == "\u2068שלום 7\u2069"


def test_stacked_accents_are_cut_to_three() -> None:
    assert clean("e" + "\u0301" * 500) == "e" + "\u0301" * 3


def test_a_cut_does_not_tear_an_accent_from_its_letter() -> None:
    shown = clean("abcdefgh" + "e\u0301\u0302" + "x" * 20, 11)
    assert shown.endswith("…")
    assert not unicodedata.category(shown[-2]).startswith("M") or shown[-3:-1] != "e\u0301"


@given(st.text(max_size=400), st.integers(2, 90))
def test_any_text_gives_one_clean_line_within_the_limit(text: str, limit: int) -> None:
    shown = clean(text, limit)
    assert len(shown) <= limit + 2
    assert all(unicodedata.category(letter) not in ("Cc", "Cs", "Zl", "Zp") for letter in shown)
    shown.encode("utf-8")


def test_a_limit_below_two_characters_is_refused() -> None:
    with pytest.raises(ValueError, match="at least 2"):
        clean("x", 1)


def test_the_bundled_fonts_cover_what_the_papers_use() -> None:
    # Letters of the alphabets of Europe, Hebrew and Arabic, and every sign that the papers draw themselves.
    assert without_glyph("Ää Øø Łł Ññ Жж Ωω שלום سعيد ±≈–−°…●■▲◆✚▼►• ½ é") == frozenset()


def test_letters_without_a_glyph_become_an_empty_box() -> None:
    assert without_glyph("日a") == frozenset("日")
    assert drawable("日a") == MISSING_GLYPH + "a"
    assert drawable("abc") == "abc"


def test_fonts_come_with_their_licences() -> None:
    for name in FONT_FILES:
        assert (FONTS / name).stat().st_size > 100_000
    assert "SIL OPEN FONT LICENSE Version 1.1" in (FONTS / "SourceSans3-LICENSE.txt").read_text("utf-8")
    assert "Bitstream Vera Fonts Copyright" in (FONTS / "DejaVuSans-LICENSE.txt").read_text("utf-8")
