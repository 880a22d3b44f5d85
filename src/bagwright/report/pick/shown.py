"""A pick as screens and papers show it: the bag with everything that stands beside it."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Any

import bagwright
from bagwright.errors import InputError
from bagwright.pick.further import Further
from bagwright.pick.result import HoleWorth, HowSure, Pick, PinCost, RunnerUp, TakesOver, Worth
from bagwright.pick.route import Route
from bagwright.pick.swaps import Swap
from bagwright.report.pick.carries import Carries, CarryOf, StepOf
from bagwright.report.pick.kept import read_again
from bagwright.strokes.patterns import Shot
from bagwright.words import tell

if TYPE_CHECKING:
    from bagwright.pick.evaluate import Evaluator
    from bagwright.pick.problem import Problem


@dataclass(frozen=True, slots=True)
class HoleChange:
    """A hole with today's clubs and the picked ones: strokes each time it is played, and the tee shot."""

    round: str
    hole: int
    today: float
    picked: float
    tee_today: Shot | None
    tee_picked: Shot | None

    @property
    def saves(self) -> float:
        """Strokes that the picked bag saves there; negative where it costs some."""
        return self.today - self.picked


@dataclass(frozen=True, slots=True)
class PickShown:
    """A pick with what stands beside it. `rounds` are the problem's, each with its share.

    `today` are today's clubs, `putters` are carried beside the slots and count in `slots`. `holes` are in the
    order of the rounds; none where today's bag is not made of clubs to choose from.
    """

    pick: Pick
    slots: int
    within: float
    putters: tuple[str, ...]
    clubs: tuple[str, ...]
    """All clubs to choose from, in the problem's order."""
    today: tuple[str, ...]
    rounds: tuple[tuple[str, float], ...]
    holes: tuple[HoleChange, ...]
    swaps: tuple[Swap, ...]
    route: Route | None
    carries: Carries
    currency: str
    said: tuple[str, ...]

    @property
    def keeps(self) -> bool:
        """Whether today's bag is the picked one, or as good as it (`within`)."""
        today = self.pick.today
        fits_in = len(self.today) + len(self.putters) <= self.slots
        return today is not None and fits_in and today - self.pick.round <= self.within

    def called(self, names: Mapping[str, str]) -> PickShown:
        """The same with other names for the rounds, by the names that they have."""
        worth = tuple(
            replace(one, holes=tuple(replace(h, round=names.get(h.round, h.round)) for h in one.holes))
            for one in self.pick.worth
        )
        return replace(
            self, pick=replace(self.pick, worth=worth),
            rounds=tuple((names.get(name, name), share) for name, share in self.rounds),
            holes=tuple(replace(one, round=names.get(one.round, one.round)) for one in self.holes),
            swaps=tuple(replace(one, scene=names.get(one.scene, one.scene)) for one in self.swaps),
        )  # fmt: skip

    @classmethod
    def of(cls, kept: Mapping[str, Any]) -> PickShown:
        """The pick again from `version` and the plain form, `shown`.

        Raises InputError for one that another version of the program kept.
        """
        if kept.get("version") != VERSION:
            raise InputError(
                tell("This was worked out by another version of the program."), tell("Work it out again.")
            )
        return read_again(cls, kept["shown"])


_KINDS = (
    PickShown, HoleChange, Pick, Worth, HoleWorth, TakesOver, RunnerUp, PinCost, HowSure, Swap, Route,
    Carries, CarryOf, StepOf, Shot, Further,
)  # fmt: skip
_SHAPE = ",".join(one.name for kind in _KINDS for one in fields(kind))
VERSION = f"{bagwright.__version__}/1/{hashlib.sha256(_SHAPE.encode()).hexdigest()[:8]}"
"""Changes where a kept pick could not be read any more, or the same inputs would give another."""


def hole_changes(problem: Problem, works: Evaluator, today: int, picked: int) -> tuple[HoleChange, ...]:
    """Every hole with both bags: strokes, and what is played from the tee."""
    strokes = [works.by_hole(bag) for bag in (today, picked)]
    shots = [works.choices(bag)[0][problem.tee] for bag in (today, picked)]
    words = [[_tee_shot(problem, int(option)) for option in row] for row in shots]
    return tuple(
        HoleChange(
            problem.rounds[problem.hole_round[h]].name, int(problem.hole_number[h]), float(strokes[0][h]),
            float(strokes[1][h]), words[0][h], words[1][h],
        )
        for h in range(len(problem.tee))
    )  # fmt: skip


def _tee_shot(problem: Problem, option: int) -> Shot | None:
    """The shot of an option; None for the fallback, which is none of the player's."""
    shot = int(problem.shot[option])
    return None if problem.club[option] < 0 or shot < 0 else problem.shots[shot]
