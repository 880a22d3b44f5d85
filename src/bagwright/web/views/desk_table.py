"""Shot tables that join a visit: uploaded, kept while something of them is asked, or watched in a folder."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.db.models import Count, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from bagwright.bay import clubnames, tables
from bagwright.errors import InputError, ReadError
from bagwright.store.models import Visit
from bagwright.web.context import steps_of
from bagwright.web.views.bags_forms import KIND_WORDS
from bagwright.web.views.bay import who
from bagwright.web.views.common import account_of, visit_for

MOST_NAMES = 40
"""So many names are asked at a time; the others after them."""


@require_http_methods(["GET", "HEAD", "POST"])
def table_add(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Upload a shot table, answer what it leaves open, take one out, or watch a folder of this machine."""
    visit = visit_for(request, visit_id, change=request.method == "POST")
    told: dict[str, Any] = {"folder": visit.watched_folder}
    status = 200
    if request.method == "POST":
        try:
            told |= _done(request, visit)
        except (InputError, ReadError) as error:
            told |= _wrong(request, visit, error)
            status = 422
        if not told.get("taken") and "looked" not in told and status == 200:
            return redirect("table-add", visit.pk)
    return render(request, "web/desk/table.html", told | _page(visit, told), status=status)


def _done(request: HttpRequest, visit: Visit) -> dict[str, Any]:
    """Do what was asked; what there is to show of it, nothing where the page is to be loaded anew."""
    sent = request.POST
    if "folder" in sent and not settings.SHOP:
        tables.watch(visit, sent["folder"].strip()[:500])
        return {}
    for name in ("out", "back"):
        if name in sent:
            tables.take_out(who(request), visit, _number(sent[name]), back=name == "back")
            return {}
    if "club-out" in sent:
        account = account_of(request)
        if account is not None:
            club = tables.take_club_out(account, visit, _number(sent["club-out"]))
            messages.success(request, _("%(name)s was taken out of the bag.") % {"name": club.name[:80]})
        return {}
    if "let-go" in sent:
        tables.let_go(visit, _number(sent["let-go"]))
        return {}
    if "waiting" in sent:
        return {"taken": [tables.take_again(visit, _number(sent["waiting"]), answers_of(request))]}
    if "look" in sent and not settings.SHOP:
        return {"taken": tables.look(visit), "looked": True}
    return {"taken": [taken_upload(request, visit)]}


def _wrong(request: HttpRequest, visit: Visit, error: InputError | ReadError) -> dict[str, Any]:
    """What was wrong, with everything that was typed; a kept table is asked again with the answers given."""
    told: dict[str, Any] = {"told": {"message": error.message, "next_step": error.next_step}}
    if "folder" in request.POST:
        return told | {"folder": request.POST["folder"][:500], "folder_wrong": error.message}
    if "waiting" in request.POST and (answers := answers_of(request)):
        try:
            again = tables.take_again(visit, _number(request.POST["waiting"]), {})
        except (InputError, ReadError):
            return told
        return told | {"taken": [again], "answers": answers}
    return told | ({} if "waiting" in request.POST else {"table_wrong": error.message})


def _page(visit: Visit, told: dict[str, Any]) -> dict[str, Any]:
    """The rest of the page: tables so far, those that wait, and what an unknown name may be."""
    shown = [one.waiting for one in told.get("taken", [])]
    given = told.get("answers", {})
    return {
        "visit": visit,
        "steps": steps_of(visit, "bay"),
        "may_watch": not settings.SHOP,
        "imports": visit.imports.order_by("-pk").annotate(
            counted=Count("shots", filter=Q(shots__undone_at__isnull=True)), all_of_it=Count("shots")
        )[:20],
        "left_behind": tables.left_behind(visit),
        "waiting": visit.waiting_tables.defer("content").exclude(pk__in=[pk for pk in shown if pk]),
        "clubs": visit.player.clubs.filter(removed_at__isnull=True).only("pk", "name"),
        "kinds": [(f"{clubnames.NEW}{value}", words) for value, words in KIND_WORDS if value],
        "asks": [_asks(one, given) for one in told.get("taken", [])],
    }


def _asks(taken: tables.Taken, given: dict[str, str]) -> dict[str, Any]:
    """One table's questions with the answers that were given so far."""
    return {
        "taken": taken,
        "questions": [(question, given.get(question.key, "")) for question in taken.questions],
        "names": [
            (one, given.get(one.key, f"{clubnames.NEW}{one.kind}" if one.kind else ""))
            for one in taken.asked[:MOST_NAMES]
        ],
        "more": max(0, len(taken.asked) - MOST_NAMES),
    }


@require_POST
def table_look(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Take what is new in the watched folder; the bay's page asks every few seconds. Says what it took."""
    visit = visit_for(request, visit_id, change=True)
    if settings.SHOP or not visit.watched_folder:
        return HttpResponse(status=204)
    taken = tables.look(visit)
    if not taken:
        return HttpResponse(status=204)
    return render(request, "web/desk/_taken.html", {"taken": taken, "visit": visit, "elsewhere": True})


def answers_of(request: HttpRequest) -> dict[str, str]:
    """The answers beside a table, by the question's key."""
    return {
        name.removeprefix("answer-"): str(value)[:200]
        for name, value in request.POST.items()
        if name.startswith("answer-") and value
    }


def taken_upload(request: HttpRequest, visit: Visit) -> tables.Taken:
    """The table that was sent, with the answers beside it."""
    upload = request.FILES.get("table")
    if upload is None or upload.size is None:
        raise InputError(_("No file was sent."), _("Choose a shot table, such as visit.csv."))
    return tables.take_table(visit, upload.name or "table", upload.read(), answers_of(request))


def _number(text: str) -> int:
    """A row's number as a button sends it. Raises InputError for anything else."""
    if not (text.isascii() and text.isdecimal() and len(text) < 16):
        raise InputError(_("It was not said which table."), _("Use the buttons beside it."))
    return int(text)
