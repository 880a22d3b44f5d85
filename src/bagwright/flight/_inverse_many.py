"""The inverse for many shots: the same source as for one, compiled by numba on first use and kept on disk."""

from __future__ import annotations

import math
from functools import cache
from typing import Any

import numpy as np

from bagwright.estimate import Z90
from bagwright.flight import _inverse_draws as draws
from bagwright.flight import _inverse_flight as flight
from bagwright.flight import _inverse_slope as forces
from bagwright.flight import _inverse_solve as solver
from bagwright.flight._inverse_draws import curved_row, ridge
from bagwright.flight._inverse_flight import N_OUT, fly_tangent
from bagwright.flight._inverse_law import d1
from bagwright.flight._inverse_slope import N_ALL, N_PAR, constants
from bagwright.flight._inverse_solve import N_SEEN, search, spread_of

DRAW_TOL_M = 1e-4

JITTED = (
    d1, forces.constants, forces.begin, forces.wind_share, forces.slope, flight.combine1, flight.combine2,
    flight.combine3, flight.combine4, flight.combine5, flight.combine6, flight.step,
    flight.error_of, flight.meet, flight.land, flight.fly_tangent, solver.place, solver.look, solver.cost,
    solver.slope_by, solver.gather, solver.factor, solver.solve, solver.trace, solver.search,
    solver.spread_of, draws.curved_row, draws.condition, draws.pull, draws.along, draws.launch_at,
    draws.ridge, )  # fmt: skip


def tangent_rows(theta: Any, ball: Any, air: Any, wind: Any, tol: float, out: Any) -> None:
    """Fly every row of theta (n, 7) under the default law; out (n, N_OUT, 8) gets values and derivatives."""
    work = np.empty((11, N_ALL))
    for i in range(theta.shape[0]):
        a = (air[i, 0], air[i, 1])
        w = (wind[i, 0], wind[i, 1], wind[i, 2], wind[i, 3])
        c = constants(ball, a, w, theta[i])
        fly_tangent(theta[i], c, d1, 8, tol, work, out[i])


def search_rows(
    mean: Any, root: Any, seen: Any, weight: Any, ball: Any, air: Any, wind: Any, tol: float, limit: int,
    normals: Any, theta: Any, low: Any, high: Any, rows_out: Any, steps: Any, costs: Any,
    evidence: Any,
) -> None:  # fmt: skip
    """Solve every shot: mean (n, 7), root (n, 7, 7), seen and weight (n, N_SEEN); theta holds the start.

    theta (n, 7), rows_out, low and high (n, N_SEEN), steps, costs and evidence (n) are filled; low and high
    are the ends of the 90 % ranges. `normals` (m, 7) are the fixed points for curved ridges.
    """
    work = np.empty((11, N_ALL))
    small = np.empty((17, N_PAR))
    rows = np.empty((N_SEEN, 1 + N_PAR))
    spare = np.empty((N_SEEN, 1 + N_PAR))
    basis = np.zeros((N_PAR, N_PAR))
    drawn = np.empty((normals.shape[0], N_SEEN))
    log_weight = np.empty(normals.shape[0])
    other = np.empty(N_PAR)
    q = np.empty(N_PAR)
    flat = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    for i in range(mean.shape[0]):
        q[:] = 0.0
        a = (air[i, 0], air[i, 1])
        w = (wind[i, 0], wind[i, 1], wind[i, 2], wind[i, 3])
        steps[i], costs[i] = search(
            mean[i], root[i], seen[i], weight[i], ball, a, w, d1, flat, tol, limit, q, theta[i], work, small,
            rows, spare,
        )  # fmt: skip
        evidence[i] = -0.5 * costs[i]
        for m in range(N_PAR):
            evidence[i] -= math.log(small[7 + m, m])
        for m in range(N_SEEN):
            sd = spread_of(rows[m], root[i], small[7:14], other) ** 0.5
            rows_out[i, m] = rows[m, 0]
            low[i, m] = rows[m, 0] - Z90 * sd
            high[i, m] = rows[m, 0] + Z90 * sd
        curved = curved_row(weight[i])
        if curved > -2:
            ridge(
                curved, mean[i], root[i], seen[i], weight[i], ball, a, w, d1, flat, DRAW_TOL_M, normals, q,
                other, work, small, rows, spare, basis, drawn, log_weight,
            )  # fmt: skip
            for m in range(N_SEEN):
                low[i, m], high[i, m] = ends(drawn[:, m], log_weight)


def ends(values: Any, log_weight: Any) -> tuple[float, float]:
    """The 5 and 95 % quantiles of weighted draws."""
    order = np.argsort(values)
    weight = np.exp(log_weight - np.max(log_weight))
    total = np.sum(weight)
    below = 0.0
    low = values[order[0]]
    high = values[order[-1]]
    for k in range(len(order)):
        middle = (below + 0.5 * weight[order[k]]) / total
        below += weight[order[k]]
        if middle <= 0.05:
            low = values[order[k]]
        if middle >= 0.95:
            high = values[order[k]]
            break
    return low, high


@cache
def compiled() -> tuple[Any, Any]:
    """`tangent_rows` and `search_rows` as machine code that lets other threads run."""
    from numba import njit
    from numba.extending import register_jitable

    for function in (*JITTED, ends):
        register_jitable(function)
    jit = njit(cache=True, nogil=True, error_model="numpy")
    return jit(tangent_rows), jit(search_rows)


__all__ = ["N_OUT", "N_SEEN", "compiled"]
