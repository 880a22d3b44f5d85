"""A course as it was understood: holes in metres on a local plane, with their features.

Frame of a course: x east, y north, metres from `Course.origin`, on the plane that touches the ellipsoid
there (WGS 84; a few millimetres off over one hole). Frame of a hole's raster: x from the chosen tee towards
the pin, y to the **right** of it, z up; see `raster.py`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from bagwright.course.lies import Lie

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

Point = tuple[float, float]
"""(x east, y north), metres."""


@dataclass(frozen=True, slots=True)
class Question:
    """Something the map or the card leaves open, how it was read meanwhile, and how to answer it.

    `hole` is 0 for the whole course. `key` is stable (`fairway`, `pin`, `par`, `tees`, `bounds`, ...), so
    that an answer in the overlay file can name it.
    """

    hole: int
    key: str
    words: str
    read_as: str
    answer: str


@dataclass(frozen=True, slots=True)
class Feature:
    """One area of one lie. `shape` is a shapely polygon or multipolygon in the course's frame, metres."""

    lie: Lie
    shape: BaseGeometry
    source: str
    """Where it came from: `way/1003`, `overlay`, `card`, `assumed`."""


@dataclass(frozen=True, slots=True)
class Tee:
    """A teeing ground: where its shots start from, and its height above the course's own zero, metres."""

    name: str
    at: Point
    height_m: float | None = None
    card_length_m: float | None = None
    """Length on the card or tag, where given; the played length is measured along the hole's way."""
    par: int | None = None
    """Par from this tee, where it differs from the hole's."""
    stroke_index: int | None = None
    """Stroke index from this tee, where it differs from the hole's."""


@dataclass(frozen=True, slots=True)
class Hole:
    """One hole. `way` runs from the back tee to the pin through the scratch landing points."""

    number: int
    par: int | None
    stroke_index: int | None
    tees: tuple[Tee, ...]
    pin: Point
    way: tuple[Point, ...]
    features: tuple[Feature, ...]
    trees: tuple[Point, ...] = ()
    """Single trees."""
    pin_height_m: float | None = None
    name: str = ""

    def tee(self, name: str | None = None) -> Tee:
        """Give the tee of this name, or the first (the longest); KeyError where there is none of it."""
        if name is None:
            return self.tees[0]
        for tee in self.tees:
            if tee.name == name:
                return tee
        raise KeyError(name)


@dataclass(frozen=True, slots=True)
class Course:
    """A course as it was understood. `bounds` is the edge of the property (a shapely polygon) or None."""

    name: str
    holes: tuple[Hole, ...]
    origin: tuple[float, float] | None
    """(latitude, longitude) in degrees of the frame's zero; None for a scorecard."""
    bounds: BaseGeometry | None
    questions: tuple[Question, ...]
    source: str
    """`map` or `card`."""
    credit: str = ""
    """Words that the data's licence asks for, shown under every picture."""
    heights: Heights | None = None
    notes: Mapping[str, str] = field(default_factory=dict)

    @property
    def tee_names(self) -> tuple[str, ...]:
        """All tees of the course, the longest first as the holes have them, each once."""
        return tuple(dict.fromkeys(tee.name for hole in self.holes for tee in hole.tees))


@dataclass(frozen=True, slots=True)
class Heights:
    """Heights in metres on a regular grid of the course's frame; NaN where unknown.

    `z[i, j]` lies at (x0_m + i * step_m, y0_m + j * step_m).
    """

    x0_m: float
    y0_m: float
    step_m: float
    z: object
