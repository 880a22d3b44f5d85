"""The house's courses: the list, one course with what it leaves open, its corrections."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from bagwright.bay import correcting, courses
from bagwright.bay.correcting import Correcting
from bagwright.bay.errors import ChangedMeanwhileError
from bagwright.course.answering import takes
from bagwright.course.asking import AS_READ, name_of
from bagwright.course.hole import Course, Hole, Question
from bagwright.course.way import played_way, way_length
from bagwright.errors import BagwrightError, InputError
from bagwright.report.holes.picture import hole_styles
from bagwright.store.models import CourseFile, Player
from bagwright.web.views.common import account_of

MOST_CHARACTERS = 1_000_000
"""Of a pasted card or map; a file may be larger."""
MOST_CHANGES = 20
"""Corrections in the list."""
MOST_PLAYERS = 30
"""Of those who play a course, on its page."""


@require_http_methods(["GET", "HEAD", "POST"])
def index(request: HttpRequest) -> HttpResponse:
    """The courses; a map or card is uploaded or pasted here."""
    archived = request.GET.get("archived") == "1"
    told: dict[str, Any] = {"archived": archived}
    status = 200
    if request.method == "POST":
        try:
            kept = _taken(request)
            messages.success(request, _("%(name)s is here. Look at its holes.") % {"name": kept.name[:80]})
            return redirect("course", kept.pk)
        except BagwrightError as error:
            told["told"] = {"message": error.message, "next_step": error.next_step}
            told |= {name: request.POST.get(name, "")[:MOST_CHARACTERS] for name in ("name", "text")}
            status = 422
    told["rows"] = courses.listed(archived=archived)
    return render(request, "web/courses/list.html", told, status=status)


def _taken(request: HttpRequest) -> CourseFile:
    upload, text = request.FILES.get("file"), request.POST.get("text", "")
    name = request.POST.get("name", "")
    if upload is not None and upload.size:
        if upload.size > courses.MOST_BYTES:
            raise InputError(
                _("The file is larger than a course's file may be."),
                _("Save only this course's area from the map."),
            )
        return courses.take_in(account_of(request), name, upload.name or "course", upload.read())
    if not text.strip():
        raise InputError(_("No file was sent."), _("Choose a map or a card, or paste one."))
    if len(text) > MOST_CHARACTERS:
        raise InputError(_("The text is longer than a course may be."), _("Send it as a file."))
    return courses.take_in(account_of(request), name, name or _("pasted card"), text.encode())


def kept_course(course_id: int) -> CourseFile:
    """A course of the house. Raises Http404 where there is none of this number."""
    kept = CourseFile.objects.defer("heights").filter(pk=course_id).first()
    if kept is None:
        raise Http404
    return kept


@dataclass(frozen=True, slots=True)
class HoleLine:
    """One hole in the table: par, index and the length from every tee, metres (None where it has no such tee)."""

    hole: Hole
    lengths: tuple[float | None, ...]
    rise_m: float | None
    """The pin over the first tee."""


def hole_lines(course: Course) -> list[HoleLine]:
    """The holes by number, lengths in the order of the course's tees."""
    lines = []
    for hole in course.holes:
        there = {tee.name: way_length(played_way(hole, tee)) for tee in hole.tees}
        lengths = tuple(there.get(name) for name in course.tee_names)
        lines.append(HoleLine(hole, lengths, _rise(hole)))
    return lines


def _rise(hole: Hole) -> float | None:
    tee = hole.tees[0].height_m if hole.tees else None
    return None if tee is None or hole.pin_height_m is None else hole.pin_height_m - tee


def totals(lines: list[HoleLine]) -> tuple[int, tuple[float | None, ...]]:
    """Par and length from each tee of all holes; None where a hole has no such tee."""
    par = sum(line.hole.par or 0 for line in lines)
    columns = zip(*(line.lengths for line in lines), strict=True)
    return par, tuple(
        None if None in column else sum(x for x in column if x is not None) for column in columns
    )


def _asked(question: Question, given: Mapping[str, str]) -> dict[str, Any]:
    name = name_of(question.hole, question.key)
    return {
        "question": question,
        "name": name,
        "given": given.get(name, ""),
        "kind": takes(question),
        "as_read": AS_READ,
    }


