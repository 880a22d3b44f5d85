"""What is remembered or shared between questions changes no figure, to the last bit."""

from __future__ import annotations

import threading
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from bagwright.air import air
from bagwright.bag.club import Club
from bagwright.dispersion.fit import fit_dispersion
from bagwright.flight.launch import Launch
from bagwright.shots.record import Shot, ShotTable
from bagwright.trial import flown as room
from bagwright.trial.flown import Flown, flown, path_of
from bagwright.trial.miss import Pattern
from bagwright.trial.said import Said
from bagwright.trial.value import MissBelief, choices, miss_worth
from bagwright.turf.doubts import draws, grounds_of, landings_of, normals
from bagwright.turf.ground import GREEN, Firmness
from bagwright.turf.hold import UNEVEN_M, holds
from bagwright.turf.runs import run, run_m_of

KEY = ("7 iron", "stock")


def table(more_m: float = 0.0) -> ShotTable:
    rng = np.random.default_rng(11)
    launch = Launch(46.5, 0.32, 6100.0)
    return ShotTable.of(
        [
            Shot(
                "7 iron", i + 1, visit="a", carry_m=130.0 + more_m + float(rng.normal(0, 4)), offline_m=0.0,
                ball_speed_mps=launch.ball_speed_mps * (1 + 0.02 * float(rng.standard_normal())),
                launch_rad=launch.launch_rad, spin_rpm=launch.spin_rpm,
            )
            for i in range(6)
        ]
    )  # fmt: skip


def of(shots: ShotTable, said: Said | None = None) -> Flown:
    found = flown(shots, fit_dispersion(shots), KEY, Club("7 iron", "iron"), said)
    assert found is not None
    return found


@pytest.fixture(autouse=True)
def _forget() -> None:
    room._worked_out.cache_clear()
    path_of.cache_clear()


def test_a_remembered_flight_is_the_flight() -> None:
    fresh = of(table())
    path = path_of(fresh)
    assert room._worked_out.cache_info().misses == 1
    again = of(table())
    assert room._worked_out.cache_info().hits == 1
    room._worked_out.cache_clear()
    path_of.cache_clear()
    assert again == of(table()) == fresh
    assert path_of(again) == path


def test_other_shots_or_another_air_are_another_flight() -> None:
    """Nothing that a flight rests on is missing from what it is remembered by."""
    fresh = of(table())
    other = of(table(0.001))
    assert other.carry_m != fresh.carry_m
    cold = of(table(), Said({"a": air(temperature_k=273.15)}))
    assert cold.air_said
    assert cold.drag_factor != fresh.drag_factor
    assert room._worked_out.cache_info().hits == 0


def test_many_threads_are_given_the_same_flight() -> None:
    shots = table()
    fits = fit_dispersion(shots)
    fits.solid_probability  # noqa: B018 - worked out once, so that the threads meet at the flight
    found: list[Flown | None] = []
    threads = [
        threading.Thread(target=lambda: found.append(flown(shots, fits, KEY, Club("7 iron", "iron"))))
        for _ in range(6)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(found) == 6
    assert all(one == found[0] for one in found)


def test_what_is_kept_is_bounded() -> None:
    for cache in (room._worked_out, path_of, grounds_of, landings_of):
        assert 0 < (cache.cache_info().maxsize or 0) <= 256


def pattern() -> Pattern:
    rng = np.random.default_rng(5)

    def about(middle: float, sd: float) -> np.ndarray:
        return middle + sd * rng.standard_normal((1024, 3))

    return Pattern(
        carry_m=about(120.0, 2.0), offline_m=about(0.0, 3.0), carry_sd_m=np.exp(about(1.7, 0.2)),
        offline_sd_m=np.exp(about(2.0, 0.2)), correlation=np.tanh(about(0.0, 0.2)),
        mishit_share=1.0 / (1.0 + np.exp(-about(-2.0, 0.4))), mishit_short_m=np.full(3, 24.0),
        mishit_short_sd_m=np.full(3, 14.0), mishit_side_factor=2.0,
    )  # fmt: skip


def test_batches_that_share_their_work_are_worth_the_same() -> None:
    known, extra = pattern(), np.array([0.0, 0.4, 0.1])
    belief = MissBelief.of(known, 121.0)
    for balls in choices(3, (0, 2)):
        assert belief.worth(balls, extra) == miss_worth(known, 121.0, balls, extra)
        assert belief.worth(balls) == miss_worth(known, 121.0, balls)


def test_a_green_is_held_as_its_draws_say() -> None:
    """By hand from the draws of each firmness, as `draws` makes them afresh when it is given its rows."""
    landing = (23.0, 0.75, 5200.0)
    held = holds(*landing, depth_m=6.0)
    assert held.run == run(*landing, GREEN)
    said: tuple[tuple[Firmness, float], ...] = (
        ("normal", held.probability), ("firm", held.if_firm), ("soft", held.if_soft),
    )  # fmt: skip
    for firmness, chance in said:
        turf = replace(GREEN, firmness=firmness)
        fresh = draws(*landing, turf, z_of=normals())
        assert fresh == draws(*landing, turf)
        runs = np.array([run_m_of(*drawn) for drawn in fresh])
        assert chance == pytest.approx(float(norm.cdf((6.0 - runs) / UNEVEN_M).mean()), abs=1e-12)
