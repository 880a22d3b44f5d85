"""A pick on an invented problem, for tests of pages: the search is real, no hole was worked out."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from django.utils import timezone

from bagwright.bay import pick_work
from bagwright.bay.pick_inputs import PickAsked, PickInputs, Scene, inputs_of
from bagwright.bay.pick_kept import Stated
from bagwright.pick.doubt import doubt_of
from bagwright.pick.problem import Problem, Round
from bagwright.store.models import CourseFile, PickProblem, PickRun, Player
from bagwright.strokes.patterns import Shot

SPOTS = 30
HOLES = 2


def invented(clubs: Sequence[str], name: str = "Short course, white, calm", seed: int = 1) -> Problem:
    """Two holes of thirty spots: each has options of some clubs, and leads to nearer spots."""
    rng = np.random.default_rng(seed)
    n = len(clubs)
    club: list[int] = []
    cost: list[float] = []
    rows: list[tuple[list[int], list[float]]] = []
    first_option = [0]
    for hole in range(HOLES):
        for spot in range(SPOTS):
            has = rng.choice(n, min(n, 4), replace=False)
            prices = np.sort(np.append(0.0, rng.gamma(1.0, 0.05, len(has) - 1)))
            for k, price in [*zip(has, prices, strict=True), (-1, 0.6)]:
                club.append(int(k))
                cost.append(float(price))
                near = rng.choice(spot + 1, min(spot + 1, 5), replace=False)
                share = rng.dirichlet(np.ones(len(near))) * rng.uniform(0.3, 0.7)
                rows.append(([hole * SPOTS + int(f) for f in near], [float(w) for w in share]))
            first_option.append(len(club))
    spots = HOLES * SPOTS
    return Problem(
        clubs=tuple(clubs), shots=tuple(Shot(one, "stock") for one in clubs), rounds=(Round(name, 1.0),),
        hole_round=np.zeros(HOLES, np.int64), hole_number=np.arange(1, HOLES + 1, dtype=np.int64),
        hole_weight=np.ones(HOLES), first_spot=np.arange(0, spots + 1, SPOTS, dtype=np.int64),
        tee=np.arange(1, HOLES + 1, dtype=np.int64) * SPOTS - 1, tee_strokes=np.array([4.5, 3.9]),
        spot_x_m=np.zeros(spots, np.float32), spot_y_m=np.zeros(spots, np.float32),
        spot_lie=np.zeros(spots, np.int32), spot_strokes=np.full(spots, 4, np.float32),
        first_option=np.array(first_option, np.int64), club=np.array(club, np.int32),
        shot=np.array(club, np.int32), aim_rad=np.zeros(len(club), np.float32),
        cost=np.array(cost, np.float32),
        first_entry=np.cumsum([0, *(len(to) for to, _ in rows)]).astype(np.int64),
        next=np.array([t for to, _ in rows for t in to], np.int32),
        chance=np.array([w for _, share in rows for w in share], np.float32),
    )  # fmt: skip


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
