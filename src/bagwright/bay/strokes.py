"""A player's strokes on a course: asked for, worked out by one thread in the background, kept until something changes."""

from __future__ import annotations

import logging
import math
from functools import lru_cache, partial
from typing import TYPE_CHECKING

import numpy as np
from django.db import close_old_connections, connection, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from bagwright.bay import audit, courses, line
from bagwright.bay.round_inputs import Asked, asked_of, inputs_of
from bagwright.course.raster import Raster
from bagwright.errors import BagwrightError, InputError
from bagwright.report.strokes.doubt import DRAWS, Doubt, doubt_of, drawn_anew
from bagwright.report.strokes.round import MOST_WIND_MPS, VERSION, Round, StoppedError, round_of
from bagwright.store.models import Account, StrokesRun

if TYPE_CHECKING:
    from collections.abc import Callable

    from bagwright.strokes.patterns import PatternTable

log = logging.getLogger("bagwright")


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
    if line.is_full():
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
    return [one for one in (calm, windy) if one is not None and (one.pk == run.pk or _fresh(one))]


def _fresh(run: StrokesRun) -> bool:
    return state_of(run) == "done" and not is_stale(run)


def doubt_of_run(run: StrokesRun) -> Doubt | None:
    """How well the shots know the answer; None where that was not asked."""
    kept = (run.result or {}).get("doubt")
    return Doubt.of(kept) if kept else None


def doubting(run: StrokesRun) -> float | None:
    """How far that question is, 0..1; None while nobody works on it."""
    return _DOUBTS.get(run.pk)


def ask_doubt(account: Account | None, run: StrokesRun) -> None:
    """Ask how well the shots know an answer: some rounds more. Raises InputError without shots, or where stale."""
    if not _fresh(run) or not inputs_of(asked_of(run)).table.n:
        raise InputError(
            _("Shots are needed for this, and an answer that is of now."),
            _("Hit some, or work it out again."),
        )
    if run.pk not in _DOUBTS:
        _STOPPED.discard(run.pk)  # of a stop that came after the end
        _DOUBTS[run.pk] = 0.0
        audit.note(account, run.player, "doubt asked for", str(run.pk))
        submit(run.pk)


_MINE: set[int] = set()
_STOPPED: set[int] = set()
_DOUBTS: dict[int, float] = {}
"""Runs whose doubt is asked for, and how far it is."""


def submit(run_id: int) -> None:
    """Put a run in line."""
    _MINE.add(run_id)
    line.put(partial(take, run_id))


def take(run_id: int) -> None:
    """Work one of the line out. Whatever goes wrong is logged: the others in line still get their turn."""
    close_old_connections()
    try:
        (work_doubt if run_id in _DOUBTS else work)(run_id)
    except Exception:
        log.exception("run %s of strokes could not be taken up", run_id)
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


def work_doubt(run_id: int) -> None:
    """Work the round out from shots drawn anew, some times, and keep the spread beside the answer."""
    try:
        run = StrokesRun.objects.select_related("player", "course", "visit", "candidate").get(pk=run_id)
        inputs = inputs_of(asked_of(run))
        draws = []
        for k in range(DRAWS):
            drawn = drawn_anew(inputs.table, np.random.default_rng((run_id, k)))
            found = round_of(
                inputs.course.course, run.tee, inputs.patterns(drawn), _doubt_report(run_id, k),
                lambda: run_id in _STOPPED,
            )  # fmt: skip
            draws.append({hole.number: hole.strokes for hole in found.result.holes})
        with transaction.atomic():
            row = StrokesRun.objects.select_for_update().defer("arrays").get(pk=run_id)
            row.result = {**(row.result or {}), "doubt": doubt_of(draws).plain()}
            row.save(update_fields=["result"])
    except StoppedError:
        log.info("run %s: its doubt was stopped", run_id)
    except Exception:
        log.exception("the doubt of run %s failed", run_id)
        words = _("How well the shots know this could not be worked out.")
        StrokesRun.objects.filter(pk=run_id).update(words=words)
    finally:
        _DOUBTS.pop(run_id, None)
        _STOPPED.discard(run_id)


def _doubt_report(run_id: int, k: int) -> Callable[[float], None]:
    def report(share: float) -> None:
        _DOUBTS[run_id] = (k + share) / DRAWS

    return report


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
