"""Which language and units a page speaks: the account's own, else the shop's, else the browser's."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.utils import translation

from bagwright.bay.shopping import usual_units
from bagwright.store.models import ShopSettings
from bagwright.web.middleware.both import Both


def language(get_response: Callable[[HttpRequest], Any]) -> Both:
    """Speak it for the length of one request."""
    return Both(get_response, before=choose, after=said, uses_database=True)


def choose(request: HttpRequest) -> HttpResponseBase | None:
    """Activate the language and put `shop` and `system` on the request."""
    shop = ShopSettings.objects.first() or ShopSettings()
    user = getattr(request, "user", None)
    own = getattr(user, "language", "") or (shop.language if shop.pk else "")
    known = {code for code, _ in settings.LANGUAGES}
    chosen = own if own in known else translation.get_language_from_request(request)
    translation.activate(chosen)
    request.LANGUAGE_CODE = translation.get_language() or "en"
    units = getattr(user, "units", "") or (shop.units if shop.pk else usual_units(request.LANGUAGE_CODE))
    request.shop = shop  # type: ignore[attr-defined]
    request.system = "metres" if units == "metres" else "yards"  # type: ignore[attr-defined]
    return None


def said(request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
    """Tell the browser which language the page is in."""
    response.setdefault("Content-Language", getattr(request, "LANGUAGE_CODE", "en"))
    return response
