"""What a phrase of a card does to its model hole, with every assumption said.

All usual sizes here are common practice; each phrase's reading is listed with them.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from bagwright.course.lies import Lie
from bagwright.course.model import EDGE_M, Across, ModelHole, Ring
from bagwright.course.phrase import Phrase
from bagwright.course.telling import height_told
from bagwright.course.wording_bunkers import lay_bunkers
from bagwright.course.wording_ground import (
    Said,
    at_green,
    beside_green,
    beside_way,
    inside,
    named,
    place,
    places,
    water_lie,
)
from bagwright.units import RAD_PER_DEG
from bagwright.words import join, tell

WATER_LONG_M, WATER_WIDE_M, WATER_OFF_M = 40.0, 20.0, 3.0
STREAM_WIDE_M = 4.0
ISLAND_OFF_M = (4.0, 29.0)
CARRY_DEEP_M, CARRY_FREE_M = 60.0, 20.0
DOGLEG_RAD = 40.0 * RAD_PER_DEG
OUT_OFF_M, OUT_BEHIND_M = 25.0, 20.0
OUT_LONG_M, OUT_FROM_M = 100.0, -20.0
TREES_LONG_M, TREES_FROM_M = 60.0, 40.0
DEEP_OFF_M = 5.0


def apply_phrase(hole: ModelHole, phrase: Phrase) -> Said:
    """Change the hole as the phrase says. Gives the reading in words, or None where nothing is understood."""
    act = _ACTS.get(phrase.subject)
    return None if act is None else act(hole, phrase)


def _width(hole: ModelHole, phrase: Phrase) -> Said:
    width = phrase.measures.get("wide", phrase.at_m)
    if width is None or phrase.to_m is not None or not 5.0 <= width <= 120.0:
        return None
    hole.fairway_width_m = width
    return tell("the fairway is {width} wide all along", width=hole.told(width))


def _green(hole: ModelHole, phrase: Phrase) -> Said:
    wide, deep = phrase.size_m or (
        phrase.measures.get("wide"),
        phrase.measures.get("deep", phrase.measures.get("long")),
    )
    if wide is None and deep is None:
        return None
    wide, deep = wide or hole.green_width_m, deep or hole.green_depth_m
    if not (4.0 <= wide <= 80.0 and 4.0 <= deep <= 80.0):
        return None
    hole.green_width_m, hole.green_depth_m = wide, deep
    return tell(
        "the green is an oval {wide} wide and {deep} deep", wide=hole.told(wide), deep=hole.told(deep)
    )


def _climb(hole: ModelHole, phrase: Phrase) -> Said:
    height = phrase.measures.get("high", phrase.at_m)
    if height is None or height > 200.0:
        return None
    hole.climb_m = -height if phrase.down else height
    said = height_told(height, hole.yards)
    if phrase.down:
        return tell("the pin lies {height} below the back tee, an even slope between", height=said)
    return tell("the pin lies {height} above the back tee, an even slope between", height=said)


def _dogleg(hole: ModelHole, phrase: Phrase) -> Said:
    turn = next((side for side in phrase.sides if side in ("left", "right")), None)
    if turn is None or hole.par <= 3:
        return None
    at = phrase.at_m if phrase.at_m is not None else 0.6 * hole.length_m
    angle = phrase.angle_rad if phrase.angle_rad is not None else DOGLEG_RAD
    if not (30.0 <= at <= hole.length_m - 30.0 and 0.0 < angle <= 110.0 * RAD_PER_DEG):
        return None
    hole.dogleg_at_m, hole.dogleg_rad = at, math.copysign(angle, 1.0 if turn == "right" else -1.0)
    return tell(
        "the way turns {angle:.0f} degrees to the {turn} at {at} from the back tee",
        angle=angle / RAD_PER_DEG,
        turn=place(turn),
        at=hole.told(at),
    )


def _carry(hole: ModelHole, phrase: Phrase) -> Said:
    stated = phrase.to_m if phrase.to_m is not None else phrase.at_m
    if stated is None or not CARRY_FREE_M + 5.0 <= stated <= hole.length_m:
        return None
    over = _before_green(hole, phrase, stated)
    if over < CARRY_FREE_M + 5.0:
        return None
    lie = {"deep": Lie.DEEP, "sand": Lie.SAND}.get(phrase.ground, water_lie(phrase))
    start = phrase.at_m if phrase.to_m is not None and phrase.at_m else max(CARRY_FREE_M, over - CARRY_DEEP_M)
    hole.ground.append(Across(lie, start, over))
    hole.fairway_from_m = max(hole.fairway_from_m, min(over, hole.front_m))
    return tell(
        "{lie} right across the hole from {start} to {over} from the back tee",
        lie=named(lie),
        start=hole.told(start),
        over=hole.told(over),
    )


def _before_green(hole: ModelHole, phrase: Phrase, stated: float) -> float:
    """Ground across ends at the green's front; what is said to reach farther is cut, and asked about."""
    if stated <= hole.front_m:
        return stated
    phrase.doubt = tell(
        "{stated} are longer than the way to the green's front, {front}: it ends there.",
        stated=hole.told(stated),
        front=hole.told(hole.front_m),
    )
    return hole.front_m


