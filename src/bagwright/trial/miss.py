"""The expected miss: mean distance between where balls land and the slot's spot, mishits included.

A strike lands at (carry, side). The spot lies on the target line at the slot's carry. A club's *expected
miss* is the mean of the straight-line distance between the two over its predictive mixture of solid strikes
and mishits (statistics model: solid strikes normal around the club's centre; mishits short by a share of the
expected carry, with extra spread in carry and a wider side).

The mean length of a normal vector X with mean m and covariance S has no elementary form in general. From
``|x| = (1/sqrt(pi)) * integral over u > 0 of (1 - exp(-u^2 x^2)) / u^2`` and the Laplace transform of the
quadratic form |X|^2 (Mathai and Provost 1992, Quadratic Forms in Random Variables, ch. 3; from memory),

    E|X| = (1/sqrt(pi)) * integral_0^inf (1 - M(u^2)) / u^2 du,
    M(t) = det(I + 2 t S)^(-1/2) * exp(-t m' (I + 2 t S)^(-1) m).

With u = w / (r (1 - w)), r the root mean square of |X|, the integrand becomes r (1 - M) / w^2 on (0, 1),
smooth up to both ends, and sixteen Gauss-Legendre nodes give six digits. Rice's mean, the folded normal's
mean and plain spreads are its special cases; tests hold it to them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from bagwright.dispersion.fit import Draws

    Floats = NDArray[np.float64]

NODES = 16
"""Gauss-Legendre nodes of the mean-length integral: relative error below 1e-6."""


@dataclass(frozen=True, slots=True)
class Pattern:
    """Parameters of where balls land, arrays that broadcast to one shape, usually (draws, clubs).

    `carry_m`, `offline_m`: centre of solid strikes; `carry_sd_m`, `offline_sd_m`, `correlation`: their
    spread; `mishit_share` 0..1. A mishit is `mishit_short_m` shorter on average, with `mishit_short_sd_m` of
    extra spread in carry and `mishit_side_factor` times the side spread, uncorrelated.
    """

    carry_m: Floats
    offline_m: Floats
    carry_sd_m: Floats
    offline_sd_m: Floats
    correlation: Floats
    mishit_share: Floats
    mishit_short_m: Floats
    mishit_short_sd_m: Floats
    mishit_side_factor: float

    @classmethod
    def of(cls, draws: Draws) -> Pattern:
        """Give the pattern of joint posterior draws: arrays of shape (draws, clubs)."""
        return cls(
            carry_m=draws.carry_m,
            offline_m=draws.offline_m,
            carry_sd_m=draws.carry_sd_m,
            offline_sd_m=draws.offline_sd_m,
            correlation=draws.correlation,
            mishit_share=draws.mishit_share,
            mishit_short_m=draws.mishit_loss * np.asarray(draws.expected_carry_m, dtype=np.float64),
            mishit_short_sd_m=draws.mishit_loss_sd * np.asarray(draws.expected_carry_m, dtype=np.float64),
            mishit_side_factor=draws.mishit_side_factor,
        )


def mean_distance(dx: Floats, dy: Floats, sx: Floats, sy: Floats, correlation: Floats) -> Floats:
    """E of sqrt(X^2 + Y^2) for normal X (mean dx, sd sx) and Y (dy, sy) with a correlation; all broadcast.

    Same unit in as out. Spreads must be >= 0; with both 0 the answer is the plain distance.
    """
    sxx, syy, sxy = sx * sx, sy * sy, correlation * sx * sy
    square = dx * dx + dy * dy + sxx + syy
    shape = np.broadcast_shapes(np.shape(square), np.shape(sxy))
    square = np.broadcast_to(square, shape)
    safe = np.atleast_1d(np.where(square > 0, square, 1.0))
    total = np.zeros(safe.shape)
    terms = _Terms(dx, dy, sxx, syy, sxy if np.any(sxy) else None)
    for node, weight in zip(*_nodes(), strict=True):
        term = terms.at(2.0 * (node / (1.0 - node)) ** 2 / safe)
        np.subtract(1.0, term, out=term)
        term *= weight / node**2
        total += term
    return np.where(square > 0, (np.sqrt(safe / np.pi) * total).reshape(shape), 0.0)


@dataclass(frozen=True, slots=True)
class _Terms:
    """The M of `mean_distance`, worked out in place: the arrays are short and there are many of them."""

    dx: Floats
    dy: Floats
    sxx: Floats
    syy: Floats
    sxy: Floats | None

    def at(self, t2: Floats) -> Floats:
        """M at 2 t, which has the full shape."""
        a = t2 * self.sxx
        a += 1.0
        d = t2 * self.syy
        d += 1.0
        det = a * d
        d *= self.dx
        d *= self.dx
        if self.sxy is not None:
            b = t2 * self.sxy
            spare = b * b
            det -= spare
            np.multiply(2.0, b, out=spare)
            spare *= self.dx
            spare *= self.dy
            d -= spare
        a *= self.dy
        a *= self.dy
        d += a
        d /= det
        np.multiply(-0.5, t2, out=a)
        a *= d
        np.exp(a, out=a)
        np.sqrt(det, out=det)
        a /= det
        return a


def solid_miss(pattern: Pattern, spot_m: float, extra_var: tuple[Floats, Floats] | None = None) -> Floats:
    """Give expected miss of solid strikes in metres.

    `extra_var` adds variance (carry, side) for a centre that is itself not known exactly.
    """
    extra_c, extra_s = extra_var if extra_var is not None else (np.zeros(1), np.zeros(1))
    sx = np.sqrt(pattern.carry_sd_m**2 + extra_c)
    sy = np.sqrt(pattern.offline_sd_m**2 + extra_s)
    rho = (
        pattern.correlation * pattern.carry_sd_m * pattern.offline_sd_m / np.where(sx * sy > 0, sx * sy, 1.0)
    )
    return mean_distance(pattern.carry_m - spot_m, pattern.offline_m, sx, sy, rho)


def mishit_miss(pattern: Pattern, spot_m: float, extra_var: tuple[Floats, Floats] | None = None) -> Floats:
    """Give expected miss of mishits in metres; `extra_var` as in `solid_miss`."""
    extra_c, extra_s = extra_var if extra_var is not None else (np.zeros(1), np.zeros(1))
    sx = np.sqrt(pattern.carry_sd_m**2 + pattern.mishit_short_sd_m**2 + extra_c)
    sy = np.sqrt((pattern.mishit_side_factor * pattern.offline_sd_m) ** 2 + extra_s)
    short = pattern.carry_m - pattern.mishit_short_m - spot_m
    return mean_distance(short, pattern.offline_m, sx, sy, np.zeros(1))


def expected_miss(pattern: Pattern, spot_m: float, extra_var: tuple[Floats, Floats] | None = None) -> Floats:
    """Give the expected miss of all balls in metres, per draw and club, mishits included."""
    p = pattern.mishit_share
    solid = solid_miss(pattern, spot_m, extra_var)
    return (1.0 - p) * solid + p * mishit_miss(pattern, spot_m, extra_var)


@cache
def _nodes() -> tuple[Floats, Floats]:
    x, w = np.polynomial.legendre.leggauss(NODES)
    return 0.5 * (x + 1.0), 0.5 * w
