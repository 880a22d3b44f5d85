"""Report, yardage card and build sheet: same bytes, right numbers, nothing lost, whatever the names are."""

from __future__ import annotations

import datetime
import hashlib
import os
import re
import struct
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from bagwright.bag.measured import as_built
from bagwright.errors import InputError, MachineError
from bagwright.report import typeset
from bagwright.report.build import TOLERANCES, build_data, write_build_sheet
from bagwright.report.model import BuildClub, BuildField, PlayerLine, ReportInput, SideLine, VisitLine
from bagwright.report.pdf import report_data, write_report
from bagwright.report.short import short_name
from bagwright.report.tables import side_table
from bagwright.report.typeset import TEMPLATES, day_of, spelled, typeset_pages
from bagwright.report.yardage import card_data, write_yardages
from tests.unit.report import sample

DAY = datetime.date(2026, 5, 9)
NB = "\u00a0"
Writer = Callable[..., Path]
WRITERS: tuple[Writer, ...] = (write_report, write_yardages, write_build_sheet)


def _plain(value: Any) -> str:
    """All strings of a paper's data in one text with plain spaces."""
    if isinstance(value, dict):
        return " | ".join(_plain(item) for key, item in value.items() if key != "svg")
    if isinstance(value, list):
        return " | ".join(_plain(item) for item in value)
    return str(value).replace(NB, " ")


def _size(png: bytes) -> tuple[int, int]:
    width, height = struct.unpack(">II", png[16:24])
    return width, height


@pytest.mark.parametrize("write", WRITERS)
def test_a_paper_is_a_tagged_pdf(write: Writer, tmp_path: Path) -> None:
    content = write(sample.report(), tmp_path, date="2026-05-09").read_bytes()
    assert content.startswith(b"%PDF-")
    # ISO 14289-1 (PDF/UA-1), 5 and 7.1: the identifier in the metadata, a structure tree, a marked document.
    assert b"pdfuaid" in content
    assert b"/StructTreeRoot" in content
    assert b"/Marked true" in content


@pytest.mark.parametrize("write", WRITERS)
def test_the_same_input_gives_the_same_bytes(write: Writer, tmp_path: Path) -> None:
    first = write(sample.report(), tmp_path / "a", date=DAY).read_bytes()
    second = write(sample.report(), tmp_path / "b", date="2026-05-09").read_bytes()
    assert first == second
    assert write(sample.report(), tmp_path / "a", date="2026-05-10").read_bytes() != first