def _water(hole: ModelHole, phrase: Phrase) -> Said:
    lie = water_lie(phrase)
    across = "across" in phrase.sides or (phrase.subject == "stream" and not phrase.sides)
    wide = phrase.measures.get("wide", STREAM_WIDE_M if phrase.subject == "stream" else WATER_WIDE_M)
    if (across or not phrase.sides) and phrase.at_m is not None:
        to = phrase.to_m if phrase.to_m is not None else phrase.at_m + wide
        if not 0.0 < phrase.at_m < hole.front_m:
            return None
        to = _before_green(hole, phrase, to)
        hole.ground.append(Across(lie, phrase.at_m, to))
        return tell(
            "{lie} right across the hole from {at_m} to {to} from the back tee",
            lie=named(lie),
            at_m=hole.told(phrase.at_m),
            to=hole.told(to),
        )
    if not phrase.sides or across:
        return None
    if at_green(phrase):
        return beside_green(hole, phrase, lie, 5.0, max(15.0, wide if phrase.measures else 15.0))
    return beside_way(
        hole, phrase, lie, hole.half_m + WATER_OFF_M, hole.half_m + WATER_OFF_M + wide, WATER_LONG_M
    )


def _island(hole: ModelHole, phrase: Phrase) -> Said:
    lie = water_lie(phrase)
    hole.ground.append(Ring(lie, *ISLAND_OFF_M))
    near, far = (hole.told(off) for off in ISLAND_OFF_M)
    return tell(
        "{lie} around the green, from {near} to {far} off its edge", lie=named(lie), near=near, far=far
    )


def _out(hole: ModelHole, phrase: Phrase) -> Said:
    behind = hole.length_m + hole.green_depth_m / 2 + OUT_BEHIND_M
    said = []
    if "behind" in phrase.sides:
        hole.ground.append(Across(Lie.OUT, behind, behind + 60.0, EDGE_M))
        said.append(tell("out of bounds {off} behind the green", off=hole.told(OUT_BEHIND_M)))
    near = hole.half_m + OUT_OFF_M
    beside = beside_way(hole, phrase, Lie.OUT, near, near + EDGE_M, OUT_LONG_M, OUT_FROM_M, behind)
    if beside is not None:
        said.append(beside)
    return join("; ", said) if said else None


def _trees(hole: ModelHole, phrase: Phrase) -> Said:
    if phrase.at_m is not None and not phrase.plural and phrase.to_m is None and inside(hole, phrase.at_m):
        sides = [s for s in phrase.sides if s in ("left", "right")]
        for side in sides:
            hole.trees.append(
                (phrase.at_m, math.copysign(hole.half_m + 4.0, 1.0 if side == "right" else -1.0))
            )
        return (
            tell(
                "one tree {off} {names} of the way, {at} from the back tee",
                off=hole.told(hole.half_m + 4.0),
                names=places(sides),
                at=hole.told(phrase.at_m),
            )
            if sides
            else None
        )
    if at_green(phrase):
        return beside_green(hole, phrase, Lie.RECOVERY, 12.0, 25.0)
    near = hole.half_m + hole.rough_width_m
    return beside_way(hole, phrase, Lie.RECOVERY, near, EDGE_M, TREES_LONG_M, TREES_FROM_M)


def _deep(hole: ModelHole, phrase: Phrase) -> Said:
    if at_green(phrase):
        return beside_green(hole, phrase, Lie.DEEP, 5.0, 20.0)
    return beside_way(hole, phrase, Lie.DEEP, hole.half_m + DEEP_OFF_M, EDGE_M, TREES_LONG_M, TREES_FROM_M)


_ACTS: dict[str, Callable[[ModelHole, Phrase], Said]] = {
    "width": _width, "green": _green, "climb": _climb, "dogleg": _dogleg, "carry": _carry, "water": _water,
    "stream": _water, "island": _island, "bunker": lay_bunkers, "out": _out, "trees": _trees, "deep": _deep,
}  # fmt: skip

FIRST = ("width", "green", "dogleg", "climb")
"""Subjects that others are measured from; read first wherever they stand."""
