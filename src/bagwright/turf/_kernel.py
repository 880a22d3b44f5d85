"""Bounce and roll of a golf ball, in Penner's form: plain arithmetic, one source for Python and for numba.

A ball pushes a small wall of turf up before it, so it meets a surface that is tilted towards it. In the frame
of that surface it rebounds with a restitution that falls with speed; along the surface it either leaves
rolling, or slides all through the contact when friction is too weak. Then it flies (no air over these few
metres), lands again, and rolls once its rebound is lower than 5 mm.

Source of every formula: Penner 2002, Canadian Journal of Physics 80, 931-940, equations 2-8, read second-hand
in four agreeing transcriptions; rolling condition after Daish 1972. That the angle of incidence in the tilt
is counted from the vertical follows the transcription that cites page 934; another counts from the ground.

Signs: u forward along the ground (m/s), down into the ground (m/s), spin positive for backspin (rad/s).
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

GRAVITY_MPS2 = 9.80665
"""Standard gravity (exact by convention)."""
BALL_RADIUS_M = 0.04267 / 2.0
"""Half of the smallest diameter that the rules of balls allow."""

TILT_RAD = math.radians(15.4)
"""Tilt of the turf at the reference impact of equations 6-8: 18.6 m/s, 44.4 degrees from the vertical."""
TILT_SPEED_MPS = 18.6
TILT_INCIDENCE_RAD = math.radians(44.4)
TILT_SHARE_PER_MPS = TILT_RAD / (TILT_SPEED_MPS * TILT_INCIDENCE_RAD)
"""Tilt as a share of the angle of incidence, per m/s of impact speed."""

FAST_MPS = 20.0
FAST_RESTITUTION = 0.120
RESTITUTION = (0.510, 0.0375, 0.000903)
"""Coefficients of equation 5 up to a normal speed of 20 m/s, above which it is 0.120."""
STOP_REBOUND_M = 0.005
STOP_UP_MPS = math.sqrt(2.0 * GRAVITY_MPS2 * STOP_REBOUND_M)
BOUNCES_MAX = 1000
"""More than any ball in the accepted ranges needs (tests hold it far below); beyond it the answer is NaN."""


class Ground(NamedTuple):
    """What a turf is to the kernel: factors of tilt and restitution, friction, deceleration of the roll."""

    tilt_scale: float  # factor on the turf's tilt, 0 or more
    restitution_scale: float  # factor on the odds e/(1 - e) of the restitution, so that it stays under 1
    friction: float  # sliding friction coefficient
    roll_mps2: float  # deceleration of a rolling ball, above 0


def rebound(
    u: float, down: float, spin: float, tilt_scale: float, restitution_scale: float, friction: float
) -> tuple[float, float, float]:
    """One impact: forward, upward speed (m/s) and backspin (rad/s) after it.

    The tilt is held to the angle of incidence: the pushed-up turf can face the ball, not lean over it.
    """
    share = TILT_SHARE_PER_MPS * tilt_scale * math.sqrt(u * u + down * down)
    tilt = min(share, 1.0) * math.atan2(u, down)
    c = math.cos(tilt)
    s = math.sin(tilt)
    normal = down * c + u * s
    along = u * c - down * s
    e = FAST_RESTITUTION
    if normal <= FAST_MPS:
        e = RESTITUTION[0] - RESTITUTION[1] * normal + RESTITUTION[2] * normal * normal
    e *= restitution_scale / (1.0 + (restitution_scale - 1.0) * e)
    slip = along + BALL_RADIUS_M * spin
    grip = friction * (1.0 + e) * normal
    if 3.5 * grip >= abs(slip):  # friction stops the slip within the contact: the ball leaves rolling
        along = (5.0 * along - 2.0 * BALL_RADIUS_M * spin) / 7.0
        spin = -along / BALL_RADIUS_M
    else:  # it slides all through the contact
        push = math.copysign(grip, slip)
        along -= push
        spin -= 2.5 * push / BALL_RADIUS_M
    up = e * normal
    return along * c - up * s, along * s + up * c, spin


def bounce_and_roll(
    speed_mps: float,
    descent_rad: float,
    spin_rad_s: float,
    tilt_scale: float,
    restitution_scale: float,
    friction: float,
    roll_mps2: float,
) -> tuple[float, float, int]:
    """The run of one ball: metres bounced, metres rolled (both negative backwards) and impacts counted."""
    u = speed_mps * math.cos(descent_rad)
    down = speed_mps * math.sin(descent_rad)
    spin = spin_rad_s
    bounce_m = 0.0
    for n in range(1, BOUNCES_MAX + 1):
        u, up, spin = rebound(u, down, spin, tilt_scale, restitution_scale, friction)
        if up < STOP_UP_MPS:
            return bounce_m, u * abs(u) / (2.0 * roll_mps2), n
        bounce_m += 2.0 * u * up / GRAVITY_MPS2
        down = up
    return math.nan, math.nan, BOUNCES_MAX


def runs(
    speed_mps: Any,
    descent_rad: Any,
    spin_rad_s: Any,
    tilt_scale: float,
    restitution_scale: float,
    friction: float,
    roll_mps2: float,
    out: Any,
) -> None:
    """The runs of many balls into `out` (n,), in metres; a ball with NaN in its numbers is left as it is."""
    for i in range(speed_mps.size):
        if not math.isnan(speed_mps[i] + descent_rad[i] + spin_rad_s[i]):
            bounced, rolled, _ = bounce_and_roll(
                speed_mps[i],
                descent_rad[i],
                spin_rad_s[i],
                tilt_scale,
                restitution_scale,
                friction,
                roll_mps2,
            )
            out[i] = bounced + rolled
