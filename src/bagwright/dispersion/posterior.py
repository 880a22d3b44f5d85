"""From a cell's evidence and everything else to the numbers that are shown."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from scipy.special import ndtr, ndtri

from bagwright.dispersion import _kernel as kernel
from bagwright.dispersion import prior as p
from bagwright.dispersion._kernel import Floats, Grid, Weights
from bagwright.dispersion.drift import basis
from bagwright.dispersion.measured import EXPECTED_CV, solid_mean, total_from_run
from bagwright.dispersion.model import CellFit
from bagwright.dispersion.results import Dispersion
from bagwright.dispersion.session import Session, without
from bagwright.estimate import Estimate
from bagwright.shots.record import ShotTable
from bagwright.words import tell

LEVELS = np.array([0.05, 0.5, 0.95])
_END_MASS = 0.05
_OPEN_LABELS = 0.75
_OPEN_SHARE = 0.04
"""Shots that may stand with the wrong label outside the enumeration: so many, or this share of a large cell.

Against a sampler of the same model at 200 shots, the centre is then within 0.13 sd, its sd within 15 %."""


class Centre(NamedTuple):
    """A cell's centre as a normal plus what does not shrink with more balls; metres and square metres."""

    carry: float
    carry_var: float
    side: float
    side_var: float
    weight: float  # k, the share of the shots against the prior in the carry
    drift_x: Floats  # (visits, 2) mean drift basis times expected carry, by visit of the session
    drift_var: float
    wander_var: float


def centre_of(session: Session, fit: CellFit, weights: Weights) -> Centre:
    """Moments of the centre with the drift and form-wander terms."""
    carry, carry_var = kernel.moments(weights.carry, fit.evidence.carry)
    side, side_var = kernel.moments(weights.side, fit.evidence.side)
    weight = 1.0 - min(1.0, carry_var / fit.prior.var_m2)
    x = drift_vector(session, fit)
    drift_var = weight**2 * sum(
        float(x[v] @ session.drift[visit].cov @ x[v]) for v, visit in enumerate(session.sorted.visits)
    )
    wander = (p.WANDER * fit.prior.expected_m * weight) ** 2
    return Centre(carry, carry_var, side, side_var, weight, x, drift_var, wander)


def drift_vector(session: Session, fit: CellFit) -> Floats:
    """Mean drift basis of a cell's shots times its expected carry, split by visit (visits, 2)."""
    visits = session.sorted.visits
    x = np.zeros((len(visits), 2))
    seen = np.isfinite(fit.shots.carry_m)
    if seen.any():
        rows = basis(fit.shots.ball[seen]) * (fit.prior.expected_m / seen.sum())
        for v, visit in enumerate(fit.shots.visits):
            x[visits.index(visit)] = rows[fit.shots.visit[seen] == v].sum(0)
    return x


def weights_of(session: Session, fit: CellFit) -> Weights:
    """Posterior weights of a cell that belongs to the session, or of one that was never hit."""
    key = fit.shots.cell.key
    others = without(session, key) if session.cells.get(key) is fit else session.log_joint
    return kernel.joint_weights(fit.evidence, others, session.grid)


def dispersion_of(session: Session, fit: CellFit, table: ShotTable) -> Dispersion:
    """Every shown number of one cell."""
    weights = weights_of(session, fit)
    centre = centre_of(session, fit, weights)
    grid, evidence, shots = session.grid, fit.evidence, fit.shots
    extra = centre.drift_var + centre.wander_var
    carry_q = kernel.mixture_quantiles(LEVELS, weights.carry, evidence.carry, extra)
    side_q = kernel.mixture_quantiles(LEVELS, weights.side, evidence.side)
    carry = Estimate(_within(centre.carry, carry_q), float(carry_q[0]), float(carry_q[2]))
    offline = Estimate(_within(centre.side, side_q), float(side_q[0]), float(side_q[2]))
    solid = solid_probability(fit, weights)
    z, z_sd = fisher_z(fit, weights, grid, solid)
    checks = _failed_checks(session, fit, weights)
    right = 1.0 - float(kernel.mixture_cdf(np.zeros(1), weights.side, evidence.side)[0])
    counted = solid * (np.isfinite(shots.carry_m) | np.isfinite(shots.offline_m))
    n_solid = float(counted.sum())
    return Dispersion(
        club=shots.cell.key[0], swing=shots.cell.key[1], n_shots=shots.n,
        n_missing_carry=int(np.isnan(shots.carry_m).sum()),
        n_missing_side=int(np.isnan(shots.offline_m).sum()), n_at_least=int(shots.at_least.sum()),
        n_solid=n_solid, expected_carry_m=fit.prior.expected_m, carry_m=carry, offline_m=offline,
        carry_sd_m=_spread(fit.prior.carry_spread_m, weights.carry.sum(0), grid),
        offline_sd_m=_spread(fit.prior.side_spread_m, weights.side.sum(0), grid), area90_m2=_area(fit,
        weights, grid, z, z_sd), correlation=Estimate(math.tanh(z), math.tanh(z - 1.645 * z_sd), math.tanh(z
        + 1.645 * z_sd)), mishit_share=_mishit_share(fit, weights, grid), all_carry_m=_all_carry(fit,
        weights, grid, centre), right_probability=min(max(right, 0.0), 1.0), **_measured(table, shots.index,
        solid, carry), shot_indices=tuple(int(i) for i in shots.index),
        measured=bool(np.isfinite(shots.carry_m).any() or np.isfinite(shots.offline_m).any()),
        pooled=(*_pooled(session, fit), *_tight(weights)),
        quality=quality_word(n_solid, carry), converged=not checks,
        checks=checks, carry_spread=math.sqrt(centre.carry_var + extra),
        offline_spread=math.sqrt(centre.side_var), visits=shots.visits,
    )  # fmt: skip


