"""Evenly spread points in many dimensions, the same on every machine and every run.

A Kronecker sequence frac(i a_d), a_d = sqrt(prime) (Niederreiter 1992, Random Number Generation and
Quasi-Monte Carlo Methods, chapter 3), without primes whose a_d lies close to another. What its dimensions
still move together is taken out of their normal scores by a triangular map (Iman and Conover 1982,
Communications in Statistics B 11). Every dimension is then replaced by its ranks: each holds exactly one
point in each of n equal steps.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from scipy.special import ndtri

from bagwright.dispersion._kernel import Floats, Ints

_ROUNDS = 2


@lru_cache(maxsize=8)
def even_points(n: int, dimensions: int) -> Floats:
    """Points (n, dimensions) strictly inside the unit cube; read-only."""
    raw = (np.arange(1, n + 1)[:, None] * _multipliers(dimensions)) % 1.0
    points = (_ranks(raw) + 0.5) / n
    for _ in range(_ROUNDS if n > 4 * dimensions else 0):
        scores = ndtri(points)
        root = np.linalg.cholesky(np.corrcoef(scores.T).reshape(dimensions, dimensions))
        points = (_ranks(np.linalg.solve(root, scores.T).T) + 0.5) / n
    points.setflags(write=False)
    return points


def _ranks(values: Floats) -> Ints:
    """Ranks from 0 within every column; equal values keep their order."""
    ranks: Ints = np.argsort(np.argsort(values, axis=0, kind="stable"), axis=0, kind="stable")
    return ranks


@lru_cache(maxsize=8)
def _multipliers(dimensions: int) -> Floats:
    """Fractions of roots of primes, apart from each other's and from their mirror images."""
    gap = 0.1 / dimensions
    chosen = np.array([0.0])
    for prime in _primes(8 * dimensions + 50):
        a = prime**0.5 % 1.0
        apart = np.abs(np.stack([a - chosen, a + chosen - 1.0]))
        if np.minimum(apart, 1.0 - apart).min() > gap:
            chosen = np.append(chosen, a)
        if len(chosen) > dimensions:
            break
    if len(chosen) <= dimensions:
        raise ValueError(f"no even points in {dimensions} dimensions; ask for fewer clubs at once")
    return chosen[1:]


def _primes(count: int) -> list[int]:
    """List the first primes (Rosser 1941: the n-th is below n (ln n + ln ln n) from the sixth on)."""
    below = 20 + int(count * (np.log(count + 2.0) + np.log(np.log(count + 2.0) + 1.0)))
    sieve = np.ones(below, dtype=np.bool_)
    sieve[:2] = False
    for i in range(2, int(below**0.5) + 1):
        if sieve[i]:
            sieve[i * i :: i] = False
    return [int(i) for i in np.flatnonzero(sieve)[:count]]
