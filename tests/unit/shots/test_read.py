"""What reading gives back beside the shots: questions, answers, several files, progress, conditions."""

from pathlib import Path

import numpy as np
import pytest

from bagwright.errors import InputError, MachineError, ReadError
from bagwright.shots.answers import Answers
from bagwright.shots.read import read_shots
from bagwright.shots.result import ReadResult


def written(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


@pytest.fixture
def visit(tmp_path: Path) -> Path:
    return written(tmp_path, "visit.csv", "Club,Carry,Side\n7i,150,-3\n8i,140,4\n")


def test_questions_tell_the_values_and_stay_the_same(visit: Path) -> None:
    first, second = read_shots(visit).questions, read_shots(visit).questions
    assert first == second
    needed = {question.key: question for question in first if question.needed}
    assert set(needed) == {"length unit", "positive side"}
    assert "150, 140" in needed["length unit"].text
    assert '"Side" (-3, 4)' in needed["positive side"].text
    assert [question.needed for question in first] == sorted((q.needed for q in first), reverse=True)


def test_answering_twice_gives_the_same_table(visit: Path) -> None:
    answers = Answers({"length unit": "yd", "positive side": "right is positive"})
    one, two = read_shots(visit, answers=answers), read_shots(visit, answers=answers)
    assert not one.open_questions
    np.testing.assert_array_equal(one.table.measure("carry_m"), [150 * 0.9144, 140 * 0.9144])
    np.testing.assert_array_equal(one.table.measure("offline_m"), two.table.measure("offline_m"))


def test_an_answer_for_one_file_goes_before_the_answer_for_all(visit: Path, tmp_path: Path) -> None:
    other = written(tmp_path, "other.csv", "Club,Carry\n7i,150\n")
    answers = Answers(
        {"length unit": "m", "length unit @ other.csv": "yd", "positive side": "left is positive"}
    )
    table = read_shots(visit, other, answers=answers).table
    np.testing.assert_array_equal(table.measure("carry_m"), [150.0, 140.0, 150 * 0.9144])
    np.testing.assert_array_equal(table.measure("offline_m"), [3.0, -4.0, np.nan])


def test_an_answer_that_was_not_offered_is_an_error(visit: Path) -> None:
    with pytest.raises(InputError, match=r'visit.csv.*"furlongs".*yd, m'):
        read_shots(visit, answers=Answers({"length unit": "furlongs"}))


def test_no_side_given_leaves_the_side_missing(visit: Path) -> None:
    answers = Answers({"length unit": "yd", "positive side": "the side is not given"})
    result = read_shots(visit, answers=answers)
    assert not result.open_questions
    assert np.isnan(result.table.measure("offline_m")).all()


@pytest.mark.parametrize("told", ["carry parsec", "nonsense yd", "carry mph"])
def test_columns_told_wrongly_are_errors(visit: Path, told: str) -> None:
    with pytest.raises(InputError, match="Carry"):
        read_shots(visit, answers=Answers(columns={"Carry": told}))


def test_answers_are_saved_and_loaded(tmp_path: Path) -> None:
    answers = Answers(
        {"length unit": "m", 'club "7"': 'the "blue"\\one\n'}, {"Länge": "carry m"}, {"": "7 iron"}
    )
    path = tmp_path / "answers.toml"
    answers.save(path)
    loaded = Answers.load(path)
    assert dict(loaded) == dict(answers)
    assert (loaded.columns, loaded.clubs) == (answers.columns, answers.clubs)
    assert [p.name for p in tmp_path.iterdir()] == ["answers.toml"]
    with pytest.raises(MachineError, match="could not be written"):
        answers.save(path / "a file is no folder.toml")


def test_answers_behave_as_a_mapping() -> None:
    answers = Answers({"a": "1"})
    answers["b"] = "2"
    del answers["a"]
    assert list(answers) == ["b"]
    assert len(answers) == 1
    assert "b" in repr(answers)


def test_a_file_of_answers_alone_counts(tmp_path: Path) -> None:
    """Answers without a single key, but with columns, are answers all the same."""
    path = written(tmp_path, "odd.csv", "A;B\n7i;140\n")
    answers = Answers(columns={"A": "club", "B": "carry m"})
    assert read_shots(path, answers=answers).table.measure("carry_m").tolist() == [140.0]


def test_progress_goes_up_to_its_end(tmp_path: Path) -> None:
    rows = "".join(f"7i,{100 + i % 90}.5\n" for i in range(40_000))
    path = written(tmp_path, "long.csv", "Club,Carry (yd)\n" + rows)
    seen: list[tuple[int, int]] = []
    read_shots(path, path, progress=lambda done, total: seen.append((done, total)))
    shares = [done / total for done, total in seen]
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    assert len(shares) >= 5


def test_overlapping_files_add_nothing_twice_whatever_their_format(tmp_path: Path) -> None:
    head = "Club,Carry (yd),Offline (yd),Ball speed (mph)\n"
    rows = [f"7i,{150 + i}.5,{i},11{i}.25\n" for i in range(5)]
    one = written(tmp_path, "one.csv", head + "".join(rows[:4]))
    two = written(tmp_path, "two.tsv", (head + "".join(rows[2:])).replace(",", "\t"))
    result = read_shots(one, two)
    assert result.accepted == 5
    reasons = [row.reason for row in result.left_out]
    assert reasons == ["already read from one.csv row 4", "already read from one.csv row 5"]


def test_rows_in_few_figures_in_two_files_are_asked(tmp_path: Path) -> None:
    one = written(tmp_path, "one.csv", "Club,Carry (yd)\n7i,150\n7i,151\n")
    two = written(tmp_path, "two.csv", "Club,Carry (yd)\n7i,150\n7i,149\n")
    result = read_shots(one, two)
    assert result.accepted == 4
    assert [question.key for question in result.open_questions] == ["rows of another file"]
    for answer, accepted in (("the same shots", 3), ("different shots", 4)):
        told = read_shots(one, two, answers=Answers({"rows of another file": answer}))
        assert told.accepted == accepted
        assert not told.open_questions


def test_equal_shots_of_two_visits_are_two_shots(tmp_path: Path) -> None:
    text = "Date,Club,Carry (yd),Offline (yd),Spin\n{},7i,150.5,3,6512\n"
    one = written(tmp_path, "one.csv", text.format("2026-05-01"))
    two = written(tmp_path, "two.csv", text.format("2026-05-08"))
    assert read_shots(one, two).accepted == 2


def test_conditions_come_from_the_file_then_from_answers(tmp_path: Path) -> None:
    text = "Surface: mat\nBall: range ball\nSpin: estimated\n\nClub,Carry (yd),Spin\n7i,150,6000\n"
    path = written(tmp_path, "visit.csv", text)
    answers = Answers({"figures": "adjusted", "spin": "measured", "place": "bay two"})
    (conditions,) = read_shots(path, answers=answers).conditions.values()
    assert (conditions.visit, conditions.surface, conditions.ball) == ("visit", "mat", "range ball")
    assert (conditions.adjusted, conditions.spin, conditions.place) == ("adjusted", "estimated", "bay two")
    keys = {question.key for question in read_shots(path).questions}
    assert keys == {"figures"}


def test_columns_say_how_they_were_understood(visit: Path) -> None:
    uses = {use.header: use for use in read_shots(visit).columns}
    assert (uses["Club"].name, uses["Carry"].name, uses["Side"].name) == ("club", "carry_m", "offline_m")
    assert "asked" in uses["Carry"].how
    assert "asked" in uses["Side"].how


def test_columns_that_are_not_used_are_listed(tmp_path: Path) -> None:
    path = written(tmp_path, "visit.csv", "Player,Club,Carry (yd),Battery,Carry (mph)\nA,7i,150,80,3\n")
    uses = {use.header: (use.name, use.how) for use in read_shots(path).columns}
    assert uses["Battery"] == ("", "heading not known")
    assert uses["Player"][0] == ""
    assert uses["Carry (mph)"] == ("", "mph is no unit of carry")


def test_the_account_of_a_file(tmp_path: Path) -> None:
    (account,) = read_shots(written(tmp_path, "v.csv", "x\n\nClub;Carry\n;m\n7i;140,5\n\n7i;141\n")).files
    assert (account.file, account.kind, account.encoding) == ("v.csv", "text", "utf-8")
    assert (account.delimiter, account.decimal_mark) == ("semicolon", "comma")
    assert (account.header_row, account.units_row, account.rows_read) == (3, 4, 3)


def test_shots_know_their_file_and_row(tmp_path: Path) -> None:
    path = written(tmp_path, "v.csv", "Club,Carry (yd)\n7i,150\nAverage,150\n8i,140\n")
    table = read_shots(path).table
    assert [(shot.source_file, shot.source_row) for shot in table] == [("v.csv", 2), ("v.csv", 4)]


def test_headings_are_required(tmp_path: Path) -> None:
    with pytest.raises(ReadError, match=r'v.csv.*"a", "b"') as caught:
        read_shots(written(tmp_path, "v.csv", "a,b\n1,2\n"))
    assert "--map" in caught.value.next_step


def test_headings_without_a_single_row_are_no_shots(tmp_path: Path) -> None:
    result: ReadResult = read_shots(written(tmp_path, "v.csv", "Club,Carry (yd)\n"))
    assert (result.rows_read, result.accepted, result.table.n) == (0, 0, 0)


def test_same_numbers_in_many_blocks_or_one(tmp_path: Path) -> None:
    """Rows are the same whether a block is cut at once, row by row, or read by the csv module."""
    rows = [f"7i,{100 + i % 97}.{i % 10},{i % 7} R,{i}\n" for i in range(40_000)]
    head = "Club,Carry (yd),Side (yd),Spin\n"
    plain = read_shots(written(tmp_path, "plain.csv", head + "".join(rows))).table
    quoted = read_shots(
        written(tmp_path, "quoted.csv", head + '"7i",100.0,0 R,0\n' + "".join(rows[1:]))
    ).table
    ragged = read_shots(
        written(tmp_path, "ragged.csv", head + "".join(r.replace("\n", ",\n") for r in rows))
    ).table
    for name in ("carry_m", "offline_m", "spin_rpm"):
        np.testing.assert_array_equal(plain.measure(name), quoted.measure(name))
        np.testing.assert_array_equal(plain.measure(name), ragged.measure(name))
    assert plain.source_row is not None
    assert plain.source_row.tolist() == list(range(2, 40_002))


def test_angles_are_in_range_while_their_side_is_open(tmp_path: Path) -> None:
    path = written(
        tmp_path, "axis.csv", "Club,Carry (yd),Direction (deg),Spin axis (deg)\n7i,150,-7,9.1\n7i,148,8,-31\n"
    )
    result = read_shots(path)
    assert result.accepted == 2
    assert not result.rejected
    answered = read_shots(path, answers=Answers({"positive side": "right is positive"}))
    assert np.allclose(np.rad2deg(answered.table.measure("spin_axis_rad")), [9.1, -31.0])


def test_sizes_are_judged_only_once_the_unit_is_known(tmp_path: Path) -> None:
    path = written(tmp_path, "toe.csv", "Club,Carry (yd),Impact toe\n7i,150,12\n7i,148,-8\n")
    assert read_shots(path).accepted == 2
