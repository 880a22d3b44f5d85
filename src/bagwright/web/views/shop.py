"""The shop: log-in, accounts, invitations, sessions, audit, tokens, rack, settings, the workshop's list."""

from __future__ import annotations

import re
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import authenticate, login, logout
from django.contrib.auth.decorators import login_not_required
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from bagwright.bay import accounts, rack, shopping
from bagwright.errors import InputError
from bagwright.store.models import Account, ApiToken, AuditEntry, Invitation, Paper, RackClub
from bagwright.web.views.common import account_of, player_for
from bagwright.web.views.forms_shop import OwnForm, RackForm, ShopForm
from bagwright.web.views.saving import saved


def shop_only() -> None:
    """Raise Http404 without accounts: these pages do not exist then."""
    if not settings.SHOP:
        raise Http404


def owner_of(request: HttpRequest) -> Account:
    """The account, if it is an owner's. Raises Http404 otherwise."""
    account = account_of(request)
    if account.role != "owner":
        raise Http404
    return account


def device_words(agent: str) -> str:
    """A browser and system in two words, from what it says of itself."""
    browsers = (("Edg", "Edge"), ("Firefox", "Firefox"), ("Chrome", "Chromium"), ("Safari", "Safari"))
    systems = (("iPhone", "iPhone"), ("iPad", "iPad"), ("Android", "Android"), ("Windows", "Windows"),
               ("Mac OS", "Mac"), ("Linux", "Linux"))  # fmt: skip
    browser = next((word for sign, word in browsers if sign in agent), _("a browser"))
    system = next((word for sign, word in systems if sign in agent), "")
    return f"{browser} {system}".strip()[:60]


@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def log_in(request: HttpRequest) -> HttpResponse:
    """Log in; the same answer for a wrong password and an unknown name."""
    shop_only()
    if accounts.needs_first():
        return redirect("first-account")
    after = request.POST.get("next") or request.GET.get("next") or ""
    if not url_has_allowed_host_and_scheme(after, {request.get_host()}, require_https=request.is_secure()):
        after = reverse("home")
    wrong = False
    if request.method == "POST":
        name, password = request.POST.get("username", "")[:150], request.POST.get("password", "")[:500]
        account = authenticate(request, username=name, password=password)
        if account is not None:
            login(request, account)
            request.session["label"] = device_words(request.headers.get("User-Agent", ""))
            return redirect(after)
        wrong = True
    status = 401 if wrong else 200
    return render(request, "web/shop/login.html", {"next": after, "wrong": wrong}, status=status)


@require_POST
def log_out(request: HttpRequest) -> HttpResponse:
    """Log out, and have the browser forget what it kept of these pages."""
    logout(request)
    answer = redirect("login") if settings.SHOP else redirect("home")
    answer["Clear-Site-Data"] = '"cache"'
    return answer


@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def first_account(request: HttpRequest) -> HttpResponse:
    """Make the first account with the code that stands where the program was started."""
    shop_only()
    if not accounts.needs_first():
        return redirect("login")
    told: dict[str, Any] = {"name": request.POST.get("name", "")}
    status = 200
    if request.method == "POST":
        try:
            account = accounts.make_first(
                request.POST.get("code", ""), told["name"], request.POST.get("password", "")[:500]
            )
        except InputError as error:
            told["told"] = {"message": error.message, "next_step": error.next_step}
            status = 422
        else:
            login(request, account, backend="django.contrib.auth.backends.ModelBackend")
            return redirect("home")
    return render(request, "web/shop/first.html", told, status=status)


@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def join(request: HttpRequest, token: str) -> HttpResponse:
    """Use an invitation."""
    shop_only()
    found = accounts.invitation_of(token)
    if found is None:
        raise Http404
    told: dict[str, Any] = {"name": request.POST.get("name", ""), "role": found.role}
    status = 200
    if request.method == "POST":
        try:
            account = accounts.join(token, told["name"], request.POST.get("password", "")[:500])
        except InputError as error:
            told["told"] = {"message": error.message, "next_step": error.next_step}
            status = 422
        else:
            login(request, account, backend="django.contrib.auth.backends.ModelBackend")
            request.session["label"] = device_words(request.headers.get("User-Agent", ""))
            return redirect("home")
    return render(request, "web/shop/join.html", told, status=status)


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
    told |= {
        "accounts": Account.objects.filter(single=False).order_by("name"),
        "invitations": Invitation.objects.filter(used_at__isnull=True, revoked_at__isnull=True),
        "roles": accounts.ROLES,
    }
    return render(request, "web/shop/accounts.html", told)


