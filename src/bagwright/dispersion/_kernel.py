"""Arithmetic of one cell's posterior: label sets, exact integrals over the centre, grids for the spreads.

Arrays in, arrays out. Symbols follow Box and Tiao (1968, Biometrika 55, "A Bayesian approach to some
outlier problems"): every way to call the ambiguous shots solid or not is enumerated, the centre is
integrated in closed form for each, and the logarithm of each spread lies on a grid. No sampling and no
iteration to a tolerance.

Shapes: n shots, C label sets, G points of a spread grid, T points of a player-factor grid, P of the mishit
grid.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr, ndtr

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

LOG_2PI = float(np.log(2.0 * np.pi))
ROUGH_BUDGET = 4
"""The same in a first pass, which only looks for the centre."""
LABEL_BUDGET = 7
"""Most shots of a cell whose label is enumerated (2**7 label sets); the others enter by their probability."""
CERTAIN = 9.0
"""Log odds beyond which a shot's label is not enumerated: a chance of about 1 in 8000."""
CERTAIN_MISS = 25.0
"""The same for "not solid": further out, because the other clubs may yet show a wide player."""
_ROOM = 262_144
"""Entries of the label table: cells of more than some 2000 shots enumerate fewer labels, to save memory."""
SPLIT_BUDGET = 3
"""Most shots of a cell of which mishit and bad read are told apart by enumeration."""
SPLIT_FROM = 0.01
_PRUNE = 13.0
_NEWTON_STEPS = 30
_CLOSE = 1e-7
_KNOTS = np.array([-8.0, -4.0, -3.0, -2.3, -1.7, -1.2, -0.6, 0.0, 0.6, 1.2, 1.7, 2.3, 3.0, 4.0, 8.0])


class Grid(NamedTuple):
    """The grids that all cells of a fit share."""

    log_spread: Floats  # (G,) log of spread over its expected value
    log_factor: Floats  # (T,) log of a player factor
    spread_given_factor: Floats  # (G, T), columns sum to 1
    logit_mishit: Floats  # (P,)
    log_prior: Floats  # (T, T, P): carry factor, side factor, mishit share
    factor_prior: Floats  # (T,) marginal of the carry factor
    side_factor_prior: Floats  # (T,)
    mishit_prior: Floats  # (P,)


class Axis(NamedTuple):
    """One axis (carry or side) of a cell: data and prior of the centre."""

    y: Floats  # (n,) NaN where missing
    at_least: Bools  # (n,) True where y is only a lower bound
    mean: float  # prior mean of the centre
    var: float  # prior variance of the centre
    base: float  # expected spread of a solid strike
    shift: float  # how far a mishit's centre lies below the solid centre
    mishit_factor: float  # a mishit's spread over a solid one's
    mishit_sd: float  # further spread of a mishit
    visit_sd: float  # spread of the centre between visits


class Plug(NamedTuple):
    """Where a cell's centre and spreads probably are: used to rank labels and for the bad-read share only."""

    carry: float
    carry_var: float
    carry_sd: float
    side: float
    side_var: float
    side_sd: float
    mishit_logit: float


class Terms(NamedTuple):
    """Given a label set and a spread: log evidence, and mean and precision of the centre; all (C, G)."""

    log_evidence: Floats
    mean: Floats
    precision: Floats


class Labels(NamedTuple):
    """The label sets of a cell."""

    solid: Floats  # (C, n) weight of each shot as a solid strike
    bad: Floats  # (C, n) share of a not-solid label that is a bad read; 0 or 1 where it is enumerated
    log_weight: Floats  # (C,) evidence that does not depend on centre or spread
    open_labels: float  # expected count of wrong labels among the shots that were not enumerated


class Evidence(NamedTuple):
    """Everything a cell tells, before it is joined with the other cells."""

    labels: Labels
    carry: Terms
    side: Terms
    carry_like: Floats  # (C, G) scaled likelihood of the carry spread
    side_like: Floats  # (C, G)
    carry_by_factor: Floats  # (C, T)
    side_by_factor: Floats  # (C, T)
    by_mishit: Floats  # (C, P)
    tensor: Floats  # (T, T, P), largest entry of order 1


