"""`bagwright study`: players of figures on one short hole, gone on, refused, summed up; columns are told."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from bagwright.cli.main import main
from bagwright.cli.progress import duration
from bagwright.cli.show_study import progress
from bagwright.cli.studying import QUESTIONS as ASKED
from bagwright.study import Counts
from bagwright.study.table import has_parquet, write_csv, write_parquet
from bagwright.tasks.study_players import COLUMNS, players_of
from bagwright.tasks.study_rounds import RoundSpec, common_of, load_rounds
from bagwright.tasks.studying import QUESTIONS, StudyWish, columns_of

ROOT = Path(__file__).parents[2]
CARD = "hole,par,stroke index,white (yd),yellow (yd)\n1,3,1,120,100\n"
CLUBS = """
[[club]]
name = "8 iron"
kind = "iron"
stamped_loft_deg = 37
[[club]]
name = "Gap wedge"
kind = "wedge"
stamped_loft_deg = 50
[[club]]
name = "Sand wedge"
kind = "wedge"
status = "candidate"
stamped_loft_deg = 56
"""
FIGURES = "player,handicap,driver_speed_mph\nRobin Example,5,100\nb,20,90\nbad,x,90\n"
ROUNDS = """
[[round]]
course = "card.csv"
tees = "yellow"
weight = 3
[[round]]
course = "card.csv"
wind = "10mph@head"
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name, text in {
        "card.csv": CARD,
        "clubs.toml": CLUBS,
        "f.csv": FIGURES,
        "rounds.toml": ROUNDS,
    }.items():
        (tmp_path / name).write_text(text)
    return tmp_path


def words(folder: Path, *more: str, question: str = "strokes") -> list[str]:
    return ["study", question, str(folder / "f.csv"), "--out", str(folder / "out"), "--json", *more]


def test_a_study_is_answered_once_and_goes_on(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A bad row fails alone: exit code 1, listed; the same command then has nothing left to do."""
    given = words(
        folder,
        "--course",
        str(folder / "card.csv"),
        "--clubs",
        str(folder / "clubs.toml"),
        "--processes",
        "1",
    )
    assert main(given) == 1
    out, err = capsys.readouterr()
    answer = json.loads(out)
    assert (answer["players"], answer["done"], answer["tasks"], answer["answered_before"]) == (3, 2, 3, 0)
    (failed,) = answer["failed"]
    assert failed["player"] == 3
    assert "f.csv, row 4" in err
    assert 'The handicap "x" cannot be' in err
    with (folder / "out" / "answers.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["player"] for row in rows] == ["1", "2", "3"]
    assert list(rows[0]) == list(columns_of(wish(folder)))
    assert "Robin" not in (folder / "out" / "answers.csv").read_text(), "no name unless it is asked for"
    better, weaker = (float(row["strokes"]) for row in rows[:2])
    # A par 3 of 120 yd: near par at handicap 5, and a handicap of 20 needs more (common practice, no source).
    assert 2.9 < better < weaker < 4.5
    assert set(rows[0]["uses"].split("; ")[0].split("=")) & {"8 iron", "50° wedge"}
    assert rows[2]["failed"]
    first = (folder / "out" / "answers.csv").read_bytes()
    assert main(given) == 1
    assert json.loads(capsys.readouterr().out)["answered_before"] == 3
    assert (folder / "out" / "answers.csv").read_bytes() == first
    (folder / "card.csv").write_text(CARD.replace("120", "125"))
    assert main(given) == 2
    assert "begun with other inputs: the courses, tees, winds and weights" in capsys.readouterr().err


def test_the_best_bag_of_each_is_asked_for_and_counted(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Room for a putter and two of three clubs: a bag of two, never worse than today's two."""
    (folder / "clubs.toml").write_text("[player]\nclub_limit = 3\n" + CLUBS)
    (folder / "f.csv").write_text("handicap,driver_speed_mph\n5,100\n20,90\n")
    more = ["--course", str(folder / "card.csv"), "--clubs", str(folder / "clubs.toml"), "--processes", "1"]
    assert main(words(folder, *more, question="pick")) == 0
    answer = json.loads(capsys.readouterr().out)
    with (folder / "out" / "answers.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert list(rows[0]) == list(columns_of(wish(folder, "pick")))
    for row in rows:
        assert (
            row["offered"] == "37° iron; 50° wedge; 56° wedge"
            or row["offered"] == "8 iron; 50° wedge; 56° wedge"
        )
        assert row["slots"] == "2"
        assert len(row["clubs"].split("; ")) == 2
        assert row["optimal"] == "true"
        assert float(row["strokes"]) <= float(row["strokes_today"]) + 1e-6
    picked = {line["club"]: line["picked"] for line in answer["summary"]["clubs"]}
    assert sum(picked.values()) == pytest.approx(2.0), "two of three clubs in every bag"
    assert {path.name for path in (folder / "out").glob("*.svg")} == {"strokes.svg", "clubs.svg", "worth.svg"}


def wish(folder: Path, question: str = "strokes", names: bool = False) -> StudyWish:
    rounds = (RoundSpec(folder / "card.csv"),)
    return StudyWish(question, players_of(folder / "f.csv"), rounds, folder / "out", names=names)


def test_rounds_of_a_file_have_their_tees_winds_and_weights(folder: Path) -> None:
    rounds = load_rounds(folder / "rounds.toml")
    assert [(one.tees, one.wind, one.weight) for one in rounds] == [
        ("yellow", None, 3.0),
        (None, "10mph@head", 1.0),
    ]
    common = common_of(rounds)
    assert [one["tees"] for one in common["rounds"]] == ["yellow", "white"]
    assert len(common["files"]) == 1, "a course travels once"


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ([], "A study needs a course"),
        (["--course", "card.csv", "--tees", "blue"], 'no tee "blue" on hole 1'),
        (["--course", "card.csv", "--wind", "10mph"], "does not say where it comes from"),
        (["--course", "none.csv"], "is not there"),
        (["--rounds", "clubs.toml"], "club"),
        (["--course", "card.csv", "--clubs", "none.toml"], "There is no bag file"),
        (["--course", "card.csv", "--app"], "from PLAYERS, or from the app"),
        (["--course", "card.csv", "--account", "Kim"], "from PLAYERS, or from the app"),
        (["--course", "card.csv", "--scheduler", "tcp://127.0.0.1:1", "--processes", "2"], "not both"),
    ],
)
def test_what_cannot_be_used_is_said_before_anything_is_begun(
    folder: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    more: list[str],
    told: str,
) -> None:
    monkeypatch.chdir(folder)
    assert main(words(folder, *more)) == 2
    assert told in capsys.readouterr().err
    assert not (folder / "out" / "plan.json").exists()


