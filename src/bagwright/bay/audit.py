"""The list of who saw or changed a player."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from django.db.models import Q, QuerySet
from django.utils import timezone

from bagwright.store.models import Account, AuditEntry, Player

SAME_LOOK = timedelta(minutes=10)
"""Looking at the same player again within this time is the same look."""

SPANS = (1, 7, 30, 365)
"""Days back that the page offers."""


def note(account: Account | None, player: Player | None, action: str, detail: str = "") -> None:
    """Write down that an account did something to a player; holds references, not the player's data."""
    if action == "opened" and player is not None:
        since = timezone.now() - SAME_LOOK
        if AuditEntry.objects.filter(account=account, player=player, action="opened", at__gte=since).exists():
            return
    AuditEntry.objects.create(account=account, player=player, action=action[:40], detail=detail[:200])


@dataclass(frozen=True, slots=True)
class Wanted:
    """What of the list is wanted; empty is everything."""

    action: str = ""
    account_id: int | None = None
    player_id: int | None = None
    days: int | None = None


def _mine(account: Account) -> QuerySet[AuditEntry]:
    """What an account may read: the owner everything, a coach what was done to own players, and by oneself."""
    if account.role == "owner":
        return AuditEntry.objects.all()
    return AuditEntry.objects.filter(Q(player__coach=account) | Q(account=account))


def entries(account: Account, wanted: Wanted) -> QuerySet[AuditEntry]:
    """The list as one account may read it, the newest first."""
    found = _mine(account).select_related("account", "player")
    if wanted.action:
        found = found.filter(action=wanted.action)
    if wanted.account_id is not None:
        found = found.filter(account_id=wanted.account_id)
    if wanted.player_id is not None:
        found = found.filter(player_id=wanted.player_id)
    if wanted.days is not None:
        found = found.filter(at__gte=timezone.now() - timedelta(days=min(wanted.days, 36_500)))
    return found.order_by("-pk")


def actions(account: Account) -> list[str]:
    """What has been done at all, for the choice of the page."""
    return list(_mine(account).order_by("action").values_list("action", flat=True).distinct())


def people(account: Account) -> list[Account]:
    """Who has done something, for the choice of the page."""
    doers = _mine(account).exclude(account=None).order_by().values("account_id").distinct()
    return list(Account.objects.filter(pk__in=doers).order_by("name"))
