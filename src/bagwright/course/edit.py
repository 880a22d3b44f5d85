"""Corrections one at a time: each function takes an overlay and gives a new one, and changes nothing else.

`course` is the course as it is understood now, with that overlay on it. Places are in the course's frame
(x east, y north, metres); `from_picture` brings points of a hole's picture there. What is no hole, tee or
area of the course is an InputError that names those there are. A text for the file is made with
`overlay_text.overlay_text`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from bagwright.course.answering import check_answer
from bagwright.course.asking import AS_READ
from bagwright.course.ground import hole_of, tee_of
from bagwright.course.hole import Course, Hole, Point
from bagwright.course.lies import Lie
from bagwright.course.overlay import parse_overlay
from bagwright.course.overlay_record import AreaChange, HoleChange, Overlay, TeeChange
from bagwright.course.plane import Plane
from bagwright.course.tomltable import MOST_POINTS, Place, unknown
from bagwright.course.way import frame_of
from bagwright.errors import InputError
from bagwright.words import tell

_OWN = "overlay/"
"""Areas that a correction added are named `overlay/1`, `overlay/2`, ..."""


def overlay_of(course: Course, text: str = "") -> Overlay:
    """Give the overlay to go on from: that of a file's text, or an empty one, with the course's zero."""
    overlay = parse_overlay(text) if text.strip() else Overlay()
    return overlay if overlay.origin is not None else replace(overlay, origin=course.origin)


def from_picture(course: Course, number: int, tee: str | None, points: Sequence[Point]) -> list[Point]:
    """Bring points of a hole's picture (metres, x from tee to pin, y right) into the course's frame."""
    hole = hole_of(course, number)
    moved = frame_of(hole, tee_of(hole, tee)).course(np.array(points, dtype=np.float64).reshape(-1, 2))
    return [(float(x), float(y)) for x, y in moved]


def move_tee(overlay: Overlay, course: Course, number: int, tee: str, at: Point) -> Overlay:
    """Move a tee of a hole."""
    name = tee_of(hole_of(course, number), tee).name
    return _tee(overlay, course, number, name, lambda old: replace(old, at=_place(overlay, course, at)))


def add_tee(overlay: Overlay, course: Course, number: int, name: str, at: Point) -> Overlay:
    """Add a tee of a new name to a hole."""
    hole = hole_of(course, number)
    if any(tee.name.casefold() == name.strip().casefold() for tee in hole.tees):
        raise InputError(
            tell('Hole {number} has a tee "{name}" already.', number=number, name=name[:40]),
            tell("Move that one, or give another name."),
        )
    place = _place(overlay, course, at)
    return _tee(overlay, course, number, name.strip(), lambda old: replace(old, at=place, remove=False))


def remove_tee(overlay: Overlay, course: Course, number: int, tee: str) -> Overlay:
    """Take a tee away; the last one of a hole stays."""
    hole = hole_of(course, number)
    name = tee_of(hole, tee).name
    if len(hole.tees) == 1:
        raise InputError(tell("Hole {number} has one tee only.", number=number), tell("Move it instead."))
    return _tee(overlay, course, number, name, lambda old: TeeChange(old.name, remove=True))


def move_pin(overlay: Overlay, course: Course, number: int, at: Point) -> Overlay:
    """Move the pin of a hole."""
    place = _place(overlay, course, at)
    return _hole(overlay, course, number, lambda change: replace(change, pin=place))


def set_way(overlay: Overlay, course: Course, number: int, points: Sequence[Point]) -> Overlay:
    """Draw the way of a hole anew, from its back tee to the pin."""
    places = _places(overlay, course, points, 2)
    return _hole(overlay, course, number, lambda change: replace(change, way=places, pin=None))


def set_trees(overlay: Overlay, course: Course, number: int, trees: Sequence[Point]) -> Overlay:
    """Put the single trees of a hole anew."""
    places = _places(overlay, course, trees, 0)
    return _hole(overlay, course, number, lambda change: replace(change, trees=places))


def set_par(overlay: Overlay, course: Course, number: int, par: int | None) -> Overlay:
    """Correct the par of a hole; None leaves it to the map or card again."""
    return _hole(overlay, course, number, lambda change: replace(change, par=par))


def set_stroke_index(overlay: Overlay, course: Course, number: int, index: int | None) -> Overlay:
    """Correct the stroke index of a hole; None leaves it to the map or card again."""
    return _hole(overlay, course, number, lambda change: replace(change, stroke_index=index))


def set_area(
    overlay: Overlay, course: Course, number: int, lie: Lie, shape: Sequence[Point], source: str | None = None
) -> Overlay:
    """Draw an area: a new one, or `source` (as the picture names it) anew with this lie and shape."""
    places = _places(overlay, course, shape, 3)
    if source is None:
        name = _free_name(overlay.holes.get(number, HoleChange()), hole_of(course, number))
        return _areas(overlay, course, number, name, AreaChange("add", name, lie, places))
    owner = owner_of(course, number, source)
    change = AreaChange("add" if source.startswith(_OWN) else "replace", source, lie, places)
    return _areas(overlay, course, owner, source, change)


def remove_area(overlay: Overlay, course: Course, number: int, source: str) -> Overlay:
    """Take an area away, whichever hole it belongs to."""
    owner = owner_of(course, number, source)
    gone = None if source.startswith(_OWN) else AreaChange("remove", source)
    return _areas(overlay, course, owner, source, gone)


def set_bounds(overlay: Overlay, course: Course, shape: Sequence[Point] | None) -> Overlay:
    """Draw the course's edge anew; None says that there is none."""
    if course.source == "card":
        raise InputError(
            tell("The holes of a scorecard lie each by itself and have no common edge."),
            tell("Draw what is out of bounds on the hole."),
        )
    places = () if shape is None else _places(overlay, course, shape, 3)
    return replace(overlay, bounds=places, no_bounds=shape is None)


