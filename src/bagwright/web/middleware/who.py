"""Who asks: without accounts the one account of this machine; a paired device asks for its own visit only."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from asgiref.sync import sync_to_async
from django.conf import settings
from django.contrib.auth.models import AnonymousUser
from django.http import HttpRequest
from django.http.response import HttpResponseBase

from bagwright.store.models import Account
from bagwright.web.middleware.both import Both
from bagwright.web.middleware.guard import is_paired


def who(get_response: Callable[[HttpRequest], Any]) -> Both:
    """Put the account on the request in single mode; leave log-ins alone in shop mode."""
    return Both(get_response, before=name_account, uses_database=True)


def name_account(request: HttpRequest) -> HttpResponseBase | None:
    """Name the account. A request of the second listener is nobody until its device is known."""
    if is_paired(request):
        request.user = AnonymousUser()
    elif not settings.SHOP:
        account = single_account()
        request.user = account

        async def user() -> Account:
            return account

        request.auser = user
    return None


def single_account() -> Account:
    """The one account of a machine without log-in, made at first use."""
    account = Account.objects.filter(single=True).first()
    if account is None:
        account = Account.objects.create_user("this machine", role="owner", single=True)
    return account


asingle_account = sync_to_async(single_account)
