"""The best bag for the courses that a player plays: worked out, proven, drawn, kept."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING

from bagwright.errors import InputError
from bagwright.tasks.coursing import ground_of, read_course
from bagwright.tasks.pick_words import (
    CALM,
    Altered,
    Moves,
    PickWish,
    altered_of,
    changed_words,
    changes_of,
    lead_days,
    moves_of,
    share_of,
    wish_of,
)
from bagwright.tasks.source import Ask, Progress, Source, fit, load, load_bag_of, shot_paths
from bagwright.tasks.stroking import wind_of
from bagwright.words import tell

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from bagwright.air import Wind
    from bagwright.bag.club import Bag
    from bagwright.course.raster import Raster
    from bagwright.dispersion.dispersions import Dispersions
    from bagwright.pick.best import Done
    from bagwright.pick.build import Played
    from bagwright.pick.changed import Change
    from bagwright.pick.doubt import Doubt
    from bagwright.pick.evaluate import Evaluator
    from bagwright.pick.how_sure import Drawn
    from bagwright.pick.problem import Problem
    from bagwright.pick.proof import Proof
    from bagwright.pick.result import Anew, HowSure, Pick, PinCost, RunnerUp, Worth
    from bagwright.pick.route import Route
    from bagwright.pick.swaps import Swap
    from bagwright.pick.wish import Wish
    from bagwright.strokes.patterns import PatternTable

AS_NOW = tell("as now")


@dataclass(frozen=True, slots=True)
class PickAnswer:
    """The best bag under the model and the inputs, with everything that is near it and how sure it is."""

    clubs: tuple[str, ...]
    """The bag, putter included."""
    round: float
    bound: float
    likely_bound: float
    gap: float
    optimal: bool
    worth: tuple[Worth, ...]
    runners_up: tuple[RunnerUp, ...]
    near: int
    how_sure: HowSure
    pins: tuple[PinCost, ...]
    swaps: tuple[Swap, ...]
    route: Route | None
    anew: tuple[Anew, ...]
    everything: float
    today: float | None
    slots: int
    within: float
    rounds: tuple[tuple[str, float], ...]
    """Course, tee and wind with their share."""
    currency: str
    method: str
    bags: int
    seconds: float
    problem: str
    said: tuple[str, ...]
    files: tuple[Path, ...] = ()
    moves: Moves | None = None
    """What comes in and goes out against today's bag."""
    route_moves: Moves | None = None
    """The same for the cheapest way."""
    changed: str = ""
    """What of the player is changed, "with 5 mph more driver speed"; empty where nothing is."""
    _made: Made | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Made:
    """What the answer was made from, for pictures and the proof."""

    problem: Problem
    proof: Proof
    wish: Wish
    table: PatternTable
    bag: Bag
    found: Pick


@dataclass(frozen=True, slots=True)
class Stage:
    """One round that is played: name, share, holes and wind."""

    name: str
    share: float
    rasters: Sequence[Raster]
    wind: Wind | None