def set_model(overlay: Overlay, course: Course, number: int, key: str, value: float | str | None) -> Overlay:
    """Set one number of a card's model hole, or its words; None leaves it to the card again."""
    if course.source != "card":
        raise InputError(tell("This course is a map and has no model holes."), tell("Draw on its picture."))

    def put(change: HoleChange) -> HoleChange:
        kept = {name: old for name, old in change.model.items() if name != key}
        return replace(change, model=kept if value is None else {**kept, key: value})

    return _hole(overlay, course, number, put)


def answer(overlay: Overlay, name: str, text: str = AS_READ) -> Overlay:
    """Answer a question by its name (`asking.name_of`); "as read" agrees with how it was read."""
    check_answer(name, text)
    return replace(overlay, answers={**overlay.answers, name: text.strip()})


def take_back(overlay: Overlay, name: str) -> Overlay:
    """Take an answer back: the question is open again."""
    return replace(overlay, answers={key: text for key, text in overlay.answers.items() if key != name})


def forget_hole(overlay: Overlay, number: int) -> Overlay:
    """Take back all that was corrected on a hole; answers stay."""
    return replace(overlay, holes={key: old for key, old in overlay.holes.items() if key != number})


def owner_of(course: Course, number: int, source: str) -> int:
    """Give the hole that an area on a hole's picture belongs to: that one, else the first that has it."""
    first = hole_of(course, number)
    others = () if course.source == "card" else tuple(hole for hole in course.holes if hole is not first)
    for hole in (first, *others):
        if any(feature.source == source for feature in hole.features):
            return hole.number
    known = dict.fromkeys(feature.source for feature in first.features)
    raise unknown(tell("the course"), tell("hole {number}, area", number=number), source, known)


def _hole(
    overlay: Overlay, course: Course, number: int, change: Callable[[HoleChange], HoleChange]
) -> Overlay:
    hole_of(course, number)
    changed = change(overlay.holes.get(number, HoleChange()))
    holes = {**overlay.holes, number: changed}
    if changed == HoleChange():
        del holes[number]
    return replace(
        overlay,
        origin=overlay.origin if overlay.origin is not None else course.origin,
        holes=dict(sorted(holes.items())),
    )


def _tee(
    overlay: Overlay, course: Course, number: int, name: str, change: Callable[[TeeChange], TeeChange]
) -> Overlay:
    def put(old: HoleChange) -> HoleChange:
        now = next((tee for tee in old.tees if tee.name == name), TeeChange(name))
        return replace(old, tees=(*(tee for tee in old.tees if tee.name != name), change(now)))

    return _hole(overlay, course, number, put)


def _areas(overlay: Overlay, course: Course, number: int, source: str, change: AreaChange | None) -> Overlay:
    """Put one area's change in the place of what was said of that area before."""

    def put(old: HoleChange) -> HoleChange:
        kept = [area for area in old.areas if area.source != source]
        place = next((i for i, area in enumerate(old.areas) if area.source == source), len(kept))
        return replace(old, areas=tuple(kept if change is None else [*kept[:place], change, *kept[place:]]))

    return _hole(overlay, course, number, put)


def _free_name(change: HoleChange, hole: Hole) -> str:
    taken = {area.source for area in change.areas} | {feature.source for feature in hole.features}
    return next(f"{_OWN}{n}" for n in range(1, len(taken) + 2) if f"{_OWN}{n}" not in taken)


def _places(overlay: Overlay, course: Course, points: Sequence[Point], least: int) -> tuple[Place, ...]:
    if len(points) > 1 and least == 3 and tuple(points[0]) == tuple(points[-1]):
        points = points[:-1]
    if not least <= len(points) <= MOST_POINTS:
        raise InputError(
            tell(
                "This shape has {n} points, not {least} to {most}.",
                n=len(points),
                least=least,
                most=MOST_POINTS,
            ),
            tell("Draw it again."),
        )
    return tuple(_place(overlay, course, point) for point in points)


def _place(overlay: Overlay, course: Course, at: Point) -> Place:
    """Give a point as the overlay's file has it: to the centimetre, from the overlay's own zero."""
    x, y = float(at[0]), float(at[1])
    if not (abs(x) <= 20_000.0 and abs(y) <= 20_000.0):
        raise InputError(
            tell("The place {x}, {y} is not on this course.", x=str(x), y=str(y)), tell("Draw it again.")
        )
    if overlay.origin is not None and course.origin is not None and overlay.origin != course.origin:
        lat, lon = Plane(*course.origin).latlon([(x, y)])[0]
        x, y = (float(v) for v in Plane(*overlay.origin).xy(lat, lon)[0])
    return Place(round(x, 2), round(y, 2))
