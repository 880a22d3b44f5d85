"""What the player's shots leave open of each club: joint draws of the posterior, as changes of its pattern.

The table's patterns hold the doubt of a fit once, as width. Here it is taken apart again: under a draw a
club's centre is known, so that its pattern is that much narrower, and stands somewhere else. A side that a
club always misses to is aimed off once it is known, so that the doubt of it is not in the draws. Swings of a
club move together, pitches not: their length is chosen, their spread is that of the short game.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import logit

from bagwright.bag.club import Bag
from bagwright.dispersion.dispersions import Dispersions
from bagwright.dispersion.draws import draw
from bagwright.dispersion.results import Draws
from bagwright.errors import InputError
from bagwright.pick.sway import AXES, Settings, basis
from bagwright.strokes.ahead import Ahead, ahead_of
from bagwright.strokes.kernels import handicap_of
from bagwright.strokes.on_course import course_share
from bagwright.strokes.patterns import Shot
from bagwright.words import tell

Floats = NDArray[np.float64]

DRAWS = 256
LEAST_LEFT = 0.2
"""Least share of a pattern's variance that is left when its centre is known: judgement."""
LEAST_SD = 1e-4
"""Least sd of what is not known, so that nothing is divided by nothing."""


@dataclass(frozen=True, slots=True, eq=False)
class Doubt:
    """Draws (n, clubs) by `AXES`: logarithms of factors on carry and spreads, shifts of the mishits' logit.

    `ball` (clubs,) is the spread of one solid ball along the line over its carry, `mishit` (clubs,) the
    chance of a mishit, `balls` (clubs,) how many were hit.
    """

    clubs: tuple[str, ...]
    drawn: dict[str, Floats]
    ball: Floats
    mishit: Floats
    balls: NDArray[np.int64]

    @property
    def n(self) -> int:
        """How many draws."""
        return len(self.drawn["far"])

    def settings(self, clubs: Sequence[str], shots: Sequence[Shot]) -> Settings:
        """Middles and sds for the kernels; InputError where the clubs are not these."""
        if tuple(clubs) != self.clubs:
            raise InputError(
                tell("The draws are of other clubs than the patterns."), tell("Take both from one bag.")
            )
        middle = {axis: self.drawn[axis].mean(0) for axis in AXES}
        sd = {axis: np.maximum(self.drawn[axis].std(0), LEAST_SD) for axis in AXES}
        club_of = [-1 if shot.length_m is not None else self.clubs.index(shot.club) for shot in shots]
        return Settings(middle, sd, np.array(club_of, np.int64))

    def weights(self) -> Floats:
        """Weights of the nodes (n, clubs, NODES) of every draw."""
        place = {}
        for axis in AXES:
            drawn = self.drawn[axis]
            place[axis] = (drawn - drawn.mean(0)) / np.maximum(drawn.std(0), LEAST_SD)
        start = logit(self.mishit) + self.drawn["mishit"].mean(0)
        sd = np.maximum(self.drawn["mishit"].std(0), LEAST_SD)
        share = _share(start + place["mishit"] * sd) - _share(start)
        return basis(place["far"], place["long"], place["wide"], share / (_share(start + sd) - _share(start)))


def _share(x: Floats) -> Floats:
    return np.asarray(1.0 / (1.0 + np.exp(-x)))


def doubt_of(bag: Bag, fits: Dispersions, clubs: Sequence[str], n: int = DRAWS) -> Doubt:
    """Draws of every club's stock swing, hit or not, jointly; the same on every run.

    Raises InputError for a club that is not in the bag.
    """
    found = [bag.find(name) for name in clubs]
    missing = [name for name, club in zip(clubs, found, strict=True) if club is None]
    if missing:
        raise InputError(
            tell("There is no club of this name in the bag: {names}.", names=", ".join(missing)),
            tell("Write the names as in the bag file."),
        )
    known = [club for club in found if club is not None]
    cells = [fits.cell(club) for club in known]
    links = {key: link for session, _ in cells for key, link in session.links.items()}
    draws = draw(replace(fits.session, links=links), [cell for _, cell in cells], n, None)
    handicap = handicap_of(bag.player)
    ahead = [ahead_of(fits, club, "stock") for club in known]
    return _taken_apart(tuple(clubs), draws, ahead, course_share(handicap))


def _taken_apart(clubs: tuple[str, ...], draws: Draws, ahead: Sequence[Ahead], added: float) -> Doubt:
    carry = np.array([one.carry.mean_m for one in ahead])
    along = np.array([one.carry.var_m2 for one in ahead]) + (added * carry) ** 2
    across = np.array([one.side.var_m2 for one in ahead])
    mishit = np.clip([one.mishit for one in ahead], 1e-4, 0.9)
    far = draws.carry_m / draws.carry_m.mean(0)
    drawn = {
        "far": np.log(np.maximum(far, 0.2)),
        "long": _spread(along, draws.carry_m, draws.carry_sd_m),
        "wide": _spread(across, draws.offline_m, draws.offline_sd_m),
        "mishit": logit(np.clip(draws.mishit_share, 1e-5, 0.95)) - logit(mishit),
    }
    ball = np.sqrt((draws.carry_sd_m**2).mean(0)) / carry
    return Doubt(clubs, drawn, ball, mishit, np.array([one.n_shots for one in ahead], np.int64))


def _spread(whole: Floats, centre: Floats, sd: Floats) -> Floats:
    """Logarithm of a drawn spread over the table's: without the centre's doubt, with the draw's own balls."""
    left = whole - centre.var(0) + sd**2 - (sd**2).mean(0)
    return np.asarray(0.5 * np.log(np.maximum(left / whole, LEAST_LEFT)))
