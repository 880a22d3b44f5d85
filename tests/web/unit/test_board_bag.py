"""The bag's distances: tried changes, the way back, against the agreed bag and the last visit."""

from __future__ import annotations

import datetime
from collections.abc import Callable

import pytest
from django.test import Client

from bagwright.bay import bagview, trying
from bagwright.bay.trying import Try, bent_carry, carry_a_degree, tries_of
from bagwright.errors import InputError
from bagwright.estimate import Estimate
from bagwright.store.models import Account, AgreedBag, Club, Player, ShotRecord, Visit
from bagwright.units import M_PER_YD

pytestmark = pytest.mark.django_db
AddShots = Callable[..., list[ShotRecord]]
CARRIES = {"Driver": 200.0, "5 wood": 180.0, "4 hybrid": 168.0, "6 iron": 148.0, "8 iron": 128.0,
           "Pitching wedge": 104.0, "Gap wedge": 97.0, "Sand wedge": 76.0}  # fmt: skip


@pytest.fixture
def hit(visit: Visit, candidates: list[Club], add_shots: AddShots) -> Visit:
    """Five balls with every carried club, four with one candidate."""
    for i, (name, carry) in enumerate(CARRIES.items()):
        add_shots(visit, visit.player.clubs.get(name=name), 5, carry, seed=i)
    add_shots(visit, candidates[1], 4, 90.0, seed=50)
    return visit


def number(visit: Visit, name: str) -> int:
    return visit.player.clubs.get(name=name).pk


def page(client: Client, visit: Visit, words: str = "") -> str:
    return client.get(f"/visits/{visit.pk}/distances/{words}").content.decode()


def test_no_ball_no_distance(client: Client, visit: Visit) -> None:
    assert "No ball was hit yet" in page(client, visit)
    answer = client.post(f"/visits/{visit.pk}/distances/")
    assert answer.status_code == 400
    assert not AgreedBag.objects.exists()


def test_lines_steps_and_wedges(client: Client, hit: Visit) -> None:
    view = bagview.view_of(hit, "yards")
    assert [line.club.club for line in view.lines] == list(CARRIES)
    assert [line.step is None for line in view.lines] == [False] * 7 + [True]
    assert view.swings[:2] == ("flat-out", "stock")
    gap = next(wedge for wedge in view.wedges if wedge.name == "Gap wedge")
    stock = gap.cells[view.swings.index("stock")]
    half = gap.cells[view.swings.index("half")]
    assert stock is not None
    assert (stock[1], stock[2]) == (5, True)
    assert half is not None
    assert not half[2], "a swing that was not hit says that it is estimated"
    html = page(client, hit)
    assert "estimated" in html
    assert "Agree on this bag" in html
    assert (view.count, view.limit) == (9, 14)


def test_a_club_tried_in_and_another_out(client: Client, hit: Visit, candidates: list[Club]) -> None:
    tries = (Try("out", number(hit, "Gap wedge")), Try("in", candidates[1].pk))
    view = bagview.view_of(hit, "yards", tries)
    names = [line.club.club for line in view.lines]
    assert "50 cavity" in names
    assert "Gap wedge" not in names
    assert view.steps == ("Gap wedge out", "50 cavity in")
    assert view.ended or view.brought
    html = page(client, hit, f"?try=out:{number(hit, 'Gap wedge')}&try=in:{candidates[1].pk}")
    assert "Tried, not kept:" in html
    assert "Agree on this bag" not in html
    assert Club.objects.get(pk=candidates[1].pk).status == "candidate", "nothing is stored"


def test_undo_redo_and_as_it_is_are_addresses(client: Client, hit: Visit, candidates: list[Club]) -> None:
    out, inside = f"out:{number(hit, 'Gap wedge')}", f"in:{candidates[1].pk}"
    here = f"/visits/{hit.pk}/distances/"
    both = client.get(here, {"try": [out, inside]})
    back = both.context["back"]
    assert back == f"{here}?try={out}&redo={inside}".replace(":", "%3A")
    undone = client.get(back)
    assert undone.context["tried"] == [out]
    again = client.get(undone.context["again"])
    assert again.context["tried"] == [out, inside]
    assert again.context["again"] == ""
    pressed = client.get(here, {"try": out, "add": inside})
    assert pressed.context["tried"] == [out, inside]
    first = client.get(undone.context["back"])
    assert first.context["tried"] == []
    assert client.get(first.context["again"]).context["tried"] == [out]


