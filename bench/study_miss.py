"""Which of two candidates misses the spot by less: the verdict's own measure, stated against actual chance.

The tests of `bench.study_decisions`, population cell, after 3, 5 and 10 balls of each club, with the spot
at the carry that the slot is meant to have (150, 180 or 215 yd). The stated chance is the share of joint
posterior draws (`Dispersions.candidates`) in which a club's expected miss is the smaller one; the truth is
each club's expected miss by quadrature over the true mixture of solid strikes and mishits, warmed up and
fresh.

    .venv/bin/python -m bench.study_miss [--visits 1500]
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from bagwright.dispersion.fit import fit_dispersion
from bagwright.trial.miss import Pattern, expected_miss, mean_distance
from bagwright.units import M_PER_YD
from bench._machine import banner
from bench._study import Cell, Result, arguments, chosen, commit, run_cells, share, table
from bench.study_decisions import BALLS_BEFORE, BINS, MILD, SLOTS, candidates
from bench.world import Golfer, Truth, alternated, bag_of, hit

PAIRS = (3, 5, 10)
LOSSES = np.minimum(0.08 - 0.12 * np.log(1.0 - (np.arange(200) + 0.5) / 200.0), 0.75)
"""Two hundred equally likely losses of a mishit as a share of carry: .08 plus an exponential of mean .12."""


def cells() -> list[Cell]:
    """List the one cell."""
    return [Cell("miss", "miss", {})]


def work(cell: Cell, rng: np.random.Generator) -> Result:
    """Run one test; per count of pairs the chance that A misses by less and the forecast difference (yd)."""
    carry = float(rng.choice(list(SLOTS)))
    golfer, clubs, _ = candidates(rng, MILD, carry, None, None)
    visit = hit(rng, MILD, golfer, clubs, alternated(max(PAIRS)), BALLS_BEFORE)
    bag = bag_of(golfer, clubs)
    found = []
    for pairs in PAIRS:
        fits = fit_dispersion(visit.first(2 * pairs).table, bag.player, bag)
        draws = fits.candidates([("A", "stock"), ("B", "stock")], blocked=False)
        miss = expected_miss(Pattern.of(draws), carry * M_PER_YD) / M_PER_YD
        found.append([float((miss[:, 0] < miss[:, 1]).mean()), float((miss[:, 1] - miss[:, 0]).mean())])
    true = [true_miss_yd(golfer, club, carry) for club in clubs]
    return {"d": true[1] - true[0], "beliefs": found}


def true_miss_yd(golfer: Golfer, club: Truth, spot_yd: float) -> float:
    """Give the true expected miss in yards: solid strikes by closed form, mishits over even losses."""
    sd, side_sd, rho = club.carry_sd_yd, club.side_sd_yd, club.correlation

    def mean(short_yd: np.ndarray, side_factor: float) -> float:
        dx = club.centre_yd - short_yd - spot_yd
        one = np.ones_like(dx)
        wide = side_factor * side_sd
        return float(mean_distance(dx, club.side_yd * one, sd * one, wide * one, rho * one).mean())

    p = golfer.mishit_share
    return (1.0 - p) * mean(np.zeros(1), 1.0) + p * mean(LOSSES * club.centre_yd, 2.0)


def miss_table(tests: Sequence[Result]) -> str:
    """Write per count of balls: wrong choices, regret, and stated : right in four bins."""
    d = np.array([test["d"] for test in tests])
    rows = []
    for k, pairs in enumerate(PAIRS):
        chance = np.array([test["beliefs"][k][0] for test in tests])
        stated, right = np.maximum(chance, 1.0 - chance), (chance > 0.5) == (d > 0.0)
        row = [f"{2 * pairs}", share(int((~right).sum()), len(d)), f"{np.mean(np.abs(d) * ~right):.2f}"]
        for low, high in BINS:
            here = (stated >= low) & ((stated < high) | (high == 1.0))
            row.append(
                f"{100 * stated[here].mean():.1f} : {100 * right[here].mean():.1f} ({here.sum()})"
                if here.any()
                else "-"
            )
        rows.append(row)
    bins = [f"stated : right, {100 * low:.0f}-{100 * high:.0f}" for low, high in BINS]
    return table(["balls", "wrong %", "regret yd of miss", *bins], rows)


def main() -> None:
    """Run the cell and print the table."""
    options = arguments(__doc__ or "", 1500).parse_args()
    banner()
    print("commit", commit())
    tests = run_cells("miss", chosen(cells(), options), work, options)["miss"]
    print(f"\n{len(tests)} tests\n\n{miss_table(tests)}")


if __name__ == "__main__":
    main()
