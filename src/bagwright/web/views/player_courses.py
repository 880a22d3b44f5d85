"""Where a player plays, and what strokes are to be worked out there."""

from __future__ import annotations

import math
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from bagwright.bay import audit, courses, playing, strokes
from bagwright.bay.round_inputs import Asked
from bagwright.errors import BagwrightError, InputError
from bagwright.store.models import CourseFile, Player, StrokesRun
from bagwright.units import System, parse_quantity
from bagwright.web.views.common import account_of, player_for

MOST_RUNS = 30
EIGHTH = math.pi / 4
"""Of a turn: directions of the wind are chosen in steps of it."""


@require_http_methods(["GET", "HEAD", "POST"])
def index(request: HttpRequest, player_id: int) -> HttpResponse:
    """A player's courses. A POST adds or removes one, or asks for a reckoning."""
    player = player_for(request, player_id, change=request.method == "POST")
    account = account_of(request)
    told: dict[str, Any] = {}
    if request.method == "POST":
        try:
            return _done(request, player)
        except BagwrightError as error:
            told = {"told": {"message": error.message, "next_step": error.next_step}, "typed": request.POST}
    else:
        audit.note(account, player, "opened")
    told |= _page(request, player)
    return render(request, "web/courses/player.html", told, status=422 if "told" in told else 200)


def _page(request: HttpRequest, player: Player) -> dict[str, Any]:
    chosen = chosen_course(request)
    runs = StrokesRun.objects.filter(player=player, visit=None).select_related("course")
    runs = runs.defer("arrays", "course__source", "course__heights")
    return {
        "player": player,
        "may_change": Player.objects.changed_by(account_of(request)).filter(pk=player.pk).exists(),
        "plays": [(one, winds(one.played.course)) for one in playing.played_by(player)],
        "courses": courses.listed(),
        "chosen": chosen,
        "tees": courses.understood(chosen).course.tee_names if chosen is not None else (),
        "runs": [(run, strokes.state_of(run)) for run in runs[:MOST_RUNS]],
        "wind_unit": wind_unit(request.system),  # type: ignore[attr-defined]
    }


def chosen_course(request: HttpRequest) -> CourseFile | None:
    """The course that the page's first form named, None without one."""
    text = request.POST.get("course") or request.GET.get("course", "")
    if not (text.isascii() and text.isdecimal() and len(text) < 16):
        return None
    return CourseFile.objects.filter(pk=int(text), archived_at__isnull=True).first()


def wind_unit(system: System) -> str:
    """What a bare number of wind means to the reader."""
    return "mph" if system == "yards" else "km/h"


def winds(kept: CourseFile) -> list[tuple[str, str]]:
    """Directions that a wind may come from, as eighths of a turn: compass points, or by the hole on a card."""
    if courses.understood(kept).course.source == "card":
        by_hole = {
            0: _("against, on every hole"),
            2: _("from the right"),
            4: _("with, on every hole"),
            6: _("from the left"),
        }
        return [(str(k), words) for k, words in by_hole.items()]
    points = (
        _("north"), _("north-east"), _("east"), _("south-east"), _("south"), _("south-west"), _("west"), _("north-west"),
    )  # fmt: skip
    return [(str(k), words) for k, words in enumerate(points)]


def wind_of(request: HttpRequest) -> tuple[float, float]:
    """The stated wind: m/s and where it comes from, radians. Raises InputError for what is no wind."""
    text, eighth = request.POST.get("wind", "").strip()[:40], request.POST.get("from", "0")
    if not text:
        return 0.0, 0.0
    speed = parse_quantity(text, "speed", wind_unit(request.system))  # type: ignore[attr-defined]
    if eighth not in {str(k) for k in range(8)}:
        raise InputError(_("It was not said where the wind comes from."), _("Choose a direction."))
    return speed, int(eighth) * EIGHTH


def _done(request: HttpRequest, player: Player) -> HttpResponse:
    do = request.POST.get("do", "")
    if do == "remove":
        playing.no_more(account_of(request), player, _number(request.POST.get("played", "")))
        return redirect("player-courses", player.pk)
    if do == "solve":
        return redirect("strokes", player.pk, _asked(request, player).pk)
    kept = chosen_course(request)
    if kept is None:
        raise InputError(_("No course was chosen."), _("Choose one of the house's courses."))
    weight = request.POST.get("weight", "1").strip().replace(",", ".")
    try:
        share = float(weight)
    except ValueError as error:
        raise InputError(_("That is no share of rounds."), _("Give a number above 0, such as 1.")) from error
    playing.play(account_of(request), player, kept, request.POST.get("tee", "")[:60], share)
    return redirect("player-courses", player.pk)


def _asked(request: HttpRequest, player: Player) -> StrokesRun:
    plays = {one.played.pk: one.played for one in playing.played_by(player)}
    played = plays.get(_number(request.POST.get("played", "")))
    if played is None:
        raise InputError(_("No course was chosen."), _("Choose one of the player's courses."))
    speed, turn = wind_of(request)
    kept = CourseFile.objects.get(pk=played.course_id)
    account = account_of(request)
    calm = strokes.start(account, Asked(player, kept, played.tee))
    # A sheet has both: the calm round is worked out beside the one in wind.
    return strokes.start(account, Asked(player, kept, played.tee, speed, turn)) if speed > 0.0 else calm


def _number(text: str) -> int:
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 16 else 0
