"""An overlay put on a course. Putting it on twice changes nothing more."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from bagwright.course.along import played_m
from bagwright.course.asking import name_of
from bagwright.course.hole import Course, Feature, Hole, Point, Question, Tee
from bagwright.course.lies import Lie
from bagwright.course.overlay_record import AreaChange, HoleChange, Overlay, TeeChange
from bagwright.course.plane import Plane
from bagwright.course.tomltable import Place, unknown
from bagwright.errors import InputError
from bagwright.words import tell

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

_WHERE = tell("the overlay")
ASSUMED = "assumed"
"""Source of a green or fairway that nobody drew; every hole has its own."""
_SETTLES = {Lie.FAIRWAY: "fairway", Lie.GREEN: "green"}
"""Questions that an added area of this lie settles."""


def apply_overlay(course: Course, overlay: Overlay) -> Course:
    """Correct a course. Raises InputError for a hole, tee or area that it does not have, naming the nearest.

    Answers and model-hole numbers act while a file is read (`load_course`); here answers only close their
    questions. What a correction of one hole does to an area of the map, it does on every hole that has it.
    """
    frame = _Frame(course, overlay)
    known = {hole.number: hole for hole in course.holes}
    for number in overlay.holes:
        if number not in known:
            have = ", ".join(str(n) for n in known)
            raise InputError(
                tell(
                    "The overlay corrects hole {number}, which is not there.",
                    number=number,
                ),
                tell("Holes: {have}.", have=have),
            )
    removed = {key for key in course.notes if key.startswith("removed ")}
    holes = tuple(
        _hole(hole, overlay.holes[hole.number], frame, removed) if hole.number in overlay.holes else hole
        for hole in course.holes
    )
    if course.source == "map":
        holes = _everywhere(holes, overlay, frame)
    bounds = course.bounds
    if overlay.no_bounds or overlay.bounds:
        bounds = frame.polygon(overlay.bounds, "[bounds]") if overlay.bounds else None
    return replace(
        course, holes=holes, bounds=bounds, name=overlay.name or course.name,
        questions=tuple(q for q in course.questions if not _settled(q, overlay)),
        notes={**course.notes, **dict.fromkeys(sorted(removed), "by the overlay")},
    )  # fmt: skip


def _everywhere(holes: Sequence[Hole], overlay: Overlay, frame: _Frame) -> tuple[Hole, ...]:
    """Change areas that several holes share (a fairway, a lake) on the other holes as well."""
    shared = {
        area.source: (number, area)
        for number, change in overlay.holes.items()
        for area in change.areas
        if area.do != "add" and area.source != ASSUMED
    }
    found = []
    for hole in holes:
        sources = dict.fromkeys(feature.source for feature in hole.features)
        own = [shared[s][1] for s in sources if s in shared and shared[s][0] != hole.number]
        found.append(replace(hole, features=_features(hole, own, frame, set())) if own else hole)
    return tuple(found)


def _settled(question: Question, overlay: Overlay) -> bool:
    if name_of(question.hole, question.key) in overlay.answers:
        return True
    if question.key == "bounds" and (overlay.bounds or overlay.no_bounds):
        return True
    change = overlay.holes.get(question.hole)
    if change is None:
        return False
    lies = {_SETTLES.get(area.lie) for area in change.areas if area.lie is not None}
    said = {"par": change.par, "stroke_index": change.stroke_index}
    return (
        question.key in lies
        or said.get(question.key) is not None
        or (question.key == "tees" and bool(change.tees))
    )


class _Frame:
    """Brings an overlay's places into the course's frame."""

    def __init__(self, course: Course, overlay: Overlay) -> None:
        self._here = Plane(*course.origin) if course.origin is not None else None
        moved = overlay.origin is not None and overlay.origin != course.origin
        self._there = Plane(*overlay.origin) if moved and overlay.origin is not None else None
        if self._there is not None and self._here is None:
            raise InputError(
                tell("The overlay has an origin, but a scorecard has none."), tell("Take `origin` out.")
            )

    def points(self, places: Sequence[Place]) -> list[Point]:
        """Give places in the course's frame, metres."""
        return [self._point(place) for place in places]

    def _point(self, place: Place) -> Point:
        if not place.degrees and self._there is None:
            return place.a, place.b
        if self._here is None:
            raise InputError(
                tell("The overlay gives a place in degrees, but a scorecard has none."), tell("Write metres.")
            )
        lat, lon = (
            (place.a, place.b)
            if place.degrees or self._there is None
            else self._there.latlon([(place.a, place.b)])[0]
        )
        x, y = self._here.xy(lat, lon)[0]
        if not math.hypot(x, y) <= 30_000.0:
            raise InputError(
                tell("The overlay's place {lat:.5f}, {lon:.5f} is not on this course.", lat=lat, lon=lon),
                tell("Correct it."),
            )
        return float(x), float(y)

    def polygon(self, places: Sequence[Place], where: str) -> BaseGeometry:
        """Give the area inside places. Raises InputError, naming `where`, for a ring that has none."""
        from bagwright.course.shapes import ShapeError, area_of

        points = self.points(places)
        if points[0] != points[-1]:
            points.append(points[0])
        try:
            return area_of([("outer", np.array(points))])
        except ShapeError as error:
            raise InputError(
                tell("The overlay's shape {where} cannot be used: {error}.", where=where, error=str(error)),
                tell("Redraw it."),
            ) from error


