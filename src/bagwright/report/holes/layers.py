"""Layers to lay over a hole's picture: contours, aims, balls, an ellipse, each with its line of legend."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bagwright.course.raster import Raster
from bagwright.report.holes.contours import contours
from bagwright.report.holes.view import View
from bagwright.report.holes.xml import el, path, text
from bagwright.words import tell


@dataclass(frozen=True, slots=True)
class Layer:
    """Something drawn over the ground: how, and the class and words of its lines in the legend."""

    draw: Callable[[View], str]
    legend: tuple[tuple[str, str], ...] = ()
    words: str = ""
    """A sentence for those who do not see the picture."""


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

    return Layer(draw, (("hp-contour", tell("lines of equal {words}", words=words)),))


def _level(level: float, found: list[NDArray[np.float64]], view: View) -> str:
    if not found:
        return ""
    cls = "hp-contour-thick" if abs(level - round(level)) < 1e-9 else "hp-contour"
    drawn = el("path", d=path((view.line(line) for line in found), closed=False), cls=cls)
    longest = max(found, key=len)
    if len(longest) * view.scale > 30:
        x, y = longest[len(longest) // 3]
        if view.holds(float(x), float(y), 10.0):
            across, down = view.at(float(x), float(y))
            drawn += text(
                f"{level:.2f}".rstrip("0").rstrip("."), across, down + 4, "hp-small hp-halo hp-middle"
            )
    return drawn


def aims_layer(aims: Sequence[Aim], words: str = tell("aim")) -> Layer:
    """Draw lines of aim, each with a ring at its end and its words beside it."""

    def draw(view: View) -> str:
        return "".join(_aim(aim, view) for aim in aims)

    return Layer(draw, (("hp-aim", words),) if aims else ())


def _aim(aim: Aim, view: View) -> str:
    x, y = view.at(*aim.end_m)
    drawn = el("path", d=path([view.line([aim.start_m, aim.end_m])], closed=False), cls="hp-aim")
    drawn += el("circle", cx=x, cy=y, r=4.5, cls="hp-aim-end")
    right = x < view.left + view.width * 0.6
    side = {"x": x + 9 if right else x - 9, "cls": "hp-halo" if right else "hp-halo hp-end"}
    return drawn + (text(aim.words, side["x"], y + 4, side["cls"], 40) if aim.words else "")  # type: ignore[arg-type]


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


def ellipse_layer(
    centre_m: tuple[float, float],
    sd_m: tuple[float, float],
    turn_rad: float,
    correlation: float = 0.0,
    share: float = 0.5,
    words: str = "",
) -> Layer:
    """Draw the ellipse that holds a share of a normal pattern. `sd_m` is along and across the aim `turn_rad`.

    `turn_rad` is the aim's direction in the hole's frame, clockwise from the line tee to pin. A share q of a
    two-dimensional normal lies within sqrt(-2 ln(1 - q)) standard deviations (Rayleigh's distribution).
    """
    r = math.sqrt(-2.0 * math.log(1.0 - share))
    t = np.linspace(0.0, 2.0 * math.pi, 61)
    u = sd_m[0] * r * np.cos(t)
    v = sd_m[1] * r * (correlation * np.cos(t) + math.sqrt(1.0 - correlation**2) * np.sin(t))
    cos, sin = math.cos(turn_rad), math.sin(turn_rad)
    ring: NDArray[Any] = np.column_stack((centre_m[0] + u * cos - v * sin, centre_m[1] + u * sin + v * cos))

    def draw(view: View) -> str:
        return el("path", d=path([view.line(ring)], closed=True), cls="hp-ellipse")

    return Layer(draw, (("hp-ellipse", words or tell("{share:.0f} % of the balls", share=100 * share)),))
