"""Balls whose figures cannot be: pointed out beside the ball, never marked by the program itself."""

from __future__ import annotations

from collections.abc import Sequence

from bagwright.shots.record import ShotTable
from bagwright.shots.screen import implausible
from bagwright.store.convert import core_shot
from bagwright.store.models import ShotRecord


def suggestions(shots: Sequence[ShotRecord]) -> dict[int, str]:
    """Why a ball may be a bad read, by the ball's id; balls with a mark and those taken out are left alone."""
    rows = [shot for shot in shots if not shot.mark and shot.undone_at is None]
    if not rows:
        return {}
    table = ShotTable.of([core_shot(row, row.club.name, "") for row in rows])
    return {rows[i].pk: mark.reason for i, mark in implausible(table).items()}
