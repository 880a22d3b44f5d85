"""The table of a player's shots: what is in it, what is said, what is refused, and both hands alike."""

from __future__ import annotations

import math

import numpy as np
import pytest

import bagwright
from bagwright.air import Wind
from bagwright.bag.club import Bag, Club, Player
from bagwright.course.lies import PLAYED_FROM, Lie
from bagwright.dispersion.dispersions import Dispersions
from bagwright.dispersion.fit import fit_dispersion
from bagwright.errors import InputError
from bagwright.shots.record import Shot, ShotTable
from bagwright.strokes.kernels import SWINGS, full_kernels
from bagwright.strokes.on_course import on_course
from bagwright.strokes.patterns import RUN_LIES, PatternTable
from bagwright.strokes.reference import reference_player
from bagwright.strokes.table import in_winds, patterns_of
from bagwright.turf import Turf
from tests.unit.strokes.finish import find, finish, moments

PLAYER = Player(handicap=12.0, driver_speed_mps=44.0)
CLUBS = (
    Club("Driver", "driver", "1", stamped_loft_deg=10.5, use=("tee",)),
    Club("3 wood", "wood", "3", stamped_loft_deg=15.0),
    Club("7 iron", "iron", "7", stamped_loft_deg=33.0),
    Club("54 wedge", "wedge", "54", stamped_loft_deg=54.0, use=("not from lava",)),
    Club("Putter", "putter"),
    Club("9 wood", "wood", "9", stamped_loft_deg=24.0, status="former"),
)
BAG = Bag(PLAYER, CLUBS)


def fits_of(sign: float = 1.0, flat_out: bool = False) -> Dispersions:
    rng = np.random.default_rng(11)
    shots: list[Shot] = []
    for club, carry, swing in (("Driver", 200.0, ""), ("7 iron", 138.0, ""), ("Driver", 206.0, "flat-out")):
        if swing and not flat_out:
            continue
        for _ in range(12):
            a, b = rng.standard_normal(2)
            side = 6.0 + 9.0 * (0.6 * a + 0.8 * b)
            shots.append(Shot(club, len(shots), carry_m=carry + 6.0 * a, offline_m=sign * side, swing=swing))
    return fit_dispersion(ShotTable.of(shots), PLAYER, BAG)


@pytest.fixture(scope="module")
def fits() -> Dispersions:
    return fits_of(flat_out=True)


@pytest.fixture(scope="module")
def table(fits: Dispersions) -> PatternTable:
    return patterns_of(BAG, None, fits)


def test_it_holds_every_club_to_hit_with_its_swings_and_pitches(table: PatternTable) -> None:
    swings = {(shot.club, shot.swing) for shot in table.shots if shot.length_m is None}
    assert swings == {(c, s) for c in ("Driver", "3 wood", "7 iron", "54 wedge") for s in SWINGS} | {
        ("Driver", "flat-out")
    }
    assert {shot.club for shot in table.shots if shot.length_m is not None} == {"54 wedge"}
    assert len(set(table.shots)) == table.n


def test_numbers_are_possible(table: PatternTable) -> None:
    for name in ("parts", "tan_descent", "run_m", "run_sd_m", "putts"):
        assert np.isfinite(getattr(table, name)).all()
    used = table.parts[..., 0] > 0.0
    assert (table.parts[..., 3:5][used] > 0.0).all()
    assert (np.abs(table.parts[..., 5]) <= 0.95).all()
    assert (table.parts[..., 1][used] > 0.0).all()
    assert (table.run_sd_m >= 0.0).all()
    assert (table.run_m.min(-1) >= -4.0).all()
    fairway, rough, _, soft = (table.run_m[..., RUN_LIES.index(name)] for name in RUN_LIES)
    runs = fairway > 1.0
    assert (rough[runs] < fairway[runs]).all()
    assert (soft[runs] < rough[runs].clip(0.5)).all()


def test_moments_of_a_full_shot_are_those_of_the_fit(table: PatternTable, fits: Dispersions) -> None:
    """From a good lie the solid parts have the centre, variance and correlation of predictive and course."""
    for kernel in (on_course(one, 12.0) for one in full_kernels(BAG, fits, {}, SWINGS)):
        lie = Lie.TEE if kernel.kind == "driver" else Lie.FAIRWAY
        part = table.parts[lie, find(table, kernel.shot.club, kernel.shot.swing)]
        solid = part[:3].copy()
        solid[:, 0] /= solid[:, 0].sum()
        x, sd_x, y, sd_y = moments(solid)
        assert x == pytest.approx(kernel.x_m, abs=0.2)
        assert y == pytest.approx(kernel.y_m, abs=0.05)
        assert sd_x == pytest.approx(math.sqrt(kernel.x_var_m2), rel=0.01)
        assert sd_y == pytest.approx(math.sqrt(kernel.y_var_m2), rel=0.01)
        assert part[3, 0] == pytest.approx(kernel.mishit)
        assert part[0, 5] == pytest.approx(kernel.correlation)


