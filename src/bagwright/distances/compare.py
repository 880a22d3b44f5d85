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
from bagwright.words import tell

if TYPE_CHECKING:
    from bagwright.dispersion.fit import Dispersions
    from bagwright.dispersion.results import Dispersion

DAY_SHARE = 0.015
MATTERS_SHARE = 0.02
"""A change of carry below this share changes no club (judgement)."""


@dataclass(frozen=True, slots=True)
class ClubChange:
    """One club and swing then and now, metres.

    `same`: the chance that it changed by less than what matters; `beyond`: the chance that it changed by
    more, in the likelier direction. Without information `beyond` stays below one half, `same` tends to 0.

    `spread`: today's spread over that of then; None where that of then is not kept.
    """

    club: str
    swing: str
    before_m: Estimate
    now_m: Estimate
    change_m: Estimate
    same: float
    beyond: float
    spread: Estimate | None
    n_before: int | None
    n_now: int


def compare_visits(before: Dispersions, now: Dispersions) -> tuple[ClubChange, ...]:
    """Every club and swing that was hit in both, the longest first."""
    found = [
        change_of(before[key], now[key])
        for key in now
        if key in before and before[key].measured and now[key].measured
    ]
    return tuple(sorted(found, key=lambda one: -one.now_m.value))


def change_of(before: Dispersion, now: Dispersion, known: Difference | None = None) -> ClubChange:
    """The change from one fit to another, on two days.

    `known` is the difference where both were hit in one visit and the joint fit gives it.
    """
    carry = before.carry_m.value
    if known is None:
        day = DAY_SHARE * carry * math.sqrt(2.0)
        sd = math.hypot(before.carry_spread, now.carry_spread, day)
        known = Difference(now.carry_m.value - carry, sd)
    return _change(before.carry_m, now, known, spread_of(before, now), before.n_shots)


def change_since(agreed_m: Estimate, now: Dispersion) -> ClubChange:
    """The change from a carry that was agreed on, of which only the 90 % range is kept.

    Its sd is the width of the range over twice 1.645, as of a normal distribution.
    """
    then = (agreed_m.high - agreed_m.low) / (2.0 * Z90)
    day = DAY_SHARE * agreed_m.value * math.sqrt(2.0)
    known = Difference(now.carry_m.value - agreed_m.value, math.hypot(then, now.carry_spread, day))
    return _change(agreed_m, now, known, None, None)


@dataclass(frozen=True, slots=True)
class Difference:
    """Mean and sd of now minus then, metres."""

    mean_m: float
    sd_m: float


def _change(
    before_m: Estimate, now: Dispersion, known: Difference, spread: Estimate | None, n_before: int | None
) -> ClubChange:
    mean, sd = known.mean_m, known.sd_m
    matters = MATTERS_SHARE * before_m.value
    longer, shorter = float(ndtr((mean - matters) / sd)), float(ndtr((-mean - matters) / sd))
    return ClubChange(
        club=now.club,
        swing=now.swing,
        before_m=before_m,
        now_m=now.carry_m,
        change_m=Estimate(mean, mean - Z90 * sd, mean + Z90 * sd),
        same=1.0 - longer - shorter,
        beyond=max(longer, shorter),
        spread=spread,
        n_before=n_before,
        n_now=now.n_shots,
    )


def spread_of(before: Dispersion, now: Dispersion) -> Estimate:
    """Today's spread of carry over that of then, with its 90 % range.

    Both posteriors are taken as log-normal, the sd of the logarithm from their 90 % ranges.
    """
    logs = [math.log(one.carry_sd_m.high / one.carry_sd_m.low) / (2.0 * Z90) for one in (before, now)]
    ratio, width = now.carry_sd_m.value / before.carry_sd_m.value, math.exp(Z90 * math.hypot(*logs))
    return Estimate(ratio, ratio / width, ratio * width)


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
            found.append(tell("{word}: {then}, now {today}", word=word, then=then, today=today))
    return tuple(found)
