"""The first page, the help, and the pages for errors."""

from __future__ import annotations

import logging

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from bagwright.shots.line import LineForm, example, form_words
from bagwright.web.way import BEFORE, STAGES

log = logging.getLogger("bagwright")


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """The players: whoever opens the program wants one of them."""
    return redirect("players")


@require_safe
def help_page(request: HttpRequest) -> HttpResponse:
    """What the words mean and how a visit goes, with examples."""
    form = LineForm.usual(getattr(request, "system", "yards"), getattr(request, "LANGUAGE_CODE", "en")[:2])
    told = {
        "before": BEFORE,
        "fitting": STAGES["fitting"],
        "others": [
            (_("A delivery: the built club"), STAGES["delivery"]),
            (_("Check again, a season later"), STAGES["check"]),
        ],
        "line": example(form),
        "line_form": form_words(form),
    }
    return render(request, "web/help.html", told)


@login_not_required
@require_safe
def healthy(request: HttpRequest) -> HttpResponse:
    """Say that the program answers, for whoever watches it. Holds nothing else."""
    return HttpResponse("ok\n", content_type="text/plain")


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """400 without any detail of the program."""
    return error_page(request, 400)


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    """403."""
    return error_page(request, 403)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """404: there is nothing, or nothing for this account."""
    return error_page(request, 404)


def server_error(request: HttpRequest) -> HttpResponse:
    """500: the log has the reason under the id that the page shows; the page has none."""
    log.error("request %s failed", getattr(request, "request_id", "-"))
    return error_page(request, 500)


def error_page(request: HttpRequest, status: int) -> HttpResponse:
    """One page for all of them; a fragment of htmx gets it as it is and shows it in the page."""
    told = {"status": status, "id": getattr(request, "request_id", "")}
    return render(request, "web/error.html", told, status=status)
