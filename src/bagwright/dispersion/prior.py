"""What is known before the first ball: expected carries, spreads, mishits, swings, days.

All numbers are working judgements unless a source is named; they are the starting point that a player's own
shots overrule. Formulas given in yards are converted exactly. Handicap h is in strokes, positive for most
players.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from bagwright.bag.club import Club, Player
from bagwright.dispersion._kernel import Floats, Grid
from bagwright.units import M_PER_YD, MPS_PER_MPH, RAD_PER_DEG
from bagwright.words import tell

REFERENCE_CARRY_M = 160.0 * M_PER_YD
"""Carry of the middle iron on which the player's length is expressed."""

FACTOR_SD = 0.25
"""Spread between players of the log of a solid strike's spread; both axes."""
FACTOR_CORRELATION = 0.5
CLUB_SPREAD_SD = 0.17
"""Spread between the clubs of one player of the same: .15, and .08 for not knowing the shape of the floor."""
MISHIT_SD = 0.6
"""Spread between players of the logit of the mishit share."""

MISHIT_LOSS = 0.20
MISHIT_LOSS_SD = 0.12
MISHIT_SIDE_FACTOR = 2.0
BAD_READ_SHARE = 0.09
"""Share of the shots that are not solid which are bad reads that nobody marked."""
BAD_READ_CARRY_M = 300.0 * M_PER_YD
BAD_READ_SIDE_M = 200.0 * M_PER_YD

LENGTH_SD = 0.104
"""Spread of the log of a player's length around what head speed or handicap suggests."""
CLUB_CARRY_SD = 0.06
"""Spread of a club's log carry around the player's length; with LENGTH_SD together 12 %."""
PLAYER_SIDE_SD = 1.8 * RAD_PER_DEG
CLUB_SIDE_SD = 1.2 * RAD_PER_DEG
CORRELATION_SD = 0.25
WANDER = 0.010
"""Form wanders by this share of carry within a visit; more balls do not average it away."""
VISIT_CARRY_SD = 0.015
"""How far carry moves from one visit to another, as a share of it."""
VISIT_SIDE_SD = 30.0 * RAD_PER_DEG
"""The side moves by about 3 degrees from day to day; ten times that keeps every day's side to itself."""

UNKNOWN_HANDICAP = (15.0, 8.0)
RUN_YD = 20.0
DRIVER_RATIO = 1.5

_LOFTS_DEG = np.array([10.5, 15.0, 18.5, 22.5, 26.5, 30.0, 33.5, 37.5, 41.5, 46.0, 51.0, 55.5, 60.0])
_CARRY_YD = np.array(
    [240.0, 222.0, 208.0, 196.0, 183.0, 172.0, 160.0, 148.0, 136.0, 124.0, 110.0, 94.0, 76.0]
)
"""Carries of a middle player, driver to most lofted wedge; the lofts are common practice, no source."""

_USUAL_LOFT_DEG: dict[str, dict[str, float]] = {
    "wood": {"2": 13.5, "3": 15.0, "4": 17.0, "5": 18.5, "7": 21.5, "9": 24.5, "11": 27.5}, "hybrid": {"1":
    16.0, "2": 18.0, "3": 20.0, "4": 22.5, "5": 25.5, "6": 29.0, "7": 32.5, "8": 36.5, "9": 40.5}, "iron":
    {"1": 17.0, "2": 19.0, "3": 21.0, "4": 23.5, "5": 26.5, "6": 30.0, "7": 33.5, "8": 37.5, "9": 41.5},
    "wedge": {"PW": 46.0, "P": 46.0, "GW": 51.0, "G": 51.0, "AW": 51.0, "A": 51.0, "UW": 51.0, "U": 51.0,
              "SW": 55.5, "S": 55.5, "LW": 60.0, "L": 60.0},
}  # fmt: skip
"""Usual lofts by number or letter: common practice, no source."""

_KIND_ONLY: dict[str, tuple[float, float]] = {
    "driver": (10.5, CLUB_CARRY_SD), "wood": (17.0, 0.10), "hybrid": (22.5, 0.10), "iron": (33.5, 0.20),
    "wedge": (52.0, 0.15),
}  # fmt: skip
"""Loft and spread of log carry when nothing but the kind is known."""

STATED_CARRY_SD = 0.08
"""Spread of log carry around a carry that somebody stated."""
UNKNOWN_CLUB_SD = 0.35
"""Spread of log carry of a club of which not even the kind is known."""

_MEN = (np.array([2.5, 9.0, 16.5, 27.0]), np.array([240.0, 220.0, 204.0, 187.0]))
_WOMEN = (np.array([2.5, 9.0, 16.5, 24.5, 33.0]), np.array([196.0, 178.0, 153.0, 138.0, 118.0]))
"""Driving distance by handicap band (middles), total yards: R&A and USGA report, as quoted in print."""
_UNDER_16_SD = 0.30


