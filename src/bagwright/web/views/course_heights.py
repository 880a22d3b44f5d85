"""The heights of a course's ground: a file beside the map, replaced, taken away, given back."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from bagwright.bay import courses
from bagwright.errors import BagwrightError, InputError
from bagwright.store.models import CourseFile
from bagwright.web.views.common import account_of
from bagwright.web.views.courses import course_page, kept_course
from bagwright.words import as_read


@require_POST
def heights(request: HttpRequest, course_id: int) -> HttpResponse:
    """Give a file of heights, or take the present one away; what cannot be read is said on the course's page."""
    kept = kept_course(course_id)
    account = account_of(request)
    if "away" in request.POST:
        name = courses.take_heights_away(account, kept)
        if name:
            messages.success(request, _("%(name)s was taken away.") % {"name": name[:80]})
        return redirect("course", kept.pk)
    try:
        name, content = _sent(request)
        before = kept.heights_name
        found = courses.give_heights(account, kept, name, content)
    except BagwrightError as error:
        told = {"heights_told": {"message": error.message, "next_step": error.next_step}}
        return render(request, "web/courses/course.html", course_page(request, kept) | told, status=422)
    words = _("Read from %(name)s: %(what)s.") % {"name": name[:80], "what": as_read(found.notes["heights"])}
    replaced = _("It took the place of %(before)s.") % {"before": before[:80]} if before else ""
    messages.success(request, f"{words} {replaced}".strip())
    return redirect("course", kept.pk)


def _sent(request: HttpRequest) -> tuple[str, bytes]:
    upload = request.FILES.get("heights")
    if upload is None or not upload.size:
        raise InputError(_("No file was sent."), _("Choose a file of heights."))
    if upload.size > courses.MOST_HEIGHTS_BYTES:
        raise InputError(
            _("The file is larger than a file of heights may be."),
            _("Cut it to the course's area, or take a coarser grid."),
        )
    return upload.name or "heights", upload.read()


@require_safe
def heights_file(request: HttpRequest, course_id: int) -> HttpResponse:
    """The file of heights as it was given."""
    kept = CourseFile.objects.defer("source").filter(pk=course_id).first()
    if kept is None or not kept.heights:
        raise Http404
    answer = HttpResponse(bytes(kept.heights), content_type="application/octet-stream")
    answer["Content-Disposition"] = (
        f'attachment; filename="course-{kept.pk}-heights{_ending(kept.heights_name)}"'
    )
    return answer


def _ending(name: str) -> str:
    """The ending that says what kind of file it is; a tile's own name says where it lies, and is said on the page."""
    return next((end for end in (".asc", ".csv", ".hgt", ".txt") if name.lower().endswith(end)), "")
