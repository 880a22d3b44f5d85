"""Kernels from every lie: centre, spread and mishits as arrays over (lie of `PLAYED_FROM`, shot)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagwright.course.lies import PLAYED_FROM, Lie
from bagwright.strokes import short_game, soles
from bagwright.strokes.kernel import Kernel
from bagwright.strokes.lie_table import EFFECTS
from bagwright.strokes.own_lies import OwnLie
from bagwright.strokes.rules import forbidden

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class ByLie:
    """Arrays (6, n): centre and sds of solid strikes in metres, chance of a mishit, and what is allowed.

    For a pitch `x_m` and `x_sd_m` are still of the whole shot, its run on a green included. `thinner` is the
    factor on the correlation where a lie adds spread of its own, `spin` that on the spin of a full shot.
    """

    x_m: Floats
    y_m: Floats
    x_sd_m: Floats
    y_sd_m: Floats
    mishit: Floats
    thinner: Floats
    spin: Floats
    allowed: NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Ground:
    """The player's turf and sand in words, as the bag file has them; None where not said."""

    turf: str | None = None
    sand: str | None = None


def by_lie(
    kernels: Sequence[Kernel], own: Mapping[tuple[str, Lie], OwnLie], handicap: float, ground: Ground
) -> ByLie:
    """Work out every shot from every lie."""
    n = len(kernels)
    partial = np.array([kernel.partial for kernel in kernels], dtype=bool)
    x = np.array([kernel.x_m for kernel in kernels])
    y = np.array([kernel.y_m for kernel in kernels])
    distance, along, across, further, odds, spin = _factors(kernels, own)
    odds = np.where(partial, short_game.short_mishit_odds()[:, None], odds)
    ill, fitness = _soles(kernels, ground, partial)
    sd = [np.sqrt([getattr(k, name) for k in kernels]) for name in ("x_var_m2", "y_var_m2")]
    wider = further * x[None]
    sd_x, sd_y = sd[0][None] * along + wider, sd[1][None] * across + wider
    if partial.any():
        at = np.flatnonzero(partial)
        circular = _short(tuple(kernels[int(i)] for i in at), handicap)
        sd_x[:, at], sd_y[:, at] = short_game.LONG * circular, short_game.WIDE * circular
        distance[:, at] = spin[:, at] = 1.0
    sd_x, sd_y = sd_x * ill, sd_y * ill
    thin = np.where(partial, 1.0, sd[0] * sd[1] * along * across / np.maximum(sd_x * sd_y, 1e-12))
    share = np.array([kernel.mishit for kernel in kernels])
    risen = odds * fitness * share / (1.0 - share + odds * fitness * share)
    return ByLie(x * distance, y * distance, sd_x, sd_y, risen, thin, spin, _allowed(kernels, n))


def _factors(kernels: Sequence[Kernel], own: Mapping[tuple[str, Lie], OwnLie]) -> Floats:
    """Factors (6, 6, n): distance, sd along and across, further share of the carry, mishit odds, spin."""
    out = np.empty((6, len(PLAYED_FROM), len(kernels)))
    for j, kernel in enumerate(kernels):
        for i, lie in enumerate(PLAYED_FROM):
            row = EFFECTS[lie, kernel.kind]
            mine = own.get((kernel.shot.club, lie))
            far, wide = (mine.distance, mine.spread) if mine is not None else (1.0, 1.0)
            out[:, i, j] = (
                row.distance * far, row.along * wide, row.across * wide, row.further * wide, row.mishits,
                row.spin,
            )  # fmt: skip
    return out


def _short(kernels: Sequence[Kernel], handicap: float) -> Floats:
    """Circular sd (6, n) of pitches, blended into each wedge's own spread at full length."""
    length = np.array([kernel.x_m for kernel in kernels])
    full = np.array([kernel.full_m for kernel in kernels])
    own = np.sqrt([0.5 * (kernel.x_ball_m**2 + kernel.y_ball_m**2) for kernel in kernels])
    model = short_game.short_sd_m(full, handicap)[int(Lie.FAIRWAY)]
    found: Floats = short_game.short_sd_m(length, handicap) * short_game.towards_own(length, full, own, model)
    return found


def _soles(kernels: Sequence[Kernel], ground: Ground, partial: NDArray[np.bool_]) -> tuple[Floats, Floats]:
    """Factors (6, n) on spread and mishit odds of wedges whose sole does not suit sand or turf."""
    ill = np.zeros((len(PLAYED_FROM), len(kernels)))
    for j, kernel in enumerate(kernels):
        if kernel.kind != "wedge":
            continue
        ill[int(Lie.SAND), j] = soles.misfit(kernel.bounce_deg, kernel.sole, ground.sand)
        if partial[j]:
            on_turf = soles.misfit(kernel.bounce_deg, kernel.sole, ground.turf)
            ill[[int(Lie.TEE), int(Lie.FAIRWAY), int(Lie.ROUGH), int(Lie.DEEP)], j] = on_turf
    return 1.0 + soles.SPREAD * ill, 1.0 + soles.MISHITS * ill


def _allowed(kernels: Sequence[Kernel], n: int) -> NDArray[np.bool_]:
    """What the lies and the player allow (6, n); a pitch is a short shot, which no lie forbids."""
    allowed = np.ones((len(PLAYED_FROM), n), dtype=bool)
    for j, kernel in enumerate(kernels):
        for i, lie in enumerate(PLAYED_FROM):
            by_rule = not kernel.partial and forbidden(lie, kernel.kind, kernel.loft_deg)
            allowed[i, j] = not by_rule and lie not in kernel.not_from
    return allowed
