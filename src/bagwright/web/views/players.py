"""Players: the list, one player, the forms."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from bagwright.bay import audit, bags, players, visits
from bagwright.store.models import Player, Visit
from bagwright.web.views.common import account_of, is_part, player_for
from bagwright.web.views.players_forms import PlayerForm
from bagwright.web.views.saving import saved

A_PAGE = 50
MOST_VISITS = 100
KINDS = {
    "fitting": gettext_lazy("fitting"),
    "delivery": gettext_lazy("delivery"),
    "check": gettext_lazy("check"),
}
OUTCOMES = {
    "accept": gettext_lazy("accepted"),
    "keep": gettext_lazy("kept"),
    "open": gettext_lazy("left open"),
    "bend back": gettext_lazy("bend back"),
    "regrip": gettext_lazy("regrip"),
    "retest": gettext_lazy("retest"),
}


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """The players of this account, found by words of their name."""
    words = " ".join(request.GET.get("q", "").replace("\0", "").split())[:200]
    archived = request.GET.get("archived") == "1"
    found = players.found(account_of(request), words, archived=archived)
    page = Paginator(found, A_PAGE).get_page(request.GET.get("page"))
    told = {"page": page, "lines": players.listed(list(page)), "words": words, "archived": archived}
    return render(request, "web/players/_list.html" if is_part(request) else "web/players/list.html", told)


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Add a player."""
    account = account_of(request)
    form = PlayerForm(request.POST or None, system=request.system, instance=Player(coach=account))  # type: ignore[attr-defined]

    def save(values: dict[str, Any], version: int) -> HttpResponse:
        player = players.add(account, values)
        messages.success(request, _("%(name)s was added. Next: the bag.") % {"name": player.name[:80]})
        return redirect("bag-edit", player.pk)

    if request.method == "POST":
        return saved(request, form, save, "web/players/edit.html", {"player": None})
    return render(request, "web/players/edit.html", {"form": form, "player": None})


@require_http_methods(["GET", "HEAD", "POST"])
def edit(request: HttpRequest, player_id: int) -> HttpResponse:
    """Change a player. Only what was changed is written, so that rounded figures stay as they were."""
    player = player_for(request, player_id, change=True)
    account = account_of(request)
    form = PlayerForm(
        request.POST or None,
        system=request.system,  # type: ignore[attr-defined]
        instance=Player.objects.get(pk=player.pk),
    )

    def save(values: dict[str, Any], version: int) -> HttpResponse:
        changed = {name: value for name, value in values.items() if name in form.changed_data}
        players.change(account, player, changed, version)
        messages.success(request, _("Saved."))
        return redirect("player", player.pk)

    if request.method == "POST":
        return saved(request, form, save, "web/players/edit.html", {"player": player})
    audit.note(account, player, "opened")
    return render(request, "web/players/edit.html", {"form": form, "player": player})


@require_safe
def detail(request: HttpRequest, player_id: int) -> HttpResponse:
    """One player: facts, bag, visits, and the way to a new one."""
    player = player_for(request, player_id)
    account = account_of(request)
    audit.note(account, player, "opened")
    clubs = bags.clubs_of(player)
    rows = player.visits.prefetch_related("decisions__choice", "club_outcomes__club")[:MOST_VISITS]
    minor = players.is_minor(player)
    told = {
        "player": player,
        "may_change": Player.objects.changed_by(account).filter(pk=player.pk).exists(),
        "carried": [club for club in clubs if club.status == "carried"],
        "others": len([club for club in clubs if club.status in ("candidate", "spare")]),
        "check": bags.check_of(player, clubs),
        "visits": [(visit, KINDS[visit.kind], _outcome(visit)) for visit in rows],
        "aside": [(visit, KINDS[visit.kind]) for visit in visits.aside(player)[:MOST_VISITS]],
        "minor": minor,
        "may_start": player.consent_on is not None and bool(player.guardian or not minor),
    }
    return render(request, "web/players/detail.html", told)


def _outcome(visit: Visit) -> str:
    """How a visit ended, in words; "" where nothing is decided."""
    said = []
    for decision in visit.decisions.all():
        if decision.withdrawn_at is None:
            choice = f": {decision.choice.name}" if decision.choice else ""
            said.append(f"{OUTCOMES[decision.outcome]}{choice}")
    for one in visit.club_outcomes.all():
        if one.outcome != "keep":
            said.append(f"{one.club.name}: {OUTCOMES[one.outcome]}")
    return "; ".join(said)


@require_POST
def archive(request: HttpRequest, player_id: int) -> HttpResponse:
    """Put a player away, or back."""
    player = player_for(request, player_id, change=True)
    away = request.POST.get("away") == "1"
    players.archive(account_of(request), player, away=away)
    words = _("%(name)s was put away; nothing was deleted.") if away else _("%(name)s is back.")
    messages.success(request, words % {"name": player.name[:80]})
    return redirect("players") if away else redirect("player", player.pk)


@require_POST
def visit_new(request: HttpRequest, player_id: int) -> HttpResponse:
    """Start a visit; the conditions of the last one are offered on its first page."""
    player = player_for(request, player_id, change=True)
    visit = visits.start_visit(player, account_of(request), request.POST.get("kind", "fitting"))
    return redirect("visit", visit.pk)
