"""Which hole a piece of ground belongs to: by geometry alone, the nearest way of a hole.

A green belongs to the hole whose way ends nearest to it (a double green to both that end on it), a tee to
the hole whose first half it is nearest to, a fairway to every hole whose way runs through it, and everything
to the hole whose way is nearest.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import shapely
from shapely import Point as Dot
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from bagwright.course import limits
from bagwright.course.gather import Area, Spot
from bagwright.course.hole import Point
from bagwright.course.lies import Lie

TEE_REACH_M = 120.0
"""A tee farther from every hole's first half belongs to none (a practice tee)."""
_THROUGH_M = 25.0
"""A fairway is a hole's own where so much of its way runs through it."""


class Nearest:
    """Finds the holes that things belong to; holes by their place in the list of ways."""

    def __init__(self, ways: Sequence[Sequence[Point]]) -> None:
        self.lines = [LineString(way) for way in ways]
        self._ends = [Dot(way[-1]) for way in ways]
        self._halves = [substring(line, 0.0, 0.5, normalized=True) for line in self.lines]
        self._trees = {
            key: shapely.STRtree(shapes)
            for key, shapes in (("line", self.lines), ("end", self._ends), ("half", self._halves))
        }

    def _of(self, key: str, shape: BaseGeometry, within: float) -> list[int]:
        found: Any = self._trees[key].query_nearest(shape, max_distance=within, all_matches=True)
        return sorted(int(i) for i in found)

    def owners(self, area: Area) -> list[int]:
        """Give the holes that an area belongs to; none where it is far from all."""
        feature = area.feature
        if feature.lie is Lie.GREEN:
            return self._of("end", feature.shape, limits.REACH_M)
        if feature.lie is Lie.TEE:
            return self._of("half", feature.shape, TEE_REACH_M)[:1]
        if feature.lie is Lie.FAIRWAY:
            through = self._through(feature.shape)
            if through:
                return through
        return self._of("line", feature.shape, limits.FAR_M)[:1]

    def _through(self, shape: BaseGeometry) -> list[int]:
        if shapely.get_num_coordinates(shape) > limits.PART_NODES:
            return []
        crossed: Any = self._trees["line"].query(shape, predicate="intersects")
        return [i for i in sorted(map(int, crossed)) if self.lines[i].intersection(shape).length > _THROUGH_M]

    def tee_owner(self, spot: Spot) -> int | None:
        """Give the hole that a tee drawn as a point belongs to."""
        found = self._of("half", Dot(spot.at), TEE_REACH_M)
        return found[0] if found else None

    def tree_owner(self, at: Point) -> int | None:
        """Give the hole that a tree stands nearest to."""
        found = self._of("line", Dot(at), limits.FAR_M)
        return found[0] if found else None
