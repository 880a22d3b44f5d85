"""Restated shots: exact against single flights, sane as physics, honest about what they cannot do."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any, Literal

import numpy as np
import pytest

from bagwright.air import STANDARD, Wind, air
from bagwright.errors import InputError
from bagwright.flight.fly import fly
from bagwright.flight.launch import Launch
from bagwright.restate import BALL_FACTORS, Restated, Setting, restate_shots
from bagwright.shots.read import read_shots
from bagwright.shots.record import Conditions, Mark, Shot, ShotTable
from bagwright.shots.write import write_shots
from bagwright.turf import Turf, run
from tests.unit.restate.made import HEAD, TAIL, USUAL, shots, table

HERE = Setting()
COLD = Setting(air(temperature_k=273.15))
HIGH = Setting(air(altitude_m=1500.0))
FIGURES = ("carry_m", "total_m", "offline_m", "offline_total_m", "apex_m", "descent_rad", "time_s")
SHOTS = table()


def by_club(done: Restated) -> dict[str, float]:
    return {one.club: one.change_m.value for one in done.changes}


def test_cold_is_shorter_high_is_longer_and_wind_acts_as_it_does() -> None:
    cold, high = by_club(restate_shots(SHOTS, HERE, COLD)), by_club(restate_shots(SHOTS, HERE, HIGH))
    head, tail = (by_club(restate_shots(SHOTS, HERE, Setting(wind=wind))) for wind in (HEAD, TAIL))
    for club in USUAL:
        assert cold[club] < -0.5
        assert high[club] > 2.0
        assert head[club] < -3.0 < 3.0 < tail[club]


def test_a_carry_changes_by_the_ratio_of_two_flights_with_the_levels_factors() -> None:
    there = Setting(air(altitude_m=1500.0, temperature_k=283.15), Wind(6.0, 0.8))
    done = restate_shots(SHOTS, HERE, there)
    for i in (0, 15, 30):
        shot = SHOTS.shot(i)
        strike = Launch(*(getattr(shot, n) for n in (
            "ball_speed_mps", "launch_rad", "spin_rpm", "direction_rad", "spin_axis_rad")))  # fmt: skip
        scale = done.level.scale_of(shot.club)
        a, b = (fly(strike, at.air, at.wind, scale=scale) for at in (HERE, there))
        got = done.table.shot(i)
        assert shot.carry_m
        assert shot.apex_m
        assert shot.offline_m is not None
        assert got.carry_m == pytest.approx(shot.carry_m * b.carry_m / a.carry_m, rel=1e-7)
        assert got.apex_m == pytest.approx(shot.apex_m * b.apex_m / a.apex_m, rel=1e-7)
        beside = (shot.offline_m - a.offline_m) * b.carry_m / a.carry_m
        assert got.offline_m == pytest.approx(b.offline_m + beside, abs=1e-5)


@pytest.mark.parametrize(
    ("there", "percent"),
    [
        (Setting(air(temperature_k=293.15, altitude_m=1609.344)), 9.6),
        (Setting(wind=Wind(4.4704, 0.0, "uniform")), -10.0),
        (Setting(wind=Wind(4.4704, math.pi, "uniform")), 7.2),
    ],
)
def test_a_mid_iron_changes_as_a_table_of_effects_computed_elsewhere(there: Setting, percent: float) -> None:
    """The table of `tests/published/test_flight_effects.py`: D1, 53 m/s, 17 degrees, 6500 rpm."""
    strike = Launch(53.0, math.radians(17.0), 6500.0)
    one = Shot("7 iron", 1, carry_m=fly(strike).carry_m, ball_speed_mps=53.0,
               launch_rad=strike.launch_rad, spin_rpm=6500.0)  # fmt: skip
    change = restate_shots(ShotTable.of([one] * 4), HERE, there).changes[0]
    assert 100.0 * change.change_m.value / change.carry_here_m == pytest.approx(percent, abs=0.3)


def test_cross_winds_are_mirror_images() -> None:
    mirrored = ShotTable.of(
        [
            replace(
                s,
                **{
                    n: -getattr(s, n)
                    for n in ("offline_m", "offline_total_m", "direction_rad", "spin_axis_rad")
                },
            )
            for s in SHOTS
        ]
    )
    right = restate_shots(SHOTS, HERE, Setting(wind=Wind(5.0, math.pi / 2)))
    left = restate_shots(mirrored, HERE, Setting(wind=Wind(5.0, -math.pi / 2)))
    assert np.allclose(right.table.measure("carry_m"), left.table.measure("carry_m"), rtol=1e-6)
    assert np.allclose(right.table.measure("offline_m"), -left.table.measure("offline_m"), atol=1e-4)
    assert (right.table.measure("offline_m") < SHOTS.measure("offline_m") - 3.0).all()


@pytest.mark.parametrize("club_kinds", [True, False])
def test_there_and_back_is_what_was_measured(club_kinds: bool) -> None:
    made = shots(4)
    for i in range(0, len(made), 3):
        made[i] = replace(made[i], ball_speed_mps=None, spin_rpm=None, launch_rad=None)
    given = ShotTable.of(made if club_kinds else [replace(s, club="the old one") for s in made])
    there = Setting(air(altitude_m=1200.0, temperature_k=280.0), Wind(7.0, 1.1), "range", Turf("soft"))
    done = restate_shots(given, HERE, there)
    assert done.inferred == 4
    back = restate_shots(done.table, there, HERE, level=done.level)
    for name in FIGURES:
        assert np.abs(done.table.measure(name) - given.measure(name)).max() > 1e-3
        assert np.allclose(back.table.measure(name), given.measure(name), rtol=1e-9, atol=1e-9)


def test_launch_columns_texts_marks_and_rows_stay() -> None:
    given = replace(SHOTS, marks={2: Mark("mishit", "thin")})
    done = restate_shots(given, HERE, COLD).table
    for name in ("ball_speed_mps", "launch_rad", "spin_rpm", "direction_rad", "spin_axis_rad"):
        assert np.array_equal(done.measure(name), given.measure(name))
    assert (done.texts, done.marks, list(done.measures)) == (given.texts, given.marks, list(given.measures))
    assert np.array_equal(done.order, given.order)


def test_an_inferred_launch_is_counted_said_written_and_sets_no_level() -> None:
    made = shots(3)
    half = [replace(s, spin_rpm=None) if i % 2 else s for i, s in enumerate(made)]
    done = restate_shots(ShotTable.of(half), HERE, COLD)
    assert done.inferred == 4
    assert done.level.shots_used == 5
    assert any("inferred" in text for text in done.said)
    assert done.conditions["range day"].spin == "estimated"
    spin = done.table.measure("spin_rpm")
    assert np.isfinite(spin).all()
    assert spin[::2].tolist() == ShotTable.of(half).measure("spin_rpm")[::2].tolist()


def test_an_inferred_or_unseen_strike_has_a_wider_change() -> None:
    made = shots(4)
    blind = [replace(s, apex_m=None) for s in made]
    seen, unseen = (restate_shots(ShotTable.of(s), HERE, COLD).changes[0].change_m for s in (made, blind))
    share = [(e.high - e.low) / abs(e.value) for e in (seen, unseen)]
    assert share[0] == pytest.approx(2 * 1.645 * 0.10, rel=0.01)
    assert share[1] == pytest.approx(2 * 1.645 * 0.36, rel=0.01)


def test_a_gain_and_a_loss_that_cancel_are_no_sure_nothing() -> None:
    both = restate_shots(SHOTS, HERE, Setting(air(altitude_m=1500.0), HEAD)).changes[1].change_m
    wind = restate_shots(SHOTS, HERE, Setting(wind=HEAD)).changes[1].change_m
    assert abs(both.value) < 0.5 * abs(wind.value)
    assert both.high - both.low > 0.8 * (wind.high - wind.low)


def test_estimated_spin_never_sets_the_level() -> None:
    told = {"range day": Conditions("range day", spin="estimated")}
    done = restate_shots(table(longer=1.05), HERE, COLD, conditions=told)
    assert done.level.why_not is not None
    assert "estimated" in done.level.why_not
    assert done.level.scale_of("driver") == replace(done.level.scale, drag=1.0, lift=1.0)
    measured = restate_shots(table(longer=1.05), HERE, COLD)
    assert measured.level.carry_share is not None
    assert measured.level.carry_share.value > 1.02


def test_bad_reads_and_lower_bounds_set_no_level() -> None:
    n = SHOTS.n
    marked = replace(SHOTS, marks={i: Mark("bad-read") for i in range(0, n, 2)})
    bound = replace(SHOTS, carry_at_least=np.arange(n) % 2 == 0)
    for given in (marked, bound):
        done = restate_shots(given, HERE, COLD)
        assert done.level.shots_used == n // 2
        assert sum(c.n for c in done.changes) == n // 2


def test_adjusted_figures_are_refused_with_the_way_out() -> None:
    told = {"range day": Conditions("range day", adjusted="adjusted")}
    with pytest.raises(InputError, match="never restated twice") as caught:
        restate_shots(SHOTS, HERE, COLD, conditions=told)
    assert "range day" in caught.value.message
    assert "as measured" in caught.value.next_step
    other = {"another day": Conditions("another day", adjusted="adjusted")}
    assert restate_shots(SHOTS, HERE, COLD, conditions=other).not_restated == {}


def test_rows_without_enough_are_counted_and_left_out_not_guessed() -> None:
    made = shots(2)
    made += [
        Shot("7 iron", 90, apex_m=30.0, offline_m=2.0, spin_rpm=6000.0),
        Shot("7 iron", 91, total_m=150.0),
        Shot("7 iron", 92, ball_speed_mps=53.0, launch_rad=0.3, spin_rpm=6000.0),
        Shot("putter", 93, carry_m=4.0),
        Shot("7 iron", 94, carry_m=150.0, ball_speed_mps=530.0, launch_rad=0.3, spin_rpm=6000.0),
    ]
    given = ShotTable.of(made)
    done = restate_shots(given, HERE, COLD)
    assert done.not_restated == {
        "a putt": 1,
        "nothing of its flight was measured": 1,
        "neither a full launch nor a carry was measured": 2,
        "a launch that no club gives": 1,
    }
    assert done.table.n == given.n
    for name in FIGURES:
        assert np.isnan(done.table.measure(name)[-5:]).all()
    assert sum("Not restated" in text for text in done.said) == 4


def test_only_a_total_is_restated_with_its_run() -> None:
    made = shots(2)[0]
    strike = Launch(made.ball_speed_mps or 0, made.launch_rad or 0, made.spin_rpm or 0,
                    made.direction_rad or 0, made.spin_axis_rad or 0)  # fmt: skip
    only = ShotTable.of([replace(made, carry_m=None)])
    there = Setting(COLD.air, turf=Turf("soft"))
    got = restate_shots(only, HERE, there).table.measure("total_m")[0]
    a, b = (fly(strike, at.air) for at in (HERE, there))
    run_a, run_b = (
        run(f.landing_speed_mps, f.descent_rad, f.landing_spin_rpm, at.turf).run_m.value
        for f, at in ((a, HERE), (b, there))
    )
    assert made.total_m is not None
    assert got == pytest.approx(made.total_m * (b.carry_m + run_b) / (a.carry_m + run_a), rel=1e-6)


def test_turf_changes_the_run_and_nothing_else() -> None:
    soft, sand = (
        restate_shots(SHOTS, HERE, Setting(turf=turf)).table for turf in (Turf("soft"), Turf(lie="sand"))
    )
    assert np.array_equal(soft.measure("carry_m"), SHOTS.measure("carry_m"))
    drives = slice(0, 12)
    assert (soft.measure("total_m")[drives] < SHOTS.measure("total_m")[drives]).all()
    assert np.allclose(sand.measure("total_m"), sand.measure("carry_m"))


@pytest.mark.parametrize("ball", ["range", "soft"])
def test_a_ball_is_a_factor_with_its_range(ball: Literal["range", "soft"]) -> None:
    done = restate_shots(SHOTS, HERE, Setting(ball=ball))
    one = done.changes[0]
    factor = BALL_FACTORS[ball]
    assert one.carry_there_m.value == pytest.approx(factor.value * one.carry_here_m)
    assert one.carry_there_m.low == pytest.approx(factor.low * one.carry_here_m, rel=1e-3)
    assert one.carry_there_m.high == pytest.approx(factor.high * one.carry_here_m, rel=1e-3)
    assert any("no source" in text for text in done.said)


def test_range_balls_set_the_level_of_a_tour_ball() -> None:
    ranged = table(longer=0.93)
    done = restate_shots(ranged, Setting(ball="range"), HERE)
    assert done.level.carry_share is not None
    assert done.level.carry_share.value == pytest.approx(1.0, abs=0.01)
    assert np.allclose(done.table.measure("carry_m"), SHOTS.measure("carry_m"), rtol=1e-9)


def test_the_order_of_the_shots_is_nothing() -> None:
    made = shots(5)
    order = np.random.default_rng(3).permutation(len(made))
    done = restate_shots(ShotTable.of(made), HERE, HIGH).table.measure("carry_m")
    mixed = restate_shots(ShotTable.of([made[i] for i in order]), HERE, HIGH).table.measure("carry_m")
    assert np.allclose(mixed, done[order], rtol=1e-12)


def test_a_restated_table_is_written_and_read_back(tmp_path: Path) -> None:
    done = restate_shots(SHOTS, HERE, HIGH).table
    write_shots(done, tmp_path / "there.csv")
    back = read_shots(tmp_path / "there.csv").table
    for name in done.measures:
        assert np.array_equal(back.measure(name), done.measure(name)), name


def test_no_shots_are_no_trouble() -> None:
    done = restate_shots(ShotTable.of([]), HERE, COLD)
    assert (done.table.n, done.changes, done.inferred, dict(done.not_restated)) == (0, (), 0, {})
    assert done.level.why_not


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"here": "winter"}, "here is no setting"),
        ({"there": None}, "there is no setting"),
        ({"table": [1, 2]}, "list is no table"),
        ({"level": 1.05}, "level is no level"),
        ({"law": "magic"}, "magic"),
    ],
)
def test_what_cannot_be_used_is_named(given: dict[str, Any], words: str) -> None:
    use: dict[str, Any] = {"table": SHOTS, "here": HERE, "there": COLD} | given
    with pytest.raises(InputError, match=words):
        restate_shots(use.pop("table"), use.pop("here"), use.pop("there"), **use)


@pytest.mark.parametrize(
    "given", [{"ball": "feather"}, {"ball": None}, {"air": 1.2}, {"wind": 3}, {"turf": "x"}]
)
def test_a_setting_refuses_what_it_is_not(given: dict[str, Any]) -> None:
    with pytest.raises(InputError, match="setting"):
        Setting(**given)


def test_figures_that_are_no_numbers_become_missing() -> None:
    one = replace(shots(1)[0], apex_m=math.inf, descent_rad=2.0, time_s=-math.inf)
    done = restate_shots(ShotTable.of([one]), HERE, COLD)
    got = done.table.shot(0)
    assert "Figures that no golf shot has, left out: 3." in done.said
    assert (got.apex_m, got.descent_rad, got.time_s) == (None, None, None)
    assert got.carry_m is not None


def test_what_is_said_names_both_settings() -> None:
    done = restate_shots(SHOTS, Setting(STANDARD), Setting(HIGH.air, Wind(5.0, math.pi)))
    assert "not said, so standard air" in done.said[0]
    assert "wind 5.0 m/s from 180°" in done.said[0]


def test_visits_in_different_air_are_told_apart() -> None:
    made = shots(2)
    two = ShotTable.of([replace(s, visit="spring" if i % 2 else "summer") for i, s in enumerate(made)])
    told = {"spring": Conditions("spring", air="8 C, still"), "summer": Conditions("summer", air="28 C")}
    done = restate_shots(two, HERE, COLD, conditions=told)
    assert any("different air" in text and "28 C" in text for text in done.said)
    same = {name: replace(one, air="8 C") for name, one in told.items()}
    assert not any("different air" in text for text in restate_shots(two, HERE, COLD, conditions=same).said)


def test_flights_beyond_the_law_are_counted() -> None:
    """A wedge's spin ratio is higher than what the law was fitted to; a drive's is not."""
    words = "Flights that leave what the law was fitted to"
    assert any(text.startswith(f"{words}: 12.") for text in restate_shots(SHOTS, HERE, COLD).said)
    drives = ShotTable.of(shots(3)[:3])
    assert not any(words in text for text in restate_shots(drives, HERE, COLD).said)


@pytest.mark.parametrize("value", [math.inf, -math.inf, 1e300, -1e300, 1e-300, 0.0, -1.0])
@pytest.mark.parametrize("name", [*FIGURES, "club_speed_mps", "backspin_rpm", "spin_rpm", "launch_rad"])
def test_hostile_figures_are_left_out_or_counted(name: str, value: float) -> None:
    """Warnings are errors here: nothing overflows, and the other shots are as without it."""
    made = shots(2)
    odd: dict[str, Any] = {name: value, "speed_ratio": 1.0}
    bad = replace(made[0], **odd)
    if name == "club_speed_mps":
        bad = replace(bad, ball_speed_mps=None)
    done = restate_shots(ShotTable.of([bad, *made[1:]]), HERE, COLD).table
    for figure in FIGURES:
        column = done.measure(figure)
        assert not np.isinf(column).any()
        assert np.isfinite(column[1:]).all()
