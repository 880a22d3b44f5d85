"""The fit of a table: what counts, what is pooled, what comes back for odd input."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from bagwright.bag.club import Bag, Build, Club, Player
from bagwright.dispersion.fit import fit_dispersion
from bagwright.errors import InputError
from bagwright.shots.record import Mark, Shot, ShotTable
from bagwright.units import M_PER_YD
from tests.unit.dispersion.shots import PLAYER, SEVEN, fit, hit

FIVE = [151.0, 144.0, 148.0, 139.0, 150.0]
SIDES = [4.0, -9.0, 1.0, 12.0, -3.0]


def test_no_shots_gives_no_cells_but_predicts_from_the_player() -> None:
    fits = fit([])
    assert len(fits) == 0
    assert fits.quality == "prior only"
    seven = fits.predict(Club("7i", "iron", "7"))
    assert seven.carry_m.value == pytest.approx(160.0 * M_PER_YD, rel=2e-3)
    # 12 % of carry before anything is known; 1.645 is the 95 % quantile of the normal.
    assert (seven.carry_m.high - seven.carry_m.low) / 2 == pytest.approx(
        1.645 * math.hypot(0.104, 0.06) * seven.carry_m.value, rel=5e-3
    )
    assert not seven.measured
    assert seven.quality == "prior only"


def test_two_clubs_narrow_the_prior_of_a_third_to_little_over_six_percent() -> None:
    many = [c for c in FIVE for _ in range(4)]
    fits = fit([*hit(many), *hit([c * 0.85 for c in many], club="9i", start=60)])
    third = fits.predict(Club("5i", "iron", "5"))
    half = (third.carry_m.high - third.carry_m.low) / 2 / third.carry_m.value / 1.645
    assert 0.06 < half < 0.078


def test_one_shot_lies_between_prior_and_shot() -> None:
    d = fit(hit([135.0], [6.0]))[SEVEN]
    assert 135.0 < d.carry_m.value < 147.0
    assert 0.0 < d.offline_m.value < 6.0
    assert d.quality == "few shots"
    assert d.n_shots == 1


def test_all_equal_shots_stay_finite_and_say_that_the_spread_is_shown_too_wide() -> None:
    d = fit(hit([146.0] * 10))[SEVEN]
    assert all(math.isfinite(v) for v in (d.carry_m.low, d.carry_m.high, d.area90_m2.low, d.area90_m2.high))
    assert d.carry_sd_m.low > 0.0
    assert "tighter than the model reaches" in " ".join(d.pooled)


def test_a_spread_wider_than_the_grid_is_a_failed_check() -> None:
    wide = [146.0 + 60.0 * (-1) ** i for i in range(12)]
    d = fit(hit(wide, [70.0 * (-1) ** (i // 2) for i in range(12)]))[SEVEN]
    assert not d.converged
    assert "end of its grid" in " ".join(d.checks)


def test_two_hundred_shots_in_a_cell() -> None:
    rng = np.random.default_rng(11)
    carry = 146.0 + 6.0 * rng.standard_normal(200) - 30.0 * (rng.random(200) < 0.1)
    d = fit(hit(list(carry), list(9.0 * rng.standard_normal(200))))[SEVEN]
    assert d.converged
    assert d.carry_m.low < 146.5 < d.carry_m.high + 2.0
    assert d.carry_sd_m.value == pytest.approx(6.0, rel=0.15)
    assert d.quality == "good"


def test_a_very_large_cell_stays_within_memory() -> None:
    rng = np.random.default_rng(12)
    n = 60_000
    table = ShotTable(
        n=n,
        order=np.full(n, 2**62),
        measures={"carry_m": 146.0 + 6.0 * rng.standard_normal(n), "offline_m": 9.0 * rng.standard_normal(n)},
        texts={"club": ["7i"] * n},
    )
    d = fit_dispersion(table, PLAYER)[SEVEN]
    assert d.n_shots == n
    assert d.carry_sd_m.value == pytest.approx(6.0, rel=0.05)


def test_a_short_ball_is_called_a_mishit_and_hardly_moves_the_centre() -> None:
    clean = fit(hit(FIVE, SIDES))[SEVEN]
    fits = fit([*hit(FIVE, SIDES), *hit([104.0], [15.0], start=26)])
    assert fits.solid_probability[5] < 0.1
    assert fits[SEVEN].carry_m.value == pytest.approx(clean.carry_m.value, abs=1.5)
    assert fits[SEVEN].all_carry_m.value < fits[SEVEN].carry_m.value


def test_marks_decide_what_counts() -> None:
    shots = hit([*FIVE, 148.0, 148.0, 120.0, 121.0], [*SIDES, 0.0, 0.0, 0.0, 0.0])
    shots[5] = dataclasses.replace(shots[5], mark=Mark("warm-up", "first balls", "professional"))
    shots[6] = dataclasses.replace(shots[6], mark=Mark("bad-read", "spin missing", "professional"))
    shots[7] = dataclasses.replace(shots[7], mark=Mark("mishit", "heavy", "professional"))
    shots[8] = dataclasses.replace(shots[8], mark=Mark("mishit", "short", "model", 0.9))
    fits = fit(shots)
    assert [out.index for out in fits.shots_left_out] == [5, 6]
    assert "warm-up: first balls (marked by professional)" in fits.shots_left_out[0].reason
    assert fits.shots_left_out[1].reason == "bad reading: spin missing (marked by professional)"
    assert fits.solid_probability[7] == 0.0
    assert 0.0 < fits.solid_probability[8] < 0.5  # the model's own suggestion is weighed again, not believed
    assert np.isnan(fits.solid_probability[5])
    assert fits.shots_used == 7


def test_a_mishit_without_a_read_counts_for_the_mishit_share_only() -> None:
    without = fit(hit(FIVE, SIDES))[SEVEN]
    topped = Shot("7i", 26, mark=Mark("mishit", "topped", "professional"))
    with_it = fit([*hit(FIVE, SIDES), topped])[SEVEN]
    assert with_it.mishit_share.value > 1.2 * without.mishit_share.value
    assert with_it.carry_m.value == pytest.approx(without.carry_m.value, abs=0.3)
    assert with_it.n_missing_carry == 1


def test_missing_carry_or_side_skips_that_axis() -> None:
    d = fit(hit([*FIVE, None, 147.0], [*SIDES, 2.0, None]))[SEVEN]
    assert (d.n_shots, d.n_missing_carry, d.n_missing_side) == (7, 1, 1)
    sides_only = fit(hit([None] * 4, [12.0, 15.0, 9.0, 14.0]))[SEVEN]
    assert sides_only.offline_m.value > 5.0
    assert sides_only.carry_m.value == pytest.approx(160.0 * M_PER_YD, rel=0.01)


@pytest.mark.parametrize(
    ("carry", "side", "reason"),
    [
        (math.inf, 1.0, "infinite"),
        (-3.0, 1.0, "outside 0 to 500 m"),
        (900.0, 1.0, "outside 0 to 500 m"),
        (140.0, 4000.0, "beyond 300 m"),
        (None, None, "neither carry nor side"),
    ],
)
def test_impossible_shots_are_left_out_with_a_reason(
    carry: float | None, side: float | None, reason: str
) -> None:
    fits = fit([*hit(FIVE, SIDES), Shot("7i", 30, carry_m=carry, offline_m=side)])
    assert fits[SEVEN].n_shots == 5
    assert reason in fits.shots_left_out[0].reason


def test_lower_bounds_pull_the_centre_up() -> None:
    carries = [205.0, 215.0, 198.0, 215.0, 209.0, 215.0]
    bounds = [c == 215.0 for c in carries]
    shots = hit(carries, [0.0] * 6, club="driver")
    exact = fit(shots)[("driver", "stock")]
    bounded = fit([dataclasses.replace(s, carry_at_least=b) for s, b in zip(shots, bounds, strict=True)])
    d = bounded[("driver", "stock")]
    assert d.n_at_least == 3
    assert d.carry_m.value > exact.carry_m.value + 2.0
    assert d.carry_sd_m.value > exact.carry_sd_m.value


def test_gripped_down_starts_from_the_stock_swing() -> None:
    stock = hit([152.0, 149.0, 155.0, 151.0, 148.0, 153.0])
    fits = fit([*stock, *hit([140.0], [0.0], swing="gripped-down", start=40)])
    d = fits[("7i", "gripped-down")]
    assert d.expected_carry_m == pytest.approx(0.94 * fits[SEVEN].carry_m.value, rel=0.01)
    assert 140.0 < d.carry_m.value < d.expected_carry_m
    assert "stock swing" in " ".join(d.pooled)
    half = fits.predict(Club("7i", "iron", "7"), "half")
    assert half.carry_m.value == pytest.approx(0.68 * fits[SEVEN].carry_m.value, rel=0.01)


def test_named_swings_rough_and_changes_are_cells_of_their_own() -> None:
    shots = [
        *hit(FIVE[:2], SIDES[:2]),
        *hit([140.0], [0.0], start=23, swing="low"),
        *hit([120.0], [0.0], start=24, lie="rough"),
        *hit([147.0], [0.0], start=25, change="face tape"),
        *hit([149.0], [0.0], start=26),
        *hit([131.0], [0.0], start=27, club="8i"),
    ]
    keys = set(fit(shots))
    assert keys == {
        SEVEN, ("7i", "low"), ("7i", "from rough"), ("7i", "stock after face tape"), ("8i", "stock"),
    }  # fmt: skip
    assert fit(shots)[("7i", "stock after face tape")].n_shots == 2


def test_the_ball_as_the_candidate() -> None:
    shots = [*hit(FIVE, SIDES, ball="soft"), *hit([c + 4.0 for c in FIVE], SIDES, start=40, ball="firm")]
    fits = fit(shots, split_by="ball")
    assert set(fits) == {("7i with soft", "stock"), ("7i with firm", "stock")}
    assert fits.contrast(("7i with firm", "stock"), ("7i with soft", "stock"), False).probability > 0.5
    assert set(fit(shots)) == {SEVEN}


def test_another_day_keeps_its_own_side_and_lends_its_carry() -> None:
    before = hit([150.0] * 6, [20.0] * 6, visit="2026-03-01")
    today = hit([146.0], [-2.0], visit="2026-03-08")
    alone = fit(today)[SEVEN]
    both = fit([*before, *today])[SEVEN]
    assert both.offline_m.value == pytest.approx(alone.offline_m.value, abs=2.5)
    assert (both.carry_m.high - both.carry_m.low) < 0.75 * (alone.carry_m.high - alone.carry_m.low)
    assert both.visits == ("2026-03-08", "2026-03-01")
    assert "pooled over 2 visits" in " ".join(both.pooled)


def test_warm_up_balls_move_the_ball_count() -> None:
    early = fit(hit(FIVE, SIDES, start=1))[SEVEN].carry_m.value
    late = fit(hit(FIVE, SIDES, start=30))[SEVEN].carry_m.value
    assert early > late  # cold balls are expected short, so that the warmed-up centre is longer


def test_an_unknown_club_rests_on_its_own_shots() -> None:
    fits = fit([*hit(FIVE, SIDES, club="Blade A"), *hit([c * 1.2 for c in FIVE], SIDES, start=40)])
    d = fits[("Blade A", "stock")]
    assert d.carry_m.value == pytest.approx(np.mean(FIVE), abs=3.0)
    assert "not known" in " ".join(d.pooled)


def test_measured_loft_beats_the_number() -> None:
    strong = Club("7i", "iron", "7", build=Build(loft_deg=28.0))
    bag = Bag(PLAYER, (strong,))
    assert fit_dispersion(ShotTable.of(hit(FIVE)), bag=bag)[SEVEN].expected_carry_m > 150.0


def test_a_stated_carry_replaces_the_ladder() -> None:
    d = fit(hit([140.0], [0.0]), expected_carry_m={"7i": 130.0})[SEVEN]
    assert d.expected_carry_m == pytest.approx(130.0)
    with pytest.raises(InputError, match="7i"):
        fit(hit(FIVE), expected_carry_m={"7i": math.nan})


def test_unknown_handicap_is_averaged_over_and_said() -> None:
    wide = fit(hit(FIVE, SIDES), Player(driver_speed_mps=46.6))[SEVEN]
    known = fit(hit(FIVE, SIDES), Player(driver_speed_mps=46.6, handicap=15.0))[SEVEN]
    assert wide.carry_sd_m.high / wide.carry_sd_m.low > known.carry_sd_m.high / known.carry_sd_m.low
    assert any("15 give or take 8" in word for word in wide.pooled)


def test_quality_words() -> None:
    assert fit(hit(FIVE[:2]))[SEVEN].quality == "few shots"
    assert fit(hit(FIVE))[SEVEN].quality == "fair"
    assert fit(hit([*FIVE, *FIVE, *FIVE], [*SIDES, *SIDES, *SIDES]))[SEVEN].quality == "good"


def test_flight_numbers_come_from_solid_strikes() -> None:
    shots = hit([*FIVE, 100.0], [*SIDES, 0.0])
    shots = [
        *(dataclasses.replace(shots[i], apex_m=28.0 + i % 2, total_m=FIVE[i] + 6.0) for i in range(5)),
        dataclasses.replace(shots[5], apex_m=5.0, total_m=140.0),
    ]
    d = fit(shots)[SEVEN]
    assert d.apex_m is not None
    assert 27.5 < d.apex_m.value < 29.5
    assert d.total_m is not None
    assert d.total_m.value == pytest.approx(d.carry_m.value + 6.0, abs=2.0)
    assert d.total_m.low < d.total_m.value < d.total_m.high
    assert d.ball_speed_mps is None


def test_only_clubs_asked_for() -> None:
    shots = [*hit(FIVE), *hit(FIVE, club="8i", start=40)]
    fits = fit(shots, clubs=["8i"])
    assert set(fits) == {("8i", "stock")}
    assert all(out.reason == "club not asked for" for out in fits.shots_left_out)


def test_an_added_shot_is_close_to_the_full_fit() -> None:
    shots = [*hit(FIVE, SIDES), *hit([c * 0.85 for c in FIVE], SIDES, club="9i", start=40)]
    fits = fit(shots)
    new = Shot("7i", 60, carry_m=149.0, offline_m=2.0)
    quick, full = fits.updated(new), fit([*shots, new])
    assert quick.provisional
    assert quick[SEVEN].n_shots == 6
    assert quick[SEVEN].carry_m.value == pytest.approx(full[SEVEN].carry_m.value, abs=0.5)
    settled = quick.settled()
    assert not settled.provisional
    assert settled[SEVEN].carry_m == full[SEVEN].carry_m
    other = fits.updated(Shot("PW", 61, carry_m=112.0, offline_m=0.0))
    assert ("PW", "stock") in other
    assert not other.provisional
    assert set(fits) == {SEVEN, ("9i", "stock")}


def test_region_is_the_ellipse_of_the_level() -> None:
    d = fit(hit(FIVE, SIDES))[SEVEN]
    half, ninety = d.region(0.5), d.region(0.9)
    # radii of a bivariate normal: sqrt(-2 ln(1 - level)), so 1.1774 and 2.1460
    assert ninety.half_axes_m[0] / half.half_axes_m[0] == pytest.approx(2.1460 / 1.1774, rel=1e-4)
    assert ninety.half_axes_m[0] >= ninety.half_axes_m[1] > 0
    outline = ninety.outline()
    assert outline.shape == (73, 2)
    with pytest.raises(ValueError, match="between 0 and 1"):
        d.region(1.0)


def test_asking_for_a_club_that_is_not_there_names_those_that_are() -> None:
    with pytest.raises(InputError, match="7i stock"):
        fit(hit(FIVE)).draws([("driver", "stock")])
    with pytest.raises(KeyError):
        fit(hit(FIVE))[("driver", "stock")]
