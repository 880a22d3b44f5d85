"""What views share: who asks, and what that account may see. Everything else does not exist for it."""

from __future__ import annotations

from django.http import Http404, HttpRequest
from django.utils.translation import gettext as _

from bagwright.errors import InputError
from bagwright.store.models import Account, Player, Visit


def account_of(request: HttpRequest) -> Account:
    """The account that asks. Raises Http404 where nobody is known: such a view needs an account."""
    user = request.user
    if not user.is_authenticated:
        raise Http404
    return user


def player_for(request: HttpRequest, player_id: int, *, change: bool = False) -> Player:
    """A player that this account may see (`change`: may change). Raises Http404 otherwise."""
    account = account_of(request)
    found = Player.objects.changed_by(account) if change else Player.objects.seen_by(account)
    player = found.filter(pk=player_id).first()
    if player is None:
        raise Http404
    return player


def visit_for(request: HttpRequest, visit_id: int, *, change: bool = False, aside: bool = False) -> Visit:
    """A visit of a player that this account may see (`change`: may change). Raises Http404 otherwise.

    One that was put aside is there with `aside` only; an InputError says so otherwise.

    A paired device sees the one visit that it was paired with (`request.paired_visit_id`), and may change it
    when it was paired as a bay screen.
    """
    paired = getattr(request, "paired_device", None)
    if paired is not None:
        allowed = paired.visit_id == visit_id and (not change or paired.screen == "bay")
        visit = Visit.objects.select_related("player").filter(pk=visit_id).first() if allowed else None
        if visit is None:
            raise Http404
        return visit
    account = account_of(request)
    players = Player.objects.changed_by(account) if change else Player.objects.seen_by(account)
    visit = Visit.with_put_aside.select_related("player").filter(pk=visit_id, player__in=players).first()
    if visit is None:
        raise Http404
    if visit.put_aside_at is not None and not aside:
        raise InputError(
            _("This visit was put aside; nothing of it was deleted."),
            _("Take it back on the page of %(name)s, then go on.") % {"name": visit.player.name[:80]},
        )
    return visit


def is_part(request: HttpRequest) -> bool:
    """True where htmx asks for a part of a page; going back in the browser's history asks for all of it."""
    return "HX-Request" in request.headers and "HX-History-Restore-Request" not in request.headers
