"""A contested slot on a course: each build in it under the same draws, and what further balls are worth in strokes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from bagwright.errors import InputError
from bagwright.tasks.coursing import ground_of, read_course
from bagwright.tasks.source import Progress
from bagwright.words import tell

if TYPE_CHECKING:
    from bagwright.bag.club import Bag
    from bagwright.dispersion.dispersions import Dispersions
    from bagwright.pick.further import Further
    from bagwright.pick.slot import BuildOn
    from bagwright.tasks.stroking import RoundWish
    from bagwright.trial.brief import Brief


@dataclass(frozen=True, slots=True)
class SlotPlayed:
    """A slot on a course. `more` of a build is against the best one in the slot, strokes a round.

    `lies` are played from with it, each with its share of the uses; `full` is the share of full shots.
    `further` says what further balls with each build are worth, strokes a round, the most first.
    """

    where: str
    builds: tuple[BuildOn, ...]
    empty_costs: float
    lies: tuple[tuple[str, float], ...]
    full: float
    further: tuple[Further, ...]
    job: str
    leaders: str
    next_sentence: str


def play_slot(
    bag: Bag, fits: Dispersions, names: Sequence[str], on: RoundWish, progress: Progress | None = None
) -> SlotPlayed:
    """Play each build in the slot beside the rest of the carried clubs. `names` are the builds.

    Raises InputError for fewer than two builds, for some that are not in the bag, and as `pick` for the
    course.
    """
    from bagwright.pick.build import Played, build_swayed, clubs_of
    from bagwright.pick.changed import tables_of
    from bagwright.pick.doubt import doubt_of
    from bagwright.pick.evaluate import Evaluator
    from bagwright.pick.further import further
    from bagwright.pick.slot import slot_on
    from bagwright.pick.sure import Sure
    from bagwright.report.pick import slot_words
    from bagwright.report.strokes.round import rasters_of
    from bagwright.tasks.stroking import wind_of

    _check(bag, names)
    read = read_course(on.course)
    course = ground_of(read)
    tee = on.tee if on.tee is not None else course.tee_names[0]
    wind = wind_of(on.wind, course.source)
    clubs = tuple(club for club in bag.clubs if club.status == "carried" or club.name in names)
    played = replace(bag, clubs=tuple(replace(club, status="carried") for club in clubs))
    (table,) = tables_of(played, fits, [wind])
    where = ", ".join([read.name or on.course.file.stem, tee, on.wind or "calm"])
    doubt = doubt_of(played, fits, clubs_of(table))
    rounds = [Played(where, 1.0, rasters_of(course, tee), table)]
    problem, response = build_swayed(rounds, doubt, progress=progress)
    works = Evaluator(problem)
    drawn = Sure(works, response, doubt)
    rest = [name for name in problem.clubs if name not in names]
    found = slot_on(problem, works, drawn, rest, names)
    bags = [problem.bag(rest) | problem.bag([name]) for name in names]
    balls = tuple(one for one in further(drawn.strokes(bags), doubt) if one.club in names)
    return SlotPlayed(
        where, found.builds, found.empty.value, found.lies, found.full, balls,
        slot_words.job_words(found, where), slot_words.leaders_words(found),
        slot_words.further_in_strokes(balls),
    )  # fmt: skip


def _check(bag: Bag, names: Sequence[str]) -> None:
    if len(names) < 2:
        raise InputError(
            tell("A course compares the builds of a slot."),
            tell("Name two or more with --slot, and the bag."),
        )
    strange = [name for name in names if bag.find(name) is None]
    if strange:
        raise InputError(
            tell(
                "A course compares builds of the bag; {names} are not in it.", names=", ".join(strange)[:200]
            ),
            tell("Put them into the bag file as candidates, or leave the course away."),
        )


def asked_lies(brief: Brief, played: SlotPlayed) -> tuple[str, ...]:
    """The lies that the course asks of the slot, as a brief takes them."""
    from bagwright.shots.record import LIES

    asked = dict.fromkeys("rough" if lie == "deep" else lie for lie, _share in played.lies)
    return tuple(lie for lie in asked if lie in LIES) or brief.lies
