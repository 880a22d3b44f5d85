"""Invented visits for the trial's tests: players and clubs with known truth, in metres."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from bagwright.bag.club import Bag, Build, Club, Player
from bagwright.shots.record import Shot, ShotTable
from bagwright.trial.order import mirrored


def shots(
    clubs: Mapping[str, tuple[float, float]],
    each: int,
    *,
    seed: int = 1,
    order: Sequence[str] | None = None,
    start: int = 1,
    carry_sd: float = 5.0,
    side_sd: float = 6.0,
    mishits: float = 0.1,
    swing: str = "stock",
    **fields: str,
) -> list[Shot]:
    """Shots of clubs with (carry, side) centres, hit in a mirrored order unless `order` says otherwise."""
    rng = np.random.default_rng(seed)
    turn = list(order) if order is not None else mirrored(tuple(clubs), dict.fromkeys(clubs, each), 3)
    found = []
    for t, club in enumerate(turn):
        carry, side = clubs[club]
        bad = rng.random() < mishits
        lost = carry * max(rng.normal(0.2, 0.12), 0.02) if bad else 0.0
        found.append(
            Shot(
                club,
                start + t,
                swing=swing,
                carry_m=carry + carry_sd * rng.standard_normal() - lost,
                offline_m=side + side_sd * rng.standard_normal() * (2.0 if bad else 1.0),
                **fields,  # type: ignore[arg-type]
            )
        )
    return found


def table(*parts: Sequence[Shot]) -> ShotTable:
    return ShotTable.of([shot for part in parts for shot in part])


def wedge_bag(**player: object) -> Bag:
    """A short bag with one contested wedge slot: "Gap" is carried, "50 X" and "52 Y" are on the rack."""
    who = {"handicap": 12.0, **player}
    return Bag(
        Player(**who),  # type: ignore[arg-type]
        (
            Club("9 iron", "iron", "9", build=Build(loft_deg=41.0)),
            Club("PW", "wedge", "PW", build=Build(loft_deg=45.0)),
            Club("Gap", "wedge", "50", build=Build(loft_deg=50.0)),
            Club("54 wedge", "wedge", "54", build=Build(loft_deg=55.0)),
            Club("Putter", "putter"),
            Club("50 X", "wedge", "50", "candidate", Build(loft_deg=50.0), price=150.0, lead_time_days=10.0),
            Club("52 Y", "wedge", "52", "candidate", Build(loft_deg=52.0)),
        ),
    )
