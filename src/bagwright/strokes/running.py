"""What the run does to a shot's value: fields of balls that come down and run, by kind of run and direction.

A ball's run depends on the lie it comes down in, and ends in water on its way. For a few kinds of run
(profiles) and directions, each cell's value is taken after the run from there; these fields are blurred like
all others and read point by point, with the ground's height under every point. What that adds to the same
reading of the plain field, moved as a whole, is kept for each candidate: the profile and the direction are
near a shot's own, and only the difference is taken from them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from bagwright.strokes.blur import WIDTHS, chain
from bagwright.strokes.patterns import PARTS
from bagwright.strokes.probes import FINE, Player, hermite

if TYPE_CHECKING:
    from bagwright.strokes._kernel_exact import Turf
    from bagwright.strokes.fields import Pyramids

Singles = NDArray[np.float32]
Ints = NDArray[np.int64]
LADDER = np.array([0.0, 0.8, 1.6, 2.6, 3.8, 5.2, 7.0, 9.0, 12.0, 16.0, 22.0, 30.0, 42.0])
"""Kinds of run by their length, cells; a shot's run lies between two of them."""
DIRECTIONS = np.array([1, 8, 8, 10, 12, 16, 20, 24, 28, 32, 28, 32, 36])
"""How many directions each kind is worked out in."""
ROUGH = np.array([0.4, 0.5, 0.6])
"""Ends of the families of kinds, by the run in rough over that on a fairway: it hangs on the flight."""
END = 17.0
"""Up to this run, cells, a ball's end matters more than the lie that it comes down in."""
NODES = 3
"""Points of the spread of a run."""
FAR = 3.8
"""Spreads of a part within which its landings lie, for the part of the hole that is worked out."""
NEVER = 1e-5
"""Chance of stroke and distance below which it is not looked at closely."""


@dataclass(frozen=True, slots=True)
class Profiles:
    """Kinds of run, and between which two each shot lies.

    `low` (6, n) is the shorter of a shot's two kinds, `share` (6, n) the part of the longer (`low` + 1);
    `run` (kinds, 4, 2) mean and sd by landing; `like` (6, n, 4, 2) what a shot's two kinds come to;
    `directions` (kinds,) how many each kind is worked out in.
    """

    low: Ints
    share: Singles
    run: Singles
    like: Singles
    directions: Ints
    near: NDArray[np.bool_]
    """(kinds,) whether a ball's end matters more than the lie it comes down in: short runs."""


def profiles_of(player: Player) -> Profiles:
    """Place shots on the ladder of their family by the length of their run."""
    longest = np.clip(np.abs(player.run[..., 0]).max(-1), 0.0, LADDER[-1] * 0.999)
    step = np.searchsorted(LADDER, longest, side="right") - 1
    share = ((longest - LADDER[step]) / np.diff(LADDER)[step]).astype(np.float32)
    ratio = player.run[:, :, 1, 0] / np.maximum(np.abs(player.run[:, :, 0, 0]), 1e-3)
    families = len(ROUGH) + 1
    low = (step + len(LADDER) * np.searchsorted(ROUGH, ratio)).astype(np.int64)
    kinds = families * len(LADDER)
    run = np.zeros((kinds, 4, 2), np.float32)
    shape = player.run / np.maximum(longest, 1e-3)[..., None, None]
    for k in range(kinds):
        weight = np.where(low == k, 1 - share, 0) + np.where(low + 1 == k, share, 0)
        weight = weight * player.allowed + 1e-12
        mean = (weight[..., None, None] * shape).sum((0, 1)) / weight.sum()
        run[k] = mean * LADDER[k % len(LADDER)]
    # A mixture of two lengths is wider than either by share (1 - share) gap^2, on average 1/6.
    gap = np.gradient(LADDER)[np.arange(kinds) % len(LADDER)] / np.maximum(np.tile(LADDER, families), 1e-9)
    run[..., 1] = np.sqrt(np.maximum(run[..., 1] ** 2 - (gap[:, None] * run[..., 0]) ** 2 / 6, 0))
    part = share[..., None, None]
    near = np.tile(LADDER, families) < END
    return Profiles(
        low, share, run, (1 - part) * run[low] + part * run[low + 1], np.tile(DIRECTIONS, families), near
    )


class Running:
    """The fields with runs of one hole, worked out when they are asked for."""

    def __init__(self, pyramids: Pyramids, turf: Turf, player: Player, profiles: Profiles) -> None:
        from bagwright.strokes import _kernel_fine

        self.kernel, self.pyramids, self.turf = _kernel_fine, pyramids, turf
        self.player, self.profiles = player, profiles
        pad = pyramids.plan.pad
        flags = np.ones((pyramids.rows + 2 * pad, pyramids.columns + 2 * pad), np.float32)
        flags[pad:-pad, pad:-pad] = pyramids.flagged
        self.flags = flags.ravel()
        self.levels, self.chain = _levels_of(player), chain(FINE.every)
        self.extent = _extent(player)
        z, w = hermite(NODES)
        self.nodes, self.weights = z.astype(np.float32), w.astype(np.float32)
        self.room = (pyramids.rows + 32) * (pyramids.columns + 32)

    def means(self, whole: Ints, number: Singles, out: Singles) -> tuple[Singles, Singles]:
        """E[U] - 1 and the chance of the flag of questions, with run and heights at every point.

        Row 6 of `number` is by how much the shot's own mean run is longer than that of its two kinds. `out`
        is about the chance of the flag: where it is nearly nothing it is not worked out.
        """
        count = whole.shape[1]
        fields, weight = np.empty((4, count), np.int64), np.empty((4, count), np.float32)
        profiles, plan = self.profiles, self.pyramids.plan
        self.kernel.buckets(
            profiles.low, profiles.share, profiles.near, profiles.directions, whole, number, fields, weight
        )
        bucket, share = fields.ravel(), weight.ravel()
        order = np.argsort(bucket, kind="stable")
        order = order[share[order] > 0]
        eu, eo = np.zeros(count, np.float32), np.zeros(count, np.float32)
        self.kernel.means(
            self.pyramids.fields_now, self.turf, self.player.fine, self.pyramids.base, self.flags, plan.pad,
            profiles.run, profiles.near, profiles.directions, self.nodes, self.weights, self.extent,
            self.levels, plan.grid[:, 0].copy(), plan.direct, plan.direct_reach, self.chain, whole,
            number, order, bucket, share, out > NEVER, self.room, eu, eo,
        )  # fmt: skip
        return eu, eo


def _levels_of(player: Player) -> NDArray[np.bool_]:
    """Levels (6, n, WIDTHS) that each shot's points lie on."""
    p = player.fine
    out = np.zeros((*p.count.shape, WIDTHS), np.bool_)
    used = np.arange(p.level.shape[2]) < p.count[..., None]
    lie, shot, m = np.nonzero(used)
    out[lie, shot, p.level[lie, shot, m]] = True
    return out


def _extent(player: Player) -> Singles:
    """Nearest and furthest centre of a shot's points, and how far they spread (6, n, 3), cells."""
    parts = player.parts[:, :, :PARTS]
    d = np.where(parts[..., 0] > 0, parts[..., 1], parts[:, :, :1, 1])
    sd = np.where(parts[..., 0] > 0, np.maximum(parts[..., 3], np.hypot(parts[..., 4], parts[..., 5])), 0)
    side = np.abs(parts[..., 2]).max(-1)
    blown = np.abs(player.extra[..., 1:6]).sum(-1)
    out: Singles = np.stack([d.min(-1), d.max(-1), FAR * sd.max(-1) + side + blown + 10], -1).astype(
        np.float32
    )
    return out
