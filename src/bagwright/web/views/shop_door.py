"""The shop's door: the first account, log-in, log-out, joining by invitation, one's own sessions and password."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from axes.models import AccessAttempt
from django.conf import settings
from django.contrib import messages
from django.contrib.auth import authenticate, login, logout
from django.contrib.auth.decorators import login_not_required
from django.db.models import Sum
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from bagwright.bay import accounts, sessions
from bagwright.errors import InputError
from bagwright.store.models import Account
from bagwright.web.middleware.proxy import address_of
from bagwright.web.views.common import account_of

WRONG_BY_ADDRESS = 50
WRONG_WITHIN = timedelta(minutes=15)
"""So many wrong passwords from one address, whichever accounts they were tried on, shut its door for a while."""
LONGEST_PASSWORD = 500
BACKEND = "django.contrib.auth.backends.ModelBackend"


def shop_only() -> None:
    """Raise Http404 without accounts: these pages do not exist then."""
    if not settings.SHOP:
        raise Http404


def device_words(agent: str) -> str:
    """A browser and system in two words, from what it says of itself."""
    browsers = (("Edg", "Edge"), ("Firefox", "Firefox"), ("Chrome", "Chromium"), ("Safari", "Safari"))
    systems = (("iPhone", "iPhone"), ("iPad", "iPad"), ("Android", "Android"), ("Windows", "Windows"),
               ("Mac OS", "Mac"), ("Linux", "Linux"))  # fmt: skip
    browser = next((word for sign, word in browsers if sign in agent), _("a browser"))
    system = next((word for sign, word in systems if sign in agent), "")
    return f"{browser} {system}".strip()[:60]


def enter(request: HttpRequest, account: Account) -> None:
    """Log an account in under a new session, and note which device it is."""
    login(request, account, backend=BACKEND)
    request.session.update(sessions.begun(device_words(request.headers.get("User-Agent", ""))))


def after_of(request: HttpRequest) -> str:
    """Where to go after the log-in: a page of this site, else the first one."""
    after = request.POST.get("next") or request.GET.get("next") or ""
    own = url_has_allowed_host_and_scheme(after, {request.get_host()}, require_https=request.is_secure())
    return after if own and after.isprintable() else reverse("home")


def too_many(request: HttpRequest) -> bool:
    """True where this address has tried too many wrong passwords lately."""
    lately = AccessAttempt.objects.filter(
        ip_address=address_of(request) or None, attempt_time__gte=timezone.now() - WRONG_WITHIN
    )
    return int(lately.aggregate(n=Sum("failures_since_start"))["n"] or 0) >= WRONG_BY_ADDRESS


@sensitive_post_parameters()
@login_not_required
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def log_in(request: HttpRequest) -> HttpResponse:
    """Log in; the same answer for a wrong password and an unknown name."""
    shop_only()
    if accounts.needs_first():
        return redirect("first-account")
    after, wrong = after_of(request), False
    if request.method == "POST":
        if too_many(request):
            return render(request, "web/locked.html", status=429)
        name = accounts.plain_name(request.POST.get("username", "")[:150])
        password = request.POST.get("password", "")[:LONGEST_PASSWORD]
        account = authenticate(request, username=name, password=password)
        if isinstance(account, Account):
            enter(request, account)
            return redirect(after)
        wrong = True
    told = {"next": after, "wrong": wrong, "name": request.POST.get("username", "")[:150]}
    return render(request, "web/shop/login.html", told, status=401 if wrong else 200)


@require_POST
def log_out(request: HttpRequest) -> HttpResponse:
    """Log out, and have the browser forget the pages. Balls that wait to be sent stay: they cannot be hit again."""
    logout(request)
    answer = redirect("login") if settings.SHOP else redirect("home")
    answer["Clear-Site-Data"] = '"cache"'
    return answer


@sensitive_post_parameters()
@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def first_account(request: HttpRequest) -> HttpResponse:
    """Make the first account with the code that stands where the program was started."""
    shop_only()
    if not accounts.needs_first():
        return redirect("login")
    told: dict[str, Any] = {"name": request.POST.get("name", "")[:200]}
    status = 200
    if request.method == "POST":
        try:
            account = accounts.make_first(
                request.POST.get("code", ""),
                told["name"],
                request.POST.get("password", "")[:LONGEST_PASSWORD],
            )
        except InputError as error:
            told["told"] = {"message": error.message, "next_step": error.next_step}
            status = 422
        else:
            enter(request, account)
            return redirect("home")
    return render(request, "web/shop/first.html", told, status=status)


@sensitive_post_parameters()
@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def join(request: HttpRequest, token: str) -> HttpResponse:
    """Use an invitation."""
    shop_only()
    found = accounts.invitation_of(token)
    if found is None:
        raise Http404
    told: dict[str, Any] = {"name": request.POST.get("name", "")[:200], "role": found.role}
    status = 200
    if request.method == "POST":
        try:
            account = accounts.join(token, told["name"], request.POST.get("password", "")[:LONGEST_PASSWORD])
        except InputError as error:
            told["told"] = {"message": error.message, "next_step": error.next_step}
            status = 422
        else:
            enter(request, account)
            return redirect("home")
    return render(request, "web/shop/join.html", told, status=status)


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def session_list(request: HttpRequest) -> HttpResponse:
    """One's own sessions and password."""
    shop_only()
    account = account_of(request)
    told: dict[str, Any] = {}
    if request.method == "POST":
        if "everywhere" in request.POST:
            sessions.end_sessions(account)
            return log_out(request)
        if "end" in request.POST:
            sessions.end_sessions(account, only=request.POST["end"][:16] or "-")
            return redirect("sessions")
        old, new = (request.POST.get(name, "")[:LONGEST_PASSWORD] for name in ("old", "new"))
        try:
            accounts.change_password(account, old, new)
        except InputError as error:
            told["told"] = {"message": error.message, "next_step": error.next_step}
        else:
            enter(request, account)
            messages.success(request, _("The password was changed; every other session has ended."))
            return redirect("sessions")
    told["sessions"] = sessions.sessions_of(account, request.session.session_key or "")
    told |= {"idle_h": int(sessions.IDLE_FOR.total_seconds() // 3600), "days": sessions.AT_MOST.days}
    return render(request, "web/shop/sessions.html", told, status=422 if "told" in told else 200)
