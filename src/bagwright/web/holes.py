"""What the pages of holes share: places as they are typed, data for the script."""

from __future__ import annotations

import math
import re
from typing import Any

from django.utils.translation import gettext as _

from bagwright.course.hole import Point
from bagwright.errors import InputError
from bagwright.report.holes.picture import Picture
from bagwright.units import System, distance_unit

MOST_POINTS = 500
FARTHEST_M = 3000.0
"""A place farther from the tee is on no hole."""
_PLACE = re.compile(r"\s*(-?\d{1,5}(?:[.,]\d{1,4})?)\s+(-?\d{1,5}(?:[.,]\d{1,4})?)\s*\Z", re.ASCII)


def points_of(text: str, system: System) -> list[Point]:
    """Places as they are typed: one a line, from the tee towards the pin and to the right, in the reader's unit.

    Gives metres. Raises InputError that names the line that is no place.
    """
    factor = distance_unit(system).factor
    lines = [line for line in re.split(r"[;\n]", text.replace("\r", "\n")) if line.strip()]
    if len(lines) > MOST_POINTS:
        raise InputError(_("These are more places than an area may have."), _("Set fewer corners."))
    return [_point(line, factor) for line in lines]


def _point(line: str, factor: float) -> Point:
    match = _PLACE.match(line)
    if match is not None:
        x, y = (float(part.replace(",", ".")) * factor for part in match.groups())
        if math.hypot(x, y) <= FARTHEST_M:
            return x, y
    raise InputError(
        _('"%(line)s" is no place on this hole.') % {"line": line.strip()[:40]},
        _("Write how far from the tee towards the pin and how far to the right, such as 210 -12."),
    )


def picture_data(picture: Picture, system: System) -> dict[str, Any]:
    """Which pixel of a picture is which metre, and the reader's unit; for the script."""
    view = picture.view
    return {
        "size": [picture.width_px, picture.height_px],
        "view": {
            "x0": view.x0_m, "x1": view.x1_m, "y0": view.y0_m, "y1": view.y1_m, "scale": view.scale,
            "left": view.left, "top": view.top,
        },
        "factor": distance_unit(system).factor,
        "unit": distance_unit(system).name,
    }  # fmt: skip