@dataclass(frozen=True, slots=True)
class SwingPrior:
    """A swing over the stock swing: centre, its sd, spread factor, shift of the mishit share's logit."""

    centre: float
    centre_sd: float
    spread: float
    mishit_logit: float


STOCK = SwingPrior(1.0, 0.0, 1.0, 0.0)
_SWINGS = {
    "stock": STOCK,
    "gripped-down": SwingPrior(0.94, 0.025, 1.0, -0.2),
    "flat-out": SwingPrior(1.04, 0.03, 1.25, 0.6),
    "three-quarter": SwingPrior(0.87, 0.04, 1.1, 0.0),
    "half": SwingPrior(0.68, 0.06, 1.2, 0.0),
}
_NAMED = SwingPrior(0.97, 0.08, 1.1, 0.0)
AFTER_CHANGE = SwingPrior(1.0, 0.05, 1.0, 0.0)
"""The same swing after a stamped change (a tip, face tape): as long on average, within 5 %."""


def swing_prior(swing: str, changed: bool = False) -> SwingPrior:
    """Look up a swing's prior by its word; any word that is not a usual swing is one the user named."""
    found = _SWINGS.get(swing, _NAMED)
    if not changed:
        return found
    sd = math.hypot(found.centre_sd, AFTER_CHANGE.centre_sd * found.centre)
    return SwingPrior(found.centre, sd, found.spread, found.mishit_logit)


@dataclass(frozen=True, slots=True)
class CarryRatio:
    """A club's stock carry over the player's length (the 160-yard iron), and the sd of its logarithm.

    `known` is False when not even the kind of club is known. `stated_m` is a stock carry that stands by
    itself, whatever the other clubs say: stated by somebody, or taken from the club's own shots.
    """

    ratio: float
    sd: float
    known: bool = True
    stated_m: float | None = None


def ratio_of_loft(loft_deg: float) -> float:
    """Carry over the middle iron's for a club of this loft (degrees); level beyond the table's ends."""
    return float(np.interp(loft_deg, _LOFTS_DEG, _CARRY_YD)) / 160.0


def usual_loft_deg(kind: str, number: str | None) -> float | None:
    """Give the usual loft of a club by its kind and number, or None where there is none."""
    if kind == "driver":
        return 10.5
    if not number:
        return None
    text = number.strip().upper()
    found = _USUAL_LOFT_DEG.get(kind, {}).get(text) or _USUAL_LOFT_DEG["wedge"].get(text)
    if found is None and text.replace(".", "", 1).isdigit() and 40.0 <= float(text) <= 70.0:
        return float(text)
    return found


def carry_ratio(club: Club | None) -> CarryRatio:
    """Look up the expected stock carry over the player's length, by measured loft, else number, else kind."""
    if club is None:
        return CarryRatio(0.85, UNKNOWN_CLUB_SD, known=False)
    loft = club.loft_deg if club.loft_deg is not None else usual_loft_deg(club.kind, club.number)
    if loft is not None:
        return CarryRatio(ratio_of_loft(loft), CLUB_CARRY_SD)
    loft, sd = _KIND_ONLY.get(club.kind, (33.5, UNKNOWN_CLUB_SD))
    return CarryRatio(ratio_of_loft(loft), sd)


def carry_spread(carry_m: float, handicap: float) -> float:
    """Expect this sd of a solid strike's carry, metres; a floor keeps short wedges honest.

    With a L = (3.5 + 0.14 h) % of carry and f = 3.5 + 0.1 h yards: a L (1 + (f/(a L))^2)^(1/4), the geometric
    mean of no floor and hypot(a L, f). Measured on invented players, it keeps the ranges of the spread honest
    whether there is such a floor in truth or not; either end alone does not (docs/benchmarks.md).
    """
    share = (0.035 + 0.0014 * handicap) * carry_m
    floor = (3.5 + 0.1 * handicap) * M_PER_YD
    return math.sqrt(share * math.hypot(share, floor))


def side_spread(carry_m: float, handicap: float) -> float:
    """Give expected sd of a solid strike's side in metres: 2.9 + 0.16 h degrees of the carry."""
    return (2.9 + 0.16 * handicap) * RAD_PER_DEG * carry_m


def mishit_logit(handicap: float) -> float:
    """Logit of the expected mishit share, 4 + 0.6 h percent."""
    p = 0.04 + 0.006 * handicap
    return math.log(p / (1.0 - p))


@dataclass(frozen=True, slots=True)
class PlayerPrior:
    """What is known of a player: handicap for spreads, length with its log sd, and what was assumed."""

    handicap: float
    handicap_known: bool
    length_m: float
    length_sd: float
    said: tuple[str, ...]


