"""Arithmetic of the fast schedule, one flight at a time, in single precision: the one source of all kernels.

`bench/make_kernels.py` copies these functions, word for word, into `_kernel_lanes.py` (processor) and
`_kernel_cuda.py` (graphics card); they also run as plain Python, which the tests use. No branch depends on a
flight, so that many flights go through the same instructions side by side.

Law "D1": drag CD = 0.207 + 0.34 S²/(S² + 0.162), lift CL = 0.56 S/(S + 0.245), spin d(omega)/dt =
-1.4e-5 u omega/r, with S = r omega/u and u the speed through the air (docs/flight.md).

Names: v velocity (m/s), s surface speed of the spinning ball (m/s), w wind (m/s) at the reference height; for
the log law divided by log2(1 + reference height/roughness), so that times log2(1 + z/roughness) it is the
wind at z. a is the spin axis. `base`, `rise` and `lift` are k = rho A/2m (1/m) times the law's numbers 0.207,
0.34 and 0.56 and the level's factors.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from bagwright.flight._straight_fits import (
    COSINE_0,
    COSINE_1,
    COSINE_2,
    COSINE_3,
    COSINE_4,
    SINE_0,
    SINE_1,
    SINE_2,
    SINE_3,
    SINE_4,
    F,
    launch_fit,
    rest_fit,
)  # fmt: skip

ZERO = F(0.0)
ONE = F(1.0)
HALF = F(0.5)
TWO = F(2.0)
G = F(9.80665)
CD_LOW = F(0.207)
CD_RISE = F(0.34)
CD_BEND = F(0.162)
CL_BEND = F(0.245)
SLOW = F(8.0)
TINY = F(1e-6)
NEXT_TO_NOTHING = F(1e-20)
F3, F4, F5, F6, F7 = F(3.0), F(4.0), F(5.0), F(6.0), F(7.0)
F10, F12, F15, F20 = F(10.0), F(12.0), F(15.0), F(20.0)


def root(x: Any) -> Any:
    """The square root."""
    return np.sqrt(x)


def inverse_root(x: Any) -> Any:
    """1 over the square root; each kind of machine has its own."""
    return ONE / np.sqrt(x)


# --- copied from here on -----------------------------------------------------------------------------------


def slope(
    vx: Any, vy: Any, vz: Any, s: Any, share: Any, wx: Any, wy: Any, ax: Any, ay: Any, az: Any,
    base: Any, rise: Any, lift: Any, decay: Any,
) -> Any:  # fmt: skip
    """Rates by time of vx, vy, vz and s, and the speed through the air; one root and one division."""
    ux = vx - wx * share
    uy = vy - wy * share
    q2 = ux * ux + (uy * uy + vz * vz)
    q = q2 * (inverse_root(q2 + NEXT_TO_NOTHING))
    s2 = s * s
    d1 = s2 + CD_BEND * q2
    d2 = s + CL_BEND * q
    d = inverse_root(d1 * d2 + NEXT_TO_NOTHING)
    drag = q * (base + rise * ((s2 * d) * (d2 * d)))
    up = (lift * q) * ((s * d) * (d1 * d))
    gx = up * (ay * vz - az * uy) - drag * ux
    gy = up * (az * ux - ax * vz) - drag * uy
    gz = up * (ax * uy - ay * ux) - (drag * vz + G)
    return gx, gy, gz, -(decay * q) * s, q


def inverse(x: Any) -> Any:
    """1/|x|, by way of a root, which a processor estimates sooner than a quotient.

    The number added is too small to be felt; it keeps a compiler from undoing the detour.
    """
    return inverse_root(x * x + NEXT_TO_NOTHING)


def sine(x: Any) -> Any:
    """The sine between -90 and 90 degrees, to 1e-7."""
    u = x * x
    return x * (SINE_0 + u * (SINE_1 + u * (SINE_2 + u * (SINE_3 + u * SINE_4))))


def cosine(x: Any) -> Any:
    """The cosine between -90 and 90 degrees, to 1e-7."""
    u = x * x
    return COSINE_0 + u * (COSINE_1 + u * (COSINE_2 + u * (COSINE_3 + u * COSINE_4)))


def time_of_rest(z: Any, vz: Any, gz: Any, k: Any) -> Any:
    """Time to the ground from somewhere near the crest, within some 2 %: a fall, corrected by a fit.

    The fall has the present acceleration gz; the correction is a polynomial in kz, vz sqrt(k/g) and -gz/g, so
    that it holds in any air.
    """
    fall = -gz
    fall = fall if fall > HALF else HALF
    inside = vz * vz + TWO * fall * z
    inside = inside if inside > TINY else TINY
    return (vz + root(inside)) / fall * rest_fit(k * z, vz * root(k / G), fall / G)


def time_of_flight(
    speed: Any, sin_up: Any, cos_up: Any, vx: Any, vy: Any, vz: Any, s: Any, wx: Any, wy: Any, upright: Any,
    base: Any, rise: Any, lift: Any,
) -> Any:  # fmt: skip
    """Time to the ground from the launch, within some 5 %: the time without air, corrected by a fit.

    wx and wy are the wind a few metres up. The fit's variables have no dimension: speed sqrt(k/g), the sine
    of the launch angle, lift and drag over weight at launch, and wind over speed.
    """
    ux = vx - wx
    uy = vy - wy
    q2 = ux * ux + (uy * uy + vz * vz)
    q = root(q2)
    s2 = s * s
    over = lift * upright * cos_up * (s / (s + CL_BEND * q)) * q2 / G
    back = (base + rise * s2 / (s2 + CD_BEND * q2)) * q2 / G
    per_speed = ONE / speed
    fit = launch_fit(
        speed * root(base / (CD_LOW * G)), sin_up, over / (ONE + over), back / (ONE + back), wx * per_speed
    )
    return TWO * speed * sin_up / G * (fit * fit)


def share_of_least(q: Any, ratio: Any, low_from: Any, low_per: Any, least: Any, more: Any) -> Any:
    """Speed through the air over the least at which the law was measured, which depends on the spin ratio."""
    between = (ratio - low_from) * low_per
    between = between if between > ZERO else ZERO
    between = between if between < ONE else ONE
    return q * inverse(least + between * more)


def nearer(u: Any, b1: Any, b2: Any, c3: Any, c4: Any, c5: Any) -> Any:
    """One step of Newton to the top of a quintic, which bends down there."""
    climb = b1 + u * (TWO * b2 + u * (F3 * c3 + u * (F4 * c4 + u * (F5 * c5))))
    bend = TWO * b2 + u * (F6 * c3 + u * (F12 * c4 + u * (F20 * c5)))
    return u + climb * inverse(bend)


def crest(z0: Any, v0: Any, a0: Any, z1: Any, v1: Any, a1: Any, h: Any) -> Any:
    """Greatest height within a step that climbs at its start and falls at its end.

    The quintic through heights, climbs and accelerations at both ends; its top by Newton from the straight
    line through the climbs.
    """
    b1 = h * v0
    b2 = HALF * h * h * a0
    e0 = z1 - z0 - b1 - b2
    e1 = h * v1 - b1 - TWO * b2
    e2 = h * h * a1 - TWO * b2
    c3 = F10 * e0 - F4 * e1 + HALF * e2
    c4 = F7 * e1 - F15 * e0 - e2
    c5 = F6 * e0 - F3 * e1 + HALF * e2
    u = v0 * inverse(v0 - v1)
    u = nearer(u, b1, b2, c3, c4, c5)
    u = nearer(u, b1, b2, c3, c4, c5)
    u = nearer(u, b1, b2, c3, c4, c5)
    return z0 + u * (b1 + u * (b2 + u * (c3 + u * (c4 + u * c5))))
