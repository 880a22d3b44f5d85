"""Layers to lay over a hole's picture: contours, aims, balls, each with its line of legend."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bagwright.course.raster import Raster
from bagwright.report.holes.contours import contours
from bagwright.report.holes.labels import Label, Place
from bagwright.report.holes.view import View
from bagwright.report.holes.xml import el, path
from bagwright.words import tell

_FIGURE_FROM_PX = 30.0
"""A line of equal value shorter than this has no figure."""
_ALONG = (0.33, 0.5, 0.67, 0.17, 0.83, 0.42, 0.58, 0.25, 0.75, 0.08, 0.92)
"""Where on its line a figure may stand, the most wanted first."""
_RING_PX = 4.5
_OFF_PX = (0.0, -15.0, 15.0, -30.0, 30.0, -45.0, 45.0, -60.0, 60.0, -80.0, 80.0)
"""How far above and below its end the words of an aim may stand."""


@dataclass(frozen=True, slots=True)
class Layer:
    """Something drawn over the ground: how, and the class and words of its lines in the legend."""

    draw: Callable[[View], str]
    legend: tuple[tuple[str, str], ...] = ()
    words: str = ""
    """A sentence for those who do not see the picture."""
    labels: Callable[[View], list[Label]] = lambda view: []
    """Words and figures of it, which the picture places apart from all others."""


@dataclass(frozen=True, slots=True)
class Aim:
    """A line from where a ball lies to where it is aimed, metres in the hole's frame."""

    start_m: tuple[float, float]
    end_m: tuple[float, float]
    words: str = ""


def contour_layer(
    values: ArrayLike, raster: Raster, levels: Sequence[float], words: str = tell("strokes to hole out")
) -> Layer:
    """Draw lines of equal value over the raster's cells (NaN where there is none), each with its figure."""
    lines = contours(np.asarray(values, dtype=np.float64), levels)
    corner = np.array([raster.x0_m + raster.cell_m / 2, raster.y0_m + raster.cell_m / 2])
    placed = [(level, [corner + raster.cell_m * line for line in found]) for level, found in lines]

    def draw(view: View) -> str:
        return "".join(_level(level, found, view) for level, found in placed)

    def labels(view: View) -> list[Label]:
        return [one for level, found in placed for one in _figure(level, found, view)]

    return Layer(draw, (("hp-contour", tell("lines of equal {words}", words=words)),), labels=labels)


def _level(level: float, found: list[NDArray[np.float64]], view: View) -> str:
    if not found:
        return ""
    cls = "hp-contour-thick" if abs(level - round(level)) < 1e-9 else "hp-contour"
    return el("path", d=path((view.line(line) for line in found), closed=False), cls=cls)


def _figure(level: float, found: list[NDArray[np.float64]], view: View) -> list[Label]:
    """A level's figure somewhere on its longest line; a line too short for it, or without room, has none."""
    longest = max(found, key=len, default=np.empty((0, 2)))
    if len(longest) * view.scale <= _FIGURE_FROM_PX:
        return []
    spots = [longest[int(share * (len(longest) - 1))] for share in _ALONG]
    places = [Place(x, y + 4, "middle") for x, y in view.line(spots)]
    return [Label(f"{level:.2f}".rstrip("0").rstrip("."), places, "hp-small hp-halo", needed=False)]


def aims_layer(aims: Sequence[Aim], words: str = tell("aim")) -> Layer:
    """Draw lines of aim, each with a ring at its end and its words beside it."""

    def draw(view: View) -> str:
        return "".join(_aim(aim, view) for aim in aims)

    def labels(view: View) -> list[Label]:
        return [_named(aim, view) for aim in aims if aim.words]

    return Layer(draw, (("hp-aim", words),) if aims else (), labels=labels)


def _aim(aim: Aim, view: View) -> str:
    x, y = view.at(*aim.end_m)
    line = el("path", d=path([view.line([aim.start_m, aim.end_m])], closed=False), cls="hp-aim")
    return line + el("circle", cx=x, cy=y, r=_RING_PX, cls="hp-aim-end")


def _named(aim: Aim, view: View) -> Label:
    """An aim's words beside its end: on the side with more room first, then higher and lower, farther off."""
    x, y = view.at(*aim.end_m)
    sides = [(2 * _RING_PX, "start"), (-2 * _RING_PX, "end")]
    if x >= view.left + view.width * 0.6:
        sides.reverse()
    places = [
        Place(x + (1.0 + abs(off) / 40.0) * aside, y + 4 + off, hold)
        for off in _OFF_PX
        for aside, hold in sides
    ]
    return Label(aim.words, places, "hp-halo", names=(x, y))


def balls_layer(
    points_m: ArrayLike, lost: ArrayLike | None = None, words: str = tell("where balls finish")
) -> Layer:
    """Draw a dot for each ball (n, 2); `lost` marks those in a penalty area or out of bounds with a cross."""
    points = np.asarray(points_m, dtype=np.float64).reshape(-1, 2)
    gone = np.zeros(len(points), bool) if lost is None else np.asarray(lost, dtype=bool)

    def draw(view: View) -> str:
        seen = np.array([view.holds(x, y) for x, y in points], dtype=bool)
        dots = [el("circle", cx=x, cy=y, r=2.1, cls="hp-ball") for x, y in view.line(points[seen & ~gone])]
        crosses = "".join(
            f"M{x - 3:.1f} {y - 3:.1f}l6 6m0 -6l-6 6" for x, y in view.line(points[seen & gone])
        )
        return "".join(dots) + (el("path", d=crosses, cls="hp-ball-lost") if crosses else "")

    legend: tuple[tuple[str, str], ...] = (("hp-ball", words),) if len(points) else ()
    return Layer(
        draw, legend + ((("hp-ball-lost", tell("ball that costs a penalty")),) if gone.any() else ())
    )
