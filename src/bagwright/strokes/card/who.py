"""A player as the card's kernels read one, and the single balls that measure a shot."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from bagwright.strokes import hole as rules
from bagwright.strokes.blur import WIDTHS
from bagwright.strokes.probes import Player

if TYPE_CHECKING:
    from bagwright.strokes._kernel_read import Patterns

Array = NDArray[Any]
BALLS = {"grid": (64, 32), "cells": (256, 128), "tees": (4096, 1024)}
"""Single balls of each solid part and of the mishits, by where they are asked for."""
SEED = 20261201


@lru_cache(maxsize=16)
def balls(solid: int, missed: int) -> Array:
    """Points (solid + missed, 4) of three independent normals, evenly spread; the last column is 0.

    A Sobol sequence, shifted, through the inverse normal; its means, spreads and correlations are made those
    of the normal.
    """
    from scipy.special import ndtri
    from scipy.stats import qmc

    out, rng = np.zeros((solid + missed, 4), np.float32), np.random.default_rng(SEED)
    for first, count in ((0, solid), (solid, missed)):
        plain = qmc.Sobol(3, scramble=False).random(count) + 0.5 / count
        z = ndtri(np.clip((plain + rng.random(3)) % 1.0, 1e-6, 1 - 1e-6))
        z = z - z.mean(0)
        z = z @ np.linalg.inv(np.linalg.cholesky(np.cov(z.T, bias=True))).T
        out[first : first + count, :3] = z[_side_by_side(z, np.arange(count))]
    return out


def _side_by_side(z: Array, which: NDArray[np.int64]) -> NDArray[np.int64]:
    """Order points so that each 32, which a warp takes at once, lie near each other."""
    if len(which) <= 32:
        return which
    axis = int(np.ptp(z[which, 1]) > np.ptp(z[which, 0]))
    by = which[np.argsort(z[which, axis], kind="stable")]
    half = len(by) // 64 * 32 or 32
    return np.concatenate([_side_by_side(z, by[:half]), _side_by_side(z, by[half:])])


def player_arrays(player: Player) -> dict[str, Array]:
    """A player as the kernels read one."""
    usual = player.run[..., 0][player.allowed].mean(0)
    return {
        **{f"quick_{k}": v for k, v in _points(player.quick).items()},
        **{f"coarse_{k}": v for k, v in _points(player.coarse).items()},
        "extra": player.extra, "run": player.run, "parts": player.parts, "reach": player.reach,
        "allowed": player.allowed.astype(np.int32), "middle": player.quick.middle.astype(np.int32),
        "need": _need(player),
        "usual": np.clip(usual / max(float(usual[0]), 1e-9), 0.0, 1.0).astype(np.float32),
        "limits": np.stack([_of_allowed(player, 1e9).min(1), _of_allowed(player, 0.0).max(1)], -1),
        "aims": rules.AIMS,
    }  # fmt: skip


def _of_allowed(player: Player, else_: float) -> NDArray[np.float32]:
    """Reach of what a lie allows."""
    return np.where(player.allowed, player.reach, else_).astype(np.float32)


def _points(p: Patterns) -> dict[str, Array]:
    most = int(p.count.max())
    point = np.zeros((*p.count.shape, most, 4), np.float32)
    point[..., :3] = p.point[:, :, :most, :3]
    point[..., 3] = np.ascontiguousarray(p.level[:, :, :most].astype(np.int32)).view(np.float32)
    return {"count": p.count.astype(np.int32), "point": point}


def _need(player: Player) -> Array:
    """(2, levels) who reads U and the flag, and the shares: 0 none, 1 short shots alone, 2 others too."""
    need = np.zeros((2, WIDTHS), np.int32)
    importance = np.where(player.reach >= rules.SHORT, 2, 1)
    for p in (player.quick, player.coarse):
        used = (np.arange(p.level.shape[2]) < p.count[..., None]) & player.allowed[..., None]
        np.maximum.at(need[0], p.level[used], np.broadcast_to(importance[..., None], used.shape)[used])
    runs = player.allowed & (player.extra[..., 9] > 0)
    np.maximum.at(need[1], player.quick.middle[runs], importance[runs])
    return need
