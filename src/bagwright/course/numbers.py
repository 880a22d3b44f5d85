"""The holes of a map in their order: numbers from `ref`, slips of the way found and said."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from bagwright.course import limits
from bagwright.course.along import length_of
from bagwright.course.asking import Asked
from bagwright.course.gather import Area, WayOf
from bagwright.course.hole import Point
from bagwright.course.lies import Lie
from bagwright.course.values import whole
from bagwright.errors import InputError
from bagwright.words import join, tell, tell_n

HIGHEST = 99


def numbered(
    ways: Sequence[WayOf], areas: Sequence[Area], file: str, asked: Asked
) -> list[tuple[int, WayOf]]:
    """Give each usable way its number, in their order."""
    usable = [way for way in (_sound(way, asked) for way in ways) if way is not None]
    if not usable:
        raise InputError(
            tell(
                "{file} has no hole whose way is {low:.0f} to {high:.0f} m long.",
                file=file,
                low=limits.HOLE_M[0],
                high=limits.HOLE_M[1],
            ),
            tell("Draw each hole as a line from the tee to the pin with golf=hole."),
        )
    usable = [_turned(way, areas, asked) for way in usable]
    found: dict[int, WayOf] = {}
    open_ways, twins = [], {}  # type: ignore[var-annotated]
    for way in usable:
        number = _number(way, asked)
        if number is None:
            open_ways.append(way)
        elif number in found:
            twins.setdefault(number, [found[number].source]).append(way.source)
        else:
            found[number] = way
    _ask_twins(twins, asked)
    _fill(open_ways, found, asked)
    return sorted(found.items())


def _number(way: WayOf, asked: Asked) -> int | None:
    told = asked.told(0, f"number {way.source}")  # Checked before: `answering.check_answers`.
    return whole(way.tags.get("ref") if told is None else told, 1, HIGHEST)


def _sound(way: WayOf, asked: Asked) -> WayOf | None:
    """The way without repeated points, or None (and a question) where it cannot be one of a hole."""
    points: list[Point] = []
    for point in way.points:
        if not points or math.dist(points[-1], point) > 0.01:
            points.append(point)
    low, high = limits.HOLE_M
    length = length_of(points)
    if len(points) > limits.HOLE_POINTS:
        reason = tell("has {n} points, more than {most}", n=len(points), most=limits.HOLE_POINTS)
    elif len(points) < 2 or not low <= length <= high or math.dist(points[0], points[-1]) < low / 2:
        reason = tell(
            "is {length:.0f} m long, not {low:.0f} to {high:.0f} m", length=length, low=low, high=high
        )
    else:
        return replace(way, points=tuple(points))
    asked.ask(
        0,
        f"way {way.source}",
        tell("{source} ({way}) {reason}.", source=way.source, way=_ref(way), reason=reason),
        tell("It is left out."),
        tell("Correct the way in the map: a line from the tee to the pin with a point at each bend."),
    )
    return None


def _ref(way: WayOf) -> str:
    return (
        tell("hole {ref}", ref=way.tags["ref"][:10])
        if way.tags.get("ref")
        else tell("a hole without a number")
    )


def _turned(way: WayOf, areas: Sequence[Area], asked: Asked) -> WayOf:
    """The way from tee to pin; one that begins on a green and ends on a tee is turned round, and said so."""
    from shapely import Point as Dot

    def on(lie: Lie, point: Point) -> bool:
        spot = Dot(point)
        return any(a.feature.lie is lie and a.feature.shape.distance(spot) < 3.0 for a in areas)

    start, end = way.points[0], way.points[-1]
    if not (on(Lie.GREEN, start) and not on(Lie.GREEN, end)):
        return way
    if asked.told(0, f"turned {way.source}") is not None:
        return way
    asked.ask(
        0,
        f"turned {way.source}",
        tell("{source} ({way}) begins on a green.", source=way.source, way=_ref(way)),
        tell("It was drawn from the pin to the tee, and is turned round."),
        tell('Turn the way in the map, or answer "as drawn".'),
    )
    return replace(way, points=way.points[::-1])


def _ask_twins(twins: dict[int, list[str]], asked: Asked) -> None:
    for number, sources in twins.items():
        asked.ask(
            number,
            "same number",
            tell(
                "{n} ways are hole {number}: {names}.",
                n=len(sources),
                number=number,
                names=join(", ", sources[:6]),
            ),
            tell(
                "{first} is hole {number}; {others} left out.",
                first=sources[0],
                number=number,
                others=tell_n("{names} is", "{names} are", len(sources) - 1, names=join(", ", sources[1:6])),
            ),
            tell(
                "Correct ref in the map, name the course that is meant, or say which hole it is: answer "
                "{questions} with a number. A further tee of one hole is an area, no line.",
                questions=join(tell(" and "), [f'"number {source}"' for source in sources[1:6]]),
            ),
        )


def _fill(open_ways: Sequence[WayOf], found: dict[int, WayOf], asked: Asked) -> None:
    """Number ways without `ref` by their order in the file, with the numbers that are free."""
    free = (n for n in range(1, HIGHEST + 1) if n not in found)
    for way in open_ways:
        number = next(free, None)
        if number is None:
            raise InputError(
                tell("More than {highest} holes.", highest=HIGHEST),
                tell("Cut the map to the one golf course."),
            )
        found[number] = way
        asked.ask(
            0,
            f"number {way.source}",
            tell("{source} is a hole without a number (ref).", source=way.source),
            tell("It is hole {number}, by its order in the file.", number=number),
            tell("Answer with its number."),
        )
