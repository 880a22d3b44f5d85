"""The bag: build by build."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from bagwright.bay import audit, bags, clubtable
from bagwright.bay.rack import lent_to
from bagwright.errors import BagwrightError
from bagwright.store.models import Club, Player, RackClub
from bagwright.web.views.bags_forms import ClubForm
from bagwright.web.views.common import account_of, is_part, player_for
from bagwright.web.views.saving import saved

GROUPS = {
    "carried": gettext_lazy("Carried"),
    "candidate": gettext_lazy("Candidates"),
    "spare": gettext_lazy("Spare"),
    "former": gettext_lazy("Former"),
}
MOST_REMOVED = 50


def club_for(request: HttpRequest, club_id: int) -> Club:
    """A club whose player this account may change. Raises Http404 otherwise."""
    club = Club.objects.select_related("player").filter(pk=club_id).first()
    if club is None:
        raise Http404
    player_for(request, club.player_id, change=True)
    return club


@require_safe
def bag(request: HttpRequest, player_id: int) -> HttpResponse:
    """All builds by status, the check, and what the rack has for this player's hand."""
    player = player_for(request, player_id)
    audit.note(account_of(request), player, "opened")
    return _bag(request, player)


def _bag(request: HttpRequest, player: Player) -> HttpResponse:
    """The page of the bag, or for a part of it what a change may change."""
    held = bags.held(player)
    rack, other_hand = bags.on_the_rack(player)
    taken = {one.club.rack_id for one in held}
    check = bags.check_of(player, [one.club for one in held])
    told = {
        "player": player,
        "may_change": Player.objects.changed_by(account_of(request)).filter(pk=player.pk).exists(),
        "groups": [(s, words, [one for one in held if one.club.status == s]) for s, words in GROUPS.items()],
        "check": check,
        "findings": [finding.in_system(request.system) for finding in check.findings],  # type: ignore[attr-defined]
        "count": len([one for one in held if one.club.status == "carried"]),
        "no_loft": [one.club for one in held if one.no_loft and one.club.status in ("carried", "candidate")],
        "rack": [(club, club.pk in taken, lent_to(club, player)) for club in rack],
        "other_hand": other_hand,
        "added": bags.still_there(player, numbers_of(request.GET.get("added", ""))),
        "removed": player.clubs.filter(removed_at__isnull=False).order_by("-removed_at")[:MOST_REMOVED],
    }
    return render(request, "web/players/_bag.html" if is_part(request) else "web/players/bag.html", told)


def numbers_of(text: str) -> list[int]:
    """Club numbers as an address holds them, "4-5-6"; what is none is left out."""
    parts = text[:5000].split("-")
    return [int(part) for part in parts if part.isascii() and part.isdecimal() and len(part) < 16]


def _after(request: HttpRequest, player_id: int) -> HttpResponse:
    """What answers a change of the bag: its part of the page for htmx, else the page again."""
    if is_part(request):
        return _bag(request, player_for(request, player_id))
    return redirect("bag-edit", player_id)


@require_http_methods(["GET", "HEAD", "POST"])
def club_new(request: HttpRequest, player_id: int) -> HttpResponse:
    """Add a build, empty or as a copy of one that is there (`?like=`)."""
    player = player_for(request, player_id, change=True)
    like = _like(request, player)
    first: dict[str, Any] = {"status": request.GET.get("status", "carried")}
    if like is not None:
        first |= bags.copy_of(like) | {"status": "candidate", "name": ""}
    form = ClubForm(
        request.POST or None,
        system=request.system,  # type: ignore[attr-defined]
        instance=Club(player=player),
        initial=first,
    )

    def save(values: dict[str, Any], version: int) -> HttpResponse:
        values.pop("slip", None)
        club = bags.add_club(account_of(request), player, {**values, "made_from": like})
        messages.success(request, _("%(name)s was added.") % {"name": club.name[:80]})
        return redirect("club-new" if "another" in request.POST else "bag-edit", player.pk)

    told = {"player": player, "like": like}
    if request.method == "POST":
        return saved(request, form, save, "web/players/club.html", told)
    return render(request, "web/players/club.html", {"form": form, **told})


def _like(request: HttpRequest, player: Player) -> Club | None:
    """The club that another build is made like; one of this player's, or none."""
    said = request.GET.get("like", "")
    return (
        player.clubs.filter(pk=int(said)).first()
        if said.isascii() and said.isdigit() and len(said) < 16
        else None
    )


