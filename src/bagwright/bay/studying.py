"""The players of the app for a study: every one that an account may see, with bag and shots."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

from bagwright.bay import audit
from bagwright.errors import InputError
from bagwright.store.convert import core_bag, core_table
from bagwright.store.models import Account, Player
from bagwright.tasks.study_players import PlayerInput, Players, plain_player
from bagwright.words import tell

A_PAGE = 200
"""Players that are fetched at a time."""


def players_of_app(name: str | None) -> Players:
    """The players that an account may see and that were not put away, in the order in which they were added.

    `name` is the account's; without it, that of a machine without log-in. Each player's audit list says that
    a study read it. Raises InputError for an account that is not there, or has no players.
    """
    account = _account(name)
    keys = list(seen_by(account).values_list("pk", flat=True))
    if not keys:
        raise InputError(
            tell("This account sees no players."),
            tell("Name another one with --account, or add players in the app."),
        )
    for player in seen_by(account).iterator(A_PAGE):
        audit.note(account, player, "studied")

    def each() -> Iterator[PlayerInput]:
        for start in range(0, len(keys), A_PAGE):
            found = {
                player.pk: player for player in Player.objects.filter(pk__in=keys[start : start + A_PAGE])
            }
            for key in keys[start : start + A_PAGE]:
                if key not in found:
                    raise InputError(
                        tell("A player was erased while the study ran."),
                        tell("Begin anew in another folder."),
                    )
                yield PlayerInput(
                    str(key), found[key].name, f"/players/{key}/", partial(whole_player, found[key])
                )

    return Players(len(keys), each, figures=False)


def seen_by(account: Account) -> Any:
    """The account's players, ordered."""
    return Player.objects.seen_by(account).filter(archived_at__isnull=True).order_by("pk")


def _account(name: str | None) -> Account:
    if name is None:
        account = Account.objects.filter(single=True).first()
    else:
        account = Account.objects.filter(name=name, is_active=True).exclude(role="workshop").first()
    if account is None:
        known = ", ".join(Account.objects.filter(is_active=True).values_list("name", flat=True)[:10])
        raise InputError(
            tell('There is no account "{name}" that sees players.', name=(name or "")[:60]),
            tell("Name one with --account: {known}.", known=known or "-"),
        )
    return account


def whole_player(player: Player) -> dict[str, Any]:
    """A player's bag and all shots, as plain data; of the person only what strokes depend on."""
    return {"whole": plain_player(core_bag(player), core_table(list(player.visits.all())))}
