"""A strike off the centre, towards toe or heel: less ball speed, and a spin that the twisting head gives.

Not modelled: the bulge of a wood's face, which starts the ball to that side and is made for this spin; the
face's turn while the ball is on it; strikes high or low on the face.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from bagwright.errors import InputError
from bagwright.estimate import Estimate
from bagwright.flight.launch import BALL_MASS_KG
from bagwright.impact.heads import Head, check_number
from bagwright.impact.strikes import RADIUS_M, RPM_PER_RAD_S, SIDE_SD, SPEED_SD, Z_90

Hand = Literal["right", "left"]

OFFSET_MAX_M = 0.06
WHEN = (0.5, 1.0)
"""Share of the head's final turning speed that the ball rolls against: half on average, all at the end."""


@dataclass(frozen=True, slots=True)
class Gear:
    """What an off-centre strike changes.

    `speed_factor` is ball speed over that of a centre strike; `side_spin_rpm` the spin added about the
    upright axis, positive curving RIGHT for either hand; `mass_kg` what the ball met.
    """

    speed_factor: Estimate
    side_spin_rpm: Estimate
    mass_kg: float


def gear_effect(toe_m: float, centre_ball_speed_mps: float, head: Head, hand: Hand = "right") -> Gear:
    """A strike `toe_m` metres from the centre towards the toe (towards the heel negative, at most 6 cm).

    `centre_ball_speed_mps` is the ball speed that the same swing gives in the centre. The toe is to the right
    of the centre for a right-hander, to the left for a left-hander; a toe strike curves back across: left for
    a right-hander, right for a left-hander.

    Ball speed goes with M(1 + e)/(M + m) with the mass met at the offset. The head turns at J b/I after an
    impulse J = m v; the face then moves sideways with that times the depth of its centre of gravity, and the
    ball rolls on it as it does along the loft (rigid body; worked row in tests/published/impact.csv).

    Raises InputError for an offset, speed or hand that cannot be.
    """
    check_number("toe_m", toe_m, -OFFSET_MAX_M, OFFSET_MAX_M)
    check_number("centre_ball_speed_mps", centre_ball_speed_mps, 0.0, 115.0)
    if hand not in ("right", "left"):
        raise InputError(f"hand {hand!r:.40} is not known.", "Use right or left.")
    met = head.mass_at(toe_m)
    factor = met / (met + BALL_MASS_KG) * (head.mass_kg + BALL_MASS_KG) / head.mass_kg
    turn = BALL_MASS_KG * centre_ball_speed_mps * factor * toe_m / head.inertia_kg_m2
    full = 2.5 / RADIUS_M * turn * head.depth_m / (1.0 + BALL_MASS_KG / head.mass_kg + 2.5) * RPM_PER_RAD_S
    right = -full if hand == "right" else full
    return Gear(_loss(factor), _spin(right), met)


def _loss(factor: float) -> Estimate:
    """The loss, not the speed itself, is in doubt: the centre strike shares the model's error of 1 %."""
    half = Z_90 * math.hypot(0.25 * (1.0 - factor), SPEED_SD * (1.0 - factor))
    return Estimate(factor, factor - half, min(factor + half, 1.0))


def _spin(full_rpm: float) -> Estimate:
    low, high = WHEN
    value = 0.5 * (low + high) * full_rpm
    half = math.hypot(0.5 * (high - low) * full_rpm, Z_90 * SIDE_SD * value)
    return Estimate(value, value - half, value + half)
