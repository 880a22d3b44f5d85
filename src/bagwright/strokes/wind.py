"""What a stated wind does to every shot, as a function of its direction over the shot's.

The same strikes are flown in the wind from twelve directions (seven; left and right are alike for a straight
shot) and in calm air. The shift of the landing along the line is even in the direction and that across odd,
so it is a cosine and a sine series; the first terms are kept (what is left is measured in a test).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from bagwright.air import Air, Wind
from bagwright.strokes.strikes import Strikes

Floats = NDArray[np.float64]

DIRECTIONS = 12


def wind_shift(strikes: Strikes, air: Air, wind: Wind) -> tuple[Floats, Floats]:
    """Shifts of strikes of one shape: (..., 3) along the line, a0, a1, a2, and (..., 2) right, b1, b2."""
    shape = strikes.ball_speed_mps.shape
    half = DIRECTIONS // 2
    angles: Floats = np.arange(half + 1, dtype=np.float64) * (2.0 * math.pi / DIRECTIONS)
    along, across = shifts_at(strikes, air, wind, angles)
    # The mirrored half: every direction but head and tail counts twice.
    twice = np.where((np.arange(half + 1) % half) == 0, 1.0, 2.0) / DIRECTIONS
    x = [along @ twice, along @ (2.0 * twice * np.cos(angles)), along @ (2.0 * twice * np.cos(2.0 * angles))]
    y = [across @ (2.0 * twice * np.sin(k * angles)) for k in (1, 2)]
    return np.stack(x, -1).reshape(*shape, 3), np.stack(y, -1).reshape(*shape, 2)


def shifts_at(strikes: Strikes, air: Air, wind: Wind, angles: Floats) -> tuple[Floats, Floats]:
    """Shifts (n, k) along the line and to the right of flattened strikes in winds from k directions."""
    calm = strikes.fly(air)
    flown = [strikes.fly(air, replace(wind, from_rad=float(angle))) for angle in angles]
    along = np.stack([flight.downrange_m - calm.downrange_m for flight in flown], -1)
    across = np.stack([flight.offline_m - calm.offline_m for flight in flown], -1)
    return along, across
