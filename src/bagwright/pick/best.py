"""The door to the best bag: a problem and a wish in, a pick out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from time import monotonic, perf_counter
from typing import Literal

from bagwright.errors import InputError
from bagwright.pick.enumerate import Enumeration, count
from bagwright.pick.evaluate import Evaluator
from bagwright.pick.problem import Problem
from bagwright.pick.proof import Proof, left_out
from bagwright.pick.result import TIE_STROKES, HowSure, Pick, PinCost, RunnerUp, Worth, proof_words
from bagwright.pick.search import SAME, Search, Standing
from bagwright.pick.wish import Limits, Pin, Wish, limits_of
from bagwright.pick.worth import Works, worth_of
from bagwright.words import join, tell

How = Literal["auto", "search", "every"]
FEW = 1500
"""So many bags are simply all worked out."""
MOST_SHOWN = 50
"""Near bags that a pick lists."""
SHOTS_NOT_DRAWN = tell("How well the shots know the player is not in these figures.")


@dataclass(frozen=True, slots=True)
class Done:
    """How far a pick is: bags worked out, the best one's strokes and the proven bound so far."""

    bags: int
    strokes: float
    bound: float
    open: int


Progress = Callable[[Done], None]


def pick_bag(
    problem: Problem,
    wish: Wish,
    *,
    works: Works | None = None,
    how: How = "auto",
    seconds: float | None = None,
    stop: Callable[[], bool] | None = None,
    progress: Progress | None = None,
    resume: Proof | None = None,
) -> tuple[Pick, Proof]:
    """The best allowed bag of a problem, the bags near it, what every club is worth, and the proof.

    `works` works the bags out (None: an `Evaluator` on the processor). `how` "search" is branch and bound,
    "every" works every bag out, "auto" chooses. After `seconds`, or where `stop()` is true, it ends with the
    best found and says how much better one could be; its proof is then a state that `resume` takes up again,
    by branch and bound unless `how` is "every".

    Raises InputError for a wish that no bag meets, and for a `resume` of another problem or wish, or one that
    leaves bags out. The numbers that close its parts are taken as they stand: `proof.verify` checks them.
    """
    begun, clock = perf_counter(), monotonic()
    source: Works = works if works is not None else Evaluator(problem)
    limits, digest = limits_of(wish, problem.clubs), problem.digest()
    late = _late(clock, seconds, stop)
    hear = progress or (lambda done: None)
    found: Search | Enumeration
    if resume is not None:
        _same_question(resume, digest, wish)
    few = resume is None and how == "auto" and count(limits, FEW + 1) <= FEW
    if how == "every" or few:
        found = Enumeration(source, limits, wish.within)
        if resume is not None:
            found.within = resume.wish.within
            found.resume(resume.best, resume.near, resume.tree)
        found.run(lambda done: late(), lambda done: hear(Done(done, found.strokes, problem.everything, 1)))
        bags, bound = found.evaluations, problem.everything
        likely = bound
    else:
        found = Search(source, limits, wish.within)
        if resume is not None:
            found.within = resume.wish.within
            found.resume(resume.best, resume.near, resume.tree)
        found.run(lambda standing: late(), lambda standing: hear(_done(standing)))
        standing = found.standing()
        bags, bound, likely = standing.evaluations, standing.bound, standing.guess
    pick = _pick(problem, source, wish, limits, found, (bags, bound, likely))
    pins = tuple(_pin_cost(source, problem, wish, pin, pick.round, late) for pin in wish.pins)
    wish = replace(wish, within=found.within)
    proof = Proof(digest, problem.clubs, wish, found.best, found.strokes, found.near, found.root[0])
    return replace(pick, pins=pins, problem=digest, seconds=perf_counter() - begun), proof


def slot_worth(problem: Problem, clubs: Sequence[str], *, works: Works | None = None) -> tuple[Worth, ...]:
    """What every club of a bag saves a round against the same bag without it.

    Raises InputError for clubs that are not of the problem.
    """
    source: Works = works if works is not None else Evaluator(problem)
    return worth_of(problem, source, problem.bag(tuple(clubs)))


def _late(clock: float, seconds: float | None, stop: Callable[[], bool] | None) -> Callable[[], bool]:
    ends = stop or (lambda: False)
    return lambda: ends() or (seconds is not None and monotonic() - clock > seconds)


def _done(standing: Standing) -> Done:
    return Done(standing.evaluations, standing.strokes, standing.bound, standing.open)


def _same_question(resume: Proof, digest: str, wish: Wish) -> None:
    if resume.digest != digest or replace(resume.wish, within=wish.within) != wish:
        raise InputError(
            tell("The search that was stopped is of another problem or another wish."),
            tell("Start it anew, or give the same courses, clubs and limits."),
        )
    faults = left_out(resume)
    if faults:
        raise InputError(faults[0], tell("Make it again with `bagwright pick --proof`."))


def _pick(
    problem: Problem, source: Works, wish: Wish, limits: Limits, found: Search | Enumeration,
    far: tuple[int, float, float],
) -> Pick:  # fmt: skip
    bags, bound, likely = far
    if found.best < 0:
        raise InputError(tell("The search was stopped before it found a bag."), tell("Give it more seconds."))
    optimal = found.proven
    bound = found.strokes if optimal else min(bound, found.strokes)
    likely = found.strokes if optimal else min(max(likely, bound), found.strokes)
    near = sorted(
        (
            (strokes, bag)
            for bag, strokes in found.near.items()
            if strokes <= found.most and bag != found.best and not limits.can_grow(bag)
        )
    )
    runners = tuple(_runner(problem, found.best, bag, strokes - found.strokes) for strokes, bag in near)
    every = isinstance(found, Enumeration)
    words = proof_words(optimal, bags, every, found.strokes - bound, found.strokes - likely)
    if found.within < wish.within:
        words = join(" ", (words, _crowd(found.within)))
    today = None
    if set(wish.today) <= set(problem.clubs):
        today = float(source.holes([problem.bag(wish.today)])[0].sum())
    return Pick(
        clubs=problem.names(found.best), round=found.strokes, bound=bound, likely_bound=likely,
        optimal=optimal, worth=worth_of(problem, source, found.best), runners_up=runners[:MOST_SHOWN],
        near=len(runners), how_sure=HowSure(words, SHOTS_NOT_DRAWN), pins=(), everything=problem.everything,
        today=today, method="every bag" if every else "branch and bound", bags=bags, seconds=0.0, problem="",
        within=found.within,
    )  # fmt: skip


def _crowd(within: float) -> str:
    """What is said where more bags come near than are kept."""
    if within < 0.0:
        return tell("Very many bags tie with it, so that none of them is listed.")
    return tell(
        "Very many bags come near it: only those within {within:.5f} strokes are listed.", within=within
    )


def _runner(problem: Problem, best: int, bag: int, more: float) -> RunnerUp:
    return RunnerUp(
        problem.names(bag), max(0.0, more), problem.names(best & ~bag), problem.names(bag & ~best),
        more <= TIE_STROKES,
    )  # fmt: skip


def _pin_cost(
    source: Works, problem: Problem, wish: Wish, pin: Pin, strokes: float, late: Callable[[], bool]
) -> PinCost:
    """What one pin costs: the best bag with it, less the best one where only this pin is lifted."""
    free = replace(wish, pins=tuple(one for one in wish.pins if one != pin), within=0.0)
    search = Search(source, limits_of(free, problem.clubs), 0.0)
    search.run(lambda standing: late())
    cost = strokes - search.strokes
    return PinCost(pin.club, pin.reason, cost if cost > SAME else 0.0)
