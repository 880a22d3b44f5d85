"""The bay: the next ball, the entry pad, the last shots, the player's screen."""

from __future__ import annotations

import uuid
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from bagwright.bay import entering, planning, shots
from bagwright.errors import InputError
from bagwright.shots.line import (
    LineError,
    LineForm,
    Typed,
    dump_form,
    example,
    form_words,
    load_form,
    parse_line,
    write_line,
)
from bagwright.shots.line_form import written
from bagwright.shots.record import MISHITS, SWINGS
from bagwright.store.models import Account, ShopSettings, ShotRecord, Visit
from bagwright.web.context import steps_of
from bagwright.web.views.common import is_part, visit_for


def who(request: HttpRequest) -> Account | None:
    """The account that asks, None for a paired device."""
    return request.user if isinstance(request.user, Account) else None


def bay_context(request: HttpRequest, visit: Visit, club_id: int | None = None) -> dict[str, Any]:
    """What the bay's page and its parts show."""
    pad = entering.pad_of(visit, request.system, request.LANGUAGE_CODE, club_id)  # type: ignore[attr-defined]
    return {
        "visit": visit,
        "pad": pad,
        "form_words": form_words(pad.form),
        "example": example(pad.form),
        "left": planning.left_of(visit),
        "shots": shots.last_shots(visit),
        "mishits": MISHITS,
        "swings": SWINGS,
        "key": f"page-{uuid.uuid4().hex}",
        "flat_out_waits": visit.flat_out_at is None and pad.next is not None and pad.next.swing == "flat-out",
    }


@require_safe
def bay(request: HttpRequest, visit_id: int) -> HttpResponse:
    """The page of the bay; htmx gets the changing parts alone."""
    visit = visit_for(request, visit_id)
    club = request.GET.get("club", "")
    told = bay_context(request, visit, int(club) if club.isdecimal() else None)
    if is_part(request):
        return render(request, "web/bay/_now.html", {**told, "part": True})
    return render(request, "web/bay/bay.html", {**told, "steps": steps_of(visit, "bay")})


