"""The people of the shop: accounts and invitations, who saw or changed what, tokens, sharing a player."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from bagwright.bay import accounts, audit
from bagwright.store.models import Account, ApiToken
from bagwright.web.views.common import account_of, player_for
from bagwright.web.views.shop_door import shop_only


def owner_of(request: HttpRequest) -> Account:
    """The account, if it is an owner's. Raises Http404 otherwise."""
    account = account_of(request)
    if account.role != "owner":
        raise Http404
    return account


def number_of(text: str) -> int | None:
    """A row's number from a form or address; None for anything else."""
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 16 else None


@require_http_methods(["GET", "HEAD", "POST"])
def account_list(request: HttpRequest) -> HttpResponse:
    """The owner's list of accounts and invitations."""
    shop_only()
    owner = owner_of(request)
    told: dict[str, Any] = {}
    if request.method == "POST":
        told["link"] = account_change(request, owner)
        if told["link"] is None:
            return redirect("accounts")
    everybody = Account.objects.filter(single=False)
    told |= {
        "accounts": accounts.with_players(),
        "colleagues": everybody.filter(is_active=True).exclude(role="workshop").order_by("name"),
        "invitations": accounts.open_invitations(),
        "roles": accounts.role_words(),
        "me": owner,
    }
    return render(request, "web/shop/accounts.html", told)


def account_change(request: HttpRequest, owner: Account) -> str | None:
    """Do what the owner asked for; the link of a new invitation, which is shown once, or None."""
    if "invite" in request.POST:
        token = accounts.invite(owner, request.POST.get("role", ""))
        return request.build_absolute_uri(reverse("join", args=[token]))
    if "revoke" in request.POST:
        accounts.revoke_invitation(owner, number_of(request.POST["revoke"]) or 0)
        return None
    wanted = number_of(request.POST.get("account", "")) or 0
    account = Account.objects.filter(pk=wanted, single=False).first()
    if account is None:
        raise Http404
    if "close" in request.POST:
        accounts.close(owner, account)
    elif "open" in request.POST:
        accounts.close(owner, account, again=True)
    elif "give" in request.POST:
        given = accounts.give_players(owner, account, request.POST.get("to", ""))
        messages.success(request, _("%(n)s players have a new coach.") % {"n": given})
    elif "role" in request.POST:
        accounts.change_role(owner, account, request.POST["role"])
    return None


@require_safe
def audit_list(request: HttpRequest) -> HttpResponse:
    """Who saw or changed a player: all for the owner, one's own players for a coach.

    The owner sees that something was done to a colleague's player, not whose name that is.
    """
    account = account_of(request)
    wanted = audit.Wanted(
        action=request.GET.get("action", "")[:40],
        account_id=number_of(request.GET.get("account", "")),
        player_id=number_of(request.GET.get("player", "")),
        days=number_of(request.GET.get("days", "")),
    )
    page = Paginator(audit.entries(account, wanted), 100).get_page(request.GET.get("page"))
    query = request.GET.copy()
    query.pop("page", None)
    told = {
        "page": page,
        "wanted": wanted,
        "query": query.urlencode(),
        "actions": audit.actions(account),
        "accounts": audit.people(account),
        "players": account.players.order_by("name")[:500],
        "spans": audit.SPANS,
        "me": account,
    }
    return render(request, "web/shop/audit.html", told)


@require_http_methods(["GET", "HEAD", "POST"])
def tokens(request: HttpRequest) -> HttpResponse:
    """Tokens for other software: made, shown once, revoked."""
    account = account_of(request)
    told: dict[str, Any] = {}
    if request.method == "POST" and "revoke" in request.POST:
        accounts.revoke_token(account, number_of(request.POST["revoke"]) or 0)
        return redirect("tokens")
    if request.method == "POST":
        told["made"] = accounts.make_token(account, request.POST.get("label", ""))
    told["tokens"] = ApiToken.objects.filter(account=account, revoked_at__isnull=True).order_by("-pk")
    return render(request, "web/shop/tokens.html", told)


@require_http_methods(["GET", "HEAD", "POST"])
def player_share(request: HttpRequest, player_id: int) -> HttpResponse:
    """Share a player with a colleague; only the player's own coach may."""
    shop_only()
    account = account_of(request)
    player = player_for(request, player_id, change=True)
    if player.coach_id != account.pk:
        raise Http404
    if request.method == "POST":
        if "end" in request.POST:
            accounts.unshare(account, player, number_of(request.POST["end"]) or 0)
        else:
            may_change = request.POST.get("may_change") == "1"
            accounts.share(account, player, request.POST.get("name", ""), may_change=may_change)
        return redirect("player-share", player.pk)
    colleagues = Account.objects.filter(is_active=True, single=False).exclude(pk=account.pk)
    told = {
        "player": player,
        "shares": player.shares.select_related("account"),
        "colleagues": colleagues.exclude(role="workshop").order_by("name"),
    }
    return render(request, "web/shop/share.html", told)
