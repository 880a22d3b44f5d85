"""Who takes part: words, names, the present club."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bagwright.bag.club import Build, Club
from bagwright.errors import InputError
from bagwright.trial.slot import find_slot, present_club, same_slot, split_words
from bagwright.words import in_language
from tests.unit.trial.visits import wedge_bag


def names(words: object, **more: object) -> tuple[str, ...]:
    return find_slot(words, wedge_bag(), **more).names  # type: ignore[arg-type]


def test_one_word_is_the_slot_with_its_rivals() -> None:
    assert names("Gap") == ("Gap", "50 X", "52 Y")
    assert names("gap") == ("Gap", "50 X", "52 Y")


def test_the_exact_name_of_one_build_is_tried_against_the_present_club() -> None:
    assert names("52 Y") == ("52 Y", "Gap")


def test_several_words_are_the_candidates_and_the_present_club_joins() -> None:
    slot = find_slot("50 X, 52 Y", wedge_bag())
    assert slot.names == ("50 X", "52 Y", "Gap")
    assert [entry.present for entry in slot.entries] == [False, False, True]
    assert slot.present is not None
    assert names(["Gap", "50 X"]) == ("Gap", "50 X")


def test_a_usual_spelling_finds_the_club() -> None:
    assert names("9i,50 X")[:2] == ("9 iron", "50 X")


def test_a_name_of_several_builds_must_be_given_in_full_beside_others() -> None:
    with pytest.raises(InputError, match="may mean Gap, 50 X"):
        find_slot("50°,PW", wedge_bag())
    assert set(names("50°")) >= {"Gap", "50 X"}


def test_a_swing_can_be_named() -> None:
    slot = find_slot("PW gripped-down,50 X", wedge_bag())
    assert slot.entries[0].key == ("PW", "gripped-down")


def test_a_build_with_a_swing_is_called_in_the_reader_s_language() -> None:
    (entry,) = (e for e in find_slot("50 X three-quarter,Gap", wedge_bag()).entries if e.swing != "stock")
    assert entry.name == "50 X three-quarter"
    assert in_language(entry.name, "de") == "50 X dreiviertel"


def test_unknown_names_get_the_nearest() -> None:
    with pytest.raises(InputError, match=r"near it: 54 wedge") as error:
        find_slot("54 wege", wedge_bag())
    assert "54 wege" in str(error.value)


def test_without_a_bag_names_come_from_the_shots() -> None:
    hit = (("Iron 7", "stock"), ("B", "stock"))
    assert find_slot("7i,B", None, hit).names == ("Iron 7", "B")
    with pytest.raises(InputError, match="Known names"):
        find_slot("C,B", None, hit)


def test_present_club_by_number_else_by_loft() -> None:
    bag = wedge_bag()
    assert present_club(["52 Y"], bag) == bag.find("Gap")
    assert present_club(["54 wedge"], bag) == bag.find("54 wedge")
    assert present_club(["nothing"], bag) is None
    assert present_club(["Gap"], None) is None


def test_kinds_never_share_a_slot() -> None:
    iron = Club("9", "iron", "9", build=Build(loft_deg=45.0))
    wedge = Club("PW", "wedge", "PW", build=Build(loft_deg=45.0))
    assert not same_slot(iron, wedge)
    assert same_slot(wedge, replace(wedge, name="other", number=None, build=Build(loft_deg=47.5)))
    assert not same_slot(wedge, replace(wedge, name="other", number=None, build=Build(loft_deg=50.0)))
    assert not same_slot(wedge, Club("unknown", "wedge"))


@pytest.mark.parametrize("words", ["", " , ", [], ["  "]])
def test_no_words_are_an_error(words: object) -> None:
    with pytest.raises(InputError, match="No slot"):
        split_words(words)  # type: ignore[arg-type]