def _within(value: float, quantiles: Floats) -> float:
    return float(min(max(value, quantiles[0]), quantiles[2]))


def quality_word(n_solid: float, carry: Estimate) -> str:
    """How far to trust a dispersion: see `Dispersion`."""
    if n_solid < 0.5:
        return tell("prior only")
    if n_solid < 3.5:
        return tell("few shots")
    half = 0.5 * (carry.high - carry.low)
    return tell("good") if n_solid >= 7.5 and half <= 0.04 * abs(carry.value) else tell("fair")


def solid_probability(fit: CellFit, weights: Weights) -> Floats:
    """Probability (n,) that each shot is a solid strike."""
    solid: Floats = weights.carry.sum(1) @ fit.evidence.labels.solid
    return solid


def bad_read_probability(fit: CellFit, weights: Weights) -> Floats:
    """Probability (n,) that each shot is a bad read."""
    labels = fit.evidence.labels
    bad: Floats = weights.carry.sum(1) @ ((1.0 - labels.solid) * labels.bad)
    return bad


def _spread(base: float, weights: Floats, grid: Grid) -> Estimate:
    low, middle, high = base * np.exp(kernel.grid_quantiles(LEVELS, weights, grid.log_spread))
    return Estimate(float(middle), float(low), float(high))


def fisher_z(fit: CellFit, weights: Weights, grid: Grid, solid: Floats) -> tuple[float, float]:
    """Correlation of carry and side on Fisher's z scale: mean and sd, shrunk to 0 by the prior N(0, .25^2).

    The variance of z of a sample of n is taken as (1 + 1/n)/n, close to Fisher's 1/(n - 3) for large n and
    finite for small (Fisher 1921, Metron 1).
    """
    shots, s2 = fit.shots, np.exp(2.0 * grid.log_spread)
    both = np.isfinite(shots.carry_m) & np.isfinite(shots.offline_m) & ~shots.at_least & (shots.visit == 0)
    w = solid[both]
    n = float(w.sum())
    if n < 2.0:
        return 0.0, p.CORRELATION_SD
    mean_c, _ = kernel.moments(weights.carry, fit.evidence.carry)
    mean_l, _ = kernel.moments(weights.side, fit.evidence.side)
    sd_c = fit.prior.carry_spread_m * math.sqrt(float(weights.carry.sum(0) @ s2))
    sd_l = fit.prior.side_spread_m * math.sqrt(float(weights.side.sum(0) @ s2))
    d_c = (shots.carry_m - fit.drift_m - mean_c)[both] / sd_c
    d_l = (shots.offline_m - mean_l)[both] / sd_l
    r = min(max(float(w @ (d_c * d_l)) / n, -0.95), 0.95)
    seen = (1.0 + 1.0 / n) / n
    var = 1.0 / (1.0 / p.CORRELATION_SD**2 + 1.0 / seen)
    return math.atanh(r) * var / seen, math.sqrt(var)


def _area(fit: CellFit, weights: Weights, grid: Grid, z: float, z_sd: float) -> Estimate:
    """Area that holds 90 % of solid strikes: pi 4.605 s_c s_l sqrt(1 - r^2), taken as log-normal."""
    u = grid.log_spread
    w_c, w_l = weights.carry.sum(0), weights.side.sum(0)
    mean_c, mean_l = float(w_c @ u), float(w_l @ u)
    var = float(w_c @ (u - mean_c) ** 2) + float(w_l @ (u - mean_l) ** 2) + 2.0 * weights.log_spread_cov
    log_tilt = 0.5 * np.log1p(-(np.tanh(z + z_sd * math.sqrt(3.0) * np.array([-1.0, 0.0, 1.0])) ** 2))
    share = np.array([1.0, 4.0, 1.0]) / 6.0
    tilt = float(share @ log_tilt)
    var += float(share @ (log_tilt - tilt) ** 2)
    log_area = math.log(-2.0 * math.pi * math.log(0.1) * fit.prior.carry_spread_m * fit.prior.side_spread_m)
    low, middle, high = np.exp(log_area + mean_c + mean_l + tilt + ndtri(LEVELS) * math.sqrt(max(var, 0.0)))
    return Estimate(float(middle), float(low), float(high))


