"""Delivery, check, the record of one's own ranges, and the player's link."""

from __future__ import annotations

import datetime
from collections.abc import Callable

import pytest
from django.test import Client
from django.utils import timezone
from pytest_django import Settings

from bagwright.bay import checking, delivering, entering, handing, links, predicting, visits
from bagwright.errors import InputError
from bagwright.store.models import (
    Account,
    AuditEntry,
    Club,
    Decision,
    Delivery,
    Paper,
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
    asked = client.post(f"/visits/{later.pk}/delivery/", sent)
    assert asked.status_code == 422
    html = asked.content.decode()
    assert "Accept it although it is out of tolerance?" in html
    assert "wanted 50.0°, built 51.2°" in html
    assert 'value="51,2"' in html, "what was typed stays"
    assert not Delivery.objects.exists()
    sent["despite"] = "The player likes it as it is."
    assert client.post(f"/visits/{later.pk}/delivery/", sent).status_code == 302
    stored = Delivery.objects.get()
    assert (stored.despite, stored.despite_why, stored.made_by) == (
        ["loft_deg"], "The player likes it as it is.", later.coach,
    )  # fmt: skip
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
    assert delivering.against_tested(later) == []
    delivering.deliver(None, later, candidates[1], {"loft_deg": 50.0}, accepted=True, note="")
    (found,) = delivering.against_tested(later)
    assert "not hit yet" in found.why_not
    built = Club.objects.get(made_from=candidates[1])
    add_shots(later, built, 8, 92.0)
    (found,) = delivering.against_tested(later)
    assert "never hit" in found.why_not
    add_shots(later, candidates[1], 8, 92.0, seed=2)
    (found,) = delivering.against_tested(later)
    assert found.change is not None
    assert found.same is not None
    assert found.change.change_m.low < 0.0 < found.change.change_m.high


@pytest.mark.django_db
def test_the_tested_one_s_earlier_balls_stand_in_and_what_differs_is_named(
    client: Client, later: Visit, visit: Visit, candidates: list[Club], add_shots: AddShots
) -> None:
    visit.refresh_from_db()
    add_shots(visit, candidates[1], 8, 92.0, seed=4)
    Visit.objects.filter(pk=later.pk).update(ball="premium")
    later.refresh_from_db()
    delivering.deliver(None, later, candidates[1], {"loft_deg": 50.0}, accepted=True, note="")
    add_shots(later, Club.objects.get(made_from=candidates[1]), 8, 92.0)
    (found,) = delivering.against_tested(later)
    assert found.then == visit
    assert ("Ball", "", "premium") in [(d.what, d.then, d.now) for d in found.differing]
    assert found.more is None
    page = client.get(f"/visits/{later.pk}/delivery/compare/").content.decode()
    assert "was not hit today" in page
    assert "not said" in page


@pytest.mark.django_db
def test_the_newest_accepted_club_is_compared_and_no_other_build_of_it(
    later: Visit, candidates: list[Club], add_shots: AddShots
) -> None:
    """A setting that was changed on the tested club is made from it too, and is not the built one."""
    Club.objects.create(
        player=later.player, name="50 cavity, bent", kind="wedge", status="candidate", made_from=candidates[1]
    )
    first = delivering.deliver(
        None, later, candidates[1], {"loft_deg": 53.0}, accepted=True, note="", despite="meant"
    )
    again = delivering.deliver(None, later, candidates[1], {"loft_deg": 50.0}, accepted=True, note="")
    assert again.made == first.made, "measured again before a ball was hit: put right"
    assert again.made is not None
    assert Club.objects.get(pk=again.made.pk).loft_deg == 50.0
    add_shots(later, again.made, 3, 92.0)
    rebuilt = delivering.deliver(None, later, candidates[1], {"loft_deg": 50.4}, accepted=True, note="")
    assert rebuilt.made is not None
    assert rebuilt.made.name == "50 cavity (built 2)", "a club that was hit is not overwritten"
    assert Club.objects.get(pk=again.made.pk).loft_deg == 50.0
    (found,) = delivering.against_tested(later)
    assert found.built == "50 cavity (built 2)"
    assert rebuilt.made not in delivering.ordered(later)


@pytest.mark.django_db
def test_the_parent_visit_s_club_comes_first_and_a_proposed_length_is_wanted(
    client: Client, later: Visit, candidates: list[Club]
) -> None:
    other = Visit.objects.create(player=later.player, started_at=timezone.now() - datetime.timedelta(days=9))
    Decision.objects.create(visit=other, outcome="accept", choice=candidates[2])
    assert [club.name for club in delivering.ordered(later)][:2] == ["50 cavity", "51 blade"]
    Club.objects.filter(pk=candidates[1].pk).update(proposed=[["length_in", "36", "taller"]])
    candidates[1].refresh_from_db()
    assert delivering.wanted_of(candidates[1])["length_m"] == pytest.approx(36 * 0.0254)
    page = client.get(f"/visits/{later.pk}/delivery/").content.decode()
    assert "wanted 36.00\u00a0in" in page or "wanted 36\u00a0in" in page
    assert "± 0.5°" in page
    assert "± 1/16\u00a0in (1.6\u00a0mm)" in page


@pytest.mark.django_db
def test_metres_and_a_decimal_comma_for_a_left_hander(
    client: Client, left_player: Player, account: Account
) -> None:
    account.language, account.units = "de", "metres"
    account.save()
    club = Club.objects.create(
        player=left_player, name="50 links", kind="wedge", loft_deg=50.0, length_m=0.9, status="candidate"
    )
    visit = Visit.objects.create(player=left_player, kind="delivery", started_at=timezone.now())
    sent = {"club": club.pk, "loft_deg": "50,4", "length_m": "90,1", "accepted": "1"}
    assert client.post(f"/visits/{visit.pk}/delivery/", sent).status_code == 302
    (delivery,) = Delivery.objects.all()
    assert delivery.built["length_m"] == pytest.approx(0.901)
    assert {check.word for check in delivering.checks_of(delivery) if check.built} == {"within"}
    assert delivery.made is not None
    assert delivery.made.player == left_player


@pytest.mark.django_db
def test_what_cannot_be_stored_says_so_and_keeps_what_was_typed(
    client: Client, later: Visit, candidates: list[Club], left_player: Player
) -> None:
    address = f"/visits/{later.pk}/delivery/"
    theirs = Club.objects.create(player=left_player, name="theirs", kind="wedge")
    for club in ("", "999999", str(theirs.pk)):
        assert client.post(address, {"club": club, "loft_deg": "50", "accepted": "1"}).status_code == 400
    empty = client.post(address, {"club": candidates[1].pk, "accepted": "1", "note": "loose head"})
    assert empty.status_code == 422
    assert "Nothing was measured" in empty.content.decode()
    assert "loose head" in empty.content.decode()
    back = client.post(address, {"club": candidates[1].pk, "loft_deg": "53", "accepted": "0"})
    assert "needs to know why" in back.content.decode()
    far = client.post(address, {"club": candidates[1].pk, "loft_deg": "990", "accepted": "1"})
    assert far.status_code == 422
    assert 'aria-invalid="true"' in far.content.decode()
    hidden = {"club": candidates[1].pk, "loft_deg": "53", "accepted": "0", "note": "a\u202eb"}
    assert client.post(address, hidden).status_code == 422
    assert not Delivery.objects.exists()


@pytest.mark.django_db
@pytest.mark.parametrize(
    "page", ["delivery/", "delivery/compare/", "check/", "check/compare/", "check/outcome/", "link/"]
)
def test_a_stranger_s_visit_does_not_exist(settings: Settings, visit: Visit, page: str) -> None:
    settings.SHOP = True
    stranger = Account.objects.create_user("other coach", role="coach")
    client = Client()
    client.force_login(stranger)
    assert client.get(f"/visits/{visit.pk}/{page}").status_code == 404
    assert client.post(f"/visits/{visit.pk}/{page}", {"club": "1"}).status_code in (404, 405)


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
    assert (page["Cache-Control"], page["Referrer-Policy"]) == ("no-store", "no-referrer")
    assert "noindex" in page["X-Robots-Tag"]
    assert token not in str(list(visit.links.values())), "only the token's hash is kept"
    assert visit.links.get().opened_at is not None
    other = Visit.objects.create(player=visit.player, started_at=timezone.now())
    elsewhere = Paper.objects.create(visit=other, kind="report", content=b"%PDF", sha256="0" * 64)
    assert stranger.get(f"/for-you/{token}/{elsewhere.pk}/").status_code == 404, "that visit's papers only"
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


@pytest.mark.django_db
def test_the_bay_of_a_delivery_opens_with_the_built_club_and_its_papers_speak_of_it(
    client: Client, later: Visit, candidates: list[Club]
) -> None:
    hand_over = f"/visits/{later.pk}/hand-over/"
    assert "No built club was measured yet." in client.get(hand_over).content.decode()
    made = delivering.deliver(None, later, candidates[1], {"loft_deg": 50.0}, accepted=True, note="").made
    assert made is not None
    assert (made.name, Delivery.objects.get().despite) == ("50 cavity (built)", [])
    pad = entering.pad_of(later, "yards", "en")
    assert pad.club == made
    html = client.get(hand_over).content.decode()
    assert "50 cavity: built, measured and accepted." in html
    assert "Nothing is decided yet" not in html


@pytest.mark.django_db
def test_a_delivery_out_of_tolerance_says_so_where_it_is_handed_over(
    client: Client, later: Visit, candidates: list[Club]
) -> None:
    built = {"loft_deg": 53.0, "lie_angle_deg": 64.0}
    with pytest.raises(delivering.OutOfToleranceError):
        delivering.deliver(None, later, candidates[1], built, accepted=True, note="fine", despite="  ")
    assert not Delivery.objects.exists(), "nothing is stored before it was said"
    delivering.deliver(None, later, candidates[1], built, accepted=True, note="", despite="<i>meant</i>")
    html = client.get(f"/visits/{later.pk}/hand-over/").content.decode()
    assert "Out of tolerance:" in html
    assert "&lt;i&gt;meant&lt;/i&gt;" in html
    back = delivering.deliver(None, later, candidates[1], built, accepted=False, note="too weak")
    assert (back.despite, back.despite_why) == ([], "")


@pytest.mark.django_db
def test_a_delivery_entered_by_mistake_is_taken_back_with_its_club(
    client: Client, later: Visit, candidates: list[Club], add_shots: AddShots
) -> None:
    address = f"/visits/{later.pk}/delivery/"
    first = delivering.deliver(None, later, candidates[1], {"loft_deg": 50.0}, accepted=True, note="")
    again = delivering.deliver(None, later, candidates[1], {"loft_deg": 50.4}, accepted=True, note="")
    made = again.made
    assert made is not None
    assert first.made == made
    assert "Take it back" in client.get(address).content.decode()
    assert client.post(address, {"back": again.pk}).status_code == 302
    made.refresh_from_db()
    assert (made.loft_deg, made.removed_at) == (50.0, None), "as the first delivery had it"
    client.post(address, {"back": first.pk})
    made.refresh_from_db()
    assert made.removed_at is not None
    assert not Delivery.objects.exists()
    assert [one.club for one in later.candidates.all()] == [candidates[1]]
    kept = AuditEntry.objects.filter(action="delivery taken back").order_by("pk")
    assert [one.detail for one in kept] == [
        f"{candidates[1].pk} accepted: loft_deg=50.4", f"{candidates[1].pk} accepted: loft_deg=50.0",
    ]  # fmt: skip
    assert client.post(address, {"back": first.pk}).status_code == 400
    assert client.post(address, {"back": "x"}).status_code == 400


@pytest.mark.django_db
def test_a_built_club_that_was_hit_keeps_its_delivery(
    client: Client, later: Visit, candidates: list[Club], add_shots: AddShots
) -> None:
    there = delivering.deliver(None, later, candidates[1], {"loft_deg": 50.0}, accepted=True, note="")
    assert there.made is not None
    add_shots(later, there.made, 1, 92.0)
    said = client.post(f"/visits/{later.pk}/delivery/", {"back": there.pk})
    assert said.status_code == 400
    assert "its balls need it" in said.content.decode()
    assert Delivery.objects.get().made == there.made
    sent_back = delivering.deliver(None, later, candidates[2], {"loft_deg": 58.0}, accepted=False, note="why")
    client.post(f"/visits/{later.pk}/delivery/", {"back": sent_back.pk})
    assert Delivery.objects.get() == there


@pytest.fixture
def tested(later: Visit, candidates: list[Club]) -> Club:
    """The tested 50 cavity, carried between pitching and sand wedge as the fitting left it."""
    place = candidates[0].position
    Club.objects.filter(pk=candidates[0].pk).update(status="spare")
    Club.objects.filter(pk=candidates[1].pk).update(status="carried", position=place)
    candidates[1].refresh_from_db()
    return candidates[1]


def _places(visit: Visit) -> list[tuple[str, str, int]]:
    rows = visit.player.clubs.filter(removed_at__isnull=True)
    return list(rows.values_list("name", "status", "position"))


@pytest.mark.django_db
def test_an_accepted_built_club_takes_the_tested_one_s_place_until_it_is_taken_back(
    client: Client, later: Visit, tested: Club, visit: Visit, add_shots: AddShots
) -> None:
    """Common practice, no source: the bag holds what the player walks out with, which is the built club."""
    add_shots(visit, tested, 3, 92.0)
    before = _places(later)
    carried = [club.name for club in checking.clubs_of(later)]
    sent = {"club": tested.pk, "loft_deg": "52.1", "accepted": "1", "despite": "Likes it."}
    html = client.post(f"/visits/{later.pk}/delivery/", sent, follow=True).content.decode()
    assert "50 cavity (built) is carried now, in the place of 50 cavity, which keeps its balls." in html
    assert "took the place of 50 cavity in the bag" in html
    now = checking.clubs_of(later)
    assert [c.name for c in now] == [f"{n} (built)" if n == "50 cavity" else n for n in carried]
    assert {c.loft_deg for c in now if c.name == "50 cavity (built)"} == {52.1}, "a check holds against this"
    tested.refresh_from_db()
    assert (tested.status, tested.shots.count()) == ("candidate", 3)
    client.post(f"/visits/{later.pk}/delivery/", {"back": Delivery.objects.get().pk})
    assert _places(later) == before


@pytest.mark.django_db
def test_a_second_build_takes_the_first_one_s_place_and_a_changed_bag_is_left(
    client: Client, later: Visit, tested: Club, add_shots: AddShots
) -> None:
    first = delivering.deliver(None, later, tested, {"loft_deg": 50.0}, accepted=True, note="").made
    assert first is not None
    add_shots(later, first, 2, 92.0)
    second = delivering.deliver(None, later, tested, {"loft_deg": 50.3}, accepted=True, note="")
    assert second.made is not None
    states = dict(later.player.clubs.values_list("name", "status"))
    assert [states[n] for n in ("50 cavity", "50 cavity (built)", "50 cavity (built 2)")] == [
        "candidate", "spare", "carried",
    ]  # fmt: skip
    Club.objects.filter(pk=first.pk).update(status="former")
    html = client.post(f"/visits/{later.pk}/delivery/", {"back": second.pk}, follow=True).content.decode()
    assert "The place of 50 cavity (built) was changed meanwhile" in html
    first.refresh_from_db()
    assert first.status == "former"


@pytest.mark.django_db
def test_a_tested_club_that_is_not_carried_changes_no_bag_and_that_is_said(
    client: Client, later: Visit, candidates: list[Club]
) -> None:
    carried = checking.clubs_of(later)
    sent = {"club": candidates[1].pk, "loft_deg": "50", "accepted": "1"}
    html = client.post(f"/visits/{later.pk}/delivery/", sent, follow=True).content.decode()
    assert "50 cavity (built) is not carried" in html
    assert checking.clubs_of(later) == carried
