"""What a map file holds before it is understood: nodes, ways and areas with their tags, in degrees."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from bagwright.course import limits
from bagwright.errors import InputError
from bagwright.shots.texts import clean
from bagwright.words import tell

LatLon = tuple[float, float]
Line = tuple[LatLon, ...]
Kind = Literal["point", "line", "area"]


@dataclass(frozen=True, slots=True)
class Part:
    """A line of an element: of a relation's member with its `role`, else with none."""

    points: Line
    role: str = ""


@dataclass(frozen=True, slots=True)
class Element:
    """One thing on the map. An area's parts are its rings or pieces of them; a closed way is a line here."""

    source: str
    """`way/1003`, `node/7`, `relation/12`, or the place in the file."""
    tags: Mapping[str, str]
    kind: Kind
    parts: tuple[Part, ...]

    @property
    def closed(self) -> bool:
        """Whether this is one line that ends where it began."""
        points = self.parts[0].points if len(self.parts) == 1 else ()
        return len(points) >= 4 and points[0] == points[-1]


@dataclass(frozen=True, slots=True)
class Route:
    """A relation that names one course of several: the sources of its members."""

    source: str
    tags: Mapping[str, str]
    members: frozenset[str]


@dataclass(slots=True)
class MapFile:
    """All elements of a file, in its order."""

    file: str
    elements: list[Element] = field(default_factory=list)
    routes: list[Route] = field(default_factory=list)
    credit: str = ""
    missing: dict[str, int] = field(default_factory=dict)
    """Elements that the file names but does not hold: what, and how often."""
    nodes: int = 0

    def add(self, element: Element) -> None:
        """Take an element in. Raises InputError where the file is too large."""
        self.nodes += sum(len(part.points) for part in element.parts)
        self.elements.append(element)
        if self.nodes > limits.NODES:
            raise InputError(
                tell("{file} has more than {nodes:,} points.", file=self.file, nodes=limits.NODES),
                tell("Cut the map to the one golf course."),
            )
        check_count(len(self.elements), self.file)
        for part in element.parts:
            if len(part.points) > limits.PART_NODES:
                raise InputError(
                    tell(
                        "{file}: {source} has {n:,} points, more than {part_nodes:,}.",
                        file=self.file,
                        source=element.source,
                        n=len(part.points),
                        part_nodes=limits.PART_NODES,
                    ),
                    tell("Simplify it, or cut it to the golf course."),
                )

    def miss(self, what: str) -> None:
        """Count something that the file names but does not hold."""
        self.missing[what] = self.missing.get(what, 0) + 1


def check_count(count: int, file: str) -> None:
    """Raise InputError for more elements than the limit."""
    if count > limits.ELEMENTS:
        raise InputError(
            tell("{file} has more than {elements:,} elements.", file=file, elements=limits.ELEMENTS),
            tell("Cut the map to the one golf course."),
        )


def position(latitude: object, longitude: object, file: str, where: str) -> LatLon:
    """Check a position in degrees. Raises InputError that names the place and the value."""
    lat, lon = _degrees(latitude), _degrees(longitude)
    highest = 90.0
    if lat is None or lon is None or abs(lat) > highest or abs(lon) > 180.0:
        raise InputError(
            tell(
                "{file}: {where}: {latitude}, {longitude} is no position (latitude -90 to 90, "
                "longitude -180 to 180, degrees).",
                file=file,
                where=where,
                latitude=told(latitude),
                longitude=told(longitude),
            ),
            tell("Correct it, or export the map again in WGS 84."),
        )
    return lat, lon


def _degrees(value: object) -> float | None:
    if isinstance(value, str):
        text = value.strip()
        if len(text) > 40 or not text.isascii() or "_" in text:
            return None
        try:
            number = float(text)
        except ValueError:
            return None
    elif isinstance(value, int | float) and not isinstance(value, bool):
        number = float(value) if abs(value) < 1e6 else math.inf
    else:
        return None
    return number if math.isfinite(number) else None


def told(value: object) -> str:
    """Give a value from outside as a message shows it: text and numbers short, the rest by its kind."""
    if isinstance(value, str):
        return clean(value[:200], 40)
    if value is None or isinstance(value, float | bool) or (isinstance(value, int) and abs(value) < 10**18):
        return str(value)
    return f"a {type(value).__name__}"


def tags_of(pairs: Iterable[tuple[object, object]]) -> dict[str, str]:
    """Give tags as clean text; what is no text or number is left out."""
    tags: dict[str, str] = {}
    for key, value in pairs:
        if len(tags) >= limits.TAGS:
            break
        if isinstance(key, str) and isinstance(value, str | int | float) and not isinstance(value, bool):
            if isinstance(value, int) and abs(value) > 10**18:
                continue
            tags[clean(key, limits.TEXT)] = clean(str(value), limits.TEXT)
    return tags
