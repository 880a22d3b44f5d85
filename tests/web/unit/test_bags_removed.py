"""A club that was taken out keeps its own balls, and none leaves a visit that is still going on."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.test import Client
from django.utils import timezone

from bagwright.bay import bags, planning
from bagwright.bay.board import state_of
from bagwright.errors import InputError
from bagwright.store.convert import club_names, core_table
from bagwright.store.models import Account, Club, Player, ShotRecord, Visit

AddShots = Callable[..., list[ShotRecord]]
pytestmark = pytest.mark.django_db


def test_a_new_club_of_a_removed_one_s_name_has_none_of_its_balls(visit: Visit, add_shots: AddShots) -> None:
    """Worked out by hand: 6 balls at 100 m with the old one, 5 at 80 m with the new one of the same name."""
    player = visit.player
    old = player.clubs.get(name="Sand wedge")
    add_shots(visit, old, 6, 100.0)
    bags.remove_club(player.coach, old)
    new = bags.add_club(
        player.coach, player, {"name": "sand  wedge", "kind": "wedge", "loft_deg": 56.0, "status": "carried"}
    )
    add_shots(visit, new, 5, 80.0)
    names = list(core_table([visit]).text("club"))
    assert names == ["Sand wedge (taken out)"] * 6 + ["sand  wedge"] * 5
    fits = state_of(visit).fits
    assert fits is not None
    assert fits["sand  wedge", "stock"].n_shots == 5
    assert fits["sand  wedge", "stock"].carry_m.value < 90.0
    bags.remove_club(player.coach, new)
    bags.remove_club(player.coach, old, back=True)
    own = dict(player.clubs.values_list("pk", "name"))
    assert club_names([player.pk]) == {**own, new.pk: "sand  wedge (taken out)"}
    assert list(core_table([visit]).text("club"))[:6] == ["Sand wedge"] * 6


def test_a_removed_club_keeps_its_name_while_nobody_else_has_it(visit: Visit, add_shots: AddShots) -> None:
    club = visit.player.clubs.get(name="Sand wedge")
    add_shots(visit, club, 3, 80.0)
    bags.remove_club(visit.player.coach, club)
    assert set(core_table([visit]).text("club")) == {"Sand wedge"}
    assert club_names([visit.player_id]) == dict(visit.player.clubs.values_list("pk", "name"))


def test_two_removed_clubs_of_one_name_stay_apart(player: Player, account: Account) -> None:
    made = []
    for _ in range(3):
        made.append(bags.add_club(account, player, {"name": "50 wedge", "kind": "wedge"}))
        bags.remove_club(account, made[-1])
    there = bags.add_club(account, player, {"name": "50 wedge", "kind": "wedge"})
    assert club_names([player.pk]) == {
        made[0].pk: "50 wedge (taken out)", made[1].pk: "50 wedge (taken out 2)", made[2].pk: "50 wedge (taken out 3)",
        there.pk: "50 wedge",
    }  # fmt: skip


def test_a_candidate_of_an_open_visit_is_not_taken_out_of_the_bag(
    client: Client, account: Account, visit: Visit, candidates: list[Club]
) -> None:
    rival = candidates[1]
    said = client.post(f"/players/clubs/{rival.pk}/status/", {"remove": "1"})
    assert said.status_code == 400
    assert "takes part in the visit" in said.content.decode()
    rival.refresh_from_db()
    assert rival.removed_at is None
    planning.leave(visit.coach, visit, candidates[2])
    bags.remove_club(visit.player.coach, candidates[2])
    Visit.objects.filter(pk=visit.pk).update(finished_at=timezone.now())
    bags.remove_club(visit.player.coach, rival)
    with pytest.raises(InputError, match="in this bag already"):
        bags.add_club(account, visit.player, {"name": "gap wedge", "kind": "wedge"})


@pytest.mark.parametrize(
    ("referer", "link"),
    [
        ("http://testserver/players/1/bag/?added=3", 'href="/players/1/bag/?added=3"'),
        ("http://elsewhere.example/players/", ""),
        ("//elsewhere.example/", ""),
        ("javascript:alert(1)", ""),
        ("", ""),
    ],
)
def test_a_step_that_cannot_be_leads_back_to_its_own_page(
    client: Client, visit: Visit, candidates: list[Club], referer: str, link: str
) -> None:
    address = f"/players/clubs/{candidates[1].pk}/status/"
    page = client.post(address, {"remove": "1"}, headers={"Referer": referer} if referer else {})
    assert page.status_code == 400
    html = page.content.decode()
    assert ("Back to the page" in html) == bool(link)
    assert link in html
    assert "elsewhere" not in html
    assert "javascript:" not in html
