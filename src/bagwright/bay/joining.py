"""Shots of a table join a visit, each row once, however often the growing table is read again."""

from __future__ import annotations

import hashlib
import json
import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from bagwright.bag.names import parse_club_name
from bagwright.bay.live import changed
from bagwright.errors import InputError
from bagwright.shots.record import MEASURES, Shot, ShotTable
from bagwright.store.models import Club, Import, ShotRecord, Visit
from bagwright.words import tell

_TEXTS = ("club", "swing", "setting", "ball", "lie", "note", "change")


@dataclass(frozen=True, slots=True)
class Joined:
    """What became of a table's shots: how many are new, how many were there already, which clubs are new."""

    joined: int
    known: int
    new_clubs: tuple[str, ...]


def row_keys(table: ShotTable) -> list[str]:
    """A key for every row from what it says; equal rows of one table are told apart by counting them.

    A table that has grown at its end, or was sorted anew, gives its old rows their old keys.
    """
    seen: Counter[str] = Counter()
    keys = []
    for shot in table:
        said = json.dumps([getattr(shot, name) for name in (*_TEXTS, *MEASURES)])
        digest = hashlib.sha256(said.encode()).hexdigest()[:40]
        seen[digest] += 1
        keys.append(f"t{digest}-{seen[digest]}")
    return keys


@transaction.atomic
def join_table(
    visit: Visit, table: ShotTable, imported: Import | None = None, kinds: Mapping[str, str] | None = None
) -> Joined:
    """Add the rows of a table that this visit does not have yet, in their order, in one transaction.

    Clubs that the bag does not know become candidates of that name; `kinds` says what they are where the name
    does not. Raises InputError, with nothing added, for a club whose kind neither says and for a figure beyond
    what a golf shot can be.
    """
    visit = Visit.objects.select_for_update().get(pk=visit.pk)
    known = set(visit.shots.values_list("client_key", flat=True))
    keys = row_keys(table)
    clubs = {club.name: club for club in visit.player.clubs.filter(removed_at__isnull=True)}
    new_clubs = _make_missing(visit, table, clubs, kinds or {})
    rows = []
    number = visit.shot_count
    for key, shot in zip(keys, table, strict=True):
        if key in known:
            continue
        number += 1
        rows.append(_row(visit, number, key, shot, clubs[shot.club], imported))
    ShotRecord.objects.bulk_create(rows)
    Visit.objects.filter(pk=visit.pk).update(shot_count=number, changed_at=timezone.now())
    if rows:
        visit.shot_count = number
        changed(visit)
    return Joined(len(rows), table.n - len(rows), tuple(new_clubs))


def _make_missing(
    visit: Visit, table: ShotTable, clubs: dict[str, Club], kinds: Mapping[str, str]
) -> list[str]:
    """Make a club for every name that the player's bag does not have; returns their names."""
    names = dict.fromkeys(table.text("club"))
    made = []
    last = max((club.position for club in clubs.values()), default=0)
    for name in names:
        if name in clubs:
            continue
        said = parse_club_name(name)
        if said is None and name not in kinds:
            raise InputError(
                tell(
                    '"{name}" is no club of this bag, and the name does not say what it is.', name=name[:60]
                ),
                tell('Add it to the bag first, or write the name as "7 iron".'),
            )
        last += 1
        clubs[name] = Club.objects.create(
            player=visit.player,
            name=name,
            kind=said.kind if said is not None else kinds[name],
            number=(said.number or "") if said is not None else "",
            stamped_loft_deg=said.loft_deg if said is not None else None,
            status="candidate",
            position=last,
        )
        made.append(name)
    return made


def _row(visit: Visit, number: int, key: str, shot: Shot, club: Club, imported: Import | None) -> ShotRecord:
    figures = {name: _finite(getattr(shot, name)) for name in MEASURES}
    mark = shot.mark
    return ShotRecord(
        visit=visit,
        number=number,
        client_key=key,
        club=club,
        swing=shot.swing,
        setting=shot.setting[:200],
        # A table that names no ball was hit with the one that intake says, as a typed line is.
        ball=shot.ball[:200] or visit.ball,
        lie=shot.lie[:10],
        change=shot.change[:20],
        note=shot.note[:2000],
        carry_at_least=shot.carry_at_least,
        mark=mark.kind if mark else "",
        mark_reason=mark.reason[:200] if mark else "",
        mark_author=mark.author if mark else "",
        source="table",
        imported=imported,
        source_row=shot.source_row or None,
        **figures,
    )


def _finite(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None
