"""The players' room: list, forms, one player, consent and guardians, who may see whom."""

from __future__ import annotations

import datetime
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from bagwright.bay import players
from bagwright.store.models import Account, AuditEntry, Club, Player, ShopSettings, Visit

HOSTILE = '"><script>alert(1)</script>'
RTL = "שרה לדוגמה"


def posted(**more: Any) -> dict[str, Any]:
    return {"name": "Alex Example", "hand": "right", "club_limit": "14", **more}


@pytest.fixture
def german(db: None) -> ShopSettings:
    return ShopSettings.objects.create(language="de", units="metres")


@pytest.mark.django_db
def test_an_empty_list_says_what_to_do(client: Client) -> None:
    text = client.get("/players/").content.decode()
    assert "No players yet" in text
    assert "/players/new/" in text


@pytest.mark.django_db
def test_a_search_finds_every_word_in_any_order_and_works_as_a_part(client: Client, player: Player) -> None:
    Player.objects.create(coach=player.coach, name="Özlem Muster", hand="left", handicap=-2.0)
    page = client.get("/players/?q=exam+ROB").content.decode()
    assert "Robin Example" in page
    assert "Özlem" not in page
    part = client.get("/players/?q=öz", headers={"HX-Request": "true"}).content.decode()
    assert "Özlem Muster" in part
    assert "<html" not in part
    assert "+2" in part
    assert "No player has" in client.get("/players/?q=nobody").content.decode()


@pytest.mark.django_db
def test_archived_players_are_apart_and_come_back(client: Client, player: Player) -> None:
    assert client.post(f"/players/{player.pk}/archive/", {"away": "1"}).status_code == 302
    assert "Robin" not in client.get("/players/", headers={"HX-Request": "1"}).content.decode()
    assert "Robin" in client.get("/players/?archived=1").content.decode()
    client.post(f"/players/{player.pk}/archive/", {"away": "0"})
    assert "Robin" in client.get("/players/").content.decode()
    assert client.get(f"/players/{player.pk}/archive/").status_code == 405


@pytest.mark.django_db
def test_a_page_of_many_players_takes_as_many_questions_as_one_of_few(
    client: Client, account: Account
) -> None:
    def questions() -> int:
        with CaptureQueriesContext(
            connection,
        ) as found:
            assert client.get("/players/").status_code == 200
        return len(found)

    def add(n: int) -> None:
        made = Player.objects.bulk_create(
            [Player(coach=account, name=f"Player {i:04}", hand="right") for i in range(n)]
        )
        Visit.objects.bulk_create([Visit(player=p, coach=account, started_at=timezone.now()) for p in made])

    add(2)
    few = questions()
    add(300)
    assert questions() == few
    text = client.get("/players/?page=2").content.decode()
    assert "Page 2 of 7" in text
    assert text.count("Go on with the visit") == players_a_page()


def players_a_page() -> int:
    from bagwright.web.views.players import A_PAGE

    return A_PAGE


@pytest.mark.django_db
def test_the_list_shows_the_open_visit_and_a_check_that_is_due(client: Client, visit: Visit) -> None:
    yesterday = timezone.localdate() - datetime.timedelta(days=1)
    Player.objects.filter(pk=visit.player_id).update(next_check_on=yesterday)
    text = client.get("/players/").content.decode()
    assert f"/visits/{visit.pk}/" in text
    assert ">due<" in text


@pytest.mark.django_db
def test_name_and_hand_are_enough(client: Client) -> None:
    answer = client.post("/players/new/", posted())
    player = Player.objects.get()
    assert answer["Location"] == f"/players/{player.pk}/bag/"
    assert (player.handicap, player.driver_speed_mps, player.height_m, player.born_in) == (None,) * 4
    assert AuditEntry.objects.filter(player=player, action="added").exists()


@pytest.mark.django_db
def test_figures_are_stored_in_si(client: Client) -> None:
    client.post("/players/new/", posted(height_m="5 ft 10 in", driver_speed_mps="100", wrist_to_floor_m="34"))
    player = Player.objects.get()
    assert player.height_m == pytest.approx(1.778)
    assert player.driver_speed_mps == pytest.approx(44.704)
    assert player.wrist_to_floor_m == pytest.approx(0.8636)


