"""What a pick depends on: who plays with which clubs and shots, where, in which winds, and what the bag must be."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from django.utils.translation import gettext as _

from bagwright.air import Wind
from bagwright.bag.club import Bag
from bagwright.bay import courses
from bagwright.bay.pick_kept import Stated
from bagwright.errors import InputError
from bagwright.pick.wish import Pin, Wish
from bagwright.report.pick.shown import VERSION
from bagwright.report.strokes.air import air_words
from bagwright.report.strokes.round import MOST_WIND_MPS, rasters_of
from bagwright.shots.record import ShotTable
from bagwright.store.convert import core_bag, core_table
from bagwright.store.models import CourseFile, PickRun, Player
from bagwright.units import System

if TYPE_CHECKING:
    from bagwright.dispersion.fit import Dispersions

MOST_SCENES = 4
"""Courses, tees and winds of one pick: each costs as much time as a round."""


@dataclass(frozen=True, slots=True)
class Scene:
    """One course, tee and wind, and its share of all rounds; `wind_from_rad` counts clockwise from north."""

    course_id: int
    tee: str
    share: float
    wind_mps: float = 0.0
    wind_from_rad: float = 0.0

    @property
    def wind(self) -> Wind | None:
        """The wind, None in calm air."""
        return Wind(self.wind_mps, self.wind_from_rad) if self.wind_mps > 0.0 else None


@dataclass(frozen=True, slots=True)
class PickAsked:
    """What is to be chosen: for whom, for which rounds, and what the bag must be.

    `slots` counts the putter. `pins` are clubs with their reasons, `not_both` pairs of clubs.
    """

    player: Player
    scenes: tuple[Scene, ...]
    slots: int
    pins: tuple[tuple[str, str], ...] = ()
    not_both: tuple[tuple[str, str], ...] = ()
    budget: float | None = None
    changes: int | None = None

    def plain(self) -> dict[str, Any]:
        """As the database keeps it."""
        return {
            "scenes": [
                [one.course_id, one.tee, one.share, one.wind_mps, one.wind_from_rad] for one in self.scenes
            ],
            "slots": self.slots, "pins": [list(one) for one in self.pins],
            "not_both": [list(one) for one in self.not_both], "budget": self.budget, "changes": self.changes,
        }  # fmt: skip


def asked_of(run: PickRun) -> PickAsked:
    """What a run was asked for."""
    kept: Mapping[str, Any] = run.asked
    return PickAsked(
        run.player, tuple(Scene(*one) for one in kept["scenes"]), kept["slots"],
        tuple((club, why) for club, why in kept["pins"]), tuple((a, b) for a, b in kept["not_both"]),
        kept["budget"], kept["changes"],
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class PickInputs:
    """Everything that the answer depends on, as it is now."""

    asked: PickAsked
    bag: Bag
    """Carried clubs and candidates only."""
    table: ShotTable
    known: tuple[courses.Understood, ...]
    """The scenes' courses, in their order."""

    @property
    def mark(self) -> str:
        """The same for the same answer: a hash of bag, shots, courses, wish and the method's version."""
        digest = hashlib.sha256()
        marks = [one.mark for one in self.known]
        digest.update(repr((VERSION, marks, self.asked.plain(), self.bag)).encode())
        for i in range(self.table.n):
            digest.update(repr(self.table.shot(i)).encode())
        return digest.hexdigest()

    @property
    def putters(self) -> tuple[str, ...]:
        """Putters that are carried: in the bag in any case."""
        return tuple(club.name for club in self.bag.with_status("carried") if club.kind == "putter")

    @property
    def names(self) -> tuple[str, ...]:
        """The scenes' names, each once: as the problem's rounds are called."""
        found: list[str] = []
        for scene, known in zip(self.asked.scenes, self.known, strict=True):
            name = f"{known.course.name or known.course_id}, {scene.tee}, {_air(scene, known, 'metres')}"
            found.append(f"{name} ({len(found) + 1})" if name in found else name)
        return tuple(found)

    def labels(self, system: System) -> dict[str, str]:
        """The names that people read, by the problem's names."""
        rows = CourseFile.objects.defer("source", "heights").in_bulk([one.course_id for one in self.known])
        return {
            name: f"{rows[known.course_id].name[:60]}, {scene.tee[:40]}, {_air(scene, known, system)}"
            for name, scene, known in zip(self.names, self.asked.scenes, self.known, strict=True)
        }

    def wish(self) -> Wish:
        """What the bag must be, for the clubs beside the putter."""
        clubs = [club for club in self.bag.clubs if club.kind != "putter"]
        today = tuple(club.name for club in clubs if club.status == "carried")
        prices = tuple((c.name, c.price) for c in clubs if c.status != "carried" and c.price is not None)
        asked = self.asked
        return Wish(
            asked.slots - len(self.putters), tuple(Pin(club, why) for club, why in asked.pins), asked.not_both,
            today, prices, asked.budget, asked.changes,
        )  # fmt: skip

    def lead_days(self) -> dict[str, float]:
        """Days until a club is there, where they are known."""
        return {c.name: c.lead_time_days for c in self.bag.clubs if c.lead_time_days is not None}

    def fits(self) -> Dispersions:
        """What the shots say; without any, what handicap, speed and lofts say."""
        from bagwright.dispersion.fit import fit_dispersion

        return fit_dispersion(self.table, self.bag.player, self.bag)

    def stated(self, progress: Callable[[int, int], None], stop: Callable[[], bool]) -> Stated:
        """The problem of all scenes with its draws. Raises StoppedError where `stop` says so."""
        from bagwright.pick.build import Played, build_swayed, clubs_of
        from bagwright.pick.changed import tables_of
        from bagwright.pick.doubt import doubt_of

        winds, fits = list(dict.fromkeys(scene.wind for scene in self.asked.scenes)), self.fits()
        tables = dict(zip(winds, tables_of(self.bag, fits, winds), strict=True))
        played = [
            Played(name, scene.share, rasters_of(known.course, scene.tee), tables[scene.wind])
            for name, scene, known in zip(self.names, self.asked.scenes, self.known, strict=True)
        ]
        doubt = doubt_of(self.bag, fits, clubs_of(played[0].table))
        problem, response = build_swayed(played, doubt, progress=progress, stop=stop)
        return Stated(problem, response, doubt, played[0].table.said)