def account_change(request: HttpRequest, owner: Account) -> str | None:
    """Do what the owner asked for; the link of a new invitation, which is shown once, or None."""
    if "invite" in request.POST:
        token = accounts.invite(owner, request.POST.get("role", ""))
        return request.build_absolute_uri(reverse("join", args=[token]))
    if "revoke" in request.POST and request.POST["revoke"].isdecimal():
        from django.utils import timezone

        Invitation.objects.filter(pk=int(request.POST["revoke"])).update(revoked_at=timezone.now())
        return None
    wanted = request.POST.get("account", "")
    account = Account.objects.filter(pk=int(wanted), single=False).first() if wanted.isdecimal() else None
    if account is None:
        raise Http404
    if "role" in request.POST:
        accounts.change_role(owner, account, request.POST["role"])
    elif "close" in request.POST:
        accounts.close(owner, account)
    elif "open" in request.POST:
        accounts.close(owner, account, again=True)
    return None


@require_http_methods(["GET", "HEAD", "POST"])
def sessions(request: HttpRequest) -> HttpResponse:
    """One's own sessions and password."""
    shop_only()
    account = account_of(request)
    this = request.session.session_key or ""
    if request.method == "POST":
        if "everywhere" in request.POST:
            accounts.end_sessions(account)
            logout(request)
            return redirect("login")
        if "end" in request.POST:
            accounts.end_sessions(account, only=request.POST["end"][:16])
        if "old" in request.POST:
            accounts.change_password(account, request.POST["old"][:500], request.POST.get("new", "")[:500])
            login(request, account, backend="django.contrib.auth.backends.ModelBackend")
            messages.success(request, _("The password was changed; every other session has ended."))
        return redirect("sessions")
    return render(request, "web/shop/sessions.html", {"sessions": accounts.sessions_of(account, this)})


@require_safe
def audit_list(request: HttpRequest) -> HttpResponse:
    """Who saw or changed a player: all for the owner, one's own players for a coach."""
    account = account_of(request)
    entries = AuditEntry.objects.select_related("account", "player").order_by("-pk")
    if account.role != "owner":
        entries = entries.filter(player__coach=account)
    action = request.GET.get("action", "")
    if re.fullmatch(r"[a-z ]{1,40}", action):
        entries = entries.filter(action=action)
    # The owner sees that something was done to a colleague's player, not whose name that is.
    page = Paginator(entries, 100).get_page(request.GET.get("page"))
    return render(request, "web/shop/audit.html", {"page": page, "action": action, "me": account})


@require_http_methods(["GET", "HEAD", "POST"])
def tokens(request: HttpRequest) -> HttpResponse:
    """Tokens for other software: made, shown once, revoked."""
    account = account_of(request)
    told: dict[str, Any] = {}
    if request.method == "POST" and request.POST.get("revoke", "").isdecimal():
        from django.utils import timezone

        ApiToken.objects.filter(pk=int(request.POST["revoke"]), account=account).update(
            revoked_at=timezone.now()
        )
        return redirect("tokens")
    if request.method == "POST":
        told["made"] = accounts.make_token(account, request.POST.get("label", ""))
    told["tokens"] = ApiToken.objects.filter(account=account, revoked_at__isnull=True)
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
        if request.POST.get("end", "").isdecimal():
            accounts.unshare(account, player, int(request.POST["end"]))
        else:
            may_change = request.POST.get("may_change") == "1"
            accounts.share(account, player, request.POST.get("name", ""), may_change=may_change)
        return redirect("player-share", player.pk)
    colleagues = Account.objects.filter(is_active=True, single=False).exclude(pk=account.pk)
    told = {
        "player": player,
        "shares": player.shares.select_related("account"),
        "colleagues": colleagues.exclude(role="workshop"),
    }
    return render(request, "web/shop/share.html", told)


@require_safe
def rack_list(request: HttpRequest) -> HttpResponse:
    """The demo clubs."""
    hand = request.GET.get("hand", "")
    clubs = rack.found(hand, request.GET.get("kind", "")[:10])
    told = {"clubs": clubs, "hand": hand, "missing": rack.missing_hands(rack.found())}
    return render(request, "web/shop/rack.html", told)


