"""What restating does to each club's carry."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bagwright.restate.doubt import ball_ratio, change
from bagwright.restate.landing import carries_by_air
from bagwright.restate.measured import measured
from bagwright.restate.restated import ClubChange

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from bagwright.restate.landing import Landing
    from bagwright.restate.setting import Setting
    from bagwright.restate.shots import Prepared
    from bagwright.shots.record import ShotTable

    Ints = NDArray[np.int64]
    Bools = NDArray[np.bool_]


def changes(
    table: ShotTable, ready: Prepared, flown: tuple[Landing, Landing], settings: tuple[Setting, Setting],
    guessed: Bools, law: str,
) -> tuple[ClubChange, ...]:  # fmt: skip
    """Every club's median carry here and the median of its shots' changes, in order of its first shot.

    `guessed` marks shots (n,) of which a part of the launch was not measured. Bad reads, mishits, warm-ups
    and carries that are only a lower bound do not count.
    """
    import numpy as np

    carry = measured(table, "carry_m")
    counts = ~ready.out & np.isfinite(carry)
    if table.carry_at_least is not None:
        counts &= ~table.carry_at_least
    counts[list(table.marks)] = False
    names, where = np.unique(np.asarray(table.text("club"), dtype=np.str_), return_inverse=True)
    first = {int(k): None for k in where[counts].tolist()}
    groups = [np.flatnonzero(counts & (where == k)) for k in first]
    seen = ~guessed & np.isfinite(measured(table, "apex_m"))
    by_air = _by_air(ready, groups, [str(names[k]) for k in first], settings, law)
    there_m = carry * (flown[1].carry_m / flown[0].carry_m)
    found = []
    for k, rows, air in zip(first, groups, by_air, strict=True):
        here_m = float(np.median(carry[rows]))
        moved = float(np.median(there_m[rows] - carry[rows]))
        ratio = (here_m + moved) / here_m / ball_ratio(*settings).value
        same_wind = settings[0].wind == settings[1].wind
        by = change(here_m, ratio, ratio if same_wind else air, *settings, float(seen[rows].mean()))
        found.append(ClubChange(str(names[k]), len(rows), here_m, by.shifted(here_m), by))
    return tuple(found)


def _by_air(
    ready: Prepared, groups: list[Ints], clubs: list[str], settings: tuple[Setting, Setting], law: str
) -> list[float]:
    """Carry of each club's median launch in the air of there over that of here, both in the wind of here."""
    import numpy as np

    from bagwright.flight.launch import RANGES, Launches, Scale

    if not groups:
        return []
    launches = ready.strikes.launches
    middles = [[float(np.median(getattr(launches, name)[rows])) for rows in groups] for name in RANGES]
    factors = [ready.level.scale_of(club) for club in clubs]
    scale = Scale(np.array([f.drag for f in factors]), np.array([f.lift for f in factors]))
    here, there = carries_by_air(Launches.of(*middles), *settings, law, scale)
    return [float(ratio) for ratio in there / here]
