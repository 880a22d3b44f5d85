"""Carries and steps of any bag of a player's clubs: worked out once, then read for whichever are carried."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from itertools import combinations, pairwise
from typing import TYPE_CHECKING

from bagwright.estimate import Estimate

if TYPE_CHECKING:
    from bagwright.bag.club import Bag
    from bagwright.dispersion.dispersions import Dispersions
    from bagwright.distances.table import StepRules

_SIZES = ("even", "narrow", "wide")
_UNJUDGED = "estimated"


@dataclass(frozen=True, slots=True)
class CarryOf:
    """One club's carry of solid stock swings, with its 90 % range; `n_shots` 0 where it is estimated."""

    club: str
    carry_m: Estimate
    n_shots: int


@dataclass(frozen=True, slots=True)
class StepOf:
    """The step between two clubs, were they neighbours; `longer` and `shorter` are places in the list."""

    longer: int
    shorter: int
    step_m: Estimate
    word: str
    """What the step is called: even, narrow, wide, overlap, same carry or gap."""


@dataclass(frozen=True, slots=True)
class CarryLine:
    """One club of a bag, and the step to the next shorter one; None at the shortest."""

    club: CarryOf
    step: StepOf | None


@dataclass(frozen=True, slots=True)
class Carries:
    """All clubs to choose from, the longest first, and the step of every pair.

    A step to or from a club that was never hit is called no word of its size: its range is too wide for that.
    """

    clubs: tuple[CarryOf, ...]
    steps: tuple[StepOf, ...]

    def lines(self, bag: Collection[str]) -> tuple[CarryLine, ...]:
        """The clubs of a bag, the longest first, each with its step; those without a carry are left out."""
        places = [i for i, one in enumerate(self.clubs) if one.club in bag]
        steps = {(one.longer, one.shorter): self._honest(one) for one in self.steps}
        following = dict(pairwise(places))
        return tuple(
            CarryLine(self.clubs[i], steps[i, following[i]] if i in following else None) for i in places
        )

    def _honest(self, step: StepOf) -> StepOf:
        measured = all(self.clubs[i].n_shots for i in (step.longer, step.shorter))
        return step if measured or step.word not in _SIZES else replace(step, word=_UNJUDGED)


def carries_of(bag: Bag, fits: Dispersions | None, rules: StepRules | None = None) -> Carries:
    """Carries of carried clubs and candidates, putter aside; without `fits` all are estimated, so wide."""
    from bagwright.dispersion.fit import fit_dispersion
    from bagwright.distances.rows import table_rows
    from bagwright.distances.steps import bag_steps
    from bagwright.distances.table import StepRules
    from bagwright.shots.record import ShotTable

    clubs = tuple(
        replace(club, status="carried")
        for club in bag.with_status("carried", "candidate")
        if club.kind != "putter"
    )
    known = fits if fits is not None else fit_dispersion(ShotTable.of(()), bag.player, bag)
    all_rows = table_rows(known, replace(bag, clubs=clubs))
    rows = [row for row in all_rows if row.in_steps]
    found = []
    for (i, longer), (j, shorter) in combinations(enumerate(rows), 2):
        (step,) = bag_steps((longer, shorter), known, rules or StepRules())
        found.append(StepOf(i, j, step.step_m, str(step.word)))
    return Carries(
        tuple(
            CarryOf(row.name, row.fit.carry_m, row.fit.n_shots if row.used == "measured" else 0)
            for row in rows
        ),
        tuple(found),
    )
