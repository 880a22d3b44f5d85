"""fly and infer as a user meets them: numbers against published ones, JSON keys, tables, and clear errors."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from bagwright.cli import main
from bagwright.shots.read import read_shots

FLY_KEYS = (
    *("carry_m", "total_m", "apex_m", "time_s", "descent_deg", "landing_speed_mps", "landing_spin_rpm"),
    *("offline_m", "run_m", "air_density"),
)
DRIVE = ("fly", "--ball-speed", "176mph", "--launch", "10deg", "--spin", "2520rpm")
IRON = ("fly", "--ball-speed", "53m/s", "--launch", "17deg", "--spin", "6500rpm", "--density", "1.2kg/m3")


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = main(list(words))
    out = capsys.readouterr()
    return code, out.out, out.err


def as_json(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    code, out, err = run(capsys, *words, "--json")
    assert code == 0, err
    found = json.loads(out)
    assert isinstance(found, dict)
    return found


def test_fly_gives_the_documented_keys_and_the_checked_numbers(capsys: pytest.CaptureFixture[str]) -> None:
    got = as_json(capsys, *IRON)
    assert set(FLY_KEYS) <= set(got)
    # Reference flight of the law at density 1.2 (computed independently for this project): 149.52 m, 28.28 m.
    assert abs(got["carry_m"] - 149.52) < 0.02
    assert abs(got["apex_m"] - 28.28) < 0.02
    assert abs(got["total_m"] - got["carry_m"] - got["run_m"]) < 1e-6
    for name, span in got["ranges"].items():
        assert span["low"] < span["high"], name
        assert span["low"] <= got[name] <= span["high"], name
    assert 0.0 <= got["holds_green"] <= 1.0


def test_a_wind_comes_from_where_it_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    carry = {
        where: as_json(capsys, *IRON, "--wind", f"10mph@{where}")
        for where in ("head", "tail", "right", "left", "0deg", "180", "90°", "270deg")
    }
    assert carry["head"]["carry_m"] < carry["right"]["carry_m"] < carry["tail"]["carry_m"]
    assert carry["right"]["offline_m"] < 0.0 < carry["left"]["offline_m"]
    for word, angle in (("head", "0deg"), ("tail", "180"), ("right", "90°"), ("left", "270deg")):
        assert carry[word]["carry_m"] == carry[angle]["carry_m"]
        assert abs(carry[word]["offline_m"] - carry[angle]["offline_m"]) < 1e-9


def test_a_curve_to_the_right_lands_right(capsys: pytest.CaptureFixture[str]) -> None:
    right, left = (as_json(capsys, *IRON, "--axis", axis) for axis in ("5deg", "-5deg"))
    assert right["offline_m"] > 0.0
    assert abs(right["offline_m"] + left["offline_m"]) < 1e-6


def test_text_names_the_air_the_law_and_the_doubt(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, *DRIVE)
    assert code == 0
    assert "standard: nothing was said" in out
    assert "90 % range" in out
    assert "D1" in out
    code, out, _ = run(capsys, *DRIVE, "--temperature", "5C", "--units", "metres", "--wind", "8mph@45deg")
    assert code == 0
    assert "5 °C" in out
    assert "45°" in out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("fly",), "--ball-speed"),
        (("fly", "--ball-speed", "176mph", "--launch", "10deg"), "--spin"),
        ((*DRIVE, "--out", "x.csv"), "--in"),
        ((*DRIVE, "--temperature", "50"), "no unit"),
        ((*DRIVE, "--temperature", "900F"), "temperature"),
        ((*DRIVE, "--altitude", "5280ft", "--pressure", "1013hPa"), "ltitude"),
        ((*DRIVE, "--wind", "10mph"), "comes from"),
        ((*DRIVE, "--wind", "10yd@0deg"), "unit of speed"),
        ((*DRIVE, "--wind", "900mph@0deg"), "wind"),
        ((*DRIVE, "--wind-height", "2 m"), "--wind"),
        ((*DRIVE, "--humidity", "150%"), "0 to 100"),
        ((*DRIVE, "--green-speed", "10 ft", "--on", "rough"), "green"),
        (("fly", "--ball-speed", "9999mph", "--launch", "10deg", "--spin", "2520rpm"), "--ball-speed"),
        (("fly", "--ball-speed", "nan", "--launch", "10deg", "--spin", "2520rpm"), "--ball-speed"),
        ((*DRIVE, "--in", "x.csv"), "beside a table"),
        (("infer",), "nothing was seen"),
        (("infer", "--carry", "165"), "--carry"),
        (("infer", "--carry", "-5 yd"), "--carry"),
    ],
)
def test_bad_words_are_named_with_the_next_step(
    capsys: pytest.CaptureFixture[str], words: tuple[str, ...], told: str
) -> None:
    code, out, err = run(capsys, *words)
    assert code == 2
    assert out == ""
    assert told in err
    assert len(err.strip().splitlines()) >= 2, "the next step is missing"


@pytest.fixture
def launches(tmp_path: Path) -> Path:
    path = tmp_path / "launches.csv"
    path.write_text(
        "Ball speed (mph),Launch (deg),Spin (rpm),Spin axis (deg; right +)\n"
        "118.6,17,6500,0\n118.6,17,6500,5\n118.6,,6500,0\n118.6,17,15000,0\n30,80,400,\n",
        encoding="utf-8",
    )
    return path


def test_a_table_of_launches_is_flown_and_accounted_for(
    capsys: pytest.CaptureFixture[str], launches: Path, tmp_path: Path
) -> None:
    out = tmp_path / "flights.csv"
    answer = ("--answer", "positive side=right is positive")
    got = as_json(capsys, "fly", "--in", str(launches), "--out", str(out), *answer)
    assert got["flown"] + sum(got["not_flown"].values()) == len(got["flights"]) == 5
    assert got["not_flown"] == {"no launch angle (row 4)": 1}
    assert got["flights"][2]["carry_m"] is None
    one = as_json(capsys, "fly", "--ball-speed", "118.6mph", "--launch", "17deg", "--spin", "6500rpm")
    assert abs(got["flights"][0]["carry_m"] - one["carry_m"]) < 1e-3
    assert got["flights"][1]["offline_m"] > 0.0
    lines = out.read_text(encoding="utf-8").splitlines()
    assert len(lines) == 6
    assert "flown_carry_yd" in lines[0]
    assert read_shots(out).accepted == 5


def test_a_table_without_launches_is_refused(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "carries.csv"
    path.write_text("Club,Carry (yd)\n7 iron,150\n", encoding="utf-8")
    code, _, err = run(capsys, "fly", "--in", str(path))
    assert code == 2
    assert "no ball speed" in err
    assert "Ball speed (mph)" in err


def test_infer_says_what_is_open(capsys: pytest.CaptureFixture[str]) -> None:
    got = as_json(capsys, "infer", "--carry", "165yd", "--apex", "88ft", "--club", "iron", "--loft", "31")
    for name in ("ball_speed_mps", "launch_deg", "spin_rpm", "descent_deg", "total_m"):
        assert got[name]["low"] < got[name]["value"] < got[name]["high"], name
    assert "direction_rad" in got["open"]
    assert not got["contradicts"]
    wrong = as_json(capsys, "infer", "--carry", "250yd", "--apex", "3ft", "--ball-speed", "90mph")
    assert wrong["contradicts"]
    code, out, _ = run(capsys, "infer", "--carry", "250yd", "--apex", "3ft", "--ball-speed", "90mph")
    assert code == 0
    assert "contradict" in out


def test_a_table_of_carries_is_explained(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    table, out = tmp_path / "carries.csv", tmp_path / "launches.csv"
    table.write_text(
        "Club,Carry (yd),Height (ft),Ball speed (mph)\n"
        "7 iron,165,88,\n7 iron,>160,,\nDriver,250,3,90\n7 iron,,,300\n",
        encoding="utf-8",
    )
    got = as_json(capsys, "infer", "--in", str(table), "--out", str(out), "--no-ask")
    assert got["shots"] == 4
    assert got["nothing_seen"] == 2
    assert got["contradicting"] == 1
    assert sum(got["left_aside"].values()) >= 1
    one = as_json(capsys, "infer", "--carry", "165yd", "--apex", "88ft", "--club", "iron")
    for key in ("ball_speed_mps", "launch_deg", "spin_rpm"):
        span = got["launches"][0][key]
        assert span["low"] < span["value"] < span["high"]
        assert abs(span["value"] / one[key]["value"] - 1.0) < 0.02, key
    lines = out.read_text(encoding="utf-8").splitlines()
    assert len(lines) == 5
    assert "inferred_spin_low_rpm" in lines[0]
    code, text, _ = run(capsys, "infer", "--in", str(table), "--no-ask")
    assert code == 0
    assert "contradict" in text
    code, _, err = run(capsys, "infer", "--in", str(table), "--carry", "165yd")
    assert code == 2
    assert "beside a table" in err


def test_a_flight_is_drawn(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    for name, start in (("a.svg", b"<svg"), ("a.png", b"\x89PNG")):
        code, _, err = run(capsys, *DRIVE, "--picture", str(tmp_path / name))
        assert code == 0, err
        assert (tmp_path / name).read_bytes().startswith(start)
    code, _, err = run(capsys, *DRIVE, "--picture", str(tmp_path / "a.gif"))
    assert code == 2
    assert ".svg" in err
    assert not (tmp_path / "a.gif").exists()


def test_nothing_is_written_over_the_table_that_was_read(
    capsys: pytest.CaptureFixture[str], launches: Path
) -> None:
    before = launches.read_bytes()
    for command in (("fly", "--in"), ("infer", "--in"), ("read",)):
        code, _, err = run(capsys, *command, str(launches), "--out", str(launches), "--no-ask")
        assert code == 2, command
        assert "stays as it is" in err
    assert launches.read_bytes() == before
    code, _, err = run(
        capsys, "fly", "--in", str(launches), "--out", str(launches.with_suffix(".xlsx")), "--no-ask"
    )
    assert code == 2
    assert ".csv" in err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--temperature", "300C"), '--temperature "300C"'),
        (("--wind", "90mph@head"), '--wind "90mph@head"'),
        (("--wind", "10mph@banana"), "head, tail, left or right"),
        (("--altitude", "5000"), "5280 ft"),
        (("--spin", "6.500rpm"), "two ways"),
        (("--launch", "91deg"), '--launch "91deg"'),
    ],
)
def test_errors_speak_of_what_was_typed(
    capsys: pytest.CaptureFixture[str], words: tuple[str, ...], told: str
) -> None:
    code, _, err = run(capsys, *DRIVE, *words)
    assert code == 2
    assert told in err
    assert "_mps" not in err
    assert "_rad" not in err


def test_a_flat_landing_gives_no_run(capsys: pytest.CaptureFixture[str]) -> None:
    got = as_json(capsys, "fly", "--ball-speed", "160mph", "--launch", "1deg", "--spin", "100rpm")
    assert got["run_m"] is None
    assert got["total_m"] is None
    assert any("flat" in words for words in got["extrapolated"])
