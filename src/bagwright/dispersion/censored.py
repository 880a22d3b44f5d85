"""Carries of which only a lower bound is known: lost beyond the net or out of the camera's view.

For a label set and a spread the other shots leave a normal centre; each lower bound C multiplies it by
Phi((centre - C)/s) (Tobin 1958, Econometrica 26, the censored normal). The product is integrated on the 21
points of a Gauss-Hermite rule and replaced by the normal of the same mean and variance, so that everything
after it stays a mixture of normals.
"""

from __future__ import annotations

import numpy as np
from scipy.special import log_ndtr

from bagwright.dispersion._kernel import Axis, Floats, Grid, Ints, Labels, Terms

_POINTS, _WEIGHTS = np.polynomial.hermite_e.hermegauss(21)
_LOG_WEIGHTS = np.log(_WEIGHTS / _WEIGHTS.sum())


def add_lower_bounds(terms: Terms, axis: Axis, labels: Labels, grid: Grid, visit: Ints) -> Terms:
    """Terms of the carry axis with its lower bounds worked in; the same terms where there are none."""
    bounded = axis.at_least & np.isfinite(axis.y)
    if not bounded.any():
        return terms
    centre = terms.mean[:, :, None] + _POINTS / np.sqrt(terms.precision)[:, :, None]
    log_w = np.broadcast_to(_LOG_WEIGHTS, centre.shape).copy()
    spread2 = (axis.base * np.exp(grid.log_spread)) ** 2
    for bound, earlier in sorted(
        {(float(y), v > 0) for y, v in zip(axis.y[bounded], visit[bounded], strict=True)}
    ):
        same = bounded & (axis.y == bound) & ((visit > 0) == earlier)
        between = axis.visit_sd**2 if earlier else 0.0
        solid = labels.solid[:, same].sum(1)[:, None, None]
        missed = ((1.0 - labels.solid) * (1.0 - labels.bad))[:, same].sum(1)[:, None, None]
        sd = np.sqrt(spread2 + between)[:, None]
        sd_m = np.sqrt(axis.mishit_factor**2 * spread2 + axis.mishit_sd**2 + between)[:, None]
        log_w += solid * log_ndtr((centre - bound) / sd)
        if missed.any():
            log_w += missed * log_ndtr((centre - axis.shift - bound) / sd_m)
    return _matched(terms, centre, log_w)


def _matched(terms: Terms, centre: Floats, log_w: Floats) -> Terms:
    top = log_w.max(2, keepdims=True)
    w = np.exp(log_w - top)
    total = w.sum(2)
    mean = (w * centre).sum(2) / total
    var = (w * (centre - mean[:, :, None]) ** 2).sum(2) / total
    return Terms(terms.log_evidence + top[:, :, 0] + np.log(total), mean, 1.0 / np.maximum(var, 1e-12))
