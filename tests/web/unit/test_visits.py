"""The way to the bay on its pages: intake, safety, brief, plan; units, hands, juniors, strangers."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable
from html import unescape

import pytest
from django.test import Client
from django.utils import timezone
from pytest_django import Settings

from bagwright.bay import briefing, cautions, following, planning, visits
from bagwright.bay.bags import take_from_rack
from bagwright.dispersion.fit import fit_dispersion
from bagwright.errors import InputError
from bagwright.store.convert import core_bag, core_table
from bagwright.store.models import Account, Candidate, Club, Player, RackClub, ShotRecord, Visit

pytestmark = pytest.mark.django_db


def text(client: Client, path: str, **headers: str) -> str:
    answer = client.get(path, headers=headers)
    assert answer.status_code == 200, answer.content.decode()
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())


def page(client: Client, path: str) -> str:
    return client.get(path).content.decode()


def agreed(player: Player) -> Player:
    Player.objects.filter(pk=player.pk).update(consent_on=datetime.date(2026, 5, 1), consent_by=player.name)
    return Player.objects.get(pk=player.pk)


# --- intake ----------------------------------------------------------------------------------------------


def test_what_was_so_last_time_says_so_beside_its_field(
    client: Client, visit: Visit, account: Account
) -> None:
    day = datetime.datetime(2026, 5, 12, 10, tzinfo=datetime.UTC)
    Visit.objects.filter(pk=visit.pk).update(started_at=day, place="Bay 2", temperature_k=285.0, wind_mps=3.0)
    new = visits.start_visit(agreed(visit.player), account, "fitting")
    html = page(client, f"/visits/{new.pk}/intake/")
    hint = re.search(r'id="place-hint">([^<]*)', html)
    assert hint is not None
    assert hint[1] == "From 12 May 2026."
    assert "20 °C at sea level is taken" in html, "what it costs not to say it"
    assert "From 12 May 2026." in (re.search(r'id="temperature_k-hint">([^<]*)', html) or [""])[0]
    assert "From 12 May" not in (re.search(r'id="wind_mps-hint">([^<]*)', html) or [""])[0]
    visits.acknowledge(new, "safety")
    assert "From 12 May" not in page(client, f"/visits/{new.pk}/intake/"), (
        "once it was gone through, it is today's"
    )


@pytest.mark.parametrize(("sent", "kept", "shown"), [("True", True, "indoors"), ("False", False, "outdoors")])
def test_the_roof_that_was_said_is_shown_again_and_offered(
    client: Client, visit: Visit, account: Account, sent: str, kept: bool, shown: str
) -> None:
    """Else saving the page once more would forget it."""
    chosen = rf'<option value="{sent}" selected>{shown}</option>'
    client.post(f"/visits/{visit.pk}/intake/", {"version": visit.version, "indoors": sent})
    assert Visit.objects.get(pk=visit.pk).indoors is kept
    assert chosen in page(client, f"/visits/{visit.pk}/intake/")
    new = visits.start_visit(agreed(visit.player), account, "fitting")
    assert chosen in page(client, f"/visits/{new.pk}/intake/")


@pytest.mark.parametrize(
    ("system", "sent", "kelvin", "altitude_m", "wind_mps"),
    [
        ("yards", {"temperature_k": "68", "altitude_m": "1000", "wind_mps": "10"}, 293.15, 304.8, 4.4704),
        ("metres", {"temperature_k": "20,5", "altitude_m": "300", "wind_mps": "18"}, 293.65, 300.0, 5.0),
        (
            "yards",
            {"temperature_k": "20,5", "temperature_k-unit": "C", "altitude_m": "300", "altitude_m-unit": "m",
             "wind_mps": "5", "wind_mps-unit": "m/s"},
            293.65, 300.0, 5.0,
        ),
        ("metres", {"temperature_k": "68 F", "temperature_k-unit": "C", "altitude_m": "1000 ft"}, 293.15, 304.8, None),
    ],
)  # fmt: skip
def test_numbers_come_in_the_reader_s_units_or_in_those_chosen(
    client: Client, visit: Visit, account: Account, system: str, sent: dict[str, str],
    kelvin: float, altitude_m: float, wind_mps: float | None,
) -> None:  # fmt: skip
    account.units = system
    account.language = "de" if system == "metres" else "en"
    account.save()
    answer = client.post(
        f"/visits/{visit.pk}/intake/", {"version": visit.version, "indoors": "false", **sent}
    )
    assert answer.status_code == 302, answer.content.decode()
    visit.refresh_from_db()
    assert visit.temperature_k == pytest.approx(kelvin)
    assert visit.altitude_m == pytest.approx(altitude_m)
    assert visit.wind_mps == (None if wind_mps is None else pytest.approx(wind_mps))


def test_pressure_by_the_unit_chosen(client: Client, visit: Visit) -> None:
    sent = {"version": visit.version, "pressure_pa": "29.92", "pressure_pa-unit": "inHg", "humidity": "60"}
    assert client.post(f"/visits/{visit.pk}/intake/", sent).status_code == 302
    visit.refresh_from_db()
    assert visit.pressure_pa == pytest.approx(101_320, rel=1e-4)
    assert 'value="1013.2"' in page(client, f"/visits/{visit.pk}/intake/")


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({"indoors": "true", "wind_mps": "10"}, "There is no wind indoors"),
        ({"temperature_k": "900"}, "expected −40 to 60"),
        ({"pressure_pa": "29"}, "expected 500 to 1100"),
        ({"altitude_m": "99999"}, "expected −500"),
        ({"humidity": "120"}, "100"),
        ({"place": "Bay\x07"}, "cannot be seen"),
        ({"surface": "lava"}, "lava"),
    ],
)
def test_what_cannot_be_is_said_beside_its_field(
    client: Client, visit: Visit, sent: dict[str, str], words: str
) -> None:
    answer = client.post(f"/visits/{visit.pk}/intake/", {"version": visit.version, **sent})
    assert answer.status_code == 422
    html = answer.content.decode()
    assert words in html
    assert 'aria-invalid="true"' in html
    assert next(iter(sent.values())) in html, "what was typed stays"
    visit.refresh_from_db()
    assert visit.version == 1


def test_a_number_typed_with_another_unit_comes_back_with_it(client: Client, visit: Visit) -> None:
    sent = {"version": visit.version, "temperature_k": "900", "temperature_k-unit": "C"}
    html = client.post(f"/visits/{visit.pk}/intake/", sent).content.decode()
    assert 'value="900"' in html
    assert re.search(r'<option value="C" selected>', html)


def test_set_up_words_follow_the_hand(
    client: Client,
    visit: Visit,
    left_player: Player,
    account: Account,
    bag_of: Callable[[Player], dict[str, Club]],
) -> None:
    right = text(client, f"/visits/{visit.pk}/intake/")
    assert "nobody stands to the right of the line" in right
    bag_of(left_player)
    left = visits.start_visit(agreed(left_player), account, "fitting")
    words = text(client, f"/visits/{left.pk}/intake/")
    assert "Nobody stands to the left of the line" in words
    assert "nobody stands to the right" not in words
    assert "side bias is shown as the player's or the set-up's" in words


def test_a_range_ball_is_minded(client: Client, visit: Visit) -> None:
    Visit.objects.filter(pk=visit.pk).update(ball="Range ball, hard")
    assert "A range ball: it flies shorter" in text(client, f"/visits/{visit.pk}/intake/")
    assert "Range balls fly shorter" in text(client, f"/visits/{visit.pk}/safety/")
    Visit.objects.filter(pk=visit.pk).update(ball="own ball")
    assert "Range balls fly shorter" not in text(client, f"/visits/{visit.pk}/safety/")


# --- safety ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("born_in", "pain", "numbers"),
    [
        (1990, False, "80 balls a visit, 6 flat-out a club and 18"),
        (1990, True, "40 a visit, 3 flat-out a club and 9"),
        (1950, False, "40 a visit, 3 flat-out a club and 9"),
        (None, False, "The year of birth is not noted"),
    ],
)
def test_limits_are_said_with_their_numbers(
    client: Client, visit: Visit, born_in: int | None, pain: bool, numbers: str
) -> None:
    Player.objects.filter(pk=visit.player_id).update(born_in=born_in, pain=pain)
    assert numbers in text(client, f"/visits/{visit.pk}/safety/")


def test_cautions_follow_the_place_and_are_read_once(client: Client, visit: Visit) -> None:
    path = f"/visits/{visit.pk}/safety/"
    for indoors, there, not_there in ((True, "rebounds", "lightning"), (False, "lightning", "rebounds")):
        Visit.objects.filter(pk=visit.pk).update(indoors=indoors)
        words = text(client, path)
        assert there in words
        assert not_there not in words
    Visit.objects.filter(pk=visit.pk).update(indoors=None)
    assert "rebounds" in text(client, path)
    assert "lightning" in text(client, path)
    assert "not read yet" in text(client, f"/visits/{visit.pk}/plan/")
    assert client.post(path).status_code == 302
    visit.refresh_from_db()
    first = visit.safety_at
    client.post(path)
    visit.refresh_from_db()
    assert visit.safety_at == first
    assert "not read yet" not in text(client, f"/visits/{visit.pk}/plan/")


def test_an_injury_is_minded_without_its_words(client: Client, visit: Visit) -> None:
    """The page may be seen by whoever stands beside: it says that something is noted, not what."""
    Player.objects.filter(pk=visit.player_id).update(injury="left knee, operated")
    words = text(client, f"/visits/{visit.pk}/safety/")
    assert "licensed practitioner" in words
    assert "knee" not in words


def test_a_junior_without_guardian_starts_no_visit_on_the_page(client: Client, account: Account) -> None:
    child = Player.objects.create(
        coach=account, name="Kim Example", hand="left", born_in=timezone.localdate().year - 11
    )
    before = Visit.objects.count()
    answer = client.post(f"/players/{child.pk}/visits/new/", {"kind": "fitting"})
    assert answer.status_code in (302, 400, 422)
    assert Visit.objects.count() == before
    Player.objects.filter(pk=child.pk).update(guardian="Parent", consent_on=datetime.date(2026, 1, 1))
    client.post(f"/players/{child.pk}/visits/new/", {"kind": "fitting"})
    new = Visit.objects.get(player=child)
    assert "A junior: a guardian is informed" in text(client, f"/visits/{new.pk}/safety/")


# --- brief -----------------------------------------------------------------------------------------------


def slot(client: Client, visit: Visit, **sent: str) -> int:
    visit.refresh_from_db()
    data = {"slot-form": "1", "version": visit.version, "measure": "", "spot_m": "", "width_m": "", **sent}
    return client.post(f"/visits/{visit.pk}/brief/", data).status_code


def test_a_driver_is_decided_by_carry_unless_said(client: Client, visit: Visit) -> None:
    driver = visit.player.clubs.get(name="Driver")
    Club.objects.create(player=visit.player, name="Driver B", kind="driver", loft_deg=9.5, status="candidate")
    assert slot(client, visit, where=str(driver.pk)) == 302
    visit.refresh_from_db()
    assert (visit.slot, visit.measure) == (driver, "carry")
    words = text(client, f"/visits/{visit.pk}/brief/")
    assert "Decided by carry, as is usual for a driver" in words
    assert "Driver B" in words
    assert "Gap wedge Chance" not in words
    assert slot(client, visit, where=str(driver.pk), measure="miss") == 302
    visit.refresh_from_db()
    assert visit.measure == "miss"
    assert "by carry is usual" in text(client, f"/visits/{visit.pk}/brief/")


def test_a_gap_between_two_clubs_is_a_slot(client: Client, visit: Visit) -> None:
    """Its spot lies midway between its neighbours, and no club that is far from it takes part."""
    Club.objects.filter(player=visit.player, name="Gap wedge").update(removed_at=timezone.now())
    Club.objects.create(player=visit.player, name="50 new", kind="wedge", loft_deg=50.0, status="candidate")
    Club.objects.create(player=visit.player, name="51 new", kind="wedge", loft_deg=51.0, status="candidate")
    gap = next(g for g in briefing.gaps(visit) if g.longer.name == "Pitching wedge")
    assert gap.shorter.name == "Sand wedge"
    assert slot(client, visit, where=gap.value) == 302
    visit.refresh_from_db()
    assert visit.slot is None
    assert visit.slot_words == "between Pitching wedge and Sand wedge"
    found = briefing.gap_of(visit)
    assert found is not None
    brief = briefing.brief_of(visit, "metres").brief
    assert brief is not None
    assert brief.longer is not None
    assert brief.shorter is not None
    middle = (brief.longer.carry_m.value + brief.shorter.carry_m.value) / 2
    assert brief.spot_m == pytest.approx(middle)
    # The board judges at the same spot: the middle of that gap, not of other neighbours.
    bag = core_bag(visit.player)
    fits = fit_dispersion(core_table([visit]), bag.player, bag)
    assert briefing.spot_of(visit, bag, fits) == pytest.approx(middle, abs=0.01)
    Visit.objects.filter(pk=visit.pk).update(spot_m=80.0)
    visit.refresh_from_db()
    assert briefing.spot_of(visit, bag, fits) == 80.0
    Visit.objects.filter(pk=visit.pk).update(spot_m=None)
    html = page(client, f"/visits/{visit.pk}/brief/")
    assert f'value="{gap.value}" selected' in html
    Account.objects.update(language="de")
    assert f'value="{gap.value}" selected' in page(client, f"/visits/{visit.pk}/brief/"), (
        "a colleague's language"
    )


def test_what_the_rack_lacks_for_this_hand_is_said_on_the_brief(client: Client, visit: Visit) -> None:
    here = f"/visits/{visit.pk}/brief/"
    Club.objects.create(player=visit.player, name="50 new", kind="wedge", loft_deg=50.0, status="candidate")
    assert "demo club" not in text(client, here).partition("Who takes part")[2]
    other = RackClub.objects.create(name="50 demo", kind="wedge", loft_deg=50.0, hand="left")
    RackClub.objects.create(name="driver demo", kind="driver", hand="left")
    assert "The rack has 1 demo club of this kind for the other hand" in text(client, here)
    own = RackClub.objects.create(name="51 demo", kind="wedge", loft_deg=51.0, hand="right", lent=1)
    assert "Every demo club of this kind for the player's hand is lent." in text(client, here)
    RackClub.objects.filter(pk=own.pk).update(lent=0)
    assert "demo club of this kind" not in text(client, here)
    RackClub.objects.filter(pk__in=[own.pk, other.pk]).update(retired_at=timezone.now())
    assert "demo club of this kind" not in text(client, here)


def test_demo_clubs_of_the_player_s_hand_are_ranked_and_may_be_chosen(client: Client, visit: Visit) -> None:
    right = RackClub.objects.create(name="50 demo", kind="wedge", loft_deg=50.0, hand="right", place="wall")
    RackClub.objects.create(name="50 demo left", kind="wedge", loft_deg=50.0, hand="left")
    RackClub.objects.create(name="Driver demo", kind="driver", loft_deg=10.0, hand="right")
    words = text(client, f"/visits/{visit.pk}/brief/")
    assert "50 demo on the rack: wall" in words
    assert "demo left" not in words
    assert "Driver demo" not in words
    sent = {"take-part": "1", "club": [f"rack-{right.pk}"]}
    assert client.post(f"/visits/{visit.pk}/brief/", sent).status_code == 302
    taking = planning.taking_part(visit)
    assert [c.club.name for c in taking] == ["Gap wedge", "50 demo"]
    assert [c.present for c in taking] == [True, False]
    assert taking[1].club.rack == right
    visit.refresh_from_db()
    assert visit.brief is not None
    assert visit.brief["present"] == "Gap wedge"
    with pytest.raises(InputError, match="other hand"):
        take_from_rack(visit.player.coach, visit.player, RackClub.objects.get(hand="left"))


def test_one_or_seven_builds_are_no_trial_and_ticks_stay(client: Client, visit: Visit) -> None:
    made = [
        Club.objects.create(player=visit.player, name=f"5{i} new", kind="wedge", loft_deg=50.0 + i, status="candidate")
        for i in range(6)
    ]  # fmt: skip
    few = client.post(f"/visits/{visit.pk}/brief/", {"take-part": "1"})
    assert few.status_code == 422
    assert "1 builds were chosen" in few.content.decode()
    many = client.post(f"/visits/{visit.pk}/brief/", {"take-part": "1", "club": [c.pk for c in made]})
    assert many.status_code == 422
    assert many.content.decode().count(" checked") >= 7
    assert not Candidate.objects.filter(visit=visit).exists()


def test_the_brief_looks_at_balls_before_this_visit_only(
    visit: Visit, candidates: list[Club], add_shots: Callable[..., list[ShotRecord]]
) -> None:
    """It is written before the first ball: today's balls must not change what the slot must do."""
    before = briefing.brief_of(visit, "metres").brief
    add_shots(visit, visit.player.clubs.get(name="Pitching wedge"), 8, 140.0)
    assert briefing.brief_of(visit, "metres").brief == before


