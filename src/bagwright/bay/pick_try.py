"""A club ticked in or out on a pick's page: that bag worked out on the kept problem. Nothing is stored."""

from __future__ import annotations

import threading
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from django.utils.translation import gettext as _

from bagwright.bay.pick_inputs import asked_of, inputs_of
from bagwright.bay.pick_kept import Stated, stated_of
from bagwright.errors import BagwrightError, InputError
from bagwright.estimate import LEVEL, Estimate
from bagwright.pick.result import TIE_STROKES
from bagwright.pick.slot import SlotOn, slot_on
from bagwright.pick.wish import Limits, Wish, limits_of
from bagwright.report.pick.carries import CarryLine
from bagwright.report.pick.shown import PickShown
from bagwright.report.pick.words import more_words
from bagwright.report.words import joined, number
from bagwright.store.models import PickProblem, PickRun
from bagwright.words import tell

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

    `more` strokes a round than the picked one, negative for fewer, with what the shots leave open as a range.
    `breaks` says which limits it does not keep; `proof` what is known of it against the best bag. `lines` are
    its clubs by carry.
    """

    clubs: tuple[str, ...]
    strokes: float
    more: Estimate
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
    """A kept problem with its evaluator and draws, for one caller at a time."""

    def __init__(self, stated: Stated) -> None:
        from bagwright.pick.evaluate import Evaluator
        from bagwright.pick.sure import Sure

        self.problem = stated.problem
        self._works = Evaluator(stated.problem, threads=1)
        self._drawn = Sure(self._works, stated.response, stated.doubt)
        self._lock = threading.Lock()

    def slot(self, rest: Sequence[str], builds: Sequence[str]) -> SlotOn:
        """Each build in a slot beside the rest."""
        with self._lock:
            return slot_on(self.problem, self._works, self._drawn, rest, builds)

    def against(self, bag: int, picked: int) -> Against:
        """Strokes of a bag and what it costs more than the picked one, with how both use their clubs."""
        with self._lock:
            both = self._works.strokes([bag, picked])
            drawn = self._drawn.strokes([bag, picked])
            uses = [self._works.use_of(one) for one in (bag, picked)]
        apart = drawn[:, 0] - drawn[:, 1]
        low, high = np.quantile(apart - apart.mean(), [(1 - LEVEL) / 2, (1 + LEVEL) / 2])
        more = float(both[0] - both[1])
        return Against(
            float(both[0]), Estimate(more, more + float(low), more + float(high)),
            tuple(uses[0].times.tolist()), tuple(uses[1].times.tolist()), uses[0].fallback,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Against:
    """One bag against another: strokes a round, the difference with its 90 % range, how often clubs are used."""

    strokes: float
    more: Estimate
    times: tuple[float, ...]
    times_picked: tuple[float, ...]
    guessed: float


@lru_cache(maxsize=1)
def _tries(run_id: int, finished: str) -> Tries:
    kept = PickProblem.objects.filter(run=run_id).first()
    if kept is None:
        raise InputError(
            _("A newer pick took its place; only its figures were kept."), _("Look at the newer one.")
        )
    return Tries(stated_of(bytes(kept.problem), bytes(kept.draws), ()))


def tries_of(run: PickRun) -> Tries:
    """The kept problem of a pick. Raises InputError where only its figures were kept."""
    return _tries(run.pk, str(run.finished_at))


def tried(run: PickRun, shown: PickShown, places: Iterable[int]) -> TriedBag:
    """Work a bag out by the places of its clubs. Raises InputError for others, and where the problem is not kept."""
    clubs = shown.clubs
    bag = set(places)
    if not bag or not bag <= set(range(len(clubs))):
        raise InputError(_("Tick at least one club of the list."), _("Begin again from the picked bag."))
    tries = tries_of(run)
    chosen = sum(1 << i for i in bag)
    picked = tries.problem.bag(shown.pick.clubs)
    found = tries.against(chosen, picked)
    more, breaks = found.more.value, _breaks(run, shown, chosen)
    names = tries.problem.names(chosen)
    return TriedBag(
        names, found.strokes, found.more, more_words(more), breaks, _proof(shown, more, breaks),
        tries.problem.names(picked & ~chosen), tries.problem.names(chosen & ~picked),
        _taken_over(clubs, found.times_picked, found.times, picked & chosen), shown.carries.lines(names),
        shown.carries.lines(shown.pick.clubs), found.guessed if found.guessed >= MOST_FALLBACK else 0.0,
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
