"""What a lie does to a shot, and what it forbids: tables, each row with its source.

Every figure is over the shot from a good lie (a mat, a tee for the driver, a fairway for the others), and
every row can be overruled by the shots that the player hit from that lie (`own_lies`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from bagwright.course.lies import Lie

COMMON = "common practice, no source"
JAMES_REES = (
    "James & Rees 2008, Int. J. Sports Sci. & Coaching 3, abstract: tour approaches from rough finish 4.3 "
    "points of the distance further off; 3.65 points of sd per axis (circular normal)"
)
BROADIE_TEE = (
    "Broadie, magazine article: at 150 yd an average-90 player's pattern is 1.5 times as long as wide from "
    "the fairway, about circular and tighter from the tee; how much of it holds for others: common practice"
)
TOUR_SAND = (
    "tour baseline (Broadie 2012, second hand): a long bunker shot costs some 0.07 strokes more than rough; "
    "the share of the distance that gives it: judgement"
)


@dataclass(frozen=True, slots=True)
class LieEffect:
    """One row: a full shot with a kind of club from a lie over the same from a good one.

    Carry times `distance`; both sds times `spread` plus `further` of the carry; mishit odds times `mishits`.
    """

    lie: Lie
    kind: str
    distance: float
    spread: float
    further: float
    mishits: float
    source: str


ROUGH_FURTHER = 0.0365
EFFECTS = (
    LieEffect(Lie.TEE, "driver", 1.00, 1.00, 0.0, 1.0, "the driver is hit from a tee"),
    LieEffect(Lie.TEE, "wood", 1.00, 0.95, 0.0, 0.7, COMMON),
    LieEffect(Lie.TEE, "hybrid", 1.00, 0.95, 0.0, 0.8, COMMON),
    LieEffect(Lie.TEE, "iron", 1.00, 0.92, 0.0, 0.7, BROADIE_TEE),
    LieEffect(Lie.TEE, "wedge", 1.00, 1.00, 0.0, 0.8, COMMON),
    LieEffect(Lie.FAIRWAY, "driver", 0.94, 1.25, 0.0, 2.0, COMMON),
    LieEffect(Lie.FAIRWAY, "wood", 1.00, 1.00, 0.0, 1.0, "as hit"),
    LieEffect(Lie.FAIRWAY, "hybrid", 1.00, 1.00, 0.0, 1.0, "as hit"),
    LieEffect(Lie.FAIRWAY, "iron", 1.00, 1.00, 0.0, 1.0, "as hit"),
    LieEffect(Lie.FAIRWAY, "wedge", 1.00, 1.00, 0.0, 1.0, "as hit"),
    LieEffect(Lie.ROUGH, "driver", 0.85, 1.30, ROUGH_FURTHER, 3.0, COMMON),
    LieEffect(Lie.ROUGH, "wood", 0.91, 1.05, ROUGH_FURTHER, 1.5, f"{JAMES_REES}; distance: {COMMON}"),
    LieEffect(Lie.ROUGH, "hybrid", 0.94, 1.00, ROUGH_FURTHER, 1.3, f"{JAMES_REES}; distance: {COMMON}"),
    LieEffect(Lie.ROUGH, "iron", 0.95, 1.00, ROUGH_FURTHER, 1.3, f"{JAMES_REES}; distance: {COMMON}"),
    LieEffect(Lie.ROUGH, "wedge", 0.97, 1.00, ROUGH_FURTHER, 1.2, f"{JAMES_REES}; distance: {COMMON}"),
    LieEffect(Lie.DEEP, "driver", 0.60, 1.60, 0.07, 4.0, COMMON),
    LieEffect(Lie.DEEP, "wood", 0.65, 1.30, 0.07, 3.0, COMMON),
    LieEffect(Lie.DEEP, "hybrid", 0.75, 1.15, 0.06, 2.5, COMMON),
    LieEffect(Lie.DEEP, "iron", 0.76, 1.10, 0.06, 2.5, COMMON),
    LieEffect(Lie.DEEP, "wedge", 0.82, 1.05, 0.06, 2.0, COMMON),
    LieEffect(Lie.SAND, "driver", 0.75, 1.50, 0.06, 4.0, COMMON),
    LieEffect(Lie.SAND, "wood", 0.85, 1.20, 0.05, 3.0, COMMON),
    LieEffect(Lie.SAND, "hybrid", 0.88, 1.10, 0.05, 2.5, COMMON),
    LieEffect(Lie.SAND, "iron", 0.92, 1.00, 0.045, 2.0, f"{TOUR_SAND}; distance: {COMMON}"),
    LieEffect(Lie.SAND, "wedge", 0.94, 1.00, 0.045, 2.0, f"{TOUR_SAND}; distance: {COMMON}"),
    LieEffect(Lie.RECOVERY, "driver", 0.50, 1.60, 0.08, 4.0, COMMON),
    LieEffect(Lie.RECOVERY, "wood", 0.55, 1.40, 0.07, 3.0, COMMON),
    LieEffect(Lie.RECOVERY, "hybrid", 0.62, 1.20, 0.06, 2.0, COMMON),
    LieEffect(Lie.RECOVERY, "iron", 0.66, 1.10, 0.06, 1.6, COMMON),
    LieEffect(Lie.RECOVERY, "wedge", 0.72, 1.10, 0.06, 1.6, COMMON),
)
"""A shot out of the trees is a low punch: about two thirds of the full carry."""

PUNCH_LAUNCH = 0.62
"""Launch angle of a punch over the full shot's: common practice, no source."""
TREE_SHARE = 0.30
TREE_REACH = 0.35
TREE_SD = 0.18
"""Share of the shots from under trees that hit one; such a ball comes down at this share of the carry, give
or take, and as far to either side: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Forbidden:
    """A lie from which a kind of club is not played below a loft (degrees)."""

    lie: Lie
    kind: str
    below_loft_deg: float
    why: str


RULES = (
    Forbidden(Lie.ROUGH, "driver", math.inf, "the driver needs a tee or a fairway"),
    Forbidden(Lie.ROUGH, "wood", 17.5, "a strong fairway wood does not get through rough"),
    Forbidden(Lie.DEEP, "driver", math.inf, "the driver needs a tee or a fairway"),
    Forbidden(Lie.DEEP, "wood", math.inf, "no wood out of deep rough"),
    Forbidden(Lie.DEEP, "hybrid", 21.0, "only a lofted hybrid out of deep rough"),
    Forbidden(Lie.DEEP, "iron", 26.0, "no long iron out of deep rough"),
    Forbidden(Lie.SAND, "driver", math.inf, "no wood out of sand"),
    Forbidden(Lie.SAND, "wood", math.inf, "no wood out of sand"),
    Forbidden(Lie.SAND, "hybrid", 22.0, "only a lofted hybrid out of sand"),
    Forbidden(Lie.SAND, "iron", 24.0, "no long iron out of sand"),
    Forbidden(Lie.RECOVERY, "driver", math.inf, "no full swing under trees"),
    Forbidden(Lie.RECOVERY, "wood", math.inf, "no full swing under trees"),
)
"""What a lie forbids: common practice, no source."""


@dataclass(frozen=True, slots=True)
class ShortLie:
    """Pitches, chips and bunker shots from a lie: what is added to the spread from a fairway.

    Circular sd: `share` of the length and `floor_m` more than from a fairway; odds of a mishit times
    `mishits`.
    """

    lie: Lie
    share: float
    floor_m: float
    mishits: float
    source: str


COCHRAN_STOBBS = (
    "Cochran & Stobbs 1968, second hand: professionals' chips stop 7.8 % of the distance off from a fairway, "
    "12.8 % from light rough, 15.8 % from sand; the mean of a circular normal is 1.2533 sd"
)
SHORT_LIES = (
    ShortLie(Lie.TEE, 0.0, 0.0, 1.0, "as from a fairway"),
    ShortLie(Lie.FAIRWAY, 0.0, 0.0, 1.0, COCHRAN_STOBBS),
    ShortLie(Lie.ROUGH, 0.05 / 1.2533, 0.20, 1.3, COCHRAN_STOBBS),
    ShortLie(Lie.DEEP, 0.075, 0.50, 2.5, COMMON),
    ShortLie(Lie.SAND, 0.08 / 1.2533, 0.20, 2.5, f"{COCHRAN_STOBBS}; mishits: {COMMON}"),
    ShortLie(Lie.RECOVERY, 0.09, 0.60, 2.0, COMMON),
)
