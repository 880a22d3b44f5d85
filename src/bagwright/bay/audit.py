"""The list of who saw or changed a player."""

from __future__ import annotations

from datetime import timedelta

from django.utils import timezone

from bagwright.store.models import Account, AuditEntry, Player

SAME_LOOK = timedelta(minutes=10)
"""Looking at the same player again within this time is the same look."""


def note(account: Account | None, player: Player | None, action: str, detail: str = "") -> None:
    """Write down that an account did something to a player; holds references, not the player's data."""
    if action == "opened" and player is not None:
        since = timezone.now() - SAME_LOOK
        if AuditEntry.objects.filter(account=account, player=player, action="opened", at__gte=since).exists():
            return
    AuditEntry.objects.create(account=account, player=player, action=action[:40], detail=detail[:200])
