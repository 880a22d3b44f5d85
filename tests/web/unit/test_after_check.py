"""Check again: the gauge's page, two visits side by side, and how it ends club by club."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable

import pytest
from django.test import Client
from django.utils import timezone

from bagwright.bay import checking, visits
from bagwright.bay.errors import ChangedMeanwhileError
from bagwright.errors import InputError
from bagwright.store.models import (
    Account,
    AgreedBag,
    Club,
    ClubMeasurement,
    ClubOutcome,
    Player,
    ShotRecord,
    Visit,
)

AddShots = Callable[..., list[ShotRecord]]


@pytest.fixture
def check(visit: Visit, account: Account) -> Visit:
    """A check visit, 300 days after a fitting with range balls."""
    Player.objects.filter(pk=visit.player_id).update(consent_on=datetime.date.today())
    long_ago = timezone.now() - datetime.timedelta(days=300)
    Visit.objects.filter(pk=visit.pk).update(started_at=long_ago, ball="range")
    visit.refresh_from_db()
    made = visits.start_visit(Player.objects.get(pk=visit.player_id), account, "check")
    Visit.objects.filter(pk=made.pk).update(ball="premium", surface="mat", place="", adjusted="as measured")
    made.refresh_from_db()
    return made


@pytest.fixture
def iron(visit: Visit) -> Club:
    return visit.player.clubs.get(name="8 iron")


def line_of(check: Visit, club: Club) -> checking.Line:
    return next(line for line in checking.lines_of(check) if line.club.pk == club.pk)


def sent(check: Visit, club: Club, **values: str) -> dict[str, str]:
    """The fields of one club as the page of now sends them."""
    return {
        f"c{club.pk}-seen": line_of(check, club).seen,
        **{f"c{club.pk}-{name}": value for name, value in values.items()},
    }


@pytest.mark.django_db
def test_a_check_without_an_order_counts_no_balls_to_go(client: Client, check: Visit, visit: Visit) -> None:
    """ "0 to go" would read as finished; a fitting's order that is hit to its end says it."""
    assert "balls to go" not in client.get(f"/visits/{check.pk}/bay/").content.decode()
    assert "balls to go" in client.get(f"/visits/{visit.pk}/bay/").content.decode()


@pytest.mark.django_db
def test_a_change_beyond_chance_is_told_with_what_may_explain_it(
    client: Client, visit: Visit, check: Visit, iron: Club, add_shots: AddShots
) -> None:
    assert "no earlier visit" in checking.compared(check).why_not
    add_shots(visit, iron, 10, 125.0)
    assert "No ball was hit" in checking.compared(check).why_not
    add_shots(check, iron, 10, 105.0, seed=3)
    compared = checking.compared(check)
    assert ("Ball", "range", "premium") in [(d.what, d.then, d.now) for d in compared.differing]
    (change,) = compared.changes
    assert change.beyond > 0.9
    assert change.change_m.high < 0.0
    page = client.get(f"/visits/{check.pk}/check/compare/").content.decode()
    assert "range → premium" in page
    assert "8 iron" in page
    assert line_of(check, iron).advice.outcome == "retest"


@pytest.mark.django_db
def test_balls_taken_back_and_later_visits_are_no_earlier_visit(
    visit: Visit, check: Visit, iron: Club, add_shots: AddShots
) -> None:
    add_shots(visit, iron, 3, 125.0)
    visit.shots.update(undone_at=timezone.now())
    assert checking.earlier_visits(check) == []
    after = Visit.objects.create(player=check.player, started_at=timezone.now() + datetime.timedelta(days=9))
    add_shots(after, iron, 3, 125.0)
    assert checking.earlier_of(check) is None


