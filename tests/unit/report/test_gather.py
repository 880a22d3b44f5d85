"""From a verdict, dispersions, distances and a bag to the papers: nothing lost, nothing invented."""

from __future__ import annotations

import datetime
import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from bagwright.bag.club import Bag, Build, Club, Player
from bagwright.bag.rules import check
from bagwright.dispersion.fit import Dispersions, fit_dispersion
from bagwright.distances import distances
from bagwright.report.build import build_data, write_build_sheet
from bagwright.report.gather import gather
from bagwright.report.gather_bag import build_clubs, build_text, player_line, present_value
from bagwright.report.model import ReportInput
from bagwright.report.pdf import write_report
from bagwright.report.yardage import write_yardages
from bagwright.shots.record import Conditions, Mark, Shot, ShotTable
from bagwright.trial.verdict import judge

YD = 0.9144
VISIT = "2026-05-09"


def _club(name: str, kind: str, loft: float, status: str = "carried", **more: object) -> Club:
    return Club(name, kind, status=status, build=Build(loft_deg=loft, length_m=0.9017), **more)  # type: ignore[arg-type]


BAG = Bag(
    Player("Sorrel Quince", hand="left", age=15, handicap=12, driver_speed_mps=40.0, seller_interest="none"),
    (
        _club("9 iron", "iron", 41.0, number="9"),
        _club("Pitching wedge", "wedge", 45.0, number="P"),
        _club("Gap wedge", "wedge", 47.5, number="G", bounce_deg=9.0),
        _club("50 cavity", "wedge", 50.0, "candidate", number="50", bounce_deg=10.0,
              proposed=(("loft_deg", "49", "an even step"), ("length_in", "35.25", "the player's posture"))),
        _club("54 wedge", "wedge", 54.5, number="54"),
        _club("Putter", "putter", 3.0),
    ),
)  # fmt: skip
_CARRY = {"9 iron": 121, "Pitching wedge": 108, "Gap wedge": 101, "50 cavity": 94, "54 wedge": 80}


def _shots() -> ShotTable:
    """Ten balls a club, evenly spread, with one mishit, one bad read and two warm-up balls."""
    shots = []
    order = 1
    for k in range(10):
        for name, carry in _CARRY.items():
            off = 3.4 * math.sin(1.9 * order)
            mark = {3: Mark("warm-up"), 5: Mark("warm-up"), 23: Mark("bad-read", "net hit first")}.get(order)
            if order == 33:
                mark, off = Mark("mishit", "heavy"), -19.0
            shots.append(
                Shot(name, order, visit=VISIT, mark=mark, carry_m=(carry + off) * YD,
                     offline_m=3.0 * math.cos(2.3 * order + k) * YD if order % 7 else None)
            )  # fmt: skip
            order += 1
    return ShotTable.of(shots)


@cache
def _fits() -> Dispersions:
    return fit_dispersion(_shots(), bag=BAG)


@cache
def _report(system: str = "yards") -> ReportInput:
    table, fits = _shots(), _fits()
    return gather(
        table,
        fits,
        bag=BAG,
        verdict=judge(table, "Gap wedge,50 cavity", BAG, fits=fits),
        distances=distances(fits, BAG),
        check=check(BAG),
        conditions={
            VISIT: Conditions(VISIT, "2026-05-09", "bay 2", "mat", "range ball", adjusted="as measured")
        },
        system=system,  # type: ignore[arg-type]
    )


def test_all_three_papers_are_written_from_the_real_objects(tmp_path: Path) -> None:
    report = replace(_report(), build=build_clubs(BAG, "50 cavity"))
    for write in (write_report, write_yardages, write_build_sheet):
        for paper in ("a4", "letter"):
            assert write(report, tmp_path, date="2026-05-09", paper=paper, system="metres").exists()


def test_every_ball_is_accounted_for() -> None:
    report, counts = _report(), _report().counts
    assert len(report.balls) == 50
    assert report.visits[0].balls == 50
    # The verdict says for each ball of the table that it is used or why it is not.
    assert counts.used + sum(n for _, n in counts.left_out) == 50
    assert counts.mishits == 1