@pytest.mark.django_db
def test_a_german_reader_types_commas_and_centimetres(client: Client, german: ShopSettings) -> None:
    answer = client.post("/players/new/", posted(handicap="14,2", height_m="178,5", driver_speed_mps="160"))
    assert answer.status_code == 302, answer.content.decode()
    player = Player.objects.get()
    assert player.handicap == pytest.approx(14.2)
    assert player.height_m == pytest.approx(1.785)
    assert player.driver_speed_mps == pytest.approx(160 / 3.6)
    page = client.get(f"/players/{player.pk}/edit/").content.decode()
    assert 'value="14,2"' in page
    assert 'value="178,5"' in page


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("field", "typed", "told"),
    [
        ("name", "", "required"),
        ("hand", "", "required"),
        ("hand", "both", "valid choice"),
        ("handicap", "99", "between −12 and 60"),
        ("handicap", "nan", "number"),
        ("driver_speed_mps", "500", "between 20 and 160 mph"),
        ("driver_speed_mps", "fast", "not a quantity"),
        ("height_m", "178", "in."),
        ("born_in", "3000", "between 1900"),
        ("club_limit", "15", "between 1 and 14"),
        ("budget", "1.200", "thousands"),
        ("budget", "-5", "between 0"),
        ("consent_on", "2999-01-01", "future"),
        ("guardian", "x" * 201, "at most 200"),
        ("goals", "x" * 5_000, "at most 2000"),
        ("name", "x" * 5_000, "at most 200"),
        ("name", "a\x07b", "control"),
        ("name", "abc\u202egnp", "control"),
    ],
)
def test_what_cannot_be_used_is_said_beside_its_field(
    client: Client, field: str, typed: str, told: str
) -> None:
    answer = client.post("/players/new/", posted(**{field: typed}))
    text = answer.content.decode()
    assert answer.status_code == 422
    assert not Player.objects.exists()
    assert f'id="{field}-wrong"' in text
    assert told in text[text.index(f'id="{field}-wrong"') :][:300]
    assert 'aria-invalid="true"' in text


@pytest.mark.django_db
def test_a_handicap_better_than_scratch_has_a_plus(client: Client) -> None:
    client.post("/players/new/", posted(handicap="+2.4"))
    player = Player.objects.get()
    assert player.handicap == pytest.approx(-2.4)
    assert 'value="+2.4"' in client.get(f"/players/{player.pk}/edit/").content.decode()
    client.post(f"/players/{player.pk}/edit/", posted(handicap="+2.4", version="1", ball="soft"))
    player.refresh_from_db()
    assert player.handicap == pytest.approx(-2.4)
    assert player.ball == "soft"


@pytest.mark.django_db
def test_saving_what_is_shown_changes_no_figure(client: Client, player: Player) -> None:
    Player.objects.filter(pk=player.pk).update(height_m=1.7777, driver_speed_mps=44.4444)
    form = client.get(f"/players/{player.pk}/edit/").context["form"]
    data = {name: form[name].value() for name in form.fields if form[name].value() is not None}
    data = {name: value for name, value in data.items() if value is not False} | {"ball": "soft"}
    for name in ("height_m", "driver_speed_mps"):
        data[name] = form.fields[name].prepare_value(data[name])
    assert client.post(f"/players/{player.pk}/edit/", data).status_code == 302
    player.refresh_from_db()
    assert (player.height_m, player.driver_speed_mps, player.ball) == (1.7777, 44.4444, "soft")


