"""How the question ends: candidates side by side; one accepted, the present kept, left open, taken back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from bagwright.bay import deciding, options, planning, ratings
from bagwright.bay.board import BoardState, state_of
from bagwright.bay.errors import ChangedMeanwhileError
from bagwright.errors import InputError
from bagwright.report.theme import Sign, sign
from bagwright.store.models import Club, Visit
from bagwright.trial.result import PlaceLine
from bagwright.web.context import steps_of
from bagwright.web.views.board import board_context, number_of, places_of, system_of
from bagwright.web.views.common import account_of, visit_for


class DecideForm(forms.Form):
    """What is decided; `revision` and `standing` say which board was looked at."""

    how = forms.CharField(max_length=40, error_messages={"required": gettext_lazy("Say how it ends.")})
    reason = forms.CharField(required=False)
    player_word = forms.CharField(required=False)
    change_bag = forms.BooleanField(required=False)
    revision = forms.IntegerField(min_value=0)
    standing = forms.IntegerField(min_value=0)

    def said(self) -> deciding.Said:
        """The decision of a form that is right."""
        outcome, _colon, choice = self.cleaned_data["how"].partition(":")
        return deciding.Said(
            outcome,
            choice,
            self.cleaned_data["reason"],
            self.cleaned_data["player_word"],
            self.cleaned_data["change_bag"],
        )

    def seen(self) -> deciding.Seen:
        """The board that was looked at."""
        return deciding.Seen(self.cleaned_data["revision"], self.cleaned_data["standing"])


@dataclass(frozen=True, slots=True)
class Card:
    """One candidate with everything that speaks for it or against it."""

    sign: Sign
    number: int
    club: Club
    present: bool
    option: options.Option | None
    gain: options.Gain | None
    chance: float | None
    place: PlaceLine | None
    rated: ratings.Rated | None
    leads: bool


def cards_of(visit: Visit, state: BoardState) -> list[Card]:
    """The candidates side by side, in the order of the board."""
    gains = options.gains_of(state)
    ways = {one.name: one for one in options.options_of(visit, state)}
    rated = {one.club.pk: one for one in ratings.rows_of(visit)}
    places = places_of(state)
    verdict = state.verdict
    lines = {line.name: line for line in verdict.place.lines} if verdict is not None else {}
    chances = {one.name: one.chance for one in verdict.candidates} if verdict is not None else {}
    found = []
    for candidate in planning.taking_part(visit):
        club = candidate.club
        found.append(
            Card(
                sign=sign(places.get(club.name, 0)),
                number=number_of(places.get(club.name, 0)),
                club=club,
                present=candidate.present,
                option=ways.get(club.name),
                gain=gains.get(club.name),
                chance=chances.get(club.name),
                place=lines.get(club.name),
                rated=rated.get(club.pk),
                leads=verdict is not None and verdict.answer != "open" and verdict.choice == club.name,
            )
        )
    return found


@require_http_methods(["GET", "HEAD", "POST"])
def decide(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Candidates side by side; accept, keep, or leave open. Only an account decides, no paired device."""
    visit = visit_for(request, visit_id, change=request.method == "POST")
    if request.method != "POST":
        return _page(request, visit, DecideForm())
    account = account_of(request)
    if "withdraw" in request.POST:
        said = request.POST["withdraw"]
        left = deciding.withdraw(account, visit, int(said) if said.isdecimal() else 0)
        messages.info(request, _("The decision was taken back. Nothing of it is lost: the record keeps it."))
        for name in left:
            messages.warning(
                request,
                _("%(name)s stays where it is in the bag: its place was changed since.") % {"name": name},
            )
        return redirect("decide", visit.pk)
    if "spare" in request.POST:
        said = request.POST["spare"]
        club = deciding.make_spare(account, visit, int(said) if said.isdecimal() and len(said) < 16 else 0)
        messages.success(request, _("%(name)s is a spare now; its balls stay.") % {"name": club.name[:80]})
        return redirect("decide", visit.pk)
    form = DecideForm(request.POST)
    if not form.is_valid():
        told = {"message": _("Nothing was stored."), "next_step": _first_error(form)}
        return _page(request, visit, form, told, 422)
    try:
        deciding.decide(account, visit, form.said(), form.seen(), system_of(request))
    except ChangedMeanwhileError as error:
        return _page(request, visit, form, {"message": error.message, "next_step": error.next_step}, 409)
    except InputError as error:
        return _page(request, visit, form, {"message": error.message, "next_step": error.next_step}, 422)
    return redirect("decide", visit.pk)


def _first_error(form: forms.Form) -> str:
    return str(next(iter(form.errors.values()))[0])


def _page(
    request: HttpRequest,
    visit: Visit,
    form: DecideForm,
    told: dict[str, str] | None = None,
    status: int = 200,
) -> HttpResponse:
    """The page as of now; what was typed into the form stays."""
    visit.refresh_from_db()
    state = state_of(visit, system_of(request))
    context: dict[str, Any] = board_context(visit, state)
    context |= {
        "steps": steps_of(visit, "decide"),
        "decision": deciding.standing(visit),
        "withdrawn": deciding.withdrawn(visit),
        "too_many": deciding.too_many(visit),
        "seen": deciding.seen_now(visit),
        "cards": cards_of(visit, state),
        "form": form,
        "typed": form.data if form.is_bound else {},
        "told": told,
        "deciding": True,
    }
    return render(request, "web/board/decide.html", context, status=status)