def _air(scene: Scene, known: courses.Understood, system: System) -> str:
    return air_words(scene.wind, known.course.source, system)


def inputs_of(asked: PickAsked) -> PickInputs:
    """Gather what the answer depends on, as it is now. Raises InputError where the courses or the bag do not do."""
    scenes = asked.scenes
    if not 1 <= len(scenes) <= MOST_SCENES:
        raise InputError(
            _("%(n)s rounds were chosen.") % {"n": len(scenes)},
            _("Choose one to %(most)s courses, tees and winds.") % {"most": MOST_SCENES},
        )
    for scene in scenes:
        if not (0.0 <= scene.wind_mps <= MOST_WIND_MPS and math.isfinite(scene.wind_from_rad)):
            raise InputError(_("That wind is none to play in."), _("Give a speed that golf is played in."))
        if not (math.isfinite(scene.share) and 0.0 < scene.share <= 1e6):
            raise InputError(_("That is no share of rounds."), _("Give a number above 0, such as 1."))
    rows = CourseFile.objects.defer("source", "heights").in_bulk([scene.course_id for scene in scenes])
    if len(rows) < len({scene.course_id for scene in scenes}):
        raise InputError(_("A course of this pick is not there any more."), _("Choose the courses anew."))
    bag = core_bag(asked.player)
    bag = replace(bag, clubs=bag.with_status("carried", "candidate"))
    return PickInputs(
        asked, bag, core_table(list(asked.player.visits.all())),
        tuple(courses.understood(rows[scene.course_id]) for scene in scenes),
    )  # fmt: skip
