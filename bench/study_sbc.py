"""Simulation-based calibration: truth from the model's own prior must rank evenly among posterior draws.

Method: Talts, Betancourt, Simpson, Vehtari and Gelman (2018, arXiv:1804.06788); here as the share of a
thousand or more posterior draws below the truth, held against the even distribution by the Kolmogorov-
Smirnov test. Each visit has four clubs with 3, 5, 8 and 12 balls in mirrored passes. Everything is drawn
from the prior that `bagwright.dispersion.prior` and `.drift` state: player length, club centres, side,
spreads, mishits (of which a stated share are bad reads), warm-up and tiring, and a constant wander of each
club's carry.

    .venv/bin/python -m bench.study_sbc [--visits 1000]
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from scipy.stats import kstest

from bagwright.bag.club import Player
from bagwright.dispersion import drift, prior
from bagwright.dispersion.fit import fit_dispersion
from bagwright.units import M_PER_YD, MPS_PER_MPH
from bench._machine import banner
from bench._study import Cell, Result, arguments, chosen, commit, run_cells, table
from bench.world import (
    BAD_READ,
    MISHIT,
    RACK,
    SOLID,
    Golfer,
    Truth,
    Visit,
    bag_of,
    mirrored_passes,
    rack_club,
    relative_carry,
)

COUNTS = (3, 5, 8, 12)
NAMES = ("carry", "side", "carry sd", "side sd", "mishit share")
YD = M_PER_YD


def cells() -> list[Cell]:
    """List the one cell."""
    return [Cell("prior", "sbc", {})]


def work(cell: Cell, rng: np.random.Generator) -> Result:
    """Draw one visit from the prior, fit it, and rank every truth among the posterior draws."""
    golfer, clubs = draw_from_prior(rng)
    visit = hit_from_prior(rng, golfer, clubs)
    player = Player(handicap=golfer.handicap, driver_speed_mps=golfer.told_driver_speed_mph * MPS_PER_MPH)
    fits = fit_dispersion(visit.table, player, replace(bag_of(golfer, clubs), player=player))
    keys = [(truth.club.name, "stock") for truth in clubs]
    draws = fits.draws(keys)
    columns = (draws.carry_m, draws.offline_m, draws.carry_sd_m, draws.offline_sd_m, draws.mishit_share)
    ranks = []
    for k, truth in enumerate(clubs):
        values = (
            truth.centre_yd * YD,
            truth.side_yd * YD,
            truth.carry_sd_yd * YD,
            truth.side_sd_yd * YD,
            golfer.mishit_share,
        )
        ranks.append(
            [float((column[:, k] < value).mean()) for column, value in zip(columns, values, strict=True)]
        )
    counts = [int((visit.which == k).sum()) for k in range(len(clubs))]
    return {"counts": counts, "ranks": ranks}


def draw_from_prior(rng: np.random.Generator) -> tuple[Golfer, tuple[Truth, ...]]:
    """Draw a player and four clubs from the prior of the model."""
    handicap, speed = rng.uniform(0.0, 25.0), rng.uniform(75.0, 105.0)
    z = rng.standard_normal(5)
    rho = prior.FACTOR_CORRELATION
    logit = prior.mishit_logit(handicap) + prior.MISHIT_SD * z[0]
    length = 2.3 * speed / prior.DRIVER_RATIO * np.exp(prior.LENGTH_SD * z[1])
    golfer = Golfer(
        handicap=float(handicap),
        told_handicap=float(handicap),
        length_yd=float(length),
        told_driver_speed_mph=float(speed),
        carry_factor=float(np.exp(prior.FACTOR_SD * z[2])),
        side_factor=float(np.exp(prior.FACTOR_SD * (rho * z[2] + np.sqrt(1.0 - rho**2) * z[3]))),
        mishit_share=float(1.0 / (1.0 + np.exp(-logit))),
        side_bias_rad=float(prior.PLAYER_SIDE_SD * z[4]),
    )
    picked = np.sort(rng.choice(len(RACK), len(COUNTS), replace=False))
    return golfer, tuple(draw_club(rng, golfer, int(i)) for i in picked)


def draw_club(rng: np.random.Generator, golfer: Golfer, i: int) -> Truth:
    """Draw one club of the rack from the prior, given the player."""
    z = rng.standard_normal(4)
    expected = golfer.length_yd * relative_carry(i)
    spread = prior.carry_spread(expected * YD, golfer.handicap) / YD
    side = prior.side_spread(expected * YD, golfer.handicap) / YD
    return Truth(
        club=rack_club(i),
        expected_yd=expected,
        centre_yd=float(expected * (1.0 + prior.CLUB_CARRY_SD * z[0])),
        side_yd=float(expected * (golfer.side_bias_rad + prior.CLUB_SIDE_SD * z[1])),
        carry_sd_yd=float(spread * golfer.carry_factor * np.exp(prior.CLUB_SPREAD_SD * z[2])),
        side_sd_yd=float(side * golfer.side_factor * np.exp(prior.CLUB_SPREAD_SD * z[3])),
        correlation=0.0,
    )


def hit_from_prior(rng: np.random.Generator, golfer: Golfer, clubs: Sequence[Truth]) -> Visit:
    """Draw the shots as the likelihood says; a carry below 1 yd becomes 1 yd."""
    which = np.array(mirrored_passes([int(n) for n in rng.permutation(COUNTS)]))
    n = len(which)

    def of(name: str) -> np.ndarray:
        return np.array([getattr(club, name) for club in clubs])[which]

    expected = of("expected_yd")
    kind = np.where(rng.random(n) >= golfer.mishit_share, SOLID, MISHIT)
    kind = np.where((kind == MISHIT) & (rng.random(n) < prior.BAD_READ_SHARE), BAD_READ, kind)
    beta = drift.PRIOR_MEAN + drift.PRIOR_SD * rng.standard_normal(2)
    shift = drift.basis(np.arange(n, dtype=np.float64)) @ beta
    shift = shift + (prior.WANDER * rng.standard_normal(len(clubs)))[which]
    z = rng.standard_normal((n, 3))
    missed = kind == MISHIT
    carry = of("centre_yd") + expected * shift + of("carry_sd_yd") * z[:, 0]
    carry = carry - missed * expected * (prior.MISHIT_LOSS + prior.MISHIT_LOSS_SD * z[:, 2])
    side = of("side_yd") + of("side_sd_yd") * z[:, 1] * np.where(missed, prior.MISHIT_SIDE_FACTOR, 1.0)
    bad = kind == BAD_READ
    carry = np.where(bad, rng.uniform(0.0, prior.BAD_READ_CARRY_M / YD, n), np.maximum(carry, 1.0))
    half = 0.5 * prior.BAD_READ_SIDE_M / YD
    side = np.where(bad, rng.uniform(-half, half, n), side)
    return Visit(
        tuple(clubs), which, np.arange(1, n + 1), carry, side, kind.astype(np.int64), expected * shift
    )


def ks_table(found: Sequence[Result]) -> str:
    """Write KS p-values and the share of truths inside the central 50, 80, 90 and 95 %, by balls a club."""
    rows = []
    counts = np.array([visit["counts"] for visit in found])
    ranks = np.array([visit["ranks"] for visit in found])
    for n in COUNTS:
        for k, name in enumerate(NAMES):
            if name == "mishit share" and n != COUNTS[-1]:
                continue  # one a visit: every club of it has the same
            here = ranks[:, :, k][counts == n]
            inside = [
                f"{100 * (np.abs(here - 0.5) <= level / 2).mean():.0f}" for level in (0.5, 0.8, 0.9, 0.95)
            ]
            p = kstest(here, "uniform").pvalue
            rows.append([n, name, f"{p:.3f}", "/".join(inside), f"{here.mean():.3f}", len(here)])
    return table(["balls", "what", "KS p", "inside 50/80/90/95 %", "mean rank", "visits"], rows)


def main() -> None:
    """Run the cell and print the table."""
    options = arguments(__doc__ or "").parse_args()
    banner()
    print("commit", commit())
    print(ks_table(run_cells("sbc", chosen(cells(), options), work, options)["prior"]))


if __name__ == "__main__":
    main()