def test_marks_and_missing_sides_come_through() -> None:
    balls = {ball.order: ball for ball in _report().balls}
    assert balls[3].mark == "warm-up"
    assert balls[23].mark == "bad-read"
    assert balls[33].mark == "mishit"
    assert balls[7].side_m is None
    assert balls[8].side_m is not None


def test_a_balls_distance_from_its_club_is_measured_from_the_fitted_centre() -> None:
    ball = next(ball for ball in _report().balls if ball.order == 12)
    centre = _fits()[(ball.club, "stock")].carry_m.value
    assert ball.carry_m is not None
    assert ball.off_centre_m == pytest.approx(ball.carry_m - centre)


def test_candidates_carry_the_verdicts_numbers() -> None:
    verdict = judge(_shots(), "Gap wedge,50 cavity", BAG, fits=_fits())
    report = _report()
    assert report.answer is not None
    assert report.answer.kind == verdict.answer
    assert report.answer.probability == verdict.probability
    assert [row.name for row in report.candidates] == [line.name for line in verdict.candidates]
    for row, line in zip(report.candidates, verdict.candidates, strict=True):
        assert row.carry_m == line.carry_m
        assert row.miss_m == line.miss_m
        assert row.present == line.present
    assert [side.side for side in report.sides] == ["strike", "flight", "dispersion", "place in the bag"]
    for side in report.sides:
        assert side.probability is not None
        assert bool(side.still_open) == (side.probability < 0.60) == (side.leader is None)


def test_landings_have_both_regions_with_the_larger_outside() -> None:
    for landing in _report().landings:
        inner, outer = landing.regions
        assert (inner.level, outer.level) == (0.5, 0.9)
        # Bivariate normal: radii go as sqrt(-2 ln(1 - level)); sqrt(ln 0.1 / ln 0.5) = 1.8226.
        assert outer.half_axes_m[0] / inner.half_axes_m[0] == pytest.approx(1.8226, rel=1e-3)


def test_drift_has_a_value_for_every_ball_of_the_visit() -> None:
    (line,) = _report().drift
    assert line.balls == tuple(range(1, 51))
    assert all(one.low <= one.value <= one.high for one in line.drift_m)


def test_distances_and_findings_speak_the_readers_units() -> None:
    assert {row.club for row in _report().clubs} == set(_CARRY)
    words = " ".join(_report("metres").findings)
    assert words
    assert " m" in words
    assert len(_report().steps) >= 3


def test_the_player_is_a_junior_and_the_interest_is_kept() -> None:
    line = player_line(BAG.player)
    assert line.under_18
    assert line.hand == "left"
    assert not player_line(Player("A", age=18)).under_18
    assert not player_line(Player("A")).under_18


def test_without_a_trial_there_is_no_answer_and_nobody_is_ranked() -> None:
    report = gather(_shots(), _fits(), bag=BAG, distances=distances(_fits(), BAG))
    assert report.answer is None
    assert report.candidates == ()
    assert report.landings == ()
    assert report.clubs != ()


def test_the_build_sheet_reads_proposals_with_their_units() -> None:
    (club,) = build_clubs(BAG, "50 cavity")
    rows = {field.name: field for field in club.fields}
    assert rows["loft"].present == "50°"
    assert rows["loft"].proposed == "49°"
    assert rows["loft"].reason == "an even step"
    # 35.5 in = 0.9017 m exactly.
    assert rows["length"].present == "35.50\u00a0in (90.2\u00a0cm)"
    assert rows["length"].proposed == "35.25\u00a0in"
    assert club.proposed_loft_deg == 49.0
    data = build_data(replace(_report(), build=(club,)), datetime.date(2026, 5, 9), "a4")
    assert any("9.0°" in note for note in data["clubs"][0]["notes"])


def test_a_candidate_that_was_not_chosen_gets_no_sheet() -> None:
    assert build_clubs(BAG, "Gap wedge") == ()
    assert build_clubs(BAG, None) == ()


def test_a_build_in_one_line_leaves_out_what_was_not_measured() -> None:
    club = next(club for club in BAG if club.name == "Gap wedge")
    assert build_text(club).replace("\u00a0", " ") == "47.5° measured, 35.50 in (90.2 cm)"
    assert present_value(club, "shaft") == ""
