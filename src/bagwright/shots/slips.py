"""Units that slipped: which change of unit would make a suspect row fit its own launch figures."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagwright.shots.fit_launch import Flyer
from bagwright.shots.strikes import Strikes
from bagwright.units import M_PER_FT, M_PER_YD, MPS_PER_KMH, MPS_PER_MPH
from bagwright.words import tell

Floats = NDArray[np.float64]

FITS = 3.0
"""A row fits once its distance is below this, in robust sds."""


@dataclass(frozen=True, slots=True)
class Slip:
    """A change of unit: which figure, the factor that would put it right, and the slip in words."""

    figure: str
    factor: float
    words: str


CARRY: tuple[Slip, ...] = (
    Slip("carry_m", 1.0 / M_PER_YD, tell("as if a carry in metres stood among yards")),
    Slip("carry_m", M_PER_YD, tell("as if a carry in yards stood among metres")),
    Slip("carry_m", M_PER_FT, tell("as if a carry in feet stood among metres")),
    Slip("carry_m", 1.0 / 3.0, tell("as if a carry in feet stood among yards")),
)
HEIGHT: tuple[Slip, ...] = (
    Slip("apex_m", M_PER_FT, tell("as if a height in feet stood among metres")),
    Slip("apex_m", 1.0 / M_PER_FT, tell("as if a height in metres stood among feet")),
    Slip("apex_m", 1.0 / 3.0, tell("as if a height in feet stood among yards")),
    Slip("apex_m", 3.0, tell("as if a height in yards stood among feet")),
    Slip("apex_m", M_PER_YD, tell("as if a height in yards stood among metres")),
    Slip("apex_m", 1.0 / M_PER_YD, tell("as if a height in metres stood among yards")),
)
SPEED: tuple[Slip, ...] = (
    Slip("ball_speed_mps", MPS_PER_MPH / MPS_PER_KMH, tell("as if a speed in mph stood among km/h")),
    Slip("ball_speed_mps", MPS_PER_KMH / MPS_PER_MPH, tell("as if a speed in km/h stood among mph")),
    Slip("ball_speed_mps", 1.0 / MPS_PER_MPH, tell("as if a speed in m/s stood among mph")),
    Slip("ball_speed_mps", MPS_PER_MPH, tell("as if a speed in mph stood among m/s")),
    Slip("ball_speed_mps", 1.0 / MPS_PER_KMH, tell("as if a speed in m/s stood among km/h")),
    Slip("ball_speed_mps", MPS_PER_KMH, tell("as if a speed in km/h stood among m/s")),
)


@dataclass(frozen=True, slots=True)
class Suspects:
    """Suspect rows, arrays (k,): gaps in ln, their sds, and the strikes; heights NaN where none."""

    carry_gap: Floats
    carry_sd: Floats
    height_gap: Floats
    height_sd: Floats
    flown_carry_m: Floats
    flown_apex_m: Floats
    strikes: Strikes


def find_slips(rows: Suspects, fly: Flyer) -> list[Slip | None]:
    """For each suspect row the change of one unit that makes it fit, or None where none does."""
    tried = [(slip, _shifted(rows, slip)) for slip in (*CARRY, *HEIGHT)]
    tried += [(slip, _flown_again(rows, slip, fly)) for slip in SPEED]
    table = np.array([off for _, off in tried])
    table = np.where(np.isfinite(table), table, np.inf)
    nearest = table.argmin(axis=0)
    least = table[nearest, np.arange(table.shape[1])]
    return [
        tried[k][0] if off < FITS else None for k, off in zip(nearest.tolist(), least.tolist(), strict=True)
    ]


def _off(rows: Suspects, carry_gap: Floats, height_gap: Floats) -> Floats:
    height = np.nan_to_num(height_gap / rows.height_sd)
    return np.asarray(np.maximum(np.abs(carry_gap) / rows.carry_sd, np.abs(height)))


def _shifted(rows: Suspects, slip: Slip) -> Floats:
    step = float(np.log(slip.factor))
    if slip.figure == "carry_m":
        return _off(rows, rows.carry_gap + step, rows.height_gap)
    off = _off(rows, rows.carry_gap, rows.height_gap + step)
    return np.where(np.isfinite(rows.height_gap), off, np.inf)


def _flown_again(rows: Suspects, slip: Slip, fly: Flyer) -> Floats:
    s = rows.strikes
    # Only a speed that a ball can have is flown: 170 km/h read as m/s is one, 170 mph times 2.2 is none.
    speed = s.ball_speed_mps * slip.factor
    speed = np.where((speed > 4.0) & (speed < 105.0), speed, np.nan)
    again = Strikes(speed, s.launch_rad, s.spin_rpm, s.direction_rad, s.spin_axis_rad, s.sideways_known)
    carry, apex = fly(again)
    return _off(
        rows,
        rows.carry_gap - np.log(carry / rows.flown_carry_m),
        rows.height_gap - np.log(apex / rows.flown_apex_m),
    )
