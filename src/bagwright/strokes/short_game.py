"""Pitches, chips and bunker shots: a ladder of lengths with each wedge, and how far off they stop.

The circular sd of a tour player's short shot of L metres from a fairway is hypot(0.062 L, 1.5 m (1 - exp(-L/6
m))): it lies between the mean leaves of Cochran & Stobbs (1968) and what the tour baseline of Broadie (2012)
costs from 20 to 60 yd, and gives the medians of James & Rees (2008) from 50 to 100 yd (tests/published). Its
part along the line is `LONG` times, that across `WIDE` times as large. Others are wider by `skill_factor`,
and mishit more; towards the full length of the wedge the spread becomes the wedge's own.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from bagwright.strokes.lie_table import SHORT_LIES
from bagwright.strokes.putting import TOUR_HANDICAP

Floats = NDArray[np.float64]

SHORTEST_M, LONGEST_M = 3.0, 90.0
RUNG_SD = 1.0
"""Step of the ladder over the player's own sd along the line: a length between two rungs is at most half a
sd off, which adds 1 / 12 to the variance along the line on average."""
HIGHEST = 0.97
"""Longest rung of a wedge, as a share of its full carry: judgement."""

SHARE, FLOOR_M, FLOOR_BY_M = 0.062, 1.5, 6.0
LONG, WIDE = 1.16, 0.80
"""A pattern 1.45 times as long as wide: the average-90 player's at 150 yd is 1.5 (Broadie); judgement here.
"""
PER_STROKE = 0.06
"""A stroke of handicap widens a short shot by this share of the tour's: so that a player who averages 90 is
2.3 times as wide; at 150 yd it is 2.5 times (Broadie, read); the rest judgement."""
MISHIT, MISHIT_PER_STROKE = 0.02, 0.005
"""Share of mishits of a short shot, and what a stroke of handicap adds: judgement."""
LOSS, LOSS_SD, SIDE_FACTOR = 0.40, 0.30, 1.5
"""A mishit short shot stops this share of its length short, give or take (heavy ones stay, thin ones run):
judgement."""


def skill_factor(handicap: float) -> float:
    """How much wider than a tour player's."""
    return 1.0 + PER_STROKE * max(handicap - TOUR_HANDICAP, 0.0)


def mishit_share(handicap: float) -> float:
    """Share of short shots from a fairway that are mishit."""
    return MISHIT + MISHIT_PER_STROKE * max(handicap - TOUR_HANDICAP, 0.0)


def _grown(length_m: Floats) -> Floats:
    found: Floats = -np.expm1(-length_m / FLOOR_BY_M)
    return found


def _circular(length_m: Floats) -> Floats:
    found: Floats = np.hypot(SHARE * length_m, FLOOR_M * _grown(length_m))
    return found


@lru_cache(maxsize=64)
def ladder_m(handicap: float) -> tuple[float, ...]:
    """Lengths of the pitches that a player of this handicap has, metres, the same for every wedge."""
    at = np.linspace(SHORTEST_M, LONGEST_M, 2000)
    step = RUNG_SD * LONG * skill_factor(handicap) * _circular(at)
    rungs = np.concatenate([[0.0], np.cumsum(np.diff(at) * 2.0 / (step[1:] + step[:-1]))])
    even = np.linspace(0.0, rungs[-1], max(round(float(rungs[-1])), 2) + 1)
    return tuple(float(x) for x in np.interp(even, rungs, at))


def short_sd_m(length_m: Floats, handicap: float) -> Floats:
    """Circular sd (6, n) of short shots of n lengths by the lie they are played from, metres."""
    share = np.array([row.share for row in SHORT_LIES])[:, None]
    floor = np.array([row.floor_m for row in SHORT_LIES])[:, None]
    factor = skill_factor(handicap)
    found: Floats = factor * _circular(length_m)[None] + share * length_m[None] + floor * _grown(length_m)
    return found


def short_mishit_odds() -> Floats:
    """Factor (6,) on the odds of a mishit by lie."""
    return np.array([row.mishits for row in SHORT_LIES])


def towards_own(length_m: Floats, full_m: Floats, own_sd_m: Floats, model_sd_m: Floats) -> Floats:
    """Factor (n,) on a short shot's sd: from 1 to the wedge's own over the model's at full length."""
    t = np.clip(length_m / full_m, 0.0, 1.0)
    smooth = t * t * (3.0 - 2.0 * t)
    found: Floats = (own_sd_m / model_sd_m) ** smooth
    return found
