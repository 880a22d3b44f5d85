"""One figure of a shot in the reader's words and unit: "carry 766 yd" instead of `carry_m = 700.0`."""

from __future__ import annotations

import math

from django.utils.formats import number_format
from django.utils.translation import gettext_lazy as _

from bagwright.units import System, distance_unit, height_unit, speed_unit, spoken

NAMES = {
    "carry_m": _("carry"), "total_m": _("total"), "offline_m": _("side"),
    "offline_total_m": _("side after the run"), "apex_m": _("height"), "ball_speed_mps": _("ball speed"),
    "club_speed_mps": _("club speed"), "speed_ratio": _("ball speed over club speed"),
    "launch_rad": _("launch"), "direction_rad": _("direction"), "spin_rpm": _("spin"),
    "backspin_rpm": _("backspin"), "sidespin_rpm": _("sidespin"), "spin_axis_rad": _("tilt of the spin"),
    "descent_rad": _("descent"), "time_s": _("time of flight"), "attack_rad": _("attack"),
    "path_rad": _("path"), "face_rad": _("face"), "delivered_loft_rad": _("loft at impact"),
    "impact_toe_m": _("strike towards the toe"), "impact_high_m": _("strike above the middle"),
}  # fmt: skip
"""The measured figures as a reader calls them."""


def figure_words(name: str, value: float, system: System) -> str:
    """Say a figure, given in SI units (rpm for spin), in the reader's; what is no number is said as it is."""
    factor, unit = _unit(name, system)
    digits = 2 if name == "speed_ratio" else 0
    shown = rounded(value / factor, digits) if math.isfinite(value) else str(value)
    return " ".join(part for part in (str(NAMES[name]), shown, unit) if part)


def rounded(value: float, digits: int) -> str:
    """A number with the reader's decimal mark, rounded: Django alone would cut its digits off."""
    return number_format(round(value, digits), digits)


def _unit(name: str, system: System) -> tuple[float, str]:
    """How much of SI one of the reader's units is, and what it is called."""
    if name.startswith("impact_"):
        return 0.001, "mm"
    if name == "apex_m" or name.endswith("_m"):
        found = height_unit(system) if name == "apex_m" else distance_unit(system)
        return found.factor, spoken(found)
    if name.endswith("_mps"):
        return speed_unit(system).factor, spoken(speed_unit(system))
    if name.endswith("_rad"):
        return math.radians(1.0), "°"
    return 1.0, {"time_s": "s", "speed_ratio": ""}.get(name, "rpm")
