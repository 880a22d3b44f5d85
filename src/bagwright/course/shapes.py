"""Polygons from rings, and the operations on them that hostile shapes must not make slow.

Every function here works in metres of the course's plane. Shapely is loaded with this module, so only what
reads a map or makes a raster imports it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from bagwright.course import limits
from bagwright.words import tell

Ring = NDArray[np.float64]


class ShapeError(ValueError):
    """A shape that cannot be used; its message says why, in words for a question."""


@dataclass(slots=True)
class Mending:
    """How many more shapes of one map may be mended."""

    left: int = limits.MENDED_SHAPES


def area_of(rings: Iterable[tuple[str, Ring]], mending: Mending | None = None) -> BaseGeometry:
    """Put an area together from rings or pieces of them, each with its role ("inner" cuts out).

    Pieces are joined where their ends meet. Raises ShapeError where no closed ring comes of it or where the
    area crosses itself and would take too long to be mended.
    """
    outer, inner, loose = [], [], {"outer": [], "inner": []}  # type: ignore[var-annotated]
    for role, ring in rings:
        kind = "inner" if role == "inner" else "outer"
        if len(ring) >= 4 and bool((ring[0] == ring[-1]).all()):
            (inner if kind == "inner" else outer).append(Polygon(ring))
        elif len(ring) >= 2:
            loose[kind].append(LineString(ring))
    outer += _joined(loose["outer"])
    inner += _joined(loose["inner"])
    if not outer:
        raise ShapeError(tell("its ring is not closed"))
    return usable(_with_holes(outer, inner), mending)


def _joined(lines: Sequence[LineString]) -> list[Polygon]:
    if not lines:
        return []
    polygons, _, dangles, invalid = shapely.polygonize_full(list(lines))
    if len(dangles.geoms) or len(invalid.geoms):
        raise ShapeError(tell("its ring is not closed"))
    return list(polygons.geoms)


def _with_holes(outer: list[Polygon], inner: list[Polygon]) -> BaseGeometry:
    """Outer rings without the inner ones that lie in them; an outer ring in an outer one is cut out too."""
    outer = sorted(outer, key=lambda polygon: -polygon.area)
    if len(outer) * (len(inner) + len(outer)) > limits.RINGS * 50:
        raise ShapeError(tell("it has too many rings"))
    holes: list[list[Any]] = [[] for _ in outer]
    for ring in inner:
        inside = ring.representative_point()
        owners = [i for i, polygon in enumerate(outer) if polygon.contains(inside)]
        if owners:
            holes[owners[-1]].append(ring.exterior)
    parts = [Polygon(polygon.exterior, cut) for polygon, cut in zip(outer, holes, strict=True)]
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)


def usable(shape: BaseGeometry, mending: Mending | None = None) -> BaseGeometry:
    """Give a valid area. Raises ShapeError where there is none, or where mending would take too long."""
    if not shape.is_valid:
        if mending is not None:
            mending.left -= 1
            if mending.left < 0:
                raise ShapeError(tell("it crosses itself, as too many others do"))
        if shapely.get_num_coordinates(shape) > limits.MENDED_NODES:
            raise ShapeError(
                tell(
                    "it crosses itself and has more than {mended_nodes:,} points",
                    mended_nodes=limits.MENDED_NODES,
                )
            )
        check_crossings(shape)
        shape = shapely.make_valid(shape)
    shape = polygons_only(shape)
    if shape.is_empty or not shape.area > 0.01:
        raise ShapeError(tell("it has no area"))
    return shape


def check_crossings(shape: BaseGeometry) -> None:
    """Raise ShapeError for a shape of up to `MENDED_NODES` points that crosses itself too often."""
    if crossings(shape) > limits.CROSSINGS:
        raise ShapeError(tell("it crosses itself in more than {most} places", most=limits.CROSSINGS))


def crossings(shape: BaseGeometry) -> int:
    """Count the pairs of a shape's pieces of line that cross properly; the work is that of all pairs."""
    points, part = shapely.get_coordinates(shape), _parts(shape)
    start, end, step = points[:-1][part], points[1:][part], np.diff(points, axis=0)[part]

    def side(of: NDArray[np.float64]) -> NDArray[np.float64]:
        """Which side of every step points lie on: exactly 0 for a step's own ends."""
        across = step[:, 0, None] * (of[None, :, 1] - start[:, 1, None])
        found: NDArray[np.float64] = across - step[:, 1, None] * (of[None, :, 0] - start[:, 0, None])
        return found

    one, other = side(start), side(end)
    parted = ((one > 0.0) & (other < 0.0)) | ((one < 0.0) & (other > 0.0))
    return int((parted & parted.T).sum()) // 2


def _parts(shape: BaseGeometry) -> NDArray[np.bool_]:
    """Say which steps from one point to the next stay on one line of the shape."""
    lines = shapely.get_parts(shapely.get_rings(shapely.get_parts(shape)))
    if not len(lines):
        lines = shapely.get_parts(shape)
    ends = np.cumsum(shapely.get_num_coordinates(lines))
    inside: NDArray[np.bool_] = np.ones(int(ends[-1]) - 1, dtype=np.bool_)
    inside[ends[:-1] - 1] = False
    return inside


def polygons_only(shape: BaseGeometry) -> BaseGeometry:
    """Give the polygons of a shape; lines and points of a mixture are left out."""
    if isinstance(shape, Polygon | MultiPolygon):
        return shape
    parts: list[Polygon] = []
    for part in getattr(shape, "geoms", ()):
        kept = polygons_only(part)
        parts += list(getattr(kept, "geoms", [kept]))
    return parts[0] if len(parts) == 1 else MultiPolygon([p for p in parts if not p.is_empty])


def check_work(one: BaseGeometry, other: BaseGeometry) -> None:
    """Raise ShapeError where cutting one shape by the other could take very long."""
    if int(shapely.get_num_coordinates(one)) * int(shapely.get_num_coordinates(other)) > limits.WORK:
        raise ShapeError(tell("it has too many points to be cut"))


def cut(one: BaseGeometry, other: BaseGeometry) -> BaseGeometry:
    """What both share."""
    check_work(one, other)
    return one.intersection(other)


def widened(points: Ring, width_m: float) -> BaseGeometry:
    """Give the band of this width along a line. Raises ShapeError for a line with too many points."""
    line = shapely.simplify(LineString(points), 0.25)
    if shapely.get_num_coordinates(line) > limits.MENDED_NODES:
        raise ShapeError(tell("it has more than {mended_nodes:,} points", mended_nodes=limits.MENDED_NODES))
    check_crossings(line)
    return usable(line.buffer(width_m / 2, quad_segs=4, cap_style="flat"))


def pieces(shape: BaseGeometry) -> list[BaseGeometry]:
    """Give the parts of a shape, one by one."""
    return [part for part in getattr(shape, "geoms", [shape]) if not part.is_empty]
