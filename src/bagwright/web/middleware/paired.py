"""What a paired device gets: the pages of its one visit that its screen needs; all else is not there."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.urls import Resolver404, resolve

from bagwright.bay import pairing
from bagwright.web.middleware.both import Both
from bagwright.web.middleware.guard import SAFE, is_paired

COOKIE = "bagwright-device"
FOR_PLAYER = frozenset({"player-screen", "live", "revision"})
FOR_BAY = FOR_PLAYER | {
    "bay", "shot-add", "shot-edit", "shot-mark", "shot-remove", "shot-undo", "board", "pictures", "flat-out-ok",
}  # fmt: skip
TO_READ = frozenset({"entry-form"})
"""What a bay's screen may look at but not send: the form of a line is the professional's to change."""
FOR_ANYBODY = frozenset({"pair"})


class Device:
    """Stands for a paired device where an account is asked for: it is known, and is nobody."""

    is_authenticated = True
    is_active = True
    is_anonymous = False
    pk = None
    name = ""
    role = "device"
    language = ""
    units = ""


def paired(get_response: Callable[[HttpRequest], Any]) -> Both:
    """Stand behind the guard, before log-ins are asked for."""
    return Both(get_response, before=admit, uses_database=True)


def admit(request: HttpRequest) -> HttpResponseBase | None:
    """Let a known device through to its own pages; answer 404 to everything else on the second listener."""
    if not is_paired(request):
        return None
    try:
        match = resolve(request.path_info)
    except Resolver404:
        return nothing()
    if match.url_name in FOR_ANYBODY and not match.namespaces:
        return None
    device = pairing.device_of(request.COOKIES.get(COOKIE, ""))
    if device is None or match.namespaces:
        return nothing()
    allowed = FOR_BAY if device.screen == "bay" else FOR_PLAYER
    if device.screen == "bay" and request.method in SAFE:
        allowed |= TO_READ
    if match.url_name not in allowed:
        return nothing()
    request.paired_device = device  # type: ignore[attr-defined]
    request.user = Device()  # type: ignore[assignment]
    return None


def nothing() -> HttpResponse:
    """404 without a page: nothing of the program is told."""
    return HttpResponse("Not here.\n", status=404, content_type="text/plain; charset=utf-8")
