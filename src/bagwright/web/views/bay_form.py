"""The form of a typed line: which figures, in which order and units, and the words of the two sides."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods

from bagwright.bay import entering
from bagwright.bay.figurewords import NAMES
from bagwright.errors import InputError
from bagwright.shots.line import LineForm, dump_form, example, form_words, load_form, tag_words
from bagwright.shots.line_form import FIGURES as KNOWN
from bagwright.shots.line_form import UNITS, Figure
from bagwright.store.models import Account, Visit
from bagwright.web.context import steps_of
from bagwright.web.views.bay import number_of, who
from bagwright.web.views.common import visit_for

_PLACED = (
    "carry_m", "offline_m", "ball_speed_mps", "club_speed_mps", "launch_rad", "spin_rpm", "apex_m",
    "descent_rad", "total_m",
)  # fmt: skip
FIGURES = tuple((name, NAMES[name]) for name in _PLACED)
"""What the page gives a place in the line, with its word."""


@require_http_methods(["GET", "HEAD", "POST"])
def entry_form(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Look at the form, try it, keep it for this visit or (the owner) for all."""
    visit = visit_for(request, visit_id, change=request.method == "POST")
    form = entering.form_of(visit, request.system, request.LANGUAGE_CODE)  # type: ignore[attr-defined]
    account = who(request)
    told: dict[str, Any] = {"for_all": account is not None and account.role == "owner"}
    status = 200
    if request.method == "POST":
        try:
            form = load_form(posted_form(request, form))
            if request.POST.get("for") != "look":
                keep(account, visit, form, for_all=request.POST.get("for") == "all")
                return redirect("bay", visit.pk)
        except InputError as error:
            told["told"] = {"message": error.message, "next_step": error.next_step}
            status = 422
        else:
            told["tried"] = True
    told |= {
        "visit": visit,
        "steps": steps_of(visit, "bay"),
        "rows": [row_of(name, word, form, request) for name, word in FIGURES],
        "left": request.POST.get("left", ", ".join(form.left)),
        "right": request.POST.get("right", ", ".join(form.right)),
        "signed": request.POST.get("signed") == "1" if request.method == "POST" else form.signed_sides,
        "form": form,
        "language": request.POST.get("language", form.language),
        "mark_words": [*form.words.mishits, *form.words.bad],
        "swing_words": list(form.words.swings),
        "words": form_words(form),
        "example": example(form),
        "tags": tag_words(form),
    }
    return render(request, "web/bay/form.html", told, status=status)


def keep(account: Account | None, visit: Visit, form: LineForm, *, for_all: bool) -> None:
    """Keep the form for the visit, or for every visit that has none of its own."""
    if for_all:
        entering.keep_for_all(account, form)
    entering.keep_form(visit, form)


def row_of(name: str, word: object, form: LineForm, request: HttpRequest) -> dict[str, Any]:
    """One figure of the table: its place and unit as they were sent, else as they are."""
    place = str(form.order.index(name) + 1) if name in form.order else ""
    figure: Figure = KNOWN[name]
    return {
        "name": name,
        "word": word,
        "place": request.POST.get(f"place-{name}", place),
        "units": UNITS[figure.dimension],
        "unit": request.POST.get(f"unit-{name}", form.units.get(name, "")),
        "spoken": form.spoken_unit(name),
        "letter": next((letter for letter, of in form.tags.items() if of == name), ""),
    }


def posted_form(request: HttpRequest, form: LineForm) -> dict[str, Any]:
    """The form as it was sent: figures in the order of their places, those without a place left out.

    What the page does not ask stays as it is in the form so far: letters, needed figures, the decimal mark.
    """
    places = [(number_of(request.POST.get(f"place-{name}", "")), name) for name, _word in FIGURES]
    placed = [(place, name) for place, name in places if place]
    taken = [place for place, _name in placed]
    twice = next((place for place in taken if taken.count(place) > 1), None)
    if twice is not None:
        raise InputError(
            str(_("Two figures have place %(n)s.") % {"n": twice}),
            str(_("Give each figure a place of its own.")),
        )
    asked = [name for name, _word in FIGURES]
    order = [name for _place, name in sorted(placed)] + [name for name in form.order if name not in asked]
    sent = {name: request.POST[f"unit-{name}"] for name in asked if f"unit-{name}" in request.POST}
    return {
        **dump_form(form),
        "order": order,
        "needed": [name for name in form.needed if name in order],
        "units": {**form.units, **sent},
        "left": words_of(request, "left"),
        "right": words_of(request, "right"),
        "language": request.POST.get("language", form.language),
        "signed_sides": request.POST.get("signed") == "1",
    }


def words_of(request: HttpRequest, side: str) -> list[str]:
    """The words of a side, from a list with commas."""
    return [word.strip() for word in request.POST.get(side, "").split(",") if word.strip()]
