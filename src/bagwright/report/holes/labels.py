"""Words and figures over a hole's ground, placed apart: each takes the first of its places that is free.

Widths are estimated, as no font is at hand where an SVG is written: 0.6 of the size for a letter, which is
wide enough for the fonts that `holes.css` names.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from bagwright.report.holes.view import View
from bagwright.report.holes.xml import el, text
from bagwright.report.safe import label
from bagwright.words import as_read

Box = tuple[float, float, float, float]
"""Least x and y, greatest x and y, pixels."""

_WIDE = 0.6
_SIZES = {"hp-small": 11.5, "hp-letter": 11.5}
_SIZE = 13.0
_RISE, _FALL = 0.8, 0.22
"""Of a letter's size, above and below its line."""
_GAP_PX = 1.5
_LONGEST = 40
"""Letters of a label; the rest is cut."""
_LEADER_FROM_PX = 14.0
"""A label farther from what it names is joined to it by a line."""


@dataclass(frozen=True, slots=True)
class Place:
    """One place of a label: where its writing begins (`start`), ends (`end`) or has its middle (`middle`)."""

    x: float
    y: float
    hold: str = "start"


@dataclass(frozen=True, slots=True)
class Label:
    """Words over the ground, the places they may take (the most wanted first), and what they name."""

    words: object
    places: Sequence[Place]
    cls: str
    needed: bool = True
    """Where no place is free: written where it covers least, else left out."""
    names: tuple[float, float] | None = None
    """The pixel that it names, for a line to it from a place farther off."""

    def box(self, place: Place) -> Box:
        """What it covers there."""
        size = next((_SIZES[one] for one in self.cls.split() if one in _SIZES), _SIZE)
        wide = _WIDE * size * len(as_read(label(self.words, _LONGEST)))
        x0 = place.x - {"start": 0.0, "end": wide, "middle": wide / 2}[place.hold]
        return x0, place.y - _RISE * size, x0 + wide, place.y + _FALL * size


_HOLDS = {"start": "", "end": " hp-end", "middle": " hp-middle"}


def placed(labels: Iterable[Label], taken: Sequence[Box], view: View) -> str:
    """Write labels in their order, each apart from those before it and from what is `taken`."""
    frame = (view.left, view.top, view.left + view.width, view.top + view.height)
    kept, drawn = list(taken), []
    for one in labels:
        found = _place(one, kept, frame)
        if found is not None:
            kept.append(one.box(found))
            drawn.append(_leader(one, found))
            drawn.append(text(one.words, found.x, found.y, one.cls + _HOLDS[found.hold], _LONGEST))
    return "".join(drawn)


def _place(one: Label, kept: Sequence[Box], frame: Box) -> Place | None:
    """The first free place in the frame; what is needed may be moved into it, or stand over others."""
    inside = [place for place in one.places if _moved(one, place, frame) == place]
    moved = [_moved(one, place, frame) for place in one.places] if one.needed else []
    least, best = math.inf, None
    for place in (*inside, *moved):
        box = one.box(place)
        covered = sum(_covered(box, other) for other in kept)
        if covered == 0.0:
            return place
        if one.needed and covered < least:
            least, best = covered, place
    return best


def _moved(one: Label, place: Place, frame: Box) -> Place:
    """A place moved as little as brings its words into the frame; words wider than it begin at its left."""
    x0, y0, x1, y1 = one.box(place)
    aside = max(min(0.0, frame[2] - x1), frame[0] - x0) if x0 >= frame[0] else frame[0] - x0
    down = max(min(0.0, frame[3] - y1), frame[1] - y0) if y0 >= frame[1] else frame[1] - y0
    return Place(place.x + aside, place.y + down, place.hold) if aside or down else place


def _covered(one: Box, other: Box) -> float:
    """The area that two boxes share, with a gap between them."""
    wide = min(one[2], other[2]) - max(one[0], other[0]) + _GAP_PX
    tall = min(one[3], other[3]) - max(one[1], other[1]) + _GAP_PX
    return wide * tall if wide > 0.0 and tall > 0.0 else 0.0


def _leader(one: Label, place: Place) -> str:
    """A line from what a label names to its nearest edge, where it stands away from it."""
    if one.names is None:
        return ""
    x0, y0, x1, y1 = one.box(place)
    x, y = one.names
    at = (min(max(x, x0), x1), min(max(y, y0), y1))
    if math.dist(at, one.names) < _LEADER_FROM_PX:
        return ""
    return el("path", d=f"M{x:.1f} {y:.1f}L{at[0]:.1f} {at[1]:.1f}", cls="hp-leader")
