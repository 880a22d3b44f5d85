"""The quadrature against brute force: every label, a fine grid of centre and log spread, summed in full.

Nothing of the kernel's algebra is used: densities from scipy.stats, labels by itertools, centres on a grid.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from scipy.stats import norm

from bagwright.dispersion import _kernel as kernel
from bagwright.dispersion import prior as p
from bagwright.dispersion.cells import CellKey, CellShots
from bagwright.dispersion.model import CellFit, CellPrior, evaluate

PRIOR = CellPrior(150.0, 150.0, 81.0, 2.0, 36.0, 7.0, 11.0, 0.3)
GRID = p.grid_for(10.0, True)


def cell(carry: list[float], side: list[float], visit: list[int] | None = None) -> CellShots:
    n = len(carry)
    return CellShots(
        CellKey(("7i", "stock"), "7i", "stock", False), np.arange(n), np.array(carry, float),
        np.array(side, float), np.zeros(n, bool), np.zeros(n, bool), np.array(visit or [0] * n),
        np.arange(n, dtype=float), ("today", "before")[: max(visit or [0]) + 1],
    )  # fmt: skip


def posterior(fit: CellFit) -> tuple[float, float, float, float, np.ndarray]:
    weights = kernel.joint_weights(fit.evidence, GRID.log_prior, GRID)
    carry = kernel.moments(weights.carry, fit.evidence.carry)
    log_spread = float(weights.carry.sum(0) @ GRID.log_spread)
    mishit = float(weights.label_mishit.sum(0) @ GRID.logit_mishit)
    return carry[0], carry[1], log_spread, mishit, weights.carry.sum(1) @ fit.evidence.labels.solid


SOLID, MISHIT, BAD = 0, 1, 2


def axis_likelihood(
    y: np.ndarray, labels: tuple[int, ...], axis: str, visit: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """log p(y, centre | labels, spread) on (centre, spread); earlier visits by a third grid."""
    mean, var, base = (150.0, 81.0, 7.0) if axis == "carry" else (2.0, 36.0, 11.0)
    centre = mean + math.sqrt(var) * np.linspace(-6.5, 6.5, 361)
    log_like = np.repeat(norm.logpdf(centre, mean, math.sqrt(var))[:, None], len(GRID.log_spread), 1)
    spread = base * np.exp(GRID.log_spread)
    between = 0.015 * 150.0 if axis == "carry" else 30.0 * math.pi / 180.0 * 150.0
    for v in np.unique(visit):
        shifts = np.zeros(1) if v == 0 else between * np.linspace(-6.0, 6.0, 301)
        total = []
        for shift in shifts:
            part = (
                np.zeros_like(log_like)
                if v == 0
                else np.full_like(log_like, norm.logpdf(shift, 0.0, between))
            )
            for i in np.flatnonzero(visit == v):
                if np.isnan(y[i]) or labels[i] == BAD:
                    continue
                at = centre[:, None] + shift
                if labels[i] == SOLID:
                    part = part + norm.logpdf(y[i], at, spread)
                elif axis == "carry":
                    part = part + norm.logpdf(y[i], at - 30.0, np.hypot(spread, 18.0))
                else:
                    part = part + norm.logpdf(y[i], at, 2.0 * spread)
            total.append(part)
        log_like = log_like + np.logaddexp.reduce(np.array(total), axis=0)
        if v > 0:
            log_like += math.log(shifts[1] - shifts[0])
    return centre, log_like


def brute(fit: CellFit) -> tuple[float, float, float, float, np.ndarray]:
    shots = fit.shots
    n = shots.n
    flat = np.where(np.isfinite(shots.carry_m), -math.log(300 * 0.9144), 0.0)
    flat = flat + np.where(np.isfinite(shots.offline_m), -math.log(200 * 0.9144), 0.0)
    rest_of = {SOLID: np.zeros(n), MISHIT: np.full(n, math.log(0.91)), BAD: math.log(0.09) + flat}
    prior = np.exp(GRID.log_prior)
    logit = GRID.logit_mishit + 0.3
    sums = np.zeros(4)
    solid, total = np.zeros(n), 0.0
    for labels in itertools.product((SOLID, MISHIT, BAD), repeat=n):
        centre, carry = axis_likelihood(shots.carry_m, labels, "carry", shots.visit)
        _, side = axis_likelihood(shots.offline_m, labels, "side", shots.visit)
        like_c, like_l = np.exp(carry), np.exp(side).sum(0)
        k = sum(label != SOLID for label in labels)
        by_p = np.exp(-k * np.logaddexp(0, -logit) - (n - k) * np.logaddexp(0, logit))
        rest = math.exp(sum(rest_of[label][i] for i, label in enumerate(labels)))
        joint = prior * by_p * rest
        given = GRID.spread_given_factor
        side_by_factor = like_l @ given
        by_spread = given @ (joint * side_by_factor[None, :, None]).sum((1, 2))
        w = like_c * by_spread
        mass = w.sum()
        carry_by_factor = like_c.sum(0) @ given
        by_share = (joint * carry_by_factor[:, None, None] * side_by_factor[None, :, None]).sum((0, 1))
        by_centre, by_spread = w.sum(1), w.sum(0)
        logit_sum = by_share @ GRID.logit_mishit
        sums += [by_centre @ centre, by_centre @ centre**2, by_spread @ GRID.log_spread, logit_sum]
        solid += mass * (np.array(labels) == SOLID)
        total += mass
    m = sums / total
    return m[0], m[1] - m[0] ** 2, m[2], m[3], solid / total


@pytest.mark.parametrize(
    ("carry", "side", "visit"),
    [
        ([151.0], [3.0], None),
        ([118.0], [14.0], None),
        ([150.0, 155.0, 121.0], [4.0, -6.0, 20.0], None),
        ([150.0, 157.0, 143.0, 118.0, 146.0], [4.0, -6.0, 10.0, 31.0, float("nan")], None),
        ([150.0, float("nan"), 139.0, 60.0], [4.0, -6.0, 10.0, -70.0], None),
        ([150.0, 157.0, 143.0], [4.0, -9.0, 10.0], [0, 1, 1]),
    ],
)
def test_quadrature_is_the_full_sum(carry: list[float], side: list[float], visit: list[int] | None) -> None:
    fit = evaluate(cell(carry, side, visit), PRIOR, np.zeros(len(carry)), GRID)
    found, expected = posterior(fit), brute(fit)
    scale = math.sqrt(expected[1])
    assert found[0] == pytest.approx(expected[0], abs=1e-3 * scale)
    assert math.sqrt(found[1]) == pytest.approx(scale, rel=1e-3)
    assert found[2] == pytest.approx(expected[2], abs=1e-3)
    assert found[3] == pytest.approx(expected[3], abs=1e-3)
    np.testing.assert_allclose(found[4], expected[4], atol=1e-3)
