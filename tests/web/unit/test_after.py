"""Delivery, check, the record of one's own ranges, and the player's link."""

from __future__ import annotations

import datetime
from collections.abc import Callable

import pytest
from django.test import Client
from django.utils import timezone
from pytest_django import Settings

from bagwright.bay import checking, delivering, handing, links, predicting, visits
from bagwright.errors import InputError
from bagwright.store.models import (
    Account,
    Club,
    ClubOutcome,
    Decision,
    Delivery,
    Player,
    Prediction,
    ShotRecord,
    Visit,
)

AddShots = Callable[..., list[ShotRecord]]


@pytest.fixture
def later(visit: Visit, candidates: list[Club], account: Account) -> Visit:
    """A delivery visit after a fitting that accepted the 50 cavity."""
    Player.objects.filter(pk=visit.player_id).update(consent_on=datetime.date.today())
    Visit.objects.filter(pk=visit.pk).update(started_at=timezone.now() - datetime.timedelta(days=30))
    Club.objects.filter(pk=candidates[1].pk).update(lie_angle_deg=64.0, length_m=0.9017)
    Decision.objects.create(visit=visit, outcome="accept", choice=candidates[1])
    return visits.start_visit(Player.objects.get(pk=visit.player_id), account, "delivery")


@pytest.mark.django_db
def test_a_built_club_is_held_against_its_sheet_and_can_be_hit(
    client: Client, later: Visit, candidates: list[Club]
) -> None:
    page = client.get(f"/visits/{later.pk}/delivery/").content.decode()
    assert "50 cavity" in page
    sent = {
        "club": candidates[1].pk,
        "loft_deg": "51,2",
        "lie_angle_deg": "64",
        "length_m": "35.5",
        "accepted": "1",
    }
    assert client.post(f"/visits/{later.pk}/delivery/", sent).status_code == 302
    shown = client.get(f"/visits/{later.pk}/delivery/").content.decode()
    assert "out of tolerance" in shown
    assert "as wanted" in shown
    built = Club.objects.get(made_from=candidates[1])
    assert (built.name, built.loft_deg, built.status) == ("50 cavity (built)", 51.2, "candidate")
    assert {c.club_id for c in later.candidates.all()} == {candidates[1].pk, built.pk}


@pytest.mark.django_db
def test_a_club_sent_back_makes_none_and_nothing_measured_is_told(
    later: Visit, candidates: list[Club]
) -> None:
    delivering.deliver(None, later, candidates[1], {"loft_deg": 53.0}, accepted=False, note="too weak")
    assert Delivery.objects.get().accepted is False
    assert not Club.objects.filter(made_from=candidates[1]).exists()
    with pytest.raises(InputError, match="Nothing was measured"):
        delivering.deliver(None, later, candidates[1], {}, accepted=True, note="")


@pytest.mark.django_db
def test_the_built_club_against_the_tested_one(
    later: Visit, candidates: list[Club], add_shots: AddShots
) -> None:
    assert "No built club" in delivering.against_tested(later).why_not
    delivering.deliver(None, later, candidates[1], {"loft_deg": 50.0}, accepted=True, note="")
    assert "not hit yet" in delivering.against_tested(later).why_not
    built = Club.objects.get(made_from=candidates[1])
    add_shots(later, built, 8, 92.0)
    assert "never hit" in delivering.against_tested(later).why_not
    add_shots(later, candidates[1], 8, 92.0, seed=2)
    found = delivering.against_tested(later)
    assert found.change is not None
    assert found.same is not None
    assert found.change.change_m.low < 0.0 < found.change.change_m.high


