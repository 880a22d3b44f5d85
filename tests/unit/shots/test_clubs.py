"""From names in a table to builds of a bag: builds never merge, and nothing is guessed."""

from pathlib import Path

import pytest

from bagwright.bag.club import Bag, Build, Club
from bagwright.errors import QuestionError
from bagwright.shots.answers import Answers
from bagwright.shots.read import read_shots
from bagwright.shots.result import ReadResult

BAG = Bag(
    clubs=(
        Club("driver", "driver", build=Build(hosel_setting="std")),
        Club("7 iron", "iron", "7"),
        Club("50 cavity", "wedge", stamped_loft_deg=50.0, build=Build(loft_deg=50.2, shaft="light")),
        Club(
            "50 blade",
            "wedge",
            stamped_loft_deg=50.0,
            build=Build(loft_deg=49.8, shaft="heavy"),
            also=("fifty",),
        ),
    )
)


def read(tmp_path: Path, text: str, bag: Bag | None = BAG, answers: Answers | None = None) -> ReadResult:
    path = tmp_path / "visit.csv"
    path.write_text(text, encoding="utf-8")
    return read_shots(path, bag=bag, answers=answers)


def clubs(result: ReadResult) -> list[str]:
    return list(result.table.text("club"))


def test_names_of_the_bag_and_usual_spellings(tmp_path: Path) -> None:
    result = read(
        tmp_path, "Club,Carry (m)\n7i,140\nIron 7,141\nDr,210\n50 cavity,90\nfifty,91\n50 BLADE,92\n"
    )
    assert clubs(result) == ["7 iron", "7 iron", "driver", "50 cavity", "50 blade", "50 blade"]
    assert not result.open_questions
    assert not result.unknown_clubs


def test_a_number_that_two_builds_share_is_asked(tmp_path: Path) -> None:
    result = read(tmp_path, "Club,Carry (m)\n50 wedge,90\n7i,140\n")
    (question,) = result.open_questions
    assert question.key == 'club "50 wedge"'
    assert question.options == ("50 cavity", "50 blade", "none of these")
    assert clubs(result) == ["50 wedge", "7 iron"]
    assert result.unknown_clubs == {"50 wedge": 1}
    with pytest.raises(QuestionError, match="50 cavity"):
        result.require_answers()


def test_the_answer_names_the_build(tmp_path: Path) -> None:
    for answers in (Answers({'club "50 wedge"': "50 blade"}), Answers(clubs={"50 WEDGE": "50 blade"})):
        result = read(tmp_path, "Club,Carry (m)\n50 wedge,90\n", answers=answers)
        assert clubs(result) == ["50 blade"]
        assert not result.open_questions
        result.require_answers()


def test_a_shaft_in_the_table_tells_two_builds_apart(tmp_path: Path) -> None:
    result = read(tmp_path, "Club,Shaft,Carry (m)\n50 wedge,light,90\n50 wedge,Heavy,91\n")
    assert [club.partition(",")[0] for club in clubs(result)] == ["50 cavity", "50 blade"]
    assert not result.open_questions


def test_another_setting_of_a_club_of_the_bag_is_another_build(tmp_path: Path) -> None:
    result = read(tmp_path, "Club,Setting,Carry (m)\nDriver,std,210\nDriver,+1,211\nDriver,,212\n")
    assert clubs(result) == ["driver", "driver, setting +1", "driver"]
    assert result.unknown_clubs == {"driver, setting +1": 1}


def test_settings_part_builds_where_the_bag_does_not_say_the_setting(tmp_path: Path) -> None:
    result = read(tmp_path, "Club,Setting,Carry (m)\n7i,A,140\n7i,B,141\n7i,A,142\n")
    assert clubs(result) == ["7 iron, setting A", "7 iron, setting B", "7 iron, setting A"]


def test_one_setting_everywhere_needs_no_addition(tmp_path: Path) -> None:
    result = read(tmp_path, "Club,Setting,Carry (m)\n7i,A,140\n7i,A,141\n", bag=None)
    assert clubs(result) == ["7 iron", "7 iron"]
    assert list(result.table.text("setting")) == ["A", "A"]


@pytest.mark.parametrize(
    "column", ["Shaft", "Loft", "Head", "Flex", "Grip", "Length", "Swing weight", "Lie angle"]
)
def test_every_column_of_the_build_parts_builds(tmp_path: Path, column: str) -> None:
    result = read(tmp_path, f"Club,{column},Carry (m)\n7i,34,140\n7i,35,141\n", bag=None)
    word = column.lower()
    assert clubs(result) == [f"7 iron, {word} 34", f"7 iron, {word} 35"]


def test_unknown_names_are_kept_and_counted(tmp_path: Path) -> None:
    result = read(tmp_path, "Club,Carry (m)\n blue\u202e one ,140\nblue one,141\n6 iron,150\n")
    assert clubs(result) == ["blue one", "blue one", "6 iron"]
    assert result.unknown_clubs == {"blue one": 2, "6 iron": 1}


def test_a_table_without_clubs_offers_the_bag(tmp_path: Path) -> None:
    result = read(tmp_path, "Carry (m)\n140\n141\n")
    (question,) = result.open_questions
    assert question.options == (*(club.name for club in BAG), "one unnamed club")
    told = read(tmp_path, "Carry (m)\n140\n141\n", answers=Answers({"club of the table": "7 iron"}))
    assert clubs(told) == ["7 iron", "7 iron"]
    named = read(tmp_path, "Carry (m)\n140\n141\n", answers=Answers(clubs={"": "50 blade"}))
    assert clubs(named) == ["50 blade", "50 blade"]
    assert not named.unknown_clubs


def test_rows_without_a_club_can_be_left_out(tmp_path: Path) -> None:
    answers = Answers({"rows without a club": "leave these rows out"})
    result = read(tmp_path, "Club,Carry (m)\n7i,140\n,141\n", answers=answers)
    assert [(row.row, row.reason) for row in result.left_out] == [(3, "no club, as you said")]
    assert result.rows_read == 2 == result.accepted + 1
