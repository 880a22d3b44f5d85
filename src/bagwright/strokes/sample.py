"""The points at which single balls are looked at: sets of a Sobol sequence, each shifted by its own numbers.

Four dimensions: two normals of the landing, a normal of the run, and a uniform number that picks the solid
part. Neighbouring spots take different sets, so that what a set leaves out does not add up over the places
where a ball ends.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

SOLID, MISHIT = 128, 32
"""Points of solid shots and of mishits in a set."""
SETS = 61
SEED = 20261201


@lru_cache(maxsize=8)
def points(solid: int = SOLID, missed: int = MISHIT, sets: int = SETS) -> NDArray[np.float32]:
    """Points (sets, 4, solid + missed)."""
    from scipy.special import ndtri
    from scipy.stats import qmc

    rng = np.random.default_rng(SEED)
    out = np.empty((sets, 4, solid + missed), np.float32)
    for k in range(sets):
        for low, count in ((0, solid), (solid, missed)):
            plain = qmc.Sobol(4, scramble=False).random(count) + 0.5 / count
            shifted = (plain + rng.random(4)) % 1.0
            out[k, :3, low : low + count] = ndtri(np.clip(shifted[:, :3], 1e-6, 1 - 1e-6)).T
            out[k, 3, low : low + count] = shifted[:, 3]
    out.setflags(write=False)
    return out
