"""The measured quantities of a shot: heading, dimension, units, sign and the limits of what can be read.

This is the table behind docs/names.md; a test keeps the two in step.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from bagwright.units import Dimension, Unit, find_unit


@dataclass(frozen=True, slots=True)
class Quantity:
    """One measured column.

    `name` is the field of a record (SI, unit in the name), `heading` our own word in a file, to which the
    unit is added ("carry_yd"). `usual` is the unit taken when a file names none (angles are in degrees and
    spin in rpm everywhere in the trade: common practice, no source); "" means that the file must say.
    `group` is the set of columns that share one question about the unit. `sided` quantities are positive to
    the right. `low` and `high` bound, in the unit of `name`, what any measurement could be: outside, the
    cell is an error.
    """

    name: str
    heading: str
    dimension: Dimension
    usual: str
    group: str
    sided: bool
    needed: bool
    low: float
    high: float
    zero_is_missing: bool
    """A shot that flew cannot have 0 here: 0 then means that nothing was measured."""
    says: str


_TURN = 2 * math.pi
_KM = 10_000.0


def _length(name: str, says: str, *, sided: bool = False, group: str = "length unit") -> Quantity:
    impact = group == "impact unit"
    high = 1.0 if impact else _KM
    low = -high if sided or impact else 0.0
    needed = group == "length unit"
    return Quantity(name, name.removesuffix("_m"), "length", "", group, sided, needed, low, high, False, says)


def _angle(name: str, says: str, *, sided: bool = False) -> Quantity:
    return Quantity(
        name, name.removesuffix("_rad"), "angle", "deg", "", sided, False, -_TURN, _TURN, False, says
    )


def _speed(name: str, says: str) -> Quantity:
    return Quantity(
        name, name.removesuffix("_mps"), "speed", "", "speed unit", False, False, 0.0, 1_000.0, True, says
    )


def _spin(name: str, says: str, *, sided: bool = False, low: float = -1e6) -> Quantity:
    zero = name == "spin_rpm"
    heading = name.removesuffix("_rpm")
    return Quantity(name, heading, "rotation", "rpm", "", sided, False, low, 1e6, zero, says)


QUANTITIES: tuple[Quantity, ...] = (
    _length("carry_m", "straight line from the strike to the first landing"),
    _length("total_m", "straight line from the strike to where the ball comes to rest"),
    _length("offline_m", "side at landing, from the target line", sided=True),
    _length("offline_total_m", "side at rest, from the target line", sided=True),
    _length("apex_m", "greatest height above the strike", group="height unit"),
    _speed("ball_speed_mps", "speed of the ball after the strike"),
    _speed("club_speed_mps", "speed of the head before the strike"),
    Quantity(
        "speed_ratio", "speed_ratio", "ratio", "", "", False, False, 0.0, 100.0, True, "ball over club speed"
    ),
    _angle("launch_rad", "launch angle above the horizontal"),
    _angle("direction_rad", "start direction from the target line", sided=True),
    _spin("spin_rpm", "total spin", low=0.0),
    _spin("backspin_rpm", "part of the spin about the level axis, backwards positive"),
    _spin("sidespin_rpm", "part of the spin about the upright axis, curving right positive", sided=True),
    _angle("spin_axis_rad", "tilt of the spin axis, curving right positive", sided=True),
    _angle("descent_rad", "angle of descent at landing, downwards positive"),
    Quantity("time_s", "time", "time", "s", "", False, False, 0.0, 1_000.0, True, "time of flight"),
    _angle("attack_rad", "angle of attack, upwards positive"),
    _angle("path_rad", "direction of the head's path from the target line", sided=True),
    _angle("face_rad", "direction of the face from the target line", sided=True),
    _angle("delivered_loft_rad", "loft delivered at the strike"),
    _length("impact_toe_m", "point on the face, towards the toe positive", group="impact unit"),
    _length("impact_high_m", "point on the face, upwards positive", group="impact unit"),
)  # fmt: skip
"""Every measured quantity, in table order."""

BY_NAME: dict[str, Quantity] = {quantity.name: quantity for quantity in QUANTITIES}

GROUP_UNITS: dict[str, tuple[str, ...]] = {
    "length unit": ("yd", "m"),
    "height unit": ("ft", "yd", "m"),
    "speed unit": ("mph", "kmh", "mps"),
    "impact unit": ("mm", "in", "cm"),
}
"""The units that are offered when a file does not name one."""


def unit_named(name: str) -> Unit:
    """Return the unit of this name. Raises KeyError for a name that is no unit (a mistake in the program)."""
    unit = find_unit(name)
    if unit is None:
        raise KeyError(name)
    return unit


TEXT_HEADINGS: dict[str, str] = {
    "club": "name of the build, or of the club where the bag has one build of it",
    "setting": "hosel setting or other change of the build",
    "swing": "stock, gripped-down, flat-out, three-quarter, half, or the player's own word",
    "ball": "ball hit",
    "lie": "where the ball lay: mat, tee, fairway, rough, sand, recovery, green",
    "note": "free text; a note that is nothing but a mark's word becomes that mark",
    "change": "what was changed before this shot: tip, tee height, ball position, face tape, other",
    "visit": "the appointment that the shot belongs to",
    "order": "number of the ball in its visit, from 1",
    "mark": "warm-up, mishit or bad-read",
    "mark_reason": "why: heavy, thin, topped, toe, heel, shank, high, or free text",
    "mark_author": "who set the mark",
    "mark_probability": "how probable the mark is, 0 to 1",
}
"""Our own headings of the columns that are not measures."""
