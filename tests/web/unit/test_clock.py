"""A clock that is wrong: back a day, forward a year, the night that summer time ends. The balls' order is theirs."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.utils import timezone

from bagwright.bay import shots
from bagwright.bay.following import left_of
from bagwright.bay.planning import make_plan
from bagwright.bay.players import is_minor
from bagwright.store.convert import core_player
from bagwright.store.models import Club, Visit

NOW = datetime.datetime(2026, 10, 25, 0, 30, tzinfo=datetime.UTC)
"""02:30 of Central European Summer Time, half an hour before that hour comes a second time (EU directive
2000/84/EC: last Sunday of October, 01:00 UTC)."""
CLOCKS = {
    "back a day": NOW - datetime.timedelta(days=1),
    "forward a year": NOW + datetime.timedelta(days=366),
    "the second 02:30": NOW + datetime.timedelta(hours=1),
    "back again": NOW + datetime.timedelta(seconds=20),
}


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Callable[[datetime.datetime], None]:
    """Set the clock of everything that asks Django for the time."""
    return lambda now: monkeypatch.setattr(timezone, "now", lambda: now)


def test_balls_keep_the_order_of_their_arrival_whatever_the_clock_says(
    clock: Callable[[datetime.datetime], None], client: Client, visit: Visit, candidates: list[Club]
) -> None:
    for i, now in enumerate((NOW, *CLOCKS.values())):
        clock(now)
        shots.add_shot(
            visit, None, shots.Entry(f"clock-{i:06d}", candidates[i % 2].pk, {"carry_m": 90.0 + i})
        )
    assert [shot.carry_m for shot in shots.last_shots(visit)] == [94.0, 93.0, 92.0, 91.0, 90.0]
    assert list(visit.shots.values_list("number", flat=True)) == [1, 2, 3, 4, 5]
    shots.undo(None, visit)
    gone = visit.shots.get(undone_at__isnull=False)
    assert gone.carry_m == 94.0, "undo takes the last ball back, not the one of the latest hour"
    for path in (
        f"/visits/{visit.pk}/bay/",
        f"/visits/{visit.pk}/plan/",
        f"/visits/{visit.pk}/board/",
        "/players/",
    ):
        assert client.get(path).status_code == 200


@pytest.mark.parametrize("name", CLOCKS)
def test_time_that_a_moved_clock_took_or_gave_is_not_counted(
    clock: Callable[[datetime.datetime], None], visit: Visit, candidates: list[Club], name: str
) -> None:
    clock(NOW)
    make_plan(visit, {"balls": 18, "minutes": 60})
    assert left_of(visit).clock_min == 60
    clock(CLOCKS[name])
    left = left_of(visit).clock_min
    assert left is None or left <= 60, "nobody is promised more time than was given"
    for i in range(12):
        clock(CLOCKS[name] + datetime.timedelta(seconds=30 * i * (-1) ** i))
        shots.add_shot(visit, None, shots.Entry(f"pace-{i:06d}", candidates[0].pk, {"carry_m": 90.0}))
    assert left_of(visit).minutes >= 0


def test_nobody_is_younger_than_nothing_when_the_year_is_wrong(visit: Visit) -> None:
    player = visit.player
    player.born_in = 2024
    assert core_player(player, datetime.date(2020, 1, 1)).age == 0.0
    assert is_minor(player, datetime.date(2020, 1, 1))


@pytest.mark.parametrize("zone", ["Europe/Berlin", "America/New_York", "Australia/Lord_Howe"])
def test_times_of_the_night_that_summer_time_ends_are_shown_and_told_apart(
    client: Client, visit: Visit, candidates: list[Club], zone: str
) -> None:
    """Stored times are of one line without a fold: UTC; each page can show them in any zone."""
    with timezone.override(ZoneInfo(zone)):
        for i, at in enumerate((NOW, NOW + datetime.timedelta(hours=1))):
            added = shots.add_shot(
                visit, None, shots.Entry(f"night-{i:06d}", candidates[0].pk, {"carry_m": 90.0})
            )
            type(added.shot).objects.filter(pk=added.shot.pk).update(hit_at=at)
        first, second = visit.shots.values_list("hit_at", flat=True)
        assert (second - first) == datetime.timedelta(hours=1)
        assert client.get(f"/visits/{visit.pk}/bay/").status_code == 200


@pytest.mark.parametrize(
    "text", ["2026-12-31T23:59:60", "2026-02-30", "0000-00-00", "2026-12-31 23:59:60+14:99"]
)
def test_a_day_that_no_calendar_has_is_refused_beside_its_field(
    client: Client, visit: Visit, text: str
) -> None:
    """Also the leap second, which Python's own times do not have."""
    sent = {
        "name": "Robin Example",
        "hand": "right",
        "club_limit": "14",
        "consent_on": text,
        "consent_by": "Robin",
    }
    answer = client.post("/players/new/", sent)
    assert answer.status_code == 422
    assert 'aria-invalid="true"' in answer.content.decode()
