"""A pick for the papers: what `pick` found, with carries before and after and the holes where the choice shows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bagwright.tasks.pick_words import PickWish
from bagwright.tasks.picking import PickAnswer, made_of, pick

if TYPE_CHECKING:
    from bagwright.dispersion.dispersions import Dispersions
    from bagwright.report.pick.shown import PickShown
    from bagwright.tasks.source import Ask, Progress, Source
    from bagwright.tasks.stroking import RoundWish


def pick_for(
    source: Source, on: RoundWish, ask: Ask | None = None, progress: Progress | None = None
) -> PickAnswer:
    """The best bag for one round. Raises InputError as `pick`."""
    wish = PickWish(
        (on.course,), tees=() if on.tee is None else (on.tee,), winds=() if on.wind is None else (on.wind,)
    )
    return pick(source, wish, ask, progress)


def shown_of(answer: PickAnswer, fits: Dispersions) -> PickShown:
    """An answer with what the papers show beside it. Raises InputError for one that was read back."""
    from bagwright.pick.evaluate import Evaluator
    from bagwright.report.pick.carries import carries_of
    from bagwright.report.pick.shown import HoleChange, PickShown, hole_changes

    made = made_of(answer)
    problem, today = made.problem, made.wish.today
    holes: tuple[HoleChange, ...] = ()
    if today and set(today) <= set(problem.clubs):
        holes = hole_changes(problem, Evaluator(problem), problem.bag(today), made.proof.best)
    putters = tuple(name for name in answer.clubs if name not in made.found.clubs)
    return PickShown(
        made.found, answer.slots, made.wish.within, putters,
        problem.clubs, today, answer.rounds, holes, answer.swaps, answer.route, carries_of(made.bag, fits),
        answer.currency, answer.said,
    )  # fmt: skip
