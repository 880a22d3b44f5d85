"""The ground of a hole as SVG: each lie with a colour, a pattern, an edge and a letter of its own."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely
from shapely.geometry import Point as Spot
from shapely.geometry import Polygon, box
from shapely.ops import unary_union

from bagwright.course.ground import Ground, Patch, polygons
from bagwright.course.lies import LETTERS, Lie
from bagwright.report.holes.labels import Label, Place
from bagwright.report.holes.view import View
from bagwright.report.holes.xml import el, path
from bagwright.words import sense, tell

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry


@dataclass(frozen=True, slots=True)
class Look:
    """How a lie is drawn: its class, the pattern over it (or none), and its words in the legend."""

    cls: str
    pattern: str
    words: str


LOOKS = {
    Lie.TEE: Look("hp-tee", "", sense("tee", "teeing ground")),
    Lie.FAIRWAY: Look("hp-fairway", "", tell("fairway")),
    Lie.ROUGH: Look("hp-rough", "", tell("rough")),
    Lie.DEEP: Look("hp-deep", "ticks", tell("deep rough, heath")),
    Lie.SAND: Look("hp-sand", "dots", tell("bunker")),
    Lie.RECOVERY: Look("hp-recovery", "crowns", tell("trees")),
    Lie.GREEN: Look("hp-green", "", tell("green")),
    Lie.WATER: Look("hp-water", "waves", tell("penalty area, yellow")),
    Lie.WATER_RED: Look("hp-red", "waves", tell("penalty area, red")),
    Lie.OUT: Look("hp-out", "hatch", tell("out of bounds")),
}
_LETTER_NEEDS_PX = 7.5
"""Radius that a letter needs."""
_STREAM_PX = 80.0
"""Outline of a stream that gets its letter although it is too narrow for it."""


def patterns(prefix: str) -> str:
    """Give the patterns' definitions, their ids beginning with `prefix`."""
    dots = (el("circle", cx=at, cy=at, r=0.8, cls="hp-sand-mark") for at in (2, 5.5))
    crowns = (el("circle", cx=at, cy=at, r=r, cls="hp-crown") for at, r in ((4, 2.6), (11, 2.2)))
    marks = {
        "dots": (7, "".join(dots)),
        "waves": (14, el("path", d="M0 5q3.5 -3 7 0t7 0M-3.5 12q3.5 -3 7 0t7 0t7 0", cls="hp-wave")),
        "ticks": (12, el("path", d="M2 6l1.5 -4M6 6l0 -4.4M10 6l-1.5 -4", cls="hp-tick")),
        "crowns": (14, "".join(crowns)),
        "hatch": (8, el("path", d="M-1 9L9 -1M-1 1L1 -1M7 9L9 7", cls="hp-hatch")),
    }
    return "".join(
        el("pattern", inside, id=f"{prefix}{name}", patternUnits="userSpaceOnUse", width=size, height=size)
        for name, (size, inside) in marks.items()
    )


def ground_layer(ground: Ground, view: View) -> str:
    """Draw the patches of a hole from the lowest to the highest."""
    drawn = [
        el("rect", cls="hp-rough", x=view.left, y=view.top, width=view.width, height=view.height),
        *(_patch(patch, shape, view) for patch, shape in _shown(ground, view)),
    ]
    return "".join(drawn)


def letters(ground: Ground, view: View) -> list[Label]:
    """The letters of the patches that can hold one."""
    return list(_letters(_shown(ground, view), ground, view))


def _shown(ground: Ground, view: View) -> list[tuple[Patch, BaseGeometry]]:
    """The patches in the picture, from the lowest to the highest, each with its part there."""
    frame = box(view.x0_m, view.y0_m, view.x1_m, view.y1_m)
    cut = [(patch, _cut(patch.shape, frame, view)) for patch in ground.patches]
    return [(patch, shape) for patch, shape in cut if not shape.is_empty]


def _cut(shape: BaseGeometry, frame: Polygon, view: View) -> BaseGeometry:
    """The part in the picture, without bends too small to see."""
    return shape.intersection(frame.buffer(4.0 / view.scale)).simplify(0.3 / view.scale)


def _patch(patch: Patch, shape: BaseGeometry, view: View) -> str:
    look = LOOKS[patch.looks]
    outline = path((view.line(ring.coords) for ring in _rings(shape)), closed=True)
    if not outline:
        return ""
    drawn = el("path", d=outline, cls=look.cls, fill_rule="evenodd")
    if look.pattern:
        fill = f"url(#{view.prefix}{look.pattern})"
        drawn += el("path", d=outline, fill=fill, fill_rule="evenodd")
    return drawn


def _rings(shape: BaseGeometry) -> Iterator[Polygon]:
    for polygon in polygons(shape):
        yield polygon.exterior
        yield from polygon.interiors


def _letters(shown: list[tuple[Patch, BaseGeometry]], ground: Ground, view: View) -> Iterator[Label]:
    """A letter in every part that can hold one and is not hidden; one beside a stream too narrow for it."""
    frame = box(view.x0_m, view.y0_m, view.x1_m, view.y1_m)
    hidden: BaseGeometry = _kept_free(ground, view)
    for patch, shape in reversed(shown):
        visible = shape.intersection(frame).difference(hidden)
        hidden = hidden.union(shape)
        if patch.source == "tree":
            continue
        placed = False
        for part in polygons(visible):
            if part.area * view.scale**2 < math.pi * _LETTER_NEEDS_PX**2:
                continue
            circle = shapely.maximum_inscribed_circle(part, tolerance=1.0)
            if circle.length * view.scale >= _LETTER_NEEDS_PX:
                placed = True
                yield _letter(patch, circle.coords[0], view)
        wet = patch.looks in (Lie.WATER, Lie.WATER_RED)
        if wet and not placed and visible.length * view.scale > _STREAM_PX:
            yield _letter(patch, visible.representative_point().coords[0], view)


def _letter(patch: Patch, at: tuple[float, ...], view: View) -> Label:
    x, y = view.at(at[0], at[1])
    return Label(LETTERS[patch.looks], [Place(x, y + 4, "middle")], "hp-letter hp-halo", needed=False)


def _kept_free(ground: Ground, view: View) -> BaseGeometry:
    """Where the flag and the marker of the tee stand."""
    px, (x, y) = 1.0 / view.scale, ground.pin_m
    flag = box(x - 7 * px, y - 7 * px, x + 24 * px, y + 17 * px)
    free: BaseGeometry = unary_union([flag, Spot(0.0, 0.0).buffer(12 * px)])
    return free


def lies_shown(ground: Ground, view: View) -> tuple[Lie, ...]:
    """Give the lies that can be seen in the picture, rough among them, in the order of the legend."""
    frame = box(view.x0_m, view.y0_m, view.x1_m, view.y1_m)
    seen = {patch.looks for patch in ground.patches if patch.shape.intersects(frame)}
    return tuple(lie for lie in LOOKS if lie in seen or lie is Lie.ROUGH)
