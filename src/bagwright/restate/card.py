"""The card: carries of a bag in cold, at altitude and in wind."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from bagwright.air import STANDARD_TEMPERATURE_K, Wind, air
from bagwright.estimate import Estimate
from bagwright.restate.setting import Setting
from bagwright.units import MPS_PER_MPH, ZERO_C_IN_K

if TYPE_CHECKING:
    from bagwright.bag.club import Bag
    from bagwright.dispersion.dispersions import Dispersions
    from bagwright.flight.level import Level
    from bagwright.shots.record import Conditions, ShotTable

WIND_MPS = 10.0 * MPS_PER_MPH


@dataclass(frozen=True, slots=True)
class Place:
    """One column of the card, and what it takes the place of in the setting here; None keeps it."""

    group: Literal["temperature", "altitude", "wind"]
    label: str
    temperature_k: float | None = None
    altitude_m: float | None = None
    wind: Wind | None = None

    def setting(self, here: Setting) -> Setting:
        """The setting of this column for shots that are hit `here`.

        Another temperature keeps pressure and humidity, another altitude temperature and humidity; where
        `here` is only a density they are the standard ones.
        """
        if self.wind is not None:
            return replace(here, wind=self.wind)
        kelvin = self.temperature_k or here.air.temperature_k or STANDARD_TEMPERATURE_K
        if self.altitude_m is not None:
            there = air(temperature_k=kelvin, altitude_m=self.altitude_m, humidity=here.air.humidity)
        else:
            there = air(temperature_k=kelvin, pressure_pa=here.air.pressure_pa, humidity=here.air.humidity)
        return replace(here, air=there)


CARD = (
    *(Place("temperature", f"{c} °C", temperature_k=c + ZERO_C_IN_K) for c in (0, 10, 20)),
    Place("altitude", "sea level", altitude_m=0.0),
    Place("altitude", "1500 m", altitude_m=1500.0),
    Place("wind", "head", wind=Wind(WIND_MPS, 0.0)),
    Place("wind", "tail", wind=Wind(WIND_MPS, math.pi)),
    Place("wind", "cross from the right", wind=Wind(WIND_MPS, math.pi / 2.0)),
    Place("wind", "cross from the left", wind=Wind(WIND_MPS, 1.5 * math.pi)),
)
"""0, 10 and 20 °C; sea level and 1500 m; wind of 10 mph at 10 m height over grass, less near the ground."""


@dataclass(frozen=True, slots=True)
class CardRow:
    """One club and swing: carry here, and by place carry, its change and how far it moves right, metres."""

    club: str
    swing: str
    carry_here_m: Estimate
    carry_m: tuple[Estimate, ...]
    change_m: tuple[Estimate, ...]
    side_m: tuple[Estimate, ...]


@dataclass(frozen=True, slots=True)
class Card:
    """Carries by place; every tuple of a row is in the order of `places`."""

    here: Setting
    places: tuple[Place, ...]
    rows: tuple[CardRow, ...]
    level: Level
    unknown: tuple[tuple[str, str], ...]


def card(
    fits: Dispersions,
    table: ShotTable,
    bag: Bag | None,
    here: Setting,
    *,
    places: Sequence[Place] = CARD,
    conditions: Mapping[str, Conditions] | None = None,
    law: str = "D1",
    level: Level | None = None,
) -> Card:
    """Work out the card for every club and swing with a known strike. Errors as `restate_shots`."""
    from bagwright.restate.bag import rows_there
    from bagwright.restate.strike_of_club import club_strikes

    strikes = club_strikes(fits, table, bag, here, conditions, law, level)
    columns = [
        {(row.club, row.swing): row for row in rows_there(strikes, here, place.setting(here), law)}
        for place in places
    ]
    rows = []
    for fit in strikes.fits:
        cells = [column[fit.key] for column in columns if fit.key in column]
        if len(cells) == len(columns):
            rows.append(
                CardRow(
                    fit.club,
                    fit.swing,
                    fit.carry_m,
                    tuple(c.carry_there_m for c in cells),
                    tuple(c.change_m for c in cells),
                    tuple(c.side_m for c in cells),
                )
            )
    shown = {(row.club, row.swing) for row in rows}
    lost = tuple(fit.key for fit in strikes.fits if fit.key not in shown)
    return Card(here, tuple(places), tuple(rows), strikes.level, (*strikes.unknown, *lost))
