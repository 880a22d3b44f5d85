"""How long the table of a player's shots takes: 13 clubs in three swings and their pitches, from six lies.

Each line is the median and the 95th percentile of many runs in one process, after a first run that fills the
caches (the fit is not counted: the app has it). The last lines say how far the series of a wind is
from flights in directions that it was not made from.

    .venv/bin/python -m bench.bench_shot_patterns
"""

from __future__ import annotations

import math

import numpy as np

from bagwright.air import STANDARD, Wind
from bagwright.bag.club import Bag, Club
from bagwright.dispersion.fit import fit_dispersion
from bagwright.shots.record import ShotTable
from bagwright.strokes import strikes as strikes_room
from bagwright.strokes.flown_shots import Place
from bagwright.strokes.ground import Grounds
from bagwright.strokes.reference import reference_player
from bagwright.strokes.strikes import Strikes
from bagwright.strokes.table import Who, in_winds, patterns_of, table_of
from bagwright.strokes.wind import shifts_at, wind_shift
from bagwright.turf import FAIRWAY
from bench._machine import banner
from bench.bench_speed_dispersion import PLAYER, timed, visit

KINDS = {"driver": "driver", "wood": "wood", "hybrid": "hybrid", "iron": "iron", "PW": "wedge", "GW": "wedge",
         "SW": "wedge", "LW": "wedge"}  # fmt: skip
LOFT = {"driver": 10.5, "3 wood": 15.0, "5 wood": 18.5, "4 hybrid": 22.5, "4 iron": 23.0, "5 iron": 26.5, "6 iron": 30.0,
        "7 iron": 33.5, "8 iron": 37.5, "9 iron": 41.5, "PW": 46.0, "GW": 51.0, "SW": 55.5, "LW": 60.0}  # fmt: skip
GOAL_MS = 1000.0


def bag() -> Bag:
    """Thirteen clubs by the names of the bench's visit, without the 4 iron."""
    clubs = tuple(
        Club(name, KINDS[name.split()[-1]], stamped_loft_deg=loft)  # type: ignore[arg-type]
        for name, loft in LOFT.items()
        if name != "4 iron"
    )
    return Bag(PLAYER, clubs)


def main() -> None:
    banner()
    ours = bag()
    names = {club.name for club in ours.clubs}
    shots = [shot for shot in visit(np.random.default_rng(1), 6) if shot.club in names]
    fits = fit_dispersion(ShotTable.of(shots), PLAYER, ours)
    table = patterns_of(ours, None, fits)
    full = sum(shot.length_m is None for shot in table.shots)
    print(f"{full} full shots and {table.n - full} pitches from 6 lies")
    timed("patterns of a fitted bag", lambda: patterns_of(ours, None, fits), 30, GOAL_MS)

    def first() -> None:
        strikes_room._inferred.cache_clear()
        patterns_of(ours, None, fits)

    timed("the same, the strikes inferred anew", first, 10, GOAL_MS)
    wind = Wind(5.0, 1.0)
    timed("the same in a wind", lambda: patterns_of(ours, None, fits, wind=wind), 30, GOAL_MS)
    rose = [(1.0, Wind(2.0 + k % 3, k * math.pi / 4.0)) for k in range(8)]
    timed("the same in a rose of eight winds", lambda: in_winds(ours, rose, None, fits), 10, GOAL_MS)
    player = reference_player("scratch")
    timed("a published player", player.table, 30, GOAL_MS)
    _, strikes = table_of(player.kernels, Who(0.0, player.skill), Place(STANDARD, STANDARD, Grounds(FAIRWAY)))
    fields = ("ball_speed_mps", "launch_rad", "spin_rpm", "drag")
    one = Strikes(*(getattr(strikes, name)[0].copy() for name in fields))
    t = np.radians(np.arange(5.0, 360.0, 10.0))
    for speed in (3.0, 6.0, 9.0, 12.0):
        x, y = wind_shift(one, STANDARD, Wind(speed, 0.0))
        along, across = shifts_at(one, STANDARD, Wind(speed, 0.0), t)
        off_x = x[:, :1] + x[:, 1:2] * np.cos(t) + x[:, 2:] * np.cos(2.0 * t) - along
        off_y = y[:, :1] * np.sin(t) + y[:, 1:] * np.sin(2.0 * t) - across
        print(f"wind of {speed:g} m/s: series off by at most {np.abs(off_x).max():.2f} m along, "
              f"{np.abs(off_y).max():.2f} m across")  # fmt: skip


if __name__ == "__main__":
    main()
