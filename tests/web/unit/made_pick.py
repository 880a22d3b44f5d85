"""A pick on an invented problem, for tests of pages: the search is real, no hole was worked out."""

from __future__ import annotations

import numpy as np
from django.utils import timezone

from bagwright.bay import pick_work
from bagwright.bay.pick_inputs import PickAsked, PickInputs, Scene, inputs_of
from bagwright.bay.pick_kept import Stated
from bagwright.pick.doubt import doubt_of
from bagwright.pick.problem import Problem
from bagwright.store.models import CourseFile, PickProblem, PickRun, Player
from tests.unit.pick.invented import invented

__all__ = ["asked_for", "clubs_of", "invented", "kept_pick", "stated"]


def stated(inputs: PickInputs, problem: Problem, seed: int = 2) -> Stated:
    """The problem with the bag's own draws, and options that they move by some hundredths of a stroke."""
    doubt = doubt_of(inputs.bag, inputs.fits(), problem.clubs)
    rng = np.random.default_rng(seed)
    response = 0.02 * rng.standard_normal((len(problem.club), doubt.weights().shape[2]))
    return Stated(problem, response.astype(np.float32), doubt, ("made up",))


def clubs_of(inputs: PickInputs) -> list[str]:
    """The clubs to choose from, in the order of the bag."""
    return [club.name for club in inputs.bag.clubs if club.kind != "putter"]


def asked_for(player: Player, kept: CourseFile, tee: str = "white", **wish: object) -> PickAsked:
    """One calm round on a course; `slots` 7 unless something else is said."""
    values: dict[str, object] = {"slots": 7} | wish
    return PickAsked(player, (Scene(kept.pk, tee, 1.0),), **values)  # type: ignore[arg-type]


def kept_pick(player: Player, kept: CourseFile, tee: str = "white", **wish: object) -> PickRun:
    """A pick that is done, with the inputs of now."""
    inputs = inputs_of(asked_for(player, kept, tee, **wish))
    problem = invented(clubs_of(inputs), inputs.names[0])
    found = pick_work.found_on(inputs, stated(inputs, problem))
    run = PickRun.objects.create(
        player=player, asked=inputs.asked.plain(), inputs=inputs.mark, state="done", share=1.0,
        result=found.result, finished_at=timezone.now(),
    )  # fmt: skip
    PickProblem.objects.create(run=run, problem=found.problem, draws=found.draws, proof=found.proof)
    return run
