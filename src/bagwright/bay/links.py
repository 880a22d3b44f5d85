"""A link of limited life with which a player opens the papers of one visit."""

from __future__ import annotations

import secrets
from datetime import timedelta

from django.db.models import QuerySet
from django.utils import timezone

from bagwright.bay import audit
from bagwright.bay.accounts import hash_of
from bagwright.store.models import Account, Paper, PlayerLink, Visit

OPEN_FOR = timedelta(days=14)


def make(account: Account, visit: Visit) -> str:
    """Make a link's token; returned once, not kept."""
    token = secrets.token_urlsafe(32)
    PlayerLink.objects.create(
        token_hash=hash_of(token), visit=visit, made_by=account, expires_at=timezone.now() + OPEN_FOR
    )
    audit.note(account, visit.player, "link made")
    return token


def open_links(visit: Visit) -> QuerySet[PlayerLink]:
    """The links that still open."""
    return visit.links.filter(revoked_at__isnull=True, expires_at__gt=timezone.now())


def revoke(account: Account, visit: Visit, link_id: int) -> None:
    """Close a link."""
    if visit.links.filter(pk=link_id, revoked_at__isnull=True).update(revoked_at=timezone.now()):
        audit.note(account, visit.player, "link revoked")


def papers_of(token: str) -> QuerySet[Paper] | None:
    """The player's papers of a token that still opens; None otherwise. The workshop's sheet is not among them."""
    found = PlayerLink.objects.filter(
        token_hash=hash_of(token), revoked_at__isnull=True, expires_at__gt=timezone.now(),
        visit__put_aside_at__isnull=True,
    ).first()  # fmt: skip
    if found is None:
        return None
    if found.opened_at is None:
        PlayerLink.objects.filter(pk=found.pk, opened_at__isnull=True).update(opened_at=timezone.now())
    return Paper.objects.filter(visit_id=found.visit_id, kind__in=("report", "yardages")).defer("content")
