"""The bag: builds added, changed, retired, moved; what was hit is never overwritten."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from bagwright.bag.file import parse_bag
from bagwright.bay import bags
from bagwright.bay.errors import ChangedMeanwhileError
from bagwright.errors import InputError
from bagwright.store.convert import core_bag
from bagwright.store.models import (
    Account,
    AuditEntry,
    Club,
    Player,
    RackClub,
    ShopSettings,
    ShotRecord,
    Visit,
)

Bag = Callable[[Player], dict[str, Club]]
Shots = Callable[..., list[ShotRecord]]
HOSTILE = '"><script>alert(1)</script>'


def typed(client: Client, club: Club, **more: str) -> dict[str, Any]:
    """What the page of a club sends when nothing but `more` was touched."""
    form = client.get(f"/players/clubs/{club.pk}/").context["form"]
    data = {}
    for name, field in form.fields.items():
        value = form[name].value() if name != "version" else form.initial["version"]
        if value not in (None, False):
            data[name] = field.prepare_value(value)
    return data | more


@pytest.mark.django_db
def test_a_usual_name_says_kind_number_and_stamped_loft(client: Client, player: Player) -> None:
    here = f"/players/{player.pk}/clubs/new/"
    assert client.post(here, {"name": "7i"}).status_code == 302
    assert (
        client.post(here, {"name": "56° wedge", "another": "1", "bounce_deg": "10.125"})["Location"] == here
    )
    iron, wedge = Club.objects.order_by("position")
    assert (iron.kind, iron.number, iron.status, iron.position) == ("iron", "7", "carried", 0)
    assert (iron.loft_deg, iron.length_m, iron.lie_angle_deg, iron.price) == (None,) * 4
    assert (wedge.kind, wedge.stamped_loft_deg, wedge.loft_deg, wedge.position) == ("wedge", 56.0, None, 1)
    assert wedge.bounce_deg == 10.125
    answer = client.post(here, {"name": "blue one"})
    assert answer.status_code == 422
    assert "choose one" in answer.content.decode()


@pytest.mark.django_db
def test_lengths_are_typed_in_the_reader_s_units(client: Client, player: Player) -> None:
    client.post(f"/players/{player.pk}/clubs/new/", {"name": "7i", "length_m": "37.25", "use": "tee, low"})
    assert Club.objects.get().length_m == pytest.approx(0.94615)
    assert Club.objects.get().use == ["tee", "low"]
    ShopSettings.objects.create(language="de", units="metres")
    here = f"/players/{player.pk}/clubs/new/"
    answer = client.post(here, {"name": "8i", "length_m": "93,5", "loft_deg": "34,5", "also": "acht; 8er"})
    assert answer.status_code == 302
    club = Club.objects.get(name="8i")
    assert club.length_m == pytest.approx(0.935)
    assert club.loft_deg == 34.5
    assert club.also == ["acht", "8er"]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("field", "value", "told"),
    [
        ("loft_deg", "99", "between −20 and 80"),
        ("loft_deg", "inf", "number"),
        ("lie_angle_deg", "6", "between 40 and 90"),
        ("stamped_lie_angle_deg", "6", "between 40 and 90"),
        ("length_m", "94", "between 7.9 and 78.7 in"),
        ("price", "1.200", "thousands"),
        ("status", "sold", "valid choice"),
        ("note", "x" * 5_000, "at most 2000"),
        ("shaft", "a\u0085b", "control"),
        ("also", ",".join(f"w{i}" for i in range(60)), "At most 50"),
    ],
)
def test_what_cannot_be_used_is_said_beside_its_field(
    client: Client, player: Player, field: str, value: str, told: str
) -> None:
    answer = client.post(f"/players/{player.pk}/clubs/new/", {"name": "7i", field: value})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert told in text[text.index(f'id="{field}-wrong"') :][:300]
    assert not Club.objects.exists()


@pytest.mark.django_db
def test_a_name_that_contradicts_its_kind_or_is_there_is_refused(client: Client, player: Player) -> None:
    here = f"/players/{player.pk}/clubs/new/"
    answer = client.post(here, {"name": "driver", "kind": "putter"})
    assert answer.status_code == 422
    assert "the name says driver" in answer.content.decode()
    assert client.post(here, {"name": "7 iron"}).status_code == 302
    assert client.post(here, {"name": "7  IRON"}).status_code == 422
    assert Club.objects.count() == 1


@pytest.mark.django_db
def test_a_club_that_was_hit_is_retired_and_a_new_build_takes_its_place(
    client: Client, visit: Visit, candidates: list[Club], add_shots: Shots
) -> None:
    old = candidates[0]
    add_shots(visit, old, 3, 90.0)
    page = client.get(f"/players/clubs/{old.pk}/").content.decode()
    assert "3 balls" in page
    assert (
        client.post(f"/players/clubs/{old.pk}/", typed(client, old, loft_deg="51", price="140")).status_code
        == 302
    )
    old.refresh_from_db()
    new = Club.objects.get(made_from=old)
    assert (old.loft_deg, old.status, old.price) == (49.0, "former", None)
    assert old.name.startswith("Gap wedge (until ")
    assert (new.name, new.loft_deg, new.status, new.price) == ("Gap wedge", 51.0, "carried", 140.0)
    assert new.position == old.position
    assert {shot.club_id for shot in ShotRecord.objects.all()} == {old.pk}
    bags.bag_text(visit.player)
    assert AuditEntry.objects.filter(action="club rebuilt").count() == 1


@pytest.mark.django_db
def test_plain_facts_and_what_was_not_known_change_in_place(
    client: Client, visit: Visit, candidates: list[Club], add_shots: Shots
) -> None:
    club = candidates[0]
    add_shots(visit, club, 2, 90.0)
    sent = typed(client, club, lie_angle_deg="64", grip_age_months="7", note="two\r\nlines", shaft="soft")
    assert client.post(f"/players/clubs/{club.pk}/", sent).status_code == 302
    club.refresh_from_db()
    assert (club.lie_angle_deg, club.grip_age_months, club.note, club.shaft) == (
        64.0,
        7.0,
        "two\nlines",
        "soft",
    )
    assert not Club.objects.filter(made_from=club).exists()
    assert parse_bag(bags.bag_text(visit.player)).find("Gap wedge") is not None


@pytest.mark.django_db
def test_a_slip_is_corrected_in_place_when_the_user_says_so(
    client: Client, visit: Visit, candidates: list[Club], add_shots: Shots
) -> None:
    club = candidates[0]
    add_shots(visit, club, 2, 90.0)
    client.post(f"/players/clubs/{club.pk}/", typed(client, club, loft_deg="48.5", slip="on"))
    club.refresh_from_db()
    assert (club.loft_deg, club.status) == (48.5, "carried")
    assert AuditEntry.objects.filter(action="club corrected", detail=str(club.pk)).exists()


@pytest.mark.django_db
def test_saving_a_rounded_length_is_no_new_build(
    client: Client, visit: Visit, candidates: list[Club], add_shots: Shots
) -> None:
    club = candidates[0]
    Club.objects.filter(pk=club.pk).update(length_m=0.90123, loft_deg=49.123456)
    add_shots(visit, club, 2, 90.0)
    client.post(f"/players/clubs/{club.pk}/", typed(client, club, price="90"))
    club.refresh_from_db()
    assert (club.length_m, club.loft_deg, club.price) == (0.90123, 49.123456, 90.0)
    assert not Club.objects.filter(made_from=club).exists()


@pytest.mark.django_db
def test_two_who_change_one_club_are_told(client: Client, player: Player, bag_of: Bag) -> None:
    club = bag_of(player)["Driver"]
    first, late = typed(client, club, price="300"), typed(client, club, price="310", note="mine")
    assert client.post(f"/players/clubs/{club.pk}/", first).status_code == 302
    answer = client.post(f"/players/clubs/{club.pk}/", late)
    text = answer.content.decode()
    assert answer.status_code == 409
    assert "<td>310</td>" in text
    assert "mine" in text
    club.refresh_from_db()
    assert (club.price, club.note) == (300.0, "")
    with pytest.raises(ChangedMeanwhileError):
        bags.change_club(player.coach, club, {"price": 1.0}, 1)


@pytest.mark.django_db
def test_status_place_removal_and_its_undoing(client: Client, player: Player, bag_of: Bag) -> None:
    clubs = bag_of(player)
    driver, wood = clubs["Driver"], clubs["5 wood"]

    def post(club: Club, **data: str) -> Any:
        return client.post(f"/players/clubs/{club.pk}/status/", data, headers={"HX-Request": "true"})

    part = post(driver, status="spare").content.decode()
    assert "8 clubs carried" in part
    assert "<html" not in part
    post(driver, status="carried")
    post(driver, move="1")
    names = [club.name for club in bags.clubs_of(player)]
    assert names[:2] == ["5 wood", "Driver"]
    post(wood, move="-1")
    assert [club.name for club in bags.clubs_of(player)] == names
    post(driver, remove="1")
    assert "Driver" not in [club.name for club in bags.clubs_of(player)]
    assert "Put back" in client.get(f"/players/{player.pk}/bag/").content.decode()
    post(driver, back="1")
    assert "Driver" in [club.name for club in bags.clubs_of(player)]
    assert post(driver, status="sold").status_code == 400
    assert client.get(f"/players/clubs/{driver.pk}/status/").status_code == 405


@pytest.mark.django_db
def test_a_place_skips_clubs_of_another_status(player: Player, bag_of: Bag) -> None:
    clubs = bag_of(player)
    bags.set_status(player.coach, clubs["5 wood"], "spare")
    bags.move_club(player.coach, clubs["4 hybrid"], -1)
    carried = [club.name for club in bags.clubs_of(player) if club.status == "carried"]
    assert carried[:2] == ["4 hybrid", "Driver"]


@pytest.mark.django_db
def test_a_club_put_back_may_not_take_another_s_name(player: Player, bag_of: Bag) -> None:
    driver = bag_of(player)["Driver"]
    bags.remove_club(player.coach, driver)
    bags.add_club(player.coach, player, {"name": "driver", "kind": "driver"})
    driver.refresh_from_db()
    with pytest.raises(InputError, match="in this bag already"):
        bags.remove_club(player.coach, driver, back=True)


@pytest.mark.django_db
def test_a_copy_is_a_candidate_with_its_own_name(client: Client, player: Player, bag_of: Bag) -> None:
    club = bag_of(player)["Gap wedge"]
    here = f"/players/{player.pk}/clubs/new/?like={club.pk}"
    form = client.get(here).context["form"]
    assert (form["loft_deg"].value(), form["status"].value(), form["name"].value()) == (49.0, "candidate", "")
    sent = {"name": "50 soft", "kind": "wedge", "status": "candidate", "loft_deg": "50"}
    assert client.post(here, sent).status_code == 302
    assert Club.objects.get(name="50 soft").made_from == club
    other = Player.objects.create(coach=player.coach, name="Kim", hand="left")
    assert client.get(f"/players/{other.pk}/clubs/new/?like={club.pk}").context["like"] is None
    assert client.get(f"/players/{player.pk}/clubs/new/?like=x%00").status_code == 200


@pytest.mark.django_db
def test_the_check_follows_every_change(client: Client, player: Player) -> None:
    for i in range(15):
        bags.add_club(player.coach, player, {"name": f"wedge {chr(97 + i)}", "kind": "wedge"})
    text = client.get(f"/players/{player.pk}/bag/").content.decode()
    assert "15 clubs carried, at most 14." in text
    assert "Over a limit" in text
    club = Club.objects.order_by("-pk")[0]
    part = client.post(f"/players/clubs/{club.pk}/status/", {"status": "spare"}, headers={"HX-Request": "1"})
    assert "Within the limits that can be known" in part.content.decode()


@pytest.mark.django_db
def test_the_bag_file_holds_the_whole_bag(client: Client, player: Player, bag_of: Bag) -> None:
    clubs = bag_of(player)
    Club.objects.filter(pk=clubs["Driver"].pk).update(note='say "hi"\n# no comment', use=["tee"])
    answer = client.get(f"/players/{player.pk}/bag/file/")
    assert answer["Content-Disposition"] == 'attachment; filename="bag.toml"'
    read = parse_bag(answer.content.decode())
    assert [club.name for club in read] == list(clubs)
    driver = read.find("Driver")
    assert driver is not None
    assert (driver.note, driver.use) == ('say "hi"\n# no comment', ("tee",))
    assert read.player == core_bag(player).player


@pytest.mark.django_db
@pytest.mark.parametrize("words", [HOSTILE, "עברית", "=1+1", "[[club]]", "x" * 200])
def test_hostile_and_foreign_words_stand_as_text(client: Client, player: Player, words: str) -> None:
    sent = {"name": words, "kind": "iron", "shaft": words, "note": words, "also": words}
    assert client.post(f"/players/{player.pk}/clubs/new/", sent).status_code == 302
    club = Club.objects.get()
    assert club.name == words
    for path in (f"/players/{player.pk}/bag/", f"/players/{player.pk}/", f"/players/clubs/{club.pk}/"):
        assert "<script>alert" not in client.get(path).content.decode()
    found = parse_bag(client.get(f"/players/{player.pk}/bag/file/").content.decode())
    assert [one.name for one in found] == [words]


@pytest.fixture
def rack(db: None) -> dict[str, RackClub]:
    rows = (("50 demo", "right", 2, 1), ("52 demo", "right", 1, 1), ("50 demo left", "left", 1, 0))
    return {
        name: RackClub.objects.create(
            name=name, kind="wedge", hand=hand, in_stock=n, lent=lent, loft_deg=50.0
        )
        for name, hand, n, lent in rows
    }


@pytest.mark.django_db
def test_only_the_player_s_hand_is_offered_from_the_rack(
    client: Client, left_player: Player, rack: dict[str, RackClub]
) -> None:
    text = client.get(f"/players/{left_player.pk}/bag/").content.decode()
    assert "50 demo left" in text
    assert "52 demo" not in text
    assert "2 more are for the other hand" in text
    here = f"/players/{left_player.pk}/rack"
    assert client.post(f"{here}/{rack['50 demo'].pk}/").status_code == 400
    assert client.post(f"{here}/{rack['50 demo left'].pk}/").status_code == 302
    assert client.post(f"{here}/{rack['50 demo left'].pk}/").status_code == 302
    club = left_player.clubs.get()
    assert (club.name, club.status, club.rack, club.loft_deg) == (
        "50 demo left", "candidate", rack["50 demo left"], 50.0,
    )  # fmt: skip
    assert client.post(f"{here}/999/").status_code == 404


@pytest.mark.django_db
def test_a_demo_club_that_is_not_free_is_said(
    client: Client, player: Player, rack: dict[str, RackClub]
) -> None:
    assert "none free" in client.get(f"/players/{player.pk}/bag/").content.decode()
    with pytest.raises(InputError, match="1 of 1 are lent"):
        bags.take_from_rack(player.coach, player, rack["52 demo"])
    assert not player.clubs.exists()


@pytest.mark.django_db
def test_a_long_bag_takes_as_many_questions_as_a_short_one(client: Client, player: Player) -> None:
    def questions() -> int:
        with CaptureQueriesContext(connection) as found:
            assert client.get(f"/players/{player.pk}/bag/").status_code == 200
        return len(found)

    def add(first: int, n: int) -> None:
        Club.objects.bulk_create(
            [Club(player=player, name=f"build {i}", kind="iron") for i in range(first, first + n)]
        )

    add(0, 2)
    client.get(f"/players/{player.pk}/bag/")
    few = questions()
    add(2, 60)
    assert questions() == few


@pytest.mark.django_db
def test_a_bag_holds_so_many_builds(
    player: Player, account: Account, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bags, "MOST_CLUBS", 2)
    for name in ("7i", "8i"):
        bags.add_club(account, player, {"name": name, "kind": "iron"})
    with pytest.raises(InputError, match="holds 2 builds"):
        bags.add_club(account, player, {"name": "9i", "kind": "iron"})


@pytest.mark.django_db
def test_only_the_group_with_a_wrong_field_stands_open(client: Client, player: Player) -> None:
    here = f"/players/{player.pk}/clubs/new/"
    name_only = client.post(here, {"name": "50 soft", "status": "candidate"}).content.decode()
    assert name_only.count('<details class="sheet" open>') == 0
    build = client.post(here, {"name": "7 iron", "length_m": "370"}).content.decode()
    assert build.count('<details class="sheet" open>') == 1
    assert build.index("<summary>Build") < build.index("length_m-wrong") < build.index("<summary>Facts")
