"""Three normal parts against the moments that they stand for, and against a spread that is really drawn."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import ndtr

from bagwright.strokes.tails import LEAST, three_parts

shares = st.floats(0.0, 1.0)


@given(st.floats(0.0, 1.2), st.floats(0.0, 1.2), st.floats(0.3, 6.0), shares)
def test_the_parts_have_the_variance_and_the_kurtosis_asked_for(
    x: float, y: float, skew: float, tie: float
) -> None:
    w, vx, vy = (a[0] for a in three_parts(*(np.array([v]) for v in (x, y, skew, tie))))
    assert w.sum() == pytest.approx(1.0)
    assert vx.min() >= LEAST - 1e-9
    assert vy.min() >= LEAST - 1e-9
    assert w @ vx == pytest.approx(1.0)
    assert w @ vy == pytest.approx(1.0)
    # Fourth moment of a normal mixture: 3 E[V^2]; V of variance tail^2 around 1.
    assert w @ vx**2 == pytest.approx(1.0 + x**2)
    assert w @ vy**2 == pytest.approx(1.0 + y**2)


def test_the_two_axes_are_tied_as_asked() -> None:
    w, vx, vy = (a[0] for a in three_parts(*(np.array([v]) for v in (0.4, 0.3, 1.5, 0.5))))
    assert w @ (vx * vy) - 1.0 == pytest.approx(0.5 * 0.4 * 0.3)


def test_tails_follow_a_spread_drawn_from_a_log_normal() -> None:
    """Outside: 1e6 strikes whose sd is log-normal (0.25), as in the dispersion room."""
    rng = np.random.default_rng(5)
    v = np.exp(2.0 * 0.25 * rng.standard_normal(1_000_000))
    z = np.abs(rng.standard_normal(v.size) * np.sqrt(v / v.mean()))
    tail = np.array([v.std() / v.mean()])
    skew = np.array([((v - v.mean()) ** 3).mean() / v.std() ** 3])
    w, vx, _ = (a[0] for a in three_parts(tail, tail, skew, np.array([0.5])))
    for far in (0.7, 1.0, 1.65, 2.0, 2.6, 3.3):
        ours = float(w @ (2.0 * ndtr(-far / np.sqrt(vx))))
        seen = float((z > far).mean())
        assert ours == pytest.approx(seen, abs=0.009)
        if far > 2.5:
            assert ours == pytest.approx(seen, rel=0.2)
            # A single normal has less than two thirds of them out there.
            assert float(2.0 * ndtr(-far)) < 0.67 * seen
