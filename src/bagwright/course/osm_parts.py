"""Nodes, ways and relations that name each other, put together to elements."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from bagwright.course import limits
from bagwright.course.elements import Element, LatLon, MapFile, Part, Route
from bagwright.errors import InputError
from bagwright.words import tell

AREA_TYPES = ("multipolygon", "boundary")
ROUTE_TYPES = ("route", "golf_course", "site", "collection")


@dataclass(frozen=True, slots=True)
class Member:
    """One member of a relation; `points` where its geometry stands in the relation itself."""

    type: str
    ref: str
    role: str
    points: tuple[LatLon, ...] = ()


@dataclass(slots=True)
class RawWay:
    """A way: the nodes that it names, or its points where they stand in it."""

    tags: dict[str, str]
    refs: Sequence[str]
    points: tuple[LatLon, ...] = ()


@dataclass(slots=True)
class Raw:
    """A file's nodes, ways and relations by their numbers."""

    file: str
    nodes: dict[str, LatLon] = field(default_factory=dict)
    node_tags: dict[str, dict[str, str]] = field(default_factory=dict)
    ways: dict[str, RawWay] = field(default_factory=dict)
    relations: dict[str, tuple[dict[str, str], list[Member]]] = field(default_factory=dict)

    def node(self, key: str, at: LatLon, tags: dict[str, str]) -> None:
        """Keep a node. Raises InputError beyond the limit."""
        self.nodes[key] = at
        if tags:
            self.node_tags[key] = tags
        if len(self.nodes) > limits.NODES:
            raise InputError(
                tell("{file} has more than {nodes:,} nodes.", file=self.file, nodes=limits.NODES),
                tell("Cut the map to the one golf course."),
            )

    def way(self, key: str, tags: dict[str, str], refs: Sequence[str], points: Sequence[LatLon] = ()) -> None:
        """Keep a way; one that comes a second time without tags adds only its geometry."""
        before = self.ways.get(key)
        if before is not None:
            tags, refs = tags or before.tags, refs or before.refs
            points = points or before.points
        self.ways[key] = RawWay(tags, refs, tuple(points))

    def relation(self, key: str, tags: dict[str, str], members: list[Member]) -> None:
        """Keep a relation. Raises InputError for more members than the limit."""
        if len(members) > limits.RINGS:
            raise InputError(
                tell(
                    "{file}: relation {key} has {n:,} members, more than {rings:,}.",
                    file=self.file,
                    key=key,
                    n=len(members),
                    rings=limits.RINGS,
                ),
                tell("Cut the map to the one golf course."),
            )
        before = self.relations.get(key)
        if before is None or tags or not before[0]:
            self.relations[key] = (tags or (before[0] if before else {}), members)


def assemble(raw: Raw, credit: str = "") -> MapFile:
    """Put a file together. What it names but does not hold is counted in `missing`."""
    out = MapFile(raw.file, credit=credit)
    lines = {key: _points(raw, way, out) for key, way in raw.ways.items()}
    outer_only = _relations(raw, lines, out)
    for key, way in raw.ways.items():
        if way.tags and key not in outer_only and len(lines[key]) >= 2:
            out.add(Element(f"way/{key}", way.tags, "line", (Part(lines[key]),)))
    for key, tags in raw.node_tags.items():
        out.add(Element(f"node/{key}", tags, "point", (Part((raw.nodes[key],)),)))
    return out


def _points(raw: Raw, way: RawWay, out: MapFile) -> tuple[LatLon, ...]:
    if way.points:
        return way.points
    found = tuple(raw.nodes[ref] for ref in way.refs if ref in raw.nodes)
    if len(found) < len(way.refs):
        out.miss("node")
    return found


def _relations(raw: Raw, lines: dict[str, tuple[LatLon, ...]], out: MapFile) -> set[str]:
    """Add the areas and routes; give the ways whose tags the area already carries (the old style)."""
    carried: set[str] = set()
    for key, (tags, members) in raw.relations.items():
        kind = tags.get("type", "")
        if kind in ROUTE_TYPES:
            sources = frozenset(f"{m.type}/{m.ref}" for m in members)
            out.routes.append(Route(f"relation/{key}", tags, sources))
        elif kind in AREA_TYPES:
            parts, own = _area(raw, lines, members, tags, out)
            carried |= own
            if parts:
                out.add(Element(f"relation/{key}", own_tags(raw, members, tags), "area", parts))
    return carried


def _area(
    raw: Raw, lines: dict[str, tuple[LatLon, ...]], members: list[Member], tags: dict[str, str], out: MapFile
) -> tuple[tuple[Part, ...], set[str]]:
    parts, carried = [], set()
    bare = not _meant(tags)
    for member in members:
        if member.type != "way":
            continue
        points = member.points or lines.get(member.ref, ())
        if len(points) < 2:
            out.miss("member of a relation")
            continue
        parts.append(Part(points, member.role))
        if bare and member.role != "inner":
            carried.add(member.ref)
    return tuple(parts), carried


def own_tags(raw: Raw, members: list[Member], tags: dict[str, str]) -> dict[str, str]:
    """Give a relation's tags, or in the old style those of its first outer way."""
    if _meant(tags):
        return tags
    for member in members:
        way = raw.ways.get(member.ref) if member.type == "way" and member.role != "inner" else None
        if way is not None and way.tags:
            return way.tags | tags
    return tags


def _meant(tags: dict[str, str]) -> bool:
    return any(key not in ("type", "name", "source", "note", "created_by") for key in tags)
