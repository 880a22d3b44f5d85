"""The command line as a user meets it: every command on the demo's files, exit codes, errors, JSON keys."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from bagwright.cli import main
from bagwright.cli.options import make_source
from bagwright.demo import SLOT as DEMO_SLOT
from bagwright.demo import copy_demo
from bagwright.tasks import load_bag_of

RATINGS = """["50 cavity"]
look = 4
feel = 5
["51 blade"]
look = 3
feel = 3
["Gap wedge"]
look = 3
feel = 3
"""
NOTHING_SAID = {"hand": None, "handicap": None, "driver_speed": None, "sex": None, "age": None}
VERDICT_KEYS = (
    *("choice", "probability", "words", "gain_over_present", "strike", "flight", "dispersion", "place"),
    *("next_balls", "shots_used", "shots_left_out", "cautions"),
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("demo")
    copy_demo(out)
    return out


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = main(list(words))
    out = capsys.readouterr()
    return code, out.out, out.err


def as_json(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, object]:
    code, out, err = run(capsys, *words, "--json")
    assert code == 0, err
    found = json.loads(out)
    assert isinstance(found, dict)
    return found


def test_read_accounts_for_every_row(capsys: pytest.CaptureFixture[str], folder: Path) -> None:
    got = as_json(capsys, "read", str(folder / "visit-2-by-hand.csv"), "--bag", str(folder / "bag.toml"))
    rejected, left_out = got["rejected"], got["left_out"]
    assert isinstance(rejected, list)
    assert isinstance(left_out, list)
    # 15 shots typed by hand, one blank row, one row of headings again, one average row.
    assert got["accepted"] == 15
    assert len(left_out) == 3
    assert got["rows_read"] == 15 + len(rejected) + len(left_out) == 18


def test_read_twice_adds_nothing(capsys: pytest.CaptureFixture[str], folder: Path) -> None:
    name = str(folder / "visit-1-whole-bag.csv")
    got = as_json(capsys, "read", name, name)
    assert got["accepted"] == 77


def test_trial_gives_the_keys_that_stay(capsys: pytest.CaptureFixture[str], folder: Path) -> None:
    got = as_json(capsys, "trial", "--slot", DEMO_SLOT, "--bag", str(folder / "bag.toml"))
    assert set(VERDICT_KEYS) <= set(got)
    # The scenario's present wedge flies 7 yd past the spot; the other two were made for it.
    assert got["choice"] in ("50 cavity", "51 blade")
    gain = got["gain_over_present"]
    assert isinstance(gain, dict)
    assert gain["low"] <= gain["value"] <= gain["high"]
    assert gain["value"] > 0


def test_trial_names_the_suspected_bad_read(capsys: pytest.CaptureFixture[str], folder: Path) -> None:
    got = as_json(capsys, "trial", "--slot", DEMO_SLOT, "--bag", str(folder / "bag.toml"))
    cautions = got["cautions"]
    assert isinstance(cautions, list)
    assert any("looks like a bad read" in c and "visit-2-wedges.csv row 40" in c for c in cautions)


def test_ratings_and_weights_are_shown(
    capsys: pytest.CaptureFixture[str], folder: Path, tmp_path: Path
) -> None:
    (tmp_path / "ratings.toml").write_text(RATINGS, encoding="utf-8")
    words = ["trial", "--slot", DEMO_SLOT, "--bag", str(folder / "bag.toml")]
    words += ["--ratings", str(tmp_path / "ratings.toml"), "--weight", "rating=2"]
    code, out, _ = run(capsys, *words)
    assert code == 0
    assert "Weight on rating: 2.0 yd" in out


def test_metres_everywhere(capsys: pytest.CaptureFixture[str], folder: Path) -> None:
    bag = str(folder / "bag.toml")
    _, yards, _ = run(capsys, "trial", "--slot", DEMO_SLOT, "--bag", bag)
    _, metres, _ = run(capsys, "trial", "--slot", DEMO_SLOT, "--bag", bag, "--units", "metres")
    assert " yd" in yards
    assert " yd" not in metres


def test_distances_list_every_hit_club(capsys: pytest.CaptureFixture[str], folder: Path) -> None:
    code, out, _ = run(capsys, "distances", "--bag", str(folder / "bag.toml"))
    assert code == 0
    for club in ("Driver", "5 iron", "Pitching wedge", "58 wedge"):
        assert club in out
    assert "Gap wedge to 54 wedge" in out


def test_brief_with_and_without_shots(
    capsys: pytest.CaptureFixture[str], folder: Path, tmp_path: Path
) -> None:
    got = as_json(capsys, "brief", "--slot", "Gap wedge", "--bag", str(folder / "bag.toml"))
    low, high, spot = got["carry_low_m"], got["carry_high_m"], got["spot_m"]
    assert isinstance(low, float)
    assert isinstance(high, float)
    assert isinstance(spot, float)
    assert low < spot < high
    bare = (folder / "bag.toml").read_text(encoding="utf-8").split("\n", 2)[2]
    (tmp_path / "bag.toml").write_text(bare, encoding="utf-8")
    assert as_json(capsys, "brief", "--slot", "Gap wedge", "--bag", str(tmp_path / "bag.toml"))["candidates"]


def test_plan_is_fair_and_warms_up(capsys: pytest.CaptureFixture[str]) -> None:
    got = as_json(capsys, "plan", "--slot", "50 wedge,52 wedge", "--balls", "24", "--minutes", "60")
    order = got["order"]
    assert isinstance(order, list)
    assert [ball["warm_up"] for ball in order[:10]] == [True] * 10
    counted = [ball["club"] for ball in order if not ball["warm_up"]]
    assert counted.count("50 wedge") == counted.count("52 wedge")


def test_check_says_no_with_exit_code_one(
    capsys: pytest.CaptureFixture[str], folder: Path, tmp_path: Path
) -> None:
    code, out, _ = run(capsys, "check", str(folder / "bag.toml"))
    assert code == 0, out
    text = (
        (folder / "bag.toml")
        .read_text(encoding="utf-8")
        .replace('status = "candidate"', 'status = "carried"')
    )
    (tmp_path / "bag.toml").write_text(text, encoding="utf-8")
    code, out, _ = run(capsys, "check", str(tmp_path / "bag.toml"))
    assert code == 1
    assert "14" in out


@pytest.mark.parametrize("kind", ["report", "yardages", "build"])
def test_papers(capsys: pytest.CaptureFixture[str], folder: Path, tmp_path: Path, kind: str) -> None:
    words = [kind, "--player", str(folder / "bag.toml"), "--slot", DEMO_SLOT]
    got = as_json(capsys, *words, "--out", str(tmp_path), "--date", "2026-05-09", "--paper", "letter")
    assert got["files"] == [str(tmp_path / f"{kind}.pdf")]
    assert (tmp_path / f"{kind}.pdf").read_bytes()[:5] == b"%PDF-"


def test_demo(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    got = as_json(capsys, "demo", "--no-pick", "--out", str(tmp_path / "d"))
    assert {"verdict", "distances", "pick", "files"} <= set(got)
    assert got["pick"] is None, "it was left out"
    files = got["files"]
    assert isinstance(files, list)
    assert all(Path(name).exists() for name in files)


def test_new_folder_can_be_checked_and_is_never_replaced(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert run(capsys, "new", str(tmp_path / "mine"))[0] == 0
    assert run(capsys, "check", str(tmp_path / "mine" / "bag.toml"))[0] == 0
    code, _, err = run(capsys, "new", str(tmp_path / "mine"))
    assert code == 2
    assert "is there already" in err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["read", "nowhere.csv"], "nowhere.csv"),
        (["trial", "--slot", "A,B"], "No shot table was named"),
        (["trial", "x.csv", "--slot", "A,B", "--spot", "far"], "--spot"),
        (["trial", "x.csv", "--slot", "A,B", "--weight", "luck=2"], "weighs nothing known"),
        (["trial", "x.csv", "--slot", "A,B", "--driver-speed", "900 mph"], "not a driver head speed"),
        (["read", "x.csv", "--answer", "unit"], 'has no "="'),
        (["plan"], "No slot was named"),
        (["check", "nowhere.toml"], "nowhere.toml"),
    ],
)
def test_bad_input_says_what_and_what_next(
    capsys: pytest.CaptureFixture[str], words: list[str], said: str
) -> None:
    code, out, err = run(capsys, *words)
    assert code == 2
    assert out == ""
    assert said in err


def test_an_unknown_candidate_names_its_neighbours(capsys: pytest.CaptureFixture[str], folder: Path) -> None:
    code, _, err = run(capsys, "trial", "--slot", "50 cavty,51 blade", "--bag", str(folder / "bag.toml"))
    assert code == 2
    assert "50 cavity" in err


BALLS = """Club,Ball,Carry (yd),Side (yd)
7 iron,hard,151,3 R
7 iron,soft,149,2 L
7 iron,soft,146,5 R
7 iron,hard,153,1 L
7 iron,hard,150,4 R
7 iron,soft,147,6 L
7 iron,soft,148,0
7 iron,hard,154,2 R
"""


def test_balls_can_be_the_candidates(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    (tmp_path / "balls.csv").write_text(BALLS, encoding="utf-8")
    words = ["trial", str(tmp_path / "balls.csv"), "--slot", "7 iron", "--compare", "ball", "--by", "carry"]
    got = as_json(capsys, *words, "--handicap", "8")
    assert got["choice"] == "7 iron with hard"


def test_a_very_tight_player_still_gets_an_answer(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Spreads under what the model reaches are shown too wide, and said to be; nothing failed."""
    carries = {
        "Blue club": (100, 101, 99, 100, 101, 100, 99, 101),
        "Red club": (95, 96, 94, 95, 96, 95, 94, 96),
    }
    rows = [f"{club},{carry},{i % 2} R" for club, own in carries.items() for i, carry in enumerate(own)]
    (tmp_path / "tight.csv").write_text("Club,Carry (yd),Side (yd)\n" + "\n".join(rows), encoding="utf-8")
    words = ["trial", str(tmp_path / "tight.csv"), "--slot", "Blue club,Red club", "--handicap", "20"]
    got = as_json(capsys, *words, "--by", "carry")
    assert got["choice"] == "Blue club"
    cautions = got["cautions"]
    assert isinstance(cautions, list)
    assert not any("arithmetic failed" in caution for caution in cautions)


