"""Which shots hold a figure that cannot be: suggestions for people to look at, never a change."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from bagwright.shots.record import Conditions, Mark, ShotTable
from bagwright.units import STANDARD_GRAVITY_MPS2 as _G
from bagwright.units import System
from bagwright.words import tell

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np
    from numpy.typing import NDArray

    from bagwright.air import Air
    from bagwright.shots.findings import FileFinding
    from bagwright.shots.physics import Physics

    Checked = tuple[NDArray[np.bool_], str, float]

LIMITS: dict[str, tuple[float, float, str]] = {
    "ball_speed_mps": (4.0, 105.0, tell("ball speed")),
    "club_speed_mps": (4.0, 75.0, tell("club speed")),
    "carry_m": (0.0, 420.0, tell("carry")),
    "apex_m": (0.0, 75.0, tell("height")),
    "spin_rpm": (100.0, 16_000.0, tell("spin")),
    "time_s": (0.2, 11.0, tell("time of flight")),
    "launch_rad": (math.radians(-20.0), math.radians(75.0), tell("launch angle")),
    "descent_rad": (0.0, math.radians(89.0), tell("angle of descent")),
}
"""What any player's shot stays within (common practice, no source; wide on purpose)."""
RATIO = (0.3, 1.56)
"""Ball over club speed. Above 1.56 no conforming head and ball can go: a restitution of 0.83 at 200 g
against 45.9 g gives 1.49 by momentum, (1 + 0.83) / (1 + 45.9 / 200), and the rest is for the unit's error.
Below 0.3 the unit saw something else (common practice, no source)."""
_TOGETHER = 0.03


CANNOT = 0.99
"""Chance of a wrong figure where it or a pair breaks mechanics or arithmetic: a working judgement."""
NO_PLAYER = 0.97
"""Chance of a wrong figure beyond what any player's shot stays within: a working judgement."""
DISAGREE = 0.90
"""Chance where two columns that say the same disagree, which rounding could do at worst: likewise."""


@dataclass(frozen=True, slots=True)
class Screened:
    """What the screening says: suggested marks by position, findings about whole files, and the physics."""

    marks: dict[int, Mark]
    findings: tuple[FileFinding, ...]
    physics: Physics


def screen(table: ShotTable, conditions: Mapping[str, Conditions] | None = None) -> dict[int, Mark]:
    """Suggest `bad-read` marks (author "model") with their probability; the marks of `screen_all`."""
    return screen_all(table, conditions).marks


def screen_all(
    table: ShotTable,
    conditions: Mapping[str, Conditions] | None = None,
    *,
    air: Air | None = None,
    system: System = "yards",
) -> Screened:
    """Suggest marks for shots that cannot be or that contradict their own launch, and findings about files.

    First what cannot be (`implausible`), then carry and height against the launch figures
    (`bagwright.shots.physics`). Shots that have a mark are left alone. `conditions` by visit say how figures
    came about, `air` where they were taken.
    """
    from bagwright.shots.physics import check_physics

    physics = check_physics(table, conditions, air=air, system=system)
    marks = dict(physics.marks)
    for i, mark in implausible(table).items():
        slip = physics.slips.get(i)
        marks[i] = mark if slip is None else replace(mark, reason=_with_slip(mark.reason, slip.words))
    return Screened(marks, physics.findings, physics)


def implausible(table: ShotTable) -> dict[int, Mark]:
    """Suggest `bad-read` marks for shots with a figure, or a pair of them, that cannot be.

    Checked: single figures against what any player's shot stays within; ball speed over club speed, and
    whether a ratio that is given agrees with the two; total under carry; carry beyond what the ball speed
    reaches without air (v^2 / g, the range at 45 degrees); height beyond v^2 / 2g; height and time
    that contradict free fall (time at least that of falling from the height, sqrt(2 h / g)).
    """
    import numpy as np

    marks: dict[int, Mark] = {}
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        for wrong, reason, chance in (*_single(table), *_pairs(table)):
            for i in np.flatnonzero(wrong).tolist():
                if i not in table.marks:
                    marks.setdefault(i, Mark("bad-read", reason, "model", chance))
    return marks


def _with_slip(reason: str, slip: str) -> str:
    return tell("{reason} ({slip})", reason=reason, slip=slip)


def _single(table: ShotTable) -> list[Checked]:
    checks: list[Checked] = []
    for name, (low, high, word) in LIMITS.items():
        column = table.measures.get(name)
        if column is not None:
            checks.append((column < low, tell("{word} too low to be true", word=word), NO_PLAYER))
            checks.append((column > high, tell("{word} too high to be true", word=word), NO_PLAYER))
    return checks


def _pairs(table: ShotTable) -> list[Checked]:
    has = table.measures.get
    checks: list[Checked] = []
    ball, club, ratio = has("ball_speed_mps"), has("club_speed_mps"), has("speed_ratio")
    carry, total, apex, time = has("carry_m"), has("total_m"), has("apex_m"), has("time_s")
    if ratio is not None:
        checks.append(
            ((ratio < RATIO[0]) | (ratio > RATIO[1]), tell("speed ratio that no club gives"), NO_PLAYER)
        )
    if ball is not None and club is not None:
        own = ball / club
        odd = (own < RATIO[0]) | (own > RATIO[1])
        checks.append((odd, tell("ball and club speed do not belong together"), NO_PLAYER))
        if ratio is not None:
            differs = abs(own / ratio - 1.0) > _TOGETHER
            checks.append((differs, tell("speed ratio is not ball over club speed"), DISAGREE))
    if carry is not None and total is not None:
        checks.append((total < carry * 0.93 - 3.0, tell("total well short of carry"), DISAGREE))
    if carry is not None and ball is not None:
        checks.append((carry > ball**2 / _G, tell("carry beyond what the ball speed reaches"), CANNOT))
    if apex is not None and ball is not None:
        checks.append(
            (apex > ball**2 / (2.0 * _G), tell("height beyond what the ball speed reaches"), CANNOT)
        )
    if apex is not None and time is not None:
        short = time < (2.0 * apex.clip(0.0) / _G) ** 0.5
        checks.append((short, tell("time of flight too short for the height"), CANNOT))
    return checks
