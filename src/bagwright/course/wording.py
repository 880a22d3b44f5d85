"""What a phrase of a card does to its model hole, with every assumption said.

All usual sizes here are common practice; each phrase's reading is put as a question that shows them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from bagwright.course.lies import Lie
from bagwright.course.model import EDGE_M, Across, Band, Ground, ModelHole, Oval, Ring, Side
from bagwright.course.phrase import Phrase
from bagwright.units import RAD_PER_DEG
from bagwright.words import join, tell, template

WATER_LONG_M, WATER_WIDE_M, WATER_OFF_M = 40.0, 20.0, 3.0
STREAM_WIDE_M = 4.0
CARRY_DEEP_M, CARRY_FREE_M = 60.0, 20.0
DOGLEG_RAD = 40.0 * RAD_PER_DEG
BUNKER_M = (10.0, 8.0)
FAIRWAY_BUNKER_M = (14.0, 9.0)
BUNKER_OFF_M = 2.0
OUT_OFF_M, OUT_BEHIND_M = 25.0, 20.0
OUT_LONG_M, OUT_FROM_M = 100.0, -20.0
TREES_LONG_M, TREES_FROM_M = 60.0, 40.0
DEEP_OFF_M = 5.0

_NAMES = {
    Lie.WATER: template("a yellow penalty area"), Lie.WATER_RED: template("a red penalty area"),
    Lie.DEEP: template("deep rough"), Lie.SAND: template("sand"), Lie.RECOVERY: template("trees"),
    Lie.OUT: template("out of bounds"),
}  # fmt: skip
_PLACES = {
    "left": template("left"), "right": template("right"), "short": template("short"),
    "behind": template("behind"), "around": template("around"),
}  # fmt: skip

Said = str | None
"""How a phrase was read; None where it could not be."""


def apply_phrase(hole: ModelHole, phrase: Phrase) -> Said:
    """Change the hole as the phrase says. Gives the reading in words, or None where nothing is understood."""
    act = _ACTS.get(phrase.subject)
    return None if act is None else act(hole, phrase)


def _m(value: float) -> str:
    return tell("{value:.0f} m", value=value)


def _width(hole: ModelHole, phrase: Phrase) -> Said:
    width = phrase.measures.get("wide", phrase.at_m)
    if width is None or phrase.to_m is not None or not 5.0 <= width <= 120.0:
        return None
    hole.fairway_width_m = width
    return tell("the fairway is {width} wide all along", width=_m(width))


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
    return tell("the green is an oval {wide} wide and {deep} deep", wide=_m(wide), deep=_m(deep))


def _climb(hole: ModelHole, phrase: Phrase) -> Said:
    height = phrase.measures.get("high", phrase.at_m)
    if height is None or height > 200.0:
        return None
    hole.climb_m = -height if phrase.down else height
    return tell(
        "the pin lies {height:.1f} m below the back tee, an even slope between"
        if phrase.down
        else "the pin lies {height:.1f} m above the back tee, an even slope between",
        height=height,
    )


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
        turn=_place(turn),
        at=_m(at),
    )


def _carry(hole: ModelHole, phrase: Phrase) -> Said:
    over = phrase.to_m if phrase.to_m is not None else phrase.at_m
    if over is None or not CARRY_FREE_M + 5.0 <= over <= hole.length_m:
        return None
    lie = {"deep": Lie.DEEP, "sand": Lie.SAND}.get(phrase.ground, _water_lie(phrase))
    start = phrase.at_m if phrase.to_m is not None and phrase.at_m else max(CARRY_FREE_M, over - CARRY_DEEP_M)
    hole.ground.append(Across(lie, start, over))
    hole.fairway_from_m = max(hole.fairway_from_m, min(over, hole.front_m))
    return tell(
        "{lie} right across the hole from {start} to {over} from the back tee",
        lie=_named(lie),
        start=_m(start),
        over=_m(over),
    )


def _water_lie(phrase: Phrase) -> Lie:
    return Lie.WATER if phrase.yellow else Lie.WATER_RED


def _named(lie: Lie) -> str:
    return tell(_NAMES[lie])


def _place(side: str) -> str:
    return tell(_PLACES[side])


def _places(sides: Sequence[str]) -> str:
    return join(tell(" and "), [_place(side) for side in sides])


def _water(hole: ModelHole, phrase: Phrase) -> Said:
    lie = _water_lie(phrase)
    across = "across" in phrase.sides or (phrase.subject == "stream" and not phrase.sides)
    wide = phrase.measures.get("wide", STREAM_WIDE_M if phrase.subject == "stream" else WATER_WIDE_M)
    if (across or not phrase.sides) and phrase.at_m is not None:
        to = phrase.to_m if phrase.to_m is not None else phrase.at_m + wide
        if not _inside(hole, phrase.at_m):
            return None
        hole.ground.append(Across(lie, phrase.at_m, to))
        return tell(
            "{lie} right across the hole from {at_m} to {to} from the back tee",
            lie=_named(lie),
            at_m=_m(phrase.at_m),
            to=_m(to),
        )
    if not phrase.sides or across:
        return None
    if _at_green(phrase):
        return _beside_green(hole, phrase, lie, 5.0, max(15.0, wide if phrase.measures else 15.0))
    return _beside_way(
        hole, phrase, lie, hole.half_m + WATER_OFF_M, hole.half_m + WATER_OFF_M + wide, WATER_LONG_M
    )


def _at_green(phrase: Phrase) -> bool:
    return phrase.by_green or any(side in ("short", "behind", "around") for side in phrase.sides)


def _inside(hole: ModelHole, at: float) -> bool:
    return 0.0 < at < hole.length_m


def _beside_way(
    hole: ModelHole,
    phrase: Phrase,
    lie: Lie,
    near: float,
    far: float,
    long: float,
    start: float | None = None,
    end: float | None = None,
) -> Said:
    """Ground beside the way: all along, at one length (of a stated extent), or between two lengths."""
    sides: list[Side] = [s for s in ("left", "right") if s in phrase.sides]
    if not sides:
        return None
    long = phrase.measures.get("long", long)
    if phrase.at_m is None:
        low = hole.fairway_from_m if start is None else start
        high = hole.length_m if end is None else end
        low = min(low, 0.5 * hole.length_m)
    elif not _inside(hole, phrase.at_m):
        return None
    else:
        low = phrase.at_m if phrase.to_m is not None else phrase.at_m - long / 2
        high = phrase.to_m if phrase.to_m is not None else phrase.at_m + long / 2
    hole.ground += [Band(lie, low, high, near, far, side) for side in sides]
    return tell(
        "{lie} {names} of the way, {low} to {high} from the back tee, {near} to {far} beside the way",
        lie=_named(lie),
        names=_places(sides),
        low=_m(low),
        high=_m(high),
        near=_m(near),
        far=_m(far),
    )


def _beside_green(hole: ModelHole, phrase: Phrase, lie: Lie, off: float, deep: float) -> Said:
    wide, front = hole.green_width_m / 2, hole.green_depth_m / 2
    off = phrase.at_m if phrase.at_m is not None else off
    if off > 100.0:
        return None
    middle, made = hole.length_m, []
    ground: dict[str, Ground] = {
        "short": Oval(lie, middle - front - off - deep / 2, 0.0, deep, 2 * wide + 10.0),
        "behind": Oval(lie, middle + front + off + deep / 2, 0.0, deep, 2 * wide + 10.0),
        "left": Oval(lie, middle, -(wide + off + deep / 2), 2 * front + 10.0, deep),
        "right": Oval(lie, middle, wide + off + deep / 2, 2 * front + 10.0, deep),
        "around": Ring(lie, off, off + deep),
    }
    for side in phrase.sides:
        if side in ground:
            hole.ground.append(ground[side])
            made.append(side)
    if not made:
        return None
    return tell(
        "{lie} {deep} deep, {names} of the green and {off} off its edge",
        lie=_named(lie),
        deep=_m(deep),
        names=_places(made),
        off=_m(off),
    )


def _island(hole: ModelHole, phrase: Phrase) -> Said:
    hole.ground.append(Ring(_water_lie(phrase), 4.0, 29.0))
    return tell("{phrase} around the green, from 4 m to 29 m off its edge", phrase=_named(_water_lie(phrase)))


def _bunker(hole: ModelHole, phrase: Phrase) -> Said:
    if phrase.at_m is not None and not _at_green(phrase):
        return _fairway_bunker(hole, phrase)
    sides = [side for side in phrase.sides if side != "across"] or ["left", "right"]
    off = phrase.at_m if phrase.at_m is not None else BUNKER_OFF_M
    if off > 100.0:
        return None
    for side in sides:
        for shift in (-0.25, 0.25) if phrase.plural else (0.0,):
            hole.ground += _green_bunker(hole, side, off, shift)
    each = tell("two bunkers") if phrase.plural else tell("one bunker")
    return tell(
        "{each} of {bunker_m:.0f} x {bunker_m_2:.0f} m {said} of the green, {off} off its edge",
        each=each,
        bunker_m=BUNKER_M[0],
        bunker_m_2=BUNKER_M[1],
        said=_places(sides),
        off=_m(off),
    )


def _green_bunker(hole: ModelHole, side: str, off: float, shift: float) -> list[Ground]:
    wide, front, middle = hole.green_width_m / 2, hole.green_depth_m / 2, hole.length_m
    long, thick = BUNKER_M
    if side in ("short", "behind"):
        sign = -1.0 if side == "short" else 1.0
        at = middle + sign * (front + off + thick / 2)
        return [Oval(Lie.SAND, at, shift * hole.green_width_m, thick, long)]
    if side in ("left", "right"):
        sign = -1.0 if side == "left" else 1.0
        return [
            Oval(Lie.SAND, middle + shift * hole.green_depth_m, sign * (wide + off + thick / 2), long, thick)
        ]
    return [
        one for each in ("short", "behind", "left", "right") for one in _green_bunker(hole, each, off, shift)
    ]


def _fairway_bunker(hole: ModelHole, phrase: Phrase) -> Said:
    at = phrase.at_m
    if at is None or not _inside(hole, at):
        return None
    long, thick = FAIRWAY_BUNKER_M
    beside = hole.half_m + BUNKER_OFF_M
    spots = {"left": -beside, "right": beside}
    sides = [side for side in phrase.sides if side in spots]
    count = 2 if phrase.plural else 1
    last = phrase.to_m if phrase.to_m is not None else at + (count - 1) * 15.0
    for k in range(count if phrase.to_m is None else max(2, count)):
        along = at + (last - at) * k / max(1, count - 1 if phrase.to_m is None else max(2, count) - 1)
        for side in [spots[s] for s in sides] or [0.0]:
            hole.ground.append(Oval(Lie.SAND, along, side, long, thick))
    place = (
        tell("{sides} of the fairway, {beside} from the way", sides=_places(sides), beside=_m(beside))
        if sides
        else tell("in the fairway's middle")
    )
    where = tell("{at} to {last}", at=_m(at), last=_m(last)) if last > at else _m(at)
    return tell(
        "{number} of {long:.0f} x {thick:.0f} m {place}, {where} from the back tee",
        number=tell("bunkers") if last > at else tell("a bunker"),
        long=long,
        thick=thick,
        place=place,
        where=where,
    )


def _out(hole: ModelHole, phrase: Phrase) -> Said:
    behind = hole.length_m + hole.green_depth_m / 2 + OUT_BEHIND_M
    said = []
    if "behind" in phrase.sides:
        hole.ground.append(Across(Lie.OUT, behind, behind + 60.0, EDGE_M))
        said.append(tell("out of bounds {off} behind the green", off=_m(OUT_BEHIND_M)))
    near = hole.half_m + OUT_OFF_M
    beside = _beside_way(hole, phrase, Lie.OUT, near, near + EDGE_M, OUT_LONG_M, OUT_FROM_M, behind)
    if beside is not None:
        said.append(beside)
    return join("; ", said) if said else None


def _trees(hole: ModelHole, phrase: Phrase) -> Said:
    if phrase.at_m is not None and not phrase.plural and phrase.to_m is None and _inside(hole, phrase.at_m):
        sides = [s for s in phrase.sides if s in ("left", "right")]
        for side in sides:
            hole.trees.append(
                (phrase.at_m, math.copysign(hole.half_m + 4.0, 1.0 if side == "right" else -1.0))
            )
        return (
            tell(
                "one tree {half_m} {names} of the way, {at_m} from the back tee",
                half_m=_m(hole.half_m + 4.0),
                names=_places(sides),
                at_m=_m(phrase.at_m),
            )
            if sides
            else None
        )
    if _at_green(phrase):
        return _beside_green(hole, phrase, Lie.RECOVERY, 12.0, 25.0)
    near = hole.half_m + hole.rough_width_m
    return _beside_way(hole, phrase, Lie.RECOVERY, near, EDGE_M, TREES_LONG_M, TREES_FROM_M)


def _deep(hole: ModelHole, phrase: Phrase) -> Said:
    if _at_green(phrase):
        return _beside_green(hole, phrase, Lie.DEEP, 5.0, 20.0)
    return _beside_way(hole, phrase, Lie.DEEP, hole.half_m + DEEP_OFF_M, EDGE_M, TREES_LONG_M, TREES_FROM_M)


_ACTS: dict[str, Callable[[ModelHole, Phrase], Said]] = {
    "width": _width, "green": _green, "climb": _climb, "dogleg": _dogleg, "carry": _carry, "water": _water,
    "stream": _water, "island": _island, "bunker": _bunker, "out": _out, "trees": _trees, "deep": _deep,
}  # fmt: skip

FIRST = ("width", "green", "dogleg", "climb")
"""Subjects that others are measured from; read first wherever they stand."""
