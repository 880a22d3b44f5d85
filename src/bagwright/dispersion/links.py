"""How cells hang together: expected carry by club, swings by their stock swing."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from bagwright.bag.club import Bag, Club
from bagwright.bag.spelling import split_club_name
from bagwright.dispersion import prior as p
from bagwright.dispersion._kernel import middle_of
from bagwright.dispersion.cells import CellShots, Key, Sorted
from bagwright.dispersion.length import Shared
from bagwright.dispersion.model import CellPrior
from bagwright.dispersion.prior import CarryRatio, SwingPrior


@dataclass(frozen=True, slots=True)
class Link:
    """How a cell is tied to others: its carry over the player's length, its swing, its stock cell."""

    ratio: CarryRatio
    swing: SwingPrior
    stock: Key | None


def find_club(name: str, bag: Bag | None) -> Club | None:
    """Find the bag's club of this name, else one of the kind and number that the name says, else None."""
    found = bag.find(name) if bag is not None else None
    if found is not None:
        return found
    said, _ = split_club_name(name)
    if said is None:
        return None
    return Club(name, said.kind, said.number, stamped_loft_deg=said.loft_deg)


def link_cell(key: Key, sorted_: Sorted, bag: Bag | None, expected: Mapping[str, float]) -> Link:
    """Give the link of one cell; `expected` holds carries in metres that somebody stated, by club name."""
    shots = sorted_.cells[key]
    swing = p.swing_prior(shots.cell.swing, shots.cell.changed)
    stock = (key[0], "stock")
    linked = key != stock and stock in sorted_.cells
    return Link(_ratio(shots, swing, bag, expected), swing, stock if linked else None)


def _ratio(shots: CellShots, swing: SwingPrior, bag: Bag | None, expected: Mapping[str, float]) -> CarryRatio:
    ratio = p.carry_ratio(find_club(shots.cell.club, bag))
    told = expected.get(shots.cell.key[0], expected.get(shots.cell.club))
    if told is not None:
        return CarryRatio(ratio.ratio, p.STATED_CARRY_SD, ratio.known, told)
    seen = np.sort(shots.carry_m[np.isfinite(shots.carry_m)])
    if ratio.known or not len(seen) or seen[-1] <= 0.0:
        return ratio
    scale = middle_of(seen[len(seen) // 2 :]) / swing.centre
    return CarryRatio(ratio.ratio, ratio.sd, known=False, stated_m=max(scale, 5.0))


def ladder_prior(
    link: Link, length: Shared, handicap: float, side: Shared, scale: float | None = None
) -> CellPrior:
    """Prior of a club's swing from the player's length (mean and variance of its logarithm).

    `scale` is the log length on which spreads and the loss of a mishit scale, where it is known better than
    the length that the other clubs leave.
    """
    sd = math.hypot(link.ratio.sd, link.swing.centre_sd / link.swing.centre)
    if link.ratio.stated_m is not None:
        carry = link.ratio.stated_m * link.swing.centre
        return _prior_at(carry, carry, (carry * sd) ** 2, link, handicap, side)
    per_length = link.ratio.ratio * link.swing.centre
    carry = per_length * math.exp(length.mean)
    expected = carry if scale is None else per_length * math.exp(scale)
    return _prior_at(expected, carry, carry**2 * (sd**2 + length.variance), link, handicap, side)


def linked_prior(link: Link, carry: float, var: float, handicap: float, side: Shared) -> CellPrior:
    """Prior of a swing from the same club's stock swing: posterior centre times the swing's share of it."""
    carry = max(carry, 1.0)
    var = link.swing.centre**2 * var + (link.swing.centre_sd * carry) ** 2
    carry *= link.swing.centre
    return _prior_at(carry, carry, var, link, handicap, side)


def _prior_at(
    expected: float, mean: float, var: float, link: Link, handicap: float, side: Shared
) -> CellPrior:
    swing = link.swing
    return CellPrior(
        expected, mean, var, side.mean * expected, (p.CLUB_SIDE_SD**2 + side.variance) * expected**2,
        swing.spread * p.carry_spread(expected, handicap), swing.spread * p.side_spread(expected, handicap),
        swing.mishit_logit, link.ratio.known or link.stock is not None,
    )  # fmt: skip
