"""The invented golfers of the studies: moments of what is drawn against closed forms.

Closed forms from any textbook of probability: normal, log-normal, logit-normal medians, exponential cut at a
cap, gamma, Student's t, stationary first-order autoregression, mixtures. Bounds are 4.5 standard errors, so
that a wrong constant fails and a fixed seed passes.
"""

import numpy as np
import pytest

from bagwright.bag.club import Club
from bagwright.units import M_PER_YD
from bench import world as w

CLUB = Club(name="7 iron", kind="iron", number="7")
PLAIN = w.Golfer(10.0, 10.0, 160.0, 104.0, 1.0, 1.0, 0.0, 0.0)


def close(values: np.ndarray, expected: float) -> bool:
    """Mean of the values within 4.5 standard errors of what is expected."""
    error = values.std(ddof=1) / np.sqrt(len(values))
    return bool(abs(values.mean() - expected) < 4.5 * error)


def truth(**changes: float) -> w.Truth:
    values = {
        "expected_yd": 160.0, "centre_yd": 160.0, "side_yd": 3.0, "carry_sd_yd": 8.0, "side_sd_yd": 12.0,
        "correlation": 0.3,
    } | changes  # fmt: skip
    return w.Truth(club=CLUB, **values)


def golfer(share: float) -> w.Golfer:
    return w.Golfer(10.0, 10.0, 160.0, 104.0, 1.0, 1.0, share, 0.0)


def test_golfers_follow_their_distributions() -> None:
    rng = np.random.default_rng(20261)
    drawn = [w.new_golfer(rng, w.WORLDS["A"], handicap=10.0) for _ in range(20_000)]
    carry = np.log([g.carry_factor for g in drawn])
    side = np.log([g.side_factor for g in drawn])
    logit = np.log([g.mishit_share / (1 - g.mishit_share) for g in drawn])
    assert close(carry, 0.0)
    assert close(carry**2, 0.25**2)
    assert close(side**2, 0.25**2)
    assert close(carry * side, 0.5 * 0.25**2)
    assert close(logit, np.log(0.10 / 0.90))
    assert close((logit - np.log(0.10 / 0.90)) ** 2, 0.25)
    assert close(np.array([g.side_bias_rad for g in drawn]) ** 2, np.radians(1.8) ** 2)
    assert close(np.array([g.told_handicap - 10.0 for g in drawn]) ** 2, 2.5**2)
    assert close(np.log([g.length_yd for g in drawn]), np.log(200.0 / 1.5))
    told = np.log([g.told_driver_speed_mph * 2.3 / 1.5 / g.length_yd for g in drawn])
    assert close(told, 0.0)
    assert close(told**2, 0.10**2)


def test_clubs_follow_their_distributions() -> None:
    rng = np.random.default_rng(20262)
    drawn = [w.new_truth(rng, w.WORLDS["A"], PLAIN, CLUB, 180.0) for _ in range(20_000)]
    assert close(np.array([t.centre_yd for t in drawn]) / 180.0, 1.0)
    assert close((np.array([t.centre_yd for t in drawn]) / 180.0 - 1.0) ** 2, 0.05**2)
    assert close(np.log([t.carry_sd_yd for t in drawn]), np.log(0.049 * 180.0))
    assert close(np.log([t.side_sd_yd for t in drawn]), np.log(np.radians(4.5) * 180.0))
    assert close(np.array([t.side_yd for t in drawn]) ** 2, (np.radians(1.2) * 180.0) ** 2)


def test_stress_worlds_scale_what_they_say() -> None:
    def spread(name: str, expected_yd: float = 160.0) -> float:
        rng = np.random.default_rng(3)
        g = w.new_golfer(rng, w.WORLDS[name], handicap=10.0)
        return w.new_truth(rng, w.WORLDS[name], g, CLUB, expected_yd).carry_sd_yd

    assert spread("D") == pytest.approx(1.3 * spread("A"))
    assert spread("E") == pytest.approx(0.77 * spread("A"))
    assert spread("T floor", 80.0) / spread("A", 80.0) == pytest.approx(np.hypot(3.92, 4.5) / 3.92)


def test_solid_strikes_have_the_stated_centre_spread_and_correlation() -> None:
    rng = np.random.default_rng(4)
    visit = w.hit(rng, w.WORLDS["A"], golfer(0.0), [truth()], np.zeros(40_000, dtype=int))
    carry, side = visit.carry_yd - 160.0, visit.side_yd - 3.0
    assert close(carry, 0.0)
    assert close(side, 0.0)
    assert close(carry**2, 64.0)
    assert close(side**2, 144.0)
    assert close(carry * side, 0.3 * 8.0 * 12.0)
    assert set(visit.kind) == {w.SOLID}


