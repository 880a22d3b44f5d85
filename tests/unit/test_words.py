"""The core's sentences: English stays plain text, German is in the catalogue, numbers keep their form."""

from __future__ import annotations

import datetime
import gettext
import json
import re
import string

import pytest

from bagwright.errors import InputError
from bagwright.report.typeset import spelled
from bagwright.report.words import number
from bagwright.words import (
    Words,
    all_in_language,
    changed,
    first_lower,
    first_upper,
    in_language,
    join,
    plain,
    tell,
    tell_n,
    term,
    term_of,
)
from bench.make_words import MO, compiled, fields, missing, read, used


@pytest.fixture(scope="module")
def code() -> dict[tuple[str, ...], list[str]]:
    return used()


def test_every_template_of_the_code_has_its_german(code: dict[tuple[str, ...], list[str]]) -> None:
    assert missing(read(), code) == []
    assert len(code) > 1300


def test_no_entry_of_the_catalogue_is_unused(code: dict[tuple[str, ...], list[str]]) -> None:
    assert sorted(set(read()) - set(code)) == []


def test_the_compiled_file_is_the_readable_one() -> None:
    assert MO.read_bytes() == compiled(read())
    with MO.open("rb") as file:
        assert gettext.GNUTranslations(file).gettext("likely") == "wahrscheinlich"


def test_fields_with_their_formats_are_the_same_in_german() -> None:
    wrong = []
    for key, told in read().items():
        for english, german in zip(key, told, strict=True):
            if german and set(fields(english)) != set(fields(german)):
                wrong.append((english, german))
    assert wrong == []


def test_white_space_at_the_ends_is_the_same_in_german() -> None:
    """Parts are put together without a space between them."""

    def ends(text: str) -> tuple[bool, bool]:
        return text[:1].isspace(), text[-1:].isspace()

    known = read().items()
    assert [k for k, told in known for a, b in zip(k, told, strict=True) if b and ends(a) != ends(b)] == []


def test_german_is_not_english() -> None:
    """A translation that is its original holds names, signs or words that both languages write alike."""
    same = [k[0] for k, told in read().items() if told == k]
    assert [text for text in same if len(re.findall(r"[a-z]{3,}", re.sub(r"{[^}]*}", "", text))) > 1] == []


def test_a_sentence_is_its_english_to_everybody_else() -> None:
    said = tell("{low} to {high} {unit}", low="3", high="5", unit="yd")
    assert said == "3 to 5 yd"
    assert json.dumps([said]) == '["3 to 5 yd"]'
    assert {said: 1}["3 to 5 yd"] == 1
    assert in_language(said, "en") == in_language(said, "fr") == said
    assert in_language(said, "de-AT") == in_language(said, "de") == "3 bis 5 yd"
    assert not isinstance(in_language(said, "en"), Words)


def test_braces_and_percents_of_other_people_stay_text() -> None:
    """What people typed is a value; a template would let them reach into the program."""
    name = "{0.__class__} %(x)s {unit}"
    said = tell('No club is called "{word}".', word=name)
    assert str(said) == f'No club is called "{name}".'
    assert in_language(said, "de") == f"Kein Schläger heißt „{name}“."


def test_numbers_have_the_comma_and_texts_keep_their_point() -> None:
    said = tell("air: {name} = {value} cannot be used.", name="1.5.csv", value="2.5")
    assert in_language(said, "de") == "Luft: 1.5.csv = 2.5 ist nicht brauchbar."
    assert in_language(tell("Expected {low:g} to {high:g}.", low=0.5, high=1234.5), "de") == (
        "Erwartet: 0,5 bis 1234,5."
    )
    assert in_language(number(-1.25, 1), "de") == "−1,2"


def test_counts_choose_the_language_s_own_form() -> None:
    ball = [in_language(tell_n("{n} ball", "{n} balls", n), "de") for n in (0, 1, 2)]
    assert ball == ["0 Bälle", "1 Ball", "2 Bälle"]


def test_a_day_is_written_as_the_language_does() -> None:
    assert in_language(spelled(datetime.date(2026, 3, 4)), "de") == "4. März 2026"


def test_parts_and_changes_follow_the_language() -> None:
    both = join(" ", (first_upper(tell("likely")), first_lower(tell("Hit some first."))))
    assert both == "Likely hit some first."
    assert in_language(both, "de") == "Wahrscheinlich Erst einige schlagen."
    assert in_language(changed(tell("likely"), str.upper), "de") == "WAHRSCHEINLICH"
    assert in_language("x " + tell("likely"), "de") == "x wahrscheinlich"
    assert all_in_language({"a": [tell("likely"), 1], "b": ("c",)}, "de") == {
        "a": ["wahrscheinlich", 1],
        "b": ("c",),
    }


def test_one_english_word_of_two_senses() -> None:
    assert in_language(term("narrow"), "de") == "eng"
    assert in_language(term_of("narrow", "sole"), "de") == "schmal"
    assert term("my own") == term_of("my own", "head") == "my own"
    assert type(plain(term("narrow"))) is str


def test_an_error_says_itself_in_german() -> None:
    with pytest.raises(InputError) as caught:
        raise InputError(tell("There is no trial to join."), tell("Choose another club."))
    assert str(caught.value) == "There is no trial to join. Choose another club."
    assert in_language(str(caught.value), "de") == (
        "Es gibt keinen Versuch, an dem er teilnehmen kann. Einen anderen Schläger wählen."
    )
    inside = tell("{file} is not a TOML file ({error}).", file="a", error=caught.value)
    assert "(Es gibt keinen Versuch" in in_language(inside, "de")


def test_fields_are_read_as_python_reads_them() -> None:
    """The library's own parser, so that no field is overlooked."""
    text = "{a:.1f} of {b!r}, {{c}}"
    assert fields(text) == [(n, s) for _, n, s, _ in string.Formatter().parse(text) if n]
