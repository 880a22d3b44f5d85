"""Bunkers that a card's words tell of. Sizes and places that nobody says are common practice."""

from __future__ import annotations

import math

from bagwright.course.lies import Lie
from bagwright.course.model import Ground, ModelHole, Oval
from bagwright.course.phrase import Phrase
from bagwright.course.telling import size_told
from bagwright.course.wording_ground import CORNER, Said, at_green, by_green, inside, places, spots
from bagwright.words import tell, tell_n

BUNKER_M = (10.0, 8.0)
FAIRWAY_BUNKER_M = (14.0, 9.0)
BUNKER_OFF_M = 2.0
_STEP_M = 15.0
"""From one fairway bunker to the next of several."""


def lay_bunkers(hole: ModelHole, phrase: Phrase) -> Said:
    """Lay a phrase's bunkers: about the green, or beside the fairway where it gives a length."""
    if phrase.at_m is not None and not at_green(phrase):
        return _fairway_bunker(hole, phrase)
    sides = spots([side for side in phrase.sides if side != "across"] or ["left", "right"])
    about = ["short", "behind", "left", "right"] if "around" in sides else sides
    off = phrase.at_m if phrase.at_m is not None else BUNKER_OFF_M
    if off > 100.0:
        return None
    count = _each(phrase, len(about))
    for side in about:
        for k in range(count):
            hole.ground += _green_bunker(hole, side, off, 0.5 * (k - (count - 1) / 2))
    return tell(
        "{each} of {size} {where}, {off} off its edge",
        each=tell_n("one bunker", "{n} bunkers", count * len(about)),
        size=size_told(*BUNKER_M, hole.yards),
        where=by_green(sides),
        off=hole.told(off),
    )


def _each(phrase: Phrase, sides: int) -> int:
    """How many bunkers on each side: the number said, shared out where it can be; else two of a plural."""
    if phrase.count:
        return phrase.count // sides if phrase.count % sides == 0 else phrase.count
    return 2 if phrase.plural and sides == 1 else 1


def _green_bunker(hole: ModelHole, side: str, off: float, shift: float) -> list[Ground]:
    wide, front, middle = hole.green_width_m / 2, hole.green_depth_m / 2, hole.length_m
    long, thick = BUNKER_M
    end, _, flank = side.partition(" ")
    if flank:
        along = math.copysign(CORNER * (front + off + thick / 2), -1.0 if end == "short" else 1.0)
        aside = math.copysign(CORNER * (wide + off + thick / 2), -1.0 if flank == "left" else 1.0)
        # Several lie one beside the other along the green's edge.
        on = 1.5 * long * shift
        beside = aside - math.copysign(on, along * aside * on)
        return [Oval(Lie.SAND, middle + along + on, beside, thick, long)]
    if side in ("short", "behind"):
        sign = -1.0 if side == "short" else 1.0
        at = middle + sign * (front + off + thick / 2)
        return [Oval(Lie.SAND, at, shift * hole.green_width_m, thick, long)]
    sign = -1.0 if side == "left" else 1.0
    return [Oval(Lie.SAND, middle + shift * hole.green_depth_m, sign * (wide + off + thick / 2), long, thick)]


def _fairway_bunker(hole: ModelHole, phrase: Phrase) -> Said:
    at = phrase.at_m
    if at is None or not inside(hole, at):
        return None
    long, thick = FAIRWAY_BUNKER_M
    beside = hole.half_m + BUNKER_OFF_M
    spots = {"left": -beside, "right": beside}
    sides = [side for side in phrase.sides if side in spots]
    count = _each(phrase, max(1, len(sides)))
    count = count if phrase.to_m is None else max(2, count)
    last = phrase.to_m if phrase.to_m is not None else at + (count - 1) * _STEP_M
    for k in range(count):
        along = at + (last - at) * k / max(1, count - 1)
        for side in [spots[s] for s in sides] or [0.0]:
            hole.ground.append(Oval(Lie.SAND, along, side, long, thick))
    place = (
        tell("{sides} of the fairway, {beside} from the way", sides=places(sides), beside=hole.told(beside))
        if sides
        else tell("in the fairway's middle")
    )
    where = tell("{at} to {last}", at=hole.told(at), last=hole.told(last)) if last > at else hole.told(at)
    return tell(
        "{number} of {size} {place}, {where} from the back tee",
        number=tell_n("one bunker", "{n} bunkers", count * max(1, len(sides))),
        size=size_told(*FAIRWAY_BUNKER_M, hole.yards),
        place=place,
        where=where,
    )
