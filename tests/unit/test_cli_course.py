"""`bagwright course` as a user meets it: on the demo's map and card, and on maps that others drew."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path
from typing import Any

import pytest

from bagwright.cli import main
from bagwright.units import M_PER_YD

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "src" / "bagwright" / "demo"
MAP, CARD = DEMO / "wethermoor.geojson", DEMO / "lauensee-card.csv"
PUBLISHED = ROOT / "tests" / "published"


def run(capsys: pytest.CaptureFixture[str], *words: object) -> tuple[int, str, str]:
    code = main(["course", *map(str, words)])
    out = capsys.readouterr()
    return code, out.out, out.err


def as_json(capsys: pytest.CaptureFixture[str], *words: object) -> dict[str, Any]:
    code, out, err = run(capsys, *words, "--json")
    assert code == 0, err
    found = json.loads(out)
    assert isinstance(found, dict)
    return found


def test_the_demo_s_map(capsys: pytest.CaptureFixture[str]) -> None:
    got = as_json(capsys, MAP)
    assert (got["source"], got["tees"], got["questions"]) == ("map", ["white", "yellow", "red"], [])
    assert [hole["number"] for hole in got["holes"]] == list(range(1, 19))
    # Pars and stroke indices as bench/make_course.py draws them.
    assert [hole["par"] for hole in got["holes"]] == [4, 4, 3, 5, 4, 4, 3, 4, 4, 4, 5, 3, 4, 4, 4, 3, 4, 5]
    assert sorted(hole["stroke_index"] for hole in got["holes"]) == list(range(1, 19))
    first = got["holes"][0]
    assert [tee["name"] for tee in first["tees"]] == ["white", "yellow", "red"]
    # The tags give whole metres, measured before smoothing: 354, 332, 288.
    assert [tee["length_m"] for tee in first["tees"]] == pytest.approx([354, 332, 288], abs=1.5)
    assert {"fairway", "green", "sand"} <= set(first["lies"])


def test_the_demo_s_card(capsys: pytest.CaptureFixture[str]) -> None:
    got = as_json(capsys, CARD)
    assert got["source"] == "card"
    assert len(got["holes"]) == 18
    # The card's own sums: par 72, 6,156 m from white, 5,104 m from red.
    assert sum(hole["par"] for hole in got["holes"]) == 72
    for tee, total in (("white", 6156), ("yellow", 5792), ("red", 5104)):
        lengths = [t["length_m"] for hole in got["holes"] for t in hole["tees"] if t["name"] == tee]
        assert sum(lengths) == pytest.approx(total, abs=0.5)
    assert {q["hole"] for q in got["questions"]} == {0}, "every word of the demo's card is understood"


@pytest.mark.parametrize("name", ["hole.osm", "hole.geojson", "hole_overpass.json"])
def test_a_map_that_somebody_else_drew(capsys: pytest.CaptureFixture[str], name: str) -> None:
    """One hole of 400 yd, drawn with the documented tags only."""
    got = as_json(capsys, PUBLISHED / name)
    (hole,) = got["holes"]
    assert hole["tees"][0]["length_m"] == pytest.approx(400 * M_PER_YD, abs=0.003)
    assert (hole["par"], got["questions"]) == (4, [])


def test_what_a_person_reads(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, MAP, "--units", "metres")
    assert code == 0
    assert "Wethermoor (invented): 18 holes, from a map." in out
    assert re.search(r"^1 +4 +7 +35\d +33\d +28\d ", out, re.MULTILINE)
    assert "Nothing is open." in out
    code, out, _ = run(capsys, CARD, "--tees", "yellow")
    assert "from a scorecard, drawn as model holes" in out
    assert "read (by the name" in out
    assert '"1 words 1": "dogleg right at 215"' in out


def test_pictures_open_without_the_network(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    page = tmp_path / "holes.html"
    drawn = (PUBLISHED / "hole.osm").read_text(encoding="utf-8")
    map_file = tmp_path / "hole.osm"
    words = '<osm copyright="OpenStreetMap and contributors" '
    map_file.write_text(drawn.replace("<osm ", words, 1), encoding="utf-8")
    got = as_json(capsys, map_file, "--pictures", page)
    assert got["files"] == [str(page)]
    text = page.read_text(encoding="utf-8")
    assert "© OpenStreetMap contributors (ODbL)" in text
    folder = tmp_path / "pictures"
    got = as_json(capsys, CARD, "--tees", "red", "--pictures", folder)
    assert len(got["files"]) == 19
    for file in (page, folder / "holes.html", folder / "hole-07.svg"):
        text = file.read_text(encoding="utf-8")
        outside = set(re.findall(r"(?:https?:)?//[\w.]+", text)) - {"http://www.w3.org"}
        assert outside == set()
        assert "<script" not in text
    page_of_card = (folder / "holes.html").read_text(encoding="utf-8")
    assert page_of_card.count("how they were read") == 18
    assert '"forced carry 150": a red penalty area right across the hole from 90 m to 150 m' in page_of_card
    assert "red tee" in (folder / "hole-07.svg").read_text(encoding="utf-8")


def test_a_page_names_the_hole_of_a_question_once(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    card, page = tmp_path / "card.csv", tmp_path / "holes.html"
    card.write_text("hole,par,si,white (m)\n1,,1,350\n", encoding="utf-8")
    as_json(capsys, card, "--pictures", page)
    asked = re.findall(r"<li>([^<]*nobody says its par)", page.read_text(encoding="utf-8"))
    assert asked == ["Hole 1: nobody says its par"]


def test_answers_are_kept_beside_the_file(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    card = tmp_path / "card.csv"
    card.write_text("hole,par,si,white\n1,4,1,400\n", encoding="utf-8")
    before = as_json(capsys, card)
    assert "unit" in {q["key"] for q in before["questions"]}
    assert before["overlay"] is None
    got = as_json(capsys, card, "--answer", "unit=yd")
    kept = tmp_path / "card.overlay.toml"
    assert got["overlay"] == str(kept)
    assert 'unit = "yd"' in kept.read_text(encoding="utf-8")
    again = as_json(capsys, card)
    assert again["holes"][0]["tees"][0]["length_m"] == pytest.approx(400 * M_PER_YD)
    other = tmp_path / "other.toml"
    shutil.copy(kept, other)
    assert as_json(capsys, card, "--overlay", other)["overlay"] == str(other)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["nothing.geojson"], "is not there"),
        ([MAP, "--tees", "blue"], 'No hole has a tee "blue"'),
        ([MAP, "--course", "Other"], 'holds no course "Other"'),
        ([MAP, "--pictures", "holes.png"], "no page and no folder"),
        ([MAP, "--answer", "par"], 'has no "="'),
        ([MAP, "--answer", "7 par=9"], "cannot be used"),
        ([MAP, "--overlay", "none.toml"], "is not there"),
        ([CARD, "--heights", MAP], "no place"),
    ],
)
def test_bad_input_is_said(
    capsys: pytest.CaptureFixture[str], words: list[object], told: str, tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    code, out, err = run(capsys, *words)
    assert (code, out) == (2, "")
    assert told in err
    assert list(tmp_path.iterdir()) == []


def test_the_page_s_example_of_corrections_and_of_a_card_can_be_used() -> None:
    """docs/courses.md: what it shows as files is read by the program."""
    from bagwright.course.load import load_course
    from bagwright.course.overlay import parse_overlay

    text = (ROOT / "docs" / "courses.md").read_text(encoding="utf-8")
    card, overlay = re.findall(r"^```\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)
    assert load_course(card.encode()).name == "Our course"
    assert 7 in parse_overlay(overlay).holes


def documented_words() -> list[str]:
    text = (ROOT / "docs" / "courses.md").read_text(encoding="utf-8")
    section = text[text.index("### Words of a hole") : text.index("## Corrections")]
    rows = [line.split("|")[1] for line in section.splitlines() if line.startswith("| `")]
    return [words for row in rows for words in re.findall(r"`([^`]+)`", row)]


@pytest.mark.parametrize("words", documented_words())
def test_documented_words_are_understood(words: str) -> None:
    from bagwright.course.load import load_course

    course = load_course(f'hole,par,si,white m,words\n1,4,1,420,"{words}"\n'.encode(), name="card.csv")
    assert [q.words for q in course.questions if q.hole == 1] == []
