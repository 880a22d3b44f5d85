"""The turf a ball lands on: how firm, which lie, how fast a green; what that means for bounce and roll."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, get_args

from bagwright.errors import InputError
from bagwright.turf._kernel import GRAVITY_MPS2, Ground
from bagwright.units import M_PER_FT, MPS_PER_FPS

Firmness = Literal["firm", "normal", "soft"]
TurfLie = Literal["fairway", "rough", "green", "sand"]

TILT_SCALE: dict[str, float] = {"firm": 1.0, "normal": 1.055, "soft": 1.125}
"""Factor on the turf's tilt, set so that tour tee shots run 4.49 yd less on normal and 9.80 yd less on soft
than on firm fairways (USGA and R&A 2023, Golf Course Effects on Hitting Distance, read second-hand)."""
FRICTION = 0.40
"""Sliding friction of turf, Penner 2002 page 933 (read second-hand)."""
ROLL_RESISTANCE = 0.131
"""Penner's rho_g; the roll slows by 5/7 rho_g g (Penner 2002 page 935, read second-hand: a green,
0.065-0.196). A fairway is only said to be "larger" there; the band of a run allows for it."""
ROUGH_TILT_FACTOR = 1.2  # judgement: no source gives rough
ROUGH_FRICTION = 0.8  # judgement
ROUGH_RESISTANCE = 0.6  # judgement
GREEN_SPEED_FT = 10.0
"""Green speed taken when none is said: common practice, no source."""
STIMP_RELEASE_MPS = 6.0 * MPS_PER_FPS
"""Speed of a ball leaving the stimpmeter, 6.00 ft/s (read second-hand)."""
STIMP_RANGE_FT = (3.0, 20.0)


@dataclass(frozen=True, slots=True)
class Turf:
    """What a ball lands on. Level ground: slope is not modelled.

    `firmness` firm, normal or soft; `lie` fairway, rough, green or sand (where a ball does not run);
    `stimp_ft` the green speed in feet as the stimpmeter gives it, 3-20, for a green only.

    Raises InputError for any other word or number.
    """

    firmness: Firmness = "normal"
    lie: TurfLie = "fairway"
    stimp_ft: float | None = None

    def __post_init__(self) -> None:
        _one_of("firmness", self.firmness, get_args(Firmness))
        _one_of("lie", self.lie, get_args(TurfLie))
        if self.stimp_ft is not None:
            _check_stimp(self.stimp_ft, self.lie)

    @property
    def ground(self) -> Ground:
        """The numbers that bounce and roll need. Sand has them too, but a ball does not run there."""
        scale = TILT_SCALE[self.firmness]
        if self.lie == "rough":
            return Ground(scale * ROUGH_TILT_FACTOR, 1.0, ROUGH_FRICTION, roll_mps2(ROUGH_RESISTANCE))
        if self.lie == "green":
            return Ground(scale, 1.0, FRICTION, stimp_mps2(self.stimp_ft or GREEN_SPEED_FT))
        return Ground(scale, 1.0, FRICTION, roll_mps2(ROLL_RESISTANCE))


def roll_mps2(resistance: float) -> float:
    """Deceleration of a rolling ball from Penner's rho_g (2002, page 935): 5/7 rho_g g."""
    return 5.0 / 7.0 * resistance * GRAVITY_MPS2


def stimp_mps2(stimp_ft: float) -> float:
    """Deceleration of a rolling ball from the green speed: release speed squared over twice the distance."""
    return STIMP_RELEASE_MPS**2 / (2.0 * stimp_ft * M_PER_FT)


def _one_of(name: str, value: object, allowed: tuple[str, ...]) -> None:
    if not isinstance(value, str) or value not in allowed:
        raise InputError(f"{name} {value!r:.40} is not known.", f"Use one of: {', '.join(allowed)}.")


def _check_stimp(stimp_ft: object, lie: str) -> None:
    low, high = STIMP_RANGE_FT
    if isinstance(stimp_ft, bool) or not isinstance(stimp_ft, int | float) or not math.isfinite(stimp_ft):
        raise InputError(f"green speed {stimp_ft!r:.40} is not a number of feet.", "Give it like 10.5.")
    if not low <= stimp_ft <= high:
        raise InputError(
            f"green speed {stimp_ft:g} ft is outside {low:g} to {high:g} ft.", "Measure it again."
        )
    if lie != "green":
        raise InputError(
            f"a green speed of {stimp_ft:g} ft is given for {lie}.", "Leave it out, or set lie to green."
        )


FAIRWAY = Turf()
GREEN = Turf(lie="green")
