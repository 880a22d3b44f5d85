"""How likely a ball that lands on a green stays on it: the run's doubts turned into a probability."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from bagwright.errors import InputError
from bagwright.estimate import Estimate
from bagwright.turf.doubts import BEYOND, grounds_of, landings_of
from bagwright.turf.ground import GREEN, Firmness, Turf
from bagwright.turf.runs import Run, run_m_of, run_with_sample

DEPTH_M = 10.0
"""Green behind the landing spot when none is said: common practice, no source (a ball landing short of the
middle of a green some 25 m deep)."""
DEPTH_LIMITS_M = (0.0, 100.0)
UNEVEN_M = 0.5
"""Standard deviation of a run from ball to ball on one green, slope and grain apart: judgement."""


@dataclass(frozen=True, slots=True)
class Hold:
    """How likely a ball stops at most `depth_m` beyond its landing spot on a green, if it lands on it.

    `probability` (0-1) averages over the doubts of the landing numbers and of the turf model. `if_firm` and
    `if_soft` are the same for a firm and a soft green: how much the answer hangs on a firmness that is called
    by eye. A ball that comes back counts as held. `run` is the run with its band.
    """

    probability: float
    if_firm: float
    if_soft: float
    depth_m: float
    run: Run


def holds(
    landing_speed_mps: float | Estimate,
    descent_rad: float | Estimate,
    landing_spin_rpm: float | Estimate,
    depth_m: float = DEPTH_M,
    turf: Turf = GREEN,
) -> Hold:
    """Chance that a ball landing on a green stops at most `depth_m` (0-100 m) beyond where it lands.

    Landing numbers as for `run`. The turf must be a green. Steeper landings never hold less: for the same
    speed and spin the chance rises with descent. NaN in gives NaN. Raises InputError as `run` does, for a
    depth outside its limits and for any lie but a green.
    """
    _check(depth_m, turf)
    landing = (landing_speed_mps, descent_rad, landing_spin_rpm)
    the_run, sample = run_with_sample(*landing, turf)
    if math.isnan(the_run.run_m.value):
        return Hold(math.nan, math.nan, math.nan, depth_m, the_run)
    landings = landings_of(*landing)
    wide = BEYOND if the_run.extrapolated else 1.0

    def chance(firmness: Firmness) -> float:
        if firmness == turf.firmness:
            return _chance(sample, depth_m)
        grounds = grounds_of(replace(turf, firmness=firmness), wide)
        return _chance([run_m_of(*drawn) for drawn in zip(landings, grounds, strict=True)], depth_m)

    return Hold(chance(turf.firmness), chance("firm"), chance("soft"), depth_m, the_run)


def _chance(sample: list[float], depth_m: float) -> float:
    return math.fsum(_below(depth_m, run_m) for run_m in sample) / len(sample)


def _below(depth_m: float, run_m: float) -> float:
    """Chance that a run of `run_m` on average is at most `depth_m` on an uneven green."""
    return 0.5 * math.erfc((run_m - depth_m) / (UNEVEN_M * math.sqrt(2.0)))


def _check(depth_m: object, turf: Turf) -> None:
    low, high = DEPTH_LIMITS_M
    if isinstance(depth_m, bool) or not isinstance(depth_m, int | float) or not low <= depth_m <= high:
        raise InputError(
            f"depth {depth_m!r:.40} of green is not a number from {low:g} to {high:g} m.",
            "Give the metres of green behind the landing spot, such as 10.",
        )
    if turf.lie != "green":
        raise InputError(f"{turf.lie} is not a green to hold.", "Set the lie of the turf to green.")
