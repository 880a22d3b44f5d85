"""A club ticked in or out on a pick's page: that bag worked out on the kept problem. Nothing is stored."""

from __future__ import annotations

import threading
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _

from bagwright.bay.pick_inputs import asked_of, inputs_of
from bagwright.bay.pick_work import problem_of
from bagwright.errors import BagwrightError, InputError
from bagwright.pick.result import TIE_STROKES
from bagwright.pick.wish import Limits, Wish, limits_of
from bagwright.report.pick.carries import CarryLine
from bagwright.report.pick.shown import PickShown
from bagwright.report.pick.words import more_words
from bagwright.report.words import joined, number
from bagwright.store.models import PickProblem, PickRun
from bagwright.words import tell

if TYPE_CHECKING:
    from bagwright.pick.problem import Problem

LEAST_TIMES = 0.05
"""A club that is used less often more than that, a round, is not said to take over (judgement)."""
MOST_FALLBACK = 0.02
"""Times a round that no shot of the bag was kept for a spot, from which on it is said (judgement)."""


@dataclass(frozen=True, slots=True)
class Used:
    """A club that is used more, or less, than with the picked bag: by how many times a round."""

    club: str
    times: float


@dataclass(frozen=True, slots=True)
class TriedBag:
    """A bag that was ticked together.

    `more` strokes a round than the picked one, negative for fewer. `breaks` says which limits it does not keep;
    `proof` what is known of it against the best bag. `lines` are its clubs by carry.
    """

    clubs: tuple[str, ...]
    strokes: float
    more: float
    words: str
    breaks: tuple[str, ...]
    proof: str
    out: tuple[str, ...]
    into: tuple[str, ...]
    takes_over: tuple[Used, ...]
    lines: tuple[CarryLine, ...]
    picked_lines: tuple[CarryLine, ...]
    guessed: float
    """Times a round from spots where none of its shots was kept: those strokes are judged."""

    @property
    def same(self) -> bool:
        """True for the picked bag itself."""
        return not self.out and not self.into


class Tries:
    """A kept problem with its evaluator, for one caller at a time."""

    def __init__(self, problem: Problem) -> None:
        from bagwright.pick.evaluate import Evaluator

        self.problem = problem
        self._works = Evaluator(problem, threads=1)
        self._lock = threading.Lock()

    def strokes_and_use(self, bag: int) -> tuple[float, tuple[float, ...], float]:
        """Strokes a round, how often each club is used, and how often no kept shot was there."""
        with self._lock:
            use = self._works.use_of(bag)
            return float(self._works.strokes([bag])[0]), tuple(use.times.tolist()), use.fallback


@lru_cache(maxsize=2)
def _tries(run_id: int, finished: str) -> Tries:
    content = PickProblem.objects.filter(run=run_id).values_list("problem", flat=True).first()
    if content is None:
        raise InputError(
            _("A newer pick took its place; only its figures were kept."), _("Look at the newer one.")
        )
    return Tries(problem_of(bytes(content)))


def tried(run: PickRun, shown: PickShown, places: Iterable[int]) -> TriedBag:
    """Work a bag out by the places of its clubs. Raises InputError for others, and where the problem is not kept."""
    clubs = shown.clubs
    bag = set(places)
    if not bag or not bag <= set(range(len(clubs))):
        raise InputError(_("Tick at least one club of the list."), _("Begin again from the picked bag."))
    tries = _tries(run.pk, str(run.finished_at))
    chosen = sum(1 << i for i in bag)
    picked = tries.problem.bag(shown.pick.clubs)
    strokes, times, guessed = tries.strokes_and_use(chosen)
    more = strokes - shown.pick.round
    breaks = _breaks(run, shown, chosen)
    before = tries.strokes_and_use(picked)[1]
    names = tries.problem.names(chosen)
    return TriedBag(
        names, strokes, more, more_words(more), breaks, _proof(shown, more, breaks),
        tries.problem.names(picked & ~chosen), tries.problem.names(chosen & ~picked),
        _taken_over(clubs, before, times, picked & chosen), shown.carries.lines(names),
        shown.carries.lines(shown.pick.clubs), guessed if guessed >= MOST_FALLBACK else 0.0,
    )  # fmt: skip


def _taken_over(
    clubs: tuple[str, ...], before: tuple[float, ...], now: tuple[float, ...], both: int
) -> tuple[Used, ...]:
    """Clubs of both bags that are used differently, the one that is used more first."""
    found = [
        Used(club, b - a)
        for i, (club, a, b) in enumerate(zip(clubs, before, now, strict=True))
        if both >> i & 1
    ]
    return tuple(sorted((one for one in found if abs(one.times) >= LEAST_TIMES), key=lambda one: -one.times))


def _breaks(run: PickRun, shown: PickShown, bag: int) -> tuple[str, ...]:
    """Which limits of the wish the bag does not keep, in words."""
    try:
        wish = inputs_of(asked_of(run)).wish()
        limits = limits_of(wish, shown.clubs)
    except BagwrightError:
        return (tell("bag or courses changed since, so its limits cannot be checked"),)
    return tuple(_broken(wish, limits, shown, bag))


def _broken(wish: Wish, limits: Limits, shown: PickShown, bag: int) -> list[str]:
    found = []
    n = bag.bit_count() + len(shown.putters)
    if bag.bit_count() > limits.slots:
        found.append(tell("{n} clubs with the putter, at most {most}", n=n, most=shown.slots))
    missing = [club for i, club in enumerate(shown.clubs) if limits.pinned >> i & 1 and not bag >> i & 1]
    if missing:
        found.append(tell("{names} must be carried in any case", names=joined(missing)))
    for pair, names in zip(limits.pairs, (one for one in wish.not_both if one[0] != one[1]), strict=True):
        if bag & pair == pair:
            found.append(tell("never {a} and {b} together", a=names[0], b=names[1]))
    if limits.changes is not None and (bag & limits.new).bit_count() > limits.changes:
        found.append(tell("more than {most} clubs are new", most=limits.changes))
    if limits.budget is not None and limits.cost(bag) > limits.budget:
        found.append(
            tell("new clubs for {price}, at most {most}", price=number(limits.cost(bag) / 100, 0),
                 most=number(limits.budget / 100, 0))
        )  # fmt: skip
    return found


def _proof(shown: PickShown, more: float, breaks: tuple[str, ...]) -> str:
    """What is known of the bag against the best one, under the model and the inputs."""
    if breaks:
        return tell("Under this model and these inputs; it is not an allowed bag, so it does not compete.")
    if not shown.pick.optimal:
        return tell("Under this model and these inputs. The search was stopped: the best bag is not proven.")
    if more <= TIE_STROKES:
        return tell("Under this model and these inputs no allowed bag is better by more than a tie.")
    return tell(
        "Under this model and these inputs the best allowed bag needs {more} strokes a round fewer; that is proven.",
        more=number(more, 3),
    )
