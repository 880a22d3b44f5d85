"""First side of a verdict, strike: mishits, evenness of ball speed, the player's word."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np
from scipy.special import chdtri

from bagwright.estimate import Estimate, probability_words
from bagwright.trial import say
from bagwright.trial.case import Case
from bagwright.trial.compare import lead
from bagwright.trial.result import StrikeLine, StrikeSide
from bagwright.words import join, tell, term

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_LEAST_FOR_SPREAD = 3
_GROSS = 6.0
_SPEED_FLOOR = 0.015


def strike_side(case: Case) -> StrikeSide:
    """Judge who has fewer mishits, with how even the solid strikes are and what the player says."""
    found = lead(case.pattern.mishit_share)
    lines = tuple(_line(case, i) for i in range(len(case.names)))
    first, second = lines[found.first], lines[found.second]
    figures = tell(
        "{first} {mishit_share_value:.0f} % of balls (90 % range {share_span}), {second} "
        "{mishit_share_value_2:.0f} % ({share_span_2})",
        first=first.name,
        mishit_share_value=100 * first.mishit_share.value,
        share_span=say.share_span(first.mishit_share),
        second=second.name,
        mishit_share_value_2=100 * second.mishit_share.value,
        share_span_2=say.share_span(second.mishit_share),
    )
    if found.probability < 0.6:
        sentence = tell(
            "Mishits: {sure} who has fewer; {figures}.", sure=say.sure(found.probability), figures=figures
        )
    else:
        sentence = tell(
            "{first} has fewer mishits: {sure}; {figures}.",
            first=first.name,
            sure=say.sure(found.probability),
            figures=figures,
        )
    words = probability_words(found.probability)
    return StrikeSide(lines, first.name, found.probability, words, sentence + _even(lines) + _rated(lines))


def unevenness(values: Floats, weights: Floats) -> Estimate | None:
    """Return sd over mean of positive values, with the 90 % range of the sd of a normal sample (chi-square).

    Gross misreadings of the unit are left out. `weights` (0..1) are the chances that each strike is solid;
    None with fewer than three solid strikes' worth.
    """
    usable = np.isfinite(values) & (values > 0)
    v, w = values[usable], weights[usable]
    if len(v):
        v, w = _without_gross(v, w)
    total = float(w.sum())
    if len(v) < _LEAST_FOR_SPREAD or total < _LEAST_FOR_SPREAD - 0.5:
        return None
    n = total**2 / float((w**2).sum())
    mean = float(w @ v) / total
    sd = float(np.sqrt((w @ (v - mean) ** 2) / total * n / (n - 1.0)))
    low, high = (sd * np.sqrt((n - 1.0) / chdtri(n - 1.0, tail)) for tail in (0.05, 0.95))
    return Estimate(sd / mean, float(low) / mean, float(high) / mean)


def _without_gross(v: Floats, w: Floats) -> tuple[Floats, Floats]:
    """Leave out speeds that no swing explains: beyond six robust sd (1.4826 MAD, at least 1.5 %)."""
    middle = float(np.median(v))
    robust = max(1.4826 * float(np.median(np.abs(v - middle))), _SPEED_FLOOR * middle)
    near = np.abs(v - middle) <= _GROSS * robust
    return v[near], w[near]


def _line(case: Case, i: int) -> StrikeLine:
    fit = case.fit(i)
    uneven, of = _evenness(case, i)
    name = case.names[i]
    return StrikeLine(
        name, fit.n_shots, fit.mishit_share, fit.speed_ratio, uneven, of, case.ratings.get(name)
    )


def _evenness(case: Case, i: int) -> tuple[Estimate | None, Literal["", "ball speed", "speed ratio"]]:
    """How even the solid strikes are: by speed ratio where measured, as it leaves out how hard one swung."""
    index = np.asarray(case.fit(i).shot_indices, dtype=np.int64)
    weights = np.nan_to_num(case.fits.solid_probability[index], nan=0.0)
    ratio = unevenness(case.table.measure("speed_ratio")[index], weights)
    if ratio is not None:
        return ratio, "speed ratio"
    speed = unevenness(case.table.measure("ball_speed_mps")[index], weights)
    return speed, "ball speed" if speed is not None else ""


def _even(lines: tuple[StrikeLine, ...]) -> str:
    """Say how much the speed of solid strikes varies, where it was measured for two candidates or more."""
    told = [
        tell(
            "{line} {e_value:.1f} % ({e_low:.1f} to {e_high:.1f} %)",
            line=line.name,
            e_value=100 * e.value,
            e_low=100 * e.low,
            e_high=100 * e.high,
        )
        for line in lines
        if (e := line.speed_unevenness) is not None
    ]
    what = {line.uneven_of for line in lines if line.uneven_of}
    if len(told) < 2 or len(what) != 1:
        return ""
    return tell(
        " {what} of solid strikes varies by {listed}.",
        what=term(what.pop()).capitalize(),
        listed=say.listed(told),
    )


def _rated(lines: tuple[StrikeLine, ...]) -> str:
    rated = [(line.rating.mean, line.name) for line in lines if line.rating is not None]
    if not rated:
        return ""
    rated.sort(key=lambda item: -item[0])
    return (
        tell(" The player's own ratings: ")
        + join(", ", (tell("{name} {mean:.1f} of 5", name=name, mean=mean) for mean, name in rated))
        + "."
    )