@require_http_methods(["GET", "HEAD", "POST"])
def rack_new(request: HttpRequest) -> HttpResponse:
    """Put a demo club on the rack."""
    account = account_of(request)
    form = RackForm(request.POST or None, system=request.system, instance=RackClub())  # type: ignore[attr-defined]

    def save(values: dict[str, Any], version: int) -> HttpResponse:
        rack.add(account, values)
        return redirect("rack")

    if request.method == "POST":
        return saved(request, form, save, "web/shop/rack_club.html", {})
    return render(request, "web/shop/rack_club.html", {"form": form})


@require_http_methods(["GET", "HEAD", "POST"])
def rack_edit(request: HttpRequest, rack_id: int) -> HttpResponse:
    """Change, lend, take back, or retire a demo club."""
    account = account_of(request)
    club = RackClub.objects.filter(pk=rack_id).first()
    if club is None:
        raise Http404
    if request.method == "POST" and "lend" in request.POST:
        rack.lend(account, club, request.POST["lend"].strip() or _("somebody"))
        return redirect("rack")
    if request.method == "POST" and "return" in request.POST:
        rack.lend(account, club, "")
        return redirect("rack")
    if request.method == "POST" and "retire" in request.POST:
        rack.retire(account, club, back=club.retired_at is not None)
        return redirect("rack")
    form = RackForm(request.POST or None, system=request.system, instance=club)  # type: ignore[attr-defined]

    def save(values: dict[str, Any], version: int) -> HttpResponse:
        rack.change(account, RackClub.objects.get(pk=club.pk), values, version)
        return redirect("rack")

    if request.method == "POST":
        return saved(request, form, save, "web/shop/rack_club.html", {"club": club})
    return render(request, "web/shop/rack_club.html", {"form": form, "club": club})


@require_http_methods(["GET", "HEAD", "POST"])
def shop_settings(request: HttpRequest) -> HttpResponse:
    """Units and language of one's own; for the owner the shop's settings and logo."""
    account = account_of(request)
    own = OwnForm(request.POST if "own" in request.POST else None, instance=account)
    row = shopping.settings_row()
    form = ShopForm(request.POST if "shop" in request.POST else None, instance=row)
    if request.method == "POST":
        if own.is_bound and own.is_valid():
            Account.objects.filter(pk=account.pk).update(**own.cleaned_data)
            return redirect("settings")
        if account.role == "owner" and form.is_bound and form.is_valid():
            values = {name: form.cleaned_data[name] for name in form.Meta.fields}
            shopping.change(values)
            return redirect("settings")
        if account.role == "owner" and "logo" in request.POST:
            upload = request.FILES.get("picture")
            shopping.set_logo(upload.read(shopping.MOST_BYTES + 1) if upload is not None else None)
            return redirect("settings")
    told = {"own": own, "form": form, "row": row, "is_owner": account.role == "owner"}
    status = 422 if request.method == "POST" else 200
    return render(request, "web/shop/settings.html", told, status=status)


@require_safe
def logo(request: HttpRequest) -> HttpResponse:
    """The shop's logo."""
    row = shopping.settings_row()
    if row.logo is None or row.logo_kind not in ("png", "jpeg"):
        raise Http404
    return HttpResponse(bytes(row.logo), content_type=f"image/{row.logo_kind}")


@require_safe
def workshop(request: HttpRequest) -> HttpResponse:
    """Build sheets that coaches have given to the workshop."""
    account = account_of(request)
    if account.role not in ("workshop", "owner"):
        raise Http404
    sheets = Paper.objects.filter(kind="build", for_workshop=True).defer("content").select_related("club")
    return render(request, "web/shop/workshop.html", {"sheets": sheets[:200]})


@require_safe
def workshop_sheet(request: HttpRequest, paper_id: int) -> HttpResponse:
    """One of these sheets."""
    account = account_of(request)
    paper = Paper.objects.filter(pk=paper_id, kind="build", for_workshop=True).first()
    if paper is None or account.role not in ("workshop", "owner"):
        raise Http404
    answer = HttpResponse(bytes(paper.content), content_type="application/pdf")
    answer["Content-Disposition"] = 'inline; filename="build.pdf"'
    return answer
