"""The decision board's state: what is known of the candidates now, computed once a change for all screens."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from django.db.models import Count, Max, Sum
from django.utils.translation import gettext as _

from bagwright.bag.club import Bag, Status
from bagwright.bay import briefing
from bagwright.bay.planning import taking_part
from bagwright.errors import InputError
from bagwright.shots.record import Conditions, ShotTable
from bagwright.store.convert import core_bag, core_conditions, core_table
from bagwright.store.models import Candidate, Visit
from bagwright.trial.ratings import ASPECTS
from bagwright.units import System

if TYPE_CHECKING:
    from bagwright.dispersion.fit import Dispersions
    from bagwright.trial.result import Verdict

KEEP = 32
"""Most states kept at a time, one a visit and system of units."""
LEAST_BALLS = 3
"""Stock balls that a candidate needs before it is judged: fewer say nothing (the verdict itself warns)."""
NAME = 40
"""Most characters of a club's name inside a sentence."""


@dataclass(frozen=True, slots=True)
class Standing:
    """One candidate by its stock balls of this visit, without warm-up and bad reads."""

    name: str
    present: bool
    balls: int

    @property
    def ready(self) -> bool:
        """True when it has balls enough to be judged."""
        return self.balls >= LEAST_BALLS


@dataclass(frozen=True, slots=True)
class BoardState:
    """Everything that the board, the pictures, the decision and the papers of a visit rest on.

    `mark` names the state of the database that it was computed from. `verdict` is None while it cannot be
    given; `waiting` then says for what. `error` is what the judgement itself had to say against one. `fits`
    is None without any shot.
    """

    visit_id: int
    revision: int
    system: System
    table: ShotTable
    bag: Bag
    conditions: dict[str, Conditions]
    standings: tuple[Standing, ...]
    fits: Dispersions | None
    verdict: Verdict | None
    error: str = ""
    mark: Hashable = None
    tested: Bag = field(default_factory=Bag)
    """The bag as it stood for this trial, whatever was decided since."""

    @property
    def waiting(self) -> str:
        """Why there is no verdict yet, in the words of whoever asks now; "" where there is one."""
        if self.verdict is not None:
            return ""
        return self.error or waiting_for(self.standings)

    @property
    def late(self) -> tuple[Standing, ...]:
        """Candidates that the verdict does not speak of, as they have too few balls."""
        if self.verdict is None:
            return ()
        judged = {candidate.name for candidate in self.verdict.candidates}
        return tuple(one for one in self.standings if one.name not in judged)


@dataclass(slots=True)
class _Turn:
    """One computation that somebody does while others wait for it."""

    lock: threading.Lock = field(default_factory=threading.Lock)
    waiting: int = 0
    state: BoardState | None = None


class Memory:
    """The last state of each visit and system of units; each computed by one thread while others wait."""

    def __init__(self, keep: int = KEEP) -> None:
        self._keep = keep
        self._lock = threading.Lock()
        self._states: OrderedDict[tuple[int, str], BoardState] = OrderedDict()
        self._turns: dict[tuple[int, str, Hashable], _Turn] = {}

    def get(
        self, visit_id: int, system: System, mark: Hashable, compute: Callable[[], BoardState]
    ) -> BoardState:
        """The state of a visit at a mark, computed if nobody has done so."""
        key, ticket = (visit_id, system), (visit_id, system, mark)
        with self._lock:
            found = self._states.get(key)
            if found is not None and found.mark == mark:
                self._states.move_to_end(key)
                return found
            turn = self._turns.setdefault(ticket, _Turn())
            turn.waiting += 1
        try:
            with turn.lock:
                if turn.state is None:
                    turn.state = compute()
                    self._put(key, turn.state)
                return turn.state
        finally:
            with self._lock:
                turn.waiting -= 1
                if not turn.waiting:
                    self._turns.pop(ticket, None)

    def _put(self, key: tuple[int, str], state: BoardState) -> None:
        with self._lock:
            self._states[key] = state
            self._states.move_to_end(key)
            while len(self._states) > self._keep:
                self._states.popitem(last=False)

    def sizes(self) -> tuple[int, int]:
        """States kept, and computations going on."""
        with self._lock:
            return len(self._states), len(self._turns)


_MEMORY = Memory()


def state_of(visit: Visit, system: System = "yards") -> BoardState:
    """The state as of now, in sentences of one system of units."""
    row = Visit.objects.select_related("player").get(pk=visit.pk)
    mark = mark_of(row)
    return _MEMORY.get(row.pk, system, mark, lambda: computed(row, system, mark))