def player_prior(player: Player | None) -> PlayerPrior:
    """Length from driver head speed, else handicap and sex; unknown ones are averaged over and widen it."""
    player = player or Player()
    known = player.handicap is not None
    handicap = min(max(player.handicap if player.handicap is not None else UNKNOWN_HANDICAP[0], -6.0), 54.0)
    said = [] if known else [tell("handicap not known: 15 give or take 8, averaged over")]
    if player.driver_speed_mps is not None:
        length = 2.3 * player.driver_speed_mps / MPS_PER_MPH / DRIVER_RATIO * M_PER_YD
        return PlayerPrior(handicap, known, length, LENGTH_SD, tuple(said))
    log_length, extra = _length_from_handicap(player, handicap, known)
    said.append(
        tell("driver speed not known: length from handicap") if known else tell("driver speed not known")
    )
    if player.sex is None:
        said.append(tell("sex not known: length averaged over men and women"))
    if player.age is not None and player.age < 16:
        extra += _UNDER_16_SD**2
        said.append(tell("under 16 without driver speed: length wide open"))
    return PlayerPrior(handicap, known, math.exp(log_length), math.sqrt(LENGTH_SD**2 + extra), tuple(said))


def _length_from_handicap(player: Player, handicap: float, known: bool) -> tuple[float, float]:
    """Mean and variance of log length over what is not known of handicap and sex."""
    nodes, weights = (np.array([handicap]), np.ones(1)) if known else handicap_nodes()
    tables = {"male": (_MEN,), "female": (_WOMEN,), None: (_MEN, _WOMEN)}[player.sex]
    logs = [np.log((np.interp(nodes, *table) - RUN_YD) / DRIVER_RATIO * M_PER_YD) for table in tables]
    values, shares = np.concatenate(logs), np.tile(weights, len(tables)) / len(tables)
    mean = float(shares @ values)
    return mean, float(shares @ (values - mean) ** 2)


def handicap_nodes() -> tuple[Floats, Floats]:
    """Nine Gauss-Hermite nodes and weights of the handicap where it is not known (15 +- 8, none below -2)."""
    x, w = np.polynomial.hermite_e.hermegauss(9)
    return np.maximum(UNKNOWN_HANDICAP[0] + UNKNOWN_HANDICAP[1] * x, -2.0), w / w.sum()


_GRIDS: dict[tuple[float, bool], Grid] = {}


def grid_for(handicap: float, known: bool) -> Grid:
    """Make the shared grids of a player; with an open handicap they reach further and average over it."""
    key = (round(handicap, 6), known)
    if key not in _GRIDS:
        if len(_GRIDS) > 64:
            _GRIDS.clear()
        _GRIDS[key] = _make_grid(handicap, known)
    return _GRIDS[key]


def _make_grid(handicap: float, known: bool) -> Grid:
    nodes, shares = (np.array([handicap]), np.ones(1)) if known else handicap_nodes()
    ref = REFERENCE_CARRY_M
    shift_c = np.array([math.log(carry_spread(ref, h) / carry_spread(ref, handicap)) for h in nodes])
    shift_l = np.array([math.log(side_spread(ref, h) / side_spread(ref, handicap)) for h in nodes])
    logits = np.array([mishit_logit(h) for h in nodes])
    middle = float(shares @ logits)
    width = math.sqrt(MISHIT_SD**2 + float(shares @ (logits - middle) ** 2))
    reach, points = (0.90, 13) if known else (1.12, 17)
    factor = np.linspace(-reach, reach, points)
    spread = np.linspace(-(reach + 0.4), reach + 0.4, 33 if known else 37)
    logit_p = middle + width * np.linspace(-3.25, 3.25, 11)
    given = np.exp(-0.5 * ((spread[:, None] - factor) / CLUB_SPREAD_SD) ** 2)
    prior = np.zeros((points, points, len(logit_p)))
    for dc, dl, lp, share in zip(shift_c, shift_l, logits, shares, strict=True):
        prior += share * _factor_prior(factor - dc, factor - dl)[:, :, None] * _bell(logit_p - lp, MISHIT_SD)
    prior /= prior.sum()
    return Grid(
        spread, factor, given / given.sum(0), logit_p, np.log(prior + 1e-300),
        prior.sum((1, 2)), prior.sum((0, 2)), prior.sum((0, 1)),
    )  # fmt: skip


def _factor_prior(carry: Floats, side: Floats) -> Floats:
    r = FACTOR_CORRELATION
    square = carry[:, None] ** 2 - 2.0 * r * carry[:, None] * side[None] + side[None] ** 2
    bell: Floats = np.exp(-0.5 * square / (FACTOR_SD**2 * (1.0 - r * r)))
    bell /= bell.sum()
    return bell


def _bell(x: Floats, sd: float) -> Floats:
    bell: Floats = np.exp(-0.5 * (x / sd) ** 2)
    bell /= bell.sum()
    return bell