@pytest.mark.parametrize(
    "words",
    ["?try=burn:1", "?try=in:x", "?try=", "?try=in:-1", "?try=in:" + "9" * 30, "?redo=nonsense",
     "?" + "&".join(["try=in:1"] * 21)],
)  # fmt: skip
def test_what_cannot_be_tried_is_refused_in_words(client: Client, hit: Visit, words: str) -> None:
    answer = client.get(f"/visits/{hit.pk}/distances/{words}")
    assert answer.status_code == 400
    assert (
        "nothing that can be tried" in answer.content.decode() or "more than a try" in answer.content.decode()
    )


def test_another_players_club_cannot_be_tried(client: Client, hit: Visit, left_player: Player) -> None:
    theirs = Club.objects.create(player=left_player, name="Theirs", kind="iron", loft_deg=30.0)
    answer = client.get(f"/visits/{hit.pk}/distances/?try=in:{theirs.pk}")
    assert answer.status_code == 400
    assert "Theirs" not in answer.content.decode()


def test_a_degree_weaker_carries_less_by_the_own_line_and_is_less_sure(hit: Visit) -> None:
    name = "8 iron"
    plain = bagview.view_of(hit, "yards")
    view = bagview.view_of(hit, "yards", (Try("weaker", number(hit, name)),))
    before = next(line.club for line in plain.lines if line.club.club == name)
    line = next(line for line in view.lines if line.club.club == name)
    assert view.a_degree is not None
    assert line.club.carry_m.value == pytest.approx(before.carry_m.value - view.a_degree.value)
    assert line.club.carry_m.high - line.club.carry_m.low > before.carry_m.high - before.carry_m.low
    assert (line.club.used, line.club.n_shots, line.club.loft_deg, line.bent_deg) == (
        "predicted",
        0,
        36.0,
        1.0,
    )
    assert line.before == before.carry_m
    assert view.steps == ("8 iron 1° weaker",)


def test_weaker_then_stronger_is_as_it_was(hit: Visit) -> None:
    pk = number(hit, "8 iron")
    plain = bagview.view_of(hit, "yards")
    view = bagview.view_of(hit, "yards", (Try("weaker", pk), Try("stronger", pk)))
    assert [line.club for line in view.lines] == [line.club for line in plain.lines]


def test_a_driver_and_a_club_without_loft_cannot_be_bent(client: Client, hit: Visit) -> None:
    with pytest.raises(InputError, match="cannot be told"):
        bagview.view_of(hit, "yards", (Try("weaker", number(hit, "Driver")),))
    Club.objects.filter(player=hit.player, name="8 iron").update(loft_deg=None, version=5)
    with pytest.raises(InputError, match="cannot be told"):
        bagview.view_of(hit, "yards", (Try("weaker", number(hit, "8 iron")),))
    html = page(client, hit)
    assert f'name="add" value="weaker:{number(hit, "Driver")}"' not in html
    assert f'name="add" value="weaker:{number(hit, "6 iron")}"' in html


def test_beyond_four_degrees_it_is_another_club(hit: Visit) -> None:
    with pytest.raises(InputError, match="cannot be bent by"):
        bagview.view_of(hit, "yards", (Try("stronger", number(hit, "8 iron")),) * 5)


def test_a_bent_club_that_was_never_hit_is_predicted_from_the_rest(
    hit: Visit, candidates: list[Club]
) -> None:
    pk = candidates[2].pk
    view = bagview.view_of(hit, "yards", (Try("in", pk), Try("weaker", pk)))
    line = next(line for line in view.lines if line.club.club == "51 blade")
    assert (line.club.used, line.club.loft_deg) == ("predicted", 52.0)


def test_a_degree_without_a_line_is_what_is_usual() -> None:
    usual = carry_a_degree(None)
    assert usual.value == pytest.approx(3.0 * M_PER_YD)
    assert usual.low == pytest.approx(2.0 * M_PER_YD)
    own = carry_a_degree(Estimate(3.0, 2.9, 3.1))
    assert own.value == 3.0
    assert own.high - own.low > 2.0 * M_PER_YD * 0.99, "never surer than common practice is wide"