@pytest.mark.django_db
def test_a_check_measures_compares_and_ends_club_by_club(
    client: Client, visit: Visit, candidates: list[Club], account: Account, add_shots: AddShots
) -> None:
    Player.objects.filter(pk=visit.player_id).update(consent_on=datetime.date.today())
    Visit.objects.filter(pk=visit.pk).update(
        started_at=timezone.now() - datetime.timedelta(days=300), ball="range"
    )
    visit.refresh_from_db()
    iron = visit.player.clubs.get(name="8 iron")
    add_shots(visit, iron, 10, 125.0)
    check = visits.start_visit(Player.objects.get(pk=visit.player_id), account, "check")
    Visit.objects.filter(pk=check.pk).update(ball="premium")
    check.refresh_from_db()
    assert "No ball was hit" in checking.compared(check).why_not
    add_shots(check, iron, 10, 105.0, seed=3)
    compared = checking.compared(Visit.objects.get(pk=check.pk))
    assert compared.differing == ("ball: range, now premium",)
    (change,) = compared.changes
    assert change.beyond > 0.9
    sent = {f"c{iron.pk}-loft_deg": "33,5", f"c{iron.pk}-grip_state": "worn"}
    assert client.post(f"/visits/{check.pk}/check/", sent).status_code == 302
    line = next(one for one in checking.lines_of(Visit.objects.get(pk=check.pk)) if one.club.pk == iron.pk)
    assert line.now is not None
    assert line.now.loft_deg == 33.5
    assert line.advice.outcome == "bend back"
    again = client.post(f"/visits/{check.pk}/check/", {f"c{iron.pk}-loft_deg": "34"})
    assert again.status_code == 302
    assert check.measurements.count() == 1, "measured again in one visit is one measure"
    client.post(
        f"/visits/{check.pk}/check/outcome/", {"club": iron.pk, "outcome": "bend back", "reason": "1 degree"}
    )
    assert ClubOutcome.objects.get().outcome == "bend back"
    client.post(f"/visits/{check.pk}/check/outcome/", {"club": iron.pk, "outcome": ""})
    assert not ClubOutcome.objects.exists()
    assert client.post(f"/visits/{check.pk}/check/", {f"c{iron.pk}-loft_deg": "330"}).status_code == 422


@pytest.mark.django_db
def test_reports_store_predictions_and_later_visits_mark_them(
    visit: Visit, candidates: list[Club], account: Account, add_shots: AddShots
) -> None:
    iron = visit.player.clubs.get(name="8 iron")
    add_shots(visit, iron, 12, 125.0)
    Visit.objects.filter(pk=visit.pk).update(started_at=timezone.now() - datetime.timedelta(days=60))
    visit.refresh_from_db()
    handing.hand_over(account, visit, ["report"], "yards")
    (one,) = Prediction.objects.filter(club=iron)
    assert one.low < 125.0 < one.high
    assert predicting.record(account) == ()
    later = Visit.objects.create(player=visit.player, started_at=timezone.now())
    add_shots(later, iron, 20, 125.0, seed=9)
    (line,) = predicting.record(account)
    assert (line.kind, line.balls) == ("iron", 20)
    assert line.inside >= 15
    assert line.word == "too few balls to tell"
    add_shots(later, iron, 30, 125.0, seed=10)
    (more,) = predicting.record(account)
    assert more.balls == 50
    assert more.word in ("as promised", "too wide"), "the same day's balls, so no day in between"


@pytest.mark.django_db
def test_a_link_opens_one_visit_s_papers_for_two_weeks(
    settings: Settings, visit: Visit, candidates: list[Club], account: Account, add_shots: AddShots
) -> None:
    add_shots(visit, candidates[0], 5, 90.0)
    handing.hand_over(account, visit, ["yardages"], "yards")
    token = links.make(account, visit)
    stranger = Client()
    assert stranger.get(f"/for-you/{token}/").status_code == 404, "in shop mode only"
    settings.SHOP = True
    page = stranger.get(f"/for-you/{token}/")
    assert page.status_code == 200
    assert "Robin" not in page.content.decode()
    paper = visit.papers.get()
    assert stranger.get(f"/for-you/{token}/{paper.pk}/").content.startswith(b"%PDF")
    assert stranger.get(f"/for-you/{'x' * 43}/").status_code == 404
    assert stranger.get(f"/for-you/{'x' * 43}/{paper.pk}/").status_code == 404
    visit.links.update(expires_at=timezone.now() - datetime.timedelta(seconds=1))
    assert stranger.get(f"/for-you/{token}/").status_code == 404
    visit.links.update(expires_at=timezone.now() + datetime.timedelta(days=1))
    links.revoke(account, visit, visit.links.get().pk)
    assert stranger.get(f"/for-you/{token}/{paper.pk}/").status_code == 404


@pytest.mark.django_db
def test_the_shop_s_logo_stands_on_the_report(
    visit: Visit, candidates: list[Club], add_shots: AddShots, account: Account
) -> None:
    """A picture of one pixel, made by hand (PNG, W3C 2003); the report with it differs and is a PDF still."""
    import base64

    from bagwright.bay import shopping

    pixel = base64.b64decode(
        "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg=="
    )
    add_shots(visit, candidates[0], 5, 90.0)
    plain = handing.make_paper(visit, "report", "yards")
    shopping.set_logo(account, pixel)
    shown = handing.make_paper(visit, "report", "yards")
    assert shown.content.startswith(b"%PDF-")
    assert shown.sha256 != plain.sha256
    assert handing.make_paper(visit, "report", "yards").sha256 == shown.sha256
