"""What restating does to each club's carry."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bagwright.restate.doubt import change
from bagwright.restate.restated import ClubChange

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from bagwright.restate.landing import Landing
    from bagwright.restate.setting import Setting
    from bagwright.shots.record import ShotTable

    Bools = NDArray[np.bool_]


def changes(
    table: ShotTable, flown_here: Landing, flown_there: Landing, here: Setting, there: Setting,
    guessed: Bools, restated: Bools,
) -> tuple[ClubChange, ...]:  # fmt: skip
    """Medians of every club's carries here and there, in order of the club's first shot.

    Bad reads, mishits, warm-ups and carries that are only a lower bound do not count.
    """
    import numpy as np

    carry = table.measure("carry_m")
    counts = restated & np.isfinite(carry)
    if table.carry_at_least is not None:
        counts &= ~table.carry_at_least
    counts[list(table.marks)] = False
    seen = ~guessed & np.isfinite(table.measure("apex_m"))
    names = np.asarray(table.text("club"), dtype=object)
    ratio = flown_there.carry_m / flown_here.carry_m
    found = []
    for club in dict.fromkeys(names[counts].tolist()):
        rows = counts & (names == club)
        middle = float(np.median(carry[rows]))
        by_ball = there.ball_factor / here.ball_factor
        by_flight = float(np.median(carry[rows] * ratio[rows])) / middle / by_ball
        by = change(middle, by_flight, here, there, float(seen[rows].mean()))
        found.append(ClubChange(club, int(rows.sum()), middle, by.shifted(middle), by))
    return tuple(found)