def pick(
    source: Source,
    wish: PickWish,
    ask: Ask | None = None,
    progress: Progress | None = None,
    searching: Callable[[Done], None] | None = None,
    stop: Callable[[], bool] | None = None,
) -> PickAnswer:
    """Choose the best bag for the player's courses from what is carried and the candidates.

    `progress` hears of holes that are worked out, `searching` how far the search is; where `stop()` says so
    the search ends with what it has found. Raises InputError for a bag, a course, a tee, a wind or a wish
    that cannot be used.
    """
    from bagwright.pick.best import pick_bag
    from bagwright.pick.evaluate import Evaluator
    from bagwright.pick.how_sure import with_draws
    from bagwright.pick.proof import Proof
    from bagwright.pick.sure import Sure
    from bagwright.pick.wish import limits_of

    bag, fits = _shots(source, ask)
    altered, changes = altered_of(wish), changes_of(bag, wish)
    putters = tuple(club.name for club in bag.with_status("carried") if club.kind == "putter")
    asked = wish_of(bag, wish, len(putters), altered)
    # Names and limits that no bag can meet are refused here: the holes take minutes.
    limits_of(asked, _to_choose(bag, altered))
    resume = None if wish.resume is None else Proof.load(wish.resume)
    stages = _stages(wish)
    stated = _stated(bag, fits, stages, changes, altered, progress)
    problem, works = stated.problem, Evaluator(stated.problem)
    found, proof = pick_bag(
        problem, asked, works=works, how=wish.how, seconds=wish.seconds, stop=stop, progress=searching,
        resume=resume,
    )  # fmt: skip
    drawn = Sure(works, stated.response, stated.doubt)
    found = with_draws(found, problem, drawn, stated.doubt)
    made = Made(problem, proof, asked, stated.played[0].table, bag, found)
    answer = _answer(made, putters)
    days = lead_days(bag, altered)
    moves = moves_of(asked.today, found.clubs, dict(asked.prices), days)
    answer = replace(answer, moves=moves, changed=changed_words(wish))
    if wish.confirm:
        answer = replace(answer, anew=_anew(answer, works, stated, made, wish.confirm, progress))
    late = _until(wish.seconds, stop)
    answer = _swapped(answer, made, works, late)
    if changes:
        now = _stated(bag, fits, stages, (), altered, progress)
        answer = replace(answer, swaps=(*answer.swaps, _as_now(now.problem, made, late)))
    return _routed(answer, made, works, drawn, days, late)


def _to_choose(bag: Bag, altered: Sequence[Altered]) -> list[str]:
    """The names that may be chosen from: carried and candidates but for the putter, and changed builds."""
    clubs = bag.with_status("carried", "candidate")
    return [*(club.name for club in clubs if club.kind != "putter"), *(one.name for one in altered)]


@dataclass(frozen=True, slots=True)
class Stated:
    """The finite problem, the rounds behind it, and what the shots leave open of the options."""

    problem: Problem
    played: Sequence[Played]
    response: NDArray[np.float32]
    doubt: Doubt


def _stated(
    bag: Bag, fits: Dispersions, stages: Sequence[Stage], changes: Sequence[Change],
    altered: Sequence[Altered], progress: Progress | None,
) -> Stated:  # fmt: skip
    """The problem of these rounds for a player with these changes."""
    from bagwright.pick.build import Played, build_swayed, clubs_of
    from bagwright.pick.changed import doubt_with, tables_of

    winds = list(dict.fromkeys(stage.wind for stage in stages))
    made = [*changes, *(one.change for one in altered)]
    by_wind = dict(zip(winds, tables_of(bag, fits, winds, made), strict=True))
    played = [Played(stage.name, stage.share, stage.rasters, by_wind[stage.wind]) for stage in stages]
    doubt = doubt_with(bag, fits, clubs_of(played[0].table), made)
    problem, response = build_swayed(played, doubt, progress=progress)
    return Stated(problem, played, response, doubt)


def _stages(wish: PickWish) -> list[Stage]:
    """Every course from every tee in every wind, with its share."""
    from bagwright.report.strokes.round import rasters_of

    if not wish.courses:
        raise InputError(
            tell("There is no course to choose a bag for."), tell("Name one or more with --course.")
        )
    shares = wish.shares or (1.0,) * len(wish.courses)
    if len(shares) != len(wish.courses):
        raise InputError(
            tell("There are {n} courses, but {m} shares.", n=len(wish.courses), m=len(shares)),
            tell("Give one share to each course, in their order, or none."),
        )
    found: list[Stage] = []
    for place, share in zip(wish.courses, shares, strict=True):
        read = read_course(place)
        course = ground_of(read)
        name = read.name or place.file.stem
        for tee, of_tee in [share_of(one) for one in wish.tees] or [(course.tee_names[0], 1.0)]:
            rasters = rasters_of(course, tee)
            for word, of_wind in [share_of(one) for one in wish.winds] or [(CALM, 1.0)]:
                wind = None if word.lower() == CALM else wind_of(word, course.source)
                label = ", ".join((name, tee, word))
                found.append(Stage(label, share * of_tee * of_wind, rasters, wind))
    return found


