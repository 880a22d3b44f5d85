"""Bounce and run by the ground a shot comes down on, as mean and spread.

The turf model is asked on a grid of landings once for each ground, and read between its points. The spread of
the run has three parts: landings differ from ball to ball (descent 6 %, speed 3 %, spin 15 %), the ground is
uneven, and the model itself is in doubt (`DOUBT`).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from bagwright.turf import Turf
from bagwright.turf.many import run_many

Floats = NDArray[np.float64]

SPEEDS_MPS = np.array(
    [0.0, 2.0, 4.0, 6.0, 8.0, 10.0, 12.5, 15.0, 17.5, 20.0, 22.5, 25.0, 28.0, 31.0, 35.0, 45.0]
)
DESCENTS_RAD = np.radians([3.0, 8.0, 14.0, 20.0, 26.0, 32.0, 37.0, 42.0, 47.0, 52.0, 58.0, 66.0, 78.0, 89.0])
SPINS_RPM = np.array([0.0, 2000.0, 4000.0, 6000.0, 8000.0, 10_500.0, 14_000.0])

DESCENT_SD, SPEED_SD, SPIN_SD = 0.06, 0.03, 0.15
"""Spread of landings from ball to ball, as shares: those of solid strikes (dispersion room); spin judgement.
"""
DOUBT = {"fairway": 0.24, "rough": 0.6, "green": 0.24, "soft": 0.6}
"""Sd of the run's mean over it: the band of docs/turf.md is some 0.4 to either side at 90 %, in rough some
1.8 of it upwards and 1.2 downwards."""
UNEVEN_M = {"fairway": 1.0, "rough": 1.0, "green": 0.5, "soft": 0.5}
"""Sd of a run from ball to ball on one ground: judgement (green as in the turf room)."""
SOFT_SHARE = 0.2
"""Run in deep rough and among trees over that in rough, both slowed by long grass; in sand a ball stays:
common practice, no source."""


@dataclass(frozen=True, slots=True)
class Grounds:
    """What balls run on: firmness of all turf, and the greens' speed in feet (None: 10)."""

    turf: Turf
    stimp_ft: float | None = None

    def of(self, name: str) -> Turf:
        """The turf of one class of landing lies."""
        firm = self.turf.firmness
        if name == "green":
            return Turf(firm, "green", self.stimp_ft or self.turf.stimp_ft)
        return Turf(firm, "rough" if name in ("rough", "soft") else "fairway")


@lru_cache(maxsize=24)
def _grid(turf: Turf) -> Floats:
    speed, descent, spin = np.meshgrid(SPEEDS_MPS, DESCENTS_RAD, SPINS_RPM, indexing="ij")
    return run_many(speed.ravel(), descent.ravel(), spin.ravel(), turf).reshape(speed.shape)


def run_at(turf: Turf, speed_mps: Floats, descent_rad: Floats, spin_rpm: Floats) -> Floats:
    """Run in metres of landings of one shape, linear between the points of the grid."""
    grid = _grid(turf)
    found = np.zeros(np.shape(speed_mps))
    axes = ((SPEEDS_MPS, speed_mps), (DESCENTS_RAD, descent_rad), (SPINS_RPM, spin_rpm))
    places = []
    for axis, value in axes:
        inside = np.clip(value, axis[0], axis[-1])
        low = np.clip(np.searchsorted(axis, inside, side="right") - 1, 0, len(axis) - 2)
        places.append((low, (inside - axis[low]) / (axis[low + 1] - axis[low])))
    (i, a), (j, b), (k, c) = places
    for di in (0, 1):
        for dj in (0, 1):
            for dk in (0, 1):
                share = (a if di else 1.0 - a) * (b if dj else 1.0 - b) * (c if dk else 1.0 - c)
                found += share * grid[i + di, j + dj, k + dk]
    return found


def run_with_sd(name: str, grounds: Grounds, landing: tuple[Floats, Floats, Floats]) -> tuple[Floats, Floats]:
    """Mean and sd of the run on one class of landing lies, metres; landings as (speed, descent, spin)."""
    turf, share = grounds.of(name), SOFT_SHARE if name == "soft" else 1.0
    speed, descent, spin = landing
    middle = run_at(turf, speed, descent, spin)
    total, var = middle.copy(), np.zeros_like(middle)
    reach = np.sqrt(3.0)
    for k, sd in enumerate((SPEED_SD, DESCENT_SD, SPIN_SD)):
        ends = []
        for sign in (-1.0, 1.0):
            moved = [speed, descent, spin]
            moved[k] = moved[k] * (1.0 + sign * reach * sd)
            ends.append(run_at(turf, *moved))
        total += (ends[0] + ends[1] - 2.0 * middle) / 6.0
        var += ((ends[1] - ends[0]) / (2.0 * reach)) ** 2
    mean: Floats = share * total
    wide: Floats = np.sqrt(
        share**2 * var + (DOUBT[name] * mean) ** 2 + UNEVEN_M[name] ** 2 * np.tanh(np.abs(mean) / 3.0)
    )
    return mean, wide
