"""Putts from a distance: how many on average, and their mean square, with three-putts.

A putt is holed when its start is within the angle that the hole leaves and its speed would stop it at most 3
ft past (the angle-and-distance model of Broadie 2018 as told by Gelman 2019): aimed one foot past,

    p(x) = [2 Phi(asin((R - r)/x) / angle) - 1] [Phi(2 / ((x + 1) share)) - Phi(-1 / ((x + 1) share))],

x in feet, R and r the radii of hole and ball. A putt that misses lies where the same two errors leave it,
and the next one starts there: the number of putts is a Markov chain on the distance, and its mean and mean
square solve two systems of linear equations. No further number is fitted for the leave: with the errors that
the rate of holed putts gives, tour players take three putts as often as published (a test repeats it).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from bagwright.units import M_PER_FT, M_PER_IN

Floats = NDArray[np.float64]

HOLE_RADIUS_M = 4.25 / 2.0 * M_PER_IN
"""Rules of Golf."""
BALL_RADIUS_M = 1.68 / 2.0 * M_PER_IN
"""Equipment Rules."""
PAST_M = 1.0 * M_PER_FT
"""How far past the hole a putt is aimed to stop: Broadie 2018 as told by Gelman 2019."""
CATCH_M = 3.0 * M_PER_FT
"""How far past the hole a ball would stop at most that still drops: the same."""

TOUR_HANDICAP = -5.0
"""Handicap taken for a tour player: common practice, no source."""
AVERAGE_90_HANDICAP = 16.0
"""Handicap of a player whose average score is 90: about a rating of 71 and three more strokes, as the index
is the mean of the best 8 of 20: our arithmetic."""
_SKILL = (
    # handicap, angle (rad), share of the distance
    (TOUR_HANDICAP, 0.017802, 0.080067),
    (4.5, 0.0244, 0.088),
    (AVERAGE_90_HANDICAP, 0.0297, 0.100),
    (36.0, 0.0390, 0.125),
)
"""Errors by handicap. Tour: fit to Broadie's 31 rows (2018). Handicaps 0-9: half of the putts from 6 ft, an
average score of 90: half from 5 ft (Broadie 2008 and 2014, second hand); their share of the distance: three
putts from 20 to 50 ft of a player who averages 90, from memory; 36: the same line further on (judgement)."""

TABLE_M = np.concatenate([np.linspace(0.05, 3.0, 60), np.geomspace(3.1, 45.0, 60)])
"""Distances of the table, metres."""


@dataclass(frozen=True, slots=True)
class PuttingSkill:
    """Errors of a player's putts: of the start (rad), and of the length as a share of it (both sd)."""

    angle_rad: float
    share: float


def skill_of(handicap: float) -> PuttingSkill:
    """Errors by handicap: linear between the published points, level better than tour and worse than 54."""
    at, angle, share = (np.array(column) for column in zip(*_SKILL, strict=True))
    h = min(max(handicap, TOUR_HANDICAP), 54.0)
    if h > at[-1]:
        further = (h - at[-1]) / (at[-1] - at[-2])
        return PuttingSkill(
            float(angle[-1] + further * (angle[-1] - angle[-2])),
            float(share[-1] + further * (share[-1] - share[-2])),
        )
    return PuttingSkill(float(np.interp(h, at, angle)), float(np.interp(h, at, share)))


TOUR = skill_of(TOUR_HANDICAP)


def holed_by_angle(distance_m: Floats, angle_rad: float) -> Floats:
    """Chance that the start is good enough: 2 Phi(asin((R - r)/x)/sigma) - 1 (Gelman and Nolan 2002)."""
    reach = np.arcsin(np.minimum((HOLE_RADIUS_M - BALL_RADIUS_M) / np.maximum(distance_m, 1e-9), 1.0))
    found: Floats = 2.0 * ndtr(reach / angle_rad) - 1.0
    return found


def holed(distance_m: Floats, skill: PuttingSkill) -> Floats:
    """Chance (n,) that a putt from each distance (n,) in metres is holed."""
    sd = (distance_m + PAST_M) * skill.share
    pace = ndtr((CATCH_M - PAST_M) / sd) - ndtr(-PAST_M / sd)
    found: Floats = holed_by_angle(distance_m, skill.angle_rad) * pace
    return found


@dataclass(frozen=True, slots=True, eq=False)
class Putts:
    """Putts over distance: arrays (k,) over `distance_m`.

    `mean` and `square` are the mean number and the mean of its square, `one` and `three` the chances of one
    putt and of three or more.
    """

    distance_m: Floats
    mean: Floats
    square: Floats
    one: Floats
    three: Floats


@lru_cache(maxsize=64)
def putts_of(skill: PuttingSkill) -> Putts:
    """Work out the putts of a player from every distance of `TABLE_M`."""
    x = TABLE_M
    one = holed(x, skill)
    next_one = _leaves(x, skill)
    miss = 1.0 - one
    step = miss[:, None] * next_one
    identity = np.eye(len(x))
    mean: Floats = np.linalg.solve(identity - step, np.ones(len(x))).astype(np.float64)
    square: Floats = np.linalg.solve(identity - step, 1.0 + 2.0 * step @ mean).astype(np.float64)
    three = miss * (next_one @ miss)
    return Putts(x, mean, square, one, three)


def _leaves(x: Floats, skill: PuttingSkill) -> Floats:
    """Chances (k, k): where a missed putt from x[i] leaves the next, spread on the table's distances.

    Midpoints of equal chance along the length and across; a pair that would be holed is left out, so the
    rows are conditional on a miss.
    """
    z_long = ndtri((np.arange(81) + 0.5) / 81.0)
    z_side = ndtri((np.arange(41) + 0.5) / 41.0)
    length = (x[:, None, None] + PAST_M) * (1.0 + skill.share * z_long[None, :, None])
    turn = skill.angle_rad * z_side[None, None, :]
    left = np.hypot(length * np.cos(turn) - x[:, None, None], length * np.sin(turn))
    reach = np.arcsin(np.minimum((HOLE_RADIUS_M - BALL_RADIUS_M) / x, 1.0))[:, None, None]
    past = length - x[:, None, None]
    missed = (np.abs(turn) >= reach) | (past < 0.0) | (past > CATCH_M)
    at = np.clip(left, x[0], x[-1])
    low = np.clip(np.searchsorted(x, at) - 1, 0, len(x) - 2)
    share = (at - x[low]) / (x[low + 1] - x[low])
    found = np.zeros((len(x), len(x)))
    row = np.broadcast_to(np.arange(len(x))[:, None, None], at.shape)
    np.add.at(found, (row, low), missed * (1.0 - share))
    np.add.at(found, (row, low + 1), missed * share)
    total = found.sum(1)
    found[total == 0.0, 0] = 1.0
    conditional: Floats = found / np.maximum(found.sum(1), 1e-300)[:, None]
    return conditional


def half_distance_m(skill: PuttingSkill) -> float:
    """Distance in metres from which a player holes half of the putts."""
    low, high = 0.1, 30.0
    for _ in range(60):
        middle = math.sqrt(low * high)
        low, high = (middle, high) if float(holed(np.array([middle]), skill)[0]) > 0.5 else (low, middle)
    return low
