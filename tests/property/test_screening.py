"""Screening over many tables: centring and chances hold, hostile figures are judged or passed over."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagwright.shots.centre import group_medians, others_median
from bagwright.shots.chance import bad_chances
from bagwright.shots.physics import check_physics
from bagwright.shots.record import Shot, ShotTable

VALUES = st.lists(
    st.tuples(st.floats(-1.0, 1.0, allow_nan=False), st.integers(0, 3)), min_size=1, max_size=40
)


@given(VALUES)
def test_the_median_of_the_others_is_that_of_numpy(pairs: list[tuple[float, int]]) -> None:
    values = np.array([v for v, _ in pairs])
    group = np.array([g for _, g in pairs])
    found, others = others_median(values, group)
    for i in range(len(values)):
        rest = np.delete(values, i)[np.delete(group, i) == group[i]]
        assert others[i] == len(rest)
        assert np.isnan(found[i]) if not len(rest) else found[i] == pytest.approx(np.median(rest))


@given(VALUES)
def test_group_medians_are_those_of_numpy(pairs: list[tuple[float, int]]) -> None:
    values = np.array([v for v, _ in pairs])
    group = np.array([g for _, g in pairs])
    for g, median in zip(*group_medians(values, group), strict=True):
        assert median == pytest.approx(np.median(values[group == g]))


@given(st.lists(st.floats(-0.5, 0.5), min_size=1, max_size=30), st.booleans())
def test_chances_lie_between_nought_and_one_and_grow_with_the_gap(gaps: list[float], tall: bool) -> None:
    carry = np.sort(np.abs(np.array(gaps)))
    height = np.zeros(len(carry)) if tall else np.full(len(carry), np.nan)
    chance, share = bad_chances(carry, np.full(len(carry), 0.02), height, np.full(len(carry), 0.04), 0.4)
    assert ((chance >= 0.0) & (chance <= 1.0)).all()
    assert 0.0 < share < 1.0
    near, far = carry < 0.03, carry > 0.2
    if near.any() and far.any():
        assert chance[near].max() < chance[far].min()


FIGURES = st.one_of(st.none(), st.floats(-1e6, 1e6), st.sampled_from([0.0, 50.0, 150.0, 0.3, 6000.0]))


@given(st.lists(st.tuples(FIGURES, FIGURES, FIGURES, FIGURES, FIGURES), min_size=1, max_size=12))
def test_hostile_figures_are_judged_or_passed_over_never_an_error(
    rows: list[tuple[float | None, float | None, float | None, float | None, float | None]],
) -> None:
    table = ShotTable.of(
        [
            Shot("7 iron", i + 1, carry_m=c, apex_m=a, ball_speed_mps=v, launch_rad=t, spin_rpm=s)
            for i, (c, a, v, t, s) in enumerate(rows)
        ]
    )
    found = check_physics(table)
    judged = np.isfinite(found.distance)
    assert set(found.marks) <= set(np.flatnonzero(judged).tolist())
    for mark in found.marks.values():
        assert mark.probability is not None
        assert 0.0 <= mark.probability <= 1.0
        assert mark.reason
