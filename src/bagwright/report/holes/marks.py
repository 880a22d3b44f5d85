"""What is drawn over the ground: the way, tees, pin, distance arcs, the scale bar and the north arrow."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from bagwright.course.ground import Ground
from bagwright.report.holes.labels import Box, Label, Place
from bagwright.report.holes.view import View, distances
from bagwright.report.holes.xml import el, path, text
from bagwright.units import RAD_PER_DEG, distance_unit

_HALF_ARC_M = 26.0
"""Arcs reach so far to both sides of the way."""
_ASIDE_PX, _OFF_PX = (0.0, 8.0, -10.0, 16.0), (0.0, -7.0, 7.0)
"""How far from an arc's end its figure may stand, outwards and higher or lower."""


def way_layer(ground: Ground, view: View) -> str:
    """Draw the way, a mark at the tee and a flag at the pin."""
    x, y = view.at(*ground.pin_m)
    tee_x, tee_y = view.at(0.0, 0.0)
    return (
        el("path", d=path([view.line(ground.way_m)], closed=False), cls="hp-way")
        + el("path", d=f"M{x:.1f} {y:.1f}v-17", cls="hp-ink")
        + el("path", d=f"M{x:.1f} {y - 17:.1f}l10 3.5l-10 3.5z", cls="hp-flag")
        + el("circle", cx=x, cy=y, r=2, cls="hp-dot")
        + el("path", d=f"M{tee_x - 5:.1f} {tee_y:.1f}h10M{tee_x:.1f} {tee_y - 5:.1f}v10", cls="hp-ink")
    )


def marks_taken(ground: Ground, view: View) -> list[Box]:
    """What the flag and the mark of the tee cover, where no word may stand."""
    (x, y), (tee_x, tee_y) = view.at(*ground.pin_m), view.at(0.0, 0.0)
    return [(x - 3, y - 18, x + 11, y + 3), (tee_x - 6, tee_y - 6, tee_x + 6, tee_y + 6)]


def arcs_of(ground: Ground, view: View) -> tuple[str, list[Label]]:
    """Tick distances: from the tee (figures at the left), and to the middle of the green (at the right)."""
    arcs = list(_arcs(ground, view))
    return "".join(drawn for drawn, _ in arcs), [figure for _, figure in arcs]


def _arcs(ground: Ground, view: View) -> Iterator[tuple[str, Label]]:
    total = math.dist((0.0, 0.0), ground.pin_m)
    for figure, metres in distances(view.system, total - 25.0):
        yield from _arc((0.0, 0.0), metres, str(figure), ground, view, back=False)
    longest = min(total - 60.0, 205 * distance_unit(view.system).factor)
    for figure, metres in distances(view.system, longest, first=50):
        yield from _arc(ground.pin_m, metres, str(figure), ground, view, back=True)


def _arc(
    centre: tuple[float, float], radius: float, figure: str, ground: Ground, view: View, back: bool
) -> Iterator[tuple[str, Label]]:
    """An arc about a centre where the way crosses it, with its figure at one end."""
    on_way = _crossing(centre, radius, ground, back)
    if on_way is None:
        return
    middle = math.atan2(on_way[1] - centre[1], on_way[0] - centre[0])
    half = min(_HALF_ARC_M / radius, 1.2)
    angles = np.linspace(middle - half, middle + half, 17)
    points = np.column_stack((centre[0] + radius * np.cos(angles), centre[1] + radius * np.sin(angles)))
    inside = np.array([view.holds(x, y, 1.0) for x, y in points])
    if inside.sum() < 3:
        return
    points = points[inside]
    end = points[np.argmax(points[:, 1])] if back else points[np.argmin(points[:, 1])]
    x, y = view.at(float(end[0]), float(end[1]))
    x = min(x + 3, view.left + view.width - 22) if back else max(x - 3, view.left + 22)
    out = 1.0 if back else -1.0
    places = [
        Place(x + out * aside, y + 4 + off, "start" if back else "end")
        for aside in _ASIDE_PX
        for off in _OFF_PX
    ]
    line = el("path", d=path([view.line(points)], closed=False), cls="hp-arc-back" if back else "hp-arc")
    yield line, Label(figure, places, "hp-small hp-halo")


def _crossing(
    centre: tuple[float, float], radius: float, ground: Ground, back: bool
) -> tuple[float, float] | None:
    """Where the way crosses a circle about one of its ends, the crossing nearest that end along the way."""
    way = np.array(ground.way_m[::-1] if back else ground.way_m)
    fine = np.vstack([np.linspace(a, b, 200) for a, b in pairwise(way)])
    beyond = np.flatnonzero(np.hypot(*(fine - centre).T) >= radius)
    return None if not len(beyond) else (float(fine[beyond[0], 0]), float(fine[beyond[0], 1]))


def scale_bar(view: View, x: float, y: float) -> str:
    """Draw a bar of 50 yd or 50 m."""
    unit = distance_unit(view.system)
    width = 50 * unit.factor * view.scale
    return el(
        "path", d=f"M{x:.1f} {y - 4:.1f}v4h{width:.1f}v-4M{x + width / 2:.1f} {y - 3:.1f}v3", cls="hp-ink"
    ) + text(f"50 {unit.name}", x + width + 5, y + 1, "hp-small")


def north_arrow(turn_rad: float, x: float, y: float) -> str:
    """Draw an arrow to the north about a point; up in the picture has the bearing `turn_rad`."""
    degrees = -turn_rad / RAD_PER_DEG
    arrow = el("path", d="M0 11V-9M-4 -4L0 -10L4 -4", cls="hp-ink")
    turned = el("g", arrow, transform=f"translate({x:.1f} {y:.1f}) rotate({degrees:.1f})")
    dx, dy = math.sin(-turn_rad), -math.cos(turn_rad)
    return turned + text("N", x + 17 * dx, y + 17 * dy + 4, "hp-small hp-middle")
