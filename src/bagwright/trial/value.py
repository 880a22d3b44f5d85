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

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np
from scipy.special import ndtr

from bagwright.errors import InputError
from bagwright.trial.miss import Pattern, expected_miss
from bagwright.units import M_PER_YD
from bagwright.words import tell

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

Care = Literal["quick", "normal", "careful"]
PRICE_M: dict[str, float] = {"quick": 0.1 * M_PER_YD, "normal": 0.05 * M_PER_YD, "careful": 0.025 * M_PER_YD}
"""Metres of expected regret that one ball is worth (judgement: 0.1, 0.05 and 0.025 yd)."""
LOOK_AHEAD = 8
"""Most further balls looked at for one club."""
MIN_SOLID = 3
"""Fewest solid strikes of each candidate to judge by, and before stopping is considered (judgement)."""
_DRAWS = 512


def solid_missing(n_solid: float) -> int:
    """Solid strikes of one candidate that are missing to judge by it, 0..MIN_SOLID.

    `n_solid` is the sum of its strikes' chances of being solid, at most their number and never quite it: it
    is rounded, so that three strikes that all look solid are three.
    """
    return max(MIN_SOLID - math.floor(n_solid + 0.5), 0)


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
        raise InputError(
            tell('"{word}" is not a degree of care.', word=careful[:20]),
            tell("Use one of {words}.", words=", ".join(PRICE_M)),
        )
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

    `pattern` holds joint posterior draws (n, k); `extra_m` (k,) what weights add to each candidate. For many
    batches of balls `MissBelief.of` once and its `worth` for each do the same work once.
    """
    return MissBelief.of(pattern, spot_m).worth(balls, extra_m)


def forecast_miss(pattern: Pattern, spot_m: float, balls: Sequence[int]) -> Floats:
    """Forecast the expected miss after `balls` more of each candidate: (n, k), equally likely."""
    return _Forecast.of(pattern, spot_m).after(balls)


@dataclass(frozen=True, slots=True)
class MissBelief:
    """What is known of the candidates for the miss measure, with all that does not depend on further balls.

    `now_m` (k,) are today's expected misses.
    """

    now_m: Floats
    _forecast: _Forecast

    @classmethod
    def of(cls, pattern: Pattern, spot_m: float) -> MissBelief:
        """From joint posterior draws (n, k) and the slot's spot."""
        thin = _thinned(pattern)
        return cls(expected_miss(thin, spot_m).mean(axis=0), _Forecast.of(thin, spot_m))

    def worth(self, balls: Sequence[int], extra_m: Floats | None = None) -> Worth:
        """Give what `balls` more of each candidate would do; see `miss_worth`."""
        now = self.now_m
        add = np.zeros(len(now)) if extra_m is None else extra_m
        later = self._forecast.after(balls)
        later = later - later.mean(axis=0) + now + add  # today's expectation is the mean of tomorrow's
        best = int(np.argmin(now + add))
        least = later.min(axis=1)
        return Worth(
            tuple(balls),
            float((later[:, best] - least).mean()),
            float((np.argmin(later, axis=1) != best).mean()),
        )


@dataclass(frozen=True, slots=True)
class _Forecast:
    """Draws of patterns, and of each column what further balls are set against."""

    pattern: Pattern
    spot_m: float
    share: Floats
    centres: tuple[_Centre, _Centre]
    log_sds: tuple[_Column, _Column]
    mishit: _Column
    correlation: Floats

    @classmethod
    def of(cls, pattern: Pattern, spot_m: float) -> _Forecast:
        sds = (pattern.carry_sd_m, pattern.offline_sd_m)
        return cls(
            pattern,
            spot_m,
            pattern.mishit_share.mean(axis=0),
            (_Centre.of(pattern.carry_m, sds[0]), _Centre.of(pattern.offline_m, sds[1])),
            (_Column.of(np.log(sds[0])), _Column.of(np.log(sds[1]))),
            _Column.of(pattern.mishit_share),
            np.broadcast_to(pattern.correlation.mean(axis=0), sds[0].shape),
        )

    def after(self, balls: Sequence[int]) -> Floats:
        """Expected miss (n, k) after so many more balls of each."""
        share = self.share
        (carry, carry_left), (side, side_left) = (one.after(1.0 - share, balls) for one in self.centres)
        n = np.asarray(balls, dtype=np.float64)
        solid = n * (1.0 - share)
        new = replace(
            self.pattern,
            carry_m=carry,
            offline_m=side,
            carry_sd_m=np.exp(self.log_sds[0].shrunk(2.0 * solid)),
            offline_sd_m=np.exp(self.log_sds[1].shrunk(2.0 * solid)),
            correlation=self.correlation,
            mishit_share=self.mishit.shrunk(n / np.maximum(share * (1.0 - share), 1e-9)),
        )
        return expected_miss(new, self.spot_m, (carry_left, side_left))


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


@dataclass(frozen=True, slots=True)
class _Centre:
    """Draws of the centres along one axis: mean, covariance, whitened draws, rms spread of one ball."""

    mean: Floats
    cov: Floats
    white: Floats
    sd: Floats

    @classmethod
    def of(cls, centre: Floats, sd: Floats) -> _Centre:
        mean = centre.mean(axis=0)
        cov = np.atleast_2d(np.cov(centre, rowvar=False, bias=True))
        white = (centre - mean) @ _root(cov, inverse=True)
        return cls(mean, cov, white, np.sqrt((sd**2).mean(axis=0)))

    def after(self, solid_share: Floats, balls: Sequence[int]) -> tuple[Floats, Floats]:
        """Draws of the centre after more balls, and the variance (k,) that is left around each."""
        removed, left = _learnt(self.cov, _information(self.sd, solid_share, balls))
        return self.mean + self.white @ _root(removed), np.maximum(np.diag(left), 0.0)


@dataclass(frozen=True, slots=True)
class _Column:
    """Draws (n, k) with their mean and variance."""

    draws: Floats
    mean: Floats
    var: Floats

    @classmethod
    def of(cls, draws: Floats) -> _Column:
        return cls(draws, draws.mean(axis=0), draws.var(axis=0))

    def shrunk(self, information: Floats) -> Floats:
        """Each column moved towards its mean so that its variance is what the balls would remove."""
        share = self.var * information / (1.0 + self.var * information)
        return np.asarray(self.mean + np.sqrt(share) * (self.draws - self.mean))


def _root(matrix: Floats, inverse: bool = False) -> Floats:
    """Symmetric square root of a positive semidefinite matrix, or of its pseudo-inverse."""
    values, vectors = np.linalg.eigh(matrix)
    tiny = 1e-12 * max(float(values[-1]), 1e-300)
    keep = values > tiny
    roots = np.where(keep, np.sqrt(np.where(keep, values, 1.0)), 0.0)
    if inverse:
        roots = np.where(keep, 1.0 / np.where(keep, roots, 1.0), 0.0)
    return np.asarray((vectors * roots) @ vectors.T)


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
