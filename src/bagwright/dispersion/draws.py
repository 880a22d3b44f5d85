"""Joint posterior draws by inverse distribution functions at evenly spread points; nothing is random."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from scipy.special import ndtri

from bagwright.dispersion import prior as p
from bagwright.dispersion._kernel import Floats, Grid, Ints, Weights
from bagwright.dispersion.compare import latest_visit, swap_prior_of_draws, wander_sd
from bagwright.dispersion.model import CellFit
from bagwright.dispersion.points import even_points
from bagwright.dispersion.posterior import Centre, centre_of, fisher_z, solid_probability, weights_of
from bagwright.dispersion.results import Draws
from bagwright.dispersion.session import Session

_SHARED = 6
_OWN = 7


class _Shared:
    """The draws of what all cells share."""

    def __init__(self, session: Session, n: int, fits: Sequence[CellFit]) -> None:
        visits, cells = len(session.sorted.visits), len(fits)
        days = list(dict.fromkeys(latest_visit(fit) for fit in fits))
        days = days if len(days) > 1 else []
        u = even_points(n, _SHARED + 2 * visits + _OWN * cells + len(days))
        self.days = {day: ndtri(u[:, -1 - k]) for k, day in enumerate(days)}
        joint = np.exp(session.log_joint - session.log_joint.max())
        self.mishit, rest = pick(np.broadcast_to(joint.sum((0, 1)), (n, joint.shape[2])), u[:, 0])
        self.logit = session.grid.logit_mishit[self.mishit] + _inside(rest, session.grid.logit_mishit)
        by_carry = joint.sum(1)[:, self.mishit].T
        self.carry, _ = pick(by_carry, u[:, 1])
        self.side, _ = pick(joint[self.carry, :, self.mishit], u[:, 2])
        self.length, self.bias = ndtri(u[:, 3]), ndtri(u[:, 4])
        self.wander = ndtri(u[:, 5])
        self.drift = []
        for v, visit in enumerate(session.sorted.visits):
            z = ndtri(u[:, _SHARED + 2 * v : _SHARED + 2 * v + 2])
            self.drift.append(z @ np.linalg.cholesky(session.drift[visit].cov).T)
        first = _SHARED + 2 * visits
        self.own = u[:, first : first + _OWN * cells].reshape(n, cells, _OWN)


def pick(weights: Floats, u: Floats) -> tuple[Ints, Floats]:
    """For every row of weights (n, m) the index that u (n,) falls into, and where in it (0..1)."""
    total = np.cumsum(weights, axis=1)
    at = u * total[:, -1]
    index = np.minimum((total <= at[:, None]).sum(1), weights.shape[1] - 1)
    rows = np.arange(len(u))
    step = np.maximum(weights[rows, index], 1e-300)
    inside = np.clip((at - (total[rows, index] - step)) / step, 0.0, 1.0)
    return index.astype(np.int64), inside


def _inside(fraction: Floats, grid: Floats) -> Floats:
    """Where in its step a value on an even grid lies, off the grid point."""
    off: Floats = (fraction - 0.5) * (grid[1] - grid[0])
    return off


def draw(session: Session, fits: Sequence[CellFit], n: int, blocked: bool | None) -> Draws:
    """Joint draws of cells; `blocked` None: absolute carries, else candidates for one slot."""
    shared = _Shared(session, n, fits)
    weights = [weights_of(session, fit) for fit in fits]
    centres = [centre_of(session, fit, w) for fit, w in zip(fits, weights, strict=True)]
    parts = [
        _draw_cell(session.grid, fit, w, shared, j)
        for j, (fit, w) in enumerate(zip(fits, weights, strict=True))
    ]
    carry, side = np.stack([q[0] for q in parts], 1), np.stack([q[1] for q in parts], 1)
    if blocked is None:
        for j, (fit, centre) in enumerate(zip(fits, centres, strict=True)):
            carry[:, j] = _share_prior(session, fit, centre, carry[:, j], shared)
    else:
        carry = swap_prior_of_draws(carry, list(fits), centres)
    for j, (fit, centre) in enumerate(zip(fits, centres, strict=True)):
        carry[:, j] += _drift_and_wander(fit, centre, shared, j, blocked)
        if blocked is not None and latest_visit(fit) in shared.days:
            day_sd = p.VISIT_CARRY_SD * fit.prior.expected_m / math.sqrt(2.0)
            carry[:, j] += day_sd * shared.days[latest_visit(fit)]
    return Draws(
        keys=tuple(fit.shots.cell.key for fit in fits), carry_m=carry, offline_m=side,
        carry_sd_m=np.stack([q[2] for q in parts], 1), offline_sd_m=np.stack([q[3] for q in parts], 1),
        correlation=np.stack([q[4] for q in parts], 1), mishit_share=np.stack([q[5] for q in parts], 1),
        expected_carry_m=np.array([fit.prior.expected_m for fit in fits]), mishit_loss=p.MISHIT_LOSS,
        mishit_loss_sd=p.MISHIT_LOSS_SD, mishit_side_factor=p.MISHIT_SIDE_FACTOR,
    )  # fmt: skip


def _draw_cell(grid: Grid, fit: CellFit, weights: Weights, shared: _Shared, j: int) -> tuple[Floats, ...]:
    """Carry, side, two spreads, correlation and mishit share of one cell, each (n,)."""
    u, e = shared.own[:, j], fit.evidence
    by_label = (
        e.by_mishit[:, shared.mishit] * e.carry_by_factor[:, shared.carry] * e.side_by_factor[:, shared.side]
    )
    label, _ = pick(by_label.T, u[:, 0])
    given = grid.spread_given_factor
    at_c, in_c = pick(e.carry_like[label] * given[:, shared.carry].T, u[:, 1])
    at_l, in_l = pick(e.side_like[label] * given[:, shared.side].T, u[:, 2])
    carry = e.carry.mean[label, at_c] + ndtri(u[:, 3]) / np.sqrt(e.carry.precision[label, at_c])
    side = e.side.mean[label, at_l] + ndtri(u[:, 4]) / np.sqrt(e.side.precision[label, at_l])
    sd_c = fit.prior.carry_spread_m * np.exp(grid.log_spread[at_c] + _inside(in_c, grid.log_spread))
    sd_l = fit.prior.side_spread_m * np.exp(grid.log_spread[at_l] + _inside(in_l, grid.log_spread))
    z, z_sd = fisher_z(fit, weights, grid, solid_probability(fit, weights))
    share = 1.0 / (1.0 + np.exp(-(shared.logit + fit.prior.logit_shift)))
    return carry, side, sd_c, sd_l, np.tanh(z + z_sd * ndtri(u[:, 5])), share


def _share_prior(session: Session, fit: CellFit, centre: Centre, carry: Floats, shared: _Shared) -> Floats:
    """Let the player's length move clubs together, as far as a club's carry still rests on it.

    The variance of a single club stays what it is; only its part from the length becomes common.
    """
    link = session.links.get(fit.shots.cell.key)
    if link is not None and (link.stock is not None or link.ratio.stated_m is not None):
        return carry
    length = session.length_others.get(fit.shots.cell.key, session.length)
    rest = 1.0 - centre.weight
    common = min((rest * fit.prior.expected_m) ** 2 * length.variance, 0.9 * centre.carry_var)
    own = math.sqrt(1.0 - common / centre.carry_var)
    moved: Floats = centre.carry + (carry - centre.carry) * own + math.sqrt(common) * shared.length
    return moved


def _drift_and_wander(fit: CellFit, centre: Centre, shared: _Shared, j: int, blocked: bool | None) -> Floats:
    moved: Floats = np.zeros(len(shared.wander))
    for v, beta in enumerate(shared.drift):
        moved -= centre.weight * (beta @ centre.drift_x[v])
    z = ndtri(shared.own[:, j, 6])
    if blocked is None:
        return moved + math.sqrt(centre.wander_var) * z
    own = 0.5 * wander_sd(fit.prior.expected_m, blocked) ** 2
    common = max(centre.wander_var - own, 0.0)
    return moved + math.sqrt(own) * z + math.sqrt(common) * shared.wander
