"""Players: found, added, changed, put away."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models import F, Max, Q, QuerySet
from django.db.models.functions import Lower
from django.utils import timezone
from django.utils.translation import gettext as _

from bagwright.bay import audit
from bagwright.bay.errors import ChangedMeanwhileError
from bagwright.store.models import Account, Player, Visit

CHILD_UNTIL = 18
MOST_WORDS = 8


@dataclass(frozen=True, slots=True)
class Listed:
    """One line of the list of players: when they were last here, and the visit that is not finished."""

    player: Player
    last_visit: datetime.datetime | None
    unfinished: Visit | None
    check_due: bool


def found(account: Account, words: str = "", *, archived: bool = False) -> QuerySet[Player]:
    """Find the players of an account by name; every word must be somewhere in the name."""
    players = Player.objects.seen_by(account).filter(archived_at__isnull=not archived)
    for word in words.split()[:MOST_WORDS]:
        players = players.filter(_has(word[:80]))
    return players.order_by(Lower("name"), "pk")


def _has(word: str) -> Q:
    """SQLite folds the case of ASCII only, so that other letters are asked for in both cases."""
    spellings = {word} if word.isascii() else {word, word.lower(), word.upper(), word.capitalize()}
    wanted = Q()
    for spelling in sorted(spellings):
        wanted |= Q(name__icontains=spelling)
    return wanted


def listed(players: Sequence[Player], today: datetime.date | None = None) -> list[Listed]:
    """The lines of one page, in two queries however many players it has."""
    day = today or timezone.localdate()
    ids = [player.pk for player in players]
    last = dict(
        Visit.objects.filter(player_id__in=ids)
        .order_by()
        .values_list("player_id")
        .annotate(last=Max("started_at"))
    )
    unfinished = {
        visit.player_id: visit
        for visit in Visit.objects.filter(player_id__in=ids, finished_at__isnull=True).order_by("started_at")
    }
    return [
        Listed(
            player,
            last.get(player.pk),
            unfinished.get(player.pk),
            player.next_check_on is not None and player.next_check_on <= day,
        )
        for player in players
    ]


def is_minor(player: Player, today: datetime.date | None = None) -> bool:
    """True for a player who is or may still be under 18 this year; False where no year of birth is known."""
    year = (today or timezone.localdate()).year
    return player.born_in is not None and year - player.born_in <= CHILD_UNTIL


@transaction.atomic
def add(account: Account, values: dict[str, Any]) -> Player:
    """Add a player of this account."""
    player = Player.objects.create(coach=account, **values)
    audit.note(account, player, "added")
    return player


@transaction.atomic
def change(account: Account, player: Player, values: dict[str, Any], version: int) -> Player:
    """Change a player as seen in `version`. Raises ChangedMeanwhileError when somebody else was faster."""
    done = Player.objects.filter(pk=player.pk, version=version).update(
        **values, version=F("version") + 1, changed_at=timezone.now()
    )
    if not done:
        raise ChangedMeanwhileError(
            _("%(name)s was changed by somebody else meanwhile.") % {"name": player.name[:80]},
            _("Your entries are below, nothing was saved. Look at what stands there now, then save again."),
        )
    audit.note(account, player, "changed", ", ".join(sorted(values))[:200])
    return Player.objects.get(pk=player.pk)


@transaction.atomic
def archive(account: Account, player: Player, *, away: bool) -> None:
    """Put a player away, or back. Nothing is deleted."""
    Player.objects.filter(pk=player.pk).update(
        archived_at=timezone.now() if away else None, version=F("version") + 1
    )
    audit.note(account, player, "archived" if away else "brought back")
