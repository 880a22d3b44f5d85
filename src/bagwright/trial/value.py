"""What further balls are worth: how much they would lower the expected regret of the choice, and which.

Expected value of sample information, looking several balls ahead because it is not concave in the number
of balls and one-step rules stop too early (Frazier and Powell 2010). Two measures:

*carry*: the difference of two centres is normal, and the value has the closed form of the knowledge
gradient (Frazier, Powell and Dayanik 2008; the unit normal loss of Raiffa and Schlaifer 1961).

*miss*: the expected miss is a curved function of centre and spread, so the value is taken over posterior
draws. The centres after `k` more balls are spread around today's with the variance that those balls would
remove (normal theory); each draw is moved inwards to have exactly that spread (Jalal and Alarid-Escudero
2018, Gaussian approximation of the value of information), and what stays unknown is added to the spread of
the shots, which is exact for normal centres.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np
from scipy.special import ndtr

from bagwright.errors import InputError
from bagwright.trial.miss import Pattern, expected_miss
from bagwright.units import M_PER_YD

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

Care = Literal["quick", "normal", "careful"]
PRICE_M: dict[str, float] = {"quick": 0.1 * M_PER_YD, "normal": 0.05 * M_PER_YD, "careful": 0.025 * M_PER_YD}
"""Metres of expected regret that one ball is worth (judgement: 0.1, 0.05 and 0.025 yd)."""
LOOK_AHEAD = 8
"""Most further balls looked at for one club."""
MIN_EACH = 3
"""Fewest balls of each candidate before stopping is considered."""
_DRAWS = 512


@dataclass(frozen=True, slots=True)
class Worth:
    """What `balls` more balls of each candidate (same order as the candidates) would do.

    `worth_m`: metres by which they lower the expected regret; `chance_to_change` 0..1 that they change the
    choice.
    """

    balls: tuple[int, ...]
    worth_m: float
    chance_to_change: float

    @property
    def total(self) -> int:
        """All further balls together."""
        return sum(self.balls)

    def net_m(self, price_m: float) -> float:
        """Worth less the price of the balls, in metres."""
        return self.worth_m - price_m * self.total


@dataclass(frozen=True, slots=True)
class CarryBelief:
    """What is known of the solid-strike centres of the candidates, for the carry measure.

    `mean_m` (k,), `cov_m2` (k, k) posterior of the centres, `sd_m` (k,) spread of one solid strike,
    `solid_share` (k,) share of balls that are solid.
    """

    mean_m: Floats
    cov_m2: Floats
    sd_m: Floats
    solid_share: Floats


def price_of(careful: str) -> float:
    """Give the price of a ball in metres of regret for "quick", "normal" or "careful"."""
    if careful not in PRICE_M:
        raise InputError(f'"{careful[:20]}" is not a degree of care.', f"Use one of {', '.join(PRICE_M)}.")
    return PRICE_M[careful]


def unit_normal_loss(z: float) -> float:
    """phi(z) - z Phi(-z): expected shortfall of a standard normal beyond z (Raiffa and Schlaifer 1961)."""
    return float(np.exp(-0.5 * z * z) / np.sqrt(2.0 * np.pi) - z * ndtr(-z))


def carry_worth(belief: CarryBelief, balls: Sequence[int]) -> Worth:
    """Value of further balls when the longest club is wanted.

    The choice is compared with the best other candidate; s~ is the sd of today's forecast of tomorrow's
    mean difference, z = |m| / s~, value s~ (phi(z) - z Phi(-z)), chance to change Phi(-z).
    """
    order = np.argsort(-belief.mean_m, kind="stable")
    first, second = int(order[0]), int(order[1])
    learnt, _ = _learnt(belief.cov_m2, _information(belief.sd_m, belief.solid_share, balls))
    var = learnt[first, first] + learnt[second, second] - 2.0 * learnt[first, second]
    if var <= 0.0:
        return Worth(tuple(balls), 0.0, 0.0)
    s = float(np.sqrt(var))
    z = float(belief.mean_m[first] - belief.mean_m[second]) / s
    return Worth(tuple(balls), s * unit_normal_loss(z), float(ndtr(-z)))


def miss_worth(pattern: Pattern, spot_m: float, balls: Sequence[int], extra_m: Floats | None = None) -> Worth:
    """Value of further balls when the least expected miss is wanted.

    `pattern` holds joint posterior draws (n, k); `extra_m` (k,) what weights add to each candidate.
    """
    thin = _thinned(pattern)
    now = expected_miss(thin, spot_m).mean(axis=0)
    add = np.zeros(len(now)) if extra_m is None else extra_m
    later = forecast_miss(thin, spot_m, balls)
    later = later - later.mean(axis=0) + now + add  # today's expectation is the mean of tomorrow's
    best = int(np.argmin(now + add))
    least = later.min(axis=1)
    return Worth(
        tuple(balls),
        float((later[:, best] - least).mean()),
        float((np.argmin(later, axis=1) != best).mean()),
    )


def forecast_miss(pattern: Pattern, spot_m: float, balls: Sequence[int]) -> Floats:
    """Forecast the expected miss after `balls` more of each candidate: (n, k), equally likely."""
    share = pattern.mishit_share.mean(axis=0)
    sds = (pattern.carry_sd_m, pattern.offline_sd_m)
    centres, left = [], []
    for centre, sd in zip((pattern.carry_m, pattern.offline_m), sds, strict=True):
        information = _information(np.sqrt((sd**2).mean(axis=0)), 1.0 - share, balls)
        moved, rest = _moved(centre, information)
        centres.append(moved)
        left.append(rest)
    n = np.asarray(balls, dtype=np.float64)
    solid = n * (1.0 - share)
    new = replace(
        pattern,
        carry_m=centres[0],
        offline_m=centres[1],
        carry_sd_m=np.exp(_shrunk(np.log(sds[0]), 2.0 * solid)),
        offline_sd_m=np.exp(_shrunk(np.log(sds[1]), 2.0 * solid)),
        correlation=np.broadcast_to(pattern.correlation.mean(axis=0), sds[0].shape),
        mishit_share=_shrunk(pattern.mishit_share, n / np.maximum(share * (1.0 - share), 1e-9)),
    )
    return expected_miss(new, spot_m, (left[0], left[1]))


def choices(k: int, rival: tuple[int, int]) -> Iterator[tuple[int, ...]]:
    """Give the batches of further balls that are looked at, for k candidates of which `rival` lead.

    Pairs of the two leaders, then one club alone; with more than two candidates, all of them too.
    """
    for count in range(1, LOOK_AHEAD + 1):
        yield tuple(count if i in rival else 0 for i in range(k))
    for i in range(k):
        for count in range(2, LOOK_AHEAD + 1):
            yield tuple(count if j == i else 0 for j in range(k))
    if k > 2:
        for count in (1, 2, 3):
            yield (count,) * k


def _information(sd: Floats, solid_share: Floats, balls: Sequence[int]) -> Floats:
    return np.asarray(balls, dtype=np.float64) * solid_share / sd**2


def _learnt(cov: Floats, information: Floats) -> tuple[Floats, Floats]:
    """(variance that the balls would remove, variance that would be left), both (k, k)."""
    root = np.sqrt(information)
    inner = np.eye(len(root)) + root[:, None] * cov * root[None, :]
    gain = cov * root[None, :]
    removed = gain @ np.linalg.solve(inner, gain.T)
    removed = 0.5 * (removed + removed.T)
    return removed, cov - removed


def _moved(centre: Floats, information: Floats) -> tuple[Floats, Floats]:
    """Draws of the centre after more balls, and the variance (k,) that is left around each."""
    mean = centre.mean(axis=0)
    cov = np.atleast_2d(np.cov(centre, rowvar=False, bias=True))
    removed, left = _learnt(cov, information)
    white = (centre - mean) @ _root(cov, inverse=True)
    return mean + white @ _root(removed), np.maximum(np.diag(left), 0.0)


def _root(matrix: Floats, inverse: bool = False) -> Floats:
    """Symmetric square root of a positive semidefinite matrix, or of its pseudo-inverse."""
    values, vectors = np.linalg.eigh(matrix)
    tiny = 1e-12 * max(float(values[-1]), 1e-300)
    keep = values > tiny
    roots = np.where(keep, np.sqrt(np.where(keep, values, 1.0)), 0.0)
    if inverse:
        roots = np.where(keep, 1.0 / np.where(keep, roots, 1.0), 0.0)
    return np.asarray((vectors * roots) @ vectors.T)


def _shrunk(draws: Floats, information: Floats) -> Floats:
    """Each column of draws moved towards its mean so that its variance is what the balls would remove."""
    mean, var = draws.mean(axis=0), draws.var(axis=0)
    share = var * information / (1.0 + var * information)
    return np.asarray(mean + np.sqrt(share) * (draws - mean))


def _thinned(pattern: Pattern) -> Pattern:
    """Give the first draws only: they are evenly spread by construction, and this part is done many times."""
    n = _DRAWS
    return replace(
        pattern,
        carry_m=pattern.carry_m[:n],
        offline_m=pattern.offline_m[:n],
        carry_sd_m=pattern.carry_sd_m[:n],
        offline_sd_m=pattern.offline_sd_m[:n],
        correlation=pattern.correlation[:n],
        mishit_share=pattern.mishit_share[:n],
    )
