"""What the player's own shots from a lie say of it, drawn towards the table by how few they are.

A shot hit "from rough" is a cell of its own in the fit. Its solid mean over the same club's from a good lie,
against the table's factor, is a log ratio; ratios of one kind of club from one lie share an offset:

    ln(seen / table) ~ N(offset + own, error^2),  offset ~ N(0, KIND_SD^2),  own ~ N(0, CLUB_SD^2)

and likewise for the spread. With one shot little moves; with ten the player's own figure rules.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from bagwright.course.lies import Lie
from bagwright.dispersion.dispersions import Dispersions
from bagwright.strokes.kernel import Kernel
from bagwright.strokes.lie_table import EFFECTS

FROM: dict[str, tuple[Lie, ...]] = {
    "from rough": (Lie.ROUGH, Lie.DEEP),
    "from sand": (Lie.SAND,),
    "from recovery": (Lie.RECOVERY,),
}
"""Cells of a fit by lie. A shot table says "rough" alone: it moves deep rough by the same offset."""
KIND_SD, CLUB_SD = 0.08, 0.04
"""How far a player may lie from the table's distance factor (sd of its logarithm): judgement."""
SPREAD_KIND_SD, SPREAD_CLUB_SD = 0.25, 0.15
"""The same for the spread: judgement, as the spread between players and clubs in the dispersion room."""


@dataclass(frozen=True, slots=True)
class OwnLie:
    """Factors on the table's distance and spread of one club from one lie, and the shots behind them."""

    distance: float
    spread: float
    n: int


@dataclass(frozen=True, slots=True)
class _Seen:
    club: str
    kind: str
    cell: str
    n: float
    log_distance: float
    distance_var: float
    log_spread: float
    spread_var: float


def own_lies(fits: Dispersions, kernels: Sequence[Kernel]) -> dict[tuple[str, Lie], OwnLie]:
    """Factors by (club, lie) where the player hit from that lie with a club of that kind."""
    stock = {
        kernel.shot.club: kernel for kernel in kernels if kernel.shot.swing == "stock" and not kernel.partial
    }
    seen = [found for key in fits if (found := _seen(fits, key, stock)) is not None]
    factors: dict[tuple[str, Lie], OwnLie] = {}
    for kind in {one.kind for one in seen}:
        for cell, lies in FROM.items():
            group = [one for one in seen if one.kind == kind and one.cell == cell]
            if group:
                clubs = [name for name, kernel in stock.items() if kernel.kind == kind]
                for club, own in _pooled(group, clubs).items():
                    factors.update({(club, lie): own for lie in lies})
    return factors


def _seen(fits: Dispersions, key: tuple[str, str], stock: Mapping[str, Kernel]) -> _Seen | None:
    club, swing = key
    kernel = stock.get(club)
    if swing not in FROM or kernel is None:
        return None
    shots = fits.session.cells[key].shots
    solid = fits.solid_probability[shots.index]
    kept = np.isfinite(shots.carry_m) & ~shots.at_least & (shots.carry_m > 0.0)
    n = float(solid[kept].sum())
    if n < 0.5:
        return None
    row = EFFECTS[FROM[swing][0], kernel.kind]
    mean = float(solid[kept] @ shots.carry_m[kept]) / n
    sd = math.sqrt(kernel.x_var_m2) * row.along + row.further * kernel.x_m
    var = float(solid[kept] @ (shots.carry_m[kept] - mean) ** 2) / max(n - 1.0, 1e-9) if n > 1.5 else sd**2
    return _Seen(
        club, kernel.kind, swing, n,
        math.log(mean / (kernel.x_m * row.distance)), (sd / mean) ** 2 / n,
        0.5 * math.log(max(var, (0.2 * sd) ** 2) / sd**2), 0.5 / max(n - 1.0, 1e-3) if n > 1.5 else 1e6,
    )  # fmt: skip


def _pooled(group: Sequence[_Seen], clubs: Sequence[str]) -> dict[str, OwnLie]:
    """Offsets of a kind from a lie, and of each of its clubs: normal on two levels, in closed form."""
    distance = _two_levels(
        {one.club: (one.log_distance, one.distance_var) for one in group}, clubs, KIND_SD, CLUB_SD
    )
    spread = _two_levels(
        {one.club: (one.log_spread, one.spread_var) for one in group}, clubs, SPREAD_KIND_SD, SPREAD_CLUB_SD
    )
    count = {one.club: round(one.n) for one in group}
    return {
        club: OwnLie(math.exp(distance[club]), math.exp(spread[club]), count.get(club, 0)) for club in clubs
    }


def _two_levels(
    seen: Mapping[str, tuple[float, float]], clubs: Sequence[str], kind_sd: float, club_sd: float
) -> dict[str, float]:
    precision, total = 1.0 / kind_sd**2, 0.0
    for value, var in seen.values():
        precision += 1.0 / (var + club_sd**2)
        total += value / (var + club_sd**2)
    shared = total / precision
    found = dict.fromkeys(clubs, shared)
    for club, (value, var) in seen.items():
        found[club] = shared + (value - shared) * club_sd**2 / (club_sd**2 + var)
    return found
