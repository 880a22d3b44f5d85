"""Pitches, chips and bunker shots: lengths, spread by lie and skill, and how they join the full swing."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagwright.bag.club import Bag, Club, Player
from bagwright.course.lies import Lie
from bagwright.strokes import short_game
from bagwright.strokes.patterns import RUN_LIES, PatternTable
from bagwright.strokes.reference import reference_player
from bagwright.strokes.table import patterns_of
from tests.unit.strokes.finish import find, finish, moments

handicaps = st.floats(-6.0, 54.0)
GREEN = RUN_LIES.index("green")


@given(handicaps)
def test_the_ladder_is_as_fine_as_the_player_is_exact(handicap: float) -> None:
    ladder = short_game.ladder_m(handicap)
    assert ladder[0] == short_game.SHORTEST_M
    assert ladder[-1] == short_game.LONGEST_M
    sd = short_game.LONG * short_game.short_sd_m(np.array(ladder), handicap)[Lie.FAIRWAY]
    for k, (a, b) in enumerate(itertools.pairwise(ladder)):
        assert 0.9 * short_game.RUNG_SD * sd[k] <= b - a <= 1.1 * short_game.RUNG_SD * sd[k + 1]
    assert 5 <= len(ladder) <= 32


@given(handicaps, st.floats(3.0, 90.0))
def test_worse_lies_and_worse_players_are_wider(handicap: float, length: float) -> None:
    sd = short_game.short_sd_m(np.array([length]), handicap)[:, 0]
    assert sd[Lie.TEE] == sd[Lie.FAIRWAY] < sd[Lie.ROUGH] < sd[Lie.DEEP] <= sd[Lie.RECOVERY]
    assert sd[Lie.FAIRWAY] < sd[Lie.SAND]
    better = short_game.short_sd_m(np.array([length]), max(handicap - 5.0, -6.0))[:, 0]
    assert (better <= sd).all()
    assert 0.0 < short_game.mishit_share(handicap) < 0.4


@pytest.fixture(scope="module")
def ninety() -> PatternTable:
    return reference_player("average 90").table()


def test_a_solid_pitch_finishes_its_length_away_on_a_green(ninety: PatternTable) -> None:
    for shot, told in enumerate(ninety.shots):
        if told.length_m is not None:
            for lie in (Lie.FAIRWAY, Lie.ROUGH, Lie.SAND):
                whole = ninety.parts[lie, shot, 0, 1] + ninety.run_m[lie, shot, GREEN]
                assert whole == pytest.approx(told.length_m, rel=0.05, abs=0.3)


def test_carry_and_run_of_a_pitch_make_up_its_spread(ninety: PatternTable) -> None:
    """The published leaves have the run in them: what finishes is as wide as the model says, not wider."""
    shot = find(ninety, "60 wedge", length_m=25.0)
    length = np.array([ninety.shots[shot].length_m or 0.0])
    x, _ = finish(ninety, Lie.FAIRWAY, shot)
    solid = np.abs(x - np.median(x)) < 3.5 * short_game.short_sd_m(length, 16.0)[Lie.FAIRWAY][0]
    wanted = short_game.LONG * short_game.short_sd_m(length, 16.0)[Lie.FAIRWAY][0]
    assert x[solid].std() == pytest.approx(wanted, rel=0.2)
    assert ninety.run_sd_m[Lie.FAIRWAY, shot, GREEN] <= 0.6 * wanted + 1e-9


def test_lofted_wedges_carry_more_of_the_same_length(ninety: PatternTable) -> None:
    shares = []
    for club in ("pitching wedge", "gap wedge", "56 wedge", "60 wedge"):
        shot = find(ninety, club, length_m=25.0)
        shares.append(ninety.parts[Lie.FAIRWAY, shot, 0, 1] / (ninety.shots[shot].length_m or 1.0))
    assert shares == sorted(shares)


def test_towards_its_full_length_a_pitch_becomes_the_wedge(ninety: PatternTable) -> None:
    full = moments(ninety.parts[Lie.FAIRWAY, find(ninety, "gap wedge")])
    pitches = [k for k, s in enumerate(ninety.shots) if s.club == "gap wedge" and s.length_m is not None]
    longest = moments(ninety.parts[Lie.FAIRWAY, pitches[-1]])
    assert longest[0] < full[0]
    assert longest[3] / longest[0] == pytest.approx(full[3] / full[0], rel=0.35)


def bag(bounce: float, sole: str, sand: str, turf: str) -> Bag:
    wedge = Club("56 wedge", "wedge", "56", stamped_loft_deg=56.0, bounce_deg=bounce, sole=sole)
    return Bag(Player(handicap=10.0, driver_speed_mps=45.0, sand=sand, turf=turf), (wedge,))


def test_a_sole_that_does_not_suit_widens_bunker_shots_and_pitches_only_there() -> None:
    good = patterns_of(bag(14.0, "wide", "soft", "soft"))
    ill = patterns_of(bag(4.0, "narrow", "soft, deep", "firm"))
    pitch, full = find(good, "56 wedge", length_m=20.0), find(good, "56 wedge")
    for shot in (pitch, full):
        a, b = (moments(t.parts[Lie.SAND, shot]) for t in (good, ill))
        assert b[1] > 1.05 * a[1]
        assert ill.parts[Lie.SAND, shot, 3, 0] > 1.2 * good.parts[Lie.SAND, shot, 3, 0]
    # Little bounce suits firm turf, and a full shot from turf knows nothing of soles.
    assert np.allclose(ill.parts[Lie.FAIRWAY], good.parts[Lie.FAIRWAY])
    firm = patterns_of(bag(14.0, "wide", "soft", "firm"))
    assert moments(firm.parts[Lie.FAIRWAY, pitch])[1] > 1.05 * moments(good.parts[Lie.FAIRWAY, pitch])[1]
    assert np.allclose(firm.parts[Lie.FAIRWAY, full], good.parts[Lie.FAIRWAY, full])


def test_without_a_wedge_the_most_lofted_club_pitches() -> None:
    nine = Club("9 iron", "iron", "9", stamped_loft_deg=42.0)
    five = Club("5 iron", "iron", "5", stamped_loft_deg=27.0)
    table = patterns_of(Bag(Player(handicap=20.0), (five, nine)))
    assert {shot.club for shot in table.shots if shot.length_m is not None} == {"9 iron"}
