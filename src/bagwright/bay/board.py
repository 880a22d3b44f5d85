"""The decision board's state: what is known of the candidates now, computed once a change for all screens."""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _

from bagwright.bag.club import Bag
from bagwright.bay.planning import taking_part
from bagwright.errors import InputError
from bagwright.shots.record import Conditions, ShotTable
from bagwright.store.convert import core_bag, core_conditions, core_table
from bagwright.store.models import Visit
from bagwright.trial.ratings import ASPECTS
from bagwright.units import System

if TYPE_CHECKING:
    from bagwright.dispersion.fit import Dispersions
    from bagwright.trial.result import Verdict

KEEP = 32
LEAST_BALLS = 3
"""Solid balls of each candidate before a verdict is shown: fewer say nothing (the verdict itself warns)."""


@dataclass(frozen=True, slots=True)
class Standing:
    """One candidate before there is a verdict: how many balls it has."""

    name: str
    present: bool
    balls: int


@dataclass(frozen=True, slots=True)
class BoardState:
    """Everything that the board, the pictures, the decision and the papers of a visit rest on.

    `verdict` is None while it cannot be given; `waiting` then says for what. `fits` is None without any shot.
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
    waiting: str


class _Memory:
    """The last states by visit, revision and units; each computed by one thread while others wait."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._states: OrderedDict[tuple[int, int, str], BoardState] = OrderedDict()
        self._busy: dict[tuple[int, int, str], threading.Lock] = {}

    def get(self, key: tuple[int, int, str], visit: Visit) -> BoardState:
        """The state of a key, computed if nobody has done so."""
        with self._lock:
            found = self._states.get(key)
            turn = self._busy.setdefault(key, threading.Lock())
        if found is not None:
            return found
        with turn:
            with self._lock:
                found = self._states.get(key)
            if found is None:
                found = _computed(visit, key)
                self._put(key, found)
        return found

    def _put(self, key: tuple[int, int, str], state: BoardState) -> None:
        with self._lock:
            self._states[key] = state
            self._busy.pop(key, None)
            while len(self._states) > KEEP:
                self._states.popitem(last=False)


_MEMORY = _Memory()


def state_of(visit: Visit, system: System = "yards") -> BoardState:
    """The state as of the visit's revision, in sentences of one system of units."""
    key = (visit.pk, Visit.objects.values_list("revision", flat=True).get(pk=visit.pk), system)
    return _MEMORY.get(key, Visit.objects.select_related("player").get(pk=visit.pk))


def _computed(visit: Visit, key: tuple[int, int, str]) -> BoardState:
    from bagwright.dispersion.fit import fit_dispersion

    visits = list(visit.player.visits.filter(started_at__lte=visit.started_at))
    table = core_table(visits)
    bag = _bag_of(visit)
    candidates = taking_part(visit)
    hit = dict.fromkeys((c.club.name for c in candidates), 0)
    for shot in visit.shots.filter(undone_at__isnull=True).exclude(mark="bad-read").select_related("club"):
        if shot.club.name in hit and shot.carry_m is not None:
            hit[shot.club.name] += 1
    standings = tuple(Standing(c.club.name, c.present, hit[c.club.name]) for c in candidates)
    fits = fit_dispersion(table, bag.player, bag) if table.n else None
    verdict, waiting = None, waiting_for(standings)
    conditions = dict(core_conditions(visits))
    if fits is not None and not waiting:
        verdict, waiting = _judged(visit, table, bag, fits, conditions, standings, key[2])
    return BoardState(
        visit.pk,
        key[1],
        "metres" if key[2] == "metres" else "yards",
        table,
        bag,
        conditions,
        standings,
        fits,
        verdict,
        waiting,
    )


def _bag_of(visit: Visit) -> Bag:
    """The player's bag, with every club that was hit, also those that were taken out since."""
    clubs = list(visit.player.clubs.filter(removed_at__isnull=True))
    return core_bag(visit.player, clubs)


def waiting_for(standings: tuple[Standing, ...]) -> str:
    """Why there is no verdict yet, in words; "" when there can be one."""
    if len(standings) < 2:
        return _("Two builds at least must take part: choose them on the brief's page.")
    few = [s for s in standings if s.balls < LEAST_BALLS]
    if not few:
        return ""
    ready = len(standings) - len(few)
    return _("%(ready)s of %(all)s builds have %(least)s balls. Still wanting: %(names)s.") % {
        "ready": ready,
        "all": len(standings),
        "least": LEAST_BALLS,
        "names": ", ".join(f"{s.name[:40]} ({s.balls})" for s in few),
    }


def _judged(
    visit: Visit,
    table: ShotTable,
    bag: Bag,
    fits: Dispersions,
    conditions: dict[str, Conditions],
    standings: tuple[Standing, ...],
    system: str,
) -> tuple[Verdict | None, str]:
    from bagwright.trial.verdict import judge

    try:
        verdict = judge(
            table,
            [s.name for s in standings],
            bag,
            fits=fits,
            by="carry" if visit.measure == "carry" else "miss",
            ratings=ratings_of(visit) or None,
            width_m=visit.width_m,
            spot_m=visit.spot_m,
            aligned=visit.aligned == "checked",
            system="metres" if system == "metres" else "yards",
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
