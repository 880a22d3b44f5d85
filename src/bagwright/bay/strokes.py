"""A player's strokes on a course: asked for, worked out by one thread in the background, kept until something changes."""

from __future__ import annotations

import hashlib
import logging
import math
import queue
import threading
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from django.db import close_old_connections, connection, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from bagwright.air import Wind
from bagwright.bag.club import Bag
from bagwright.bay import audit, courses
from bagwright.course.raster import Raster
from bagwright.errors import BagwrightError, InputError
from bagwright.report.strokes.round import VERSION, Round, StoppedError, round_of
from bagwright.shots.record import ShotTable
from bagwright.store.convert import core_bag, core_table
from bagwright.store.models import Account, Club, CourseFile, Player, StrokesRun, Visit

if TYPE_CHECKING:
    from collections.abc import Callable

    from bagwright.strokes.patterns import PatternTable

log = logging.getLogger("bagwright")

MOST_WAITING = 40
"""Reckonings that may wait in line."""
MOST_WIND_MPS = 25.0
"""Stronger wind is no wind to play in (judgement)."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to be worked out: whose strokes, where, from which tee, in which wind, with which build in the slot.

    `wind_from_rad` counts clockwise from north. `visit` and `candidate` belong to a trial: the build takes the
    slot, and everything hit up to that visit counts.
    """

    player: Player
    kept: CourseFile
    tee: str
    wind_mps: float = 0.0
    wind_from_rad: float = 0.0
    visit: Visit | None = None
    candidate: Club | None = None


@dataclass(frozen=True, slots=True)
class Inputs:
    """Everything that the answer depends on."""

    asked: Asked
    bag: Bag
    played: Bag
    """The clubs that are carried on the round."""
    table: ShotTable
    course: courses.Understood

    @property
    def mark(self) -> str:
        """The same for the same answer: a hash of bag, shots, course, tee, wind and the method's version."""
        digest = hashlib.sha256()
        digest.update(repr((VERSION, self.course.mark, self.asked.tee, self.wind, self.played)).encode())
        for i in range(self.table.n):
            digest.update(repr(self.table.shot(i)).encode())
        return digest.hexdigest()

    @property
    def wind(self) -> Wind | None:
        """The stated wind, None in calm air."""
        if self.asked.wind_mps <= 0.0:
            return None
        return Wind(self.asked.wind_mps, self.asked.wind_from_rad)

    def patterns(self) -> PatternTable:
        """Where the player's shots come down. Raises InputError for a bag without a club to hit."""
        from bagwright.dispersion.fit import fit_dispersion
        from bagwright.strokes.table import patterns_of

        fits = fit_dispersion(self.table, self.bag.player, self.bag) if self.table.n else None
        return patterns_of(self.played, None, fits, wind=self.wind)


def inputs_of(asked: Asked) -> Inputs:
    """Gather what the answer depends on, as it is now."""
    visits = asked.player.visits.all()
    if asked.visit is not None:
        visits = visits.filter(started_at__lte=asked.visit.started_at)
    bag = core_bag(asked.player)
    return Inputs(asked, bag, _played(bag, asked), core_table(list(visits)), courses.understood(asked.kept))


def _played(bag: Bag, asked: Asked) -> Bag:
    """The carried clubs; in a trial with the candidate in the place of the slot's present club."""
    out: set[str] = set()
    into = ""
    if asked.visit is not None and asked.candidate is not None:
        rivals = asked.visit.candidates.select_related("club")
        out = {one.club.name for one in rivals}
        into = asked.candidate.name
    clubs = tuple(
        replace(club, status="carried")
        for club in bag.clubs
        if club.name == into or (club.status == "carried" and club.name not in out)
    )
    return replace(bag, clubs=clubs)


@transaction.atomic
def start(account: Account | None, asked: Asked) -> StrokesRun:
    """Ask for a reckoning; one with the same inputs that is done, or under way, is given instead.

    Raises InputError for a wind that is none to play in, and while too many wait.
    """
    if not (0.0 <= asked.wind_mps <= MOST_WIND_MPS and math.isfinite(asked.wind_from_rad)):
        raise InputError(_("That wind is none to play in."), _("Give a speed that golf is played in."))
    inputs = inputs_of(asked)
    if asked.tee not in inputs.course.course.tee_names:
        raise InputError(_("The course has no such tee."), _("Choose one of its tees."))
    there = _same(asked, inputs.mark)
    if there is not None:
        return there
    if _WORK.qsize() >= MOST_WAITING:
        raise InputError(_("Too many reckonings wait already."), _("Wait until some are done."))
    run = StrokesRun.objects.create(
        player=asked.player,
        visit=asked.visit,
        course=asked.kept,
        candidate=asked.candidate,
        tee=asked.tee,
        wind_mps=asked.wind_mps or None,
        wind_from_rad=asked.wind_from_rad % (2 * math.pi) if asked.wind_mps else None,
        inputs=inputs.mark,
        asked_by=account,
    )
    audit.note(account, asked.player, "strokes asked for", str(run.pk))
    _MINE.add(run.pk)
    transaction.on_commit(lambda: submit(run.pk))
    return run


def _same(asked: Asked, mark: str) -> StrokesRun | None:
    rows = StrokesRun.objects.filter(
        player=asked.player, course=asked.kept, visit=asked.visit, candidate=asked.candidate, inputs=mark
    ).defer("arrays")
    return next((run for run in rows if state_of(run) in ("done", "waiting", "running")), None)


def asked_of(run: StrokesRun) -> Asked:
    """What a run was asked for."""
    return Asked(
        run.player,
        run.course,
        run.tee,
        run.wind_mps or 0.0,
        run.wind_from_rad or 0.0,
        run.visit,
        run.candidate,
    )