def test_the_same_bytes_in_another_process_with_another_hash_seed(tmp_path: Path) -> None:
    here = hashlib.sha256(write_report(sample.report(), tmp_path, date=DAY).read_bytes()).hexdigest()
    script = (
        "import hashlib, pathlib, sys; from tests.unit.report import sample\n"
        "from bagwright.report.pdf import write_report\n"
        "path = write_report(sample.report(), pathlib.Path(sys.argv[1]), date='2026-05-09')\n"
        "print(hashlib.sha256(path.read_bytes()).hexdigest())"
    )
    root = Path(__file__).parents[3]
    done = subprocess.run(
        [sys.executable, "-c", script, str(tmp_path / "other")],
        cwd=root, env={**os.environ, "PYTHONHASHSEED": "77", "PYTHONPATH": str(root)},
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert done.stdout.strip() == here


@pytest.mark.parametrize("write", WRITERS)
@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("system", ["yards", "metres"])
def test_hostile_names_go_through_every_paper(write: Writer, paper: str, system: str, tmp_path: Path) -> None:
    names = (sample.HOSTILE, "שלום " * 30, "}#panic() [*" + "W" * 200, *sample.NAMES[3:])
    report = sample.report(3, player=sample.HOSTILE, names=names)
    assert write(report, tmp_path, date=DAY, paper=paper, system=system).stat().st_size > 10_000


@pytest.mark.parametrize("n", [0, 2, 3, 6])
@pytest.mark.parametrize("clubs", [0, 1, 13])
def test_few_and_many_candidates_and_clubs(n: int, clubs: int, tmp_path: Path) -> None:
    report = sample.report(n, clubs)
    for write in WRITERS:
        assert write(report, tmp_path, date=DAY).exists()


def test_an_empty_report_is_a_report_all_the_same(tmp_path: Path) -> None:
    report = ReportInput(player=PlayerLine("A"))
    assert write_report(report, tmp_path, date=DAY).exists()
    assert write_yardages(report, tmp_path, date=DAY).exists()


@pytest.mark.parametrize(("paper", "points"), [("a4", (595, 842)), ("letter", (612, 792))])
def test_paper_sizes(paper: str, points: tuple[int, int]) -> None:
    # ISO 216: A4 is 210 x 297 mm, 595 x 842 pt of 1/72 in.
    # ANSI/ASME Y14.1: letter is 8.5 x 11 in, 612 x 792 pt.
    pages = typeset_pages("report.typ", report_data(sample.report(), DAY, paper, "yards"), ppi=72.0)
    assert len(pages) >= 4
    for page in pages:
        assert _size(page) == pytest.approx(points, abs=1)


def test_each_card_fits_one_page_on_both_papers_with_panels_of_54_by_86_mm() -> None:
    template = (TEMPLATES / "yardage.typ").read_text("utf-8")
    assert "#let wide = 54mm" in template
    assert "#let tall = 86mm" in template
    for paper in ("a4", "letter"):
        pages = typeset_pages("yardage.typ", card_data(sample.report(), DAY, paper, "yards"), ppi=72.0)
        assert len(pages) == 2
        assert _size(pages[0])[0] > 4 * 54 * 72 / 25.4
        alone = replace(sample.report(), flights=(), air_card=None)
        assert len(typeset_pages("yardage.typ", card_data(alone, DAY, paper, "yards"), ppi=72.0)) == 1


def test_the_card_has_no_letter_below_six_and_a_half_points() -> None:
    template = (TEMPLATES / "yardage.typ").read_text("utf-8")
    sizes = [float(size) for size in re.findall(r"size: ([0-9.]+)pt", template)]
    assert len(sizes) > 8
    assert min(sizes) >= 6.5
    assert "em," not in re.sub(r"leading: [0-9.]+em, spacing: [0-9.]+em", "", template)


def test_the_card_says_ball_surface_date_and_both_systems() -> None:
    text = _plain(card_data(sample.report(), DAY, "a4", "metres"))
    for said in ("urethane three-piece", "mat", "2026-05-09", "9 May 2026", "yards", "metres"):
        assert said in text
    panels = card_data(sample.report(), DAY, "a4", "metres")["panels"]
    assert [panel["unit"] for panel in panels] == ["metres", "yards"]
    driver = panels[1]["rows"][0]
    # By hand: 214 ± 9 yd stock, 214 * 1.05 = 224.7 ± 10 yd flat-out, right with 84 %.
    assert driver[0] == "Driver"
    assert driver[2] == {"carry": "214", "half": "±9"}
    assert driver[3] == {"carry": "225", "half": "±10"}
    assert driver[4] == {"word": "R", "chance": "84%"}
    # 214 yd = 195.7 m, 9 yd = 8.2 m.
    assert panels[0]["rows"][0][2] == {"carry": "196", "half": "±9"}


def test_the_card_marks_what_was_not_hit_and_leaves_candidates_out() -> None:
    clubs = (*sample.carries(13), replace(sample.carries(1)[0], club="Rack driver", status="candidate"))
    panels = card_data(replace(sample.report(), clubs=clubs), DAY, "a4", "yards")["panels"]
    rows = {row[0]: row for row in panels[0]["rows"]}
    assert rows["5 wood"][2]["carry"] == "≈187"
    assert "Rack driver" not in rows


@pytest.mark.parametrize(
    ("chance", "shown"), [(0.99, "R >97%"), (0.01, "L >97%"), (0.84, "R 84%"), (0.5, "either "), (None, "– ")]
)
def test_the_side_on_the_card_is_short_enough_for_its_column(chance: float | None, shown: str) -> None:
    clubs = tuple(replace(row, right_probability=chance) for row in sample.carries(1))
    side = card_data(replace(sample.report(), clubs=clubs), DAY, "a4", "yards")["panels"][0]["rows"][0][4]
    assert f"{side['word']} {side['chance']}" == shown


def test_more_clubs_than_a_panel_holds_are_told_of() -> None:
    clubs = tuple(replace(sample.carries(1)[0], club=f"Club {i}") for i in range(18))
    data = card_data(replace(sample.report(), clubs=clubs), DAY, "a4", "yards")
    assert data["more"] == "3 more clubs are in the report."


def test_numbers_of_the_report_in_both_systems() -> None:
    yards = _plain(report_data(sample.report(), DAY, "a4", "yards"))
    metres = _plain(report_data(sample.report(), DAY, "a4", "metres"))
    # By hand: 96.5 ± 2.6 yd = 88.2 ± 2.4 m; step of 21 ± 4 yd = 19.2 ± 3.7 m; 20.1 m = 66 ft.
    assert "96 yd (94 to 99)" in yards
    assert "88 m (86 to 91)" in metres
    assert "21 yd (17 to 25)" in yards
    assert "19 m (16 to 23)" in metres
    assert "70 ft (66 to 75)" in yards
    assert "likely (83 %)" in yards
    assert "≈187 (181 to 193)" in yards


def test_the_report_counts_every_ball_and_names_the_conditions() -> None:
    text = _plain(report_data(sample.report(), DAY, "a4", "yards"))
    for said in (
        "57 balls used, 5 of them mishits",
        "2 left out: bad-read",
        "as measured",
        "21 °C",
        "checked",
    ):
        assert said in text


def test_the_report_shows_the_cautions_that_apply() -> None:
    report = sample.report()
    player = replace(report.player, under_18=True, seller_interest="earns on what it sells")
    text = _plain(report_data(replace(report, player=player), DAY, "a4", "yards")["cautions"])
    for said in (
        "left elbow",
        "licensed practitioner",
        "guardian",
        "earns on",
        "Rule 4.3a",
        "play the safe side",
    ):
        assert said in text


def test_that_a_club_was_hit_too_little_stands_on_page_one() -> None:
    """The answer's own page must not sound surer than what the last page says of it."""
    few = "Under 3 solid strikes with 50 cavity: too few to judge by."
    data = report_data(
        replace(sample.report(), cautions=(few, "A remark of the method.")), DAY, "a4", "yards"
    )
    assert few in data["cautions_first"]
    assert "A remark of the method." not in data["cautions_first"]


def test_a_caution_given_already_is_not_given_twice() -> None:
    report = replace(sample.report(), cautions=("Warm up first; stop at any pain.",))
    lines = report_data(report, DAY, "a4", "yards")["cautions"]
    assert sum("pain" in line and "arm up" in line for line in lines) == 1


def test_conditions_nobody_stated_are_not_said() -> None:
    report = replace(sample.report(), visits=(VisitLine("2026-05-09"),))
    assert "not said" in _plain(report_data(report, DAY, "a4", "yards")["conditions"])


def test_the_build_sheet_has_present_proposed_tolerance_reason_and_room() -> None:
    rows = {row[0]: row for row in build_data(sample.report(), DAY, "a4")["clubs"][0]["rows"]}
    assert rows["Loft"][1] == "50°"
    assert rows["Loft"][2] == {"changed": True, "text": "49°"}
    assert rows["Loft"][3] == TOLERANCES["loft"]
    assert "evens the step" in rows["Loft"][4]
    assert rows["Length"][2] == {"changed": False, "text": "keep"}
    assert all(row[5:] == ["", ""] for row in rows.values())


def test_the_sheet_prints_the_tolerances_that_a_built_club_is_held_against() -> None:
    """Common practice, no source: half a degree, a sixteenth of an inch (1.5875 mm, shown as 1.6), 2 g."""
    assert TOLERANCES["loft"] == TOLERANCES["lie angle"] == "± 0.5°"
    assert TOLERANCES["length"] == "± 1/16 in (1.6 mm)"
    assert TOLERANCES["shaft weight"] == "± 2 g"
    assert TOLERANCES["swing weight"] == "± 1 point"
    assert TOLERANCES["bounce"] == "± 1°"
    built = {"loft_deg": 50.5, "length_m": 0.9 + 0.0016, "shaft_weight_g": 92.0, "bounce_deg": 11.0}
    wanted = {"loft_deg": 50.0, "length_m": 0.9, "shaft_weight_g": 90.0, "bounce_deg": 10.0}
    checks = as_built(dict(wanted), dict(built))
    assert {check.word for check in checks} == {"within"}, "what the sheet allows is within"


def test_bending_a_wedge_tells_what_it_does_to_the_bounce() -> None:
    # Common practice, no source: a degree of loft on a wedge takes about a degree of bounce.
    notes = build_data(sample.report(), DAY, "a4")["clubs"][0]["notes"]
    assert any("1.0° stronger" in note and "from 10.0° to about 9.0°" in note for note in notes)


def test_a_change_without_a_reason_is_refused() -> None:
    club = BuildClub("51 blade", "wedge", fields=(BuildField("length", "35 in", "36 in", "  "),))
    with pytest.raises(InputError, match="51 blade: the change of length to 36 in has no reason"):
        build_data(replace(sample.report(), build=(club,)), DAY, "a4")


def test_a_build_sheet_of_nothing_is_refused_with_the_next_step(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="nothing to build") as caught:
        write_build_sheet(replace(sample.report(), build=()), tmp_path, date=DAY)
    assert "club.proposed" in caught.value.next_step
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("bad", ["yesterday", "2026-13-01", "", "09.05.2026"])
def test_a_date_must_be_a_date(bad: str) -> None:
    with pytest.raises(InputError, match="not a date"):
        day_of(bad)


def test_dates_are_spelled_so_that_nobody_swaps_day_and_month() -> None:
    assert spelled(day_of("2026-05-09")) == "9 May 2026"
    assert day_of(datetime.datetime(2026, 5, 9, 23, 59, tzinfo=datetime.UTC)) == DAY


def test_an_unknown_paper_is_named(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="foolscap"):
        write_report(sample.report(), tmp_path, date=DAY, paper="foolscap")  # type: ignore[arg-type]


def test_letters_that_no_bundled_font_has_do_not_stop_a_paper(tmp_path: Path) -> None:
    for name in ("山田太郎", "\U0001f3cc\U0001f9a9", "\U000e0041"):
        assert write_report(sample.report(player=name), tmp_path, date=DAY).exists()


def test_a_failing_typesetter_is_the_machines_error(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(typeset, "TEMPLATES", Path(__file__).parent)
    with pytest.raises(MachineError, match="could not be typeset"):
        typeset.typeset_pdf("report.typ", {}, DAY)


def test_templates_fetch_no_packages() -> None:
    for template in TEMPLATES.glob("*.typ"):
        assert "@" not in template.read_text("utf-8"), template.name


def test_importing_the_papers_loads_no_heavy_library() -> None:
    script = (
        "import sys, bagwright.report.pdf, bagwright.report.yardage, bagwright.report.build\n"
        "import bagwright.report.gather, bagwright.report.text\n"
        "print(sorted({'vl_convert', 'typst', 'numpy', 'scipy'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_the_method_says_how_the_choice_was_made() -> None:
    report = sample.report()
    assert "smallest average miss" in _plain(report_data(report, DAY, "a4", "yards")["method"])
    longest = replace(report, answer=replace(sample.answer(), measure="carry"))
    data = report_data(longest, DAY, "a4", "yards")
    assert "carries farthest" in _plain(data["method"])
    assert "average miss" not in _plain(data["method"])
    assert "Place in the bag (average miss" not in data["charts"]["candidates"]["alt"]


def test_two_long_names_stay_apart_on_the_card() -> None:
    assert short_name("Gap wedge") == "Gap w."
    first, second = (
        short_name("52 wedge with the strong bend A"),
        short_name("52 wedge with the strong bend B"),
    )
    assert first != second
    assert len(first) <= 15


def test_a_long_history_and_a_full_rack_still_fit_their_pages() -> None:
    clubs = tuple(replace(sample.carries(1)[0], club=f"Club {i}") for i in range(60))
    balls = tuple(ball for day in range(10, 20) for ball in sample.balls(sample.NAMES[:3], f"2026-05-{day}"))
    data = report_data(replace(sample.report(), clubs=clubs, balls=balls), DAY, "letter", "yards")
    assert data["charts"]["order"]["alt"].count("Visit") == 3
    assert "Visit 2026-05-19" in data["charts"]["order"]["alt"]
    # Letter less its margins is 912 px of 1/96 in high.
    for chart in data["charts"].values():
        found = re.search(r"<svg[^>]* width=\"([0-9.]+)\" height=\"([0-9.]+)\"", chart["svg"])
        assert found is not None
        assert chart["width"] <= 657
        assert float(found[2]) * chart["width"] / float(found[1]) <= 800


def test_the_flight_side_says_longest_as_only_length_was_compared() -> None:
    sides = (SideLine("flight", "X", 0.98, "said"), SideLine("dispersion", "Y", 0.98, "said"))
    assert [row[1] for row in side_table(sides)] == ["–", "X (longest)", "Y", "–"]
