"""Club heads as impact sees them: mass, restitution, how hard they are to twist, and the face's grip.

Only the driver's mass, moment and depth come from a worked row; the others are judgement. A head measured in
the workshop replaces them: `replace(HEADS["iron"], mass_kg=0.268)`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import Literal, get_args

from bagwright.errors import InputError
from bagwright.flight.launch import BALL_MASS_KG
from bagwright.flight.rolling import HEAD_KG

HeadKind = Literal["driver", "wood", "hybrid", "iron", "wedge"]
Cover = Literal["soft", "hard"]

RESTITUTION_PER_MPS = 0.0029
"""Loss of restitution per m/s of normal speed: Penner 2001, American Journal of Physics 69, 563, e = 0.86 -
0.0029 v (from memory); solid balls lose 0.0028 between 20 and 45 m/s (Chou et al. 1994, read second-hand)."""
PENNER_STILL = 0.86
"""The same law at no speed, for a rigid face."""
LIMIT_RESTITUTION = 0.83
"""Restitution at the former limit for driver faces, which a time on a pendulum has replaced since 2004."""
LIMIT_STILL = LIMIT_RESTITUTION + 45.0 * RESTITUTION_PER_MPS
"""A driver face at that limit at 45 m/s: judgement."""

FRICTION_SPEEDS_MPS = (12.8, 26.0)
FRICTION: dict[Cover, tuple[float, float]] = {"soft": (0.38, 0.29), "hard": (0.16, 0.075)}
"""Sliding friction of ball on face at those tangential speeds: three-piece soft and two-piece hard balls
(Gobush 1996, in Penner 2003, Reports on Progress in Physics 66, page 149, read second-hand)."""

_LIMITS = {
    "mass_kg": (0.05, 0.6),
    "still_restitution": (0.3, 1.0),
    "inertia_kg_m2": (5e-5, 2e-3),
    "depth_m": (0.0, 0.08),
}


@dataclass(frozen=True, slots=True)
class Head:
    """A club head.

    Mass in kg; restitution as the impact speed falls to nothing; moment of inertia about the upright axis in
    kg m2 (10,000 g cm2 are 0.001); depth of the centre of gravity behind the face in m.

    Raises InputError for a number outside what club heads have.
    """

    mass_kg: float
    still_restitution: float
    inertia_kg_m2: float
    depth_m: float

    def __post_init__(self) -> None:
        for field in fields(self):
            check_number(f"head: {field.name}", getattr(self, field.name), *_LIMITS[field.name])

    def restitution(self, normal_mps: float) -> float:
        """Restitution at a closing speed along the face's normal, in m/s."""
        return self.still_restitution - RESTITUTION_PER_MPS * normal_mps

    def mass_at(self, offset_m: float) -> float:
        """Mass in kg that a ball meets `offset_m` from the centre.

        1/Meff = 1/M + b2/I (rigid body; Cross and Nathan 2009, read second-hand).
        """
        return 1.0 / (1.0 / self.mass_kg + offset_m * offset_m / self.inertia_kg_m2)


def head_of(kind: str) -> Head:
    """The usual head of a kind of club. Raises InputError for a kind that is not struck like these."""
    if kind not in get_args(HeadKind):
        raise InputError(f"no head is known for {kind!r:.40}.", f"Use one of: {', '.join(HEADS)}.")
    return HEADS[kind]  # type: ignore[index]


def smash_ceiling(
    head_mass_kg: float = 0.200, restitution: float = LIMIT_RESTITUTION, ball_mass_kg: float = BALL_MASS_KG
) -> float:
    """Highest ratio of ball to club speed: M(1 + e)/(M + m), square and without loft.

    From momentum and restitution; masses in kg. A measured ratio above it is a misread, most often of club
    speed. Raises InputError for numbers that no head or ball has.
    """
    check_number("head_mass_kg", head_mass_kg, *_LIMITS["mass_kg"])
    check_number("restitution", restitution, 0.0, 1.0)
    check_number("ball_mass_kg", ball_mass_kg, 0.02, 0.08)
    return head_mass_kg * (1.0 + restitution) / (head_mass_kg + ball_mass_kg)


def friction(tangential_mps: float, cover: Cover = "soft") -> float:
    """Sliding friction of ball on face at a speed along the face.

    Straight between the two measured speeds and held beyond them. Raises InputError for another cover.
    """
    if cover not in FRICTION:
        raise InputError(f"cover {cover!r:.40} is not known.", "Use soft or hard.")
    slow, fast = FRICTION_SPEEDS_MPS
    at_slow, at_fast = FRICTION[cover]
    share = min(max((tangential_mps - slow) / (fast - slow), 0.0), 1.0)
    return at_slow + share * (at_fast - at_slow)


def check_number(name: str, value: object, low: float, high: float) -> None:
    """Raise InputError unless `value` is a number from `low` to `high`."""
    if isinstance(value, bool) or not isinstance(value, int | float) or math.isnan(value):
        raise InputError(f"{name} = {value!r:.40} is not a number.", f"Expected {low:g} to {high:g}.")
    if not low <= value <= high:
        raise InputError(f"{name} = {value:g} cannot be used.", f"Expected {low:g} to {high:g}.")


HEADS: dict[HeadKind, Head] = {
    "driver": Head(HEAD_KG["driver"], LIMIT_STILL, 4.5e-4, 0.035),
    "wood": Head(HEAD_KG["wood"], 0.92, 2.6e-4, 0.022),
    "hybrid": Head(HEAD_KG["hybrid"], 0.89, 2.6e-4, 0.015),
    "iron": Head(HEAD_KG["iron"], PENNER_STILL, 2.5e-4, 0.006),
    "wedge": Head(HEAD_KG["wedge"], PENNER_STILL, 2.8e-4, 0.003),
}
