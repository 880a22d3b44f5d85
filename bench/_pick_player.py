"""Players with two dozen clubs to choose from, for the benches of the best bag. Invented."""

from __future__ import annotations

from collections.abc import Collection
from functools import lru_cache
from pathlib import Path
from typing import Literal

from bagwright.bag.club import Bag, Club, Kind, Player
from bagwright.course.load import load_course
from bagwright.course.raster import Raster
from bagwright.course.rasterise import raster_of
from bagwright.strokes.patterns import PatternTable
from bagwright.strokes.table import patterns_of

COURSE = Path("src/bagwright/demo/wethermoor.geojson")
CLUBS: tuple[tuple[str, Kind, str, float], ...] = (
    ("driver", "driver", "1", 10.5), ("driver 12", "driver", "1", 12.0), ("3 wood", "wood", "3", 15.0),
    ("4 wood", "wood", "4", 16.5), ("5 wood", "wood", "5", 18.5), ("7 wood", "wood", "7", 21.0),
    ("3 hybrid", "hybrid", "3", 19.5), ("4 hybrid", "hybrid", "4", 22.5), ("5 hybrid", "hybrid", "5", 25.5),
    ("4 iron", "iron", "4", 23.0), ("5 iron", "iron", "5", 26.5), ("6 iron", "iron", "6", 30.0),
    ("7 iron", "iron", "7", 33.5), ("8 iron", "iron", "8", 37.5), ("9 iron", "iron", "9", 41.5),
    ("44 wedge", "wedge", "44", 44.0), ("46 wedge", "wedge", "46", 46.0), ("48 wedge", "wedge", "48", 48.0),
    ("50 wedge", "wedge", "50", 50.0), ("52 wedge", "wedge", "52", 52.0), ("54 wedge", "wedge", "54", 54.0),
    ("56 wedge", "wedge", "56", 56.0), ("58 wedge", "wedge", "58", 58.0), ("60 wedge", "wedge", "60", 60.0),
)  # fmt: skip
"""Name, kind, number and loft, degrees."""
CARRIED = 13
"""The first of them are carried today, the others are candidates."""


@lru_cache(maxsize=1)
def rasters() -> tuple[Raster, ...]:
    """The demo course from its longest tees."""
    course = load_course(COURSE)
    return tuple(raster_of(course, hole.number) for hole in course.holes)


def table(
    names: Collection[str] | None = None,
    handicap: float = 12.0,
    speed_mps: float = 44.0,
    sex: Literal["female", "male"] = "male",
) -> PatternTable:
    """Patterns of a player who has hit none of these clubs (None: all of them)."""
    chosen = [one for one in CLUBS if names is None or one[0] in names]
    clubs = tuple(
        Club(name, kind, number, stamped_loft_deg=loft, status="carried" if k < CARRIED else "candidate")
        for k, (name, kind, number, loft) in enumerate(chosen)
    )
    player = Player("invented", sex=sex, handicap=handicap, driver_speed_mps=speed_mps)
    return patterns_of(Bag(player, clubs), player)
