"""Two visits side by side: what changed beyond chance, and beyond what matters.

The difference of two centres is taken as normal: the two posterior variances, and twice the variance of a
player's day (1.5 % of carry, the day-to-day term of the dispersion model; docs/limits.md), are added.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scipy.special import ndtr

from bagwright.estimate import Z90, Estimate
from bagwright.shots.record import Conditions

if TYPE_CHECKING:
    from bagwright.dispersion.fit import Dispersions
    from bagwright.dispersion.results import Dispersion

DAY_SHARE = 0.015
MATTERS_SHARE = 0.02
"""A change of carry below this share changes no club (judgement)."""


@dataclass(frozen=True, slots=True)
class ClubChange:
    """One club and swing then and now, metres. `beyond`: the chance that it changed by what matters."""

    club: str
    swing: str
    before_m: Estimate
    now_m: Estimate
    change_m: Estimate
    beyond: float
    spread_ratio: float
    n_before: int
    n_now: int


def compare_visits(before: Dispersions, now: Dispersions) -> tuple[ClubChange, ...]:
    """Every club and swing that was hit in both, the longest first."""
    found = [
        change_of(before[key], now[key])
        for key in now
        if key in before and before[key].measured and now[key].measured
    ]
    return tuple(sorted(found, key=lambda one: -one.now_m.value))


def change_of(before: Dispersion, now: Dispersion, sd_m: float | None = None) -> ClubChange:
    """The change from one fit to another, on two days.

    `sd_m` is the sd of the difference where both were hit in one visit and it is known from the joint fit.
    """
    carry = before.carry_m.value
    day = DAY_SHARE * carry * math.sqrt(2.0)
    sd = math.hypot(before.carry_spread, now.carry_spread, day) if sd_m is None else sd_m
    mean = now.carry_m.value - carry
    matters = MATTERS_SHARE * carry
    within = float(ndtr((matters - mean) / sd) - ndtr((-matters - mean) / sd))
    return ClubChange(
        club=now.club,
        swing=now.swing,
        before_m=before.carry_m,
        now_m=now.carry_m,
        change_m=Estimate(mean, mean - Z90 * sd, mean + Z90 * sd),
        beyond=1.0 - within,
        spread_ratio=now.carry_sd_m.value / before.carry_sd_m.value,
        n_before=before.n_shots,
        n_now=now.n_shots,
    )


MOST_BALLS = 60


def balls_to_settle(before: Dispersion, now: Dispersion, sd_m: float) -> int | None:
    """How many further balls with each club until the range of their difference is as narrow as what matters.

    The part of the variance that balls can lower is spread squared times (1/n + 1/m), as for the difference
    of two means of independent balls; the rest stays. None where `MOST_BALLS` more would not do.
    """
    wanted = (MATTERS_SHARE * before.carry_m.value / Z90) ** 2
    spread = max(before.carry_sd_m.value, now.carry_sd_m.value) ** 2
    n, m = max(1, before.n_shots), max(1, now.n_shots)
    rest = max(0.0, sd_m**2 - spread * (1.0 / n + 1.0 / m))
    return next(
        (k for k in range(MOST_BALLS + 1) if spread * (1.0 / (n + k) + 1.0 / (m + k)) + rest <= wanted), None
    )


def differing(before: Conditions, now: Conditions) -> tuple[str, ...]:
    """Conditions that both visits said and that differ: each may explain a change."""
    names: Mapping[str, str] = {
        "ball": "ball", "surface": "surface", "air": "air", "adjusted": "figures", "place": "place",
    }  # fmt: skip
    found = []
    for field, word in names.items():
        then, today = getattr(before, field), getattr(now, field)
        if then and today and then != today:
            found.append(f"{word}: {then}, now {today}")
    return tuple(found)