def mark_of(visit: Visit) -> Hashable:
    """Everything that a state can depend on, in few figures: another mark is another state.

    The visit's own revision alone would not do: earlier visits, the bag and the player count too.
    """
    player = visit.player
    earlier = player.visits.filter(started_at__lte=visit.started_at)
    clubs = player.clubs.aggregate(n=Count("pk"), versions=Sum("version"), at=Max("changed_at"))
    ratings = visit.ratings.aggregate(n=Count("pk"), at=Max("changed_at"))
    candidates = visit.candidates.values_list("club_id", "position", "present", "left_at")
    return (
        player.version,
        player.changed_at,
        tuple(earlier.values_list("pk", "revision", "version", "created_at", "shot_count")),
        tuple(clubs.values()),
        tuple(ratings.values()),
        tuple(candidates),
    )


def computed(visit: Visit, system: System, mark: Hashable = None) -> BoardState:
    """Compute the state anew."""
    from bagwright.dispersion.fit import fit_dispersion

    visits = list(visit.player.visits.filter(started_at__lte=visit.started_at))
    table = core_table(visits)
    bag = core_bag(visit.player)
    candidates = taking_part(visit)
    tested = as_tested(bag, candidates)
    standings = standings_of(visit, candidates)
    conditions = dict(core_conditions(visits))
    fits = fit_dispersion(table, bag.player, bag) if table.n else None
    verdict, error = None, ""
    if fits is not None and not waiting_for(standings):
        names = [one.name for one in standings if one.ready]
        verdict, error = _judged(visit, table, tested, fits, conditions, names, system)
    return BoardState(
        visit_id=visit.pk,
        revision=visit.revision,
        system=system,
        table=table,
        bag=bag,
        tested=tested,
        conditions=conditions,
        standings=standings,
        fits=fits,
        verdict=verdict,
        error=error,
        mark=mark,
    )


def as_tested(bag: Bag, candidates: list[Candidate]) -> Bag:
    """The bag as it stood for this trial: the club in the slot carried, its rivals on the rack.

    A decision that has changed the bag since does not turn the answer round that it rests on.
    """
    status: dict[str, Status] = {c.club.name: "carried" if c.present else "candidate" for c in candidates}
    clubs = tuple(replace(club, status=status.get(club.name, club.status)) for club in bag.clubs)
    return replace(bag, clubs=clubs)


def standings_of(visit: Visit, candidates: list[Candidate]) -> tuple[Standing, ...]:
    """How many balls that count each candidate has."""
    counted = (
        visit.shots.filter(undone_at__isnull=True, swing="stock", carry_m__isnull=False)
        .exclude(mark__in=("bad-read", "warm-up"))
        .values_list("club_id")
        .annotate(n=Count("pk"))
    )
    balls = dict(counted.order_by("club_id"))
    return tuple(Standing(c.club.name, c.present, balls.get(c.club_id, 0)) for c in candidates)


def waiting_for(standings: tuple[Standing, ...]) -> str:
    """Why there is no verdict yet, and which club to hit, in words; "" when there can be one.

    Two candidates are enough to begin with, but the club now in the slot is always one of them: whoever
    joins later does not take the others' verdict away.
    """
    if len(standings) < 2:
        return _("Two builds at least must take part: choose them on the brief's page.")
    ready = [one for one in standings if one.ready]
    if len(ready) >= 2 and all(one.ready for one in standings if one.present):
        return ""
    few = [one for one in standings if not one.ready]
    first = min(few, key=lambda one: (one.balls, not one.present))
    told = {
        "ready": len(ready),
        "all": len(standings),
        "least": LEAST_BALLS,
        "name": short(first.name),
        "balls": first.balls,
    }
    return (
        _(
            "%(ready)s of %(all)s candidates have %(least)s stock balls or more; hit %(name)s next"
            " (%(balls)s so far)."
        )
        % told
    )


def short(name: str) -> str:
    """A club's name as it may stand inside a sentence."""
    return name if len(name) <= NAME else f"{name[: NAME - 1]}…"


def _judged(
    visit: Visit,
    table: ShotTable,
    bag: Bag,
    fits: Dispersions,
    conditions: dict[str, Conditions],
    names: list[str],
    system: System,
) -> tuple[Verdict | None, str]:
    from bagwright.trial.verdict import judge

    ratings = {name: said for name, said in ratings_of(visit).items() if name in names}
    try:
        verdict = judge(
            table,
            names,
            bag,
            fits=fits,
            by="carry" if visit.measure == "carry" else "miss",
            ratings=ratings or None,
            width_m=visit.width_m,
            spot_m=briefing.spot_of(visit, bag, fits),
            aligned=visit.aligned == "checked",
            system=system,
            conditions=conditions,
        )
    except InputError as error:
        return None, str(error)
    return verdict, ""


def ratings_of(visit: Visit) -> dict[str, dict[str, float]]:
    """The player's ratings by club, what was not rated left out."""
    found: dict[str, dict[str, float]] = {}
    names = {c.club_id: c.club.name for c in taking_part(visit)}
    for rating in visit.ratings.all():
        given = {name: getattr(rating, name) for name in ASPECTS}
        said = {name: float(value) for name, value in given.items() if value is not None}
        if said and rating.club_id in names:
            found[names[rating.club_id]] = said
    return found
