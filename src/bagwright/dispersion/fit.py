"""From shots to dispersions: the one door of this folder."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal

from bagwright.bag.club import Bag, Player
from bagwright.dispersion.cells import Sorted, sort_shots
from bagwright.dispersion.dispersions import Dispersions
from bagwright.dispersion.prior import player_prior
from bagwright.dispersion.results import Contrast, Dispersion, Draws, Drift, Region
from bagwright.dispersion.session import Session, build_session
from bagwright.errors import InputError
from bagwright.shots.record import ShotTable

__all__ = ["Contrast", "Dispersion", "Dispersions", "Draws", "Drift", "Region", "fit_dispersion"]


def fit_dispersion(
    shots: ShotTable,
    player: Player | None = None,
    bag: Bag | None = None,
    *,
    clubs: Sequence[str] | None = None,
    split_by: Literal["club", "ball"] = "club",
    expected_carry_m: Mapping[str, float] | None = None,
) -> Dispersions:
    """Where a player's shots with every club and swing finish, with 90 % ranges.

    `player` (else the bag's) gives driver head speed, handicap and sex for the starting point; whatever is
    missing is averaged over. `bag` gives lofts; without it kind and number are read from the club's name.
    `clubs` restricts the fit to these names. `split_by="ball"` makes every club and ball a candidate of its
    own (keys as `ball_key`). `expected_carry_m` states stock carries by club name that somebody knows
    better than the loft ladder.

    The model is that of Box and Tiao (1968): solid strikes, mishits and bad reads mixed, every labelling of
    the ambiguous shots enumerated; spreads and the mishit share are shared across the bag on a grid.
    Deterministic. Raises InputError for a stated carry that is not positive.
    """
    expected = dict(expected_carry_m or {})
    for name, carry in expected.items():
        if not 1.0 <= carry <= 400.0:
            raise InputError(f"Expected carry of {name} is {carry} m.", "State metres between 1 and 400.")
    known = player if player is not None else (bag.player if bag is not None else None)
    prior = player_prior(known)

    def sort(table: ShotTable) -> Sorted:
        return sort_shots(table, None if clubs is None else frozenset(clubs), split_by == "ball")

    def build(sorted_: Sorted) -> Session:
        return build_session(sorted_, prior, bag, expected)

    return Dispersions(build(sort(shots)), shots, sort, build)
