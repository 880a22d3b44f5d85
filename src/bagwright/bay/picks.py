"""A player's best bag: asked for, searched by one thread in the background, kept until something changes."""

from __future__ import annotations

import logging
from functools import partial
from typing import Any

from django.db import close_old_connections, connection, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from bagwright.bay import audit, line
from bagwright.bay.pick_inputs import PickAsked, asked_of, inputs_of
from bagwright.bay.pick_kept import Stated, proof_of, stated_of
from bagwright.bay.pick_work import Heard, PickFound, found_of
from bagwright.errors import BagwrightError, InputError
from bagwright.pick.proof import Proof
from bagwright.pick.wish import limits_of
from bagwright.report.pick.shown import VERSION, PickShown
from bagwright.report.strokes.round import StoppedError
from bagwright.store.models import Account, PickProblem, PickRun, Player
from bagwright.units import System

log = logging.getLogger("bagwright")


@transaction.atomic
def start(account: Account | None, asked: PickAsked) -> PickRun:
    """Ask for a pick; one with the same inputs that is done, or under way, is given instead.

    Raises InputError for rounds or a wish that cannot be, and while too many wait.
    """
    inputs = inputs_of(asked)
    clubs = [club.name for club in inputs.bag.clubs if club.kind != "putter"]
    if len(clubs) < 2:
        raise InputError(
            _("The bag has %(n)s clubs to choose from.") % {"n": len(clubs)},
            _("Add clubs that are carried, and candidates, on the bag's page."),
        )
    limits_of(inputs.wish(), clubs)
    there = next((run for run in of_player(asked.player) if run.inputs == inputs.mark and _counts(run)), None)
    if there is not None:
        return there
    if line.is_full():
        raise InputError(_("Too many reckonings wait already."), _("Wait until some are done."))
    run = PickRun.objects.create(
        player=asked.player, asked=asked.plain(), inputs=inputs.mark, asked_by=account
    )
    audit.note(account, asked.player, "pick asked for", str(run.pk))
    _MINE.add(run.pk)
    transaction.on_commit(lambda: submit(run.pk))
    return run


def _counts(run: PickRun) -> bool:
    """Whether a run answers the same question, now or soon: one that was left before its end does not."""
    state = state_of(run)
    return state in ("waiting", "running") or (state == "done" and not can_go_on(run))


def of_player(player: Player) -> list[PickRun]:
    """A player's runs, the newest first."""
    return list(PickRun.objects.filter(player=player).select_related("player"))


def is_stale(run: PickRun) -> bool:
    """True where bag, shots, player or a course changed since, or a course is gone."""
    try:
        return inputs_of(asked_of(run)).mark != run.inputs
    except BagwrightError:
        return True


def state_of(run: PickRun) -> str:
    """How a run stands; one that an earlier start of the program left unfinished has stopped.

    One that another version of the program worked out is "old": its answer cannot be read.
    """
    if run.state in ("waiting", "running") and run.pk not in _MINE:
        return "stopped"
    if run.state == "done" and (run.result or {}).get("version") != VERSION:
        return "old"
    return run.state


def shown_of(run: PickRun) -> PickShown:
    """The answer that was kept. Raises InputError where there is none."""
    if not run.result:
        raise InputError(_("This was not worked out to the end."), _("Work it out again."))
    return PickShown.of(run.result)


def for_papers(player: Player, system: System) -> PickShown | None:
    """The newest pick that is done and of now, its rounds named for a reader; None where there is none."""
    run = next((one for one in of_player(player) if state_of(one) == "done"), None)
    if run is None or is_stale(run):
        return None
    return shown_of(run).called(inputs_of(asked_of(run)).labels(system))


def can_go_on(run: PickRun) -> bool:
    """Whether the search was stopped with a bag that is not proven, so that it can go on."""
    return run.result is not None and not run.result["shown"]["pick"]["optimal"]


