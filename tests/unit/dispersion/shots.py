"""Small tables of shots for the tests of this folder."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from bagwright.bag.club import Player
from bagwright.dispersion.fit import Dispersions, fit_dispersion
from bagwright.shots.record import Shot, ShotTable
from bagwright.units import MPS_PER_MPH

PLAYER = Player(handicap=10.0, driver_speed_mps=104.35 * MPS_PER_MPH)
"""Expected carry of a 7 iron: 160 yards, 146.3 m."""
SEVEN = ("7i", "stock")


def hit(
    carries: Sequence[float | None],
    sides: Sequence[float | None] | None = None,
    *,
    start: int = 20,
    **more: Any,
) -> list[Shot]:
    """Shots in metres, by default with a 7 iron, from ball `start` of the visit on."""
    sides = [0.0] * len(carries) if sides is None else sides
    club = more.pop("club", "7i")
    return [
        Shot(club, start + i, carry_m=carry, offline_m=side, **more)
        for i, (carry, side) in enumerate(zip(carries, sides, strict=True))
    ]


def fit(shots: Sequence[Shot], player: Player | None = PLAYER, **more: Any) -> Dispersions:
    """The fit of these shots."""
    return fit_dispersion(ShotTable.of(shots), player, **more)
