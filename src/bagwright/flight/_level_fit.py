"""Fit of the level: robust maximum a posteriori for two factors of a ball and small offsets of its clubs.

Unknown u = (ln drag, ln lift, offsets of ln drag by club). Figures of one shot, ln carry and ln apex, have
errors that hang together because both come from the same misread launch: covariance C = J Sigma J' + device,
J the exact derivatives of the flight. Errors are Student-t with NU degrees of freedom around it (Lange,
Little & Taylor 1989, J. Am. Stat. Assoc. 84:881), so a bad read loses its weight; a common factor s^2 on C
is fitted too, held near 1 by S_PRIOR shots' worth of belief. Weights by expectation-maximisation, u by
Gauss-Newton.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagwright.flight import _inverse_flight as rows_of
from bagwright.flight import _inverse_solve as solver
from bagwright.flight._inverse_slope import constants

Floats = NDArray[np.float64]

NU = 4.0
S_PRIOR = 20.0
TOLERANCE_M = 1e-5
COMPILE_FROM = 40
"""Shots from which loading the compiler is quicker than plain Python (measured)."""


@dataclass(frozen=True, slots=True)
class Fit:
    """Where the fit ended: u, its covariance, s^2, weight and distance of every shot, shots flown."""

    u: Floats
    cov: Floats
    s2: float
    weight: Floats
    distance: Floats


def tangents(theta: Floats, at: Any, compiled: bool) -> Floats:
    """Flights of theta (n, 7) with derivatives (n, 8, 8)."""
    n = len(theta)
    out = np.zeros((n, rows_of.N_OUT, 8))
    if compiled:
        from bagwright.flight._inverse_many import compiled as machine_code

        fly, _ = machine_code()
        fly(theta, at.ball, np.tile(at.air, (n, 1)), np.tile(at.wind, (n, 1)), TOLERANCE_M, out)
        return out
    _, _, work, _, rows, _ = solver.buffers()
    for i in range(n):
        one = [float(v) for v in theta[i]]
        c = constants(at.ball, at.air, at.wind, one)
        rows_of.fly_tangent(one, c, at.law, 8, TOLERANCE_M, work, rows)
        out[i] = rows[: rows_of.N_OUT]
    return out


def logs(flown: Floats) -> tuple[Floats, Floats]:
    """Ln carry and ln apex (n, 2) and their derivatives (n, 2, 7)."""
    two = flown[:, (rows_of.CARRY, rows_of.APEX), :]
    value = np.maximum(two[:, :, 0], 1e-6)
    return np.log(value), two[:, :, 1:] / value[:, :, None]


def precisions(slopes: Floats, launch_sd: Floats, device_sd: Floats, seen: NDArray[np.bool_]) -> Floats:
    """Inverse of the error covariance of (ln carry, ln apex) for every shot; 0 where not seen.

    slopes (n, 2, 7); launch_sd (n, 7) of what the flight starts from; device_sd (n, 2).
    """
    spread = slopes * launch_sd[:, None, :]
    cov = spread @ spread.transpose(0, 2, 1)
    cov[:, 0, 0] += device_sd[:, 0] ** 2
    cov[:, 1, 1] += device_sd[:, 1] ** 2
    out = np.zeros_like(cov)
    both = seen.all(axis=1)
    out[both] = np.linalg.inv(cov[both])
    for k in range(2):
        alone = seen[:, k] & ~both
        out[alone, k, k] = 1.0 / cov[alone, k, k]
    return out


def fit(
    theta: Floats, y: Floats, precision: Floats, seen: NDArray[np.bool_], club: NDArray[np.int64],
    prior_sd: Floats, at: Any, compiled: bool, flown: Floats,
) -> Fit:  # fmt: skip
    """Fit u; theta (n, 7) with the factors at 0, y (n, 2) logs, club (n) index, prior_sd (2 + clubs).

    flown: flights at u = 0, to begin with.
    """
    u = np.zeros(len(prior_sd))
    s2 = 1.0
    p = seen.sum(axis=1).astype(np.float64)
    design = np.zeros((len(theta), 2, len(prior_sd)))
    weight = np.ones(len(theta))
    distance = np.zeros(len(theta))
    info = np.diag(prior_sd**-2)
    for _ in range(12):
        h, slopes = logs(flown)
        design[:, :, 0] = slopes[:, :, 5]
        design[:, :, 1] = slopes[:, :, 6]
        if len(prior_sd) > 2:
            design[np.arange(len(theta)), :, 2 + club] = slopes[:, :, 5]
        gap = np.where(seen, y - h, 0.0)
        new = u.copy()
        for _ in range(200):
            r = gap - design @ (new - u)
            r[~seen] = 0.0
            distance = np.einsum("ni,nij,nj->n", r, precision, r)
            weight = (NU + p) / (NU + distance / s2)
            s2 = (S_PRIOR + float(weight @ distance)) / (S_PRIOR + float(p.sum()))
            lean = np.einsum("nia,nij,n,nj->a", design, precision, weight / s2, gap + design @ u)
            info = np.einsum("nia,nij,n,njb->ab", design, precision, weight / s2, design) + np.diag(
                prior_sd**-2
            )
            step = np.linalg.solve(info, lean) - new
            new = new + step
            if float(np.abs(step).max()) < 1e-10:
                break
        moved = float(np.abs(new - u).max())
        u = new
        if moved < 1e-7:
            break
        flown = tangents(shifted(theta, u, club), at, compiled)
    share = (NU + p) / (NU + p + 2.0)
    expected = np.einsum("nia,nij,n,njb->ab", design, precision, share / s2, design) + np.diag(prior_sd**-2)
    return Fit(u, np.linalg.inv(expected), s2, weight, distance)


def shifted(theta: Floats, u: Floats, club: NDArray[np.int64]) -> Floats:
    """The launches with the factors of u in place."""
    out = theta.copy()
    out[:, 5] += u[0] + (u[2 + club] if len(u) > 2 else 0.0)
    out[:, 6] += u[1]
    return out