@pytest.mark.django_db
def test_the_agreed_bag_can_be_held_against_and_another_player_s_cannot(
    client: Client, visit: Visit, check: Visit, iron: Club, left_player: Player, add_shots: AddShots
) -> None:
    add_shots(visit, iron, 10, 125.0)
    rows = [{"club": "8 iron", "carry_m": 125.0, "low_m": 122.0, "high_m": 128.0}, {"club": "gone"}]
    agreed = AgreedBag.objects.create(player=check.player, visit=visit, clubs=[], distances=rows)
    theirs = AgreedBag.objects.create(player=left_player, clubs=[], distances=rows)
    for bag in (agreed, theirs):
        AgreedBag.objects.filter(pk=bag.pk).update(made_at=visit.started_at)
    assert "No ball was hit" in checking.compared(check, f"bag-{agreed.pk}").why_not
    add_shots(check, iron, 10, 112.0, seed=3)
    found = checking.compared(check, f"bag-{agreed.pk}")
    (change,) = found.changes
    assert found.agreed == agreed
    assert change.before_m.value == 125.0
    assert (change.spread, change.n_before) == (None, None)
    assert checking.compared(check, f"bag-{theirs.pk}").before == visit, "another's is not offered"
    page = client.get(f"/visits/{check.pk}/check/compare/?with=bag-{agreed.pk}").content.decode()
    assert "agreed bag" in page
    assert client.get(f"/visits/{check.pk}/check/compare/?with=%00x").status_code == 200


@pytest.mark.django_db
def test_weather_is_named_where_it_is_further_apart_than_matters(visit: Visit, check: Visit) -> None:
    """1 % of the density of air is about 3 K or 85 m (ideal gas, standard atmosphere)."""
    visit.temperature_k, check.temperature_k = 293.15, 294.15
    assert "Air" not in [d.what for d in checking.differing_between(visit, check)]
    visit.temperature_k, check.temperature_k = 283.15, 303.15
    told = {d.what: (d.then, d.now) for d in checking.differing_between(visit, check)}
    assert told["Temperature"] == ("10 °C", "30 °C")
    assert "Air" in told
    check.temperature_k = None
    assert {d.what: d.now for d in checking.differing_between(visit, check)}["Temperature"] == ""


@pytest.mark.django_db
def test_the_gauge_s_page_keeps_measures_flags_them_and_takes_them_back(
    client: Client, check: Visit, iron: Club
) -> None:
    address = f"/visits/{check.pk}/check/"
    assert client.post(address, sent(check, iron, loft_deg="33,5", grip_state="worn")).status_code == 302
    line = line_of(check, iron)
    assert line.now is not None
    assert (line.now.loft_deg, line.loft.off, line.loft.out) == (33.5, -1.5, True)
    assert line.advice.outcome == "bend back"
    page = client.get(address).content.decode()
    assert "1.5° stronger" in page.replace("\n", " ").replace("1.5°  ", "1.5° ")
    assert client.post(address, sent(check, iron, loft_deg="34.8")).status_code == 302
    assert check.measurements.count() == 1, "measured again in one visit is one measure"
    line = line_of(check, iron)
    assert (line.loft.out, line.now and line.now.grip_state) == (False, "")
    assert client.post(address, sent(check, iron, loft_deg="")).status_code == 302
    assert line_of(check, iron).now is None or line_of(check, iron).seen == "|||"
    assert client.post(address, sent(check, iron, loft_deg="330")).status_code == 422
    assert client.post(address, sent(check, iron, grip_state="eaten")).status_code == 422


@pytest.mark.django_db
def test_an_old_page_neither_wipes_nor_overwrites_what_a_colleague_measured(
    client: Client, check: Visit, iron: Club
) -> None:
    address = f"/visits/{check.pk}/check/"
    wedge = check.player.clubs.get(name="Sand wedge")
    old_page = {**sent(check, iron, loft_deg=""), **sent(check, wedge, loft_deg="55")}
    checking.measure(None, check, iron.pk, {"loft_deg": 34.0})
    assert client.post(address, old_page).status_code == 302
    now = line_of(check, iron).now
    assert now is not None
    assert now.loft_deg == 34.0, "an untouched row is left alone"
    typed = checking.Typed(iron.pk, {"loft_deg": 36.0}, "|||")
    with pytest.raises(ChangedMeanwhileError, match="8 iron"):
        checking.measure_all(None, check, [typed])
    same = checking.Typed(iron.pk, {"loft_deg": 34.0}, "|||")
    assert checking.measure_all(None, check, [same]) == 1, "both say the same: nothing is in the way"
    assert client.post(address, {}).status_code == 302, "a page without rows changes nothing"
    assert ClubMeasurement.objects.count() == 2


