"""The best bag in the demo and in the report, on a card of one hole: all between is the program's own."""

from __future__ import annotations

import datetime
import json
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import pytest

from bagwright import tasks
from bagwright.cli.main import main
from bagwright.demo import copy_demo
from bagwright.errors import InputError
from bagwright.plain import plain
from bagwright.report.model import ReportInput
from bagwright.report.pick.words import near_words
from bagwright.tasks import demo as demo_task
from bagwright.tasks import papers, pick_shown
from bagwright.tasks.source import Source, fit, load
from bagwright.tasks.stroking import RoundWish

SLOT = "Gap wedge,50 cavity,51 blade"
ANSWERS = {"figures": "as measured", "spin": "measured"}


@pytest.fixture
def short(tmp_path: Path) -> RoundWish:
    card = tmp_path / "short.csv"
    card.write_text("hole,par,stroke index,white (yd)\n1,3,1,150\n", encoding="utf-8")
    return RoundWish(tasks.CourseSource(card, None, None, None, {}), "white")


def test_the_demo_shows_the_bag_of_its_course_as_it_works_on(
    tmp_path: Path, short: RoundWish, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[RoundWish] = []

    def on_a_short_one(source: Source, on: RoundWish, *more: object) -> tasks.PickAnswer:
        asked.append(on)
        return pick_shown.pick_for(source, short, *more)  # type: ignore[arg-type]

    monkeypatch.setattr(demo_task, "pick_for", on_a_short_one)
    given: list[ReportInput] = []

    def keep(gathered: ReportInput, order: papers.PaperOrder) -> tuple[Path, ...]:
        given.append(gathered)
        return ()

    monkeypatch.setattr(demo_task, "write_all", keep)
    heard: list[tuple[int, int]] = []
    result = tasks.run_demo(tmp_path / "d", "a4", "yards", lambda done, of: heard.append((done, of)))
    assert [(on.course.file.name, on.tee) for on in asked] == [("wethermoor.geojson", "yellow")]
    assert result.pick is not None
    assert len(result.pick.clubs) == 14
    assert plain(result)["pick"]["optimal"] is True
    # Of 15 clubs beside the putter 13 are carried: 15 over 2 is 105 bags, so all are worked out.
    assert result.pick.bags == 105
    assert [done for done, _of in heard] == sorted(done for done, _of in heard)
    assert heard[-1] == (22, 22)
    picked = given[0].picked
    assert picked is not None
    assert (*picked.pick.clubs, *picked.putters) == result.pick.clubs
    # Where more bags come near than are kept, the papers say within how many strokes they are listed.
    made = result.pick._made
    assert made is not None
    crowded = replace(result.pick, _made=replace(made, found=replace(made.found, within=0.0004)))
    fits = fit(load(Source(bag=tmp_path / "d" / "bag.toml", answers=ANSWERS)))
    assert "only those within 0.00040 strokes" in near_words(pick_shown.shown_of(crowded, fits))


def test_a_report_with_a_course_has_the_bag(
    tmp_path: Path, short: RoundWish, monkeypatch: pytest.MonkeyPatch
) -> None:
    copy_demo(tmp_path)
    source = Source(bag=tmp_path / "bag.toml", answers=ANSWERS)
    given: list[ReportInput] = []

    def keep(gathered: ReportInput, order: papers.PaperOrder) -> tuple[Path, ...]:
        given.append(gathered)
        return ()

    monkeypatch.setattr(papers, "write_all", keep)
    order = papers.PaperOrder(tmp_path, datetime.date(2026, 5, 9), ("report",), on=short)
    papers.write_papers(source, order)
    shown = given[0].picked
    assert shown is not None
    assert shown.pick.optimal
    assert shown.putters == ("Putter",)
    # The demo's carries by the distances' own table: the same fit gives the same carry.
    table = tasks.measure_bag(source)
    carries = {club.club: club.carry_m.value for club in table.clubs}
    for one in shown.carries.clubs:
        assert one.carry_m.value == pytest.approx(carries[one.club], rel=1e-6)
    with pytest.raises(InputError, match="read back"):
        pick_shown.shown_of(read_back(), fit(load(source)))


def read_back() -> tasks.PickAnswer:
    """A pick as it is when it was read back: without what it was made from."""
    empty: dict[str, Any] = {field.name: None for field in fields(tasks.PickAnswer) if field.name != "_made"}
    return tasks.PickAnswer(**empty)


def test_a_brief_and_a_trial_know_the_course_before_the_first_ball(
    tmp_path: Path, short: RoundWish, capsys: pytest.CaptureFixture[str]
) -> None:
    copy_demo(tmp_path)
    words = ["--bag", str(tmp_path / "bag.toml"), "--slot", SLOT, "--course", str(short.course.file)]
    words += ["--json", "--no-ask", "--answer", "figures=as measured", "--answer", "spin=measured"]
    assert main(["brief", *words]) == 0
    found = json.loads(capsys.readouterr().out)
    played = found["on_course"]
    assert {one["club"] for one in played["builds"]} == set(SLOT.split(","))
    assert sum(one["chance"] for one in played["builds"]) == pytest.approx(1.0)
    assert set(found["lies"]) <= {"tee", "fairway", "rough", "sand", "recovery"}
    # A hole of 150 yd: whatever a wedge is for there, it is not driven from the tee.
    assert "tee" not in found["lies"]
    assert "short" in played["where"].lower()
    assert main(["trial", *words]) == 0
    judged = json.loads(capsys.readouterr().out)
    assert judged["next_sentence"].startswith("On the course ")
    balls = judged["next_balls_on_course"]
    assert {one["club"] for one in balls} <= set(SLOT.split(","))
    assert all(one["worth_strokes"] >= 0.0 for one in balls)
    assert main(["brief", *words[:4], "--tees", "white", "--no-ask"]) == 2, "a tee without its course"
