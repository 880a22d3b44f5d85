"""Marks that the model suggests."""

from __future__ import annotations

import pytest

from bagwright.dispersion.fit import fit_dispersion
from bagwright.dispersion.marks import suggest_marks
from bagwright.shots.record import Mark, ShotTable
from tests.unit.dispersion.shots import PLAYER, hit

CARRIES = [151.0, 144.0, 148.0, 139.0, 150.0, 146.0, 104.0, 230.0]
SIDES = [4.0, -9.0, 1.0, 12.0, -3.0, 2.0, 16.0, -60.0]


def test_short_is_a_mishit_and_impossible_a_bad_read() -> None:
    table = ShotTable.of(hit(CARRIES, SIDES))
    marks = suggest_marks(fit_dispersion(table, PLAYER), table)
    assert {i: mark.kind for i, mark in marks.items()} == {6: "mishit", 7: "bad-read"}
    for mark in marks.values():
        assert mark.author == "model"
        assert mark.probability is not None
        assert 0.5 < mark.probability <= 1.0
        assert mark.reason


def test_a_marked_shot_gets_no_second_mark() -> None:
    table = ShotTable.of(hit(CARRIES, SIDES)).with_marks({6: Mark("mishit", "thin", "professional")})
    assert set(suggest_marks(fit_dispersion(table, PLAYER), table)) == {7}


def test_a_higher_threshold_marks_fewer() -> None:
    table = ShotTable.of(hit([*CARRIES[:6], 121.0], SIDES[:7]))
    fits = fit_dispersion(table, PLAYER)
    assert len(suggest_marks(fits, table, 0.999999)) <= len(suggest_marks(fits, table))
    probability = 1.0 - fits.solid_probability[6]
    assert (6 in suggest_marks(fits, table)) == pytest.approx(probability > 0.5)
