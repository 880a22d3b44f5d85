"""Which shots hold a figure that cannot be: suggestions for people to look at, never a change."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from bagwright.bag.club import Bag
from bagwright.shots.record import Mark, ShotTable

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Checked = tuple[NDArray[np.bool_], str]

_G = 9.80665
LIMITS: dict[str, tuple[float, float, str]] = {
    "ball_speed_mps": (4.0, 105.0, "ball speed"),
    "club_speed_mps": (4.0, 75.0, "club speed"),
    "carry_m": (0.0, 420.0, "carry"),
    "apex_m": (0.0, 75.0, "height"),
    "spin_rpm": (100.0, 16_000.0, "spin"),
    "time_s": (0.2, 11.0, "time of flight"),
    "launch_rad": (math.radians(-20.0), math.radians(75.0), "launch angle"),
    "descent_rad": (0.0, math.radians(89.0), "angle of descent"),
}
"""What any player's shot stays within (common practice, no source; wide on purpose)."""
RATIO = (0.3, 1.56)
"""Ball over club speed. Above 1.56 no conforming head and ball can go: a restitution of 0.83 at 200 g
against 45.9 g gives 1.49 by momentum, (1 + 0.83) / (1 + 45.9 / 200), and the rest is for the unit's error.
Below 0.3 the unit saw something else (common practice, no source)."""
_TOGETHER = 0.03


def screen(table: ShotTable, bag: Bag | None = None) -> dict[int, Mark]:
    """Suggest `bad-read` marks (author "model") for shots with a figure, or a pair of them, that cannot be.

    Checked: single figures against what any player's shot stays within; ball speed over club speed, and
    whether a ratio that is given agrees with the two; total under carry; carry beyond what the ball speed
    reaches without air (v^2 / g, the range at 45 degrees); height beyond v^2 / 2g; height and time
    that contradict free fall (time at least that of falling from the height, sqrt(2 h / g)). Shots that
    have a mark are left alone. `bag` is not needed for any of this; it is taken so that callers need not
    care.
    """
    import numpy as np

    marks: dict[int, Mark] = {}
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        for wrong, reason in (*_single(table), *_pairs(table)):
            for i in np.flatnonzero(wrong).tolist():
                if i not in table.marks:
                    marks.setdefault(i, Mark("bad-read", reason, "model"))
    return marks


def _single(table: ShotTable) -> list[Checked]:
    checks: list[Checked] = []
    for name, (low, high, word) in LIMITS.items():
        column = table.measures.get(name)
        if column is not None:
            checks.append((column < low, f"{word} too low to be true"))
            checks.append((column > high, f"{word} too high to be true"))
    return checks


def _pairs(table: ShotTable) -> list[Checked]:
    has = table.measures.get
    checks: list[Checked] = []
    ball, club, ratio = has("ball_speed_mps"), has("club_speed_mps"), has("speed_ratio")
    carry, total, apex, time = has("carry_m"), has("total_m"), has("apex_m"), has("time_s")
    if ratio is not None:
        checks.append(((ratio < RATIO[0]) | (ratio > RATIO[1]), "speed ratio that no club gives"))
    if ball is not None and club is not None:
        own = ball / club
        checks.append(((own < RATIO[0]) | (own > RATIO[1]), "ball and club speed do not belong together"))
        if ratio is not None:
            checks.append((abs(own / ratio - 1.0) > _TOGETHER, "speed ratio is not ball over club speed"))
    if carry is not None and total is not None:
        checks.append((total < carry * 0.93 - 3.0, "total well short of carry"))
    if carry is not None and ball is not None:
        checks.append((carry > ball**2 / _G, "carry beyond what the ball speed reaches"))
    if apex is not None and ball is not None:
        checks.append((apex > ball**2 / (2.0 * _G), "height beyond what the ball speed reaches"))
    if apex is not None and time is not None:
        checks.append((time < (2.0 * apex.clip(0.0) / _G) ** 0.5, "time of flight too short for the height"))
    return checks