def is_stale(run: StrokesRun) -> bool:
    """True where bag, shots, player or course changed since: the answer is of how things were."""
    return inputs_of(asked_of(run)).mark != run.inputs


def state_of(run: StrokesRun) -> str:
    """How a run stands; one that an earlier start of the program left unfinished has stopped.

    One that another version of the program worked out is "old": its answer cannot be read.
    """
    if run.state in ("waiting", "running") and run.pk not in _MINE:
        return "stopped"
    if run.state == "done" and (run.result or {}).get("version") != VERSION:
        return "old"
    return run.state


def stop(account: Account | None, run: StrokesRun) -> None:
    """Stop a run that waits or is under way."""
    _STOPPED.add(run.pk)
    done = StrokesRun.objects.filter(pk=run.pk, state__in=("waiting", "running"))
    if done.update(state="stopped", finished_at=timezone.now()):
        audit.note(account, run.player, "strokes stopped", str(run.pk))


def answer_of(run: StrokesRun, *numbers: int) -> Round:
    """The answer that was kept, with the arrays of some holes. Raises InputError where there is none."""
    content = StrokesRun.objects.values_list("arrays", flat=True).get(pk=run.pk) if numbers else b""
    if not run.result:
        raise InputError(_("This was not worked out to the end."), _("Work it out again."))
    if content is None:
        raise InputError(
            _("A newer answer took its place; only its figures were kept."), _("Look at the newer one.")
        )
    return Round.of(run.result, bytes(content), numbers)


@lru_cache(maxsize=8)
def _patterns(run_id: int, mark: str) -> PatternTable:
    run = StrokesRun.objects.select_related("player", "course", "visit", "candidate").get(pk=run_id)
    return inputs_of(asked_of(run)).patterns()


def patterns_of(run: StrokesRun) -> PatternTable:
    """Where the player's shots come down, for a run that is not stale."""
    return _patterns(run.pk, run.inputs)


def raster_of_run(run: StrokesRun, number: int) -> Raster:
    """A hole as the run had it, while its course was not corrected since."""
    return courses.understood(run.course).raster(number, run.tee)


def siblings(run: StrokesRun) -> list[StrokesRun]:
    """The calm run and the latest one in wind that belong together with this one on a sheet, both done."""
    rows = StrokesRun.objects.select_related("course", "player", "visit", "candidate").defer("arrays")
    same = rows.filter(
        player=run.player,
        course=run.course,
        tee=run.tee,
        visit=run.visit,
        candidate=run.candidate,
        state="done",
    )
    calm = run if not run.wind_mps else same.filter(wind_mps=None).first()
    windy = run if run.wind_mps else same.filter(wind_mps__isnull=False).first()
    return [one for one in (calm, windy) if one is not None and (one.pk == run.pk or not is_stale(one))]


# One thread works, so that a bay with two cores stays quick; it dies with the program.
_WORK: queue.Queue[int] = queue.Queue()
_MINE: set[int] = set()
_STOPPED: set[int] = set()
_LOCK = threading.Lock()
_THREAD: list[threading.Thread] = []


def submit(run_id: int) -> None:
    """Put a run in line, and see that somebody works."""
    _MINE.add(run_id)
    _WORK.put(run_id)
    with _LOCK:
        if not _THREAD or not _THREAD[0].is_alive():
            _THREAD[:] = [threading.Thread(target=_work, name="strokes", daemon=True)]
            _THREAD[0].start()


def _work() -> None:
    while True:
        run_id = _WORK.get()
        close_old_connections()
        try:
            work(run_id)
        finally:
            _MINE.discard(run_id)
            connection.close()


def give_up() -> None:
    """Stop whatever is under way, for the program's end: its threads are waited for."""
    _STOPPED.update(_MINE)


def work(run_id: int) -> None:
    """Work one run out and keep its answer, or why there is none. An unexpected error is logged, not told."""
    run = StrokesRun.objects.select_related("player", "course", "visit", "candidate").get(pk=run_id)
    if run.state != "waiting":
        return
    StrokesRun.objects.filter(pk=run_id, state="waiting").update(state="running")
    try:
        inputs = inputs_of(asked_of(run))
        answer = round_of(
            inputs.course.course, run.tee, inputs.patterns(), _report(run_id), lambda: run_id in _STOPPED
        )
        _finish(run_id, "done", inputs=inputs.mark, share=1.0, result=answer.plain(), arrays=answer.arrays())
        _let_go(run)
    except StoppedError:
        _finish(run_id, "stopped")
    except BagwrightError as error:
        _finish(run_id, "failed", words=f"{error.message} {error.next_step}"[:500])
    except Exception:
        log.exception("run %s of strokes failed", run_id)
        _finish(run_id, "failed", words="")
    finally:
        _STOPPED.discard(run_id)


def _let_go(run: StrokesRun) -> None:
    """Keep the arrays of the newest answer to a question only; the figures of older ones stay."""
    older = StrokesRun.objects.filter(
        player=run.player, course=run.course, tee=run.tee, visit=run.visit, candidate=run.candidate,
        wind_mps=run.wind_mps, wind_from_rad=run.wind_from_rad, pk__lt=run.pk,
    )  # fmt: skip
    older.update(arrays=None)


def _report(run_id: int) -> Callable[[float], None]:
    def report(share: float) -> None:
        StrokesRun.objects.filter(pk=run_id).update(share=min(max(share, 0.0), 1.0))

    return report


def _finish(run_id: int, state: str, **values: object) -> None:
    StrokesRun.objects.filter(pk=run_id, state="running").update(
        state=state, finished_at=timezone.now(), **values
    )
