"""Which of two candidates is longer: closed forms under the prior of their difference."""

from __future__ import annotations

import math

import numpy as np

from bagwright.dispersion import prior as p
from bagwright.dispersion._kernel import Floats
from bagwright.dispersion.model import CellFit
from bagwright.dispersion.posterior import Centre, normal_probability
from bagwright.dispersion.results import Contrast
from bagwright.dispersion.session import Session
from bagwright.estimate import Z90
from bagwright.units import M_PER_YD

DIFFERENCE_SD_M = 8.0 * M_PER_YD
"""Candidates for one slot differ by N(0, (8 yd)^2) in carry before the first ball."""
WANDER_ALTERNATED = 0.65 / 180.0
WANDER_BLOCKS = 1.55 / 180.0
"""Sd that form wander adds to a difference, as a share of carry: candidates alternated, or hit in blocks."""


def wander_sd(expected_m: float, blocked: bool) -> float:
    """Sd in metres that wandering form adds to the difference of two candidates of this carry."""
    return (WANDER_BLOCKS if blocked else WANDER_ALTERNATED) * expected_m


def latest_visit(fit: CellFit) -> str:
    """Name the visit that a cell's centre stands for; "" without any."""
    return fit.shots.visits[0] if fit.shots.visits else ""


def drift_contrast_var(session: Session, a: Centre, b: Centre) -> float:
    """Variance of a difference from not knowing the drift: x V x with x = k_a x_a - k_b x_b, over visits."""
    x = a.weight * a.drift_x - b.weight * b.drift_x
    return sum(float(x[v] @ session.drift[visit].cov @ x[v]) for v, visit in enumerate(session.sorted.visits))


def contrast(
    session: Session, a: tuple[CellFit, Centre], b: tuple[CellFit, Centre], blocked: bool
) -> Contrast:
    """Compare a minus b under the difference prior.

    With s^2 the variance of the difference and m its mean, both under independent priors,
    1/s'^2 = 1/s^2 - 1/(v_a + v_b) + 1/8^2 and m' = s'^2 (m/s^2 - (m_a - m_b)/(v_a + v_b)).
    Drift, wandering form and, for builds last hit on different days, 1.5 % of carry come on top.
    """
    (fit_a, at_a), (fit_b, at_b) = a, b
    scale = 0.5 * (fit_a.prior.expected_m + fit_b.prior.expected_m)
    own = at_a.carry_var + at_b.carry_var
    prior_var = fit_a.prior.var_m2 + fit_b.prior.var_m2
    mean, var = swap_prior(at_a.carry - at_b.carry, own, fit_a.prior.mean_m - fit_b.prior.mean_m, prior_var)
    var += drift_contrast_var(session, at_a, at_b) + wander_sd(scale, blocked) ** 2
    if latest_visit(fit_a) != latest_visit(fit_b):
        var += (p.VISIT_CARRY_SD * scale) ** 2
    sd = math.sqrt(var)
    return Contrast(mean, sd, normal_probability(mean, sd), mean - Z90 * sd, mean + Z90 * sd, blocked)


def swap_prior(mean: float, var: float, prior_mean: float, prior_var: float) -> tuple[float, float]:
    """Mean and variance of a difference after its prior is exchanged for N(0, 8 yd)."""
    precision = max(1.0 / var - 1.0 / prior_var, 0.0) + 1.0 / DIFFERENCE_SD_M**2
    return (mean / var - prior_mean / prior_var) / precision, 1.0 / precision


def swap_prior_of_draws(carry: Floats, fits: list[CellFit], centres: list[Centre]) -> Floats:
    """Draws (n, k) of the centres under the difference prior: an affine map of those under independent ones.

    The density of the k - 1 differences to the last candidate is multiplied by new prior over old prior;
    the common level follows by regression. For two candidates this is the closed form of `contrast`.
    """
    k = carry.shape[1]
    if k < 2:
        return carry
    D = np.hstack([np.eye(k - 1), -np.ones((k - 1, 1))])
    post = np.diag([c.carry_var for c in centres])
    mean = np.array([c.carry for c in centres])
    old = D @ np.diag([f.prior.var_m2 for f in fits]) @ D.T
    old_mean = D @ np.array([f.prior.mean_m for f in fits])
    new = 0.5 * DIFFERENCE_SD_M**2 * (D @ D.T)
    seen = D @ post @ D.T
    data = _not_negative(np.linalg.inv(seen) - np.linalg.inv(old))
    after = np.asarray(np.linalg.inv(data + np.linalg.inv(new)), dtype=np.float64)
    after_mean = after @ (np.linalg.solve(seen, D @ mean) - np.linalg.solve(old, old_mean))
    scale = _root(after) @ np.linalg.inv(_root(seen))
    difference = (carry - mean) @ D.T
    moved = after_mean + difference @ scale.T
    gain = post @ D.T @ np.linalg.inv(seen)
    result: Floats = carry + (moved - (difference + D @ mean)) @ gain.T
    return result


def _not_negative(m: Floats) -> Floats:
    values, vectors = np.linalg.eigh(0.5 * (m + m.T))
    clipped: Floats = (vectors * np.maximum(values, 0.0)) @ vectors.T
    return clipped


def _root(m: Floats) -> Floats:
    values, vectors = np.linalg.eigh(0.5 * (m + m.T))
    root: Floats = (vectors * np.sqrt(np.maximum(values, 0.0))) @ vectors.T
    return root