def test_who_is_chosen_anew_in_mid_visit_changes_the_order(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    planning.make_plan(visit, {"balls": 18, "minutes": None, "block": 3, "warm_up": 12, "swings": []})
    new = Club.objects.create(
        player=visit.player, name="52 new", kind="wedge", loft_deg=52.0, status="candidate"
    )
    sent = {"take-part": "1", "club": [candidates[1].pk, new.pk]}
    assert client.post(f"/visits/{visit.pk}/brief/", sent).status_code == 302
    waiting = set(visit.queue.filter(state="waiting", warm_up=False).values_list("club_id", flat=True))
    assert waiting == {candidates[0].pk, candidates[1].pk, new.pk}
    assert visit.queue.filter(state="skipped", club=candidates[2]).count() == 6


def test_a_foreign_club_takes_no_part(client: Client, visit: Visit, left_player: Player) -> None:
    foreign = Club.objects.create(player=left_player, name="50 foreign", kind="wedge", status="candidate")
    answer = client.post(f"/visits/{visit.pk}/brief/", {"take-part": "1", "club": [foreign.pk]})
    assert answer.status_code == 422
    assert client.post(f"/visits/{visit.pk}/plan/add/", {"club": foreign.pk}).status_code == 404
    assert not Candidate.objects.filter(club=foreign).exists()


# --- plan ------------------------------------------------------------------------------------------------

PLAN = {"minutes": "60", "balls": "18", "warm_up": "12", "block": "3"}


def test_the_order_is_made_shown_and_changed_on_its_page(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    path = f"/visits/{visit.pk}/plan/"
    assert client.post(path + "make/", {**PLAN, "last": "51 blade"}).status_code == 302
    words = text(client, path)
    assert "30 balls to go" in words
    assert "limit: 80 more" in words
    assert "51 blade is hit" in words, "what the wish costs"
    ball = visit.queue.filter(warm_up=False).order_by("n")[0]
    part = client.post(path + "skip/", {"ball": ball.pk}, headers={"HX-Request": "true"})
    assert part.status_code == 200
    html = part.content.decode()
    assert "<html" not in html
    assert "hx-swap-oob" in html
    assert "<b>29</b>" in html
    back = client.post(path + "back/", {"ball": visit.queue.get(state="skipped").pk})
    assert back.status_code == 302
    assert following.left_of(visit).balls == 30
    assert client.post(path + "undo/").status_code == 302
    assert following.left_of(visit).balls == 29


def test_wishes_that_cannot_be_keep_what_was_typed(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    path = f"/visits/{visit.pk}/plan/make/"
    wrong = client.post(path, {**PLAN, "rules": "60 nothing before 51 blade"})
    assert wrong.status_code == 422
    assert 'value="60 nothing before 51 blade"' in wrong.content.decode()
    for sent, name in (
        ({"minutes": "5"}, "minutes"),
        ({"warm_up": "3"}, "warm_up"),
        ({"block": "x"}, "block"),
    ):
        answer = client.post(path, {**PLAN, **sent})
        assert answer.status_code == 422
        assert f'id="{name}-wrong"' in answer.content.decode()
    short = client.post(path, {**PLAN, "minutes": "12"})
    assert short.status_code == 422
    assert "smallest fair plan" in unescape(short.content.decode())
    assert not visit.queue.exists()


@pytest.mark.parametrize(
    ("what", "sent"),
    [
        ("skip", {"ball": "abc"}), ("skip", {}), ("move", {"ball": "1", "by": "5"}), ("move", {"ball": "9" * 30, "by": "1"}),
        ("back", {"ball": "-1"}), ("skip", {"ball": "99999"}), ("move", {"ball": "²", "by": "1"}),
    ],
)  # fmt: skip
def test_what_no_button_sends_is_refused(
    client: Client, visit: Visit, candidates: list[Club], what: str, sent: dict[str, str]
) -> None:
    client.post(f"/visits/{visit.pk}/plan/make/", PLAN)
    before = list(visit.queue.values_list("pk", "n", "state"))
    answer = client.post(f"/visits/{visit.pk}/plan/{what}/", sent)
    assert 400 <= answer.status_code < 500
    assert list(visit.queue.values_list("pk", "n", "state")) == before


def test_a_setting_and_a_demo_club_join_on_the_page(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    path = f"/visits/{visit.pk}/plan/"
    client.post(path + "make/", PLAN)
    sent = {"setting-of": candidates[1].pk, "setting-what": "hosel_setting", "setting-value": "+1°",
            "setting-loft_deg": "51,5"}  # fmt: skip
    assert client.post(path + "setting/", sent).status_code == 302
    made = Club.objects.get(name="50 cavity (+1°)")
    assert made.loft_deg == 51.5
    assert visit.queue.filter(club=made, state="waiting").count() >= 4
    rack = RackClub.objects.create(name="52 demo", kind="wedge", loft_deg=52.0, hand="right")
    assert client.post(path + "add/", {"club": f"rack-{rack.pk}"}).status_code == 302
    assert visit.candidates.filter(club__rack=rack).exists()
    wrong = client.post(path + "setting/", {**sent, "setting-loft_deg": "steep", "setting-value": ""})
    assert wrong.status_code == 422
    assert 'id="setting-loft_deg-wrong"' in wrong.content.decode()
    assert client.post(path + "leave/", {"club": made.pk}).status_code == 302
    assert visit.candidates.get(club=made).left_at is not None


def test_flat_out_swings_come_with_their_caution_once(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    client.post(f"/visits/{visit.pk}/plan/make/", {**PLAN, "balls": "36", "swings": ["flat-out"]})
    words = text(client, f"/visits/{visit.pk}/plan/")
    assert "Flat-out swings are planned" in words
    assert "at most 6 a club and 18 a visit" in words
    answer = client.post(f"/visits/{visit.pk}/flat-out/", {"back": "plan"})
    assert answer.headers["Location"].endswith("/plan/")
    assert "Flat-out swings are planned" not in text(client, f"/visits/{visit.pk}/plan/")
    Player.objects.filter(pk=visit.player_id).update(pain=True)
    found = cautions.flat_out_cautions(Visit.objects.get(pk=visit.pk))
    assert "leave flat-out swings out" in found[0]
    assert "3 a club and 9 a visit" in " ".join(found)


# --- where it goes on, and who may -----------------------------------------------------------------------


def test_the_visit_goes_on_at_the_step_in_hand(client: Client, visit: Visit, candidates: list[Club]) -> None:
    def step() -> str:
        return str(client.get(f"/visits/{visit.pk}/").headers["Location"].rstrip("/").rpartition("/")[2])

    visit.candidates.all().delete()
    assert step() == "intake"
    visits.acknowledge(visit, "safety")
    assert step() == "brief"
    for i, club in enumerate(candidates):
        Candidate.objects.create(visit=visit, club=club, position=i, present=i == 0)
    assert step() == "plan"
    client.post(f"/visits/{visit.pk}/plan/make/", PLAN)
    assert step() == "bay"
    client.post(f"/visits/{visit.pk}/finish/")
    assert step() == "hand-over"
    client.post(f"/visits/{visit.pk}/finish/", {"again": "1"})
    assert step() == "bay"


def test_every_change_is_seen_on_other_screens(client: Client, visit: Visit, candidates: list[Club]) -> None:
    path = f"/visits/{visit.pk}/"
    seen = 0
    client.post(path + "plan/make/", PLAN)
    ball = visit.queue.filter(warm_up=False).order_by("n")[0].pk
    steps = [
        ("plan/skip/", {"ball": ball}), ("plan/back/", {"ball": ball}), ("plan/undo/", {}), ("safety/", {}),
        ("flat-out/", {}), ("plan/leave/", {"club": candidates[2].pk}), ("plan/add/", {"club": candidates[2].pk}),
        ("brief/", {"take-part": "1", "club": [candidates[1].pk]}), ("finish/", {}),
    ]  # fmt: skip
    for where, sent in steps:
        if where == "plan/back/":
            sent = {"ball": visit.queue.get(state="skipped").pk}
        answer = client.post(path + where, sent)
        assert answer.status_code == 302, (where, answer.content.decode()[-800:])
        visit.refresh_from_db()
        assert visit.revision > seen, where
        seen = visit.revision


def test_a_stranger_finds_no_visit(settings: Settings, visit: Visit, candidates: list[Club]) -> None:
    settings.SHOP = True
    stranger = Client()
    stranger.force_login(Account.objects.create_user("stranger", role="coach"))
    for part in ("", "intake/", "safety/", "brief/", "plan/"):
        assert stranger.get(f"/visits/{visit.pk}/{part}").status_code == 404
    for part in ("make", "skip", "back", "move", "add", "setting", "leave", "undo"):
        assert stranger.post(f"/visits/{visit.pk}/plan/{part}/", PLAN).status_code == 404
    assert not visit.queue.exists()


def test_pages_speak_metres(client: Client, visit: Visit, candidates: list[Club], account: Account) -> None:
    account.units = "metres"
    account.save()
    words = text(client, f"/visits/{visit.pk}/brief/")
    assert re.search(r"\d+ m\b", words)
    assert " yd" not in words
