"""What a course adds along the line: players who were fitted on a range become those that were published."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bagwright.bag.club import Bag, Club, Player
from bagwright.course.lies import Lie
from bagwright.dispersion.fit import fit_dispersion
from bagwright.shots.record import Shot, ShotTable
from bagwright.strokes.kernels import SWINGS, full_kernels
from bagwright.strokes.on_course import HIGHEST_HANDICAP, course_share, on_course
from bagwright.strokes.reference import Level, reference_player
from bagwright.strokes.table import patterns_of
from tests.unit.strokes.finish import find

CLUBS = tuple(Club(f"{n} iron", "iron", str(n), stamped_loft_deg=8.5 + 3.5 * n) for n in (5, 7, 9))


def ranged(handicap: float, balls: int = 40) -> tuple[Bag, ShotTable]:
    """Solid balls from a mat as the dispersion room takes a player of this handicap to hit them."""
    bag = Bag(Player(handicap=handicap, driver_speed_mps=44.0), CLUBS)
    rng = np.random.default_rng(7)
    shots: list[Shot] = []
    for club, carry in zip(CLUBS, (155.0, 137.0, 116.0), strict=True):
        long, side = (3.5 + 0.14 * handicap) / 100.0, math.radians(2.9 + 0.16 * handicap)
        for _ in range(balls):
            a, b = rng.standard_normal(2)
            shots.append(
                Shot(club.name, len(shots), carry_m=carry * (1 + long * a), offline_m=carry * side * b)
            )
    return bag, ShotTable.of(shots)


@pytest.mark.parametrize(("handicap", "level"), [(-5.0, "tour"), (0.0, "scratch"), (16.0, "average 90")])
def test_a_fitted_player_is_as_long_as_the_published_one(handicap: float, level: Level) -> None:
    """Published: James & Rees 2008 and Broadie (read), as the reference players have them."""
    bag, shots = ranged(handicap)
    ours = patterns_of(bag, None, fit_dispersion(shots, bag.player, bag))
    theirs = reference_player(level).table()
    for club in ("5 iron", "7 iron", "9 iron"):
        a, b = (_solid_share(t.parts[Lie.FAIRWAY, find(t, club)]) for t in (ours, theirs))
        assert a == pytest.approx(b, rel=0.17)


def _solid_share(part: np.ndarray) -> float:
    w = part[:3, 0] / part[:3, 0].sum()
    return float(np.sqrt(w @ part[:3, 3] ** 2)) / float(part[0, 1])


def test_it_grows_with_handicap_up_to_a_point() -> None:
    shares = [course_share(h) for h in (-6.0, -5.0, 0.0, 16.0, HIGHEST_HANDICAP, 54.0)]
    assert shares == sorted(shares)
    assert shares[0] == shares[1] == 0.0275
    assert shares[-1] == shares[-2]
    assert course_share(16.0) == pytest.approx(math.sqrt(0.125**2 - 0.060**2), abs=0.002)


def test_side_stays_and_what_is_tied_to_length_is_thinned() -> None:
    bag, shots = ranged(12.0, balls=8)
    for kernel in full_kernels(bag, fit_dispersion(shots, bag.player, bag), {}, SWINGS):
        there = on_course(kernel, 12.0)
        assert there.y_var_m2 == kernel.y_var_m2
        added = (course_share(12.0) * kernel.x_m) ** 2
        assert there.x_var_m2 == pytest.approx(kernel.x_var_m2 + added)
        # The doubt of the variance itself (its sd) and the covariance are what they were.
        assert there.x_tail * there.x_var_m2 == pytest.approx(kernel.x_tail * kernel.x_var_m2)
        covariances = [k.correlation * math.sqrt(k.x_var_m2 * k.y_var_m2) for k in (kernel, there)]
        assert covariances[0] == pytest.approx(covariances[1])
