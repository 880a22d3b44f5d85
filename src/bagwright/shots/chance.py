"""The chance that a shot is a bad read, from how far its carry and height lie from its own launch.

A mixture of two: good reads are t with 8 degrees of freedom around what the launch flies (several errors
with tails heavier than normal ones, added up), bad reads are broad, with a part of them at the step
between yards and metres. How common bad reads are is learnt from the table at hand, starting from about one
in a hundred. `bench/study_bad_reads.py` holds the chances against invented tables where the truth is known.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

FREEDOM = 8.0
ROBUST = 1.0473
"""Robust sd (1.4826 MAD) of such a t variable over its scale: 1.4826 times its upper quartile 0.7064."""
COMMON = 0.012
"""Share of bad reads to start from, with the weight of COMMON_SHOTS shots."""
COMMON_SHOTS = 80.0
BROAD = (0.10, 0.22)
"""Scale of bad reads in ln carry and ln height, as t with 3 degrees of freedom: working judgements."""
SLIP = float(np.log(1.0 / 0.9144))
"""Ln of a metre in yards; the yard is 0.9144 m exactly (international yard, 1959)."""
SLIPS = 0.15
"""Share of bad reads that are yards among metres or the reverse: working judgement."""
_ROUNDS = 25
_T8 = 0.3866990209
"""Density of t with 8 degrees of freedom at 0: gamma(4.5) / (gamma(4) sqrt(8 pi))."""
_T3 = 0.3675525970
"""Density of t with 3 degrees of freedom at 0: 2 / (sqrt(3) pi)."""


def distances(z_carry: Floats, z_height: Floats, rho: float) -> Floats:
    """How far off in sds, arrays (n,): of carry alone where no height is there (NaN), else of both.

    sqrt(z' R^-1 z) with the correlation `rho` of good reads' carry and height.
    """
    both = np.sqrt((z_carry**2 - 2.0 * rho * z_carry * z_height + z_height**2) / (1.0 - rho**2))
    return np.asarray(np.where(np.isfinite(z_height), both, np.abs(z_carry)))


def bad_chances(
    carry: Floats, carry_sd: Floats, height: Floats, height_sd: Floats, rho: float
) -> tuple[Floats, float]:
    """Chance (n,) that each shot is a bad read, and the share of bad reads in the table.

    `carry` and `height` are ln measured / expected, `carry_sd` and `height_sd` their robust sds; `height` is
    NaN where there is none.
    """
    good = _good(carry, carry_sd, height, height_sd, rho)
    slip = 0.5 * (
        _good(carry - SLIP, carry_sd, height, height_sd, rho)
        + _good(carry + SLIP, carry_sd, height, height_sd, rho)
    )
    bad = (1.0 - SLIPS) * _broad(carry, height) + SLIPS * slip
    share = COMMON
    chance = np.zeros(len(carry))
    for _ in range(_ROUNDS):
        chance = share * bad / (share * bad + (1.0 - share) * good)
        share = float((COMMON * COMMON_SHOTS + chance.sum()) / (COMMON_SHOTS + len(chance)))
    return chance, share


def _good(carry: Floats, carry_sd: Floats, height: Floats, height_sd: Floats, rho: float) -> Floats:
    s, h = carry_sd / ROBUST, height_sd / ROBUST
    z = carry / s
    one = _T8 / s * (1.0 + z**2 / FREEDOM) ** (-0.5 * (FREEDOM + 1.0))
    d2 = distances(z, height / h, rho) ** 2
    # Bivariate t: its constant is 1 / (2 pi |R|^(1/2)) for every number of degrees of freedom.
    two = (1.0 + d2 / FREEDOM) ** (-0.5 * (FREEDOM + 2.0)) / (2.0 * np.pi * np.sqrt(1.0 - rho**2) * s * h)
    return np.asarray(np.where(np.isfinite(height), two, one))


def _broad(carry: Floats, height: Floats) -> Floats:
    a, b = carry / BROAD[0], height / BROAD[1]
    one = _T3 / BROAD[0] * (1.0 + a**2 / 3.0) ** -2.0
    two = (1.0 + (a**2 + b**2) / 3.0) ** -2.5 / (2.0 * np.pi * BROAD[0] * BROAD[1])
    return np.asarray(np.where(np.isfinite(height), two, one))
