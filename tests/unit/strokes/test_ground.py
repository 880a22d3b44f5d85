"""Runs as mean and sd: against the turf model itself, ball by ball, and against its published band."""

from __future__ import annotations

import numpy as np
import pytest

from bagwright.strokes.ground import DESCENT_SD, SPEED_SD, SPIN_SD, Grounds, run_at, run_with_sd
from bagwright.turf import Turf, run
from bagwright.turf.many import run_many

LANDINGS = {
    # m/s, degrees, rpm: rows of docs/turf.md
    "fast drive": (29.0, 36.0, 2188.0), "fairway wood": (26.6, 38.0, 3014.0),
    "mid iron": (23.2, 47.0, 5841.0), "short iron": (22.4, 49.0, 7495.0),
}  # fmt: skip
GROUNDS = Grounds(Turf())


@pytest.mark.parametrize("firmness", ["firm", "soft"])
def test_the_grid_reads_like_the_model(firmness: str) -> None:
    """Outside: the turf model asked for 2,000 landings that are not on the grid."""
    turf = Turf(firmness)  # type: ignore[arg-type]
    rng = np.random.default_rng(2)
    speed, descent = rng.uniform(5.0, 32.0, 2000), np.radians(rng.uniform(20.0, 55.0, 2000))
    spin = rng.uniform(500.0, 9500.0, 2000)
    off = run_at(turf, speed, descent, spin) - run_many(speed, descent, spin, turf)
    assert np.abs(off).mean() < 0.3
    assert np.quantile(np.abs(off), 0.99) < 2.5


@pytest.mark.parametrize("ball", LANDINGS)
@pytest.mark.parametrize("name", ["fairway", "green"])
def test_mean_and_sd_follow_landings_drawn_ball_by_ball(ball: str, name: str) -> None:
    """Outside: 20,000 landings around the middle one, each through the turf model; the doubt is taken off."""
    speed, descent, spin = LANDINGS[ball]
    rng = np.random.default_rng(3)
    a, b, c = rng.standard_normal((3, 20_000))
    runs = run_many(
        speed * (1.0 + SPEED_SD * a), np.radians(descent) * (1.0 + DESCENT_SD * b),
        np.maximum(spin * (1.0 + SPIN_SD * c), 0.0), GROUNDS.of(name),
    )  # fmt: skip
    one = (np.array([speed]), np.radians([descent]), np.array([spin]))
    mean, sd = run_with_sd(name, GROUNDS, one)
    assert mean[0] == pytest.approx(runs.mean(), abs=0.6)
    assert sd[0] > 0.9 * runs.std()


@pytest.mark.parametrize("ball", LANDINGS)
@pytest.mark.parametrize("name", ["fairway", "rough"])
def test_the_spread_is_about_the_band_of_the_turf_page(ball: str, name: str) -> None:
    """The turf model's own 90 % band (251 draws of its inputs); ours adds the ball's own spread."""
    speed, descent, spin = LANDINGS[ball]
    band = run(speed, np.radians(descent), spin, GROUNDS.of(name)).run_m
    one = (np.array([speed]), np.radians([descent]), np.array([spin]))
    mean, sd = run_with_sd(name, GROUNDS, one)
    assert band.low <= mean[0] <= band.high
    assert 0.35 * (band.high - band.low) / 3.29 < sd[0] < 1.8 * (band.high - band.low) / 3.29 + 1.0


def test_sand_and_trees_stop_a_ball() -> None:
    one = (np.array([28.0]), np.radians([36.0]), np.array([2200.0]))
    soft, rough, fairway = (run_with_sd(name, GROUNDS, one)[0][0] for name in ("soft", "rough", "fairway"))
    assert soft < 0.3 * rough < 0.2 * fairway