def _hole(hole: Hole, change: HoleChange, frame: _Frame, removed: set[str]) -> Hole:
    hole = replace(
        hole,
        par=change.par if change.par is not None else hole.par,
        stroke_index=change.stroke_index if change.stroke_index is not None else hole.stroke_index,
        name=change.name if change.name is not None else hole.name,
        pin_height_m=change.pin_height_m if change.pin_height_m is not None else hole.pin_height_m,
        trees=tuple(frame.points(change.trees)) if change.trees is not None else hole.trees,
        features=_features(hole, change.areas, frame, removed),
    )
    return _line(hole, change, frame)


def _line(hole: Hole, change: HoleChange, frame: _Frame) -> Hole:
    """Way, pin and tees kept together: the way runs from the back tee to the pin."""
    way, pin, tees = hole.way, hole.pin, list(hole.tees)
    if change.way:
        way = tuple(frame.points(change.way))
        pin = way[-1]
        if tees:
            tees[0] = replace(tees[0], at=way[0])
    if change.pin is not None:
        pin = frame.points([change.pin])[0]
    way = (*way[:-1], pin)
    for tee in change.tees:
        _tee(hole.number, tees, tee, frame)
    if not tees:
        raise InputError(
            tell("The overlay takes every tee from hole {number}.", number=hole.number),
            tell("Leave or add one."),
        )
    tees.sort(key=lambda tee: -played_m(way, tee.at))
    return replace(hole, way=(tees[0].at, *way[1:]), pin=pin, tees=tuple(tees))


def _tee(number: int, tees: list[Tee], change: TeeChange, frame: _Frame) -> None:
    place = next((i for i, tee in enumerate(tees) if tee.name == change.name), None)
    at = frame.points([change.at])[0] if change.at is not None else None
    if change.remove:
        if place is not None:
            del tees[place]
    elif place is not None:
        old = tees[place]
        tees[place] = replace(
            old, at=at or old.at,
            height_m=change.height_m if change.height_m is not None else old.height_m,
            card_length_m=change.length_m if change.length_m is not None else old.card_length_m,
        )  # fmt: skip
    elif at is not None:
        tees.append(Tee(change.name, at, change.height_m, change.length_m))
    else:
        raise unknown(
            _WHERE,
            tell("hole {number}, tee without a place", number=number),
            change.name,
            (tee.name for tee in tees),
        )


def _features(
    hole: Hole, changes: Iterable[AreaChange], frame: _Frame, removed: set[str]
) -> tuple[Feature, ...]:
    features = list(hole.features)
    for change in changes:
        where = tell("{source} of hole {number}", source=change.source, number=hole.number)
        shape = frame.polygon(change.shape, where) if change.shape else None
        gone = f"removed {hole.number} {change.source}"
        found = [i for i, feature in enumerate(features) if feature.source == change.source]
        if change.do == "add":
            _add(features, found, change, shape)
        elif not found:
            if change.do == "remove" and gone in removed:
                continue
            raise unknown(
                _WHERE,
                tell("hole {number}, area", number=hole.number),
                change.source,
                dict.fromkeys(f.source for f in features),
            )
        elif change.do == "remove":
            features = [feature for feature in features if feature.source != change.source]
            removed.add(gone)
        else:
            old = features[found[0]]
            new = Feature(old.lie if change.lie is None else change.lie, shape or old.shape, old.source)
            features = [f for i, f in enumerate(features) if i == found[0] or i not in found]
            features[features.index(old)] = new
    return tuple(features)


def _add(features: list[Feature], found: list[int], change: AreaChange, shape: BaseGeometry | None) -> None:
    """Add an area under its name; one that only stood in for it goes."""
    if change.lie is None or shape is None:
        return
    new = Feature(change.lie, shape, change.source)
    if found:
        features[found[0]] = new
    else:
        features[:] = [f for f in features if not (f.source == ASSUMED and f.lie is change.lie)]
        features.append(new)