def test_players_with_files_keep_their_own_clubs(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "players").mkdir()
    (folder / "players" / "bag.toml").write_text(CLUBS)
    given = [
        "study",
        "strokes",
        str(folder / "players"),
        "--course",
        str(folder / "card.csv"),
        "--out",
        str(folder / "out"),
    ]
    assert main([*given, "--clubs", str(folder / "clubs.toml")]) == 2
    assert "have their own clubs" in capsys.readouterr().err


def test_a_scheduler_that_is_none_is_the_machines_fault(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without the extra the message says what to install; with it, that nobody answers."""
    given = words(folder, "--course", str(folder / "card.csv"), "--scheduler", "tcp://127.0.0.1:9")
    assert main(given) == 3
    told = capsys.readouterr().err
    assert "extra [cluster]" in told or "No scheduler answers" in told


def test_every_column_and_question_stands_on_the_page_of_studies(folder: Path) -> None:
    page = (ROOT / "docs" / "study.md").read_text("utf-8")
    for question in QUESTIONS:
        for name in (question, *columns_of(wish(folder, question, names=True))):
            assert f"`{name}`" in page
    for name in COLUMNS:
        assert f"`{name}`" in page
    assert tuple(QUESTIONS) == ASKED


def test_progress_says_how_long_it_will_take() -> None:
    assert (
        progress(Counts(1000, 312, 12, 2), 600.0, "4 workers")
        == "312 of 1000, 2 failed, 4 workers; about 23 min left"
    )
    assert progress(Counts(10, 4, 4, 0), 1.0, "") == "4 of 10"
    assert [duration(s) for s in (40, 720, 12_000, 500_000)] == ["40 s", "12 min", "3 h 20 min", "6 days"]


def test_cells_of_the_table_are_no_formulas_and_missing_is_empty(tmp_path: Path) -> None:
    columns = {"a": "text", "b": "number", "c": "flag", "d": "whole"}
    rows = [{"a": "=1+1", "b": -1.5, "c": True, "d": 3}, {"a": None, "b": None}]
    path = write_csv(tmp_path / "t.csv", columns, rows)  # type: ignore[arg-type]
    assert path.read_text() == "a,b,c,d\n'=1+1,-1.5,true,3\n,,,\n"
    if has_parquet():
        import pyarrow.parquet as pq

        table = pq.read_table(write_parquet(tmp_path / "t.parquet", columns, rows))  # type: ignore[arg-type]
        assert table.to_pylist() == [rows[0], dict.fromkeys(columns)]
        assert sorted(p.name for p in tmp_path.iterdir()) == ["t.csv", "t.parquet"]
