"""Launches of very many shots: figures met, equal to the careful search, nothing failing in silence."""

import math

import numpy as np
import pytest

from bagwright.air import air
from bagwright.errors import InputError
from bagwright.flight import explain
from bagwright.flight.explain import explain_many
from bagwright.flight.fly import fly_many
from bagwright.flight.launch import Launches, Scale

YD = 0.9144


def problem(n: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    draw = np.random.default_rng(3)
    u = draw.uniform(0, 1, n)
    mean = np.column_stack(
        [
            np.log(75 - 40 * u),
            np.radians(10.5 + 22 * u),
            np.log((2600 + 7000 * u) * math.pi / 30),
            0 * u,
            0 * u,
        ]
    )
    sd = np.tile([0.06, math.radians(2), 0.12, math.radians(2), math.radians(8)], (n, 1))
    root = np.zeros((n, 5, 5))
    root[:, range(5), range(5)] = sd
    root[:, 2, 1] = 0.05
    return mean, root, mean + np.einsum("nij,nj->ni", root, draw.standard_normal((n, 5)))


def launches(theta: np.ndarray) -> Launches:
    speed, up = np.exp(theta[:, 0]), np.clip(theta[:, 1], 0.02, 1.4)
    return Launches.of(speed, up, np.exp(theta[:, 2]) * 30 / math.pi, theta[:, 3], theta[:, 4])


def back(found: explain.Explained) -> Launches:
    return Launches.of(
        found.ball_speed_mps, found.launch_rad, found.spin_rpm, found.direction_rad, found.spin_axis_rad
    )


@pytest.mark.parametrize(("height_m", "scale"), [(None, Scale()), (1600.0, Scale(1.06, 0.95))])
def test_every_figure_is_met_within_a_hundredth_of_a_yard(height_m: float | None, scale: Scale) -> None:
    there = air(altitude_m=height_m)
    mean, root, true = problem(5000)
    flown = fly_many(launches(true), air=there, scale=scale, fast=False)
    found = explain_many(flown.carry_m, flown.apex_m, flown.offline_m, mean, root, air=there, scale=scale)
    again = fly_many(back(found), air=there, scale=scale, fast=False)
    assert found.settled.all()
    assert found.redone.mean() < 0.01
    for name in ("carry_m", "apex_m", "offline_m"):
        gap = np.abs(getattr(again, name) - getattr(flown, name)) / YD
        assert gap.max() < 1e-2, name
        assert np.sqrt((gap**2).mean()) < 1e-3, name


def test_the_launch_is_the_most_probable_one_of_the_careful_search(monkeypatch: pytest.MonkeyPatch) -> None:
    mean, root, true = problem(300)
    flown = fly_many(launches(true), fast=False)
    quick = explain_many(flown.carry_m, flown.apex_m, flown.offline_m, mean, root)
    monkeypatch.setattr(explain, "MOVED_M", 0.0)
    slow = explain_many(flown.carry_m, flown.apex_m, flown.offline_m, mean, root)
    assert slow.redone.all()
    sd = np.sqrt((root[:, 2] ** 2).sum(axis=1))
    assert np.abs(np.log(quick.spin_rpm / slow.spin_rpm) / sd).max() < 0.2
    assert np.abs(np.log(quick.ball_speed_mps / slow.ball_speed_mps) / 0.06).max() < 0.1
    assert np.quantile(np.abs(np.log(quick.spin_rpm / slow.spin_rpm) / sd), 0.9) < 0.05


def test_figures_no_belief_leads_to_are_marked_not_made_up() -> None:
    mean, root, _ = problem(70)
    carry, apex, side = np.full(70, 150.0), np.full(70, 27.0), np.zeros(70)
    carry[3], apex[3] = 440.0, 0.5
    found = explain_many(carry, apex, side, mean, root)
    assert found.redone[3]
    assert not found.settled[3]
    assert np.isfinite(found.ball_speed_mps).all()


def test_threads_and_number_of_shots_do_not_change_a_shot() -> None:
    mean, root, true = problem(9000)
    flown = fly_many(launches(true))
    one = explain_many(flown.carry_m, flown.apex_m, flown.offline_m, mean, root, threads=1)
    two = explain_many(flown.carry_m, flown.apex_m, flown.offline_m, mean, root, threads=2)
    assert np.array_equal(one.spin_rpm, two.spin_rpm)


@pytest.mark.parametrize("bad", [math.nan, math.inf, -1.0, 0.0])
def test_missing_and_impossible_figures_are_refused(bad: float) -> None:
    mean, root, _ = problem(3)
    with pytest.raises(InputError, match=r"carry_m\[1\]"):
        explain_many([150.0, bad, 150.0], [20.0] * 3, [0.0] * 3, mean, root)
    with pytest.raises(InputError, match="apex_m"):
        explain_many([150.0] * 3, [20.0] * 2, [0.0] * 3, mean, root)
    with pytest.raises(InputError, match="beliefs"):
        explain_many([150.0] * 3, [20.0] * 3, [0.0] * 3, mean[:, :4], root)
