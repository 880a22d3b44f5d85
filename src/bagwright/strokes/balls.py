"""Single balls of the exact definition: evenly spread points of every part of every shot.

A question is answered as the mean of what its balls are worth where they end. The points are a lattice of
three normals (along, across, run), the same for all questions, mirrored each way by turns of the spots:
what the lattice leaves out then does not add up over the places where a ball ends.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from bagwright.strokes.patterns import PARTS

if TYPE_CHECKING:
    from bagwright.strokes._kernel_balls import Turf
    from bagwright.strokes.probes import Player

Ints = NDArray[np.int64]
Singles = NDArray[np.float32]
STEPS = ((5**0.5 - 1) / 2, 2**0.5 - 1)
"""Steps of the two other axes, as shares: with the golden ratio's the first two axes are a Fibonacci lattice.
Against a million balls of 960 near-optimal shots it was nearer than scrambled Sobol points and than powers of
the plastic number (0.0058, 0.0058 and 0.0065 strokes with 256, 256, 256 and 128 balls; bench_strokes)."""
SEED = 20261201
"""Of the lattices' shifts: every part of a pattern has its own, so that their errors do not add up."""
MIXED = 2654435761
"""Odd factor that mixes the bits of a spot's number (Fibonacci hashing)."""


@dataclass(frozen=True, slots=True)
class Balls:
    """The balls of every shot of a player.

    `z` (4, points) are standard normals (along, across, run) and weights. Part k of the pattern (0 .. 3) of a
    shot takes the points `plan[lie, shot, k]` = (first, count), whose weights sum to 1. `most` is the largest
    number of balls of one shot.
    """

    z: Singles
    plan: Ints
    most: int


@lru_cache(maxsize=64)
def points(count: int, part: int = 0) -> Singles:
    """Evenly spread points of three independent normals and their weights (4, count); a set for each part.

    Their means and covariance are those of the normals.
    """
    from scipy.special import ndtri

    i, shift = np.arange(count) + 0.5, np.random.default_rng(SEED + part).random(3)
    u = np.stack([i / count + shift[0] / count, *(i * step + shift[k + 1] for k, step in enumerate(STEPS))])
    z = ndtri(np.clip(u % 1.0, 1e-7, 1 - 1e-7))
    z = z - z.mean(1, keepdims=True)
    z = np.linalg.solve(np.linalg.cholesky(np.cov(z, bias=True)), z)
    return np.asarray(np.concatenate([z, np.full((1, count), 1 / count)]), np.float32)


def balls_of(player: Player, counts: Sequence[int], first: int = 0) -> Balls:
    """Give each part of every pattern (three solid ones and the mishits) so many balls.

    `first` is the number of the first part's set: another number, other points.
    """
    return of_sets(player, [points(n, first + part) for part, n in enumerate(counts)])


def of_sets(player: Player, sets: Sequence[Singles]) -> Balls:
    """The balls of every shot, of one set of points (4, count) for each part of a pattern."""
    plan = np.zeros((*player.allowed.shape, PARTS, 2), np.int64)
    once, first = list({id(own): own for own in sets}.values()), 0
    for own in once:
        for part in (k for k, given in enumerate(sets) if given is own):
            plan[:, :, part] = first, own.shape[1]
        first += own.shape[1]
    plan[player.parts[:, :, :PARTS, 0] <= 0, 1] = 0
    return Balls(np.ascontiguousarray(np.concatenate(once, 1)), plan, int(plan[..., 1].sum(-1).max()))


def variants(spot: Ints) -> Ints:
    """Which mirrored set each spot (any number of its own) takes: 0 to 7."""
    mixed = (np.asarray(spot, np.uint64) + np.uint64(1)) * np.uint64(MIXED)
    return ((mixed >> np.uint64(29)) & np.uint64(7)).astype(np.int64)


def ends(
    turf: Turf, player: Player, balls: Balls, whole: Ints, number: Singles, variant: Ints
) -> tuple[NDArray[np.int32], Singles]:
    """Cells (m, balls.most), flat, in which the balls of m questions end, and each ball's weight (sum 1).

    `whole` (2, m) lie and shot; `number` (8, m) x, y, height (cells of the raster), aim, its cosine and sine
    (radians in the raster's frame), and two rows that are not read. A cell that is out of bounds, a penalty
    area or the green is given as it is: what a ball there costs is the caller's (`Cells.kind`).
    """
    from bagwright.strokes import _kernel_balls

    cells = np.empty((whole.shape[1], balls.most), np.int32)
    weight = np.empty(cells.shape, np.float32)
    _kernel_balls.ends(
        turf, player.extra, player.run, player.parts, balls.plan, balls.z, whole, number, variant, cells,
        weight,
    )  # fmt: skip
    return cells, weight


def means(
    turf: Turf, player: Player, balls: Balls, rest: Singles, whole: Ints, number: Singles, variant: Ints
) -> tuple[Singles, Singles]:
    """E[U] - 1 and the chance of stroke and distance of m questions (as `ends`), by their balls.

    `rest` (cells,) is what a ball at rest in each cell is worth: U, or -1 for stroke and distance.
    """
    from bagwright.strokes import _kernel_balls

    eu, eo = np.empty(whole.shape[1], np.float32), np.empty(whole.shape[1], np.float32)
    _kernel_balls.means(
        turf, player.extra, player.run, player.parts, balls.plan, balls.z, rest, whole, number, variant, eu,
        eo,
    )  # fmt: skip
    return eu, eo