def test_t_tails_keep_the_sd_and_have_the_kurtosis_of_t6() -> None:
    rng = np.random.default_rng(5)
    visit = w.hit(rng, w.WORLDS["B"], golfer(0.0), [truth()], np.zeros(200_000, dtype=int))
    z = (visit.carry_yd - 160.0) / 8.0
    assert close(z**2, 1.0)
    # P(|t6| > 3 sqrt(1.5)) from the closed-form distribution function of Student's t with df 6:
    # F(t) = 1/2 + 1/2 s (1 + c/2 + 3 c^2/8), s = t/sqrt(6+t^2), c = 6/(6+t^2).
    t = 3.0 * np.sqrt(1.5)
    s, c = t / np.sqrt(6.0 + t * t), 6.0 / (6.0 + t * t)
    assert close((np.abs(z) > 3.0).astype(float), 1.0 - s * (1.0 + c / 2.0 + 3.0 * c * c / 8.0))


@pytest.mark.parametrize(
    ("name", "mean_loss"),
    # Exponential of mean m above .08, cut at .75: .08 + m (1 - exp(-.67/m)); gamma of shape 1.3 and
    # scale .10: .13 (its cut at .75 takes less than .0002).
    [("A", 0.08 + 0.12 * (1.0 - np.exp(-0.67 / 0.12))), ("C", 0.13)],
)
def test_mishits_are_short_and_wide(name: str, mean_loss: float) -> None:
    rng = np.random.default_rng(6)
    visit = w.hit(rng, w.WORLDS[name], golfer(0.25), [truth()], np.zeros(60_000, dtype=int))
    mishit = visit.kind == w.MISHIT
    assert close(mishit.astype(float), 0.25)
    assert close(160.0 - visit.carry_yd[mishit], 160.0 * mean_loss)
    assert close((visit.side_yd[mishit] - 3.0) ** 2, (2.0 * 12.0) ** 2)
    assert close(visit.carry_yd, 160.0 * (1.0 - 0.25 * mean_loss))


def test_bad_reads_come_at_their_rate() -> None:
    rng = np.random.default_rng(7)
    visit = w.hit(rng, w.WORLDS["F"], golfer(0.1), [truth()], np.zeros(60_000, dtype=int))
    assert close((visit.kind == w.BAD_READ).astype(float), 0.03)


def test_wander_is_a_stationary_autoregression() -> None:
    rng = np.random.default_rng(8)
    paths = np.array([w.wander_path(rng, w.WORLDS["G"], 12) for _ in range(20_000)])
    for i in (0, 5, 11):
        assert close(paths[:, i] ** 2, 0.02**2)
    assert close(paths[:, 3] * paths[:, 6], 0.02**2 * 0.85**3)


def test_drift_lifts_with_warming_and_falls_with_fatigue() -> None:
    world = w.World("drift", warm_up=0.06, fatigue=0.03)
    assert w.drift_share(world, np.array([0.0]))[0] == pytest.approx(-0.06)
    assert w.drift_share(world, np.array([6.0]))[0] == pytest.approx(-0.06 / np.e - 0.03 * 6 / 50)
    assert w.drift_share(world, np.array([500.0]))[0] == pytest.approx(-0.3)


def test_orders_are_what_they_say() -> None:
    assert w.mirrored_passes([2, 3]) == [1, 1, 0, 0, 1]
    assert w.one_pass([2, 3]) == [1, 1, 1, 0, 0]
    assert w.alternated(3) == [0, 1, 1, 0, 0, 1]


def test_tables_are_in_metres_in_order_and_repeatable() -> None:
    def draw() -> w.Visit:
        rng = np.random.default_rng(9)
        g = w.new_golfer(rng, w.WORLDS["T"])
        return w.hit(rng, w.WORLDS["T"], g, w.new_bag(rng, w.WORLDS["T"], g), w.mirrored_passes([2] * 12))

    visit, again = draw(), draw()
    assert np.array_equal(visit.carry_yd, again.carry_yd)
    table = visit.table
    assert table.measure("carry_m")[5] == visit.carry_yd[5] * M_PER_YD
    assert table.text("club")[0] == "SW"
    assert table.text("club")[23] == "SW"
    assert list(table.order) == list(range(13, 37))
    assert list(visit.first(3).table.order) == [13, 14, 15]
