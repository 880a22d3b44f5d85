"""What a reckoning of strokes depends on: who plays with which clubs and shots, where, in which wind."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

from bagwright.air import Wind
from bagwright.bag.club import Bag
from bagwright.bay import courses
from bagwright.report.strokes.round import VERSION, played_bag
from bagwright.shots.record import ShotTable
from bagwright.store.convert import core_bag, core_table
from bagwright.store.models import Club, CourseFile, Player, StrokesRun, Visit

if TYPE_CHECKING:
    from bagwright.strokes.patterns import PatternTable


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to be worked out: whose strokes, where, from which tee, in which wind, with which build in the slot.

    `wind_from_rad` counts clockwise from north. `visit` and `candidate` belong to a trial: the build takes the
    slot, and everything hit up to that visit counts.
    """

    player: Player
    kept: CourseFile
    tee: str
    wind_mps: float = 0.0
    wind_from_rad: float = 0.0
    visit: Visit | None = None
    candidate: Club | None = None


@dataclass(frozen=True, slots=True)
class Inputs:
    """Everything that the answer depends on."""

    asked: Asked
    bag: Bag
    played: Bag
    """The clubs that are carried on the round."""
    table: ShotTable
    course: courses.Understood

    @property
    def mark(self) -> str:
        """The same for the same answer: a hash of bag, shots, course, tee, wind and the method's version."""
        digest = hashlib.sha256()
        digest.update(repr((VERSION, self.course.mark, self.asked.tee, self.wind, self.played)).encode())
        for i in range(self.table.n):
            digest.update(repr(self.table.shot(i)).encode())
        return digest.hexdigest()

    @property
    def wind(self) -> Wind | None:
        """The stated wind, None in calm air."""
        if self.asked.wind_mps <= 0.0:
            return None
        return Wind(self.asked.wind_mps, self.asked.wind_from_rad)

    def patterns(self, table: ShotTable | None = None) -> PatternTable:
        """Where the player's shots come down, by these shots (else all of them).

        Raises InputError for a bag without a club to hit.
        """
        from bagwright.dispersion.fit import fit_dispersion
        from bagwright.strokes.table import patterns_of

        shots = self.table if table is None else table
        fits = fit_dispersion(shots, self.bag.player, self.bag) if shots.n else None
        return patterns_of(self.played, None, fits, wind=self.wind)


def inputs_of(asked: Asked) -> Inputs:
    """Gather what the answer depends on, as it is now."""
    visits = asked.player.visits.all()
    if asked.visit is not None:
        visits = visits.filter(started_at__lte=asked.visit.started_at)
    bag = core_bag(asked.player)
    return Inputs(asked, bag, _played(bag, asked), core_table(list(visits)), courses.understood(asked.kept))


def _played(bag: Bag, asked: Asked) -> Bag:
    """The carried clubs; in a trial with the candidate in the place of the slot's present club."""
    if asked.visit is None or asked.candidate is None:
        return played_bag(bag)
    rivals = asked.visit.candidates.select_related("club")
    return played_bag(bag, asked.candidate.name, {one.club.name for one in rivals})


def asked_of(run: StrokesRun) -> Asked:
    """What a run was asked for."""
    return Asked(
        run.player,
        run.course,
        run.tee,
        run.wind_mps or 0.0,
        run.wind_from_rad or 0.0,
        run.visit,
        run.candidate,
    )
