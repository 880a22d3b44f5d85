"""Four whole bags, each with the carries of a player of that driver head speed.

The carries are invented: 2.3 yd of driver carry for each mph, and irons whose yards a degree of loft fall
towards the long end the more, the slower the swing (common practice, no source).
"""

from __future__ import annotations

from bagwright.bag.club import Bag, Build, Club, Kind, Player
from bagwright.units import MPS_PER_MPH
from tests.unit.distances.fakes import FakeFits, fit

Line = tuple[str, Kind, str | None, float, float]
"""Name, kind, number, loft in degrees, carry in yards."""

JUNIOR: tuple[Line, ...] = (
    ("Driver", "driver", None, 12.0, 122.0),
    ("3 wood", "wood", "3", 16.0, 112.0),
    ("5 wood", "wood", "5", 20.0, 109.0),
    ("4 iron", "iron", "4", 24.0, 98.0),
    ("5 iron", "iron", "5", 27.0, 97.0),
    ("6 iron", "iron", "6", 30.5, 94.0),
    ("7 iron", "iron", "7", 34.0, 87.0),
    ("8 iron", "iron", "8", 38.0, 79.0),
    ("9 iron", "iron", "9", 42.0, 71.0),
    ("PW", "wedge", "PW", 46.0, 63.0),
    ("SW", "wedge", "SW", 56.0, 46.0),
)
WOMAN: tuple[Line, ...] = (
    ("Driver", "driver", None, 12.0, 150.0),
    ("3 wood", "wood", "3", 16.0, 138.0),
    ("5 wood", "wood", "5", 19.0, 136.0),
    ("7 wood", "wood", "7", 22.0, 134.0),
    ("5 hybrid", "hybrid", "5", 26.0, 124.0),
    ("5 iron", "iron", "5", 27.0, 115.0),
    ("6 iron", "iron", "6", 30.0, 113.0),
    ("7 iron", "iron", "7", 34.0, 105.0),
    ("8 iron", "iron", "8", 38.0, 95.0),
    ("9 iron", "iron", "9", 42.0, 85.0),
    ("PW", "wedge", "PW", 46.0, 75.0),
    ("GW", "wedge", "GW", 51.0, 66.0),
    ("SW", "wedge", "SW", 56.0, 56.0),
)
SENIOR: tuple[Line, ...] = (
    ("Driver", "driver", None, 11.0, 172.0),
    ("3 wood", "wood", "3", 15.0, 157.0),
    ("5 wood", "wood", "5", 18.0, 152.0),
    ("3 iron", "iron", "3", 21.0, 139.0),
    ("4 iron", "iron", "4", 24.0, 138.0),
    ("5 iron", "iron", "5", 27.0, 136.0),
    ("6 iron", "iron", "6", 30.0, 130.0),
    ("7 iron", "iron", "7", 34.0, 120.0),
    ("8 iron", "iron", "8", 38.0, 109.0),
    ("9 iron", "iron", "9", 42.0, 98.0),
    ("PW", "wedge", "PW", 46.0, 87.0),
    ("GW", "wedge", "GW", 51.0, 77.0),
    ("SW", "wedge", "SW", 56.0, 66.0),
)
FAST: tuple[Line, ...] = (
    ("Driver", "driver", None, 9.0, 268.0),
    ("3 wood", "wood", "3", 14.0, 246.0),
    ("5 wood", "wood", "5", 18.0, 231.0),
    ("3 iron", "iron", "3", 20.0, 217.0),
    ("4 iron", "iron", "4", 23.0, 206.0),
    ("5 iron", "iron", "5", 26.0, 194.0),
    ("6 iron", "iron", "6", 29.0, 182.0),
    ("7 iron", "iron", "7", 33.0, 170.0),
    ("8 iron", "iron", "8", 37.0, 158.0),
    ("9 iron", "iron", "9", 41.0, 145.0),
    ("PW", "wedge", "PW", 45.0, 132.0),
    ("GW", "wedge", "GW", 50.0, 118.0),
    ("SW", "wedge", "SW", 55.0, 104.0),
)


def bag_of(lines: tuple[Line, ...], speed_mph: float, handicap: float, age: float | None = None) -> Bag:
    player = Player(driver_speed_mps=speed_mph * MPS_PER_MPH, handicap=handicap, age=age)
    clubs = tuple(
        Club(name, kind, number, build=Build(loft_deg=loft), stamped_loft_deg=loft)
        for name, kind, number, loft, _ in lines
    )
    return Bag(player, (*clubs, Club("Putter", "putter")))


def fits_of(lines: tuple[Line, ...], handicap: float, sd_yd: float = 1.5) -> FakeFits:
    """Fits with the spread of the population: the hypotenuse of a share of carry and a floor in yards."""
    share, floor = 0.035 + 0.0014 * handicap, 3.5 + 0.1 * handicap
    return FakeFits(
        {
            (name, "stock"): fit(carry, ((share * carry) ** 2 + floor**2) ** 0.5, sd_yd)
            for name, _, _, _, carry in lines
        }
    )