def test_bent_carry_adds_both_doubts() -> None:
    bent = bent_carry(Estimate(100.0, 96.0, 104.0), 2.0, Estimate(3.0, 1.5, 4.5))
    assert (bent.value, bent.low, bent.high) == (94.0, 89.0, 99.0)


def test_agreeing_keeps_the_carried_clubs_once(client: Client, hit: Visit, account: Account) -> None:
    assert client.post(f"/visits/{hit.pk}/distances/").status_code == 302
    client.post(f"/visits/{hit.pk}/distances/")
    bag = AgreedBag.objects.get(player=hit.player)
    assert {row["club"] for row in bag.distances} == set(CARRIES)
    assert len(bag.clubs) == 9
    view = bagview.view_of(hit, "yards")
    assert all(line.agreed == line.club.carry_m for line in view.lines)
    Club.objects.filter(player=hit.player, name="8 iron").update(status="former", version=7)
    bagview.agree(account, hit, "yards")
    assert AgreedBag.objects.filter(player=hit.player).count() == 2
    assert "Agreed" in page(client, hit)


def test_the_last_visit_stands_beside_this_one(
    client: Client, hit: Visit, account: Account, add_shots: AddShots
) -> None:
    assert bagview.view_of(hit, "yards").last_visit is None
    day = datetime.timedelta(days=1)
    empty = Visit.objects.create(player=hit.player, coach=account, started_at=hit.started_at - day)
    earlier = Visit.objects.create(player=hit.player, coach=account, started_at=hit.started_at - 90 * day)
    add_shots(earlier, hit.player.clubs.get(name="8 iron"), 6, 133.0, seed=8)
    view = bagview.view_of(hit, "yards")
    assert view.last_visit == earlier != empty
    last = {line.club.club: line.last for line in view.lines}
    assert last["8 iron"] is not None
    assert last["8 iron"].value == pytest.approx(133.0, abs=4.0)
    assert last["6 iron"] is None, "it was not hit then"
    changes = {line.club.club: line.change for line in view.lines}
    assert changes["6 iron"] is None
    eight = changes["8 iron"]
    assert eight is not None
    assert (eight.n_before, eight.n_now) == (6, 5), "no ball is counted twice"
    assert eight.change_m.low < eight.change_m.value < eight.change_m.high
    assert 0.0 < eight.beyond < 1.0
    html = page(client, hit)
    assert "Visit of" in html
    assert html.count('class="soft small change"') == 1


def test_over_the_limit_is_said(client: Client, hit: Visit, candidates: list[Club]) -> None:
    Player.objects.filter(pk=hit.player_id).update(club_limit=9)
    assert "over the limit" not in page(client, hit)
    assert "over the limit" in page(client, hit, f"?try=in:{candidates[1].pk}")


def test_tries_of_reads_what_it_writes() -> None:
    tries = (Try("in", 3), Try("out", 4), Try("weaker", 5), Try("stronger", 6))
    assert tries_of([one.text for one in tries]) == tries
    assert len(trying.WHATS) == 4


def test_an_agreement_is_taken_back_and_the_one_before_it_counts_again(
    client: Client, hit: Visit, account: Account
) -> None:
    earlier = Visit.objects.create(
        player=hit.player, started_at=hit.started_at - datetime.timedelta(days=90), coach=account
    )
    old = AgreedBag.objects.create(player=hit.player, visit=earlier, clubs=[], distances=[])
    address = f"/visits/{hit.pk}/distances/"
    assert "Take it back" not in client.get(address).content.decode(), "it is another visit's"
    client.post(address)
    assert AgreedBag.objects.count() == 2
    assert "Take it back" in client.get(address).content.decode()
    said = client.post(address, {"back": "1"}, follow=True).content.decode()
    assert "The agreement was taken back." in said
    assert list(AgreedBag.objects.all()) == [old]
    client.post(address, {"back": "1"})
    assert list(AgreedBag.objects.all()) == [old], "another visit's is not touched"
