"""The page of names and the tables in the code say the same."""

import re
from pathlib import Path

import pytest

from bagwright.shots.answers import Answers
from bagwright.shots.headers import understand
from bagwright.shots.limits import Limits
from bagwright.shots.quantities import BY_NAME, GROUP_UNITS, QUANTITIES, TEXT_HEADINGS
from bagwright.shots.record import MEASURES
from bagwright.shots.rows import is_summary
from bagwright.shots.words import (
    ASKED_HEADINGS,
    BUILD_COLUMNS,
    HEADINGS,
    LEFT,
    MEANING,
    MISSING,
    RIGHT,
    SUMMARY_ALONE,
    SUMMARY_WORDS,
)

PAGE = Path(__file__).parents[3] / "docs" / "names.md"


def section(title: str) -> str:
    text = PAGE.read_text(encoding="utf-8")
    return text.partition(f"\n## {title}\n")[2].partition("\n## ")[0]


def table(title: str) -> list[list[str]]:
    rows = [line for line in section(title).splitlines() if line.startswith("|")]
    cells = [[cell.strip() for cell in row.strip("|").split(" | ")] for row in rows]
    return [row for row in cells if set("".join(row)) - set("-|")]


def test_every_measure_is_on_the_page_with_its_headings() -> None:
    rows = {row[0].strip("`"): row for row in table("Measures")[1:]}
    assert list(rows) == list(MEASURES) == [quantity.name for quantity in QUANTITIES]
    for name, row in rows.items():
        assert BY_NAME[name].says in row[2]
        assert ("asked" in row[3]) == (BY_NAME[name].usual == "" and BY_NAME[name].dimension != "ratio")
        assert ("right" in row[2]) == BY_NAME[name].sided


@pytest.mark.parametrize("name", MEASURES)
def test_the_headings_on_the_page_are_read_as_what_they_say(name: str) -> None:
    row = next(row for row in table("Measures") if row[0] == f"`{name}`")
    headings = re.findall(r"`([^`]+)`", row[1])
    assert headings
    for text in headings:
        heading = understand(text)
        assert heading.name == name
        assert heading.positive == (1 if BY_NAME[name].sided else 0)
        assert (heading.unit is None) == (BY_NAME[name].dimension == "ratio")


def test_every_text_column_is_on_the_page_and_is_read() -> None:
    rows = [row for row in table("Texts") if row[0].strip("`") in TEXT_HEADINGS]
    assert {row[0].strip("`"): row[1] for row in rows if row[0].startswith("`")} == TEXT_HEADINGS
    assert all(understand(heading).name == heading for heading in TEXT_HEADINGS)


def test_words_of_headings_are_on_the_page() -> None:
    rows = table("Words that are read in headings")
    told = {row[0].strip("`"): tuple(row[1].split(", ")) for row in rows if row[0].strip("`") in HEADINGS}
    assert told == HEADINGS
    asked = {row[0]: tuple(re.findall(r"`(\w+)`", row[1])) for row in rows if row[0] in ASKED_HEADINGS}
    assert asked == ASKED_HEADINGS


def test_words_are_sorted_lower_case_and_mean_one_thing() -> None:
    assert list(HEADINGS) == sorted(HEADINGS)
    words = [word for group in HEADINGS.values() for word in group]
    assert len(set(words)) == len(words) == len(MEANING)
    assert not set(words) & set(ASKED_HEADINGS)
    for name, group in HEADINGS.items():
        assert list(group) == sorted(group), name
        assert all(word == word.casefold() for word in group)


@pytest.mark.parametrize("word", sorted(MEANING))
def test_every_word_is_read_whatever_its_case_and_unit(word: str) -> None:
    wanted = MEANING[word]
    for text in (word, word.upper(), f"  {word.title()} "):
        assert understand(text).name == wanted
    quantity = BY_NAME.get(wanted)
    if quantity is not None and quantity.dimension == "length":
        for text in (f"{word} (yd)", f"{word} [m]", f"{word}_ft", f"{word}, Yds"):
            found = understand(text)
            assert found.name == wanted
            assert found.unit is not None


def test_asked_and_letters_and_missing_are_on_the_page() -> None:
    sides = section("Sides")
    assert f"Letters: {', '.join(sorted(RIGHT))} for right; {', '.join(sorted(LEFT))} for left" in sides
    numbers = section("Numbers")
    assert all(f"`{word}`" in numbers for word in MISSING if word)
    rows = section("Rows")
    assert f"{', '.join(sorted(SUMMARY_WORDS | SUMMARY_ALONE))}." in rows
    assert all(is_summary(word) for word in SUMMARY_WORDS | SUMMARY_ALONE)
    builds = section("Builds and bags")
    assert all(f"`{name.replace('_', ' ')}`" in builds for name in BUILD_COLUMNS)


def test_questions_on_the_page_have_the_options_of_the_program() -> None:
    rows = {row[0].strip("`"): row[1] for row in table("Answers")}
    for group, units in GROUP_UNITS.items():
        assert rows[group] == ", ".join(units)
    from bagwright.shots import layout, read

    assert rows["positive side"] == ", ".join(
        (layout.RIGHT_IS_POSITIVE, layout.LEFT_IS_POSITIVE, layout.NO_SIDE)
    )
    assert rows["carry of 0"] == f"{read.DID_NOT_FLY}, {read.NOT_MEASURED}"
    assert rows["rows without a club"] == f"{read.AS_ABOVE}, {read.LEAVE_OUT}"


def test_the_answer_file_on_the_page_is_one(tmp_path: Path) -> None:
    shown = re.findall(r"```toml\n(.*?)```", section("Answers"), re.DOTALL)[0]
    path = tmp_path / "answers.toml"
    path.write_text(shown, encoding="utf-8")
    answers = Answers.load(path)
    assert answers["length unit"] == "m"
    assert answers.answer("length unit", "tuesday.csv", ("yd", "m")) == "yd"
    assert answers.answer("length unit", "monday.csv", ("yd", "m")) == "m"
    assert answers.clubs[""] == "7 iron"
    assert understand("Lateral", answers.columns).positive == 1


def test_limits_are_positive() -> None:
    assert all(getattr(Limits(), name) > 0 for name in Limits.__dataclass_fields__)