class Weights(NamedTuple):
    """A cell's posterior weights after all cells are joined."""

    carry: Floats  # (C, G), sums to 1
    side: Floats  # (C, G), sums to 1
    label_mishit: Floats  # (C, P), sums to 1
    log_spread_cov: float


def _log_seen(axis: Axis, mean: float, var: float) -> Floats:
    """Log density of each shot, log chance of at least y where y is a lower bound, 0 where missing."""
    seen = np.isfinite(axis.y)
    y = np.where(seen, axis.y, mean)
    log_density = -0.5 * ((y - mean) ** 2 / var + np.log(var) + LOG_2PI)
    if axis.at_least.any():
        log_density = np.where(axis.at_least, log_ndtr((mean - y) / np.sqrt(var)), log_density)
    return np.where(seen, log_density, 0.0)


def _log_flat(axis: Axis, width: float) -> Floats:
    """Give the same for a bad read, which may stand anywhere within the width."""
    seen = np.isfinite(axis.y)
    flat = np.where(seen, -np.log(width), 0.0)
    if axis.at_least.any():
        above = np.maximum(1.0 - np.where(seen, axis.y, 0.0) / width, 1e-3)
        flat = np.where(axis.at_least, np.log(above), flat)
    return flat


def label_odds(
    carry: Axis, side: Axis, plug: Plug, log_prior_odds: float, bad_share: float, widths: tuple[float, float]
) -> tuple[Floats, Floats, Floats]:
    """Log odds of "not solid" (n,), share of that which is a bad read (n,), log density of a bad read (n,).

    `widths` are those of the flat density of a bad read along carry and side.
    """
    s2_c, s2_l = plug.carry_sd**2, plug.side_sd**2
    solid = _log_seen(carry, plug.carry, s2_c + plug.carry_var)
    solid += _log_seen(side, plug.side, s2_l + plug.side_var)
    mishit = np.logaddexp(
        np.log(0.8) + _log_mishit(carry, side, plug, 1.0), np.log(0.2) + _log_mishit(carry, side, plug, 1.8)
    )
    flat = _log_flat(carry, widths[0]) + _log_flat(side, widths[1])
    not_solid = np.logaddexp(np.log1p(-bad_share) + mishit, np.log(bad_share) + flat)
    share = np.clip(np.exp(np.log(bad_share) + flat - not_solid), 1e-9, 1.0 - 1e-9)
    return not_solid - solid + log_prior_odds, share, flat


def _log_mishit(carry: Axis, side: Axis, plug: Plug, wider: float) -> Floats:
    """Log density (n,) of each shot as a mishit, with spreads `wider` than they look so far."""
    var_c = (wider * plug.carry_sd * carry.mishit_factor) ** 2 + carry.mishit_sd**2 + plug.carry_var
    var_l = (wider * plug.side_sd * side.mishit_factor) ** 2 + side.mishit_sd**2 + plug.side_var
    return _log_seen(carry, plug.carry - carry.shift, var_c) + _log_seen(side, plug.side - side.shift, var_l)