@pytest.mark.parametrize("lie", [Lie.FAIRWAY, Lie.ROUGH, Lie.RECOVERY])
def test_balls_drawn_from_a_pattern_have_its_moments(table: PatternTable, lie: Lie) -> None:
    """Sampling against the closed form of a mixture, mishits, tails, trees and run in it."""
    for shot in (find(table, "7 iron"), find(table, "54 wedge", length_m=30.0)):
        x, y = finish(table, lie, shot, 200_000)
        green = RUN_LIES.index("green")
        mean, sd, side, side_sd = moments(table.parts[lie, shot])
        whole = math.hypot(sd, table.run_sd_m[lie, shot, green])
        assert x.mean() == pytest.approx(mean + table.run_m[lie, shot, green], abs=5.0 * whole / 447.0)
        assert y.mean() == pytest.approx(side, abs=5.0 * side_sd / 447.0)
        assert (x.std(), y.std()) == pytest.approx((whole, side_sd), rel=0.015)


def test_mishits_come_down_short(table: PatternTable) -> None:
    for shot in range(table.n):
        parts = table.parts[Lie.FAIRWAY, shot]
        assert parts[3, 1] < parts[0, 1]
        assert parts[3, 4] > parts[0, 4]


def test_a_lie_and_the_player_allow_what_they_do(table: PatternTable) -> None:
    driver, wood, wedge = (find(table, club) for club in ("Driver", "3 wood", "54 wedge"))
    assert table.allowed[:, driver].tolist() == [lie is Lie.TEE for lie in PLAYED_FROM]
    assert table.allowed[:, wood].tolist() == [True, True, False, False, False, False]
    assert table.allowed[:, wedge].all()


def test_the_players_own_rules_come_on_top(fits: Dispersions) -> None:
    ruled = patterns_of(BAG, None, fits, own={"3 wood": ["only from tee"], "54 wedge": ["not from sand"]})
    assert ruled.allowed[:, find(ruled, "3 wood")].sum() == 1
    pitch = find(ruled, "54 wedge", length_m=20.0)
    assert not ruled.allowed[Lie.SAND, pitch]
    assert ruled.allowed[Lie.DEEP, pitch]


def test_worse_lies_are_shorter_and_wider(table: PatternTable) -> None:
    seven = find(table, "7 iron")
    fairway, rough, deep, sand = (
        moments(table.parts[lie, seven]) for lie in (Lie.FAIRWAY, Lie.ROUGH, Lie.DEEP, Lie.SAND)
    )
    assert fairway[0] > rough[0] > deep[0]
    assert fairway[3] < rough[3] < deep[3]
    assert sand[0] < fairway[0]
    assert sand[1] > fairway[1]


def test_balls_under_trees_hit_one_now_and_then(table: PatternTable) -> None:
    seven = find(table, "7 iron")
    parts = table.parts[Lie.RECOVERY, seven]
    assert parts[3, 0] == pytest.approx(0.30)
    assert parts[3, 1] < 0.5 * parts[0, 1]
    assert table.tan_descent[Lie.RECOVERY, seven] < 0.8 * table.tan_descent[Lie.FAIRWAY, seven]


def test_a_ball_from_rough_runs_farther_on_a_green(table: PatternTable) -> None:
    """Common practice: grass between face and ball takes spin."""
    seven, green = find(table, "7 iron"), RUN_LIES.index("green")
    assert table.run_m[Lie.ROUGH, seven, green] > table.run_m[Lie.FAIRWAY, seven, green]


def test_a_left_hander_is_the_mirror_image() -> None:
    """Outside: the same shots with left and right exchanged; right stays positive for both hands."""
    right = patterns_of(BAG, None, fits_of(1.0))
    left_bag = Bag(Player(hand="left", handicap=12.0, driver_speed_mps=44.0), CLUBS)
    left = patterns_of(left_bag, None, fits_of(-1.0))
    mirrored = right.parts.copy()
    mirrored[..., 2] *= -1.0
    mirrored[..., 5] *= -1.0
    assert np.allclose(left.parts, mirrored, atol=1e-6)
    assert np.allclose(left.run_m, right.run_m)
    assert np.abs(right.parts[..., 2]).max() > 1.0


