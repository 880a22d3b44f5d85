"""Errors that the program raises on purpose become a page that says what, where, and the next step."""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit

from django.db import OperationalError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _

from bagwright.bay.errors import ChangedMeanwhileError
from bagwright.bay.language import here
from bagwright.errors import BagwrightError, MachineError
from bagwright.shots.line import LineError
from bagwright.web.middleware.both import Both

log = logging.getLogger("bagwright")


class Trouble(Both):
    """Turns a `BagwrightError` of a view into its page or, for a part of a page, into a short message."""

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """Answer an error of ours or of the database's disk; everything else goes on to the 500 page."""
        if isinstance(error, OperationalError):
            log.error("request %s: the database failed: %s", getattr(request, "request_id", "-"), error)
            return told(request, unwritten(error))
        return told(request, error) if isinstance(error, BagwrightError) else None


def unwritten(error: OperationalError) -> MachineError:
    """A database that could not be read or written, in words; a transaction that failed left nothing behind."""
    return MachineError(
        _("The data could not be written: disk full, not writable, or busy. Nothing of this was saved."),
        _("Free some space on the disk of the data folder, then send it again."),
    )


def trouble(get_response: Callable[[HttpRequest], Any]) -> Both:
    """Stand nearest to the views."""
    return Trouble(get_response)


def status_of(error: BagwrightError) -> int:
    """409 changed meanwhile, 503 the machine failed, else 400."""
    if isinstance(error, ChangedMeanwhileError):
        return 409
    return 503 if isinstance(error, MachineError) else 400


def page_before(request: HttpRequest) -> str:
    """The page of ours that the step was taken on, so that one can go back to it; "" where nobody says one."""
    said = request.headers.get("Referer", "")
    if not url_has_allowed_host_and_scheme(said, {request.get_host()}, require_https=request.is_secure()):
        return ""
    parts = urlsplit(said)
    before = f"{parts.path}?{parts.query}" if parts.query else parts.path
    return "" if request.method in ("GET", "HEAD") and before == request.get_full_path() else before


def told(request: HttpRequest, error: BagwrightError) -> HttpResponse:
    """The error as a page, as a fragment for htmx, or as JSON for scripts."""
    status = status_of(error)
    words = {"message": error.message, "next_step": error.next_step}
    if "application/json" in request.headers.get("Accept", ""):
        words = {name: here(text) for name, text in words.items()}
        where = {"start": error.start, "end": error.end} if isinstance(error, LineError) else {}
        return JsonResponse({"error": {**words, **where}}, status=status)
    part = "HX-Request" in request.headers
    page = "web/_trouble.html" if part else "web/trouble.html"
    answer = render(request, page, {"told": words, "before": page_before(request)}, status=status)
    if part:
        answer["X-Bagwright-Part"] = "trouble"
    return answer
