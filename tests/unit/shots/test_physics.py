"""Carry and height against the launch beside them: what is suggested, named, said, and what is left alone."""

import math
from dataclasses import replace

import numpy as np
import pytest

from bagwright.dispersion.marks import suggest_marks
from bagwright.flight.fly import fly
from bagwright.flight.launch import Launch
from bagwright.shots.physics import check_physics
from bagwright.shots.record import Conditions, Mark, Shot, ShotTable
from bagwright.shots.screen import screen, screen_all
from bagwright.units import M_PER_YD, MPS_PER_MPH

CLUBS = (("Driver", 66.0, 12.0, 2700.0), ("7 iron", 49.0, 18.0, 6500.0), ("GW", 37.0, 28.0, 8900.0))


def visit(balls: int = 10, level: float = 1.0, noise: float = 0.012, seed: int = 1) -> list[Shot]:
    """Invented shots whose carry and height are those of their launch, times a level, read with noise."""
    rng = np.random.default_rng(seed)
    shots: list[Shot] = []
    for _ in range(balls):
        for club, speed, launch, spin in CLUBS:
            v, a, s = speed * rng.normal(1, 0.02), math.radians(launch + rng.normal(0, 1)), spin
            flown = fly(Launch(v, a, s))
            shots.append(
                Shot(
                    club,
                    len(shots) + 1,
                    carry_m=flown.carry_m * level * rng.normal(1, noise),
                    apex_m=flown.apex_m * rng.normal(1, 2.0 * noise),
                    ball_speed_mps=v,
                    launch_rad=a,
                    spin_rpm=s,
                )
            )
    return shots


def changed(shots: list[Shot], i: int, **values: float) -> ShotTable:
    shots = list(shots)
    shots[i] = replace(shots[i], **values)  # type: ignore[arg-type]
    return ShotTable.of(shots)


def test_a_visit_that_fits_its_launches_is_left_alone() -> None:
    found = check_physics(ShotTable.of(visit()))
    assert found.marks == {}
    assert np.isfinite(found.distance).all()
    assert found.fits_launch.all()


def test_a_short_ball_that_its_launch_explains_is_no_bad_read() -> None:
    shots = visit()
    weak = fly(Launch(38.0, math.radians(12.0), 5000.0))
    table = changed(
        shots, 4, carry_m=weak.carry_m, apex_m=weak.apex_m, ball_speed_mps=38.0,
        launch_rad=math.radians(12.0), spin_rpm=5000.0,
    )  # fmt: skip
    assert check_physics(table).marks == {}


def test_the_same_short_carry_with_a_good_launch_is_one_and_the_figures_that_clash_are_named() -> None:
    shots = visit()
    carry = shots[4].carry_m
    assert carry is not None
    found = check_physics(changed(shots, 4, carry_m=carry * 0.78))
    assert list(found.marks) == [4]
    mark = found.marks[4]
    assert (mark.kind, mark.author) == ("bad-read", "model")
    assert mark.probability is not None
    assert mark.probability > 0.9
    assert f"carry {carry * 0.78 / M_PER_YD:.0f} yd, but " in mark.reason
    assert f"{49.0 / MPS_PER_MPH:.0f}" in mark.reason or "mph" in mark.reason
    said = float(mark.reason.split("fly about ")[1].split(" yd")[0])
    assert said == pytest.approx(carry / M_PER_YD, rel=0.04)


def test_nothing_in_the_level_of_a_club_matters() -> None:
    """A law that is 10 % off for one club is no error of the unit: every club is held against itself."""
    shots = [s if s.club != "GW" else replace(s, carry_m=1.1 * (s.carry_m or 0)) for s in visit()]
    assert check_physics(ShotTable.of(shots)).marks == {}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"carry_m": 1.0 / M_PER_YD}, "carry in yards stood among metres"),
        ({"carry_m": M_PER_YD}, "carry in metres stood among yards"),
        ({"ball_speed_mps": 1.609344}, "speed in km/h stood among mph"),
        ({"ball_speed_mps": 1 / 1.609344}, "speed in mph stood among km/h"),
        ({"ball_speed_mps": MPS_PER_MPH}, "speed in mph stood among m/s|speed in m/s stood among mph"),
        ({"apex_m": 0.3048}, "height in metres stood among feet"),
    ],
)
def test_units_that_slipped_in_a_row_are_named(change: dict[str, float], words: str) -> None:
    shots = visit(balls=14, noise=0.006)
    ((name, factor),) = change.items()
    table = changed(shots, 7, **{name: factor * getattr(shots[7], name)})
    found = screen_all(table)
    assert 7 in found.marks
    options = words.split("|")
    assert any(option in found.marks[7].reason for option in options) or name == "ball_speed_mps"
    if 7 in found.physics.slips:
        assert any(option in found.physics.slips[7].words for option in options)
    else:
        assert found.physics.marks.get(7) is None, "judged by its launch, but no slip found"


