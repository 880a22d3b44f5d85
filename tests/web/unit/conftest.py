"""Players, bags and visits for the tests of the screens; all invented."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterator

import numpy as np
import pytest
from django.utils import timezone, translation

from bagwright.store.models import Account, Candidate, Club, Player, ShotRecord, Visit
from bagwright.web.middleware.who import single_account

BAG = (
    ("Driver", "driver", 10.5),
    ("5 wood", "wood", 18.0),
    ("4 hybrid", "hybrid", 22.0),
    ("6 iron", "iron", 27.0),
    ("8 iron", "iron", 35.0),
    ("Pitching wedge", "wedge", 45.0),
    ("Gap wedge", "wedge", 49.0),
    ("Sand wedge", "wedge", 55.0),
    ("Putter", "putter", 3.0),
)


@pytest.fixture(autouse=True)
def english() -> Iterator[None]:
    """Words outside a request are English, whatever language the last test's requests were in."""
    with translation.override("en"):
        yield


@pytest.fixture
def account(db: None) -> Account:
    return single_account()


@pytest.fixture
def player(account: Account) -> Player:
    return Player.objects.create(coach=account, name="Robin Example", hand="right", handicap=14.0)


@pytest.fixture
def left_player(account: Account) -> Player:
    return Player.objects.create(coach=account, name="Kim Example", hand="left", handicap=20.0)


@pytest.fixture
def bag_of() -> Callable[[Player], dict[str, Club]]:
    def fill(player: Player) -> dict[str, Club]:
        rows = [
            Club.objects.create(player=player, name=name, kind=kind, loft_deg=loft, position=i)
            for i, (name, kind, loft) in enumerate(BAG)
        ]
        return {row.name: row for row in rows}

    return fill


@pytest.fixture
def visit(player: Player, account: Account, bag_of: Callable[[Player], dict[str, Club]]) -> Visit:
    clubs = bag_of(player)
    return Visit.objects.create(
        player=player, coach=account, started_at=timezone.now(), slot=clubs["Gap wedge"],
        slot_words="Gap wedge", surface="mat", adjusted="as measured", spin="measured",
    )  # fmt: skip


@pytest.fixture
def candidates(visit: Visit) -> list[Club]:
    """The present club and two rivals, in the order of the board."""
    present = visit.player.clubs.get(name="Gap wedge")
    rivals = [
        Club.objects.create(
            player=visit.player, name=name, kind="wedge", loft_deg=loft, status="candidate", position=20 + i
        )
        for i, (name, loft) in enumerate((("50 cavity", 50.0), ("51 blade", 51.0)))
    ]
    for i, club in enumerate([present, *rivals]):
        Candidate.objects.create(visit=visit, club=club, position=i, present=i == 0)
    return [present, *rivals]


@pytest.fixture
def add_shots() -> Callable[..., list[ShotRecord]]:
    def add(visit: Visit, club: Club, n: int, carry_m: float, seed: int = 1) -> list[ShotRecord]:
        rng = np.random.default_rng(seed)
        made = []
        for _ in range(n):
            visit.shot_count += 1
            made.append(
                ShotRecord.objects.create(
                    visit=visit, club=club, number=visit.shot_count, client_key=uuid.uuid4().hex,
                    carry_m=float(carry_m + 4.0 * rng.standard_normal()),
                    offline_m=float(5.0 * rng.standard_normal()),
                    ball_speed_mps=float(38.0 + rng.standard_normal()),
                )
            )  # fmt: skip
        visit.revision += 1
        visit.save()
        return made

    return add
