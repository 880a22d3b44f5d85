"""The numbers of a model hole that an overlay may change, in metres or yards."""

from __future__ import annotations

import math
from collections.abc import Mapping

from bagwright.course.model import ModelHole
from bagwright.units import M_PER_YD, RAD_PER_DEG

LENGTHS = {
    "fairway_width": (5.0, 120.0), "fairway_from": (0.0, 1500.0), "green_width": (4.0, 80.0),
    "green_depth": (4.0, 80.0), "rough_width": (0.0, 60.0), "dogleg_at": (0.0, 1500.0),
    "climb": (-200.0, 200.0),
}  # fmt: skip
"""Lengths by name, with their limits in metres; written `NAME_m` or `NAME_yd`."""
MODEL_KEYS = (*(f"{name}_{unit}" for name in LENGTHS for unit in ("m", "yd")), "dogleg_deg", "words")


def apply_numbers(model: ModelHole, numbers: Mapping[str, object]) -> None:
    """Put an overlay's numbers (checked by it) into a model hole."""
    for name in LENGTHS:
        for unit, factor in (("m", 1.0), ("yd", M_PER_YD)):
            value = numbers.get(f"{name}_{unit}")
            if isinstance(value, int | float):
                setattr(model, f"{name}_m", float(value) * factor)
    angle = numbers.get("dogleg_deg")
    if isinstance(angle, int | float):
        model.dogleg_rad = float(angle) * RAD_PER_DEG


def numbers_of(model: ModelHole) -> dict[str, float]:
    """Give a model hole's numbers as an overlay would write them."""
    found = {f"{name}_m": getattr(model, f"{name}_m") for name in LENGTHS}
    numbers = {key: round(float(value), 3) for key, value in found.items() if value is not None}
    if model.dogleg_at_m is not None:
        numbers["dogleg_deg"] = round(math.degrees(model.dogleg_rad), 3)
    return numbers
