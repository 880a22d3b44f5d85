"""Players made of published figures, to check expected strokes against published ones.

Their patterns are known (no doubt of a fit in them). Carries: the ladder of the dispersion room scaled to a
published driving distance less its usual run. Spreads: two published players, a tour player and one who
averages 90, and the others between them by handicap. Short game and putts as for everybody, by handicap.

- Tour: median leaves of 4.6-5.3 % of 100-200 yd and 6.2-9.6 % beyond 200 yd (James & Rees 2008, read), 23.6
  ft at 150 yd (59 ft / 2.5, Broadie, read); drives 3-4 degrees wide (Broadie 2014, second hand), almost 280
  yd long (Broadie 2008, second hand).
- Average 90: at 150 yd from a fairway 11.46 yd wide and 17.19 yd long (sd, mishits in it), 13 yd short (fit
  to Broadie's facts, read); drives 6.5 degrees wide (memory); 204 yd long (13-20 handicap, second hand).
- Scratch and bogey: lengths of the World Handicap System (read); their spread lies between the two above.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np

from bagwright.air import STANDARD, Air, Wind
from bagwright.bag.club import Bag, Club, Kind, Player, Sex
from bagwright.dispersion import prior as p
from bagwright.errors import InputError
from bagwright.strokes import putting
from bagwright.strokes.by_lie import Floats
from bagwright.strokes.flown_shots import Place
from bagwright.strokes.ground import Grounds
from bagwright.strokes.kernel import Kernel
from bagwright.strokes.kernels import loft_of, partial_kernels
from bagwright.strokes.patterns import PatternTable, Shot
from bagwright.strokes.table import Who, table_of, with_wind
from bagwright.turf import FAIRWAY, Turf
from bagwright.units import M_PER_YD
from bagwright.words import join, tell

Level = Literal["tour", "scratch", "bogey", "average 90"]

TOTAL_YD: dict[tuple[str, str], float] = {
    ("tour", "male"): 280.0, ("scratch", "male"): 250.0, ("bogey", "male"): 200.0,
    ("average 90", "male"): 204.0,
    ("tour", "female"): 250.0, ("scratch", "female"): 210.0, ("bogey", "female"): 150.0,
    ("average 90", "female"): 153.0,
}  # fmt: skip
"""Drives with their run: sources above; a woman of the tour: common practice."""
HANDICAP = {
    "tour": putting.TOUR_HANDICAP, "scratch": 0.0, "bogey": 20.0, "average 90": putting.AVERAGE_90_HANDICAP,
}  # fmt: skip
FEMALE_BOGEY = 24.0
"""A bogey golfer has about 20, a woman about 24: World Handicap System, from memory."""
_RUN_OF_TOTAL_YD = np.array([[150.0, 204.0, 210.0, 250.0, 280.0], [28.0, 31.0, 30.9, 27.4, 22.9]])
"""Run of drives of these lengths on a normal fairway by the turf model, so that the whole is the published
length. Course raters allow 20 yd (second hand), which fits the turf model only at the long end."""

_AT = np.array([0.30, 0.45, 0.60, 0.74, 0.86, 1.00])
"""Carry over the driver's: a lofted wedge, 9 iron, 7 iron, 4 iron, fairway wood, driver."""
_TOUR_SIDE = np.array([0.044, 0.042, 0.042, 0.047, 0.066, 0.058])
_TOUR_LONG = np.array([0.047, 0.043, 0.042, 0.047, 0.060, 0.045])
_NINETY_SIDE = np.array([0.086, 0.086, 0.086, 0.090, 0.103, 0.106])
_NINETY_LONG = np.array([0.128, 0.125, 0.125, 0.124, 0.120, 0.112])
"""Sd of solid strikes over the carry; with mishits they give the figures above (tests/published)."""
_TOUR_MISHIT, _NINETY_MISHIT = 0.015, 0.12
"""Share of mishits: judgement, as the dispersion room's by handicap."""
TAIL, SKEW, TIE = 0.35, 1.5, 0.5
"""Tails of a known player's solid strikes: shot patterns are heavier than normal (Ko 2012, abstract read);
how much: judgement."""

