"""Fitted dispersions made by hand, so that a bag's carries can be typed in yards."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagwright.bag.club import Club
from bagwright.dispersion.prior import ratio_of_loft
from bagwright.estimate import Estimate
from bagwright.units import M_PER_YD, RAD_PER_DEG

Floats = NDArray[np.float64]
Z90 = 1.6448536269514722
SIDE, SIDE_SPREAD, MISHITS = Estimate(2.0, -4.0, 8.0), Estimate(9.0, 6.0, 13.0), Estimate(0.1, 0.03, 0.2)


def near(value: float, sd: float) -> Estimate:
    return Estimate(value, value - Z90 * sd, value + Z90 * sd)


@dataclass(frozen=True)
class FakeFit:
    carry_m: Estimate
    carry_sd_m: Estimate
    measured: bool = True
    n_shots: int = 8
    offline_m: Estimate = SIDE
    offline_sd_m: Estimate = SIDE_SPREAD
    right_probability: float = 0.7
    mishit_share: Estimate = MISHITS
    total_m: Estimate | None = None
    apex_m: Estimate | None = None
    descent_rad: Estimate | None = None
    quality: str = "good"


def fit(
    carry_yd: float,
    spread_yd: float,
    sd_yd: float = 1.5,
    descent_deg: float | None = None,
    measured: bool = True,
) -> FakeFit:
    """A dispersion whose carry is known to sd_yd and whose depth spread is known to a tenth."""
    spread = spread_yd * M_PER_YD
    descent = None if descent_deg is None else near(descent_deg * RAD_PER_DEG, 0.5 * RAD_PER_DEG)
    return FakeFit(
        near(carry_yd * M_PER_YD, sd_yd * M_PER_YD),
        Estimate(spread, spread / 1.15, spread * 1.15),
        measured=measured,
        descent_rad=descent,
    )


@dataclass(frozen=True)
class FakeDraws:
    carry_m: Floats
    carry_sd_m: Floats


class FakeFits:
    """Hand-made fits by (club, swing); draws are independent normals with a fixed seed."""

    def __init__(self, fits: dict[tuple[str, str], FakeFit], length_yd: float = 150.0) -> None:
        self.fits = fits
        self.length_yd = length_yd

    def __iter__(self) -> Iterator[tuple[str, str]]:
        return iter(self.fits)

    def __contains__(self, key: object) -> bool:
        return key in self.fits

    def __getitem__(self, key: tuple[str, str]) -> FakeFit:
        return self.fits[key]

    def predict(self, club: Club, swing: str = "stock") -> FakeFit:
        loft = club.loft_deg if club.loft_deg is not None else 34.0
        carry = self.length_yd * ratio_of_loft(loft)
        return fit(carry, 0.06 * carry, 0.08 * carry, measured=False)

    def draws(self, keys: Sequence[tuple[str, str]], n: int = 2048) -> FakeDraws:
        rng = np.random.default_rng(5)
        found = [self.fits[key] for key in keys]
        carry = np.array([f.carry_m.value for f in found])
        sd = np.array([(f.carry_m.high - f.carry_m.low) / (2 * Z90) for f in found])
        spread = np.array([f.carry_sd_m.value for f in found])
        log_sd = np.array([np.log(f.carry_sd_m.high / f.carry_sd_m.low) / (2 * Z90) for f in found])
        shape = (n, len(keys))
        return FakeDraws(
            carry + sd * rng.standard_normal(shape), spread * np.exp(log_sd * rng.standard_normal(shape))
        )