def test_one_named_club_is_ordered_without_a_verdict(
    capsys: pytest.CaptureFixture[str], folder: Path, tmp_path: Path
) -> None:
    words = ["build", "--player", str(folder / "bag.toml"), "--slot", "51 blade", "--out", str(tmp_path)]
    assert as_json(capsys, *words)["files"] == [str(tmp_path / "build.pdf")]


def test_a_ball_left_out_is_not_called_counted(
    capsys: pytest.CaptureFixture[str], folder: Path, tmp_path: Path
) -> None:
    (tmp_path / "far.csv").write_text("Club,Carry (yd),Side (yd)\n50 cavity,1310,2 R\n", encoding="utf-8")
    words = ["trial", str(tmp_path / "far.csv"), "--slot", DEMO_SLOT, "--bag", str(folder / "bag.toml")]
    cautions = as_json(capsys, *words)["cautions"]
    assert isinstance(cautions, list)
    assert not any("far.csv" in caution and "Counted" in caution for caution in cautions)


def test_what_is_said_of_the_player_takes_the_place_of_the_file(folder: Path) -> None:
    """The demo's player is left-handed with a handicap of 14."""
    source = make_source(
        (), folder / "bag.toml", None, (), {**NOTHING_SAID, "hand": "right", "handicap": 3.0}
    )
    bag = load_bag_of(source)
    assert bag is not None
    assert (bag.player.hand, bag.player.handicap, bag.player.age) == ("right", 3.0, 52)
    assert load_bag_of(make_source((), None, None, (), NOTHING_SAID)) is None


def test_read_suggests_marks_with_their_probability(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    carries = [150, 152, 149, 151, 150, 148, 152, 151, 149, 105]
    rows = "".join(f"7 iron,{carry},{i % 3} R\n" for i, carry in enumerate(carries))
    (tmp_path / "visit.csv").write_text("Club,Carry (yd),Side (yd)\n" + rows, encoding="utf-8")
    flagged = as_json(capsys, "read", str(tmp_path / "visit.csv"))["flagged"]
    assert isinstance(flagged, list)
    (short,) = flagged
    assert short["row"] == 11
    assert short["mark"]["kind"] == "mishit"
    assert short["mark"]["author"] == "model"
    assert short["mark"]["probability"] > 0.9
