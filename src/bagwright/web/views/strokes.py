"""A reckoning of strokes on screen: under way, its result, one hole with contours, and a spot asked for."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from bagwright.bay import audit, courses, round_inputs, strokes
from bagwright.course.lies import Lie
from bagwright.errors import BagwrightError, InputError
from bagwright.report.holes.ground import LOOKS
from bagwright.report.holes.layers import Layer
from bagwright.report.holes.picture import hole_picture
from bagwright.report.strokes.doubt import Doubt
from bagwright.report.strokes.drawn import contours_of, plan_layer, tee_balls
from bagwright.report.strokes.plan import Step
from bagwright.report.strokes.round import Round
from bagwright.report.strokes.sheet import Sheet, sheet_pdf
from bagwright.report.strokes.spot import Choice, spot_of
from bagwright.store.models import Player, ShopSettings, StrokesRun
from bagwright.strokes.result import HoleStrokes
from bagwright.units import System, distance_unit
from bagwright.web.holes import picture_data, points_of
from bagwright.web.templatetags.strokes import wind_words
from bagwright.web.views.common import account_of, player_for


def run_for(request: HttpRequest, player_id: int, run_id: int, *, change: bool = False) -> StrokesRun:
    """A run of a player that this account may see (`change`: may change). Raises Http404 otherwise."""
    player = player_for(request, player_id, change=change)
    rows = StrokesRun.objects.select_related("course", "visit", "candidate").defer(
        "arrays", "course__heights"
    )
    run = rows.filter(pk=run_id, player=player).first()
    if run is None:
        raise Http404
    run.player = player
    return run


@require_http_methods(["GET", "HEAD", "POST"])
def run(request: HttpRequest, player_id: int, run_id: int) -> HttpResponse:
    """A run: its progress, or its result. A POST stops it, or asks for it anew."""
    found = run_for(request, player_id, run_id, change=request.method == "POST")
    account = account_of(request)
    if request.method == "POST":
        if "stop" in request.POST:
            strokes.stop(account, found)
            messages.success(request, _("Stopped."))
            return redirect("player-courses", player_id)
        if "doubt" in request.POST:
            strokes.ask_doubt(account, found)
            return redirect("strokes", player_id, run_id)
        return redirect("strokes", player_id, strokes.start(account, round_inputs.asked_of(found)).pk)
    audit.note(account, found.player, "opened")
    return render(request, "web/courses/strokes.html", _told(request, found))


def _told(request: HttpRequest, found: StrokesRun) -> dict[str, Any]:
    state = strokes.state_of(found)
    told = _progress(request, found)
    if state == "done":
        answer, doubt = strokes.answer_of(found), strokes.doubt_of_run(found)
        told |= {
            "answer": answer,
            "result": answer.result,
            "holes": _lines(answer, doubt, request.system),  # type: ignore[attr-defined]
            "unit": distance_unit(request.system).name,  # type: ignore[attr-defined]
            "clubs": answer.clubs(),
            "doubt": doubt,
            "stale": strokes.is_stale(found),
        }
    return told


def _lines(
    answer: Round, doubt: Doubt | None, system: System
) -> list[tuple[HoleStrokes, list[tuple[Step, str]], float | None]]:
    """Each hole with its tee shot, the same in words, and how well the shots know it (None: not asked)."""
    known = doubt.holes if doubt is not None else {}
    return [
        (
            hole,
            [(step, answer.said(step, system)) for step in answer.steps.get(hole.number, ())[:1]],
            known.get(hole.number),
        )
        for hole in answer.result.holes
    ]


@require_safe
def state(request: HttpRequest, player_id: int, run_id: int) -> HttpResponse:
    """How far a run is: a part of its page, asked for again and again; a finished one brings the page anew."""
    found = run_for(request, player_id, run_id)
    answer = render(request, "web/courses/_progress.html", _progress(request, found))
    if strokes.state_of(found) not in ("waiting", "running") and strokes.doubting(found) is None:
        answer["HX-Refresh"] = "true"
    return answer


def _progress(request: HttpRequest, found: StrokesRun) -> dict[str, Any]:
    doubting = strokes.doubting(found)
    return {
        "run": found, "player": found.player, "state": strokes.state_of(found), "doubting": doubting is not None,
        "percent": round(100 * (found.share if doubting is None else doubting)),
        "may_change": Player.objects.changed_by(account_of(request)).filter(pk=found.player_id).exists(),
    }  # fmt: skip


def _hole_of(found: StrokesRun, number: int) -> tuple[Round, HoleStrokes]:
    if strokes.state_of(found) not in ("done", "old"):
        raise Http404
    answer = strokes.answer_of(found, number)
    one = next((hole for hole in answer.result.holes if hole.number == number), None)
    if one is None:
        raise Http404
    return answer, one


@require_safe
def hole(request: HttpRequest, player_id: int, run_id: int, number: int) -> HttpResponse:
    """One hole: contours of strokes to hole out, the way that is chosen, where tee shots finish, a spot asked for."""
    found = run_for(request, player_id, run_id)
    answer, one = _hole_of(found, number)
    system: System = request.system  # type: ignore[attr-defined]
    stale = strokes.is_stale(found)
    show = request.GET.get("show", "contours")
    told: dict[str, Any] = {
        "run": found, "player": found.player, "hole": one, "number": number, "stale": stale,
        "uses": answer.of_hole(one), "numbers": [each.number for each in answer.result.holes], "show_layer": show, "unit": distance_unit(system).name,
        "steps": [(step, answer.said(step, system), LOOKS[Lie(step.lie)].words) for step in answer.steps.get(number, ())],
    }  # fmt: skip
    try:
        told |= _drawn(found, answer, one, show, system, stale=stale)
    except InputError as error:
        told["told"] = {"message": error.message, "next_step": error.next_step}
    if "at" in request.GET:
        told |= _spot(request, found, one)
    return render(request, "web/courses/strokes_hole.html", told)


def _drawn(
    found: StrokesRun, answer: Round, one: HoleStrokes, show: str, system: System, *, stale: bool
) -> dict[str, Any]:
    now = courses.understood(found.course)
    raster = now.raster(one.number, found.tee)
    if raster.lie.shape != one.value.shape:
        raise InputError(
            _("The course was corrected since; the picture would not fit the strokes."),
            _("Work it out again."),
        )
    layers: list[Layer] = []
    steps = answer.steps.get(one.number, ())
    if show == "balls" and steps and not stale:
        layers.append(tee_balls(strokes.patterns_of(found), raster, steps, _("where tee shots finish")))
    elif show != "plain":
        layers.append(contours_of(one, raster, _("strokes to hole out")))
    layers.append(
        plan_layer(steps, answer.result.shots, system, _("the way that is chosen, each shot as it is meant"))
    )
    picture = hole_picture(now.course, one.number, found.tee, system, layers, standalone=False)
    return {
        "svg": mark_safe(picture.svg),  # noqa: S308 - made by report.holes, which escapes every text
        "words": picture.words,
        "data": {
            **picture_data(picture, system),
            "start": list(steps[0].to_m) if steps else [0.0, 0.0],
            "words": {
                "cursor": _("spot"), "on": _("from the tee"), "right": _("right"), "left": _("left"),
                "add": _("Arrow keys move it, with Shift by ten; Enter asks what to play from there."),
                "working": _("Working out what to play from there"),
            },
        },
    }  # fmt: skip


@require_safe
def spot(request: HttpRequest, player_id: int, run_id: int, number: int) -> HttpResponse:
    """What to play from a spot, and what the alternatives cost: a part of the hole's page."""
    found = run_for(request, player_id, run_id)
    _answer, one = _hole_of(found, number)
    return render(request, "web/courses/_spot.html", _spot(request, found, one))


