"""Small stochastic shortest paths, written out, and three ways to solve them that share no code."""

from __future__ import annotations

import itertools
import warnings
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Choices:
    """Rows (state, cost, chances of the states); what is missing to 1 ends the game."""

    state: NDArray[np.int64]
    cost: Floats
    chance: Floats

    @property
    def n(self) -> int:
        return self.chance.shape[1]


def by_iteration(c: Choices, most: int = 5000) -> Floats:
    v = np.zeros(c.n)
    for _ in range(most):
        q = c.cost + c.chance @ v
        new = np.full(c.n, np.inf)
        np.minimum.at(new, c.state, q)
        if np.abs(new - v).max() < 1e-13:
            return new
        v = new
    raise AssertionError("no fixed point")


def by_program(c: Choices) -> Floats:
    """The largest V with V(s) <= cost + sum p V for every choice (HiGHS through scipy; no discount)."""
    from scipy.optimize import linprog

    a = -np.array(c.chance)
    a[np.arange(len(c.state)), c.state] += 1
    found = linprog(-np.ones(c.n), A_ub=a, b_ub=c.cost, bounds=(None, None), method="highs")
    assert found.status == 0
    return np.asarray(found.x)


def by_policies(c: Choices) -> Floats:
    """Every policy, each by a linear system; those that never end are left out."""
    rows = [np.flatnonzero(c.state == s) for s in range(c.n)]
    best = np.full(c.n, np.inf)
    for pick in itertools.product(*rows):
        k = list(pick)
        m = np.eye(c.n) - c.chance[k]
        if abs(np.linalg.det(m)) > 1e-12:
            v = np.linalg.solve(m, c.cost[k])
            if (v > 0).all():
                best = np.minimum(best, v)
    return best


def by_quantecon(c: Choices, steps: int = 400) -> Floats:
    """Backward induction of a general library: it has no discount of 1, but many steps without one."""
    from quantecon.markov import DiscreteDP, backward_induction

    n = c.n
    order = np.argsort(c.state, kind="stable")
    chance = np.zeros((len(order) + 1, n + 1))
    chance[:-1, :n] = c.chance[order]
    chance[:-1, n] = 1 - chance[:-1, :n].sum(1)
    chance[-1, n] = 1
    state = np.append(c.state[order], n)
    action = np.concatenate([np.arange((state == s).sum()) for s in range(n + 1)])
    with warnings.catch_warnings():
        # It says that its other methods do not work without a discount; this one does.
        warnings.simplefilter("ignore", UserWarning)
        game: Any = DiscreteDP(np.append(-c.cost[order], 0.0), chance, 1.0, state, action)
    values, _ = backward_induction(game, steps)
    return np.asarray(-values[0][:n])


CLUBS = {
    23: {-4: 0.15, -2: 0.25, 0: 0.4, 2: 0.2}, 16: {-3: 0.15, -1: 0.2, 0: 0.5, 1: 0.15},
    11: {-2: 0.1, -1: 0.2, 0: 0.55, 1: 0.15}, 5: {-2: 0.1, -1: 0.2, 0: 0.6, 1: 0.1}, 1: {0: 0.6, -1: 0.4},
}  # fmt: skip


def line(clubs: dict[int, dict[int, float]], cells: int = 40) -> Choices:
    """Cells 0..n of ten yards on a line; cell 0 is holed; next = min(|s - m - d|, n)."""
    state, chance = [], []
    for s in range(1, cells + 1):
        for m, errors in clubs.items():
            row = np.zeros(cells)
            for d, p in errors.items():
                end = min(abs(s - m - d), cells)
                if end:
                    row[end - 1] += p
            state.append(s - 1)
            chance.append(row)
    return Choices(np.array(state), np.ones(len(state)), np.array(chance))
