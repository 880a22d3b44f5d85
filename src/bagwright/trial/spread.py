"""Third side of a verdict, dispersion: how wide, which side, one- or two-sided, beyond a width."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

import numpy as np
from scipy.special import ndtr

from bagwright.estimate import probability_words
from bagwright.trial import say
from bagwright.trial.case import Case
from bagwright.trial.compare import lead, range_of
from bagwright.trial.miss import Pattern
from bagwright.trial.result import DispersionLine, DispersionSide
from bagwright.words import join, tell

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

CHI2_90 = 4.605170185988092
"""90 % point of chi-square with two degrees of freedom, 2 ln 10: the 90 % ellipse of a normal pattern."""
ONE_SIDED = 0.80
"""A club is one-sided when four balls in five finish on one side (judgement)."""
_ENOUGH_TO_COMPARE = 0.75


def dispersion_side(case: Case) -> DispersionSide:
    """Judge who lands tighter (90 % area of solid strikes), and which side each one favours today."""
    area = area90(case.pattern)
    found = lead(area)
    share = right_share(case.pattern)
    beyond = None if case.width_m is None else beyond_share(case.pattern, case.width_m / 2.0)
    lines = tuple(_line(case, i, area, share, beyond) for i in range(len(case.names)))
    first = lines[found.first].name
    if found.probability < _ENOUGH_TO_COMPARE:
        sentence = tell(
            "Spread: not enough balls to compare ({sure} for {first}); the whole-bag pattern is used.",
            sure=say.sure(found.probability),
            first=first,
        )
    else:
        sentence = tell("{first} lands tighter: {sure}.", first=first, sure=say.sure(found.probability))
    sides = join(
        ", ",
        (
            tell("{line} {side_words}", line=line.name, side_words=side_words(line.right_probability))
            for line in lines
        ),
    )
    words = probability_words(found.probability)
    return DispersionSide(
        lines,
        case.width_m,
        first,
        found.probability,
        words,
        tell("{sentence} Side bias today: {sides}.", sentence=sentence, sides=sides),
    )


def area90(pattern: Pattern) -> Floats:
    """Return the area that holds 90 % of solid strikes, m^2: pi 4.605 s_c s_l sqrt(1 - r^2)."""
    round_off = np.sqrt(np.maximum(1.0 - pattern.correlation**2, 0.0))
    return np.asarray(np.pi * CHI2_90 * pattern.carry_sd_m * pattern.offline_sd_m * round_off)


def right_share(pattern: Pattern) -> Floats:
    """Return the share of all balls that finish right of the target line, mishits included."""
    solid = ndtr(pattern.offline_m / pattern.offline_sd_m)
    wide = ndtr(pattern.offline_m / (pattern.mishit_side_factor * pattern.offline_sd_m))
    p = pattern.mishit_share
    return np.asarray((1.0 - p) * solid + p * wide)


def beyond_share(pattern: Pattern, half_width_m: float) -> Floats:
    """Return the share of all balls that land farther than this from the target line, on either side."""
    p = pattern.mishit_share
    solid = _beyond(pattern.offline_m, pattern.offline_sd_m, half_width_m)
    wide = _beyond(pattern.offline_m, pattern.mishit_side_factor * pattern.offline_sd_m, half_width_m)
    return np.asarray((1.0 - p) * solid + p * wide)


def side_words(right_probability: float) -> str:
    """Return such as "right, likely (84 %)" for the probability that a centre is right of the line."""
    side = tell("right") if right_probability >= 0.5 else tell("left")
    return tell("{side}, {sure}", side=side, sure=say.sure(max(right_probability, 1.0 - right_probability)))


def _beyond(centre: Floats, sd: Floats, half: float) -> Floats:
    return np.asarray(ndtr((centre - half) / sd) + ndtr((-half - centre) / sd))


def _line(case: Case, i: int, area: Floats, share: Floats, beyond: Floats | None) -> DispersionLine:
    fit = case.fit(i)
    p = case.pattern
    right = range_of(share[:, i])
    one: Literal["", "right", "left"] = ""
    if right.value >= ONE_SIDED:
        one = "right"
    elif right.value <= 1.0 - ONE_SIDED:
        one = "left"
    return DispersionLine(
        case.names[i],
        range_of(p.carry_sd_m[:, i]),
        range_of(p.offline_sd_m[:, i]),
        range_of(area[:, i]),
        fit.offline_m,
        fit.right_probability,
        right,
        one,
        None if beyond is None else range_of(beyond[:, i]),
        tuple(fit.pooled),
    )
