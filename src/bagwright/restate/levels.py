"""The player's level: factors on drag and lift from the table's own measured shots."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from bagwright.restate.measured import measured
from bagwright.restate.setting import Setting

if TYPE_CHECKING:
    from bagwright.flight.launch import Launches, Scale
    from bagwright.flight.level import Level
    from bagwright.shots.record import Conditions, ShotTable

MOST_SHOTS = 4_000
"""Shots that set a level; of more, evenly many from the shortest to the longest of every club."""


def level_of(
    table: ShotTable, known: Launches, here: Setting, told: Mapping[str, Conditions], law: str
) -> Level:
    """Fit the level to the shots whose launch and carry were measured, as hit `here`.

    Left out: visits whose spin was estimated, marked bad reads, carries that are only a lower bound. Range
    and soft balls' carries count as those of a tour ball by their factor. The order of shots is nothing.
    """
    import numpy as np

    from bagwright.flight.launch import RANGES, Launches
    from bagwright.flight.level import level

    estimated = {visit for visit, one in told.items() if one.spin == "estimated"}
    guessed = np.array([visit in estimated for visit in table.text("visit")], dtype=np.bool_)
    usable = known.sensible() & (measured(table, "carry_m") > 1.0)
    only_guessed = bool(usable.any()) and not bool((usable & ~guessed).any())
    if table.carry_at_least is not None:
        usable &= ~table.carry_at_least
    for i, mark in table.marks.items():
        usable[i] &= mark.kind != "bad-read"
    rows = np.flatnonzero(usable & (guessed if only_guessed else ~guessed))
    carry, apex = measured(table, "carry_m") / here.ball_factor, measured(table, "apex_m")
    names = np.asarray(table.text("club"), dtype=np.str_)
    if len(rows) > MOST_SHOTS:
        keys = [getattr(known, name)[rows] for name in RANGES]
        rows = rows[np.lexsort((*keys, apex[rows], carry[rows], names[rows]))]
        rows = rows[np.linspace(0, len(rows) - 1, MOST_SHOTS).astype(np.int64)]
    return level(
        Launches(*(getattr(known, name)[rows] for name in RANGES)), carry[rows], apex[rows],
        names[rows].tolist(), here.air, here.wind, law, spin_measured=not only_guessed,
    )  # fmt: skip


def scales(level: Level, table: ShotTable) -> Scale:
    """The factors of every shot by its club, arrays (n,)."""
    import numpy as np

    from bagwright.flight.launch import Scale

    names = table.text("club")
    by_club = {name: level.scale_of(name) for name in set(names)}
    drag = np.array([by_club[name].drag for name in names], dtype=np.float64)
    lift = np.array([by_club[name].lift for name in names], dtype=np.float64)
    return Scale(drag, lift)