@pytest.mark.django_db
def test_the_last_gauge_stands_beside_and_stands_in_where_the_bag_says_nothing(
    client: Client, visit: Visit, check: Visit, iron: Club
) -> None:
    Club.objects.filter(pk=iron.pk).update(loft_deg=None, stamped_loft_deg=30.0)
    ClubMeasurement.objects.create(
        club=iron, visit=visit, measured_on=visit.started_at.date(), loft_deg=35.0, lie_angle_deg=62.0
    )
    assert "last gauge" not in client.get(f"/visits/{visit.pk}/check/").content.decode()
    line = line_of(check, iron)
    assert (line.loft.was, line.loft.off) == (35.0, None)
    assert "last gauge" in client.get(f"/visits/{check.pk}/check/").content.decode()
    client.post(f"/visits/{check.pk}/check/", sent(check, iron, loft_deg="33"))
    assert line_of(check, iron).advice.outcome == "bend back"


@pytest.mark.django_db
def test_the_professional_decides_takes_back_and_sets_the_next_day(
    client: Client, check: Visit, iron: Club, left_player: Player
) -> None:
    address = f"/visits/{check.pk}/check/outcome/"
    wood = check.player.clubs.get(name="5 wood")
    both = {f"outcome-{iron.pk}": "bend back", f"reason-{iron.pk}": "1 degree", f"outcome-{wood.pk}": "keep"}
    said = client.post(address, both, follow=True).content.decode()
    assert "Kept for 2 clubs." in said
    assert "✓ bend back" in said
    kept = {one.club_id: (one.outcome, one.reason) for one in ClubOutcome.objects.all()}
    assert kept == {iron.pk: ("bend back", "1 degree"), wood.pk: ("keep", "")}
    assert "Kept for 0 clubs." in client.post(address, both, follow=True).content.decode()
    assert (
        "Kept for 1 club."
        in client.post(address, {**both, f"reason-{wood.pk}": "fine"}, follow=True).content.decode()
    )
    client.post(address, {"back": iron.pk})
    client.post(address, {"back": wood.pk})
    assert not ClubOutcome.objects.exists()
    theirs = Club.objects.create(player=left_player, name="theirs", kind="iron")
    for club, outcome in ((theirs.pk, "keep"), (iron.pk, "sell"), ("x", "keep"), ("9" * 400, "keep")):
        refused = client.post(address, {f"outcome-{club}": outcome, f"outcome-{wood.pk}": "keep"})
        assert refused.status_code == 400
        assert not ClubOutcome.objects.exists(), "all or none"
    with pytest.raises(InputError, match="cannot be seen"):
        checking.settle(None, check, iron.pk, "keep", "a\x00b")
    day = timezone.localdate() + datetime.timedelta(days=200)
    client.post(address, {"next_check": day.isoformat()})
    assert Player.objects.get(pk=check.player_id).next_check_on == day
    assert client.post(address, {"next_check": "yesterday"}).status_code == 400


@pytest.mark.django_db
def test_a_bag_without_clubs_and_a_visit_without_balls_say_what_is_next(
    client: Client, left_player: Player
) -> None:
    bare = Visit.objects.create(player=left_player, kind="check", started_at=timezone.now())
    for page, words in (
        ("check/", "Nothing is carried yet"),
        ("check/compare/", "no earlier visit"),
        ("check/outcome/", "Nothing is carried yet"),
        ("delivery/", "No club was decided on yet"),
        ("delivery/compare/", "No built club was accepted yet"),
    ):
        answer = client.get(f"/visits/{bare.pk}/{page}")
        assert answer.status_code == 200
        assert words in answer.content.decode()


@pytest.mark.django_db
def test_a_club_that_nobody_looked_at_is_not_said_to_be_kept(
    client: Client, check: Visit, iron: Club
) -> None:
    address = f"/visits/{check.pk}/check/outcome/"
    assert line_of(check, iron).unknown
    html = client.get(address).content.decode()
    assert "Not measured, and not hit in both visits." in html
    assert "Nothing measured speaks against it" not in html
    assert not re.search(r'value="keep"[^>]* checked', html), "nothing is chosen for the professional"
    client.post(f"/visits/{check.pk}/check/", sent(check, iron, loft_deg="35"))
    assert not line_of(check, iron).unknown, "35 as it was: now it is known"
    assert re.search(r'value="keep"[^>]* checked', client.get(address).content.decode())
    Club.objects.filter(pk=iron.pk).update(grip_age_months=40.0)
    assert line_of(check, iron).advice.outcome == "regrip"
    assert not line_of(check, iron).unknown
    assert client.post(address, {f"reason-{iron.pk}": "x"}).status_code == 400