_BAG: tuple[tuple[str, Kind, str, float], ...] = (
    ("driver", "driver", "1", 10.5), ("3 wood", "wood", "3", 15.0), ("5 wood", "wood", "5", 18.5),
    ("4 hybrid", "hybrid", "4", 22.5), ("5 iron", "iron", "5", 26.5), ("6 iron", "iron", "6", 30.0),
    ("7 iron", "iron", "7", 33.5), ("8 iron", "iron", "8", 37.5), ("9 iron", "iron", "9", 41.5),
    ("pitching wedge", "wedge", "PW", 46.0), ("gap wedge", "wedge", "GW", 51.0),
    ("56 wedge", "wedge", "56", 55.5), ("60 wedge", "wedge", "60", 60.0),
)  # fmt: skip
SWINGS = ("stock", "gripped-down", "three-quarter")


@dataclass(frozen=True, slots=True)
class Reference:
    """A published player: bag, handicap, putting, and the kernels of every shot."""

    level: Level
    bag: Bag
    handicap: float
    skill: putting.PuttingSkill
    kernels: tuple[Kernel, ...]

    def table(
        self,
        *,
        wind: Wind | None = None,
        turf: Turf = FAIRWAY,
        air: Air = STANDARD,
        stimp_ft: float | None = None,
    ) -> PatternTable:
        """The table of this player's patterns; arguments as `patterns_of`."""
        said = (tell("A published player ({level}), not a person.", level=self.level),)
        who = Who(self.handicap, self.skill, said=said)
        calm, strikes = table_of(self.kernels, who, Place(STANDARD, air, Grounds(turf, stimp_ft)))
        return with_wind(calm, strikes, air, wind)


def reference_player(level: Level, sex: Sex = "male") -> Reference:
    """Make a published player: "tour", "scratch", "bogey" or "average 90"."""
    if level not in get_args(Level):
        raise InputError(
            tell("The reference player {level} is not known.", level=repr(str(level)[:40])),
            tell("Known: {levels}.", levels=join(", ", get_args(Level))),
        )
    handicap = FEMALE_BOGEY if (level, sex) == ("bogey", "female") else HANDICAP[level]
    whole = TOTAL_YD[level, sex]
    driver_m = (whole - float(np.interp(whole, *_RUN_OF_TOTAL_YD))) * M_PER_YD
    clubs = usual_clubs()
    player = Player(level, sex=sex, handicap=handicap)
    kernels = known_kernels(clubs, driver_m, handicap)
    return Reference(level, Bag(player, clubs), handicap, putting.skill_of(handicap), kernels)


def usual_clubs() -> tuple[Club, ...]:
    """The thirteen clubs that a published player carries beside the putter."""
    return tuple(Club(name, kind, number, stamped_loft_deg=loft) for name, kind, number, loft in _BAG)


def known_kernels(clubs: Sequence[Club], driver_m: float, handicap: float) -> tuple[Kernel, ...]:
    """Every full shot of these clubs and the pitches, by a player whose drives carry `driver_m`.

    Handicaps below the tour's are taken as the tour's for full shots.
    """
    share = (handicap - HANDICAP["tour"]) / (HANDICAP["average 90"] - HANDICAP["tour"])
    full = [
        known_kernel(club, loft_of(club), swing, driver_m, max(share, 0.0))
        for club in clubs
        for swing in SWINGS
    ]
    return (*full, *partial_kernels(full, handicap))


def known_kernel(club: Club, loft: float, swing: str, driver_m: float, share: float) -> Kernel:
    """One full shot of a club with this loft (degrees), by a player whose drives carry `driver_m`.

    `share` is 0 for the tour, 1 for an average of 90, beyond it for weaker players.
    """
    how = p.swing_prior(swing)
    reach = p.ratio_of_loft(loft) / p.DRIVER_RATIO
    stock = driver_m * reach
    x = stock * how.centre
    side = _between(_TOUR_SIDE, _NINETY_SIDE, reach, share) * x * how.spread
    long = _between(_TOUR_LONG, _NINETY_LONG, reach, share) * x * how.spread
    return Kernel(
        shot=Shot(club.name, swing), kind=club.kind, loft_deg=loft, x_m=x, y_m=0.0, x_var_m2=long**2,
        y_var_m2=side**2, x_ball_m=long, y_ball_m=side, x_tail=TAIL, y_tail=TAIL, skew=SKEW, tie=TIE,
        correlation=0.0, mishit=_TOUR_MISHIT + share * (_NINETY_MISHIT - _TOUR_MISHIT),
        loss_m=p.MISHIT_LOSS * x, loss_sd_m=p.MISHIT_LOSS_SD * x, side_factor=p.MISHIT_SIDE_FACTOR,
    )  # fmt: skip


def _between(tour: Floats, ninety: Floats, reach: float, share: float) -> float:
    a, b = float(np.interp(reach, _AT, tour)), float(np.interp(reach, _AT, ninety))
    return a + share * (b - a)