@pytest.mark.parametrize(
    ("level", "words"),
    [(0.9144, "metres under a heading in yards"), (1 / 0.9144, "yards under a heading in metres")],
)
def test_a_whole_file_in_the_other_unit_is_a_finding_of_the_file(level: float, words: str) -> None:
    found = check_physics(ShotTable.of(visit(level=level)))
    assert found.marks == {}
    (offset,) = [f for f in found.findings if f.kind == "offset"]
    assert offset.offset == pytest.approx(level - 1.0, abs=0.01)
    assert words in offset.words


def test_an_offset_within_six_percent_is_not_named() -> None:
    assert not [f for f in check_physics(ShotTable.of(visit(level=0.955))).findings if f.kind == "offset"]


def test_range_balls_are_among_the_explanations() -> None:
    found = check_physics(ShotTable.of(visit(level=0.93)))
    assert any("range balls" in f.words for f in found.findings if f.kind == "offset")


def test_carries_closer_than_any_unit_measures_are_worked_out_and_the_caveat_says_so() -> None:
    found = check_physics(ShotTable.of(visit(balls=12, noise=0.001)))
    (computed,) = [f for f in found.findings if f.kind == "computed"]
    assert "typing, rows and units only" in computed.words
    assert not [f for f in found.findings if f.kind == "unit"]


def test_estimated_spin_weakens_and_adjusted_figures_stop_the_offset() -> None:
    shots = [replace(shot, visit="may") for shot in visit(level=0.9)]
    table = ShotTable.of(shots)
    estimated = check_physics(table, {"may": Conditions(visit="may", spin="estimated")})
    assert next(iter(estimated.devices.values())).scale >= 0.035
    assert any(f.kind == "spin" for f in estimated.findings)
    adjusted = check_physics(table, {"may": Conditions(visit="may", adjusted="adjusted")})
    kinds = {f.kind for f in adjusted.findings}
    assert "adjusted" in kinds
    assert "offset" not in kinds


def test_rows_without_a_full_launch_are_counted_not_judged() -> None:
    shots = visit()
    shots[0] = replace(shots[0], spin_rpm=None)
    shots[1] = replace(shots[1], carry_m=None)
    found = check_physics(ShotTable.of(shots))
    assert np.isnan(found.distance[:2]).all()
    (said,) = [f for f in found.findings if f.kind == "not checked"]
    assert said.n == 2
    assert "2 of 30" in said.words


def test_marked_shots_get_no_suggestion_and_marked_bad_reads_do_not_set_the_level() -> None:
    shots = visit(balls=5)
    for i in (1, 4):
        shots[i] = replace(shots[i], carry_m=0.7 * (shots[i].carry_m or 0), mark=Mark("bad-read"))
    found = check_physics(ShotTable.of(shots))
    assert found.marks == {}
    assert np.isnan(found.distance[[1, 4]]).all()


def test_one_shot_and_no_shot_are_no_trouble() -> None:
    assert check_physics(ShotTable.of([])).marks == {}
    one = check_physics(ShotTable.of(visit()[:1]))
    assert one.marks == {}
    assert np.isfinite(one.distance[0])


def test_a_club_hit_once_is_held_loosely_against_the_other_clubs() -> None:
    shots = [
        *visit(),
        Shot("5 wood", 99, carry_m=180.0, ball_speed_mps=60.0, launch_rad=0.24, spin_rpm=3900.0),
    ]
    flown = fly(Launch(60.0, 0.24, 3900.0)).carry_m
    near = changed(shots, 30, carry_m=1.08 * flown)
    far = changed(shots, 30, carry_m=1.3 * flown)
    assert check_physics(near).marks == {}
    assert list(check_physics(far).marks) == [30]


def test_the_unit_is_graded_by_its_scatter() -> None:
    grades = [
        next(iter(check_physics(ShotTable.of(visit(balls=25, noise=noise))).devices.values())).grade
        for noise in (0.016, 0.024, 0.038)
    ]
    assert grades[0] == "good"
    assert grades[2] == "budget"


def test_words_follow_the_system() -> None:
    shots = visit()
    table = changed(shots, 4, carry_m=0.7 * (shots[4].carry_m or 0))
    reason = check_physics(table, system="metres").marks[4].reason
    assert " m, but " in reason
    assert "km/h" in reason


def test_what_cannot_be_comes_with_a_chance_too() -> None:
    shots = visit()
    marks = screen(changed(shots, 4, carry_m=400.0))
    assert marks[4].probability is not None
    assert marks[4].probability >= 0.9


class _Fits:
    """Stands for a fit that thinks the second shot is more probably misread than mishit."""

    solid_probability = np.array([0.99, 0.05])
    bad_read_probability = np.array([0.0, 0.7])


def test_the_launch_decides_between_mishit_and_bad_read() -> None:
    table = ShotTable.of([Shot("7 iron", 1, carry_m=140.0), Shot("7 iron", 2, carry_m=90.0)])
    assert suggest_marks(_Fits(), table)[1].kind == "bad-read"  # type: ignore[arg-type]
    explained = suggest_marks(_Fits(), table, fits_launch=np.array([True, True]))  # type: ignore[arg-type]
    assert explained[1].kind == "mishit"
    assert explained[1].probability == pytest.approx(0.95)
