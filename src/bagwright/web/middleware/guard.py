"""Who may knock at all: known host names only, this machine only in single mode, no foreign site's forms."""

from __future__ import annotations

import ipaddress
import uuid
from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.core.exceptions import DisallowedHost
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase

from bagwright.web.middleware.both import Both
from bagwright.web.middleware.proxy import FORWARDING, believe

SAFE = ("GET", "HEAD", "OPTIONS")
BODY_LIMIT_PATHS = ("/visits/", "/players/", "/rack/", "/courses/")
"""Under these a file may be uploaded, up to UPLOAD_LIMIT; elsewhere 4 MiB."""


def guard(get_response: Callable[[HttpRequest], Any]) -> Both:
    """The first thing that a request meets."""
    return Both(get_response, before=check)


def check(request: HttpRequest) -> HttpResponseBase | None:
    """Refuse what must not come in; give every other request an id for the log."""
    request.request_id = uuid.uuid4().hex[:12]  # type: ignore[attr-defined]
    if is_paired(request):
        refused = check_device_host(request)
        if refused is not None:
            return refused
    try:
        request.get_host()
    except DisallowedHost:
        return refuse(400, "This host name is not one of this program's.")
    refused = refuse_elsewhere(request)
    if refused is not None:
        return refused
    believe(request)
    if request.method not in SAFE and request.headers.get("Sec-Fetch-Site") in ("cross-site", "same-site"):
        return refuse(403, "Another site tried to send this form.")
    return too_large(request)


def refuse_elsewhere(request: HttpRequest) -> HttpResponseBase | None:
    """Without accounts: refuse what comes from elsewhere, or by somebody between. Devices come from elsewhere."""
    if settings.SHOP and not is_paired(request):
        return None
    if any(name in request.META for name in FORWARDING):
        return refuse(400, "Forwarded requests are not answered without accounts: start with --shop.")
    if not is_paired(request) and not is_loopback(request.META.get("REMOTE_ADDR", "")):
        return refuse(403, "Only this machine may ask: pair a device, or start with --shop.")
    return None


def check_device_host(request: HttpRequest) -> HttpResponseBase | None:
    """On the second listener one name is known: the address that it was opened on, at its own port."""
    host = request.META.get("HTTP_HOST", "")
    address = request.scope["bagwright_host"]  # type: ignore[attr-defined]
    name = f"[{address}]" if ":" in address else address
    if host != f"{name}:{request.META.get('SERVER_PORT', '')}":
        return refuse(400, "This host name is not one of this program's.")
    request.get_host = lambda: host  # type: ignore[method-assign]
    return None


def too_large(request: HttpRequest) -> HttpResponseBase | None:
    """Refuse a body that says it is longer than its place allows."""
    said = request.META.get("CONTENT_LENGTH") or "0"
    if not (said.isascii() and said.isdecimal() and len(said) < 16):
        return refuse(400, "The length of the request cannot be read.")
    most = most_bytes(request.path)
    if int(said) > most:
        return refuse(413, f"More than {most // 1024**2} MiB cannot be sent here.")
    return None


def most_bytes(path: str) -> int:
    """How long a body sent to this path may be."""
    uploads = path.startswith(BODY_LIMIT_PATHS)
    most: int = settings.UPLOAD_LIMIT if uploads else settings.DATA_UPLOAD_MAX_MEMORY_SIZE
    return most


def is_paired(request: HttpRequest) -> bool:
    """True for a request that came in by the second listener, where only paired devices are answered."""
    scope = getattr(request, "scope", None)
    return bool(scope and scope.get("bagwright_paired"))


def is_loopback(address: str) -> bool:
    """True for an address of this machine itself."""
    try:
        parsed = ipaddress.ip_address(address)
    except ValueError:
        return False
    mapped = getattr(parsed, "ipv4_mapped", None)
    return bool((mapped or parsed).is_loopback)


def refuse(status: int, words: str) -> HttpResponse:
    """A plain answer without a template: nothing of the application has run yet."""
    return HttpResponse(words + "\n", status=status, content_type="text/plain; charset=utf-8")
