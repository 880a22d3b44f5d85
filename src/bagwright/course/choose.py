"""Which holes of a map are the course: one file may hold several courses."""

from __future__ import annotations

import difflib
from collections.abc import Sequence

from bagwright.course.asking import Asked
from bagwright.course.elements import Element, MapFile
from bagwright.course.gather import rings_of
from bagwright.course.plane import Plane
from bagwright.course.shapes import ShapeError, area_of
from bagwright.course.tags import meaning_of
from bagwright.errors import InputError
from bagwright.words import tell

_NAME_TAGS = ("golf:course:name", "golf:course", "course")
"""Tags of a hole that name its course where one site holds several."""


def choose(
    file: MapFile, holes: Sequence[Element], wanted: str | None, asked: Asked
) -> tuple[str, list[Element]]:
    """Give name and holes of the course that is meant: the wanted one, else the one with most holes."""
    groups = _by_route(file, holes) or _by_tag(holes) or _by_site(file, holes)
    wanted = wanted or asked.told(0, "course")
    if wanted is not None:
        return _named(groups, wanted, file.file)
    name = max(groups, key=lambda key: len(groups[key]))
    if len(groups) > 1:
        told = ", ".join(f'"{key}" ({len(group)} holes)' for key, group in list(groups.items())[:12])
        asked.ask(
            0,
            "course",
            tell("The map holds {n} courses: {told}.", n=len(groups), told=told),
            tell('"{name}" was read, the one with the most holes.', name=name),
            tell("Name the course that is meant."),
        )
    return name, groups[name]


def _named(groups: dict[str, list[Element]], wanted: str, file: str) -> tuple[str, list[Element]]:
    for name, group in groups.items():
        if name.casefold() == wanted.strip().casefold():
            return name, group
    near = difflib.get_close_matches(wanted[:80], list(groups), n=1, cutoff=0.4)
    known = ", ".join(f'"{name}"' for name in list(groups)[:12])
    raise InputError(
        tell('{file} holds no course "{wanted}".', file=file, wanted=wanted[:80]),
        tell('The nearest is "{near}".', near=near[0]) if near else tell("It holds {known}.", known=known),
    )


def _by_route(file: MapFile, holes: Sequence[Element]) -> dict[str, list[Element]]:
    groups: dict[str, list[Element]] = {}
    for route in file.routes:
        group = [hole for hole in holes if hole.source in route.members]
        if group:
            name = route.tags.get("name") or route.tags.get("golf:course:name") or route.source
            groups.setdefault(name, []).extend(h for h in group if h not in groups.get(name, ()))
    return groups


def _by_tag(holes: Sequence[Element]) -> dict[str, list[Element]]:
    groups: dict[str, list[Element]] = {}
    for hole in holes:
        name = next((hole.tags[key] for key in _NAME_TAGS if hole.tags.get(key)), "")
        groups.setdefault(name, []).append(hole)
    return groups if len(groups) > 1 or "" not in groups else {}


def _by_site(file: MapFile, holes: Sequence[Element]) -> dict[str, list[Element]]:
    """By the golf course's area that a hole's middle point lies in."""
    from shapely.geometry import LineString

    sites = [e for e in file.elements if meaning_of(e.tags, e.kind, e.closed).role == "site"]
    if len(sites) < 2:
        return {(sites[0].tags.get("name", "") if sites else ""): list(holes)}
    groups: dict[str, list[Element]] = {}
    first = holes[0].parts[0].points[0]
    plane = Plane(*first)
    areas = []
    for site in sites[:50]:
        try:
            areas.append((site.tags.get("name") or site.source, area_of(rings_of(site, plane))))
        except ShapeError:
            continue  # It becomes a question when the chosen course is gathered.
    for hole in holes:
        line = LineString(rings_of(hole, plane)[0][1])
        middle = line.interpolate(0.5, normalized=True)
        name = next((name for name, area in areas if area.covers(middle)), "outside every course")
        groups.setdefault(name, []).append(hole)
    return groups
