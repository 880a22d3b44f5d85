"""`bagwright strokes`: one short hole worked out, printed and drawn; winds and files that cannot be used."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from bagwright.cli.main import main
from bagwright.errors import InputError
from bagwright.tasks.stroking import wind_from, wind_of

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


def test_a_report_with_a_course_needs_candidates(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shots = folder / "shots.csv"
    shots.write_text("Club,Carry (yd),Side (yd)\n8 iron,140,2 R\n8 iron,138,1 L\n8 iron,141,0\n")
    words = ["report", "--player", str(folder / "bag.toml"), "--shots", str(shots), "--out", str(folder)]
    assert main([*words, "--course", str(folder / "card.csv"), "--no-ask"]) == 2
    assert "candidates of a slot" in capsys.readouterr().err


def test_candidates_take_the_slot_in_turn(folder: Path) -> None:
    from bagwright.bag.file import load_bag
    from bagwright.dispersion.fit import fit_dispersion
    from bagwright.shots.record import ShotTable
    from bagwright.tasks.stroking import candidates_on

    bag = load_bag(folder / "bag.toml")
    fits = fit_dispersion(ShotTable.of([]), bag.player, bag)
    found = candidates_on(bag, fits, ["8 iron", "Spare driver"], folder / "card.csv", None)
    iron, driver = found.candidates
    assert (iron.name, driver.name) == ("8 iron", "Spare driver")
    # By hand: 130 yd is an 8 iron's length; a driver and a sand wedge have to go round it.
    assert iron.strokes < driver.strokes
    assert iron.used > 0.5
    assert min(iron.more, driver.more) == 0.0
