"""Small problems whose answers are known: strokes by hole of bags, the dearer the fewer clubs there are."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from bagwright.pick.wish import Limits

Floats = NDArray[np.float64]


class Walk:
    """A random way through spots: at each the cheapest club of the bag decides where the ball goes next.

    A small decision process like a hole's: strokes from the tee by hole, never more with one more club.
    """

    def __init__(self, n: int, seed: int, holes: int = 6, spots: int = 12, options: int = 5) -> None:
        rng = np.random.default_rng(seed)
        self.n, self.asked = n, 0
        self.club = rng.integers(0, n, (holes, spots, options))
        self.cost = 1.0 + rng.gamma(1.0, 0.15, (holes, spots, options))
        # From spot s a ball goes to nearer spots 0 .. s - 1 or is holed.
        self.chance = rng.dirichlet(np.full(spots + 1, 0.4), (holes, spots, options))
        self.fallback = 1.0 + rng.gamma(4.0, 0.2, (holes, spots))

    def holes(self, bags: Sequence[int]) -> Floats:
        self.asked += len(bags)
        lacks = np.array([[not bag >> i & 1 for i in range(self.n)] for bag in bags])
        value = np.zeros((len(bags), *self.fallback.shape))
        for s in range(self.fallback.shape[1]):
            ahead = (self.chance[None, :, s, :, :s] * value[:, :, None, :s]).sum(3)
            each = np.where(lacks[:, self.club[:, s]], np.inf, self.cost[:, s] + ahead)
            worst = self.fallback[:, s] + value[:, :, :s].max(2, initial=1.0)
            value[:, :, s] = np.minimum(each.min(2), worst)
        return value[:, :, -1]

    def strokes(self, bags: Sequence[int]) -> Floats:
        return self.holes(bags).sum(1)


class Sum:
    """Every club saves its own strokes, split over the holes: the best bag is the dearest clubs to lack."""

    def __init__(self, saved: Floats) -> None:
        self.saved, self.n = saved, len(saved)

    def holes(self, bags: Sequence[int]) -> Floats:
        lacks = np.array([[not bag >> i & 1 for i in range(self.n)] for bag in bags])
        return 4.0 + lacks @ self.saved


def allowed(limits: Limits) -> Iterator[int]:
    """Every bag that is what was asked for, by going through all there are."""
    for size in range(limits.slots + 1):
        for clubs in combinations(range(limits.n), size):
            bag = sum(1 << i for i in clubs)
            if limits.allows(bag):
                yield bag