def test_unhit_clubs_and_swings_are_wide_and_said(table: PatternTable) -> None:
    seven, wood = (table.parts[Lie.FAIRWAY, find(table, club)][0] for club in ("7 iron", "3 wood"))
    assert wood[3] / wood[1] > 1.1 * seven[3] / seven[1]
    assert any("Never hit" in text and "3 wood" in text and "7 iron" not in text for text in table.said)
    assert any("never hit with" in text and "three-quarter" in text for text in table.said)
    assert any("not from lava" in text for text in table.said)
    assert any("No ball speed" in text for text in table.said)


def test_a_player_without_any_shot_has_a_table_from_handicap_and_speed() -> None:
    some, none = patterns_of(BAG), patterns_of(Bag(Player(), CLUBS))
    assert some.n > 10
    assert any("handicap is not known" in text for text in none.said)
    assert not any("handicap is not known" in text for text in some.said)
    driver = find(some, "Driver")
    # 2.3 yd of carry a mph of head speed (the dispersion room's): 98 mph.
    assert some.parts[Lie.TEE, driver, 0, 1] == pytest.approx(2.3 * 44.0 / 0.44704 * 0.9144, rel=0.06)
    wider = none.parts[Lie.TEE, driver, 0, 3] / none.parts[Lie.TEE, driver, 0, 1]
    assert wider > some.parts[Lie.TEE, driver, 0, 3] / some.parts[Lie.TEE, driver, 0, 1]


def test_firm_ground_runs_farther(fits: Dispersions) -> None:
    soft, firm = (patterns_of(BAG, None, fits, turf=Turf(word, "fairway")) for word in ("soft", "firm"))
    driver = find(soft, "Driver")
    assert firm.run_m[Lie.TEE, driver, 0] > 1.2 * soft.run_m[Lie.TEE, driver, 0]


def test_a_rose_shares_everything_but_the_wind(fits: Dispersions) -> None:
    rose = [(3.0, Wind(4.0, 0.0)), (1.0, None)]
    (a, windy), (b, calm) = in_winds(BAG, rose, None, fits)
    assert (a, b) == (0.75, 0.25)
    assert np.array_equal(windy.parts, calm.parts)
    alone = patterns_of(BAG, None, fits, wind=Wind(4.0, 0.0))
    assert np.allclose(windy.wind_x_m, alone.wind_x_m)
    for weights in ([], [(0.0, None)], [(-1.0, None), (2.0, None)], [(math.inf, None)]):
        with pytest.raises(InputError, match="rose"):
            in_winds(BAG, weights, None, fits)


def test_what_cannot_be_is_refused(fits: Dispersions) -> None:
    with pytest.raises(InputError, match="no club"):
        patterns_of(Bag(PLAYER, (Club("Putter", "putter"),)))
    with pytest.raises(InputError, match="no club of this name"):
        patterns_of(BAG, None, fits, own={"8 wood": ["not from sand"]})
    with pytest.raises(InputError, match="no rule"):
        patterns_of(BAG, None, fits, own={"3 wood": ["from the tee, please"]})
    with pytest.raises(InputError, match="not known"):
        reference_player("champion")  # type: ignore[arg-type]


def test_the_same_again(fits: Dispersions, table: PatternTable) -> None:
    again = patterns_of(BAG, None, fits)
    assert np.array_equal(again.parts, table.parts)
    assert again.said == table.said


def test_the_demo_has_a_table() -> None:
    from importlib.resources import files

    folder = files("bagwright") / "demo"
    bag = bagwright.load_bag(str(folder / "bag.toml"))
    shots = bagwright.read_shots(str(folder / "visit-1-whole-bag.csv"), bag=bag).table
    table = patterns_of(bag, None, bagwright.fit_dispersion(shots, bag.player, bag))
    stock = [k for k, s in enumerate(table.shots) if s.swing == "stock" and s.length_m is None]
    clubs = {table.shots[k].club for k in stock}
    assert len(clubs) == len([c for c in bag.with_status("carried", "candidate") if c.kind != "putter"])
    assert table.allowed[Lie.TEE].all()


def test_published_players_stand_in_order() -> None:
    wide = []
    for level in ("tour", "scratch", "average 90", "bogey"):
        table = reference_player(level).table()
        mean, _, _, side = moments(table.parts[Lie.TEE, find(table, "driver")])
        wide.append(side / mean)
    assert wide == sorted(wide)
    men, women = (reference_player("scratch", sex).table() for sex in ("male", "female"))
    a, b = (t.parts[Lie.TEE, find(t, "driver"), 0, 1] + t.run_m[Lie.TEE, 0, 0] for t in (men, women))
    # World Handicap System, read: 250 and 210 yd.
    assert (a, b) == pytest.approx((250.0 * 0.9144, 210.0 * 0.9144), rel=0.01)