def label_sets(
    odds: Floats,
    share: Floats,
    flat: Floats,
    known_mishit: Bools,
    bad_share: float,
    budget: int = LABEL_BUDGET,
) -> Labels:
    """Enumerate the labels of the most ambiguous shots; the others enter by their probability.

    Where it is also open whether a shot that is not solid is a mishit or a bad read, both are enumerated.
    """
    share = np.where(known_mishit, 0.0, share)
    odds = np.where(known_mishit, np.inf, odds)
    weight = 1.0 / (1.0 + np.exp(np.clip(odds, -700.0, 700.0)))
    weight = np.where(odds > CERTAIN_MISS, 0.0, np.where(odds < -CERTAIN, 1.0, weight))
    ambiguity = np.abs(odds)
    ranked = np.argsort(ambiguity, kind="stable")
    budget = min(budget, max(_ROOM // max(len(odds), 1), 1).bit_length() - 1)
    chosen = ranked[(odds[ranked] >= -CERTAIN) & (odds[ranked] <= CERTAIN_MISS)][:budget]
    k = len(chosen)
    solid = np.repeat(weight[None], 2**k, axis=0)
    solid[:, chosen] = 1.0 - ((np.arange(2**k)[:, None] >> np.arange(k)) & 1)
    rest = np.delete(weight, chosen)
    bad = np.repeat(share[None], len(solid), axis=0)
    doubt = (1.0 - weight) * np.minimum(share, 1.0 - share)
    for i in np.argsort(-doubt, kind="stable")[:SPLIT_BUDGET]:
        if doubt[i] > SPLIT_FROM:
            solid, bad = _split(solid, bad, int(i))
    own = _log_not_solid(bad, flat, bad_share)
    log_weight = ((1.0 - solid) * own).sum(1)
    return Labels(solid, bad, log_weight, float(np.minimum(rest, 1.0 - rest).sum()))


def _split(solid: Floats, bad: Floats, i: int) -> tuple[Floats, Floats]:
    """Double every label set in which shot i is not solid: once a mishit, once a bad read."""
    missed = solid[:, i] < 1.0
    as_mishit, as_bad = bad.copy(), bad[missed].copy()
    as_mishit[missed, i] = 0.0
    as_bad[:, i] = 1.0
    return np.concatenate([solid, solid[missed]]), np.concatenate([as_mishit, as_bad])


def _log_not_solid(bad: Floats, flat: Floats, bad_share: float) -> Floats:
    """Log weight (C, n) of a shot that is not solid; a share between 0 and 1 brings its entropy."""
    with np.errstate(divide="ignore"):
        log_bad, log_good = np.log(bad), np.log1p(-bad)
    as_mishit = np.where(
        bad < 1.0, (1.0 - bad) * (np.log1p(-bad_share) - np.where(bad < 1.0, log_good, 0.0)), 0.0
    )
    as_bad = np.where(bad > 0.0, bad * (np.log(bad_share) + flat - np.where(bad > 0.0, log_bad, 0.0)), 0.0)
    return as_mishit + as_bad


def axis_terms(axis: Axis, labels: Labels, grid: Grid, visit: Ints) -> Terms:
    """Integrate the centre out, for every label set and spread.

    With weights w_s = 1/s^2 and w_m = 1/((f s)^2 + omega^2) the sums of a visit are a precision a and a
    linear term b. The latest visit (0) has the centre itself; an earlier one has centre + N(0, d^2), so
    that its sums become a/(1 + d^2 a) and b/(1 + d^2 a) (normal integrals).
    """
    ok = np.isfinite(axis.y) & ~axis.at_least
    off = np.where(ok, axis.y - axis.mean, 0.0)
    off_m = np.where(ok, off + axis.shift, 0.0)
    as_solid = labels.solid * ok
    as_mishit = (1.0 - labels.solid) * (1.0 - labels.bad) * ok
    s2 = (axis.base * np.exp(grid.log_spread)) ** 2
    w = np.stack([1.0 / s2, 1.0 / (axis.mishit_factor**2 * s2 + axis.mishit_sd**2)])
    log_w = np.log(w) - LOG_2PI
    shape = (len(labels.solid), len(s2))
    precision, linear, log_ev = np.full(shape, 1.0 / axis.var), np.zeros(shape), np.zeros(shape)
    for v in range(int(visit.max()) + 1 if len(visit) else 1):
        here = slice(None) if v == 0 and not visit.any() else visit == v
        solid, missed = _sums(as_solid[:, here], off[here]), _sums(as_mishit[:, here], off_m[here])
        a, b = solid[:, :1] * w[0] + missed[:, :1] * w[1], solid[:, 1:2] * w[0] + missed[:, 1:2] * w[1]
        log_ev += 0.5 * (solid[:, :1] * log_w[0] + missed[:, :1] * log_w[1])
        log_ev -= 0.5 * (solid[:, 2:] * w[0] + missed[:, 2:] * w[1])
        if v > 0:
            d2 = axis.visit_sd**2
            widen = 1.0 + d2 * a
            log_ev += 0.5 * (d2 * b * b / widen - np.log(widen))
            a, b = a / widen, b / widen
        precision += a
        linear += b
    mean = linear / precision
    log_ev += 0.5 * linear * mean - 0.5 * np.log(axis.var * precision)
    return Terms(log_ev, mean + axis.mean, precision)


def _sums(weight: Floats, off: Floats) -> Floats:
    """Weighted count, sum and sum of squares of every label set: (C, 3)."""
    powers = np.empty((len(off), 3))
    powers[:, 0], powers[:, 1], powers[:, 2] = 1.0, off, off * off
    sums: Floats = weight @ powers
    return sums


def middle_of(ranked: Floats) -> float:
    """Median of sorted values (n,), n > 0."""
    half = len(ranked) // 2
    return float(ranked[half]) if len(ranked) % 2 else 0.5 * float(ranked[half - 1] + ranked[half])


def join_axes(labels: Labels, carry: Terms, side: Terms, grid: Grid, logit_shift: float) -> Evidence:
    """Evidence of a cell about the shared player factors and the mishit share."""
    top_c, top_l = carry.log_evidence.max(1), side.log_evidence.max(1)
    total = top_c + top_l + labels.log_weight
    keep = total > total.max() - _PRUNE
    labels = labels._replace(
        solid=labels.solid[keep], bad=labels.bad[keep], log_weight=labels.log_weight[keep]
    )
    carry, side = Terms(*(a[keep] for a in carry)), Terms(*(a[keep] for a in side))
    top_c, top_l, total = top_c[keep], top_l[keep], total[keep]
    solid_count = labels.solid.sum(1)
    missed = labels.solid.shape[1] - solid_count
    logit = grid.logit_mishit + logit_shift
    log_p, log_q = -np.logaddexp(0.0, -logit), -np.logaddexp(0.0, logit)
    log_by = missed[:, None] * log_p + solid_count[:, None] * log_q + total[:, None]
    scale = float(log_by.max())
    by_mishit = np.exp(log_by - scale)
    like_c = np.exp(carry.log_evidence - top_c[:, None])
    like_l = np.exp(side.log_evidence - top_l[:, None])
    by_c, by_l = like_c @ grid.spread_given_factor, like_l @ grid.spread_given_factor
    t = by_c.shape[1]
    pairs = (by_c[:, :, None] * by_l[:, None, :]).reshape(len(by_c), -1)
    tensor = (pairs.T @ by_mishit).reshape(t, t, -1)
    return Evidence(labels, carry, side, like_c, like_l, by_c, by_l, by_mishit, tensor)


def own_weights(evidence: Evidence, grid: Grid) -> tuple[Floats, Floats, Floats]:
    """Weights of both spread grids (C, G) and the mishit grid (P,) from this cell alone, prior included."""
    label_factor = evidence.carry_by_factor @ grid.factor_prior
    label_factor = label_factor * (evidence.side_by_factor @ grid.side_factor_prior)
    label = label_factor * (evidence.by_mishit @ grid.mishit_prior)
    label = label / label.sum()
    carry = evidence.carry_like * (grid.spread_given_factor @ grid.factor_prior)
    side = evidence.side_like * (grid.spread_given_factor @ grid.side_factor_prior)
    carry *= (label / carry.sum(1))[:, None]
    side *= (label / side.sum(1))[:, None]
    mishit = label_factor @ evidence.by_mishit * grid.mishit_prior
    return carry, side, mishit / mishit.sum()


def joint_weights(evidence: Evidence, log_others: Floats, grid: Grid) -> Weights:
    """Posterior weights of a cell given the evidence (T, T, P) of everything else, prior included."""
    others = np.exp(log_others - log_others.max())
    t = others.shape[0]
    per_label = (evidence.by_mishit @ others.reshape(t * t, -1).T).reshape(-1, t, t)
    by_c, by_l = evidence.carry_by_factor, evidence.side_by_factor
    factor_c = (per_label * by_l[:, None, :]).sum(2)
    factor_l = (per_label * by_c[:, :, None]).sum(1)
    carry = evidence.carry_like * (factor_c @ grid.spread_given_factor.T)
    side = evidence.side_like * (factor_l @ grid.spread_given_factor.T)
    total = float(carry.sum())
    carry /= total
    side /= side.sum()
    pairs = (by_c[:, :, None] * by_l[:, None, :]).reshape(len(by_c), -1)
    label_mishit = evidence.by_mishit * (pairs @ others.reshape(t * t, -1))
    label_mishit /= label_mishit.sum()
    u = grid.log_spread
    first_c = (evidence.carry_like * u) @ grid.spread_given_factor
    first_l = (evidence.side_like * u) @ grid.spread_given_factor
    product = float((per_label * first_c[:, :, None] * first_l[:, None, :]).sum()) / total
    cov = product - float(carry.sum(0) @ u) * float(side.sum(0) @ u)
    return Weights(carry, side, label_mishit, cov)


def moments(weights: Floats, terms: Terms) -> tuple[float, float]:
    """Mean and variance of a centre: a mixture of normals with weights (C, G)."""
    mean = float((weights * terms.mean).sum())
    second = float((weights * ((terms.mean - mean) ** 2 + 1.0 / terms.precision)).sum())
    return mean, second


def _components(weights: Floats, terms: Terms, extra_var: float) -> tuple[Floats, Floats, Floats]:
    keep = weights > 1e-5 * weights.max()
    w = weights[keep]
    return w / w.sum(), terms.mean[keep], np.sqrt(1.0 / terms.precision[keep] + extra_var)


def mixture_cdf(x: Floats, weights: Floats, terms: Terms, extra_var: float = 0.0) -> Floats:
    """Distribution function of a centre at x (k,), with a further normal variance."""
    w, mean, sd = _components(weights, terms, extra_var)
    cdf: Floats = ndtr((x[:, None] - mean) / sd) @ w
    return cdf


def mixture_quantiles(levels: Floats, weights: Floats, terms: Terms, extra_var: float = 0.0) -> Floats:
    """Quantiles of a centre: a coarse table, then Newton steps, halving where one leaves its bracket."""
    w, mean, sd = _components(weights, terms, extra_var)
    middle = float(w @ mean)
    width = float(np.sqrt(w @ ((mean - middle) ** 2 + sd**2)))
    knots = middle + width * _KNOTS
    table = ndtr((knots[:, None] - mean) / sd) @ w
    cell = np.clip(np.searchsorted(table, levels) - 1, 0, len(knots) - 2)
    low, high = knots[cell], knots[cell + 1]
    rise = np.maximum(table[cell + 1] - table[cell], 1e-300)
    x = low + (high - low) * np.clip((levels - table[cell]) / rise, 0.0, 1.0)
    for _ in range(_NEWTON_STEPS):
        z = (x[:, None] - mean) / sd
        error = ndtr(z) @ w - levels
        if np.abs(error).max() < _CLOSE:
            break
        low, high = np.where(error < 0.0, x, low), np.where(error < 0.0, high, x)
        slope = (np.exp(-0.5 * z * z) / sd) @ w / np.sqrt(2.0 * np.pi)
        step = x - error / np.maximum(slope, 1e-300)
        x = np.where((step > low) & (step < high), step, 0.5 * (low + high))
    return x


def grid_quantiles(levels: Floats, weights: Floats, grid: Floats) -> Floats:
    """Quantiles of a quantity on a grid with equal steps, each weight spread evenly over its step."""
    step = grid[1] - grid[0]
    edges = np.concatenate([[grid[0] - 0.5 * step], grid + 0.5 * step])
    table = np.concatenate([[0.0], np.cumsum(weights)])
    found: Floats = np.interp(levels, table / table[-1], edges)
    return found
