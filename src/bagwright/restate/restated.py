"""What restating a table of shots gives."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from bagwright.estimate import Estimate

if TYPE_CHECKING:
    from bagwright.flight.level import Level
    from bagwright.restate.setting import Setting
    from bagwright.shots.record import Conditions, ShotTable


@dataclass(frozen=True, slots=True)
class ClubChange:
    """Carry of one club here and there, metres, from its n restated shots, those marked left out.

    The carry here is their median, the change the median of their own changes, the carry there both together.
    The ranges (90 %) are the doubt of the change itself, not of the few shots.
    """

    club: str
    n: int
    carry_here_m: float
    carry_there_m: Estimate
    change_m: Estimate


@dataclass(frozen=True, slots=True)
class Restated:
    """Shots as they would have flown there.

    `table` has the same rows in the same order with the same texts and marks; carry, total, side, height,
    descent and time are those of `there`, missing (NaN) where a row could not be restated (`not_restated`
    counts them by reason). Launch columns are untouched, but `inferred` launches are filled in where they
    were not measured. To come back exactly, pass `level` along. `conditions` is what holds for the new
    table: inferred spin counts as estimated there.
    """

    table: ShotTable
    here: Setting
    there: Setting
    level: Level
    changes: tuple[ClubChange, ...]
    not_restated: Mapping[str, int]
    inferred: int
    said: tuple[str, ...]
    conditions: Mapping[str, Conditions]
