"""The player's own word: each tap kept, stamped when given before the numbers, taken back step by step."""

from __future__ import annotations

import math
from typing import Any

import pytest
from django.test import Client

from bagwright.bay import ratings
from bagwright.bay.board import ratings_of
from bagwright.errors import InputError
from bagwright.store.models import Account, Club, ClubMeasurement, Rating, Visit

pytestmark = pytest.mark.django_db
PART = {"HX-Request": "true"}


def tap(client: Client, visit: Visit, club: Club, **said: str) -> Any:
    return client.post(f"/visits/{visit.pk}/ratings/", {"club": club.pk, **said}, headers=PART)


def test_one_tap_is_kept_and_changes_nothing_else(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    assert "kept" in tap(client, visit, candidates[0], look="4").content.decode()
    tap(client, visit, candidates[0], feel="2")
    tap(client, visit, candidates[0], words="heavy head")
    rating = Rating.objects.get(visit=visit, club=candidates[0])
    assert (rating.look, rating.feel, rating.sound, rating.words) == (4, 2, None, "heavy head")
    assert ratings_of(visit) == {"Gap wedge": {"look": 4.0, "feel": 2.0}}


def test_the_same_tap_twice_is_one_step(client: Client, visit: Visit, candidates: list[Club]) -> None:
    tap(client, visit, candidates[0], look="4")
    revision = Visit.objects.get(pk=visit.pk).revision
    tap(client, visit, candidates[0], look="4")
    assert Visit.objects.get(pk=visit.pk).revision == revision
    assert visit.changes.filter(what="rating").count() == 1


def test_a_dash_takes_one_back(client: Client, visit: Visit, candidates: list[Club]) -> None:
    tap(client, visit, candidates[0], look="4", feel="3")
    tap(client, visit, candidates[0], look="")
    assert ratings_of(visit) == {"Gap wedge": {"feel": 3.0}}


def test_undo_goes_back_step_by_step(client: Client, visit: Visit, candidates: list[Club]) -> None:
    tap(client, visit, candidates[0], look="4")
    tap(client, visit, candidates[0], look="1")
    tap(client, visit, candidates[1], feel="5")

    def undo() -> str:
        answer = client.post(f"/visits/{visit.pk}/ratings/", {"undo": "1"}, follow=True)
        return str(answer.content.decode())

    assert "Taken back: the last rating of 50 cavity" in undo()
    assert ratings_of(visit) == {"Gap wedge": {"look": 1.0}}
    undo()
    assert ratings_of(visit) == {"Gap wedge": {"look": 4.0}}
    undo()
    assert ratings_of(visit) == {}
    assert "nothing to take back" in undo()


def test_given_before_the_numbers_is_stamped_and_a_later_word_is_not(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    client.post(f"/visits/{visit.pk}/ratings/", {"hide": "1"})
    assert Visit.objects.get(pk=visit.pk).hide_numbers
    assert "before the numbers" in tap(client, visit, candidates[0], look="4").content.decode()
    client.post(f"/visits/{visit.pk}/ratings/", {"hide": "0"})
    tap(client, visit, candidates[1], look="3")
    stamps = dict(Rating.objects.filter(visit=visit).values_list("club__name", "before_numbers"))
    assert stamps == {"Gap wedge": True, "50 cavity": False}
    tap(client, visit, candidates[0], look="2")
    assert not Rating.objects.get(visit=visit, club=candidates[0]).before_numbers


def test_the_same_word_again_after_the_numbers_keeps_no_false_stamp(
    visit: Visit, candidates: list[Club], account: Account
) -> None:
    ratings.hide_numbers(visit, hide=True)
    ratings.rate(account, visit, str(candidates[0].pk), {"look": "4"})
    ratings.undo(visit)
    ratings.hide_numbers(visit, hide=False)
    ratings.rate(account, visit, str(candidates[0].pk), {"look": "4"})
    assert not Rating.objects.get(visit=visit).before_numbers


@pytest.mark.parametrize("value", ["0", "6", "4.5", "-1", "five", "１", "4 ", "NaN"])
def test_other_values_are_no_rating(client: Client, visit: Visit, candidates: list[Club], value: str) -> None:
    answer = tap(client, visit, candidates[0], look=value)
    assert answer.status_code == 400
    assert "is no rating" in answer.content.decode()
    assert not Rating.objects.exists()


@pytest.mark.parametrize(
    ("typed", "stored"),
    [("1.5", 1.5), ("1,5", 1.5), ("-2", -2.0), ("−2", -2.0), ("2°", 2.0), ("0", 0.0), ("", None)],
)
def test_dynamic_lie_angles_as_people_write_them(
    client: Client, visit: Visit, candidates: list[Club], typed: str, stored: float | None
) -> None:
    assert tap(client, visit, candidates[0], dynamic_lie=typed).status_code == 200
    row = ClubMeasurement.objects.filter(visit=visit, club=candidates[0]).first()
    assert (row.dynamic_lie_deg if row else None) == stored


@pytest.mark.parametrize("typed", ["45", "-31", "nan", "inf", "1e400", "two", "1.5.2", "<b>"])
def test_angles_that_cannot_be_are_refused(
    client: Client, visit: Visit, candidates: list[Club], typed: str
) -> None:
    answer = tap(client, visit, candidates[0], dynamic_lie=typed)
    assert answer.status_code == 400
    assert "degrees" in answer.content.decode()
    assert "<b>" not in answer.content.decode()
    assert not ClubMeasurement.objects.exists()


def test_a_lie_angle_is_corrected_and_taken_back(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    tap(client, visit, candidates[0], dynamic_lie="1.5")
    tap(client, visit, candidates[0], dynamic_lie="2")
    assert [m.dynamic_lie_deg for m in ClubMeasurement.objects.all()] == [2.0]
    ratings.undo(visit)
    assert [m.dynamic_lie_deg for m in ClubMeasurement.objects.all()] == [1.5]
    tap(client, visit, candidates[0], dynamic_lie="")
    assert ratings.rows_of(visit)[0].dynamic_lie_deg is None


def test_a_gauges_measurement_is_not_touched(client: Client, visit: Visit, candidates: list[Club]) -> None:
    ClubMeasurement.objects.create(
        visit=visit, club=candidates[0], measured_on="2026-01-01", loft_deg=47.0, dynamic_lie_deg=3.0
    )
    tap(client, visit, candidates[0], dynamic_lie="1")
    assert sorted(m.dynamic_lie_deg or math.nan for m in ClubMeasurement.objects.all()) == [1.0, 3.0]


def test_a_club_that_takes_no_part_cannot_be_rated(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    driver = visit.player.clubs.get(name="Driver")
    assert tap(client, visit, driver, look="4").status_code == 400
    assert client.post(f"/visits/{visit.pk}/ratings/", {"club": "x", "look": "4"}).status_code == 400
    assert client.post(f"/visits/{visit.pk}/ratings/", {}).status_code == 400


def test_the_form_without_scripts_works_too(client: Client, visit: Visit, candidates: list[Club]) -> None:
    said = {
        "look": "5",
        "feel": "",
        "sound": "",
        "turf": "3",
        "confidence": "",
        "words": "",
        "dynamic_lie": "",
    }
    answer = client.post(f"/visits/{visit.pk}/ratings/", {"club": candidates[2].pk, **said})
    assert answer.status_code == 302
    assert ratings_of(visit) == {"51 blade": {"look": 5.0, "turf": 3.0}}


def test_words_have_a_limit_and_nothing_unseen(
    visit: Visit, candidates: list[Club], account: Account
) -> None:
    for words in ("y" * 2001, "turned \u202e round", "nothing \x00"):
        with pytest.raises(InputError):
            ratings.rate(account, visit, str(candidates[0].pk), {"words": words})
    assert not Rating.objects.exists()
    ratings.rate(account, visit, str(candidates[0].pk), {"words": "y" * 2000})
    assert len(Rating.objects.get(visit=visit).words) == 2000
    with pytest.raises(InputError):
        ratings.rate(account, visit, "0", {"look": "4"})


def test_every_radio_has_a_label_and_an_angle_a_hint(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    html = client.get(f"/visits/{visit.pk}/ratings/").content.decode()
    assert html.count('type="radio"') == html.count('<label for="r') == 3 * 5 * 6
    assert html.count('aria-describedby="lie-hint-') == 3
    assert "toe down positive" in html
