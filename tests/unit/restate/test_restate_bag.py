"""A bag, its card and a dispersion restated."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from bagwright.air import Wind, air
from bagwright.bag.file import load_bag
from bagwright.demo import copy_demo
from bagwright.dispersion.fit import fit_dispersion
from bagwright.errors import InputError
from bagwright.flight.fly import fly
from bagwright.flight.launch import Launch, Scale
from bagwright.report import gather_air
from bagwright.restate import CARD, Setting, card, restate_bag, restate_dispersion, restate_shots
from bagwright.shots.read import read_shots
from bagwright.shots.record import Conditions, Shot, ShotTable
from bagwright.trial.flown import flown
from bagwright.trial.said import said_of
from bagwright.turf import Turf
from tests.unit.restate.made import HEAD, USUAL, shots, table

HERE = Setting()
SHOTS = table(10)
FITS = fit_dispersion(SHOTS)
THERE = Setting(air(altitude_m=1500.0, temperature_k=288.15), Wind(3.0, 0.5))
USUAL_DRIVE = Launch(66.0, math.radians(12.0), 2700.0)


def test_a_bag_changes_as_its_shots_do() -> None:
    """The club's median strike stands for its shots: within half a metre of the middle of theirs."""
    rows = {row.club: row for row in restate_bag(FITS, SHOTS, None, HERE, THERE).rows}
    assert set(rows) == set(USUAL)
    for one in restate_shots(SHOTS, HERE, THERE).changes:
        got = rows[one.club].change_m.value
        assert got == pytest.approx(one.change_m.value, abs=0.5)


def test_the_card_agrees_with_the_papers_on_the_demo(tmp_path: Path) -> None:
    """The papers level each club to its own carry and height, the card fits one ball: within 0.7 m."""
    copy_demo(tmp_path)
    bag = load_bag(tmp_path / "bag.toml")
    read = read_shots(tmp_path / "visit-1-whole-bag.csv", bag=bag)
    fits, said = fit_dispersion(read.table, bag=bag), said_of(read.conditions)
    (today,) = said.air.values()
    done = card(fits, read.table, bag, Setting(today), conditions=read.conditions)
    assert (len(done.rows), done.unknown) == (13, ())
    labels = [place.label for place in done.places]
    for row in done.rows:
        one = flown(read.table, fits, (row.club, row.swing), bag.find(row.club), said)
        assert one is not None
        scale = Scale(one.drag_factor, one.lift_factor)
        for place in gather_air.PLACES:
            if place.wind is None or not place.label.startswith("cross"):
                there, wind = gather_air.elsewhere(one.air, place)
                paper = fly(one.launch, there, wind, scale=scale).carry_m - one.carry_m.value
                got = row.change_m[labels.index(place.label)].value
                assert got == pytest.approx(paper, abs=0.7)


def test_a_row_holds_the_doubt_of_the_carry_and_of_the_change() -> None:
    for row in restate_bag(FITS, SHOTS, None, HERE, Setting(wind=HEAD)).rows:
        here, by, there = row.carry_here_m, row.change_m, row.carry_there_m
        assert there.value == pytest.approx(here.value + by.value)
        assert there.high - there.value >= by.high - by.value
        assert row.apex_there_m is not None
        assert row.descent_there_rad is not None
        assert row.total_there_m is not None
        fit = FITS[(row.club, "stock")]
        assert fit.apex_m is not None
        assert fit.descent_rad is not None
        assert row.descent_there_rad.value > fit.descent_rad.value
        assert row.apex_there_m.low < row.apex_there_m.value < row.apex_there_m.high


def test_a_soft_fairway_shortens_totals_only() -> None:
    for row in restate_bag(FITS, SHOTS, None, HERE, Setting(turf=Turf("soft"))).rows:
        total = FITS[(row.club, "stock")].total_m
        assert total is not None
        assert row.total_there_m is not None
        assert row.change_m.value == 0.0
        assert row.total_there_m.value < total.value + 0.5


def test_the_card_is_in_order_and_mirrored_across() -> None:
    done = card(FITS, SHOTS, None, HERE)
    labels = [place.label for place in CARD]
    assert [p.label for p in done.places] == labels
    for row in done.rows:
        by = dict(zip(labels, (e.value for e in row.change_m), strict=True))
        side = dict(zip(labels, (e.value for e in row.side_m), strict=True))
        assert by["0 °C"] < by["10 °C"] < by["20 °C"] == pytest.approx(0.0, abs=1e-9)
        assert by["sea level"] == pytest.approx(0.0, abs=0.02)
        assert by["head"] < by["0 °C"] < 0.0 < by["tail"]
        assert by["1500 m"] > 2.0
        assert side["cross from the right"] < -5.0
        assert side["cross from the right"] == pytest.approx(-side["cross from the left"], abs=0.6)


