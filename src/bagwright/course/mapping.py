"""From the elements of a map to a course."""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from bagwright.course.along import length_of
from bagwright.course.answering import FAIRWAY_M
from bagwright.course.asking import Asked
from bagwright.course.assign import Nearest
from bagwright.course.choose import choose
from bagwright.course.edges import out_areas, site_of
from bagwright.course.elements import MapFile
from bagwright.course.gather import Area, Spot, Things, WayOf, gather, hole_elements, plane_for
from bagwright.course.greens import green_of
from bagwright.course.hole import Course, Feature, Hole, Point
from bagwright.course.lies import Lie
from bagwright.course.numbers import numbered
from bagwright.course.pars import par_by_length, reading
from bagwright.course.tees import tees_of
from bagwright.course.values import PARS, height_m, length_m, par_of, stroke_index_of
from bagwright.words import join, tell

ASSUMED_WIDTH_M = 30.0
"""Width of a fairway that nobody drew (33 yd; common practice)."""
ASSUMED_FROM_M = 130.0
"""Where such a fairway begins, from the back tee (common practice)."""
_SHORT_OF_GREEN_M = 3.0
_DIFFERS_M, _DIFFERS = 15.0, 0.05
"""A length on the tag that differs by more from the way is asked about."""


def course_of_map(file: MapFile, asked: Asked, wanted: str | None = None) -> Course:
    """Read a course from a map's elements."""
    name, holes = choose(file, hole_elements(file), wanted, asked)
    plane = plane_for(holes, file.file)
    things = gather(file, holes, plane, asked)
    ways = numbered(things.ways, things.areas, file.file, asked)
    lines = [way.points for _, way in ways]
    site = site_of(things, lines, asked)
    things.areas += [Area(f, {}) for f in out_areas(things, site, lines, asked)]
    site = _ring_of_out(things, site, lines)
    built = _holes(things, ways, asked)
    _ask_course(file, things, built, asked)
    notes = {f"left out: {word}": str(count) for word, count in sorted(things.left_out.items())}
    return Course(
        name or _site_name(things), tuple(built), (plane.latitude_deg, plane.longitude_deg), site,
        tuple(asked.questions), "map", file.credit, None, notes,
    )  # fmt: skip


def _site_name(things: Things) -> str:
    return next((site.tags["name"] for site in things.sites if site.tags.get("name")), "")


def _ring_of_out(
    things: Things, site: BaseGeometry | None, lines: Sequence[Sequence[Point]]
) -> BaseGeometry | None:
    """A closed line of out of bounds around the holes is the course's edge, not an area to keep out of."""
    ways = [LineString(way) for way in lines]
    kept = []
    for area in things.areas:
        shape = area.feature.shape
        if area.feature.lie is Lie.OUT and 2 * sum(1 for way in ways if shape.covers(way)) > len(ways):
            site = shape
        else:
            kept.append(area)
    things.areas[:] = kept
    return site


def _holes(things: Things, ways: Sequence[tuple[int, WayOf]], asked: Asked) -> list[Hole]:
    nearest = Nearest([way.points for _, way in ways])
    areas: list[list[Area]] = [[] for _ in ways]
    spots: list[list[Spot]] = [[] for _ in ways]
    trees: list[list[Point]] = [[] for _ in ways]
    for area in things.areas:
        owners = nearest.owners(area)
        if not owners:
            things.leave_out("ground far from every hole")
        for i in owners:
            areas[i].append(area)
    for spot in things.tee_spots:
        owner = nearest.tee_owner(spot)
        if owner is not None:
            spots[owner].append(spot)
    for tree in things.trees:
        owner = nearest.tree_owner(tree)
        if owner is not None:
            trees[owner].append(tree)
    return [
        _hole(number, way, things, own, own_spots, tuple(own_trees), asked)
        for (number, way), own, own_spots, own_trees in zip(ways, areas, spots, trees, strict=True)
    ]


def _hole(
    number: int,
    way: WayOf,
    things: Things,
    areas: Sequence[Area],
    spots: Sequence[Spot],
    trees: tuple[Point, ...],
    asked: Asked,
) -> Hole:
    tags, end = way.tags, way.points[-1]
    green, pin, drawn = green_of(
        number, end, [a for a in areas if a.feature.lie is Lie.GREEN], things.pins, asked
    )
    points = (*way.points[:-1], pin)
    tees = tees_of(number, points, tags, [a for a in areas if a.feature.lie is Lie.TEE], spots, asked)
    points = (tees[0].at, *points[1:])
    length = length_of(points)
    par = _par(number, tags.get("par"), length, asked)
    features = [a.feature for a in areas]
    if not drawn:
        features.append(green)
    features += _fairway(number, par, points, green, features, asked)
    _check_length(number, tags.get("dist"), length, asked)
    return Hole(
        number, par, stroke_index_of(tags.get("handicap")), tees, pin, points, tuple(features), trees,
        _pin_height(green, pin, things, areas), tags.get("name", ""),
    )  # fmt: skip


