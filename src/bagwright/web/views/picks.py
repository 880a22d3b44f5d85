"""A player's best bag on screen: asked for, searched, and any bag tried against it."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from bagwright.bay import audit, pick_try, picks
from bagwright.bay.pick_inputs import asked_of, inputs_of
from bagwright.errors import BagwrightError
from bagwright.report.pick import BagColumn, bags_chart, worth_chart
from bagwright.report.pick.shown import PickShown
from bagwright.report.pick.words import holes_that_show
from bagwright.store.models import PickRun, Player
from bagwright.units import System
from bagwright.web.views.common import account_of, is_part, player_for
from bagwright.web.views.pick_form import asked_by, form_of
from bagwright.web.views.player_courses import wind_unit

MOST_RUNS = 20
MOST_NEAR = 20
"""Near bags that the page lists; of the rest the count is said."""


@require_http_methods(["GET", "HEAD", "POST"])
def index(request: HttpRequest, player_id: int) -> HttpResponse:
    """What a player's bag is chosen for, and the picks so far. A POST starts one."""
    player = player_for(request, player_id, change=request.method == "POST")
    account = account_of(request)
    told: dict[str, Any] = {}
    if request.method == "POST":
        try:
            return redirect("pick", player.pk, picks.start(account, asked_by(request, player)).pk)
        except BagwrightError as error:
            told = {"told": {"message": error.message, "next_step": error.next_step}}
    else:
        audit.note(account, player, "opened")
    told |= form_of(player, request.POST) | {
        "player": player,
        "may_change": Player.objects.changed_by(account).filter(pk=player.pk).exists(),
        "runs": [(run, picks.state_of(run)) for run in picks.of_player(player)[:MOST_RUNS]],
        "wind_unit": wind_unit(request.system),  # type: ignore[attr-defined]
    }
    return render(request, "web/picks/ask.html", told, status=422 if "told" in told else 200)


def run_for(request: HttpRequest, player_id: int, run_id: int, *, change: bool = False) -> PickRun:
    """A pick of a player that this account may see (`change`: may change). Raises Http404 otherwise."""
    player = player_for(request, player_id, change=change)
    run = PickRun.objects.filter(pk=run_id, player=player).first()
    if run is None:
        raise Http404
    run.player = player
    return run


@require_http_methods(["GET", "HEAD", "POST"])
def run(request: HttpRequest, player_id: int, run_id: int) -> HttpResponse:
    """A pick: its progress, or its result with the bag that the address ticks. A POST stops it or goes on."""
    found = run_for(request, player_id, run_id, change=request.method == "POST")
    account = account_of(request)
    if request.method == "POST":
        if "stop" in request.POST:
            picks.stop(account, found)
        elif "on" in request.POST:
            picks.go_on(account, found)
        else:
            return redirect("pick", player_id, picks.start(account, asked_of(found)).pk)
        return redirect("pick", player_id, run_id)
    if is_part(request):
        return render(request, "web/picks/_tried.html", _tried(request, found, _answer(found)))
    audit.note(account, found.player, "opened")
    told = _progress(request, found)
    if told["state"] == "done":
        told |= _told(request, found)
    return render(request, "web/picks/run.html", told)


def _answer(found: PickRun) -> PickShown:
    if picks.state_of(found) != "done":
        raise Http404
    return picks.shown_of(found)


def _told(request: HttpRequest, found: PickRun) -> dict[str, Any]:
    shown, system = picks.shown_of(found), _system(request)
    pick = shown.pick
    columns = [BagColumn(_("today"), frozenset(shown.today))] if shown.today else []
    columns += [BagColumn(_("picked"), frozenset(pick.clubs))]
    labels = _labels(found, shown, system)
    columns += [BagColumn(labels[one.scene], frozenset(one.clubs)) for one in shown.swaps]
    return {
        "shown": shown, "pick": pick, "labels": labels, "stale": picks.is_stale(found),
        "may_go_on": picks.can_go_on(found), "worth_chart": worth_chart(pick.worth),
        "bags_chart": bags_chart(shown.clubs, columns), "holes": holes_that_show(shown),
        "near": pick.runners_up[:MOST_NEAR], "more_near": max(0, pick.near - MOST_NEAR),
    } | _tried(request, found, shown)  # fmt: skip


def _labels(found: PickRun, shown: PickShown, system: System) -> dict[str, str]:
    """The rounds' names in the reader's words; as they were kept where a course is gone."""
    kept = {name: name for name, _share in shown.rounds}
    try:
        return kept | inputs_of(asked_of(found)).labels(system)
    except BagwrightError:
        return kept


def _system(request: HttpRequest) -> System:
    system: System = request.system  # type: ignore[attr-defined]
    return system


def _tried(request: HttpRequest, found: PickRun, shown: PickShown) -> dict[str, Any]:
    """The bag that the address ticks, the picked one where it ticks none; an error of it in words."""
    ticked = _ticked(request, shown)
    told: dict[str, Any] = {
        "run": found, "player": found.player, "shown": shown, "pick": shown.pick, "system": _system(request),
        "ticks": [
            (i, club, i in ticked, club in shown.today, club in shown.pick.clubs)
            for i, club in enumerate(shown.clubs)
        ],
        "today_places": [i for i, club in enumerate(shown.clubs) if club in shown.today],
    }  # fmt: skip
    try:
        told["tried"] = pick_try.tried(found, shown, ticked)
    except BagwrightError as error:
        told["try_told"] = {"message": error.message, "next_step": error.next_step}
    return told


def _ticked(request: HttpRequest, shown: PickShown) -> set[int]:
    if "ticked" not in request.GET:
        return {i for i, club in enumerate(shown.clubs) if club in shown.pick.clubs}
    texts = request.GET.getlist("club")[: len(shown.clubs)]
    return {int(text) for text in texts if text.isascii() and text.isdecimal() and len(text) < 4}


@require_safe
def state(request: HttpRequest, player_id: int, run_id: int) -> HttpResponse:
    """How far a pick is: a part of its page, asked for again and again; a finished one brings the page anew."""
    found = run_for(request, player_id, run_id)
    answer = render(request, "web/picks/_progress.html", _progress(request, found))
    if picks.state_of(found) not in ("waiting", "running"):
        answer["HX-Refresh"] = "true"
    return answer


def _progress(request: HttpRequest, found: PickRun) -> dict[str, Any]:
    return {
        "run": found, "player": found.player, "state": picks.state_of(found),
        "percent": round(100 * found.share), "standing": found.standing or {},
        "may_change": Player.objects.changed_by(account_of(request)).filter(pk=found.player_id).exists(),
    }  # fmt: skip
