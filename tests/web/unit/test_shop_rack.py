"""The rack and the settings: what is there for which hand, who has it, and what is refused."""

from __future__ import annotations

import datetime
from collections.abc import Callable

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from bagwright.bay import rack, shopping
from bagwright.errors import InputError
from bagwright.shots.line import parse_line
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
from tests.web.unit.test_shop import chunk, png

SETTINGS = {
    "shop": "1", "shop_name": "The Bay", "units": "yards", "language": "en", "paper": "a4", "step_rules": "",
    "seller_interest": "", "left_words": "L, left", "right_words": "R, right", "version": "1",
}  # fmt: skip
TABLE = "Club;Loft;Length cm;Head;Shaft;Flex\n7 iron;31,5;94;cavity;steel 95;R\n50 wedge;50;90;blade;steel 110;S\nspoon;;;;;\n"


def demo(hand: str = "right", **more: object) -> RackClub:
    return RackClub.objects.create(**{"name": "52 wedge", "kind": "wedge", "hand": hand, **more})


def test_a_table_is_shown_first_and_put_on_the_rack_when_confirmed(client: Client, account: Account) -> None:
    looked = client.post("/rack/import/", {"text": TABLE, "hand": "left", "place": "bay 2"})
    page = looked.content.decode()
    assert looked.status_code == 200
    assert "50 wedge" in page
    assert "spoon" in page, "what is not taken over is said"
    assert not RackClub.objects.exists()
    done = client.post("/rack/import/", {"text": TABLE, "hand": "left", "place": "bay 2", "confirm": "1"})
    assert done["Location"] == "/rack/"
    iron = RackClub.objects.get(name="7 iron")
    assert (iron.hand, iron.place, iron.kind, iron.loft_deg, iron.shaft_flex) == (
        "left",
        "bay 2",
        "iron",
        31.5,
        "R",
    )
    assert iron.length_m == pytest.approx(0.94)
    assert RackClub.objects.count() == 2
    assert AuditEntry.objects.filter(action="rack clubs added", account=account).count() == 1


@pytest.mark.parametrize("sent", [{"hand": ""}, {"hand": "both"}, {"text": ""}, {"text": "x" * 300_000}])
def test_a_table_without_a_hand_or_without_clubs_stores_nothing(
    client: Client, db: None, sent: dict[str, str]
) -> None:
    answer = client.post("/rack/import/", {"text": TABLE, "hand": "left", "confirm": "1", **sent})
    assert answer.status_code == 422
    assert 'role="alert"' in answer.content.decode()
    assert not RackClub.objects.exists()


def test_who_has_a_club_is_known_one_by_one(account: Account) -> None:
    club = demo(in_stock=2)
    rack.lend(account, club, "Ann; and Ben")
    rack.lend(account, club, "Cleo")
    club.refresh_from_db()
    assert rack.borrowers(club) == ("Ann, and Ben", "Cleo")
    rack.take_back(account, club, "Cleo")
    club.refresh_from_db()
    assert (rack.borrowers(club), club.free) == (("Ann, and Ben",), 1)
    rack.take_back(account, club)
    with pytest.raises(InputError, match="None of them is lent"):
        rack.take_back(account, club)
    club.refresh_from_db()
    assert (rack.borrowers(club), club.free, club.version) == ((), 2, 5)


def test_more_lent_than_there_are_is_refused_on_the_page(client: Client, db: None) -> None:
    sent = {"name": "52 wedge", "kind": "wedge", "hand": "left", "in_stock": "1", "lent": "2"}
    answer = client.post("/rack/new/", sent)
    assert answer.status_code == 422
    assert not RackClub.objects.exists()


def test_fields_that_are_no_fields_of_the_form_change_nothing(client: Client, db: None) -> None:
    sent = {"name": "52 wedge", "kind": "wedge", "hand": "left", "in_stock": "1", "lent": "0", "retired_at": "2020-01-01", "id": "77", "use": "[1]",
            "created_at": "2020-01-01"}  # fmt: skip
    assert client.post("/rack/new/", {**sent, "version": "9"}).status_code == 302
    club = RackClub.objects.get()
    assert (club.pk == 77, club.retired_at, club.use, club.version) == (False, None, [], 1)
    assert (club.in_stock, club.lent) == (1, 0)
    del sent["in_stock"]
    assert client.post("/rack/new/", sent).status_code == 422, "how many there are is not guessed"


def test_two_people_change_one_demo_club(client: Client, db: None) -> None:
    club = demo()
    sent = {"name": "52 wedge", "kind": "wedge", "hand": "right", "in_stock": "1", "lent": "0", "place": "bay 1",
            "version": "1"}  # fmt: skip
    assert client.post(f"/rack/{club.pk}/", sent).status_code == 302
    answer = client.post(f"/rack/{club.pk}/", {**sent, "place": "bay 9"})
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "bay 9" in page
    assert "bay 1" in page
    club.refresh_from_db()
    assert club.place == "bay 1"