def _spot(request: HttpRequest, found: StrokesRun, one: HoleStrokes) -> dict[str, Any]:
    told: dict[str, Any] = {"run": found, "hole": one, "at": request.GET.get("at", "")[:40]}
    try:
        if strokes.is_stale(found):
            raise InputError(
                _("Bag, shots or course changed since this was worked out."),
                _("Work it out again, then ask."),
            )
        points = points_of(told["at"], request.system)  # type: ignore[attr-defined]
        if len(points) != 1:
            raise InputError(_("One place is needed here."), _("Point at it on the picture, or type it."))
        raster = strokes.raster_of_run(found, one.number)
        asked = spot_of(one, raster, strokes.patterns_of(found), points[0], request.system)  # type: ignore[attr-defined]
        told |= {"spot": asked, "lie": LOOKS[asked.lie].words, "arrow": _arrow(points[0], asked.choices[0])}
    except BagwrightError as error:
        told["spot_told"] = {"message": error.message, "next_step": error.next_step}
    return told


def _arrow(start: tuple[float, float], choice: Choice) -> str:
    """From the spot to where the shot ends, metres, for the script that draws it on the picture."""
    return " ".join(f"{x:.1f}" for x in (*start, *choice.end_m))


@require_safe
def sheet(request: HttpRequest, player_id: int, run_id: int) -> HttpResponse:
    """The hole sheet as a PDF: tee club and aim of every hole, calm and in the run's wind."""
    found = run_for(request, player_id, run_id)
    if strokes.state_of(found) != "done":
        raise Http404
    system: System = request.system  # type: ignore[attr-defined]
    rounds = [(wind_words(one, system), strokes.answer_of(one)) for one in strokes.siblings(found)]
    shop = ShopSettings.objects.first() or ShopSettings()
    content = sheet_pdf(
        Sheet(found.player.name, found.course.name, found.tee, tuple(rounds)),
        date=timezone.localdate(),
        paper="letter" if shop.paper == "letter" else "a4",
        system=system,
        language=get_language() or "en",
    )
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = 'inline; filename="hole-sheet.pdf"'
    return answer
