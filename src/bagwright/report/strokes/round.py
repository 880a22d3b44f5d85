"""A round worked out: every hole of a course from one tee, with the way that the choice takes on each."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

import bagwright
from bagwright.bag.club import Bag
from bagwright.course.hole import Course
from bagwright.course.raster import Raster
from bagwright.course.rasterise import raster_of
from bagwright.errors import InputError
from bagwright.report.strokes import plan
from bagwright.report.strokes.keep import packed, unpacked
from bagwright.report.strokes.plan import Step
from bagwright.strokes.patterns import PatternTable
from bagwright.strokes.result import Demand, HoleStrokes, Strokes
from bagwright.strokes.solve import StoppedError, expected_strokes
from bagwright.units import System
from bagwright.words import tell

__all__ = ["Round", "StoppedError", "played_bag", "round_of"]

_SHAPE = ",".join(one.name for kind in (Strokes, HoleStrokes, Demand, Step) for one in fields(kind))
VERSION = f"{bagwright.__version__}/6/{hashlib.sha256(_SHAPE.encode()).hexdigest()[:8]}"
"""Changes where the same inputs would give another answer, or the kept one could not be read any more."""
MOST_WIND_MPS = 25.0
"""Stronger wind is no wind to play in (judgement)."""
MOST_TEES = 12
"""Names of tees in an error."""


@dataclass(frozen=True, slots=True)
class Round:
    """A round's result and, by hole, the way that the choice takes."""

    result: Strokes
    steps: Mapping[int, tuple[Step, ...]]
    course_par: int

    def plain(self) -> dict[str, Any]:
        """Everything but the arrays, as JSON has it; the round's own figures first, for lists."""
        found = self.result
        return {
            "version": VERSION, "strokes": found.strokes, "sd": found.sd, "bound": found.error_bound,
            "par": self.course_par, "result": found.plain(), "steps": plan.plain(self.steps),
        }  # fmt: skip

    def arrays(self) -> bytes:
        """The arrays, packed."""
        return packed(self.result.arrays())

    @classmethod
    def of(cls, kept: Mapping[str, Any], arrays: bytes, numbers: tuple[int, ...] = ()) -> Round:
        """The round again from what was kept, with the arrays of some holes only.

        Raises InputError for one that another version of the program kept.
        """
        if kept.get("version") != VERSION:
            raise InputError(
                tell("This was worked out by another version of the program."), tell("Work it out again.")
            )
        result = Strokes.of(kept["result"], unpacked(arrays, numbers) if numbers else {})
        return cls(result, plan.of_plain(kept["steps"]), int(kept["par"]))

    def said(self, step: Step, system: System) -> str:
        """A step's shot in the reader's unit; the step itself keeps it in metres."""
        return self.result.shots[step.shot].said(system)

    @property
    def converged(self) -> bool:
        """True where every hole is."""
        return all(hole.converged for hole in self.result.holes)

    def clubs(self) -> list[tuple[str, float]]:
        """How often each club is used in a round, the most used first."""
        return used(self.result, self.result.demand)

    def of_hole(self, hole: HoleStrokes) -> list[tuple[str, float]]:
        """How often each club is used on a hole, the most used first."""
        return used(self.result, hole.demand)


def used(result: Strokes, demand: Iterable[Demand]) -> list[tuple[str, float]]:
    """Add up how often clubs come up."""
    total: dict[str, float] = {}
    for one in demand:
        name = result.shots[one.shot].club
        total[name] = total.get(name, 0.0) + one.times
    return sorted(total.items(), key=lambda pair: -pair[1])


def played_bag(bag: Bag, chosen: str = "", rivals: Collection[str] = ()) -> Bag:
    """The clubs of a round: those carried, in a trial with the build `chosen` in place of its `rivals`."""
    clubs = tuple(
        replace(club, status="carried")
        for club in bag.clubs
        if club.name == chosen or (club.status == "carried" and club.name not in rivals)
    )
    return replace(bag, clubs=clubs)


def rasters_of(course: Course, tee: str) -> list[Raster]:
    """The holes from one tee. Raises InputError where the course has none of it, or a hole lacks it."""
    without = [str(hole.number) for hole in course.holes if all(one.name != tee for one in hole.tees)]
    if without:
        raise InputError(
            tell('No tee "{tee}" on hole {holes}.', tee=tee[:40], holes=", ".join(without[:18])),
            tell("Tees of the course: {tees}. Choose one, or add this one there.", tees=_tees(course)),
        )
    return [raster_of(course, hole.number, tee) for hole in course.holes]


def _tees(course: Course) -> str:
    """Names of the tees that every hole has; of all, where none is on every hole."""
    whole = [
        name
        for name in course.tee_names
        if all(any(one.name == name for one in h.tees) for h in course.holes)
    ]
    return ", ".join(name[:40] for name in (whole or course.tee_names)[:MOST_TEES])


def round_of(
    course: Course,
    tee: str,
    table: PatternTable,
    report: Callable[[float], None] = lambda share: None,
    stop: Callable[[], bool] = lambda: False,
) -> Round:
    """Work a round out. `report` is told the share done (0..1); `stop` ends it with `StoppedError`."""
    rasters = rasters_of(course, tee)
    result = expected_strokes(rasters, table, progress=lambda done, of: report(done / of), stop=stop)
    steps = {raster.number: plan.steps_of(result.hole(raster.number), raster, table) for raster in rasters}
    return Round(result, steps, sum(raster.par for raster in rasters))