def _mishit_share(fit: CellFit, weights: Weights, grid: Grid) -> Estimate:
    logit = kernel.grid_quantiles(
        LEVELS, weights.label_mishit.sum(0), grid.logit_mishit + fit.prior.logit_shift
    )
    low, middle, high = 1.0 / (1.0 + np.exp(-logit))
    return Estimate(float(middle), float(low), float(high))


def _all_carry(fit: CellFit, weights: Weights, grid: Grid, centre: Centre) -> Estimate:
    """Mean of all shots: centre less the loss of a mishit times the mishit share, as a normal."""
    share = 1.0 / (1.0 + np.exp(-(grid.logit_mishit + fit.prior.logit_shift)))
    loss = p.MISHIT_LOSS * fit.prior.expected_m
    by_share = weights.label_mishit.sum(0)
    mean_p = float(by_share @ share)
    by_label = weights.carry.sum(1)
    label_mean = (weights.carry * fit.evidence.carry.mean).sum(1) / np.maximum(by_label, 1e-300)
    cov = float(label_mean @ weights.label_mishit @ share) - centre.carry * mean_p
    var = centre.carry_var + centre.drift_var + centre.wander_var
    var += loss**2 * float(by_share @ (share - mean_p) ** 2) - 2.0 * loss * cov
    value, half = centre.carry - loss * mean_p, float(ndtri(0.95)) * math.sqrt(max(var, 0.0))
    return Estimate(value, value - half, value + half)


def _measured(
    table: ShotTable, index: kernel.Ints, solid: Floats, carry: Estimate
) -> dict[str, Estimate | None]:
    found: dict[str, Estimate | None] = {}
    for name in ("apex_m", "descent_rad", "ball_speed_mps", "speed_ratio"):
        column = table.measures.get(name)
        found[name] = None if column is None else solid_mean(column[index], solid, EXPECTED_CV[name])
    totals = table.measures.get("total_m")
    carries = table.measure("carry_m")[index]
    found["total_m"] = None if totals is None else total_from_run(carry, carries, totals[index], solid)
    return found


def _pooled(session: Session, fit: CellFit) -> tuple[str, ...]:
    """Give what was borrowed from elsewhere, in words."""
    key = fit.shots.cell.key
    others = sum(1 for other, cell in session.cells.items() if other != key and cell.shots.n)
    link = session.links.get(key)
    words = []
    if link is not None and link.stock is not None:
        words.append(tell("carry leans on the stock swing of the same club"))
    elif not fit.prior.known:
        words.append(tell("kind of club not known: carry from its own shots only"))
    elif others:
        words.append(tell("carry leans on the player's length as the other clubs show it"))
    if others:
        words.append(tell("spread and mishits lean on the player's whole pattern"))
    if len(fit.shots.visits) > 1:
        words.append(
            tell(
                "carry pooled over {visits} visits; side from the latest visit", visits=len(fit.shots.visits)
            )
        )
    return (*words, *session.player.said)


def _tight(weights: Weights) -> tuple[str, ...]:
    """Say so where a spread is tighter than the grid reaches, so that it is shown too wide."""
    ends = [axis.sum(0)[:2].sum() for axis in (weights.carry, weights.side)]
    return (
        (tell("tighter than the model reaches: spreads are shown too wide"),) if max(ends) > _END_MASS else ()
    )


def _failed_checks(session: Session, fit: CellFit, weights: Weights) -> tuple[str, ...]:
    """Every check of the arithmetic that failed."""
    failed = []
    w_c, w_l, w_p = weights.carry.sum(0), weights.side.sum(0), weights.label_mishit.sum(0)
    # The low end only shows a very tight player's spread wider than it is, which errs on the safe side.
    if w_c[-1] + w_c[-2] > _END_MASS:
        failed.append(tell("carry spread reaches the end of its grid"))
    if w_l[-1] + w_l[-2] > _END_MASS:
        failed.append(tell("side spread reaches the end of its grid"))
    if max(w_p[0], w_p[-1]) > 2.0 * _END_MASS:
        failed.append(tell("mishit share reaches the end of its grid"))
    if fit.evidence.labels.open_labels > max(_OPEN_LABELS, _OPEN_SHARE * fit.shots.n):
        failed.append(tell("more ambiguous shots than label sets can hold"))
    if any(not session.drift[visit].settled for visit in fit.shots.visits):
        failed.append(tell("drift did not settle"))
    return tuple(failed)


def normal_probability(mean: float, sd: float) -> float:
    """P(x > 0) of a normal."""
    return float(ndtr(mean / sd)) if sd > 0.0 else float(mean > 0.0)
