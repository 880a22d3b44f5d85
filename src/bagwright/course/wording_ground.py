"""Ground beside a model hole's way and about its green, laid as a card's words say, and told in words."""

from __future__ import annotations

from collections.abc import Sequence

from bagwright.course.lies import Lie
from bagwright.course.model import Band, Ground, ModelHole, Oval, Ring, Side
from bagwright.course.phrase import Phrase
from bagwright.words import join, tell, template

_NAMES = {
    Lie.WATER: template("a yellow penalty area"), Lie.WATER_RED: template("a red penalty area"),
    Lie.DEEP: template("deep rough"), Lie.SAND: template("sand"), Lie.RECOVERY: template("trees"),
    Lie.OUT: template("out of bounds"),
}  # fmt: skip
_PLACES = {"left": template("left"), "right": template("right")}
_BY_GREEN = {
    "left": template("left of the green"), "right": template("right of the green"),
    "short": template("short of the green"), "behind": template("behind the green"),
    "around": template("around the green"),
    "short left": template("at the green's left front"),
    "short right": template("at the green's right front"),
    "behind left": template("at the green's left back"),
    "behind right": template("at the green's right back"),
}  # fmt: skip

CORNER = 0.75
"""How far out along each axis ground at a green's corner lies, against ground before it (judgement)."""

Said = str | None
"""How a phrase was read; None where it could not be."""


def water_lie(phrase: Phrase) -> Lie:
    """Give the penalty area that the words mean: yellow where they say so, else red."""
    return Lie.WATER if phrase.yellow else Lie.WATER_RED


def named(lie: Lie) -> str:
    """Name a lie as a reading does."""
    return tell(_NAMES[lie])


def place(side: str) -> str:
    """Name a side."""
    return tell(_PLACES[side])


def by_green(sides: Sequence[str]) -> str:
    """Name places about the green."""
    return join(tell(" and "), [tell(_BY_GREEN[side]) for side in sides])


def places(sides: Sequence[str]) -> str:
    """Name sides of the way."""
    return join(tell(" and "), [place(side) for side in sides])


def at_green(phrase: Phrase) -> bool:
    """Whether a phrase speaks of ground about the green."""
    return phrase.by_green or any(side in ("short", "behind", "around") for side in phrase.sides)


def inside(hole: ModelHole, at: float) -> bool:
    """Whether a length along the way lies on the hole."""
    return 0.0 < at < hole.length_m


def beside_way(
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
    elif not inside(hole, phrase.at_m):
        return None
    else:
        low = phrase.at_m if phrase.to_m is not None else phrase.at_m - long / 2
        high = phrase.to_m if phrase.to_m is not None else phrase.at_m + long / 2
    hole.ground += [Band(lie, low, high, near, far, side) for side in sides]
    far_words = tell("{near} to {far} beside the way", near=hole.told(near), far=hole.told(far))
    values = {"lie": named(lie), "names": places(sides), "low": hole.told(abs(low)), "high": hole.told(high)}
    if low < 0.0:
        return tell(
            "{lie} {names} of the way, from {low} behind the back tee to {high} in front, {beside}",
            **values,
            beside=far_words,
        )
    return tell(
        "{lie} {names} of the way, {low} to {high} from the back tee, {beside}", **values, beside=far_words
    )


def spots(sides: Sequence[str]) -> list[str]:
    """Give the places about the green: "front left" in one breath is one place, its corner."""
    ends, flanks = ([s for s in sides if s in pair] for pair in (("short", "behind"), ("left", "right")))
    if len(ends) == len(flanks) == 1 and len(sides) == 2:
        return [f"{ends[0]} {flanks[0]}"]
    return list(sides)


def beside_green(hole: ModelHole, phrase: Phrase, lie: Lie, off: float, deep: float) -> Said:
    """Ground about the green, so far off its edge."""
    wide, front = hole.green_width_m / 2, hole.green_depth_m / 2
    off = phrase.at_m if phrase.at_m is not None else off
    if off > 100.0:
        return None
    middle, made = hole.length_m, []
    corner = (CORNER * (front + off + deep / 2), CORNER * (wide + off + deep / 2))
    ground: dict[str, Ground] = {
        "short": Oval(lie, middle - front - off - deep / 2, 0.0, deep, 2 * wide + 10.0),
        "behind": Oval(lie, middle + front + off + deep / 2, 0.0, deep, 2 * wide + 10.0),
        "left": Oval(lie, middle, -(wide + off + deep / 2), 2 * front + 10.0, deep),
        "right": Oval(lie, middle, wide + off + deep / 2, 2 * front + 10.0, deep),
        "around": Ring(lie, off, off + deep),
    }
    for end, along in (("short", -corner[0]), ("behind", corner[0])):
        for flank, side in (("left", -corner[1]), ("right", corner[1])):
            ground[f"{end} {flank}"] = Oval(lie, middle + along, side, deep, deep)
    for spot in spots(phrase.sides):
        if spot in ground:
            hole.ground.append(ground[spot])
            made.append(spot)
    if not made:
        return None
    return tell(
        "{lie} {deep} deep, {where}, {off} off its edge",
        lie=named(lie),
        deep=hole.told(deep),
        where=by_green(made),
        off=hole.told(off),
    )
