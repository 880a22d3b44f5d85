"""What was said of a visit that matters to flights and spreads: its air, and how its figures came about."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bagwright.air import Air
    from bagwright.shots.device import Grade
    from bagwright.shots.record import Conditions


@dataclass(frozen=True, slots=True)
class Said:
    """What was said of the visits that matters: their air, whether spin was measured, how fine the unit is.

    `air` maps a visit to its air; one that is missing there flew in standard air, as nobody said.
    `spin_estimated` and `adjusted` name visits whose spin the unit only estimated, and whose figures it
    adjusted to standard air. `grade` maps a visit to the grade of its unit, where somebody said it.
    """

    air: Mapping[str, Air] = field(default_factory=dict)
    spin_estimated: frozenset[str] = frozenset()
    adjusted: frozenset[str] = frozenset()
    grade: Mapping[str, Grade] = field(default_factory=dict)


def said_of(conditions: Mapping[str, Conditions]) -> Said:
    """Give what was said of the visits, read from their conditions; unknown words for an air are left out."""
    found: dict[str, Air] = {}
    for visit, one in conditions.items():
        air = air_in_words(one.air)
        if air is not None:
            found[visit] = air
    return Said(
        found,
        frozenset(visit for visit, one in conditions.items() if one.spin == "estimated"),
        frozenset(visit for visit, one in conditions.items() if one.adjusted == "adjusted"),
        {visit: one.grade for visit, one in conditions.items() if one.grade},
    )


def air_in_words(text: str) -> Air | None:
    """Read an air as written down, such as "12 C, still" or "21 °C, 1013 hPa"; None without a known size."""
    from bagwright.air import air
    from bagwright.errors import InputError
    from bagwright.units import parse_density_kg_m3, parse_pressure_pa, parse_temperature_k

    readers = (
        ("temperature_k", parse_temperature_k),
        ("pressure_pa", parse_pressure_pa),
        ("density_kg_m3", parse_density_kg_m3),
    )
    stated: dict[str, float] = {}
    for part in text.replace(";", ",").split(","):
        for name, read in readers:
            try:
                stated.setdefault(name, read(part.strip()))
            except InputError:
                continue
            break
    if not stated:
        return None
    try:
        return air(**stated)
    except InputError:
        return None