def _shots(source: Source, ask: Ask | None) -> tuple[Bag, Dispersions]:
    """The bag and what its shots say; without any shot table what handicap, speed and lofts say."""
    from bagwright.dispersion.fit import fit_dispersion
    from bagwright.shots.record import ShotTable

    bag = load_bag_of(source)
    if bag is None or not bag.clubs:
        raise InputError(
            tell("A pick needs a bag to choose from."), tell("Name the bag file with --player or --bag.")
        )
    if not shot_paths(source, bag):
        return bag, fit_dispersion(ShotTable.of([]), bag.player, bag)
    loaded = load(source, ask)
    return (loaded.bag or bag), fit(loaded)


def _answer(made: Made, putters: tuple[str, ...]) -> PickAnswer:
    found = made.found
    return PickAnswer(
        clubs=(*found.clubs, *putters), round=found.round, bound=found.bound,
        likely_bound=found.likely_bound, gap=found.gap, optimal=found.optimal, worth=found.worth,
        runners_up=found.runners_up, near=found.near, how_sure=found.how_sure, pins=found.pins, swaps=(),
        route=None, anew=(), everything=found.everything, today=found.today, slots=made.wish.slots + len(putters),
        within=found.within, rounds=tuple((one.name, one.weight) for one in made.problem.rounds),
        currency=made.bag.player.currency, method=found.method, bags=found.bags, seconds=found.seconds, problem=found.problem,
        said=made.table.said, _made=made,
    )  # fmt: skip


def _anew(
    answer: PickAnswer, works: Evaluator, stated: Stated, made: Made, count: int, progress: Progress | None
) -> tuple[Anew, ...]:
    """The first bags solved anew on every yard."""
    from bagwright.pick.confirm import confirm
    from bagwright.pick.result import Anew

    more = [0.0, *(one.more for one in answer.runners_up)][:count]
    bags = [made.proof.best, *(made.problem.bag(one.clubs) for one in answer.runners_up)][:count]
    found = confirm(works, stated.played, bags, progress=progress)
    return tuple(
        Anew(made.problem.names(one.bag), one.strokes, one.strokes - found[0].strokes, said)
        for one, said in zip(found, more, strict=True)
    )


def _until(seconds: float | None, stop: Callable[[], bool] | None) -> Callable[[], bool]:
    begun, ends = monotonic(), stop or (lambda: False)
    return lambda: ends() or (seconds is not None and monotonic() - begun > seconds)


def _swapped(answer: PickAnswer, made: Made, works: Evaluator, late: Callable[[], bool]) -> PickAnswer:
    """With each round's own best bag."""
    from bagwright.pick.swaps import swaps_of
    from bagwright.pick.wish import limits_of

    limits = limits_of(made.wish, made.problem.clubs)
    found = swaps_of(made.problem, works, limits, made.proof.best, late)
    return replace(answer, swaps=found)


def _as_now(now: Problem, made: Made, late: Callable[[], bool]) -> Swap:
    """The best bag without the changes of speed and loft, beside the picked one."""
    from bagwright.pick.evaluate import Evaluator
    from bagwright.pick.swaps import swap_of
    from bagwright.pick.wish import limits_of

    limits = limits_of(made.wish, now.clubs)
    picked = now.bag(made.problem.names(made.proof.best))
    return swap_of(AS_NOW, now, Evaluator(now), limits, picked, late)


def _routed(
    answer: PickAnswer, made: Made, works: Evaluator, drawn: Drawn, days: dict[str, float],
    late: Callable[[], bool],
) -> PickAnswer:  # fmt: skip
    """With the cheapest way to a bag that does about as well, and the chance that buying nothing does."""
    from bagwright.pick.how_sure import nothing_as_good
    from bagwright.pick.route import cheapest_route

    if not set(made.wish.today) <= set(made.problem.clubs):
        return answer
    route = cheapest_route(made.problem, works, made.wish, made.proof.strokes, days, stop=late)
    moves = None
    if route is not None:
        moves = moves_of(made.wish.today, route.clubs, dict(made.wish.prices), days)
        route = nothing_as_good(route, made.problem, made.proof.best, drawn)
    return replace(answer, route=route, route_moves=moves)


def made_of(answer: PickAnswer) -> Made:
    """What an answer was made from. Raises InputError for one that was read back."""
    if answer._made is None:
        raise InputError(tell("This answer was read back, not worked out."), tell("Work it out again."))
    return answer._made
