"""Club to ball: what a delivery launches, and which delivery a launch came from. All of it an estimate.

The rolling-sphere impact (Penner 2001, American Journal of Physics 69, 563, in the form read second-hand):
along the face's normal the ball leaves by momentum and restitution; along the face friction makes it roll, so
it keeps 1/(1 + m/M + 5/2) of the club's speed there, less where friction is too weak and it slides.

With V the club's speed, L the spin loft (between the club's path and the face's normal): v_n = V cos L (1 +
e)/(1 + m/M), v_t = V sin L/(1 + m/M + 5/2), spin = 5 v_t/(2 r), and the ball leaves L - atan(v_t/v_n) above
the path. Face and path side to side are the same geometry, with vectors.

How far off: the better of the published models miss ball speed by 1 %, launch and backspin by up to 10 %,
sidespin and start direction by 30-50 % (Caldwell and McPhee 2024, Sports Engineering 27:16, abstract, read
second-hand). This simpler one takes those as standard deviations (40 % for the last). Real balls can grip and
spin more than rolling ones (Cross and Dewhurst 2018, abstract).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

from bagwright.errors import InputError
from bagwright.estimate import Estimate
from bagwright.flight.launch import BALL_DIAMETER_M, BALL_MASS_KG, Launch
from bagwright.flight.rolling import rolling_exit
from bagwright.impact.heads import RESTITUTION_PER_MPS, Cover, Head, check_number, friction

SPEED_SD = 0.01
LAUNCH_SD = 0.10
BACKSPIN_SD = 0.10
SIDE_SD = 0.40
Z_90 = 1.6448536269514722
"""Half a 90 % range in standard deviations of the normal distribution."""
RADIUS_M = BALL_DIAMETER_M / 2.0
RPM_PER_RAD_S = 30.0 / math.pi

_RIGHT = math.radians(30.0)
_LIMITS = {
    "club_speed_mps": (2.0, 80.0),
    "loft_rad": (math.radians(-5.0), math.radians(80.0)),
    "attack_rad": (-_RIGHT, _RIGHT),
    "path_rad": (-_RIGHT, _RIGHT),
    "face_rad": (-_RIGHT, _RIGHT),
}
Vector = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Delivery:
    """How the club meets the ball, at its centre: speed in m/s, angles in radians.

    `loft_rad` is the loft delivered (the face above level at impact), not the loft stamped or measured;
    `attack_rad` the club's way up (positive) or down; `path_rad` and `face_rad` to the right of the target
    line, for left-handers too. Raises InputError for numbers that no swing has.
    """

    club_speed_mps: float
    loft_rad: float
    attack_rad: float = 0.0
    path_rad: float = 0.0
    face_rad: float = 0.0

    def __post_init__(self) -> None:
        for field in fields(self):
            check_number(f"delivery: {field.name}", getattr(self, field.name), *_LIMITS[field.name])

    @property
    def spin_loft_rad(self) -> float:
        """Angle between the club's path and the face's normal."""
        along = sum(a * b for a, b in zip(self._path(), self.normal(), strict=True))
        return math.acos(min(max(along, -1.0), 1.0))

    def normal(self) -> Vector:
        """The face's normal: forward, right, up, of length 1."""
        return _direction(self.face_rad, self.loft_rad)

    def velocity(self) -> Vector:
        """The club's velocity in m/s: forward, right, up."""
        x, y, z = self._path()
        return self.club_speed_mps * x, self.club_speed_mps * y, self.club_speed_mps * z

    def _path(self) -> Vector:
        return _direction(self.path_rad, self.attack_rad)


@dataclass(frozen=True, slots=True)
class Strike:
    """What a delivery launches, each with a 90 % range for the model's error (not for the delivery's own).

    `slides` says that friction was too weak for the ball to roll, so spin hangs on the ball's cover.
    """

    ball_speed_mps: Estimate
    launch_rad: Estimate
    spin_rpm: Estimate
    direction_rad: Estimate
    spin_axis_rad: Estimate
    spin_loft_rad: float
    slides: bool
    delivery: Delivery
    head: Head

    @property
    def launch(self) -> Launch:
        """The middle values, to be flown. Raises InputError if no ball flies so, as into the ground."""
        return Launch(
            self.ball_speed_mps.value,
            self.launch_rad.value,
            self.spin_rpm.value,
            self.direction_rad.value,
            self.spin_axis_rad.value,
        )

    @property
    def smash(self) -> Estimate:
        """Ball speed over club speed."""
        return self.ball_speed_mps.scaled(1.0 / self.delivery.club_speed_mps)


def strike(delivery: Delivery, head: Head, cover: Cover | None = None) -> Strike:
    """The launch of a ball struck in the head's centre: an estimate.

    Without a `cover` the ball grips and rolls whatever the friction; with one it slides where the friction of
    such a ball on a smooth face is too weak (no source read gives what grooves add).
    """
    velocity, spin, slides = _impact(delivery, head, cover)
    x, y, z = velocity
    direction = math.atan2(y, x)
    # Spin about the level axis across the start direction is backspin, spin about the upright axis tilts it.
    back = spin[0] * math.sin(direction) - spin[1] * math.cos(direction)
    tilt = math.atan2(spin[2], back) + 0.0 if (back or spin[2]) else 0.0
    return Strike(
        ball_speed_mps=_around(math.hypot(x, y, z), SPEED_SD),
        launch_rad=_around(math.atan2(z, math.hypot(x, y)), LAUNCH_SD),
        spin_rpm=_around(math.hypot(*spin) * RPM_PER_RAD_S, BACKSPIN_SD),
        direction_rad=_around(direction, SIDE_SD),
        spin_axis_rad=_tilt(tilt),
        spin_loft_rad=delivery.spin_loft_rad,
        slides=slides,
        delivery=delivery,
        head=head,
    )


