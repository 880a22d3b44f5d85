"""Everything that the four sides of a verdict look at, gathered once."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from bagwright.bag.club import Bag, Club
from bagwright.shots.record import ShotTable
from bagwright.trial.miss import Pattern
from bagwright.trial.place import Spot
from bagwright.trial.result import Rating
from bagwright.trial.said import Said
from bagwright.trial.slot import Slot
from bagwright.units import System

if TYPE_CHECKING:
    from bagwright.dispersion.fit import Dispersion, Dispersions


@dataclass(frozen=True, slots=True)
class Case:
    """One trial: candidates, their fits and joint draws, and what the user said of them.

    `pattern` arrays have shape (draws, candidates), in the order of `slot.entries`.
    """

    table: ShotTable
    slot: Slot
    bag: Bag | None
    fits: Dispersions
    pattern: Pattern
    spot: Spot
    blocked: bool
    ratings: dict[str, Rating]
    width_m: float | None
    system: System
    said: Said = field(default_factory=Said)

    @property
    def names(self) -> tuple[str, ...]:
        """The candidates' names in order."""
        return self.slot.names

    def fit(self, i: int) -> Dispersion:
        """Return the dispersion of candidate i."""
        return self.fits[self.slot.entries[i].key]

    def club(self, i: int) -> Club | None:
        """Return the bag's record of candidate i, if there is one."""
        return self.bag.find(self.slot.entries[i].club) if self.bag is not None else None
