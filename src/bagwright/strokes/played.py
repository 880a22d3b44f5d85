"""A solved hole played by the model's own dice: spread, demand, and the certificate of its value."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagwright.strokes.balls import balls_of
from bagwright.strokes.hole import MANY, TEE, Solver, strokes_of
from bagwright.strokes.result import Demand
from bagwright.strokes.search import Search
from bagwright.strokes.states import lies_played

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
ROUNDS = 4000
"""Rounds of a hole for spread and demand: the spread is known to 1.1 % (1 / sqrt(2 * rounds))."""
CERTIFIED = 200
"""Spots at which the exact definition is asked for the certificate."""
BANDS_M = (0.0, 10.0, 20.0, 30.0, 45.0, *np.arange(60.0, 260.0, 20.0).tolist(), math.inf)
"""Bands of distance to the pin, metres."""
SEED = 41
OWN = 4
"""First of the certificate's sets of balls: others than those that values rest on."""


@dataclass(frozen=True)
class Policy:
    """Decisions at every cell and last at the tee: flat arrays."""

    shot: Ints
    aim: NDArray[np.float32]
    lie: Ints
    height: NDArray[np.float32]
    value: NDArray[np.float32]


@dataclass(frozen=True)
class Played:
    """Rounds of one hole."""

    score: Floats
    putts_var: float
    came: Ints
    round_of: Ints
    swings: Ints
    given_up: int

    @property
    def sd(self) -> float:
        """Spread of the strokes from round to round, the putts' own in it."""
        return math.sqrt(float(self.score.var(ddof=1)) + self.putts_var)


def policy_of(solver: Solver, s: Search) -> Policy:
    """The chosen shots and aims, cell by cell."""
    lie = lies_played(solver.cells.raster.lie).ravel()
    played = np.flatnonzero(lie <= 5)
    size = lie.size + 1
    at = np.append(played, size - 1)
    shot, aim = np.full(size, -1, np.int64), np.full(size, np.nan, np.float32)
    where, height, value = (
        np.full(size, -1, np.int64),
        np.zeros(size, np.float32),
        np.full(size, np.nan, np.float32),
    )
    shot[at], aim[at] = s.chosen
    where[at], height[at], value[at] = s.states.lie, s.height, s.value
    return Policy(shot, aim, where, height, value)


def play(solver: Solver, policy: Policy, rounds: int = ROUNDS, seed: int = SEED) -> Played:
    """Play the hole from the tee."""
    from bagwright.strokes import _kernel_play

    g, p = solver.cells, solver.player
    score = np.zeros(rounds)
    came, round_of = np.zeros(rounds * 12, np.int64), np.zeros(rounds * 12, np.int64)
    swings, putted = np.zeros(len(policy.shot), np.int64), np.zeros(g.kind.size, np.int64)
    count, lost = _kernel_play.play(
        solver.turf, p.extra, p.run, p.parts, np.array(g.tee, np.float32), policy.shot, policy.aim,
        policy.lie, policy.height, g.kind, g.relief, g.penalty, g.putts, rounds, seed, score, came, round_of,
        swings, putted,
    )  # fmt: skip
    own = np.asarray(g.putts_square, float) - np.asarray(g.putts, float) ** 2
    return Played(score, float(putted @ own) / rounds, came[:count], round_of[:count], swings, lost)


def certify(solver: Solver, policy: Policy, played: Played, spots: int = CERTIFIED) -> tuple[float, float]:
    """What the exact definition adds to the strokes from the tee, and how far both may be apart.

    The strokes of a policy are V + E[sum of the exact Bellman residuals at the spots of a round] (telescoping
    sum). The residual is worked out at every spot of the first rounds; the bound is the size of the mean and
    three standard errors.
    """
    rounds = max(int(played.round_of[min(spots, len(played.round_of) - 1)]), 2)
    use = played.round_of < rounds
    spot, which = played.came[use], played.round_of[use]
    off = residuals(solver, policy, spot)
    total = np.bincount(which, off, minlength=rounds)
    mean = float(total.mean())
    return mean, abs(mean) + 3.0 * float(total.std(ddof=1)) / math.sqrt(rounds)


def residuals(solver: Solver, policy: Policy, spot: Ints) -> Floats:
    """Strokes of the chosen shot at spots (flat cells, the tee last) by many balls, less the values there."""
    g = solver.cells
    once, back = np.unique(spot, return_inverse=True)
    columns = g.shape[1]
    number = np.zeros((8, len(once)), np.float32)
    tee = once == len(policy.shot) - 1
    number[0] = np.where(tee, g.tee[0], once // columns + 0.5)
    number[1] = np.where(tee, g.tee[1], once % columns + 0.5)
    number[2], number[3] = policy.height[once], policy.aim[once]
    number[4], number[5] = np.cos(number[3]), np.sin(number[3])
    whole = np.stack([policy.lie[once], policy.shot[once]])
    eu, eo = solver.means(whole, number, balls_of(solver.player, MANY, OWN), once)
    if tee.any():
        last = len(once) - 1
        many = balls_of(solver.player, TEE, OWN)
        eu[last:], eo[last:] = solver.means(
            whole[:, last:].copy(), number[:, last:].copy(), many, once[last:]
        )
    off: Floats = strokes_of(eu, eo) - policy.value[once]
    return off[back]


def demand_of(solver: Solver, policy: Policy, played: Played) -> tuple[Demand, ...]:
    """How often each shot is played by lie and distance, the most frequent first."""
    g = solver.cells
    spot = np.flatnonzero(played.swings)
    tee = spot == len(policy.shot) - 1
    x = np.where(tee, g.tee[0], spot // g.shape[1] + 0.5) - g.pin[0]
    y = np.where(tee, g.tee[1], spot % g.shape[1] + 0.5) - g.pin[1]
    band = np.searchsorted(BANDS_M, np.hypot(x, y) * g.raster.cell_m, side="right") - 1
    key = np.stack([policy.shot[spot], policy.lie[spot], band])
    kinds, which = np.unique(key, axis=1, return_inverse=True)
    times = np.bincount(which.ravel(), played.swings[spot]) / len(played.score)
    found = [
        Demand(int(shot), int(lie), BANDS_M[b], BANDS_M[b + 1], float(n))
        for (shot, lie, b), n in zip(kinds.T, times, strict=True)
    ]
    return tuple(sorted(found, key=lambda one: -one.times))
