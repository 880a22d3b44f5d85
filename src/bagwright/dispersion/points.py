"""Evenly spread points in many dimensions, the same on every machine and every run.

A rank-1 lattice i z_d / m, m a power of two (Niederreiter 1992, Random Number Generation and Quasi-Monte
Carlo Methods, chapter 5). The z_d are odd, and no two are equal, opposite, or thrice one another modulo m, since
such pairs of dimensions would move together. Every dimension is replaced by its ranks, so that each holds exactly
one point in each of n equal steps whatever n is.
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
def _generator(dimensions: int, m: int) -> Floats:
    """Pick odd numbers below m from the roots of primes; refused neighbours as said above."""
    third = pow(3, -1, m)
    taken: set[int] = {1, m - 1}
    chosen: list[int] = []
    for prime in _primes(400 * dimensions + 2000):
        z = 2 * int(prime**0.5 % 1.0 * m / 2) + 1
        if z in taken:
            continue
        chosen.append(z)
        if len(chosen) == dimensions:
            return np.array(chosen, dtype=np.float64)
        for relative in (z, 3 * z % m, third * z % m):
            taken |= {relative, m - relative}
    raise ValueError(f"no even points in {dimensions} dimensions; ask for fewer clubs at once")


@lru_cache(maxsize=8)
def even_points(n: int, dimensions: int) -> Floats:
    """Points (n, dimensions) strictly inside the unit cube; read-only."""
    m = 1 << max((n - 1).bit_length(), (12 * dimensions - 1).bit_length())
    raw = (np.arange(1, n + 1)[:, None] * _generator(dimensions, m)) % m
    ranks = np.argsort(np.argsort(raw, axis=0, kind="stable"), axis=0, kind="stable")
    points: Floats = (ranks + 0.5) / n
    points.setflags(write=False)
    return points
