"""A ball is typed anew: what stays the same in the line stays as it was stored."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from bagwright.bay import entering, shots
from bagwright.bay.errors import ChangedMeanwhileError
from bagwright.bay.notes import note_of
from bagwright.errors import InputError
from bagwright.shots.line import LineForm, Typed, form_words, parse_line, write_line
from bagwright.shots.record import SWINGS
from bagwright.store.models import ShotRecord
from bagwright.web.context import steps_of
from bagwright.web.views.bay import form_as_typed, number_of, shot_for, version_of, who


@require_http_methods(["GET", "HEAD", "POST"])
def shot_edit(request: HttpRequest, shot_id: int) -> HttpResponse:
    """Change a ball by typing its line anew, its club, its swing and its note."""
    shot = shot_for(request, shot_id)
    form = entering.form_of(shot.visit, request.system, request.LANGUAGE_CODE)  # type: ignore[attr-defined]
    told = {**page_of(shot, form), "line": line_of(shot, form), "said": said_of(request, shot)}
    if request.method != "POST":
        return render(request, "web/bay/edit.html", told)
    try:
        values = changes_of(request, shot, form_as_typed(request, shot.visit))
        shots.edit_shot(who(request), shot, version_of(request), values)
    except InputError as error:
        status = 422
        told["told"] = {"message": error.message, "next_step": error.next_step}
    except ChangedMeanwhileError as error:
        # What was typed stays in the form; what is stored now stands beside it, and is what the next try has seen.
        status = 409
        now = ShotRecord.objects.select_related("visit", "club").get(pk=shot.pk)
        told |= page_of(now, form) | {"stored": line_of(now, form)}
        told["told"] = {"message": error.message, "next_step": error.next_step}
    else:
        return redirect("bay", shot.visit_id)
    told["line"] = request.POST.get("line", "")[:200]
    return render(request, "web/bay/edit.html", told, status=status)


def page_of(shot: ShotRecord, form: LineForm) -> dict[str, Any]:
    """What the page shows beside what was typed."""
    clubs = shot.visit.player.clubs.exclude(kind="putter")
    return {
        "shot": shot,
        "visit": shot.visit,
        "form_words": form_words(form),
        "form_mark": entering.mark_of(form),
        "clubs": [club for club in clubs if club.removed_at is None or club.pk == shot.club_id],
        "swings": SWINGS,
        "steps": steps_of(shot.visit, "bay"),
        "changes": shot.changes.select_related("made_by").order_by("pk"),
    }


def said_of(request: HttpRequest, shot: ShotRecord) -> dict[str, Any]:
    """Club, swing and note as they were sent, else as they are stored."""
    return {
        "club": number_of(request.POST.get("club", "")) or shot.club_id,
        "swing": request.POST.get("swing", shot.swing),
        "note": request.POST.get("note", shot.note)[:2000],
    }


def changes_of(request: HttpRequest, shot: ShotRecord, form: LineForm) -> dict[str, Any]:
    """The fields that were changed. A figure whose piece of the line stayed the same keeps all its decimals."""
    typed = parse_line(request.POST.get("line", ""), form)
    shown = shown_of(shot, form)
    before = parse_line(write_line(shown, form), form) if shown.values or shown.mark else Typed()
    values: dict[str, Any] = {
        name: typed.values.get(name)
        for name in dict.fromkeys((*before.values, *typed.values))
        if typed.values.get(name) != before.values.get(name)
    }
    if typed.carry_at_least != before.carry_at_least:
        values["carry_at_least"] = typed.carry_at_least
    if (typed.mark, typed.reason) != (shown.mark, shown.reason):
        values |= {
            "mark": typed.mark,
            "mark_reason": typed.reason[:200],
            "mark_author": "professional" if typed.mark else "",
        }
    said = said_of(request, shot)
    swing = typed.swing or said["swing"]
    if swing not in SWINGS:
        raise InputError(
            _('"%(swing)s" is no swing.') % {"swing": str(swing)[:20]},
            _("Use %(swings)s.") % {"swings": ", ".join(SWINGS)},
        )
    wanted = {"swing": swing, "note": note_of(said["note"]), "club_id": said["club"]}
    return values | {name: value for name, value in wanted.items() if value != getattr(shot, name)}


def shown_of(shot: ShotRecord, form: LineForm) -> Typed:
    """A stored ball as far as a line can say it.

    A warm-up has no word; why a read is bad may hold any words, so only that it is bad stands in the line.
    """
    names = dict.fromkeys((*form.order, *form.tags.values()))
    values = {name: value for name in names if (value := getattr(shot, name)) is not None}
    mark: Any = shot.mark if shot.mark == "bad-read" or (shot.mark == "mishit" and shot.mark_reason) else ""
    reason = shot.mark_reason if mark == "mishit" else ""
    return Typed(values, None, mark, reason, shot.carry_at_least and "carry_m" in values)


def line_of(shot: ShotRecord, form: LineForm) -> str:
    """A stored ball as a line of the form."""
    return write_line(shown_of(shot, form), form)
