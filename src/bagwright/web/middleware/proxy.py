"""Who really asks: only the proxy that was named at the start may say so for somebody else."""

from __future__ import annotations

import ipaddress

from django.conf import settings
from django.http import HttpRequest

FORWARDING = ("HTTP_FORWARDED", "HTTP_X_FORWARDED_FOR", "HTTP_X_FORWARDED_HOST", "HTTP_X_FORWARDED_PROTO",
              "HTTP_X_REAL_IP", "HTTP_VIA")  # fmt: skip


def believe(request: HttpRequest) -> None:
    """Take the asker's address and scheme from the named proxy; forget what anybody else says of them.

    A proxy adds the address that it saw at the end of X-Forwarded-For: what stands before it came from outside.
    """
    named = settings.TRUSTED_PROXY
    if not named or request.META.get("REMOTE_ADDR", "") != named:
        for name in FORWARDING:
            request.META.pop(name, None)
        return
    last = request.META.get("HTTP_X_FORWARDED_FOR", "").rpartition(",")[2].strip()
    try:
        request.META["REMOTE_ADDR"] = str(ipaddress.ip_address(last))
    except ValueError:
        request.META.pop("HTTP_X_FORWARDED_FOR", None)


def address_of(request: HttpRequest) -> str:
    """The address that wrong passwords are counted for."""
    return str(request.META.get("REMOTE_ADDR", ""))
