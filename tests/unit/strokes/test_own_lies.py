"""Shots that the player hit from a lie overrule the table, the more the more they are."""

from __future__ import annotations

import numpy as np
import pytest

from bagwright.bag.club import Bag, Club, Player
from bagwright.course.lies import Lie
from bagwright.dispersion.fit import fit_dispersion
from bagwright.shots.record import Shot, ShotTable
from bagwright.strokes.kernels import SWINGS, full_kernels
from bagwright.strokes.lie_table import EFFECTS
from bagwright.strokes.own_lies import CLUB_SD, KIND_SD, OwnLie, own_lies
from bagwright.strokes.table import patterns_of
from tests.unit.strokes.finish import find

PLAYER = Player(handicap=12.0, driver_speed_mps=44.0)
BAG = Bag(PLAYER, tuple(Club(f"{n} iron", "iron", str(n), stamped_loft_deg=8.5 + 3.5 * n) for n in (6, 7, 8)))
TABLE = EFFECTS[Lie.ROUGH, "iron"].distance


def balls(n_rough: int, factor: float, lie: str = "rough") -> ShotTable:
    """30 balls of each iron from a good lie, and some of the 7 iron from another one."""
    rng = np.random.default_rng(4)
    shots: list[Shot] = []
    for club, carry in (("6 iron", 148.0), ("7 iron", 138.0), ("8 iron", 128.0)):
        for _ in range(30):
            a, b = rng.standard_normal(2)
            shots.append(Shot(club, len(shots), carry_m=carry + 5.0 * a, offline_m=7.0 * b))
    for i in range(n_rough):
        off = 5.0 * np.sin(2.0 * i)
        shots.append(Shot("7 iron", len(shots), carry_m=138.0 * factor + off, offline_m=off, lie=lie))
    return ShotTable.of(shots)


def factors(n_rough: int, factor: float, lie: str = "rough") -> dict[tuple[str, Lie], OwnLie]:
    fits = fit_dispersion(balls(n_rough, factor, lie), PLAYER, BAG)
    return own_lies(fits, full_kernels(BAG, fits, {}, SWINGS))


def test_without_shots_from_a_lie_the_table_stands() -> None:
    assert factors(0, 1.0) == {}


def test_one_shot_moves_little_and_twenty_rule() -> None:
    seen = 0.84
    one, many = (factors(n, seen)["7 iron", Lie.ROUGH] for n in (1, 20))
    assert many.n == 20
    assert TABLE * many.distance == pytest.approx(seen, abs=0.02)
    # The closed form for one ball of 4-5 % sd: most of a small difference stays with the table.
    assert many.distance < one.distance < 1.0


def test_another_club_of_the_kind_moves_less_and_deep_rough_with_it() -> None:
    found = factors(20, 0.84)
    assert found["7 iron", Lie.ROUGH].distance < found["6 iron", Lie.ROUGH].distance < 1.0
    assert found["6 iron", Lie.ROUGH].n == 0
    assert found["7 iron", Lie.DEEP] == found["7 iron", Lie.ROUGH]
    assert ("7 iron", Lie.SAND) not in found


def test_two_levels_in_closed_form() -> None:
    """By hand: with endless shots the kind's share of a difference is KIND^2 / (KIND^2 + CLUB^2)."""
    found = factors(400, 0.84)
    own, kind = (np.log(found[club, Lie.ROUGH].distance) for club in ("7 iron", "8 iron"))
    assert kind / own == pytest.approx(KIND_SD**2 / (KIND_SD**2 + CLUB_SD**2), abs=0.02)


@pytest.mark.parametrize(("word", "lie"), [("sand", Lie.SAND), ("recovery", Lie.RECOVERY)])
def test_other_lies(word: str, lie: Lie) -> None:
    assert set(factors(5, 0.8, word)) == {(club.name, lie) for club in BAG.clubs}


def test_the_table_of_patterns_takes_them_over_and_says_so() -> None:
    plain, own = (patterns_of(BAG, None, fit_dispersion(balls(n, 0.80), PLAYER, BAG)) for n in (0, 20))
    seven = find(plain, "7 iron")
    lost = own.parts[Lie.ROUGH, seven, 0, 1] / plain.parts[Lie.ROUGH, seven, 0, 1]
    assert lost == pytest.approx(0.80 / TABLE, abs=0.03)
    assert own.parts[Lie.FAIRWAY, seven, 0, 1] == pytest.approx(
        plain.parts[Lie.FAIRWAY, seven, 0, 1], rel=0.01
    )
    assert any("From rough" in text and "7 iron" in text for text in own.said)
    assert not any("From rough" in text for text in plain.said)
