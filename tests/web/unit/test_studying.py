"""The players of the app for a study: those that an account may see, no others, whole and noted."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.utils import timezone

from bagwright.bay.studying import players_of_app
from bagwright.errors import InputError
from bagwright.shots.record import Mark
from bagwright.store.convert import core_bag, core_table
from bagwright.store.models import Account, AuditEntry, Club, Player, PlayerShare, ShotRecord, Visit
from bagwright.study.plan import digest_of
from bagwright.tasks.asking import golfer_of

pytestmark = pytest.mark.django_db


def with_shots(player: Player, club: Club) -> Visit:
    visit = Visit.objects.create(player=player, started_at=timezone.now())
    for i in range(4):
        mark = {"mark": "mishit", "mark_reason": "thin", "mark_author": "professional"} if i == 3 else {}
        ShotRecord.objects.create(
            **mark,
            visit=visit,
            club=club,
            number=i + 1,
            client_key=f"{player.pk}-{i}",
            carry_m=91.44 + i / 3,
            offline_m=-i / 7,
        )
    return visit


def test_a_player_comes_whole_to_the_last_digit(
    player: Player, bag_of: Callable[[Player], dict[str, Club]]
) -> None:
    """There and back: what a worker gets gives the bag and the balls of the database."""
    visit = with_shots(player, bag_of(player)["Gap wedge"])
    (given,) = players_of_app(None).each()
    golfer = golfer_of(given.load())
    assert golfer.table is not None
    assert golfer.bag.clubs == core_bag(player).clubs
    wanted = core_table([visit])
    assert [golfer.table.shot(i) for i in range(4)] == [wanted.shot(i) for i in range(4)]
    assert golfer.table.marks == {3: Mark("mishit", "thin", "professional")}
    assert "Robin" not in repr(given.load()), "of the person a worker gets what strokes depend on"
    assert digest_of(given.load()) == digest_of(next(iter(players_of_app(None).each())).load())
    assert golfer.row()["handicap"] == 14.0
    assert given.key == str(player.pk)


def test_an_account_gets_its_own_players_and_those_shared_with_it(
    player: Player, left_player: Player
) -> None:
    colleague = Account.objects.create_user("Kim Coach", None)
    stranger = Account.objects.create_user("stranger", None)
    PlayerShare.objects.create(player=left_player, account=colleague)
    own = Player.objects.create(coach=colleague, name="Own Example", hand="right")
    gone = Player.objects.create(
        coach=colleague, name="Gone Example", hand="right", archived_at=timezone.now()
    )
    found = players_of_app("Kim Coach")
    assert [one.key for one in found.each()] == [str(left_player.pk), str(own.pk)]
    assert found.count == 2
    with pytest.raises(InputError, match="sees no players"):
        players_of_app(stranger.name)
    noted = AuditEntry.objects.filter(action="studied").values_list("account", "player")
    assert set(noted) == {(colleague.pk, left_player.pk), (colleague.pk, own.pk)}
    assert gone.pk not in {player for _, player in noted}


@pytest.mark.parametrize("change", [{"is_active": False}, {"role": "workshop"}])
def test_closed_accounts_and_workshops_see_nobody(player: Player, change: dict[str, object]) -> None:
    Account.objects.create_user("Kim Coach", None)
    Account.objects.filter(name="Kim Coach").update(**change)
    with pytest.raises(InputError, match='no account "Kim Coach"'):
        players_of_app("Kim Coach")
    with pytest.raises(InputError, match='no account "nobody"'):
        players_of_app("nobody")


def test_a_player_that_is_erased_meanwhile_is_noticed(player: Player, left_player: Player) -> None:
    players = players_of_app(None)
    AuditEntry.objects.filter(player=left_player).delete()
    left_player.delete()
    with pytest.raises(InputError, match="was erased while the study ran"):
        list(players.each())
