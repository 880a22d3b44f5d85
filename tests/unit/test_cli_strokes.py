"""`bagwright strokes`: one short hole worked out, printed and drawn; winds and files that cannot be used."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import pytest

from bagwright.cli.main import main
from bagwright.cli.progress import Parts, about
from bagwright.errors import InputError
from bagwright.report.strokes.air import air_words
from bagwright.report.strokes.compare import CandidateOn, HoleOn, OnCourse, sentence
from bagwright.tasks import CourseSource, RoundWish, candidates_on
from bagwright.tasks.stroking import wind_from, wind_of
from bagwright.units import System

CARD = "hole,par,stroke index,white (yd),words\n1,3,1,130,bunkers short\n"
BAG = """
[player]
name = "Robin Example"
hand = "right"
handicap = 14

[[club]]
name = "8 iron"
kind = "iron"
stamped_loft_deg = 35

[[club]]
name = "Sand wedge"
kind = "wedge"
stamped_loft_deg = 55

[[club]]
name = "Spare driver"
kind = "driver"
status = "candidate"
stamped_loft_deg = 10.5
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "bag.toml").write_text(BAG)
    (tmp_path / "card.csv").write_text(CARD)
    return tmp_path


def test_one_hole_as_json_sheet_and_picture(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["strokes", str(folder / "card.csv"), "--bag", str(folder / "bag.toml"), "--json"]
    more = [
        "--sheet",
        str(folder / "sheet.pdf"),
        "--pictures",
        str(folder / "holes.html"),
        "--date",
        "2026-05-09",
    ]
    assert main([*words, *more]) == 0
    answer = json.loads(capsys.readouterr().out)
    (hole,) = answer["holes"]
    assert answer["strokes"] == hole["strokes"]
    # A 14 handicap on a par 3 of 130 yd: over par, less than two over (common practice, no source).
    assert 3.0 < hole["strokes"] < 5.0
    assert hole["tee_shot"].startswith(("8 iron", "Sand wedge"))
    assert set(answer["clubs"]) <= {"8 iron", "Sand wedge"}, "a candidate is not carried"
    assert answer["wind_from_deg"] is None
    assert (folder / "sheet.pdf").read_bytes().startswith(b"%PDF")
    page = (folder / "holes.html").read_text()
    assert "strokes to hole out" in page
    assert f"{hole['strokes']:.2f} strokes expected from this tee." in page
    assert "The way that is chosen, each shot as it is meant: 8 iron" in page
    assert "<script" not in page


def test_an_unknown_tee_is_answered_with_those_that_are_there(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "card.csv").write_text("hole,par,white (yd),red (yd),gold (yd)\n1,3,130,110,\n2,3,130,110,90\n")
    assert (
        main(["strokes", str(folder / "card.csv"), "--bag", str(folder / "bag.toml"), "--tees", "blue"]) == 2
    )
    told = capsys.readouterr().err
    assert 'No tee "blue" on hole 1, 2.' in told
    assert "Tees of the course: white, red. Choose one" in told


@pytest.mark.parametrize(
    ("word", "source", "degrees"),
    [
        ("sw", "map", 225.0),
        ("240", "map", 240.0),
        ("N", "map", 0.0),
        ("head", "card", 0.0),
        ("right", "card", 90.0),
    ],
)
def test_where_a_wind_comes_from(word: str, source: str, degrees: float) -> None:
    assert math.degrees(wind_from(word, source)) == pytest.approx(degrees)


@pytest.mark.parametrize(
    "text", ["10mph", "@sw", "0mph@sw", "90mph@sw", "10mph@head", "10mph@400", "10mph@nan"]
)
def test_a_wind_that_cannot_be_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        wind_of(text, "map")


def test_what_cannot_be_used_is_said(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    course, bag = str(folder / "card.csv"), ["--bag", str(folder / "bag.toml")]
    for words in (
        [course],
        [course, *bag, "--tees", "gold"],
        [course, *bag, "--wind", "10mph@sw"],
        ["none.csv", *bag],
    ):
        assert main(["strokes", *words]) == 2
        assert capsys.readouterr().err.strip()


def test_a_report_with_a_course_and_no_slot_is_about_the_bag(folder: Path) -> None:
    shots = folder / "shots.csv"
    shots.write_text("Club,Carry (yd),Side (yd)\n8 iron,140,2 R\n8 iron,138,1 L\n8 iron,141,0\n")
    words = ["report", "--player", str(folder / "bag.toml"), "--shots", str(shots), "--out", str(folder)]
    assert main([*words, "--course", str(folder / "card.csv"), "--no-ask"]) == 0
    assert (folder / "report.pdf").read_bytes().startswith(b"%PDF")


def test_a_tee_or_a_wind_without_a_course_is_refused(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for command, bag in (("trial", "--bag"), ("report", "--player")):
        for option, value in (("--wind", "10mph@sw"), ("--tees", "white")):
            words = [command, "--slot", "8 iron,Spare driver", bag, str(folder / "bag.toml"), option, value]
            assert main(words) == 2
            assert f"{option} says how a course is played" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("text", "source", "system", "words"),
    [
        # 10 mph are 16.09344 km/h exactly (1 mi = 1609.344 m).
        ("10mph@sw", "map", "yards", "10 mph from the south-west"),
        ("10mph@225", "map", "metres", "16 km/h from the south-west"),
        ("10mph@240", "map", "yards", "10 mph from 240°"),
        ("10mph@360", "map", "yards", "10 mph from the north"),
        ("4m/s@tail", "card", "metres", "14 km/h with, on every hole"),
        (None, "map", "yards", "calm"),
    ],
)
def test_a_wind_is_said_as_a_player_says_it(
    text: str | None, source: str, system: System, words: str
) -> None:
    assert air_words(wind_of(text, source), source, system) == words


def test_a_trial_s_candidates_on_a_course_follow_its_verdict(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    candidate = CandidateOn("8 iron", 3.5, 0.7, 0.01, 1.0, 0.0, True)
    made = OnCourse("Short", "white", "calm", (candidate, replace(candidate, name="Spare driver", more=0.4)),
                    (HoleOn(1, 3, 118.9, (3.5, 3.9), (1.0, 0.2), (True, True)),))  # fmt: skip
    asked = []

    def worked(bag: object, fits: object, names: list[str], wish: RoundWish, *more: object) -> OnCourse:
        asked.append((names, wish))
        return made

    monkeypatch.setattr("bagwright.tasks.candidates_on", worked)
    shots = folder / "shots.csv"
    rows = [f"{club},{carry},{side}\n" for club in ("8 iron", "Spare driver") for carry, side in
            ((140, "2 R"), (138, "1 L"), (141, "0"), (139, "3 R"), (142, "2 L"))]  # fmt: skip
    shots.write_text("Club,Carry (yd),Side (yd)\n" + "".join(rows))
    words = ["trial", str(shots), "--slot", "8 iron,Spare driver", "--bag", str(folder / "bag.toml"),
             "--no-ask", "--course", str(folder / "card.csv"), "--wind", "10mph@head"]  # fmt: skip
    assert main(words) == 0
    told = capsys.readouterr().out
    assert told.index("More balls") < told.index("On the course")
    assert "up to 0.40 more" in told
    assert "Rule 4.3a" in told
    assert [wish.wind for _names, wish in asked] == ["10mph@head"]
    assert set(asked[0][0]) == {"8 iron", "Spare driver"}
    assert main([*words, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["sentence"]
    assert [one["more"] for one in answer["on_course"]["candidates"]] == [0.0, 0.4]


def test_progress_says_parts_and_about_how_long_and_nothing_off_a_terminal(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    with Parts(False, "holes") as progress:
        progress(1, 18)
    assert capsys.readouterr().err == "", "no terminal"
    now = iter([100.0, 120.0, 120.0, 300.0, 300.0])
    monkeypatch.setattr("time.monotonic", lambda: next(now))
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    with Parts(False, "holes") as progress:
        progress(2, 18)
        progress(18, 18)
    told = capsys.readouterr().err
    # By hand: two holes in 20 s, so 16 more in 160 s.
    assert "2 of 18 holes, about 3 min left" in told
    assert "18 of 18 holes " in told
    assert told.endswith("\r")
    with Parts(True, "holes") as progress:
        progress(1, 18)
    assert capsys.readouterr().err == "", "with --json"


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(4.0, "a few seconds"), (38.0, "about 40 s"), (88.0, "about 90 s"), (200.0, "about 3 min")],
)
def test_a_time_to_come_is_said_no_finer_than_it_is_known(seconds: float, words: str) -> None:
    assert about(seconds) == words


def test_candidates_take_the_slot_in_turn(folder: Path) -> None:
    from bagwright.bag.file import load_bag
    from bagwright.dispersion.fit import fit_dispersion
    from bagwright.shots.record import ShotTable

    bag = load_bag(folder / "bag.toml")
    fits = fit_dispersion(ShotTable.of([]), bag.player, bag)
    wish, told = RoundWish(CourseSource(folder / "card.csv"), None, "10mph@head"), []
    names = ["8 iron", "Spare driver"]
    found = candidates_on(bag, fits, names, wish, "yards", lambda done, of: told.append((done, of)))
    assert told == [(1, 2), (2, 2)], "one hole for each of two candidates"
    assert found.air == "10 mph against, on every hole"
    assert "10 mph against, on every hole" in sentence(found)
    with pytest.raises(InputError, match="not all in it"):
        candidates_on(bag, fits, ["8 iron", "Nobody's club"], wish, "yards")
    iron, driver = found.candidates
    assert (iron.name, driver.name) == ("8 iron", "Spare driver")
    # By hand: 130 yd is an 8 iron's length; a driver and a sand wedge have to go round it.
    assert iron.strokes < driver.strokes
    assert iron.used > 0.5
    assert min(iron.more, driver.more) == 0.0