@transaction.atomic
def go_on(account: Account | None, run: PickRun) -> None:
    """Take a stopped search up where it was left. Raises InputError where bag, shots or courses changed since."""
    if state_of(run) != "done" or not can_go_on(run) or is_stale(run):
        raise InputError(
            _("This search cannot go on: it is proven, or something changed since."), _("Work it out again.")
        )
    PickRun.objects.filter(pk=run.pk).update(state="waiting", finished_at=None)
    audit.note(account, run.player, "pick asked for", str(run.pk))
    _STOPPED.discard(run.pk)
    _MINE.add(run.pk)
    transaction.on_commit(lambda: submit(run.pk))


def stop(account: Account | None, run: PickRun) -> None:
    """Stop a run: one that searches keeps the best bag so far, one that has none yet has stopped."""
    if state_of(run) not in ("waiting", "running"):
        return
    _STOPPED.add(run.pk)
    PickRun.objects.filter(pk=run.pk, state="waiting").update(state="stopped", finished_at=timezone.now())
    audit.note(account, run.player, "pick stopped", str(run.pk))


_MINE: set[int] = set()
_STOPPED: set[int] = set()


def submit(run_id: int) -> None:
    """Put a run in line."""
    _MINE.add(run_id)
    line.put(partial(take, run_id))


def take(run_id: int) -> None:
    """Work one of the line out. Whatever goes wrong is logged: the others in line still get their turn."""
    close_old_connections()
    try:
        work(run_id)
    except Exception:
        log.exception("pick %s could not be taken up", run_id)
    finally:
        _MINE.discard(run_id)
        _STOPPED.discard(run_id)
        connection.close()


def give_up() -> None:
    """Stop whatever is under way, for the program's end: its threads are waited for."""
    _STOPPED.update(_MINE)


def work(run_id: int) -> None:
    """Search one run's bag and keep the answer, or why there is none. An unexpected error is logged, not told."""
    run = PickRun.objects.select_related("player").get(pk=run_id)
    if run.state != "waiting":
        return
    PickRun.objects.filter(pk=run_id, state="waiting").update(state="running")
    try:
        inputs = inputs_of(asked_of(run))
        found = found_of(inputs, _left(run, inputs.mark), _report(run_id), lambda: run_id in _STOPPED)
        _keep(run, inputs.mark, found)
    except StoppedError:
        _finish(run_id, "stopped")
    except BagwrightError as error:
        _finish(run_id, "failed", words=f"{error.message} {error.next_step}"[:500])
    except Exception:
        log.exception("pick %s failed", run_id)
        _finish(run_id, "failed", words="")


def _left(run: PickRun, mark: str) -> tuple[Stated, Proof] | None:
    """The search that was left, while its inputs are the same."""
    kept = PickProblem.objects.filter(run=run).first()
    if kept is None or run.inputs != mark:
        return None
    stated = stated_of(bytes(kept.problem), bytes(kept.draws), shown_of(run).said)
    return stated, proof_of(bytes(kept.proof))


def _keep(run: PickRun, mark: str, found: PickFound) -> None:
    values = {"problem": found.problem, "draws": found.draws, "proof": found.proof}
    with transaction.atomic():
        PickProblem.objects.update_or_create(run=run, defaults=values)
        # Of older answers the figures stay; bags can be tried on the newest.
        PickProblem.objects.filter(run__player=run.player, run__lt=run.pk).delete()
        _finish(run.pk, "done", inputs=mark, share=1.0, result=found.result, standing=None, words="")


def _report(run_id: int) -> Heard:
    def report(share: float, standing: dict[str, Any] | None) -> None:
        PickRun.objects.filter(pk=run_id).update(share=min(max(share, 0.0), 1.0), standing=standing)

    return report


def _finish(run_id: int, state: str, **values: object) -> None:
    PickRun.objects.filter(pk=run_id, state="running").update(
        state=state, finished_at=timezone.now(), **values
    )