def test_a_club_off_the_rack_is_not_offered_and_can_come_back(client: Client, account: Account) -> None:
    club = demo()
    client.post(f"/rack/{club.pk}/", {"retire": "1"})
    assert "52 wedge" not in client.get("/rack/").content.decode()
    assert "52 wedge" in client.get("/rack/?retired=1").content.decode()
    player = Player.objects.create(coach=account, name="Robin Example", hand="right")
    assert client.post(f"/players/{player.pk}/rack/{club.pk}/").status_code == 404
    client.post(f"/rack/{club.pk}/", {"retire": "1"})
    assert "52 wedge" in client.get("/rack/").content.decode()


def test_the_list_is_filtered_and_says_what_a_hand_lacks(client: Client, db: None) -> None:
    demo(name="right wedge")
    demo(name="right driver", kind="driver")
    demo("left", name="left driver", kind="driver", lent=1, lent_to="Ann")
    page = client.get("/rack/").content.decode()
    assert "Nothing free for left-handers: Driver, Wedge." in page.replace("driver, wedge", "Driver, Wedge")
    assert "look at head, sleeve, shaft and grip" in page
    wedges = client.get("/rack/?kind=wedge&hand=right").content.decode()
    assert "right wedge" in wedges
    assert "right driver" not in wedges
    assert client.get("/rack/?kind=%27&hand=x").status_code == 200


def test_a_club_is_to_be_looked_over_after_ninety_days(client: Client, db: None) -> None:
    today = datetime.date(2026, 5, 1)
    ages = [None, 0, 90, 91]
    clubs = [demo(checked_on=None if age is None else today - datetime.timedelta(days=age)) for age in ages]
    assert [row.look_over for row in rack.rows(clubs, today)] == [True, False, False, True]
    client.post(f"/rack/{clubs[0].pk}/", {"checked": "1"})
    clubs[0].refresh_from_db()
    assert clubs[0].checked_on is not None


def test_words_for_sides_hold_for_every_typed_line_here(client: Client, visit: Visit) -> None:
    from bagwright.bay.entering import form_of

    answer = client.post("/settings/", {**SETTINGS, "left_words": "W, west", "right_words": "E, east"})
    assert answer.status_code == 302
    typed = parse_line("90 2W 77", form_of(visit, "yards", "en"))
    assert typed.values["offline_m"] == pytest.approx(-2 * 0.9144)
    assert parse_line("90 2east 77", form_of(visit, "yards", "en")).values["offline_m"] > 0


@pytest.mark.parametrize(
    "wrong",
    [
        {"left_words": "L, R"},
        {"left_words": "1"},
        {"left_words": "heavy"},
        {"left_words": ""},
        {"left_words": "a,b,c,d,e,f,g"},
        {"step_rules": "10-7"},
        {"step_rules": "ten"},
        {"step_rules": "0-90"},
        {"step_rules": "nan-inf"},
        {"units": "furlongs"},
        {"language": "xx"},
        {"paper": "a0"},
        {"shop_name": "x" * 101},
        {"shop_name": "\u202eyaB"},
        {"seller_interest": "x" * 501},
    ],
)
def test_settings_that_cannot_be_are_refused_and_what_was_typed_stays(
    client: Client, db: None, wrong: dict[str, str]
) -> None:
    answer = client.post("/settings/", {**SETTINGS, "shop_name": "Typed here", **wrong})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert 'role="alert"' in page
    assert "Typed here" in page or "shop_name" in wrong
    assert not ShopSettings.objects.exists()


def test_even_steps_of_the_shop_are_at_hand(client: Client, db: None) -> None:
    assert shopping.steps() is None
    client.post("/settings/", {**SETTINGS, "step_rules": "8-12 %"})
    rules = shopping.steps()
    assert rules is not None
    assert (rules.even_low, rules.even_high) == pytest.approx((0.08, 0.12))


def test_looking_at_the_settings_stores_nothing(client: Client, account: Account) -> None:
    assert client.get("/settings/").status_code == 200
    assert not ShopSettings.objects.exists()


def test_one_s_own_units_and_language_win_over_the_shop_s(client: Client, account: Account) -> None:
    client.post("/settings/", {**SETTINGS, "units": "metres"})
    client.post(
        "/settings/", {"own": "1", "units": "yards", "language": "en", "role": "workshop", "name": "eve"}
    )
    account.refresh_from_db()
    assert (account.units, account.language, account.role, account.name) == (
        "yards",
        "en",
        "owner",
        "this machine",
    )
    assert client.post("/settings/", {"own": "1", "units": "ells"}).status_code == 422


