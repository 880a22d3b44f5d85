"""What a fit gives: one dispersion a club and swing, drift, contrasts and draws."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from bagwright.dispersion._kernel import Floats
from bagwright.estimate import Estimate


@dataclass(frozen=True, slots=True)
class Region:
    """An ellipse on the ground that holds a share `level` of a build's solid strikes.

    Centre (carry, offline) in metres; half axes in metres, the longer first; `angle_rad` turns the first half
    axis from the target line towards the right.
    """

    level: float
    carry_m: float
    offline_m: float
    half_axes_m: tuple[float, float]
    angle_rad: float

    def outline(self, points: int = 73) -> Floats:
        """Give the ellipse as (points, 2) of carry and offline in metres, first point repeated last."""
        t = np.linspace(0.0, 2.0 * np.pi, points)
        a, b = self.half_axes_m
        c, s = math.cos(self.angle_rad), math.sin(self.angle_rad)
        carry = self.carry_m + a * np.cos(t) * c - b * np.sin(t) * s
        side = self.offline_m + a * np.cos(t) * s + b * np.sin(t) * c
        return np.stack([carry, side], axis=1)


@dataclass(frozen=True, slots=True)
class Dispersion:
    """Where a player's shots with one build and swing finish. Ranges are 90 %; metres, radians.

    `carry_m` is the centre of solid strikes, warmed up and fresh; `all_carry_m` the mean of all shots,
    mishits included; `offline_m` positive right and true for the latest visit only; `area90_m2` the area
    that holds 90 % of solid strikes; `mishit_share` the share of shots that are not solid. `at_least`
    carries are counted in `n_at_least`. Measured means (total, apex, ...) are None where nothing was
    measured.

    `quality`: "prior only" without a carry or side that counts; "few shots" below 4 solid ones; "good" from
    8 solid ones with carry known within 4 %; else "fair".
    """

    club: str
    swing: str
    n_shots: int
    n_missing_carry: int
    n_missing_side: int
    n_at_least: int
    n_solid: float
    expected_carry_m: float
    carry_m: Estimate
    offline_m: Estimate
    carry_sd_m: Estimate
    offline_sd_m: Estimate
    area90_m2: Estimate
    correlation: Estimate
    mishit_share: Estimate
    all_carry_m: Estimate
    right_probability: float
    total_m: Estimate | None
    apex_m: Estimate | None
    descent_rad: Estimate | None
    ball_speed_mps: Estimate | None
    speed_ratio: Estimate | None
    shot_indices: tuple[int, ...]
    measured: bool
    pooled: tuple[str, ...]
    quality: str
    converged: bool
    checks: tuple[str, ...]
    """Which check of the arithmetic failed, in words; empty when `converged`."""
    carry_spread: float
    """Posterior sd of the centre of carry, metres."""
    offline_spread: float
    """Posterior sd of the centre of side, metres."""
    visits: tuple[str, ...] = ()
    """Visits in which this cell was hit, latest first."""

    @property
    def key(self) -> tuple[str, str]:
        """(club, swing)."""
        return (self.club, self.swing)

    def region(self, level: float) -> Region:
        """Give the ellipse in which the next solid ball finishes with probability `level` (0..1).

        Its covariance is the spread of solid strikes plus the uncertainty of the centre; the radius of a
        bivariate normal is sqrt(-2 ln(1 - level)).
        """
        if not 0.0 < level < 1.0:
            raise ValueError(f"a level lies between 0 and 1, but got {level}")
        sc, sl, r = self.carry_sd_m.value, self.offline_sd_m.value, self.correlation.value
        cov = np.array(
            [[sc**2 + self.carry_spread**2, r * sc * sl], [r * sc * sl, sl**2 + self.offline_spread**2]]
        )
        values, vectors = np.linalg.eigh(cov)
        radius = math.sqrt(-2.0 * math.log1p(-level))
        long = vectors[:, 1] if vectors[0, 1] >= 0 else -vectors[:, 1]
        axes = (radius * math.sqrt(values[1]), radius * math.sqrt(values[0]))
        return Region(level, self.carry_m.value, self.offline_m.value, axes, math.atan2(long[1], long[0]))


@dataclass(frozen=True, slots=True)
class Drift:
    """Warm-up and tiring of one visit, shares of carry: short of it at ball 1, and lost per 50 balls."""

    warm_up: Estimate
    tiring: Estimate
    settled: bool


@dataclass(frozen=True, slots=True)
class Contrast:
    """Solid-strike carry of one club minus another's, metres, and the chance that it is above 0."""

    mean_m: float
    sd_m: float
    probability: float
    low_m: float
    high_m: float
    blocked: bool


@dataclass(frozen=True, slots=True)
class Draws:
    """Joint posterior draws, every array (n, k) with a column a key; the same on every run.

    A solid strike of draw i, club j is normal with mean (`carry_m`, `offline_m`), the two sds and
    `correlation`; with probability `mishit_share` it is a mishit instead: `mishit_loss` of
    `expected_carry_m` shorter, with sd hypot(carry_sd_m, mishit_loss_sd * expected_carry_m), its side
    `mishit_side_factor` times as wide.
    """

    keys: tuple[tuple[str, str], ...]
    carry_m: Floats
    offline_m: Floats
    carry_sd_m: Floats
    offline_sd_m: Floats
    correlation: Floats
    mishit_share: Floats
    expected_carry_m: Floats
    mishit_loss: float
    mishit_loss_sd: float
    mishit_side_factor: float

    @property
    def n(self) -> int:
        """How many draws."""
        return int(self.carry_m.shape[0])
