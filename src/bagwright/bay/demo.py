"""The invented player in the app: the demo's bag and both of its visits, as if they had been hit here."""

from __future__ import annotations

import datetime
import tempfile
from pathlib import Path

import numpy as np
from django.db import transaction
from django.utils import timezone

from bagwright import demo
from bagwright.bag.club import Bag
from bagwright.bay import courses, playing
from bagwright.bay.joining import join_table
from bagwright.shots.record import Conditions, ShotTable
from bagwright.store.convert import club_values
from bagwright.store.models import Account, Candidate, Club, Player, Visit
from bagwright.tasks import Loaded, Source, load
from bagwright.trial.said import air_in_words

ANSWERS = {"figures": "as measured", "spin": "measured"}
_LIKE_THE_CORE = (
    *("name", "hand", "sex", "handicap", "driver_speed_mps", "height_m", "wrist_to_floor_m", "injury"),
    *("pain", "ball", "goals", "divot", "turf", "sand", "club_limit", "currency"),
)


@transaction.atomic
def seed_demo(account: Account) -> Visit:
    """Give the demo's player to an account that does not have it, and return the visit with the trial.

    A player who is there already stays as the user left it.
    """
    there = Player.objects.filter(coach=account, is_demo=True).first()
    if there is not None:
        return there.visits.order_by("-started_at").first() or _trial(there, account, _loaded())
    loaded = _loaded()
    if loaded.bag is None:
        raise RuntimeError("the demo has no bag file: the installation is damaged")
    player = _player(account, loaded.bag)
    _bag(player, loaded.bag)
    _courses(account, player)
    first, *_ = _visit_names(loaded)
    earlier = _visit(player, account, first, loaded.result.conditions.get(first), finished=True)
    join_table(earlier, _of_visit(loaded.table, first))
    return _trial(player, account, loaded)


def _loaded() -> Loaded:
    with tempfile.TemporaryDirectory() as folder:
        demo.copy_demo(Path(folder))
        return load(Source(bag=Path(folder) / "bag.toml", answers=ANSWERS))


def _player(account: Account, bag: Bag) -> Player:
    said = {name: getattr(bag.player, name) for name in _LIKE_THE_CORE}
    values = {name: value for name, value in said.items() if value is not None}
    day = datetime.date(*demo.DATE)
    born_in = None if bag.player.age is None else day.year - int(bag.player.age)
    return Player.objects.create(
        coach=account, is_demo=True, born_in=born_in, consent_on=day, consent_by=bag.player.name, **values
    )


def _bag(player: Player, bag: Bag) -> None:
    for place, club in enumerate(bag):
        Club.objects.create(
            player=player,
            position=place,
            status=club.status,
            proposed=[list(change) for change in club.proposed],
            **club_values(club),
        )


def _courses(account: Account, player: Player) -> None:
    """The invented courses: the map is where the player plays, the scorecard lies beside it."""
    for name in demo.COURSES:
        kept = courses.take_in(account, "", name, demo.course_file(name))
        if name == demo.COURSES[0]:
            playing.play(account, player, kept, demo.TEE, 1.0)


def _visit_names(loaded: Loaded) -> list[str]:
    return sorted(dict.fromkeys(loaded.table.text("visit")))


def _trial(player: Player, account: Account, loaded: Loaded) -> Visit:
    """The second visit: three wedges for one slot, all balls hit, nothing decided yet."""
    last = _visit_names(loaded)[-1]
    visit = _visit(player, account, last, loaded.result.conditions.get(last), finished=False)
    names = demo.SLOT.split(",")
    clubs = [player.clubs.get(name=name) for name in names]
    for place, club in enumerate(clubs):
        Candidate.objects.create(visit=visit, club=club, position=place, present=place == 0)
    visit.slot, visit.slot_words = clubs[0], names[0]
    visit.save(update_fields=["slot", "slot_words"])
    join_table(visit, _of_visit(loaded.table, last))
    return visit


def _visit(player: Player, account: Account, name: str, said: Conditions | None, *, finished: bool) -> Visit:
    day = datetime.date.fromisoformat(name[:10])
    start = datetime.datetime.combine(day, datetime.time(10), tzinfo=datetime.UTC)
    known = said or Conditions()
    air = air_in_words(known.air)
    return Visit.objects.create(
        player=player,
        coach=account,
        started_at=start,
        finished_at=start + datetime.timedelta(hours=1) if finished else None,
        place=known.place,
        temperature_k=air.temperature_k if air else None,
        surface=known.surface,
        ball=known.ball,
        adjusted=known.adjusted,
        spin=known.spin,
        aligned=known.aligned,
        safety_at=timezone.now(),
    )


def _of_visit(table: ShotTable, name: str) -> ShotTable:
    """The rows of one visit, in their order."""
    where = np.flatnonzero(np.array(table.text("visit")) == name)
    return ShotTable.of([table.shot(int(i)) for i in where])
