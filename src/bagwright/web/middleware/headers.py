"""Headers of every answer: nothing from elsewhere, nothing inline, nothing kept by caches."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest
from django.http.response import HttpResponseBase

from bagwright.web.middleware.both import Both

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
    "connect-src 'self'; "
    "font-src 'self'; manifest-src 'self'; worker-src 'self'; frame-src 'self'; object-src 'none'; "
    "form-action 'self'; frame-ancestors 'self'; base-uri 'none'"
)
"""Frames of this site itself are for the previews of papers."""


def headers(get_response: Callable[[HttpRequest], Any]) -> Both:
    """Set them on every answer, errors too."""
    return Both(get_response, after=add)


def add(request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
    """Add what is not there yet; static files may be cached, pages may not."""
    response.setdefault("Content-Security-Policy", POLICY)
    response.setdefault("Referrer-Policy", "same-origin")
    response.setdefault("Permissions-Policy", "camera=(), microphone=(), geolocation=(), payment=()")
    response.setdefault("Cross-Origin-Resource-Policy", "same-origin")
    response.setdefault("X-Content-Type-Options", "nosniff")
    if not request.path.startswith("/static/"):
        response.setdefault("Cache-Control", "no-store")
    return response
