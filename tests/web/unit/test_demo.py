"""The demo's player in the app gives the same answer as the demo's files do in the terminal."""

from __future__ import annotations

from pathlib import Path

import pytest

from bagwright import demo, tasks
from bagwright.bay.demo import ANSWERS, seed_demo
from bagwright.bay.joining import join_table, row_keys
from bagwright.store.convert import air_words, conditions_of, core_bag, core_table
from bagwright.store.models import Account, Player, Visit


@pytest.mark.django_db
def test_the_demo_is_stored_whole_and_seeded_once(account: Account, tmp_path: Path) -> None:
    visit = seed_demo(account)
    assert seed_demo(account).pk == visit.pk
    assert Player.objects.count() == 1
    demo.copy_demo(tmp_path)
    read = tasks.load(tasks.Source(bag=tmp_path / "bag.toml", answers=ANSWERS))
    stored = core_table(visit.player.visits.all())
    assert stored.n == read.table.n
    for name in ("carry_m", "offline_m", "ball_speed_mps"):
        assert sorted(stored.measure(name)) == pytest.approx(sorted(read.table.measure(name)), nan_ok=True)
    assert sorted(stored.text("club")) == sorted(read.table.text("club"))
    assert {m.kind for m in stored.marks.values()} == {m.kind for m in read.table.marks.values()}
    assert read.bag is not None
    assert core_bag(visit.player).clubs == read.bag.clubs
    assert conditions_of(visit).surface == "turf"


@pytest.mark.django_db
def test_a_table_joins_a_visit_once_even_when_it_grows(account: Account) -> None:
    visit = seed_demo(account)
    table = core_table([visit])
    other = Visit.objects.create(player=visit.player, coach=account, started_at=visit.started_at)
    first = join_table(other, table)
    assert (first.joined, first.known) == (table.n, 0)
    again = join_table(other, table)
    assert (again.joined, again.known) == (0, table.n)
    assert len(set(row_keys(table))) == table.n
    other.refresh_from_db()
    assert other.shot_count == table.n


@pytest.mark.django_db
def test_the_air_of_a_visit_is_said_with_its_density(visit: Visit) -> None:
    """Denver's altitude at 20 C: about 0.98 kg/m3 (standard atmosphere of 1976, then the gas law)."""
    assert air_words(visit) == ""
    visit.temperature_k, visit.altitude_m = 293.15, 1609.0
    words = air_words(visit)
    assert words.startswith("20.0 C, 0.9")