@require_POST
def shot_add(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Store a typed shot. The browser's queue sends it with a key and asks for JSON; a plain form works too."""
    visit = visit_for(request, visit_id, change=True)
    form = entering.form_of(visit, request.system, request.LANGUAGE_CODE)  # type: ignore[attr-defined]
    typed = parse_line(request.POST.get("line", ""), form)
    club = request.POST.get("club", "")
    if not club.isdecimal():
        raise InputError(_("No club was chosen."), _("Choose the club that was hit."))
    entry = shots.Entry(
        key=request.POST.get("key", ""),
        club_id=int(club),
        values=typed.values,
        swing=typed.swing or request.POST.get("swing", "stock"),
        mark=typed.mark,
        reason=typed.reason,
        carry_at_least=typed.carry_at_least,
        change=request.POST.get("change", ""),
    )
    added = shots.add_shot(visit, who(request), entry)
    if "application/json" in request.headers.get("Accept", ""):
        return JsonResponse({"number": added.shot.number, "new": added.new}, status=201 if added.new else 200)
    return redirect("bay", visit.pk)


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
    text = request.POST.get("version", "")
    return int(text) if text.isdecimal() else 0


@require_POST
def shot_remove(request: HttpRequest, shot_id: int) -> HttpResponse:
    """Take a shot out of the answers, or put it back."""
    shot = shot_for(request, shot_id)
    shots.remove_shot(who(request), shot, back=request.POST.get("back") == "1")
    return after(request, shot.visit_id)


@require_http_methods(["GET", "HEAD", "POST"])
def shot_edit(request: HttpRequest, shot_id: int) -> HttpResponse:
    """Change a shot by typing its line anew, its club and its swing."""
    shot = shot_for(request, shot_id)
    visit = shot.visit
    form = entering.form_of(visit, request.system, request.LANGUAGE_CODE)  # type: ignore[attr-defined]
    told: dict[str, Any] = {
        "shot": shot,
        "visit": visit,
        "line": line_of(shot, form),
        "form_words": form_words(form),
        "clubs": visit.player.clubs.filter(removed_at__isnull=True).exclude(kind="putter"),
        "swings": SWINGS,
        "steps": steps_of(visit, "bay"),
        "changes": shot.changes.select_related("made_by").order_by("pk"),
    }
    if request.method == "POST":
        told["line"] = request.POST.get("line", "")
        try:
            typed = parse_line(told["line"], form)
        except LineError as error:
            told["told"] = {"message": error.message, "next_step": error.next_step}
            return render(request, "web/bay/edit.html", told, status=422)
        club = request.POST.get("club", "")
        values = changes_of(shot, typed, form)
        values |= {"carry_at_least": typed.carry_at_least, "swing": request.POST.get("swing", shot.swing)}
        values["note"] = request.POST.get("note", shot.note)[:2000]
        if club.isdecimal():
            values["club_id"] = int(club)
        if typed.mark:
            values |= {"mark": typed.mark, "mark_reason": typed.reason, "mark_author": "professional"}
        if values["swing"] not in SWINGS:
            raise InputError(f'"{str(values["swing"])[:20]}" is no swing.', f"Use {', '.join(SWINGS)}.")
        shots.edit_shot(who(request), shot, version_of(request), values)
        return redirect("bay", visit.pk)
    return render(request, "web/bay/edit.html", told)


def figures_of(shot: ShotRecord, form: LineForm) -> Typed:
    """The figures of a stored shot that a line of the form has a place or a letter for."""
    names = dict.fromkeys((*form.order, *form.tags.values()))
    held = {name: getattr(shot, name) for name in names}
    values = {name: value for name, value in held.items() if value is not None}
    return Typed(values, carry_at_least=shot.carry_at_least and "carry_m" in values)


def line_of(shot: ShotRecord, form: LineForm) -> str:
    """A stored shot as a line of the form, with two decimals at most; its mark and swing stand beside it."""
    return write_line(figures_of(shot, form), form)


def changes_of(shot: ShotRecord, typed: Typed, form: LineForm) -> dict[str, Any]:
    """The figures that a line typed anew changes; one that reads as before keeps all its decimals."""
    before = figures_of(shot, form)
    values: dict[str, Any] = dict.fromkeys((*form.order, *before.values)) | typed.values
    return {
        name: value
        for name, value in values.items()
        if name not in before.values
        or value is None
        or written(form, name, value) != written(form, name, before.values[name])
    }


@require_POST
def undo(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Take the last step back, or do it again."""
    visit = visit_for(request, visit_id, change=True)
    step = shots.redo if request.POST.get("again") == "1" else shots.undo
    step(who(request), visit)
    return after(request, visit.pk)


@require_http_methods(["GET", "HEAD", "POST"])
def entry_form(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Which figures a typed line has, in which units, and which words mean left and right."""
    visit = visit_for(request, visit_id, change=request.method == "POST")
    form = entering.form_of(visit, request.system, request.LANGUAGE_CODE)  # type: ignore[attr-defined]
    told: dict[str, Any] = {"visit": visit, "steps": steps_of(visit, "bay"), "fields": FIELDS, "units": UNITS}
    status = 200
    if request.method == "POST":
        data = posted_form(request, form)
        try:
            form = load_form(data)
        except InputError as error:
            told["told"] = {"message": error.message, "next_step": error.next_step}
            status = 422
        else:
            Visit.objects.filter(pk=visit.pk).update(entry_form=dump_form(form))
            if request.POST.get("for") == "all":
                shop = ShopSettings.objects.first() or ShopSettings()
                shop.entry_form = dump_form(form)
                shop.save()
            return redirect("bay", visit.pk)
    told |= {"form": form, "words": form_words(form), "example": example(form)}
    return render(request, "web/bay/form.html", told, status=status)


FIELDS = (
    ("carry_m", "carry"), ("offline_m", "side"), ("ball_speed_mps", "ball speed"), ("club_speed_mps", "club speed"),
    ("launch_rad", "launch"), ("spin_rpm", "spin"), ("apex_m", "height"), ("descent_rad", "descent"),
    ("total_m", "total"),
)  # fmt: skip
UNITS = {
    "carry_m": ("yd", "m"), "offline_m": ("yd", "m", "ft"), "total_m": ("yd", "m"), "apex_m": ("ft", "m", "yd"),
    "ball_speed_mps": ("mph", "kmh", "mps"), "club_speed_mps": ("mph", "kmh", "mps"),
}  # fmt: skip


def posted_form(request: HttpRequest, form: LineForm) -> dict[str, Any]:
    """The form as it was sent: figures in the order of their places, those without a place left out.

    What the page does not ask stays as it is in the form so far: letters, needed figures, the decimal mark.
    """
    asked = [name for name, _words in FIELDS]
    places = [(request.POST.get(f"place-{name}", ""), name) for name in asked]
    order = [
        n for _p, n in sorted((int(p[:3]), n) for p, n in places if p[:3].isdecimal() and int(p[:3]) > 0)
    ]
    order += [name for name in form.order if name not in asked]
    sent = {name: request.POST[f"unit-{name}"] for name in UNITS if f"unit-{name}" in request.POST}
    return {
        **dump_form(form),
        "order": order,
        "needed": [name for name in form.needed if name in order],
        "units": {**form.units, **sent},
        "left": [w.strip() for w in request.POST.get("left", "").split(",") if w.strip()],
        "right": [w.strip() for w in request.POST.get("right", "").split(",") if w.strip()],
        "signed_sides": request.POST.get("signed") == "1",
    }


@require_safe
def player_screen(request: HttpRequest, visit_id: int) -> HttpResponse:
    """The big display for the player: next club, last shot, where balls finished; nothing private."""
    visit = visit_for(request, visit_id)
    rows = list(visit.shots.filter(undone_at__isnull=True).select_related("club").order_by("-number")[:60])
    told: dict[str, Any] = {
        "visit": visit,
        "next": planning.next_ball(visit),
        "last": rows[0] if rows else None,
    }
    told["picture"] = picture_of(visit, rows)
    page = "web/bay/_screen.html" if is_part(request) else "web/bay/screen.html"
    return render(request, page, told)


def picture_of(visit: Visit, rows: list[ShotRecord]) -> list[dict[str, Any]]:
    """Where the balls finished, for the drawing of the player's screen: places in a box of 100 by 100."""
    from bagwright.report.theme import sign

    placed = [r for r in rows if r.carry_m is not None and r.offline_m is not None and r.mark != "bad-read"]
    if not placed:
        return []
    signs = {c.club_id: sign(i) for i, c in enumerate(planning.taking_part(visit))}
    carries = [r.carry_m or 0.0 for r in placed]
    low, high = min(carries), max(carries)
    widest = max(10.0, *(abs(r.offline_m or 0.0) for r in placed))
    span = max(high - low, 15.0)
    found = []
    for row in placed:
        x = 50.0 + 44.0 * (row.offline_m or 0.0) / widest
        y = 94.0 - 84.0 * ((row.carry_m or 0.0) - (low + high) / 2.0 + span / 2.0) / span
        mark = signs.get(row.club_id)
        found.append({
            "x": f"{x:.1f}", "y": f"{min(96.0, max(4.0, y)):.1f}", "glyph": mark.glyph if mark else "●",
            "number": list(signs).index(row.club_id) + 1 if row.club_id in signs else 7, "last": row is rows[0],
        })  # fmt: skip
    return found


@require_safe
def revision(request: HttpRequest, visit_id: int) -> HttpResponse:
    """The visit's revision, for screens that cannot keep a stream open."""
    visit = visit_for(request, visit_id)
    return JsonResponse({"revision": visit.revision})
