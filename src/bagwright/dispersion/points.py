"""Evenly spread points in many dimensions, the same on every machine and every run.

A Kronecker sequence frac(i a_d) (Niederreiter 1992, Random Number Generation and Quasi-Monte Carlo Methods,
ch. 3) whose multipliers a_d = sqrt(prime) are picked so that no two dimensions move together; every
dimension is then replaced by its ranks, so that each holds exactly one point in each of n equal steps.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from bagwright.dispersion._kernel import Floats


def _primes(below: int) -> list[int]:
    sieve = np.ones(below, dtype=np.bool_)
    sieve[:2] = False
    for i in range(2, int(below**0.5) + 1):
        if sieve[i]:
            sieve[i * i :: i] = False
    return [int(i) for i in np.flatnonzero(sieve)]


@lru_cache(maxsize=8)
def _multipliers(dimensions: int) -> tuple[float, ...]:
    """Fractions of roots of primes: none close to another, to its mirror image, or to twice or half of it."""
    gap = min(0.004, 0.08 / dimensions)
    chosen: list[float] = []
    singles = np.array([0.0])
    doubles = np.array([0.0])
    for prime in _primes(200 * dimensions + 2000):
        a = prime**0.5 % 1.0
        clear = _distance(a, singles) > gap
        if clear and _distance(a, doubles) > 0.25 * gap and _distance(2.0 * a % 1.0, singles) > 0.25 * gap:
            chosen.append(a)
            singles = np.concatenate([singles, [a, 1.0 - a]])
            doubles = np.concatenate([doubles, [2.0 * a % 1.0, -2.0 * a % 1.0]])
            if len(chosen) == dimensions:
                return tuple(chosen)
    raise ValueError(f"no even points in {dimensions} dimensions; ask for fewer clubs at once")


def _distance(a: float, others: Floats) -> float:
    """Give the shortest way round the circle of length 1 from a to any of the others."""
    apart = np.abs(a - others)
    return float(np.minimum(apart, 1.0 - apart).min())


@lru_cache(maxsize=8)
def even_points(n: int, dimensions: int) -> Floats:
    """Points (n, dimensions) strictly inside the unit cube; read-only."""
    a = np.array(_multipliers(dimensions))
    raw = (np.arange(1, n + 1)[:, None] * a) % 1.0
    ranks = np.argsort(np.argsort(raw, axis=0, kind="stable"), axis=0, kind="stable")
    points: Floats = (ranks + 0.5) / n
    points.setflags(write=False)
    return points