def test_the_card_agrees_with_single_flights() -> None:
    """The level is 1 here, as the shots were flown by the law: changes are those of the median strike."""
    done = card(FITS, SHOTS, None, HERE)
    row = next(row for row in done.rows if row.club == "7 iron")
    speed, launch, spin, direction, axis = (
        float(np.median(SHOTS.measure(name)[10:20]))
        for name in ("ball_speed_mps", "launch_rad", "spin_rpm", "direction_rad", "spin_axis_rad")
    )
    strike = Launch(speed, launch, spin, direction, axis)
    for place, by in zip(done.places, row.change_m, strict=True):
        there = place.setting(HERE)
        ratio = fly(strike, there.air, there.wind).carry_m / fly(strike).carry_m
        assert by.value == pytest.approx(row.carry_here_m.value * (ratio - 1.0), abs=0.15)


def test_a_club_without_a_known_strike_is_named_not_guessed() -> None:
    made = shots(6)
    made += [Shot("9 iron", 100 + i, total_m=120.0 + i, offline_m=1.0) for i in range(5)]
    given = ShotTable.of(made)
    done = restate_bag(fit_dispersion(given), given, None, HERE, THERE)
    assert ("9 iron", "stock") in done.unknown
    assert "9 iron" not in {row.club for row in done.rows}


def test_adjusted_figures_make_no_card() -> None:
    told = {"range day": Conditions("range day", adjusted="adjusted")}
    with pytest.raises(InputError, match="never restated twice"):
        card(FITS, SHOTS, None, HERE, conditions=told)


def test_a_dispersion_there_and_back_is_itself() -> None:
    fit = FITS[("driver", "stock")]
    there = restate_dispersion(fit, USUAL_DRIVE, HERE, THERE)
    moved = replace(
        fit, carry_m=there.carry_m, offline_m=there.offline_m, carry_sd_m=there.carry_sd_m,
        offline_sd_m=there.offline_sd_m,
    )  # fmt: skip
    back = restate_dispersion(moved, USUAL_DRIVE, THERE, HERE)
    for name in ("carry_m", "offline_m", "carry_sd_m", "offline_sd_m"):
        assert getattr(back, name).value == pytest.approx(getattr(fit, name).value, rel=1e-9, abs=1e-9)
    assert there.carry_m.high - there.carry_m.low > fit.carry_m.high - fit.carry_m.low


def test_a_spread_is_that_of_the_restated_shots() -> None:
    """400 strikes that differ in speed, start and tilt: the spreads of their flights in both settings."""
    rng = np.random.default_rng(8)
    wind = Setting(wind=Wind(8.0, math.radians(60.0)))
    landed = []
    for _ in range(400):
        strike = Launch(
            66.0 * rng.normal(1.0, 0.02), USUAL_DRIVE.launch_rad, 2700.0, math.radians(rng.normal(0.0, 1.5)),
            math.radians(rng.normal(0.0, 4.0)),
        )  # fmt: skip
        a, b = fly(strike, tolerance=1e-6), fly(strike, wind=wind.wind, tolerance=1e-6)
        landed.append((a.carry_m, a.offline_m, b.carry_m, b.offline_m))
    sds = np.std(np.array(landed), axis=0)
    fit = FITS[("driver", "stock")]
    asked = replace(
        fit,
        carry_sd_m=replace(fit.carry_sd_m, value=float(sds[0])),
        offline_sd_m=replace(fit.offline_sd_m, value=float(sds[1])),
    )
    got = restate_dispersion(asked, USUAL_DRIVE, HERE, wind)
    assert got.carry_sd_m.value == pytest.approx(sds[2], rel=0.05)
    assert got.offline_sd_m.value == pytest.approx(sds[3], rel=0.05)


@pytest.mark.parametrize("seen", [-0.1, 1.1, math.nan])
def test_a_share_is_a_share(seen: float) -> None:
    with pytest.raises(InputError, match="no share"):
        restate_dispersion(FITS[("driver", "stock")], USUAL_DRIVE, HERE, THERE, seen=seen)
