"""The bay: the next ball, the entry pad, the last shots."""

from __future__ import annotations

import uuid
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from bagwright.bay import entering, following, lineclub, looking, shots
from bagwright.bay.errors import ChangedMeanwhileError
from bagwright.bay.language import here
from bagwright.errors import InputError
from bagwright.shots.line import LineForm, example, form_words, parse_line, tag_words
from bagwright.shots.record import MISHITS, SWINGS
from bagwright.store.models import Account, ShotRecord, Visit
from bagwright.web.context import steps_of
from bagwright.web.views import spoken
from bagwright.web.views.common import is_part, visit_for


def who(request: HttpRequest) -> Account | None:
    """The account that asks, None for a paired device."""
    return request.user if isinstance(request.user, Account) else None


def bay_context(request: HttpRequest, visit: Visit, club_id: int | None = None) -> dict[str, Any]:
    """What the bay's page and its parts show."""
    pad = entering.pad_of(visit, request.system, request.LANGUAGE_CODE, club_id)  # type: ignore[attr-defined]
    last = shots.last_shots(visit)
    return {
        "visit": visit,
        "pad": pad,
        "form_words": form_words(pad.form),
        "example": example(pad.form),
        "tags": tag_words(pad.form),
        "left": following.left_of(visit),
        "shots": last,
        "suggested": looking.suggestions(last),
        "figure_names": [capfirst(spoken.figure(name)) for name in pad.form.order],
        "figure_units": [pad.form.spoken_unit(name) for name in pad.form.order],
        "mishits": MISHITS,
        "mark_keys": [
            *((pad.form.words.mishit(word), spoken.mishit(word)) for word in MISHITS),
            (pad.form.words.bad[0], _("bad read")),
        ],
        "swings": SWINGS,
        "swing_keys": [pad.form.words.swing(swing) for swing in SWINGS],
        "key": f"page-{uuid.uuid4().hex}",
        "flat_out_waits": visit.flat_out_at is None and pad.next is not None and pad.next.swing == "flat-out",
    }


@require_safe
def bay(request: HttpRequest, visit_id: int) -> HttpResponse:
    """The page of the bay; htmx gets the changing parts alone."""
    visit = visit_for(request, visit_id)
    told = bay_context(request, visit, number_of(request.GET.get("club", "")))
    if is_part(request):
        return render(request, "web/bay/_now.html", {**told, "part": True})
    answer = render(request, "web/bay/bay.html", {**told, "steps": steps_of(visit, "bay")})
    if visit.finished_at is None and getattr(request, "paired_device", None) is None:
        # The one page that the browser's worker may keep, for a day at most: see docs/app.md.
        answer["X-Bagwright-Keep"] = "bay"
    return answer


@require_POST
def shot_add(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Store a typed shot. The browser's queue sends it with a key and asks for JSON; a plain form works too."""
    visit = visit_for(request, visit_id, change=True)
    form = form_as_typed(request, visit)
    line = request.POST.get("line", "")
    named, begins = lineclub.club_of(visit, line, form)
    # The club is blanked out, so that an error still points at its own piece of the line.
    typed = parse_line(" " * begins + line[begins:], form)
    club = named.pk if named is not None else number_of(request.POST.get("club", ""))
    if club is None:
        raise InputError(_("No club was chosen."), _("Choose the club that was hit."))
    entry = shots.Entry(
        key=request.POST.get("key", ""),
        club_id=club,
        values=typed.values,
        swing=typed.swing or request.POST.get("swing", "stock"),
        mark=typed.mark,
        reason=typed.reason,
        carry_at_least=typed.carry_at_least,
        change=request.POST.get("change", ""),
    )
    added = shots.add_shot(visit, who(request), entry)
    if "application/json" in request.headers.get("Accept", ""):
        visit.refresh_from_db(fields=["revision"])
        told = {"number": added.shot.number, "new": added.new, "revision": visit.revision}
        return JsonResponse(told, status=201 if added.new else 200)
    return redirect("bay", visit.pk)


def number_of(text: str) -> int | None:
    """A row's number as a form or an address says it; None for anything else."""
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 16 else None


def form_as_typed(request: HttpRequest, visit: Visit) -> LineForm:
    """The form of a line now.

    Raises ChangedMeanwhileError for a line that was typed under another one: `84` may have been miles an hour.
    """
    form = entering.form_of(visit, request.system, request.LANGUAGE_CODE)  # type: ignore[attr-defined]
    said = request.POST.get("form", "")
    if said and said != entering.mark_of(form):
        raise ChangedMeanwhileError(
            _("This line was typed under another form, so its figures could be misread: nothing was stored."),
            _("The form is now: %(form)s. Load the page again, then type it in this form.")
            % {"form": here(form_words(form))},
        )
    return form


def shot_for(request: HttpRequest, shot_id: int) -> ShotRecord:
    """A shot whose visit may be changed."""
    shot = ShotRecord.objects.select_related("visit", "club").filter(pk=shot_id).first()
    if shot is None:
        raise Http404
    visit_for(request, shot.visit_id, change=True)
    return shot


def after(request: HttpRequest, visit_id: int) -> HttpResponse:
    """The changing parts for htmx, else the page."""
    if is_part(request):
        visit = Visit.objects.select_related("player").get(pk=visit_id)
        return render(request, "web/bay/_now.html", {**bay_context(request, visit), "part": True})
    return redirect("bay", visit_id)


@require_POST
def shot_mark(request: HttpRequest, shot_id: int) -> HttpResponse:
    """Mark a shot: "heavy" and the other mishits, "warm-up", "bad-read", or "" for none."""
    shot = shot_for(request, shot_id)
    said = request.POST.get("mark", "")
    mark, reason = ("mishit", said) if said in MISHITS else (said, request.POST.get("reason", ""))
    shots.mark_shot(who(request), shot, version_of(request), mark, reason)
    return after(request, shot.visit_id)


def version_of(request: HttpRequest) -> int:
    """The version that the page had seen; 0, which fits none, where it said none."""
    return number_of(request.POST.get("version", "")) or 0


@require_POST
def shot_remove(request: HttpRequest, shot_id: int) -> HttpResponse:
    """Take a shot out of the answers, or put it back."""
    shot = shot_for(request, shot_id)
    shots.remove_shot(who(request), shot, back=request.POST.get("back") == "1")
    return after(request, shot.visit_id)


@require_POST
def undo(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Take the last step back, or do it again."""
    visit = visit_for(request, visit_id, change=True)
    step = shots.redo if request.POST.get("again") == "1" else shots.undo
    step(who(request), visit)
    return after(request, visit.pk)


@require_safe
def revision(request: HttpRequest, visit_id: int) -> HttpResponse:
    """The visit's revision, for screens that cannot keep a stream open."""
    visit = visit_for(request, visit_id)
    return JsonResponse({"revision": visit.revision})
