"""One cell: its prior, and the evidence of its shots under that prior."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bagwright.dispersion import _kernel as kernel
from bagwright.dispersion import prior as p
from bagwright.dispersion._kernel import Axis, Evidence, Floats, Grid, Plug
from bagwright.dispersion.cells import CellKey, CellShots
from bagwright.dispersion.censored import add_lower_bounds

_MORE_ROUNDS = 8
_OPEN_ENOUGH = 0.25
"""Cells with more open labels than this are worked out again around their own answer until it stays."""


@dataclass(frozen=True, slots=True)
class CellPrior:
    """What is expected of a cell before its shots, in metres and square metres.

    `logit_shift` moves the logit of the mishit share.
    `expected_m` is the carry on which spreads and the loss of a mishit scale; `known` is False when not
    even the kind of club is known and the scale comes from its own shots.
    """

    expected_m: float
    mean_m: float
    var_m2: float
    side_mean_m: float
    side_var_m2: float
    carry_spread_m: float
    side_spread_m: float
    logit_shift: float
    known: bool = True


@dataclass(frozen=True, slots=True)
class CellFit:
    """A cell with its prior, the drift taken off its carries (n,), and its evidence."""

    shots: CellShots
    prior: CellPrior
    drift_m: Floats
    evidence: Evidence
    grid: Grid

    def own(self) -> Plug:
        """Centre and spreads as this cell's shots and prior alone show them."""
        return _own_view(self.evidence, self.prior, self.grid)


def axes(shots: CellShots, prior: CellPrior, drift_m: Floats) -> tuple[Axis, Axis]:
    """Give the carry and the side of a cell's shots with their priors; drift is taken off the carry."""
    carry = Axis(
        shots.carry_m - drift_m, shots.at_least, prior.mean_m, prior.var_m2, prior.carry_spread_m,
        p.MISHIT_LOSS * prior.expected_m, 1.0, p.MISHIT_LOSS_SD * prior.expected_m,
        p.VISIT_CARRY_SD * prior.expected_m,
    )  # fmt: skip
    side = Axis(
        shots.offline_m, np.zeros(shots.n, dtype=np.bool_), prior.side_mean_m, prior.side_var_m2,
        prior.side_spread_m, 0.0, p.MISHIT_SIDE_FACTOR, 0.0, p.VISIT_SIDE_SD * prior.expected_m,
    )  # fmt: skip
    return carry, side


def first_guess(carry: Axis, side: Axis, mishit_logit: float) -> Plug:
    """Start from the middle of the longer half of the carries, shrunk to the prior; the side's prior."""
    seen = np.sort(carry.y[np.isfinite(carry.y)])
    noise = (1.2 * carry.base) ** 2
    centre, var = carry.mean, carry.var
    if len(seen):
        middle = (
            kernel.middle_of(seen[len(seen) // 2 :]) - 0.35 * carry.base if len(seen) > 2 else float(seen[-1])
        )
        weight = len(seen) / (len(seen) + noise / carry.var)
        centre = weight * middle + (1.0 - weight) * carry.mean
        var = 1.0 / (1.0 / carry.var + len(seen) / noise)
    return Plug(centre, var, carry.base, side.mean, side.var, side.base, mishit_logit)


def evaluate(
    shots: CellShots, prior: CellPrior, drift_m: Floats, grid: Grid, plug: Plug | None = None
) -> CellFit:
    """Give the evidence of a cell's shots; `plug` says where its centre probably is (None: a first guess)."""
    fit = first_pass(shots, prior, drift_m, grid, plug, kernel.LABEL_BUDGET)
    for _ in range(_MORE_ROUNDS):
        if fit.evidence.labels.open_labels < _OPEN_ENOUGH:
            break
        own = fit.own()
        if plug is not None and _close(own, plug):
            break
        plug = own
        fit = _evaluate_at(shots, prior, drift_m, grid, plug, kernel.LABEL_BUDGET)
    return fit


def first_pass(
    shots: CellShots,
    prior: CellPrior,
    drift_m: Floats,
    grid: Grid,
    plug: Plug | None = None,
    budget: int = kernel.ROUGH_BUDGET,
) -> CellFit:
    """Give the evidence with fewer labels enumerated: enough to see where the centre probably is."""
    carry, side = axes(shots, prior, drift_m)
    if plug is None:
        usual = float(grid.mishit_prior @ grid.logit_mishit) + prior.logit_shift
        plug = first_guess(carry, side, usual)
    return _evaluate_at(shots, prior, drift_m, grid, plug, budget)


def _close(a: Plug, b: Plug) -> bool:
    """Tell whether two views of a cell would weigh its shots alike."""
    moved = abs(a.carry - b.carry) / a.carry_sd + abs(a.side - b.side) / a.side_sd
    return moved + abs(a.carry_sd / b.carry_sd - 1.0) + 0.3 * abs(a.mishit_logit - b.mishit_logit) < 0.01


def _evaluate_at(
    shots: CellShots, prior: CellPrior, drift_m: Floats, grid: Grid, plug: Plug, budget: int
) -> CellFit:
    carry, side = axes(shots, prior, drift_m)
    odds, share, flat = kernel.label_odds(
        carry, side, plug, plug.mishit_logit, p.BAD_READ_SHARE, (p.BAD_READ_CARRY_M, p.BAD_READ_SIDE_M)
    )
    # A ball beyond the net is as good as solid; enumerating its label would only cost time.
    odds = np.where(shots.at_least & (odds < 0.0), -np.inf, odds)
    labels = kernel.label_sets(odds, share, flat, shots.mishit, p.BAD_READ_SHARE, budget)
    carry_terms = kernel.axis_terms(carry, labels, grid, shots.visit)
    carry_terms = add_lower_bounds(carry_terms, carry, labels, grid, shots.visit)
    side_terms = kernel.axis_terms(side, labels, grid, shots.visit)
    evidence = kernel.join_axes(labels, carry_terms, side_terms, grid, prior.logit_shift)
    return CellFit(shots, prior, drift_m, evidence, grid)


def _own_view(evidence: Evidence, prior: CellPrior, grid: Grid) -> Plug:
    carry_w, side_w, mishit_w = kernel.own_weights(evidence, grid)
    carry, carry_var = kernel.moments(carry_w, evidence.carry)
    side, side_var = kernel.moments(side_w, evidence.side)
    spread = np.exp(grid.log_spread)
    return Plug(
        carry, carry_var, prior.carry_spread_m * float(carry_w.sum(0) @ spread),
        side, side_var, prior.side_spread_m * float(side_w.sum(0) @ spread),
        float(mishit_w @ grid.logit_mishit) + prior.logit_shift,
    )  # fmt: skip


def no_shots(cell: CellKey) -> CellShots:
    """Give a cell without any shot, for what is expected before the first ball."""
    none, no, whole = np.zeros(0), np.zeros(0, dtype=np.bool_), np.zeros(0, dtype=np.int64)
    return CellShots(cell, whole, none, none, no, no, whole, none, ())
