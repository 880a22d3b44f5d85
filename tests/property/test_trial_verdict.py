"""A verdict's probability means what it says, on invented players with known truth."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from bagwright.bag.club import Player
from bagwright.dispersion.fit import fit_dispersion
from bagwright.trial.miss import Pattern, expected_miss
from bagwright.trial.verdict import judge
from tests.unit.trial.visits import shots, table, wedge_bag

SPOT = 99.0
VISITS = 60


def true_miss(carry: float, side: float) -> float:
    """Expected miss of the invented clubs: sds 5 and 6 m, a tenth mishits, one fifth short."""
    c, s, sc, sl, r, p, short, short_sd = (
        np.array([x]) for x in (carry, side, 5.0, 6.0, 0.0, 0.1, 0.2 * carry, 0.12 * carry)
    )
    return float(expected_miss(Pattern(c, s, sc, sl, r, p, short, short_sd, 2.0), SPOT)[0])


def test_stated_probability_against_how_often_it_was_right() -> None:
    """Visits of 6 + 6 balls, true differences N(0, 8 yd): stated P within 10 points of the share right."""
    rng = np.random.default_rng(20)
    stated, right = [], []
    for seed in range(VISITS):
        gap, x = (float(v) for v in 99.0 + 5.2 * rng.standard_normal(2))
        clubs = {
            "Gap": (gap, 2.0 * float(rng.standard_normal())),
            "50 X": (x, 2.0 * float(rng.standard_normal())),
        }
        verdict = judge(table(shots(clubs, 6, seed=seed)), "Gap,50 X", wedge_bag(), spot_m=SPOT)
        truth = min(clubs, key=lambda name: true_miss(*clubs[name]))
        stated.append(verdict.probability)
        right.append(verdict.choice == truth)
    assert abs(np.mean(stated) - np.mean(right)) < 0.10
    sure = np.array(stated) >= 0.75
    assert np.mean(np.array(right)[sure]) > np.mean(np.array(right)[~sure])


@settings(max_examples=20)
@given(st.floats(85.0, 115.0), st.floats(-8.0, 8.0), st.integers(0, 1000))
def test_mirroring_left_and_right_changes_no_choice(carry: float, side: float, seed: int) -> None:
    clubs = {"Gap": (99.0, 1.0), "50 X": (carry, side)}
    hit = shots(clubs, 4, seed=seed)
    player = Player(handicap=12.0)
    bag = wedge_bag()
    mirrored = [type(s)(s.club, s.order, carry_m=s.carry_m, offline_m=-(s.offline_m or 0.0)) for s in hit]
    one = judge(table(hit), "Gap,50 X", bag, fits=fit_dispersion(table(hit), player, bag), spot_m=SPOT)
    other = judge(
        table(mirrored), "Gap,50 X", bag, fits=fit_dispersion(table(mirrored), player, bag), spot_m=SPOT
    )
    assert abs(one.probability - other.probability) < 0.06 or one.close_call or other.close_call
    for a, b in zip(one.dispersion.lines, other.dispersion.lines, strict=True):
        assert abs(a.right_probability + b.right_probability - 1.0) < 1e-6