def _par(number: int, told: str | None, length: float, asked: Asked) -> int:
    par = par_of(asked.told(number, "par")) or par_of(told)
    if par is not None:
        return par
    said = tell('"{told}" is no par', told=told[:20]) if told else tell("nobody says its par")
    asked.ask(
        number,
        "par",
        tell("Hole {number}: {said}.", number=number, said=said),
        tell("It is a {length}.", length=reading(length)),
        tell("Answer with a par from {low} to {high}.", low=PARS[0], high=PARS[1]),
    )
    return par_by_length(length)


def _check_length(number: int, told: str | None, length: float, asked: Asked) -> None:
    said = length_m(told, 1.0, 5000.0)
    if said is not None and abs(said - length) > max(_DIFFERS_M, _DIFFERS * said):
        asked.ask(
            number,
            "length",
            tell(
                "Hole {number}: dist says {said:.0f} m, but its way has {length:.0f} m.",
                number=number,
                said=said,
                length=length,
            ),
            tell("The way counts."),
            tell("Correct the way or dist (in metres) in the map."),
        )


def _fairway(
    number: int, par: int, way: Sequence[Point], green: Feature, features: Sequence[Feature], asked: Asked
) -> list[Feature]:
    """A stated strip along the way of a hole that has no fairway and is longer than a par 3."""
    if par <= 3 or any(f.lie is Lie.FAIRWAY for f in features):
        return []
    width = length_m(asked.told(number, "fairway"), *FAIRWAY_M) or ASSUMED_WIDTH_M
    line = LineString(way)
    start = min(ASSUMED_FROM_M, line.length / 2)
    strip = substring(line, start, line.length).buffer(width / 2, quad_segs=8, cap_style="flat")
    strip = strip.difference(green.shape.buffer(_SHORT_OF_GREEN_M))
    asked.ask(
        number,
        "fairway",
        tell("Hole {number} has no fairway.", number=number),
        tell(
            "A strip {width:.0f} m wide along the hole's way, from {start:.0f} m after the tee to the green.",
            width=width,
            start=start,
        ),
        tell('Draw it (golf=fairway), or answer with its width: "28 m".'),
    )
    return [] if strip.is_empty else [Feature(Lie.FAIRWAY, strip, "assumed")]


def _pin_height(green: Feature, pin: Point, things: Things, areas: Sequence[Area]) -> float | None:
    """Give the height of the pin, else that of the green."""
    for spot in things.pins:
        if spot.at == pin and height_m(spot.tags.get("ele")) is not None:
            return height_m(spot.tags.get("ele"))
    for area in areas:
        if area.feature is green:
            return height_m(area.tags.get("ele"))
    return None


def _ask_course(file: MapFile, things: Things, holes: Sequence[Hole], asked: Asked) -> None:
    if things.streams:
        told = ", ".join(f"{kind} {width:.1f} m" for kind, width in sorted(things.streams.items()))
        asked.ask(
            0,
            "water width",
            tell("Waterways are drawn as lines without a width."),
            tell("Read as: {told}.", told=told),
            tell("Add width=* in metres to them in the map."),
        )
    without = [str(hole.number) for hole in holes if hole.stroke_index is None]
    if without:
        asked.ask(
            0,
            "stroke_index",
            tell("No stroke index (handicap) on holes {names}.", names=join(", ", without[:36])),
            tell("They have none."),
            tell("Give stroke_index under [hole.N] in the overlay, or handicap in the map."),
        )
    _ask_tees(holes, asked)
    if file.missing:
        told = ", ".join(f"{count} x {what}" for what, count in sorted(file.missing.items()))
        asked.ask(
            0,
            "missing",
            tell("The file names things that it does not hold: {told}.", told=told),
            tell("What is left of them was read."),
            tell("Export the map again with everything that it names."),
        )


def _ask_tees(holes: Sequence[Hole], asked: Asked) -> None:
    """Ask about a tee that most holes have and some have not."""
    names: dict[str, set[int]] = {}
    for hole in holes:
        for tee in hole.tees:
            names.setdefault(tee.name.casefold(), set()).add(hole.number)
    for name, have in list(names.items())[:30]:
        lacking = [str(hole.number) for hole in holes if hole.number not in have]
        if lacking and 2 * len(have) > len(holes) and not name.startswith("tee "):
            asked.ask(
                0,
                f"tee {name}",
                tell("The tee {name} is not on holes {names}.", name=name, names=join(", ", lacking[:36])),
                tell("These holes have no such tee."),
                tell("Draw it there, or add [[hole.N.tee]] in the overlay."),
            )
