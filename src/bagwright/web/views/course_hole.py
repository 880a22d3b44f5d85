"""One hole: its picture, the same in words and figures, and its correction by pointer, touch or keyboard."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

import numpy as np
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from bagwright.bay import correcting, courses
from bagwright.bay.correcting import Correcting, Facts, Seen
from bagwright.bay.errors import ChangedMeanwhileError
from bagwright.course.ground import Ground, Patch, ground_of, polygons
from bagwright.course.hole import Course
from bagwright.course.lies import LETTERS, Lie
from bagwright.course.values import PARS, par_of, stroke_index_of
from bagwright.course.way import beside
from bagwright.errors import BagwrightError, InputError
from bagwright.report.holes.ground import LOOKS
from bagwright.report.holes.picture import Picture, hole_picture
from bagwright.report.holes.words import HEADINGS
from bagwright.store.models import CourseFile
from bagwright.units import System, distance_unit
from bagwright.web.holes import picture_data, points_of
from bagwright.web.views.common import account_of
from bagwright.web.views.courses import kept_course, seen_of

NOT_DRAWN = ("bounds", "tree", "forced")
"""Where patches come from that are no areas of the map."""
EDGE_POINTS = 60
"""Most handles of an edge that is redrawn."""
MARKED = (
    Lie.WATER_RED, Lie.WATER, Lie.SAND, Lie.OUT, Lie.FAIRWAY, Lie.GREEN, Lie.DEEP, Lie.RECOVERY, Lie.TEE,
)  # fmt: skip
"""What an area that is drawn may be, the most wanted first."""


def hole_or_404(course: Course, number: int, tee: str) -> tuple[int, str]:
    """A hole's number and the name of its tee (its first, where it has none of that name). Raises Http404."""
    for hole in course.holes:
        if hole.number == number and hole.tees:
            names = [one.name for one in hole.tees]
            return number, tee if tee in names else names[0]
    raise Http404


@require_safe
def hole(request: HttpRequest, course_id: int, number: int) -> HttpResponse:
    """One hole from one of its tees."""
    kept = kept_course(course_id)
    return _shown(request, kept, number, request.GET.get("tee", ""), {})


def _shown(
    request: HttpRequest, kept: CourseFile, number: int, tee: str, more: dict[str, Any], status: int = 200
) -> HttpResponse:
    now = courses.understood(kept)
    course = now.course
    number, tee = hole_or_404(course, number, tee)
    system: System = request.system  # type: ignore[attr-defined]
    ground = ground_of(course, number, tee)
    picture = hole_picture(course, number, tee, system, standalone=False)
    numbers = [one.number for one in course.holes]
    place = numbers.index(number)
    areas = areas_of(ground, system)
    told = {
        "kept": kept,
        "course": course,
        "hole": ground.hole,
        "number": number,
        "tee": tee,
        "before": numbers[place - 1] if place else None,
        "after": numbers[place + 1] if place + 1 < len(numbers) else None,
        "numbers": numbers,
        "svg": mark_safe(picture.svg),  # noqa: S308 - made by report.holes, which escapes every text
        "words": picture.words,
        "headings": HEADINGS,
        "areas": areas,
        "lies": [(lie.name, LOOKS[lie].words) for lie in MARKED],
        "questions": [one for one in course.questions if one.hole == number],
        "card_words": course.notes.get(f"words {number}", "") if course.source == "card" else None,
        "seen": now.seen if now.seen is not None else "",
        "redo": courses.can_redo(kept),
        "data": _data(ground, picture, areas, system),
        "unit": distance_unit(system).name,
    }
    return render(request, "web/courses/hole.html", told | more, status=status)


def _data(ground: Ground, picture: Picture, areas: list[dict[str, Any]], system: System) -> dict[str, Any]:
    """What the script needs: which pixel is which metre, and where everything that can be moved stands."""
    return {
        **picture_data(picture, system),
        "tee": [0.0, 0.0],
        "pin": [round(x, 2) for x in ground.pin_m],
        "areas": {area["source"]: area["edge"] for area in areas if area["edge"]},
        "words": {
            "tee": _("tee"), "pin": _("pin"), "corner": _("corner"), "cursor": _("cursor"),
            "right": _("right"), "left": _("left"), "on": _("from the tee"),
            "help": _("Arrow keys move it, with Shift by more."),
            "add": _("Arrow keys move the cursor, Enter sets a corner there."),
            "drop": _("Arrow keys move the corner, Delete takes it out."),
        },
    }  # fmt: skip


