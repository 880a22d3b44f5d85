"""Shots drawn anew: as many of each club as there were, none that was not hit; the spread by hand."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from bagwright.report.strokes.doubt import Doubt, doubt_of, drawn_anew
from bagwright.shots.record import Shot, ShotTable


def test_every_club_keeps_its_number_of_shots_and_only_hit_ones_come_up() -> None:
    shots = [Shot(club="A" if i < 6 else "B", order=i + 1, carry_m=100.0 + i) for i in range(9)]
    table = ShotTable.of(shots)
    drawn = drawn_anew(table, np.random.default_rng(1))
    assert Counter(drawn.text("club")) == Counter(table.text("club"))
    there = set(zip(table.text("club"), table.measures["carry_m"], strict=True))
    assert set(zip(drawn.text("club"), drawn.measures["carry_m"], strict=True)) <= there
    assert not np.array_equal(drawn.measures["carry_m"], table.measures["carry_m"])


def test_the_spread_of_the_draws_by_hand() -> None:
    found = doubt_of([{1: 4.0, 2: 3.0}, {1: 4.2, 2: 3.1}, {1: 4.4, 2: 2.9}])
    assert found.holes[1] == pytest.approx(0.2)
    assert found.holes[2] == pytest.approx(0.1)
    # Rounds of 7.0, 7.3 and 7.3.
    assert found.strokes == pytest.approx((2 * 0.1**2 + 0.2**2) ** 0.5 / 2**0.5)
    assert Doubt.of(found.plain()) == found
    with pytest.raises(ValueError, match="two draws"):
        doubt_of([{1: 4.0}])