def upload(client: Client, content: bytes, name: str = "logo.png") -> int:
    picture = SimpleUploadedFile(name, content, content_type="image/png")
    return client.post("/settings/", {"logo": "1", "picture": picture}).status_code


JPEG = b"\xff\xd8\xff\xe0\x00\x04ab\xff\xc0\x00\x0b\x08\x00\x20\x00\x40\x01\x01\x11\x00\xff\xda\x00\x02data\xff\xd9"


@pytest.mark.parametrize(
    ("content", "kind"),
    [
        (png(120, 40), "png"),
        (JPEG, "jpeg"),
        (JPEG + b"<?php", "jpeg"),
        (png(120, 40)[:-20], None),
        (png(120, 40, rows=39), None),
        (png(120, 40, rows=4000), None),
        (png(120, 40).replace(b"IDAT", b"IDAU"), None),
        (JPEG[:-2], None),
        (b"\xff\xd8\xff\xff\xff\xff\xff", None),
        (b"GIF89a", None),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", None),
        (b"", None),
        (b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", b"\0" * 13), None),
        (b"\x89PNG\r\n\x1a\n" + b"\xff" * 100, None),
    ],
)
def test_a_logo_is_a_whole_picture_or_none(
    client: Client, db: None, content: bytes, kind: str | None
) -> None:
    status = upload(client, content, "../../evil.svg")
    row = shopping.settings_row()
    if kind is None:
        assert status == 422
        assert row.logo is None
        return
    assert status == 302
    assert row.logo_kind == kind
    assert b"php" not in bytes(row.logo or b"")
    answer = client.get("/settings/logo/")
    assert answer["Content-Type"] == f"image/{kind}"
    client.post("/settings/", {"no_logo": "1"})
    assert client.get("/settings/logo/").status_code == 404


def test_no_picture_chosen_is_said_and_the_logo_stays(client: Client, db: None) -> None:
    upload(client, png(10, 10))
    assert client.post("/settings/", {"logo": "1"}).status_code == 422
    assert shopping.settings_row().logo_kind == "png"


def test_the_shop_s_even_step_decides_what_is_even(
    client: Client, visit: Visit, candidates: list[Club], add_shots: Callable[..., list[ShotRecord]]
) -> None:
    """The same balls, another step of the shop's: the papers' distances are computed with it at once."""
    from bagwright.bay.board import state_of
    from bagwright.bay.reporting import distances_of

    for i, (name, carry_m) in enumerate(
        (("Pitching wedge", 110.0), ("Gap wedge", 98.0), ("Sand wedge", 88.0))
    ):
        add_shots(visit, visit.player.clubs.get(name=name), 8, carry_m, seed=i)
    state = state_of(visit, "metres")
    usual = distances_of(state)
    client.post("/settings/", {**SETTINGS, "step_rules": "30-40"})
    wide = distances_of(state)
    assert [s.longer for s in usual.steps] == [s.longer for s in wide.steps]
    assert [s.word for s in usual.steps] != [s.word for s in wide.steps]


def test_a_demo_club_lent_to_this_player_can_be_tried_though_none_is_free(
    client: Client, account: Account, player: Player, left_player: Player
) -> None:
    """Its loft is told beside it; for anybody else it is not free."""
    club = demo(loft_deg=52.5, shaft="steel 110")
    rack.lend(account, club, player.name.upper())
    page = client.get(f"/players/{player.pk}/bag/").content.decode()
    assert "52.5°" in page
    assert "lent to this player" in page
    assert client.post(f"/players/{player.pk}/rack/{club.pk}/").status_code == 302
    assert player.clubs.get(rack=club).status == "candidate"
    other = Player.objects.create(coach=account, name="Sam Example", hand="right")
    page = client.get(f"/players/{other.pk}/bag/").content.decode()
    assert "lent to this player" not in page
    assert f"lent to {player.name.upper()}" in page
    assert client.post(f"/players/{other.pk}/rack/{club.pk}/").status_code == 400
    assert "52.5°" in client.get("/rack/").content.decode()


def test_a_machine_without_accounts_has_one_form_for_units_and_language(
    client: Client, account: Account
) -> None:
    Account.objects.filter(pk=account.pk).update(units="metres", language="de")
    page = client.get("/settings/").content.decode()
    assert 'name="own"' not in page
    assert '<option value="metres" selected>' in page, "what counts now is shown"
    client.post("/settings/", {**SETTINGS, "units": "yards", "language": "en"})
    account.refresh_from_db()
    assert (account.units, account.language) == ("", "")
    assert "Players" in client.get("/players/").content.decode()
