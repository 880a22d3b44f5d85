"""In a shop: a log-in ends after its time, and the workshop sees its build sheets and nothing of the players."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.contrib.auth import logout
from django.http import Http404, HttpRequest
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.urls import Resolver404, resolve

from bagwright.bay.sessions import still_good
from bagwright.store.models import Account
from bagwright.web.middleware.both import Both
from bagwright.web.middleware.guard import is_paired

FOR_WORKSHOP = frozenset({
    "workshop", "workshop-sheet", "settings", "logo", "sessions", "login", "logout", "help", "healthy", "first-account",
    "join", "for-you",
})  # fmt: skip
"""Pages without anything of a player beside the build sheets that were given to the workshop, and open ones."""


def roles(get_response: Callable[[HttpRequest], Any]) -> Both:
    """Stand between the account and the log-in that pages ask for."""
    return Both(get_response, before=let_in, uses_database=True)


def let_in(request: HttpRequest) -> HttpResponseBase | None:
    """End what is too old; keep the workshop to its pages."""
    if not settings.SHOP or is_paired(request) or not isinstance(request.user, Account):
        return None
    if not still_good(request.session):
        logout(request)
        return None
    if request.user.role != "workshop":
        return None
    try:
        match = resolve(request.path_info)
    except Resolver404:
        return None
    if match.url_name == "home" and not match.namespaces:
        return redirect("workshop")
    if match.namespaces or match.url_name not in FOR_WORKSHOP:
        raise Http404
    return None