@require_http_methods(["GET", "HEAD", "POST"])
def course(request: HttpRequest, course_id: int) -> HttpResponse:
    """One course: holes, lengths, what it leaves open, and the corrections. A POST answers questions."""
    kept = kept_course(course_id)
    told: dict[str, Any] = {}
    answers: dict[str, str] = {}
    status = 200
    if request.method == "POST":
        doing = Correcting(account_of(request), kept, seen_of(request))
        answers = {
            name.removeprefix("answer-")[:120]: str(value)[:200]
            for name, value in request.POST.items()
            if name.startswith("answer-")
        }
        try:
            correcting.answer(doing, answers)
            messages.success(request, _("Saved."))
            return redirect(reverse("course", args=[kept.pk]) + "#open")
        except (InputError, ChangedMeanwhileError) as error:
            status = 409 if isinstance(error, ChangedMeanwhileError) else 422
            told["told"] = {"message": error.message, "next_step": error.next_step}
    return render(
        request, "web/courses/course.html", course_page(request, kept, answers) | told, status=status
    )


def players_of(request: HttpRequest, kept: CourseFile) -> list[Player]:
    """Those who play a course, of the players that this account may see; strokes are worked out on their pages."""
    seen = Player.objects.seen_by(account_of(request)).filter(archived_at__isnull=True)
    return list(seen.filter(played_courses__course=kept).order_by("name", "pk")[:MOST_PLAYERS])


def course_page(
    request: HttpRequest, kept: CourseFile, given: Mapping[str, str] | None = None
) -> dict[str, Any]:
    """What the course's page shows; `given` are answers that could not be kept, by the questions' names."""
    now = courses.understood(kept)
    found = now.course
    lines = hole_lines(found)
    par, lengths = totals(lines)
    return {
        "kept": kept,
        "course": found,
        "players": players_of(request, kept),
        "lines": lines,
        "rises": any(line.rise_m is not None for line in lines),
        "par": par,
        "lengths": lengths,
        "asked": [_asked(question, given or {}) for question in found.questions],
        "left_out": {
            key.removeprefix("left out: "): value
            for key, value in found.notes.items()
            if key.startswith("left out: ")
        },
        "seen": now.seen if now.seen is not None else "",
        "changes": kept.overlays.select_related("made_by")[:MOST_CHANGES],
        "redo": courses.can_redo(kept),
    }


def seen_of(request: HttpRequest) -> int | None:
    """The overlay that the page was made from. Raises InputError for anything that is no number."""
    text = request.POST.get("seen", "")
    if not text:
        return None
    if not (text.isascii() and text.isdecimal() and len(text) < 16):
        raise InputError(
            _("The form was damaged on its way."), _("Load the page again, then repeat the change.")
        )
    return int(text)


@require_POST
def archive(request: HttpRequest, course_id: int) -> HttpResponse:
    """Put a course aside, or back."""
    kept = kept_course(course_id)
    back = request.POST.get("back") == "1"
    courses.archive(account_of(request), kept, back=back)
    words = _("%(name)s is back.") if back else _("%(name)s was put aside; nothing was deleted.")
    messages.success(request, words % {"name": kept.name[:80]})
    return redirect("course", kept.pk) if back else redirect("courses")


@require_POST
def undo(request: HttpRequest, course_id: int) -> HttpResponse:
    """Take the last correction back, or put it back."""
    kept = kept_course(course_id)
    back = request.POST.get("redo") == "1"
    done = (courses.redo if back else courses.undo)(account_of(request), kept)
    if done is None:
        raise InputError(
            _("There is nothing to take back."), _("Look at the corrections on the course's page.")
        )
    words = _("Put back: %(said)s.") if back else _("Taken back: %(said)s.")
    messages.success(request, words % {"said": done.said or _("a correction")})
    hole = request.POST.get("hole", "")
    if hole.isascii() and hole.isdecimal() and len(hole) < 3:
        return redirect("course-hole", kept.pk, int(hole))
    return redirect("course", kept.pk)


@require_safe
def overlay(request: HttpRequest, course_id: int) -> HttpResponse:
    """The corrections that stand, as the file that is kept beside the map or card."""
    kept = kept_course(course_id)
    standing = courses.standing_overlay(kept)
    if standing is None:
        raise Http404
    answer = HttpResponse(standing.content, content_type="text/plain; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="course-{kept.pk}.overlay.toml"'
    return answer


@require_safe
def hole_styles_file(request: HttpRequest) -> HttpResponse:
    """The styles of the holes' pictures: a file, because the page's policy forbids styles within it."""
    return HttpResponse(hole_styles(), content_type="text/css; charset=utf-8")
