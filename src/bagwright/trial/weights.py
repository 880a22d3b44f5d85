"""What the user lets strike, flight, ratings and price count beside the expected miss.

All weights are nought unless the user says otherwise, and what they add is shown. A weight turns one unit
into metres of miss: strike per ten mishits in a hundred balls, flight per degree of flatter descent, rating
per point less of the player's mean rating, price per hundred of the player's currency.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

import numpy as np

from bagwright.errors import InputError
from bagwright.trial.case import Case
from bagwright.trial.result import Weighed
from bagwright.units import RAD_PER_DEG
from bagwright.words import tell, term

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

UNITS = {
    "strike": tell("per 10 mishits in 100 balls"),
    "flight": tell("per degree of flatter descent"),
    "rating": tell("per point less of the mean rating"),
    "price": tell("per 100 of price"),
}
_MOST_M = 100.0


@dataclass(frozen=True, slots=True)
class Weights:
    """Metres of miss that one unit of each side is worth to this player (see `UNITS`); 0 leaves it out."""

    strike_m: float = 0.0
    flight_m: float = 0.0
    rating_m: float = 0.0
    price_m: float = 0.0

    def __post_init__(self) -> None:
        for field in fields(self):
            value = getattr(self, field.name)
            if not math.isfinite(value) or not 0.0 <= value <= _MOST_M:
                raise InputError(
                    tell("The weight {field} is {value}.", field=term(field.name[:-2]), value=value),
                    tell("Give metres (or yards) from 0 to {most_m:.0f}.", most_m=_MOST_M),
                )


def added(case: Case, weights: Weights) -> tuple[Floats, tuple[Weighed, ...]]:
    """Return what the weights add in metres, (draws, candidates), and a line for each weight that is not 0.

    Raises InputError where a weight is given but a candidate's number is missing: nothing is filled in.
    """
    total = np.zeros(case.pattern.mishit_share.shape)
    lines = []
    for name in UNITS:
        weight = float(getattr(weights, f"{name}_m"))
        if weight == 0.0:
            continue
        amount = weight * _units(name, case)
        total = total + amount
        mean = np.broadcast_to(amount, total.shape).mean(axis=0)
        shown = tuple((n, float(m)) for n, m in zip(case.names, mean, strict=True))
        lines.append(Weighed(name, weight, UNITS[name], shown))
    return total, tuple(lines)


def _units(name: str, case: Case) -> Floats:
    if name == "strike":
        return case.pattern.mishit_share / 0.10
    if name == "flight":
        steep = np.array([_known(_descent(case, i), name, case.names[i]) for i in range(len(case.names))])
        return np.asarray((steep.max() - steep) / RAD_PER_DEG)
    if name == "rating":
        rated = np.array([_known(_rating(case, i), name, case.names[i]) for i in range(len(case.names))])
        return np.asarray(rated.max() - rated)
    return np.array([_known(_price(case, i), name, case.names[i]) for i in range(len(case.names))]) / 100.0


def _descent(case: Case, i: int) -> float | None:
    found = case.fit(i).descent_rad
    return found.value if found is not None else None


def _rating(case: Case, i: int) -> float | None:
    found = case.ratings.get(case.names[i])
    return found.mean if found is not None else None


def _price(case: Case, i: int) -> float | None:
    """Give a carried club is the player's already and costs nothing more."""
    club = case.club(i)
    if club is not None and club.price is None and club.status == "carried":
        return 0.0
    return club.price if club is not None else None


def _known(value: float | None, name: str, club: str) -> float:
    if value is None:
        raise InputError(
            tell(
                'A weight is given for {name}, but "{club}" has no {name} to weigh.',
                name=term(name),
                club=club,
            ),
            tell("Give it for every candidate, or leave the weight out."),
        )
    return value
