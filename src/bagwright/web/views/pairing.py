"""Pairing: the professional's page with the code, and the device's page that asks for it."""

from __future__ import annotations

import ipaddress
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from bagwright.bay import pairing
from bagwright.errors import InputError, MachineError
from bagwright.store.models import Visit
from bagwright.web.context import steps_of
from bagwright.web.listeners import Listeners, own_addresses, running
from bagwright.web.middleware.guard import is_paired
from bagwright.web.middleware.paired import COOKIE
from bagwright.web.views.common import account_of, is_part, visit_for
from bagwright.web.views.shop_door import device_words


def no_shop() -> None:
    """Raise Http404 in shop mode: there a tablet logs in like everybody."""
    if settings.SHOP:
        raise Http404


@require_http_methods(["GET", "HEAD", "POST"])
def offer(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Open the second listener, show a code, list the devices, cut one off, or close."""
    no_shop()
    visit = visit_for(request, visit_id, change=True)
    told: dict[str, Any] = {}
    status = 200
    if request.method == "POST":
        if stopped(request, visit):
            return redirect("pair-offer", visit.pk)
        try:
            code = opened(request, visit)
            told["code"] = f"{code[:4]} {code[4:]}"
        except (InputError, MachineError) as error:
            told["told"], status = {"message": error.message, "next_step": error.next_step}, 422
    told |= offer_page(visit)
    if is_part(request):
        return render(request, "web/pairing/_state.html", told)
    told |= {
        "steps": steps_of(visit, "bay"),
        "addresses": own_addresses(),
        "typed": request.POST.get("typed", ""),
    }
    return render(request, "web/pairing/offer.html", told, status=status)


def offer_page(visit: Visit) -> dict[str, Any]:
    """How pairing stands: the address while the door is open, the code that waits, the devices."""
    current = Listeners.running.second if Listeners.running is not None else None
    told: dict[str, Any] = {
        "visit": visit,
        "second": current,
        "waiting": pairing.waiting(visit),
        "devices": pairing.devices_of(visit),
    }
    if current is not None:
        host = f"[{current.host}]" if ":" in current.host else current.host
        told["address"] = f"http://{host}:{current.port}/pair/"
    return told


def stopped(request: HttpRequest, visit: Visit) -> bool:
    """Close the door, or cut one device off; True where that was asked for."""
    account = account_of(request)
    if "close" in request.POST:
        pairing.withdraw(account, visit)
        running().close_second()
        messages.info(request, _("Closed: no other device is answered now."))
        return True
    said = request.POST.get("revoke", "")
    if said.isascii() and said.isdecimal() and len(said) < 16:
        pairing.revoke(account, visit, int(said))
        return True
    return False


def opened(request: HttpRequest, visit: Visit) -> str:
    """Open the listener where it is not open on that address yet, and make a code."""
    wanted = (request.POST.get("typed") or request.POST.get("address") or "").strip()
    try:
        address = ipaddress.ip_address(wanted)
    except ValueError as error:
        raise InputError(
            _('"%(address)s" is no address.') % {"address": wanted[:40]},
            _("Choose one of the list, or type one of this machine such as 192.168.1.20."),
        ) from error
    if address.is_unspecified or address.is_multicast:
        raise InputError(
            _("Pairing listens on one address, not on all."), _("Choose the one of the bay's own network.")
        )
    listeners = running()
    if listeners.second is None or listeners.second.host != str(address):
        listeners.open_second(str(address))
    return pairing.offer(account_of(request), visit, request.POST.get("screen", "bay"))


@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def pair(request: HttpRequest) -> HttpResponse:
    """The device's page: type the code. It is there on the second listener only."""
    if not is_paired(request):
        raise Http404
    told: dict[str, Any] = {}
    status = 200
    if request.method == "POST":
        try:
            device, key = pairing.redeem(
                request.POST.get("code", ""), device_words(request.headers.get("User-Agent", ""))
            )
        except pairing.ClosedError as error:
            told["told"], status = {"message": error.message, "next_step": error.next_step}, 403
            if Listeners.running is not None:
                Listeners.running.close_soon()
        except InputError as error:
            told["told"], status = {"message": error.message, "next_step": error.next_step}, 422
        else:
            route = "bay" if device.screen == "bay" else "player-screen"
            answer = redirect(route, device.visit_id)
            answer.set_cookie(
                COOKIE, key, max_age=int(pairing.PAIRED_FOR.total_seconds()), httponly=True, samesite="Strict"
            )
            return answer
    return render(request, "web/pairing/pair.html", told, status=status)