def areas_of(ground: Ground, system: System) -> list[dict[str, Any]]:
    """The areas of this hole in the order of the way, each with its edge where that can be redrawn."""
    found: dict[str, list[Patch]] = {}
    for patch in ground.patches:
        if patch.own and patch.source not in NOT_DRAWN:
            found.setdefault(patch.source, []).append(patch)
    rows = [_area(source, patches, ground, system) for source, patches in found.items()]
    return sorted(rows, key=lambda row: float(row["along_m"]))


def _area(source: str, patches: list[Patch], ground: Ground, system: System) -> dict[str, Any]:
    patch = patches[0]
    shape = patch.shape
    middle = shape.representative_point()
    along, side = beside(np.array([[middle.x, middle.y]]), ground.way_m)
    factor = distance_unit(system).factor
    return {
        "source": source,
        "lie": LOOKS[patch.looks].words,
        "lie_name": patch.looks.name,
        "letter": LETTERS[patch.looks],
        "along_m": float(along[0]),
        "along": f"{round(float(along[0]) / factor)}",
        # The hole's frame has y to the right: the sign of `beside` turns.
        "side_m": -float(side[0]),
        "parts": len(patches),
        "edge": _edge(patches),
    }


def _edge(patches: list[Patch]) -> list[list[float]]:
    """The corners of an area's edge; none where it has several parts or islands, which one line cannot show."""
    parts = [part for patch in patches for part in polygons(patch.shape)]
    if len(parts) != 1 or parts[0].interiors:
        return []
    outline = parts[0].exterior
    tolerance = 0.2
    while len(outline.coords) - 1 > EDGE_POINTS and tolerance < 20.0:
        outline = parts[0].exterior.simplify(tolerance)
        tolerance *= 1.6
    return [[round(x, 2), round(y, 2)] for x, y in list(outline.coords)[:-1]]


@require_POST
def correct(request: HttpRequest, course_id: int, number: int) -> HttpResponse:
    """Keep one correction; what cannot be is said on the hole's page, with what was typed."""
    kept = kept_course(course_id)
    course = courses.understood(kept).course
    number, tee = hole_or_404(course, number, request.POST.get("tee", ""))
    try:
        doing = Correcting(account_of(request), kept, seen_of(request))
        said = _corrected(request, doing, Seen(number, tee))
    except BagwrightError as error:
        status = 409 if isinstance(error, ChangedMeanwhileError) else 422
        told = {"message": error.message, "next_step": error.next_step}
        typed = {
            name: request.POST.get(name, "")[:20_000] for name in ("do", "points", "lie", "source", "name")
        }
        return _shown(request, kept, number, tee, {"told": told, "typed": typed}, status)
    messages.success(request, _("Kept: %(said)s.") % {"said": said})
    return redirect(f"{reverse('course-hole', args=[kept.pk, number])}?{_query(tee)}")


def _query(tee: str) -> str:
    return urlencode({"tee": tee})


def _corrected(request: HttpRequest, doing: Correcting, at: Seen) -> str:
    sent = request.POST
    do = sent.get("do", "")
    if do == "facts":
        return correcting.set_facts(doing, at.number, _facts(request)).said
    if do == "remove":
        return correcting.remove_area(doing, at, sent.get("source", "")[:80]).said
    points = points_of(sent.get("points", ""), request.system)  # type: ignore[attr-defined]
    if do in ("tee", "pin", "add-tee"):
        if len(points) != 1:
            raise InputError(_("One place is needed here."), _("Point at it on the picture, or type it."))
        if do == "add-tee":
            return correcting.add_tee(doing, at, sent.get("name", "")[:60], points[0]).said
        return (correcting.move_tee if do == "tee" else correcting.move_pin)(doing, at, points[0]).said
    lie = Lie.__members__.get(sent.get("lie", ""))
    if do not in ("mark", "redraw") or lie is None:
        raise InputError(_("It was not said what to correct."), _("Choose it beside the picture."))
    source = sent.get("source", "")[:80] if do == "redraw" else None
    if len(points) < 3:
        raise InputError(
            _("An area needs three corners or more."), _("Set them on the picture, or type them.")
        )
    return correcting.set_area(doing, at, lie, points, source).said


def _facts(request: HttpRequest) -> Facts:
    par, index = request.POST.get("par", "").strip(), request.POST.get("stroke_index", "").strip()
    facts = Facts(par_of(par), stroke_index_of(index), request.POST.get("words"))
    if par and facts.par is None:
        raise InputError(
            _('"%(par)s" is no par.') % {"par": par[:20]},
            _("Write %(low)s to %(high)s.") % {"low": PARS[0], "high": PARS[1]},
        )
    if index and facts.stroke_index is None:
        raise InputError(_('"%(index)s" is no stroke index.') % {"index": index[:20]}, _("Write 1 to 36."))
    return facts
