"""How finely the unit that measured a table reads, judged by how well carry and height fit the launches."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

Grade = Literal["good", "mid", "budget"]
GRADES: tuple[Grade, ...] = ("good", "mid", "budget")


@dataclass(frozen=True, slots=True)
class Noise:
    """What one grade of unit gets wrong, 1 sd, and the scatter of residuals seen with it.

    Speed in m/s, launch in radians, spin, carry and apex as shares. `carry_seen` and `apex_seen` are robust
    sds of residuals (logarithms) against the club's other shots, with 1.5 % for model, ball and air added;
    `floor` is what the sd of carry residuals is never taken to be below. Working judgements about units in
    general, not figures of any.
    """

    speed_mps: float
    launch_rad: float
    spin: float
    carry: float
    carry_seen: float
    apex_seen: float
    floor: float


_MPH = 0.44704
NOISE: dict[Grade, Noise] = {
    "good": Noise(0.4 * _MPH, math.radians(0.35), 0.03, 0.010, 0.0175, 0.033, 0.015),
    "mid": Noise(0.8 * _MPH, math.radians(0.6), 0.06, 0.015, 0.0240, 0.052, 0.022),
    "budget": Noise(1.3 * _MPH, math.radians(1.0), 0.12, 0.025, 0.0360, 0.082, 0.035),
}
_MAD_CV = 1.17
"""Sd of a MAD scale over itself times sqrt(n): 1 / sqrt(2 * 0.37), its efficiency being 37 % on normals
(Rousseeuw and Croux 1993, Journal of the American Statistical Association 88, table 2)."""
_UNITS_DIFFER = 0.15
"""Units of one grade differ by about this share in scatter: a working judgement."""
MEASURING_AT_LEAST = 0.010
"""Residuals of a unit that measures carry scatter by at least this: a good unit's own noise is 1.1-1.3 %."""
_ENOUGH_FOR_COMPUTED = 12
_GRADE_SHOTS = 30.0
"""Weight of the likely grades' usual scatter, in shots, beside that seen: a MAD of 48 is off by a sixth."""


@dataclass(frozen=True, slots=True)
class Device:
    """What the scatter of one file says of its unit.

    `chance` is the probability of `grade` against the other two; `carry_sd` and `apex_sd` the scatter seen
    (logarithms; apex None without heights), `scale` and `apex_scale` what residuals are held against, `n`
    the shots behind. `computed` says that carries follow the launch figures more closely than measured ones
    would.
    """

    grade: Grade
    chance: float
    carry_sd: float
    apex_sd: float | None
    scale: float
    apex_scale: float
    n: int
    computed: bool


def judge_device(
    carry_sd: float, seen: float, carry_n: int, apex_sd: float | None, apex_n: int, weaker: bool = False
) -> Device:
    """Tell the grade from the scatter of carry and, where there is any, of height.

    `carry_sd` and `apex_sd` are drawn towards usual ones, `seen` is the bare scatter of carry. The scatter is
    log-normal around each grade's own, with the sampling error of a MAD; all grades are alike likely
    beforehand. `weaker` takes the widest floor, for tables whose spin was estimated.
    """
    weights = [
        _weight(carry_sd, carry_n, NOISE[grade].carry_seen)
        * (1.0 if apex_sd is None else _weight(apex_sd, apex_n, NOISE[grade].apex_seen))
        for grade in GRADES
    ]
    total = sum(weights)
    chances = [w / total for w in weights] if total > 0.0 else [1 / 3] * 3
    best = max(range(3), key=lambda k: chances[k])
    noise = NOISE[GRADES[best]]
    floor = NOISE["budget"].floor if weaker else noise.floor
    scale = max(_held(carry_sd, carry_n, [NOISE[g].carry_seen for g in GRADES], chances), floor)
    apex = _held(apex_sd or 0.0, apex_n if apex_sd else 0, [NOISE[g].apex_seen for g in GRADES], chances)
    height = apex * max(floor / noise.floor, 1.0)
    return Device(GRADES[best], chances[best], carry_sd, apex_sd, scale, height, carry_n,
                  _computed(seen, carry_n))  # fmt: skip


def _held(seen: float, n: int, expected: list[float], chances: list[float]) -> float:
    """The scatter seen, with what units of the likely grades show as _GRADE_SHOTS shots: a MAD is noisy."""
    usual = sum(c * e**2 for c, e in zip(chances, expected, strict=True))
    return math.sqrt((n * seen**2 + _GRADE_SHOTS * usual) / (n + _GRADE_SHOTS))


def _weight(seen: float, n: int, expected: float) -> float:
    if n <= 0:
        return 1.0
    var = _MAD_CV**2 / n + _UNITS_DIFFER**2
    gap = math.log(max(seen, 0.3 * expected) / expected)
    return math.exp(-0.5 * gap**2 / var)


def _computed(carry_sd: float, n: int) -> bool:
    """True where even the upper end of the scatter (95 %) lies below that of any unit that measures carry."""
    if n < _ENOUGH_FOR_COMPUTED:
        return False
    return carry_sd * (1.0 + 1.645 * _MAD_CV / math.sqrt(n)) < MEASURING_AT_LEAST
