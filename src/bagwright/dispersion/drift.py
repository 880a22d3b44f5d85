"""Warming up and tiring within a visit: a two-parameter linear normal model shared by all cells.

carry of ball t = centre + L (-w e^(-t/6) - f t/50); w ~ N(.02, .02^2), f ~ N(.01, .015^2); the centres are
random intercepts N(m, v) and are integrated out. Mishits are down-weighted by their probability in a few
rounds.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from bagwright.dispersion._kernel import Floats, middle_of
from bagwright.dispersion.cells import Key, Sorted
from bagwright.dispersion.prior import MISHIT_LOSS, MISHIT_LOSS_SD, mishit_logit

if TYPE_CHECKING:
    from bagwright.dispersion.model import CellPrior

WARM_UP_BALLS = 6.0
TIRING_BALLS = 50.0
PRIOR_MEAN = np.array([0.02, 0.01])
PRIOR_SD = np.array([0.02, 0.015])
_TYPICAL_LOGIT = mishit_logit(12.0)
_ROUNDS = 12
_SETTLED = 1e-4


class DriftCell(NamedTuple):
    """A cell's part of one visit: ball numbers from 0 (n,), carries (n,), prior and scale of its carry."""

    ball: Floats
    carry_m: Floats
    expected_m: float
    mean_m: float
    var_m2: float
    spread_m: float
    loss_m: float
    loss_sd_m: float
    mishit_share: float


class DriftFit(NamedTuple):
    """Warm-up and tiring as shares of carry (2,), their covariance (2, 2), and whether the rounds settled."""

    beta: Floats
    cov: Floats
    settled: bool


def basis(ball: Floats) -> Floats:
    """Columns of the drift (n, 2) for ball numbers from 0: cold start, tiring."""
    return np.stack([-np.exp(-ball / WARM_UP_BALLS), -ball / TIRING_BALLS], axis=1)


def fit_drift(cells: list[DriftCell]) -> DriftFit:
    """Estimate drift of one visit from all its cells; with no cells the prior comes back."""
    beta = PRIOR_MEAN.copy()
    settled = False
    prepared = [(cell, cell.expected_m * basis(cell.ball), cell.carry_m - cell.mean_m) for cell in cells]
    cov = np.diag(PRIOR_SD**2)
    for _ in range(_ROUNDS):
        precision = np.diag(1.0 / PRIOR_SD**2)
        linear = precision @ PRIOR_MEAN
        for cell, x, y in prepared:
            w = _solid_weights(cell, y - x @ beta) / cell.spread_m**2
            wx = x.T @ w
            total = float(w.sum()) + 1.0 / cell.var_m2
            precision = precision + (x * w[:, None]).T @ x - np.outer(wx, wx) / total
            linear = linear + x.T @ (w * y) - wx * (float(w @ y) / total)
        cov = np.linalg.inv(precision)
        new = cov @ linear
        settled = bool(np.abs(new - beta).max() < _SETTLED)
        beta = new
        if settled:
            break
    return DriftFit(beta, cov, settled)


def _solid_weights(cell: DriftCell, residual: Floats) -> Floats:
    """Chance that each shot is solid, around a centre shrunk from the middle of the longer two thirds."""
    ranked = np.sort(residual)
    middle = middle_of(ranked[len(ranked) // 3 :])
    shrink = len(residual) / (len(residual) + cell.spread_m**2 / cell.var_m2)
    d = residual - shrink * middle
    wide = float(np.hypot(cell.loss_sd_m, cell.spread_m))
    odds = cell.mishit_share / (1.0 - cell.mishit_share) * cell.spread_m / wide
    gap = -0.5 * ((d + cell.loss_m) / wide) ** 2 + 0.5 * (d / cell.spread_m) ** 2
    weights: Floats = 1.0 / (1.0 + odds * np.exp(np.minimum(gap, 700.0)))
    return weights


def visit_drift(visit: str, sorted_: Sorted, priors: Mapping[Key, CellPrior]) -> DriftFit:
    """Drift of one visit from every cell hit in it; lower bounds and marked mishits tell nothing of it."""
    parts = []
    for key, shots in sorted_.cells.items():
        if visit not in shots.visits:
            continue
        here = (shots.visit == shots.visits.index(visit)) & np.isfinite(shots.carry_m)
        here &= ~shots.at_least & ~shots.mishit
        if not here.any():
            continue
        prior = priors[key]
        share = 1.0 / (1.0 + math.exp(-(_TYPICAL_LOGIT + prior.logit_shift)))
        parts.append(
            DriftCell(
                shots.ball[here], shots.carry_m[here], prior.expected_m, prior.mean_m, prior.var_m2,
                prior.carry_spread_m, MISHIT_LOSS * prior.expected_m, MISHIT_LOSS_SD * prior.expected_m,
                share,
            )
        )  # fmt: skip
    return fit_drift(parts)
