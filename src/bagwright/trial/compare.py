"""Small tools on joint posterior draws: who leads on a number and how sure, and a draw's range."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from bagwright.estimate import Estimate

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Lead:
    """The candidate with the least mean and the next one, by position, and P (0..1) that it is truly less."""

    first: int
    second: int
    probability: float


def lead(values: Floats) -> Lead:
    """Find who leads where less is better: `values` has shape (draws, candidates), at least two candidates.

    Draws in which both are equal count half, so that two identical candidates stand at one half.
    """
    order = np.argsort(values.mean(axis=0), kind="stable")
    first, second = int(order[0]), int(order[1])
    return Lead(first, second, chance_less(values[:, first], values[:, second]))


def chance_less(one: Floats, other: Floats) -> float:
    """Return the share of draws in which one is less than the other, ties counted half."""
    return float(np.mean(one < other) + 0.5 * np.mean(one == other))


def range_of(draws: Floats) -> Estimate:
    """Return mean and 90 % range of one number's draws (n,)."""
    low, high = np.quantile(draws, (0.05, 0.95))
    return Estimate(float(draws.mean()), float(low), float(high))


def chances_of_least(values: Floats) -> Floats:
    """Return for each candidate the share of draws in which it is the least of all, ties shared out; (k,)."""
    least = values == values.min(axis=1, keepdims=True)
    return np.asarray((least / least.sum(axis=1, keepdims=True)).mean(axis=0))