@require_http_methods(["GET", "HEAD", "POST"])
def club_edit(request: HttpRequest, club_id: int) -> HttpResponse:
    """Change a build; one that was hit stays as it was and a new one takes its place."""
    club = club_for(request, club_id)
    hit = club.shots.count()
    form = ClubForm(
        request.POST or None,
        system=request.system,  # type: ignore[attr-defined]
        instance=Club.objects.select_related("player").get(pk=club.pk),
    )

    def save(values: dict[str, Any], version: int) -> HttpResponse:
        changes = form.changes()
        made = bags.change_club(account_of(request), club, changes, version, slip=bool(values.get("slip")))
        words = _("%(name)s was saved.")
        if made.pk != club.pk:
            words = _("%(name)s is a new build now; the old one is former and keeps its balls.")
        messages.success(request, words % {"name": made.name[:80]})
        return redirect("bag-edit", club.player_id)

    told = {"player": club.player, "club": club, "hit": hit}
    if request.method == "POST":
        return saved(request, form, save, "web/players/club.html", told)
    return render(request, "web/players/club.html", {"form": form, **told})


@require_POST
def club_status(request: HttpRequest, club_id: int) -> HttpResponse:
    """Change status or place of a club, take it out, or put it back."""
    club = club_for(request, club_id)
    account = account_of(request)
    if "status" in request.POST:
        bags.set_status(account, club, request.POST["status"])
    elif request.POST.get("move") in ("-1", "1"):
        bags.move_club(account, club, int(request.POST["move"]))
    elif "remove" in request.POST:
        bags.remove_club(account, club)
    elif "back" in request.POST:
        bags.remove_club(account, club, back=True)
    return _after(request, club.player_id)


@require_POST
def from_rack(request: HttpRequest, player_id: int, rack_id: int) -> HttpResponse:
    """Put a demo club among the candidates."""
    player = player_for(request, player_id, change=True)
    rack = RackClub.objects.filter(pk=rack_id, retired_at__isnull=True).first()
    if rack is None:
        raise Http404
    bags.take_from_rack(account_of(request), player, rack)
    return _after(request, player.pk)


@require_safe
def bag_file(request: HttpRequest, player_id: int) -> HttpResponse:
    """The bag as a bag file: everything that goes in can come out."""
    player = player_for(request, player_id)
    audit.note(account_of(request), player, "bag exported")
    answer = HttpResponse(bags.bag_text(player), content_type="application/toml; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="bag.toml"'
    return answer


@require_http_methods(["GET", "HEAD", "POST"])
def clubs_import(request: HttpRequest, player_id: int) -> HttpResponse:
    """Take clubs over from a table or a bag file: shown first with every line, stored when confirmed."""
    player = player_for(request, player_id, change=True)
    if "undo" in request.POST:
        out = bags.take_out_again(account_of(request), player, numbers_of(request.POST["undo"]))
        words = ngettext("%(n)s club was taken out again.", "%(n)s clubs were taken out again.", out)
        messages.info(request, words % {"n": out})
        return redirect("bag-edit", player.pk)
    system = request.system  # type: ignore[attr-defined]
    begun = clubtable.usual_set(system) if request.GET.get("start") == "usual" else ""
    told: dict[str, Any] = {"player": player, "text": request.POST.get("text", begun)}
    status = 200
    if request.method == "POST":
        try:
            upload = request.FILES.get("file")
            if upload is not None:
                raw = upload.read(clubtable.LIMITS.file_bytes + 1)
                told["text"] = clubtable.text_of_file(raw, upload.name or "")
            names = [club.name for club in bags.clubs_of(player)]
            read = clubtable.read_text(told["text"], names)
            told["read"] = read
            if "confirm" in request.POST and upload is None and read.bag.clubs:
                made = bags.take_over(account_of(request), player, read.bag)
                added = "-".join(str(club.pk) for club in made)
                return redirect(f"{reverse('bag-edit', args=[player.pk])}?added={added}")
        except BagwrightError as error:
            told["told"] = {"message": error.message, "next_step": error.next_step}
            told["text"] = told["text"][: clubtable.MOST_CHARACTERS]
            status = 422
    return render(request, "web/players/import.html", told, status=status)