def delivery_of(launch: Launch, head: Head) -> Delivery:
    """The delivery that launches this ball from the head's centre: the rolling-sphere impact run backwards.

    Exact for the model (a strike of the answer gives the launch back), so as uncertain as the model: club
    speed 1-2 %, loft and attack angle a degree or three. Side to side the club is taken to move where the
    ball starts. Raises InputError where no delivery in the usual ranges launches so.
    """
    back = launch.spin_rpm / RPM_PER_RAD_S * RADIUS_M / 2.5
    if back >= launch.ball_speed_mps:
        text = f"spin of {launch.spin_rpm:g} rpm is more than rolling gives at {launch.ball_speed_mps:g} m/s."
        raise InputError(text, "Check the units of spin and ball speed.")
    normal = math.sqrt(launch.ball_speed_mps**2 - back**2)
    loft = launch.launch_rad + math.atan2(back, normal)
    share = BALL_MASS_KG / head.mass_kg
    # (1 + e) v = normal (1 + m/M) with e falling with v: the smaller root of a quadratic.
    b = 1.0 + head.still_restitution
    inside = b * b - 4.0 * RESTITUTION_PER_MPS * normal * (1.0 + share)
    if inside < 0.0:
        raise InputError(
            f"no club speed gives {launch.ball_speed_mps:g} m/s of ball speed.", "Check its unit."
        )
    along_normal = (b - math.sqrt(inside)) / (2.0 * RESTITUTION_PER_MPS)
    along_face = back * (1.0 + share + 2.5)
    spin_loft = math.atan2(along_face, along_normal)
    side = launch.direction_rad
    return Delivery(math.hypot(along_normal, along_face), loft, loft - spin_loft, side, side)


def face_share(spin_loft_rad: float, head: Head, club_speed_mps: float = 40.0) -> float:
    """Share (0-1) of the way from path to face where a ball starts, by the rigid rolling model.

    Measured shares: 0.61-0.83 (Wood, Henrikson and Broadie 2018, abstract); 0.83 driver, 0.81 7-iron, 0.72
    wedge (Henrikson, Wood, Broadie and Nuttall 2020, read second-hand). Spin loft in radians, above 0.
    """
    check_number("spin_loft_rad", spin_loft_rad, 1e-6, math.radians(80.0))
    normal, along, _ = _speeds(
        club_speed_mps * math.cos(spin_loft_rad), club_speed_mps * math.sin(spin_loft_rad), head
    )
    return 1.0 - math.atan2(along, normal) / spin_loft_rad


def _speeds(
    normal_mps: float, along_mps: float, head: Head, cover: Cover | None = None
) -> tuple[float, float, bool]:
    """Ball speed along the normal and along the face, and whether the ball slid.

    Without a cover it rolls.
    """
    normal, along = rolling_exit(normal_mps, along_mps, head.mass_kg, head.restitution(normal_mps))
    if cover is None:
        return normal, along, False
    most = friction(along_mps, cover) * normal
    return normal, min(along, most), along > most


def _impact(delivery: Delivery, head: Head, cover: Cover | None) -> tuple[Vector, Vector, bool]:
    """Velocity (m/s) and spin (rad/s) of the ball, forward, right, up; and whether it slid on the face."""
    v, n = delivery.velocity(), delivery.normal()
    into = sum(a * b for a, b in zip(v, n, strict=True))
    if into <= 0.0:
        raise InputError("the club moves away from the ball.", "Check loft and attack angle.")
    slip = (v[0] - into * n[0], v[1] - into * n[1], v[2] - into * n[2])
    speed = math.hypot(*slip)
    normal, along, slides = _speeds(into, speed, head, cover)
    keep = along / speed if speed > 0.0 else 0.0
    out = (
        normal * n[0] + keep * slip[0],
        normal * n[1] + keep * slip[1],
        normal * n[2] + keep * slip[2],
    )
    per = -2.5 * keep / RADIUS_M  # backspin turns about the axis that points left: minus normal times slip
    spin = (
        per * (n[1] * slip[2] - n[2] * slip[1]),
        per * (n[2] * slip[0] - n[0] * slip[2]),
        per * (n[0] * slip[1] - n[1] * slip[0]),
    )
    return out, spin, slides


def _direction(side_rad: float, up_rad: float) -> Vector:
    level = math.cos(up_rad)
    return level * math.cos(side_rad), level * math.sin(side_rad), math.sin(up_rad)


def _around(value: float, sd_share: float) -> Estimate:
    half = Z_90 * sd_share * abs(value)
    return Estimate(value, value - half, value + half)


def _tilt(tilt_rad: float) -> Estimate:
    """Tilt of the spin axis with the doubts of sidespin and backspin in its tangent."""
    off = Z_90 * math.hypot(SIDE_SD, BACKSPIN_SD)
    back, side = math.cos(tilt_rad), math.sin(tilt_rad)
    ends = sorted(math.atan2(side * factor, back) for factor in (1.0 - off, 1.0 + off))
    return Estimate(tilt_rad, min(ends[0], tilt_rad), max(ends[1], tilt_rad))
