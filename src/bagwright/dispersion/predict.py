"""What a fit predicts of later shots: where the next solid one finishes, and how many are mishits.

The prediction of a cell is the mixture that the model holds: for every label set and every spread of the grid
a normal with the centre's own variance, the spread's square, and what does not shrink with more balls
(drift, wandering form). Averaged over the grid it has the heavier tails that an unknown spread brings
(Student's, were the grid continuous). A later visit adds the day: carry moves by 1.5 % of it, and form
wanders from where it was. The side moves so far from day to day that it is predicted for the same visit only.

All of it holds for solid strikes, warmed up and fresh, with the ball, the air and the surface of the fit.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from bagwright.bag.club import Bag
from bagwright.bag.names import split_club_name
from bagwright.dispersion import _kernel as kernel
from bagwright.dispersion import posterior
from bagwright.dispersion import prior as p
from bagwright.dispersion._kernel import Floats, Terms
from bagwright.dispersion.results import Dispersion
from bagwright.estimate import Estimate

if TYPE_CHECKING:
    from bagwright.dispersion.dispersions import Dispersions
    from bagwright.dispersion.model import CellFit

LEVELS = (0.5, 0.9)
"""Shares of later solid shots that an interval is meant to hold."""
SIDE_NOTE = "The side moves from day to day (about 3 degrees), so it is predicted for the same visit only."


@dataclass(frozen=True, slots=True)
class Interval:
    """Where the next solid shot finishes, metres: the median, half of them, nine in ten.

    `shared` (0..1) is the share of the variance that all later shots have in common: the doubt of the
    centre and the day, not the spread from ball to ball.
    """

    median_m: float
    half_m: tuple[float, float]
    ninety_m: tuple[float, float]
    shared: float

    def at(self, level: float) -> tuple[float, float]:
        """The interval that holds this share; one of `LEVELS`."""
        return {0.5: self.half_m, 0.9: self.ninety_m}[level]


@dataclass(frozen=True, slots=True)
class Prediction:
    """What a fit says of the next shots with one club and swing.

    `visit` is the latest visit of the cell. `carry` and `side` hold for the rest of that visit, `later_carry`
    for another day; there is no side of another day (see `SIDE_NOTE`). `kind` is the kind of club, "" where
    nobody knows. `mishit_share` is the share of all shots that are not solid.
    """

    club: str
    swing: str
    kind: str
    visit: str
    n_shots: int
    carry: Interval
    side: Interval
    later_carry: Interval
    mishit_share: Estimate

    @property
    def key(self) -> tuple[str, str]:
        """(club, swing)."""
        return (self.club, self.swing)


def predictions(fits: Dispersions, bag: Bag | None = None) -> tuple[Prediction, ...]:
    """Predict the next shots of every club and swing that was hit solidly at least once."""
    kinds = {club.name: club.kind for club in bag} if bag is not None else {}
    found = []
    for key in fits:
        fit = fits[key]
        if fit.measured and fit.n_solid >= 0.5:
            found.append(_prediction(fits, fit, kinds.get(key[0]) or _kind_by_name(key[0])))
    return tuple(found)


def _kind_by_name(name: str) -> str:
    said = split_club_name(name)[0]
    return said.kind if said is not None else ""


def _prediction(fits: Dispersions, fit: Dispersion, kind: str) -> Prediction:
    session = fits.session
    cell = session.cells[fit.key]
    weights = posterior.weights_of(session, cell)
    centre = posterior.centre_of(session, cell, weights)
    stays = centre.drift_var + centre.wander_var
    expected = cell.prior.expected_m
    day = (p.VISIT_CARRY_SD * expected) ** 2 + (p.WANDER * expected) ** 2
    terms, spread = cell.evidence.carry, cell.prior.carry_spread_m
    return Prediction(
        club=fit.club,
        swing=fit.swing,
        kind=kind,
        visit=fit.visits[0] if fit.visits else "",
        n_shots=fit.n_shots,
        carry=_interval(weights.carry, terms, _square(cell, spread), stays),
        side=_interval(weights.side, cell.evidence.side, _square(cell, cell.prior.side_spread_m), 0.0),
        later_carry=_interval(weights.carry, terms, _square(cell, spread), stays + day),
        mishit_share=fit.mishit_share,
    )


def _square(cell: CellFit, base_m: float) -> Floats:
    """Variance (G,) of one solid strike at every spread of the grid."""
    squared: Floats = (base_m * np.exp(cell.grid.log_spread)) ** 2
    return squared


def _interval(weights: Floats, terms: Terms, one: Floats, stays: float) -> Interval:
    """The mixture over label sets and spreads; `one` is the variance of one ball at each spread."""
    ball = Terms(terms.log_evidence, terms.mean, 1.0 / (1.0 / terms.precision + one))
    levels = np.array(_ends(LEVELS))
    low9, low5, middle, high5, high9 = kernel.mixture_quantiles(levels, weights, ball, stays)
    centre_var = kernel.moments(weights, terms)[1] + stays
    ball_var = float(weights.sum(0) @ one)
    return Interval(
        float(middle),
        (float(low5), float(high5)),
        (float(low9), float(high9)),
        centre_var / (centre_var + ball_var),
    )


def _ends(levels: Iterable[float]) -> list[float]:
    half = sorted(0.5 - 0.5 * level for level in levels)
    return [*half, 0.5, *(1.0 - end for end in reversed(half))]