@pytest.mark.django_db
def test_two_who_change_one_player_both_keep_what_they_typed(client: Client, player: Player) -> None:
    first = posted(name="Robin Example", handicap="14", version="1", goals="a steeper wedge")
    assert client.post(f"/players/{player.pk}/edit/", first).status_code == 302
    late = posted(name="Robin Example", handicap="12", version="1", goals="more carry")
    answer = client.post(f"/players/{player.pk}/edit/", late)
    text = answer.content.decode()
    assert answer.status_code == 409
    assert "more carry" in text
    assert "a steeper wedge" in text
    assert 'name="version" value="2"' in text
    player.refresh_from_db()
    assert (player.handicap, player.goals) == (14.0, "a steeper wedge")
    assert client.post(f"/players/{player.pk}/edit/", {**late, "version": "2"}).status_code == 302
    player.refresh_from_db()
    assert (player.handicap, player.goals, player.version) == (12.0, "more carry", 3)


@pytest.mark.django_db
@pytest.mark.parametrize("words", [HOSTILE, RTL, "O'Neil & Söhne <b>", "{{ 7|add:7 }}{% now 'Y' %}"])
def test_hostile_and_foreign_words_stand_as_text(client: Client, words: str) -> None:
    client.post("/players/new/", posted(name=words, goals=words, injury=words, consent_by=words,
                                        consent_on="2026-01-05"))  # fmt: skip
    player = Player.objects.get()
    assert player.name == words
    for path in ("/players/", f"/players/{player.pk}/", f"/players/{player.pk}/edit/",
                 f"/players/{player.pk}/bag/", f"/players/?q={words}"):  # fmt: skip
        text = client.get(path).content.decode()
        assert "<script>alert" not in text
        assert "Söhne <b>" not in text
        assert "1414" not in text


@pytest.mark.django_db
@pytest.mark.parametrize("page", ["0", "-1", "99999", "x", "1e9", "\u0663"])
def test_no_page_number_breaks_the_list(client: Client, player: Player, page: str) -> None:
    assert client.get("/players/", {"page": page, "q": "\0rob"}).status_code == 200


@pytest.mark.django_db
def test_no_visit_starts_without_consent_or_a_minor_s_guardian(client: Client, player: Player) -> None:
    def start() -> int:
        return client.post(f"/players/{player.pk}/visits/new/", {"kind": "fitting"}).status_code

    assert start() == 400
    assert 'value="fitting"' not in client.get(f"/players/{player.pk}/").content.decode()
    Player.objects.filter(pk=player.pk).update(
        consent_on=timezone.localdate(), consent_by="Robin Example", born_in=timezone.localdate().year - 15
    )
    assert start() == 400
    assert "guardian" in client.get(f"/players/{player.pk}/").content.decode()
    assert not Visit.objects.exists()
    Player.objects.filter(pk=player.pk).update(guardian="Kim Example")
    assert 'value="fitting"' in client.get(f"/players/{player.pk}/").content.decode()
    assert start() == 302
    assert Visit.objects.get().kind == "fitting"
    assert client.get(f"/players/{player.pk}/visits/new/").status_code == 405
    assert client.post(f"/players/{player.pk}/visits/new/", {"kind": "party"}).status_code == 400


@pytest.mark.django_db
def test_consent_has_a_day_and_a_name(client: Client) -> None:
    assert client.post("/players/new/", posted(consent_on="2026-01-05")).status_code == 422
    assert client.post("/players/new/", posted(consent_by="Alex")).status_code == 422
    assert client.post("/players/new/", posted(consent_by="Alex", consent_on="2026-01-05")).status_code == 302


@pytest.mark.parametrize(("years", "minor"), [(12, True), (18, True), (19, False), (70, False)])
def test_who_may_still_be_a_minor(years: int, minor: bool) -> None:
    day = datetime.date(2026, 5, 1)
    assert players.is_minor(Player(born_in=day.year - years), day) is minor
    assert not players.is_minor(Player(), day)


@pytest.mark.django_db
def test_one_player_s_page_tells_bag_visits_and_cautions(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    visit.decisions.create(outcome="accept", choice=candidates[1], reason="steeper", player_word="likes it")
    Player.objects.filter(pk=visit.player_id).update(injury="wrist", pain=True)
    text = client.get(f"/players/{visit.player_id}/").content.decode()
    assert "licensed practitioner" in text
    assert "accepted: 50 cavity" in text
    assert "9 clubs carried, at most 14" in text
    assert AuditEntry.objects.filter(player=visit.player, action="opened").count() == 1
