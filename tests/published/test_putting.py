"""Putting against the published tables: Berry 1995, Broadie 2018 (as in Gelman 2019) and quoted rates."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.special import expit, gammaln

from bagwright.strokes import putting
from bagwright.units import M_PER_FT

ROWS = list(csv.DictReader((Path(__file__).parent / "putting.csv").read_text(encoding="utf-8").splitlines()))


def table(source: str) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    rows = [row for row in ROWS if row["source"].startswith(source) and row["n"] and row["made"]]
    return tuple(np.array([float(row[key]) for row in rows]) for key in ("distance_ft", "n", "made"))  # type: ignore[return-value]


BERRY = table("Berry")
BROADIE = table("Broadie 2018")


def log_likelihood(p: np.ndarray, n: np.ndarray, made: np.ndarray) -> float:
    p = np.minimum(p, 1.0 - 1e-12)  # from 0.28 ft the model misses none, the tour 15 of 45,198
    chosen = gammaln(n + 1) - gammaln(made + 1) - gammaln(n - made + 1)
    return float((chosen + made * np.log(p) + (n - made) * np.log1p(-p)).sum())


def fit(minus_log_likelihood: object, start: list[float]) -> np.ndarray:
    options = {"xatol": 1e-10, "fatol": 1e-10, "maxiter": 20_000, "maxfev": 20_000}
    found = minimize(minus_log_likelihood, start, method="Nelder-Mead", options=options)  # type: ignore[call-overload]
    return np.asarray(found.x)


def test_angle_alone_on_berrys_rows() -> None:
    x, n, made = BERRY
    assert len(x) == 19

    def loss(q: np.ndarray) -> float:
        return -log_likelihood(putting.holed_by_angle(x * M_PER_FT, float(np.exp(q[0]))), n, made)

    found = fit(loss, [-3.5])
    assert np.exp(found[0]) == pytest.approx(0.0266454, abs=5e-8)
    assert -loss(found) == pytest.approx(-83.446, abs=5e-4)


def test_logistic_on_berrys_rows_as_gelman_prints_it() -> None:
    x, n, made = BERRY
    found = fit(lambda q: -log_likelihood(expit(q[0] + q[1] * x), n, made), [2.0, -0.2])
    assert found == pytest.approx([2.23121, -0.25569], abs=1e-5)


def test_angle_and_distance_on_broadies_rows_is_the_tour_skill() -> None:
    x, n, made = BROADIE
    assert len(x) == 31

    def loss(q: np.ndarray) -> float:
        p = putting.holed(x * M_PER_FT, putting.PuttingSkill(*np.exp(q[:2])))
        var = p * (1 - p) / n + np.exp(2 * q[2])
        return float((0.5 * (made / n - p) ** 2 / var + 0.5 * np.log(var)).sum())

    angle, share, noise = np.exp(fit(loss, [-4.0, -2.5, -6.0]))
    assert (angle, share, noise) == pytest.approx((0.017802, 0.080067, 0.002774), abs=1e-6)
    assert angle == pytest.approx(putting.TOUR.angle_rad, abs=1e-6)
    assert share == pytest.approx(putting.TOUR.share, abs=1e-6)


def test_angle_and_distance_by_plain_binomial_fits_poorly() -> None:
    x, n, made = BROADIE

    def loss(q: np.ndarray) -> float:
        return -log_likelihood(putting.holed(x * M_PER_FT, putting.PuttingSkill(*np.exp(q))), n, made)

    found = fit(loss, [-4.0, -2.5])
    assert np.exp(found) == pytest.approx([0.018310, 0.074566], abs=1e-6)


def test_rates_of_the_tour() -> None:
    feet = np.array([2, 3, 4, 5, 6, 8, 10, 15, 20, 30, 40, 60.0])
    printed = [0.997, 0.954, 0.862, 0.757, 0.658, 0.501, 0.389, 0.225, 0.143, 0.071, 0.042, 0.019]
    assert putting.holed(feet * M_PER_FT, putting.TOUR) == pytest.approx(printed, abs=0.0008)
    quoted = [row for row in ROWS if row["source"].startswith("Broadie (2013 post")]
    x = np.array([float(row["distance_ft"]) for row in quoted])
    rate = np.array([float(row["p_one_putt"]) for row in quoted])
    assert np.abs(putting.holed(x * M_PER_FT, putting.TOUR) - rate).max() < 0.025


def test_half_of_the_putts() -> None:
    half = [putting.half_distance_m(putting.skill_of(h)) / M_PER_FT for h in (-5.0, 4.5, 16.0)]
    assert half[0] == pytest.approx(7.94, abs=0.15)  # Broadie's counts, interpolated; his book says 8
    assert half[1] == pytest.approx(6.0, abs=0.3)  # Broadie 2008, second hand
    assert half[2] == pytest.approx(5.0, abs=0.2)  # Broadie 2014, second hand


def test_putts_and_three_putts_of_the_tour() -> None:
    putts = putting.putts_of(putting.TOUR)
    rows = [row for row in ROWS if row["source"].startswith("Tour 1/2/3-putt split")]
    x = np.array([float(row["distance_ft"]) for row in rows]) * M_PER_FT
    three = np.array([float(row["p_three_plus"]) for row in rows])
    mean = np.array([float(row["expected_putts"]) for row in rows])
    assert len(rows) == 5
    assert np.abs(np.interp(x, putts.distance_m, putts.three) - three).max() < 0.012
    off = np.abs(np.interp(x, putts.distance_m, putts.mean) - mean)
    assert off.max() < 0.035  # "7-8 ft" is taken as 7.5
    assert off[1:].max() < 0.02
    for feet, strokes in ((3, 1.04), (8, 1.50), (20, 1.87), (33, 2.00)):  # tour baseline, second hand
        assert np.interp(feet * M_PER_FT, putts.distance_m, putts.mean) == pytest.approx(strokes, abs=0.02)


def test_average_90_from_memory() -> None:
    putts = putting.putts_of(putting.skill_of(putting.AVERAGE_90_HANDICAP))
    for feet, rate in (
        (3, 0.84),
        (4, 0.65),
        (6, 0.39),
        (8, 0.27),
        (10, 0.20),
        (15, 0.11),
        (20, 0.06),
        (30, 0.02),
    ):
        assert np.interp(feet * M_PER_FT, putts.distance_m, putts.one) == pytest.approx(rate, abs=0.08)
    for feet, rate in ((20, 0.08), (30, 0.18), (40, 0.30), (50, 0.41)):
        assert np.interp(feet * M_PER_FT, putts.distance_m, putts.three) == pytest.approx(rate, abs=0.065)
