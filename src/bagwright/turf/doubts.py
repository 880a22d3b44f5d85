"""How far off the turf model and the landing numbers may be, as a fixed set of draws.

All standard deviations are judgement unless a source is named; they are wide because the published bounce
models disagree (Biber et al. 2023: restitution 0.26 and friction about 1 on a natural tee, where Penner has
0.12 to 0.5 and 0.40), and because the tilt of the turf, which rules the run, cannot be seen beforehand.
"""

from __future__ import annotations

import math
from functools import cache, lru_cache
from statistics import NormalDist
from typing import NamedTuple

from bagwright.estimate import Estimate
from bagwright.turf._kernel import Ground
from bagwright.turf.ground import Turf

DRAWS = 251
"""Draws in a band (a prime): enough for its ends to settle within a tenth of its width."""
GENERATOR = 31
WAYS = 7
"""Ways to be off: speed, descent and spin at landing; tilt, restitution, friction and roll of the turf."""
Draws = tuple[tuple[float, ...], ...]
Z_90 = NormalDist().inv_cdf(0.95)
"""Half a 90 % range in standard deviations."""

SPEED_SD_MPS = 0.6
DESCENT_SD_RAD = math.radians(1.2)
"""Doubt of landing numbers given without a range: the default flight law misses the one published landing by
1 m/s and 2 degrees, taken as the ends of a 90 % range."""
SPIN_SD_SHARE = 0.05
"""The same for the spin left: published decays leave 75 to 83 % of a drive's spin, taken as a 90 % range."""


class Spread(NamedTuple):
    """Standard deviations of the logarithms of what the turf does (of the odds, for restitution)."""

    tilt: float
    restitution: float
    friction: float
    roll: float


MOWN = Spread(0.05, 0.25, 0.30, 0.25)
"""Fairway and green. Tilt: the three firmnesses lie 0.055 to 0.065 apart, and are called by eye."""
LONG_GRASS = Spread(0.12, 0.30, 0.30, 0.30)
"""Rough, for which no source gives anything."""
BEYOND = 2.0
"""Factor on the doubt of the tilt where the landing lies outside what the model was made for."""


class Landing(NamedTuple):
    """A ball at the moment it lands: speed, angle below the horizontal, backspin."""

    speed_mps: float
    descent_rad: float
    spin_rpm: float


@cache
def normals() -> Draws:
    """DRAWS evenly filling draws of WAYS standard normal numbers: the same on every call and machine.

    A rank-1 lattice (Korobov 1959, from memory); the generator is the one of least correlation, by search.
    """
    quantile = NormalDist().inv_cdf
    steps = [pow(GENERATOR, way, DRAWS) for way in range(WAYS)]
    return tuple(tuple(quantile((i * step % DRAWS + 0.5) / DRAWS) for step in steps) for i in range(DRAWS))


def draws(
    speed_mps: float | Estimate,
    descent_rad: float | Estimate,
    spin_rpm: float | Estimate,
    turf: Turf,
    widen_tilt: float = 1.0,
    z_of: Draws | None = None,
) -> list[tuple[Landing, Ground]]:
    """Landings on grounds, as likely as each other given the doubts of both.

    One for each row of `z_of`: WAYS standard normal numbers, `normals()` unless given.
    """
    landing = (speed_mps, descent_rad, spin_rpm)
    if z_of is None:
        return list(zip(landings_of(*landing), grounds_of(turf, widen_tilt), strict=True))
    return list(zip(_landings(*landing, z_of), _grounds(turf, widen_tilt, z_of), strict=True))


@lru_cache(maxsize=64)
def landings_of(
    speed_mps: float | Estimate, descent_rad: float | Estimate, spin_rpm: float | Estimate
) -> tuple[Landing, ...]:
    """The landings of `draws` for the fixed rows; kept, as several turfs are asked about one landing."""
    return _landings(speed_mps, descent_rad, spin_rpm, normals())


def _landings(
    speed_mps: float | Estimate, descent_rad: float | Estimate, spin_rpm: float | Estimate, rows: Draws
) -> tuple[Landing, ...]:
    spin_sd = SPIN_SD_SHARE * abs(centre(spin_rpm))
    return tuple(
        Landing(
            max(_drawn(speed_mps, z[0], SPEED_SD_MPS), 0.0),
            min(max(_drawn(descent_rad, z[1], DESCENT_SD_RAD), 0.0), math.pi / 2.0),
            _drawn(spin_rpm, z[2], spin_sd),
        )
        for z in rows
    )


@lru_cache(maxsize=64)
def grounds_of(turf: Turf, widen_tilt: float) -> tuple[Ground, ...]:
    """The grounds of `draws` for the fixed rows: they depend on nothing of the ball, so they are kept."""
    return _grounds(turf, widen_tilt, normals())


def _grounds(turf: Turf, widen_tilt: float, rows: Draws) -> tuple[Ground, ...]:
    ground = turf.ground
    spread = LONG_GRASS if turf.lie == "rough" else MOWN
    return tuple(_doubted(ground, spread, z[3:], widen_tilt) for z in rows)


def centre(number: float | Estimate) -> float:
    """The number itself, or the middle value of an estimate."""
    return number.value if isinstance(number, Estimate) else number


def _drawn(number: float | Estimate, z: float, sd: float) -> float:
    """The number `z` standard deviations off; an estimate's two sides may differ."""
    if not isinstance(number, Estimate):
        return number + z * sd
    side = number.high - number.value if z > 0.0 else number.value - number.low
    return number.value + z * side / Z_90


def _doubted(ground: Ground, spread: Spread, z: tuple[float, ...], widen_tilt: float) -> Ground:
    return Ground(
        ground.tilt_scale * math.exp(spread.tilt * widen_tilt * z[0]),
        ground.restitution_scale * math.exp(spread.restitution * z[1]),
        ground.friction * math.exp(spread.friction * z[2]),
        ground.roll_mps2 * math.exp(spread.roll * z[3]),
    )


def band(value: float, sample: list[float]) -> Estimate:
    """`value` with the 5th and 95th percentile of a sample, widened to hold the value itself."""
    ordered = sorted(sample)
    return Estimate(value, min(_quantile(ordered, 0.05), value), max(_quantile(ordered, 0.95), value))


def _quantile(ordered: list[float], share: float) -> float:
    place = share * (len(ordered) - 1)
    below = int(place)
    above = min(below + 1, len(ordered) - 1)
    return ordered[below] + (place - below) * (ordered[above] - ordered[below])
