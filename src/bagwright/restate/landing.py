"""What strikes fly in a setting, and measured figures taken from one setting to another.

Every formula here gives its own inverse when the two settings change places, so the same strikes there and
back are the figures that were measured.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from bagwright.restate.measured import measured
from bagwright.restate.setting import Setting

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from bagwright.flight.launch import Flights, Launches, Scale
    from bagwright.shots.record import ShotTable
    from bagwright.turf import Turf

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]

FIGURES = ("carry_m", "total_m", "offline_m", "offline_total_m", "apex_m", "descent_rad", "time_s")
"""The columns that other air, wind, ball or turf change."""
FAST_FROM = 50_000
"""Rows from which the fast schedule flies them: within 1 mm, so a change of carry is as exact."""
SHORTEST_M = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class Landing:
    """What n strikes fly in one setting, arrays (n,), NaN where not known; carry and side with its ball.

    `beyond` marks flights that left what the law was fitted to.
    """

    carry_m: Floats
    offline_m: Floats
    apex_m: Floats
    time_s: Floats
    descent_rad: Floats
    run_m: Floats
    offline_run_m: Floats
    beyond: Bools
    sand: bool

    @property
    def flew(self) -> Bools:
        """Which strikes (n,) flew far enough to be restated."""
        return self.carry_m >= SHORTEST_M  # NaN is False


def landing(launches: Launches, setting: Setting, law: str, scale: Scale) -> Landing:
    """Fly strikes and let them run in a setting."""
    import numpy as np

    from bagwright.flight.fly import fly_many

    fast = len(launches) >= FAST_FROM and law == "D1"
    flights = fly_many(launches, setting.air, setting.wind, law, scale, fast=fast)
    ran = _run(flights, setting.turf)
    factor = setting.ball_factor
    return Landing(
        flights.carry_m * factor,
        flights.offline_m * factor,
        flights.apex_m,
        flights.time_s,
        flights.descent_rad,
        ran,
        ran * np.sin(flights.landing_direction_rad),
        flights.extrapolated,
        setting.turf.lie == "sand",
    )


def carries_by_air(
    launches: Launches, here: Setting, there: Setting, law: str, scale: Scale
) -> tuple[Floats, Floats]:
    """Carries (n,) here, and with the air of there in the wind of here; with the ball of here."""
    from dataclasses import replace

    a = landing(launches, here, law, scale).carry_m
    if here.wind == there.wind:
        return a, landing(launches, replace(there, ball=here.ball), law, scale).carry_m
    return a, landing(launches, replace(here, air=there.air), law, scale).carry_m


def _run(flights: Flights, turf: Turf) -> Floats:
    """Runs (n,); NaN for a landing that the turf model does not take."""
    import numpy as np

    from bagwright.turf.limits import LIMITS
    from bagwright.turf.many import run_many

    given = (flights.landing_speed_mps, flights.descent_rad, flights.landing_spin_rpm)
    taken = np.ones(len(flights), dtype=np.bool_)
    for values, (low, high, _) in zip(given, LIMITS.values(), strict=True):
        taken &= (values >= low) & (values <= high)
    speed, descent, spin = (np.where(taken, values, np.nan) for values in given)
    return run_many(speed, descent, spin, turf)


def figures_there(table: ShotTable, here: Landing, there: Landing) -> dict[str, Floats]:
    """The measured figures as they would have been there, by column; NaN where nothing was measured.

    carry: times flown carry there over here; apex and time likewise. Side: what was measured beside the
    flown side grows with the carry, the flown side is exchanged, so curve and the wind's drift change as
    flown. Descent: the tangent by ratio, so it stays an angle. Total: the carry there and the run.
    """
    import numpy as np

    k = there.carry_m / here.carry_m
    found = {
        "carry_m": measured(table, "carry_m") * k,
        "apex_m": measured(table, "apex_m") * (there.apex_m / here.apex_m),
        "time_s": measured(table, "time_s") * (there.time_s / here.time_s),
        "offline_m": there.offline_m + k * (measured(table, "offline_m") - here.offline_m),
    }
    steep = np.tan(there.descent_rad) / np.tan(here.descent_rad)
    found["descent_rad"] = np.arctan(np.tan(measured(table, "descent_rad")) * steep)
    found["total_m"] = _total(table, found["carry_m"], here, there)
    whole = (there.carry_m + there.run_m) / (here.carry_m + here.run_m)
    side = measured(table, "offline_total_m") - here.offline_m - here.offline_run_m
    found["offline_total_m"] = there.offline_m + there.offline_run_m + whole * side
    return {name: found[name] for name in FIGURES if name in table.measures}


def _total(table: ShotTable, carry_there: Floats, here: Landing, there: Landing) -> Floats:
    """Totals there: carry there and the run; by ratio where the carry was not measured.

    A long run changes by ratio, a short one by difference: asinh takes both at once and has an inverse.
    Into sand a ball does not run at all; out of sand its run is the flown one.
    """
    import numpy as np

    total, carry = measured(table, "total_m"), measured(table, "carry_m")
    ran = total - carry
    if there.sand and not here.sand:
        run = np.zeros(len(total))
    elif here.sand and not there.sand:
        run = there.run_m
    else:
        run = np.sinh(np.arcsinh(ran) + np.arcsinh(there.run_m) - np.arcsinh(here.run_m))
    both = carry_there + np.where(np.isnan(ran), np.nan, run)
    whole = (there.carry_m + there.run_m) / (here.carry_m + here.run_m)
    return np.where(np.isnan(carry), total * whole, both)
