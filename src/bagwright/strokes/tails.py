"""Three normal parts with the heavy tails of a spread that is not known exactly.

A solid strike is normal once its spread is known; where the spread is not, its variance V is a random number
and the strike a mixture over it. Three parts stand for that mixture: on both axes they have its variance and
its kurtosis (3 E[V^2] / E[V]^2), between the axes its E[x^2 y^2], and on average of the axes the skewness of
V, which rules how far out the heavy part lies. All parts share the centre and the correlation.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

LEAST = 0.08
"""Least variance of a part over the whole: keeps a part from vanishing where the spread is wide open."""
MOST_TAIL = 1.6
"""Greatest sd of V over its mean that three parts can stand for."""


def three_parts(tail_x: Floats, tail_y: Floats, skew: Floats, tie: Floats) -> tuple[Floats, Floats, Floats]:
    """Weights, and variances of x and of y over the whole's, of three parts: (n, 3) each.

    `tail_x`, `tail_y` (n,) are the sd of V over its mean on each axis (kurtosis 3 (1 + tail^2)), `skew` the
    skewness of V, `tie` (0..1) the correlation of V between the axes.

    A heavy part of weight w and two light ones: u = (sqrt((1-w)/w), -sqrt(w/(1-w)), the same) has mean 0,
    variance 1 and skewness (1-2w)/sqrt(w(1-w)); v = (0, 1, -1)/sqrt(1-w) has mean 0, variance 1 and no
    correlation with u. The variances are 1 + tail_x u and 1 + tail_y (tie u + sqrt(1-tie^2) v).
    """
    tail_x, tail_y = (np.clip(tail, 0.0, MOST_TAIL) for tail in (tail_x, tail_y))
    skew = np.maximum(skew, 0.3)
    w = 0.5 * (1.0 - skew / np.sqrt(skew**2 + 4.0))
    # The light parts keep a variance above 0: a heavier part with less weight where the tails ask for it.
    widest = np.maximum(np.maximum(tail_x, tail_y), 1e-9)
    w = np.minimum(w, (1.0 - LEAST) ** 2 / ((1.0 - LEAST) ** 2 + widest**2))
    heavy, light, apart = np.sqrt((1.0 - w) / w), -np.sqrt(w / (1.0 - w)), 1.0 / np.sqrt(1.0 - w)
    weights = np.stack([w, 0.5 * (1.0 - w), 0.5 * (1.0 - w)], axis=-1)
    u = np.stack([heavy, light, light], axis=-1)
    v = np.stack([np.zeros_like(w), apart, -apart], axis=-1)
    tie = _tie_that_fits(tail_y, np.clip(tie, 0.0, 1.0), light, apart)
    own = np.sqrt(1.0 - tie**2)
    x = 1.0 + tail_x[..., None] * u
    y = 1.0 + tail_y[..., None] * (tie[..., None] * u + own[..., None] * v)
    return weights, x, y


def _tie_that_fits(tail: Floats, tie: Floats, light: Floats, apart: Floats) -> Floats:
    """The tie, or the least of eleven up to 1 that leaves every part `LEAST` of the variance."""
    tried = tie[..., None] + np.linspace(0.0, 1.0, 11) * (1.0 - tie[..., None])
    low = 1.0 + tail[..., None] * (tried * light[..., None] - np.sqrt(1.0 - tried**2) * apart[..., None])
    fits = low >= LEAST - 1e-12
    fits[..., -1] = True
    found: Floats = np.take_along_axis(tried, fits.argmax(-1)[..., None], -1)[..., 0]
    return found
