"""Invented golfers whose true centre, spread and mishit share are known, to hold the model's ranges against.

No real shot was used. Every figure below is a working assumption (judgement, to be re-estimated from real
visits), chosen so that the whole agrees with what published studies of amateurs report about shot spread.
Distances are in yards because the study tables are; `Visit.table` turns them into metres.

Who: handicap uniform on 0..25, told to the program with an error of 2.5 strokes. The 7-iron length follows
the driver carry (225 - 2.5 handicap) yd times exp(N(0, .08^2)), divided by 1.5; the program is told a
driver head speed of 1.5/2.3 mph a yard of that length, wrong by exp(N(0, .10^2)).
Solid strikes: normal; carry sd (3.5 + .14 handicap) % of the expected carry, direction sd 2.9 + .16
handicap degrees, each times a factor exp(N(0, .25^2)) of the player (correlation .5 between the two) and a
factor exp(N(0, .15^2)) of the club; correlation of carry and side N(0, .25^2) within -.7..+.7.
Mishits: share logistic around (4 + .6 handicap) % with sd .5; carry is short by 8 % plus an exponential of
mean 12 % of the centre (at most 75 %), side sd doubled.
Centres: expected carry times 1 + N(0, 5 %); side of the player N(0, 1.8 deg) and of the club N(0, 1.2 deg).
Through the visit, as a share of expected carry: -w exp(-t/6) - f t/50 with t balls hit before, plus form
wander, a first-order autoregression with coefficient .85 and the world's standard deviation.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagwright.bag.club import Bag, Club, Kind, Player
from bagwright.shots.record import ShotTable
from bagwright.units import M_PER_YD, MPS_PER_MPH

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

RAD_PER_DEG = np.pi / 180.0
SEVEN_IRON_YD = 160.0
"""Carry that relative carries are relative to: the mid player's 7-iron."""

RACK: tuple[tuple[str, Kind, str, float], ...] = (
    ("Driver", "driver", "1", 240.0),
    ("3 wood", "wood", "3", 222.0),
    ("5 wood", "wood", "5", 208.0),
    ("4 hybrid", "hybrid", "4", 196.0),
    ("5 iron", "iron", "5", 183.0),
    ("6 iron", "iron", "6", 172.0),
    ("7 iron", "iron", "7", 160.0),
    ("8 iron", "iron", "8", 148.0),
    ("9 iron", "iron", "9", 136.0),
    ("PW", "wedge", "PW", 124.0),
    ("GW", "wedge", "GW", 110.0),
    ("SW", "wedge", "SW", 94.0),
)
"""Twelve clubs of a mid player: name, kind, number, expected carry in yards at a 160-yd 7-iron."""

SOLID, MISHIT, BAD_READ = 0, 1, 2
AREA_90 = np.pi * 2.0 * np.log(10.0)
"""Area of the ellipse that holds 90 % of a normal pair, over the product of its axes' sds: pi chi2_2(.90)."""


def carry_sd_share(handicap: float) -> float:
    """Median sd of solid carry as a share of expected carry."""
    return 0.035 + 0.0014 * handicap


def side_sd_rad(handicap: float) -> float:
    """Median sd of solid direction in radians."""
    return (2.9 + 0.16 * handicap) * RAD_PER_DEG


def mishit_share(handicap: float) -> float:
    """Median share of mishits."""
    return 0.04 + 0.006 * handicap


@dataclass(frozen=True, slots=True)
class World:
    """How shots come about. The default is world A; the stress worlds change one or more of these."""

    name: str = "A"
    tails_df: float | None = None
    """Degrees of freedom of Student tails scaled to the same sd; None is normal."""
    continuous_mishits: bool = False
    """Losses start at zero (gamma, shape 1.3, mean 13 %): no gap separates mishits from solid strikes."""
    spread_factor: float = 1.0
    bad_read_share: float = 0.0
    wander_sd: float = 0.0
    warm_up: float = 0.0
    fatigue: float = 0.0
    spread_floor: bool = False
    """Carry sd hypot(share x carry, 3.5 + .1 handicap yd): wedge studies show a wider spread in percent."""


WORLDS: dict[str, World] = {
    world.name: world
    for world in (
        World("A"),
        World("T", wander_sd=0.012),
        World("T drift", wander_sd=0.012, warm_up=0.03, fatigue=0.015),
        World("T floor", wander_sd=0.012, spread_floor=True),
        World("B", tails_df=6.0),
        World("C", continuous_mishits=True),
        World("D", spread_factor=1.3),
        World("E", spread_factor=0.77),
        World("F", bad_read_share=0.03),
        World("G", wander_sd=0.02),
        World("H", 6.0, continuous_mishits=True, spread_factor=1.3, bad_read_share=0.03, wander_sd=0.02),
    )
}
"""A plain; T the reference (A and wander of 1.2 %); B..H stress. The program always allows for 1.0 %."""


@dataclass(frozen=True, slots=True)
class Golfer:
    """One golfer's truth and what the program is told of them."""

    handicap: float
    told_handicap: float
    length_yd: float
    told_driver_speed_mph: float
    carry_factor: float
    side_factor: float
    mishit_share: float
    side_bias_rad: float

    def player(self) -> Player:
        """Tell what the program is told: handicap and driver head speed, both with errors."""
        return Player(handicap=self.told_handicap, driver_speed_mps=self.told_driver_speed_mph * MPS_PER_MPH)


@dataclass(frozen=True, slots=True)
class Truth:
    """One club in one golfer's hands, in yards; centres are those of solid strikes, warmed up and fresh."""

    club: Club
    expected_yd: float
    centre_yd: float
    side_yd: float
    carry_sd_yd: float
    side_sd_yd: float
    correlation: float

    @property
    def area90_yd2(self) -> float:
        """Area of the ellipse that holds 90 % of solid strikes."""
        return float(AREA_90 * self.carry_sd_yd * self.side_sd_yd * np.sqrt(1.0 - self.correlation**2))


@dataclass(frozen=True, slots=True)
class Visit:
    """Shots of one visit in the order they were hit, with what each of them truly was."""

    clubs: tuple[Truth, ...]
    which: Ints
    order: Ints
    carry_yd: Floats
    side_yd: Floats
    kind: Ints
    shift_yd: Floats
    """How far drift and wander had moved the club's solid centre at each ball."""

    def first(self, n: int) -> Visit:
        """Keep the first n balls only."""
        return self.keep(np.arange(len(self.which)) < n)

    def keep(self, chosen: NDArray[np.bool_]) -> Visit:
        """Keep the chosen balls only, with their place in the order unchanged."""
        return replace(
            self,
            which=self.which[chosen],
            order=self.order[chosen],
            carry_yd=self.carry_yd[chosen],
            side_yd=self.side_yd[chosen],
            kind=self.kind[chosen],
            shift_yd=self.shift_yd[chosen],
        )

    @property
    def table(self) -> ShotTable:
        """The visit as the program would read it: carry and side in metres, no marks."""
        return ShotTable(
            n=len(self.which),
            order=self.order,
            measures={"carry_m": self.carry_yd * M_PER_YD, "offline_m": self.side_yd * M_PER_YD},
            texts={"club": [self.clubs[i].club.name for i in self.which]},
        )

    def short_by_sd(self) -> Floats:
        """Count the solid sds by which each carry fell short of the club's solid centre at that ball."""
        centre = np.array([c.centre_yd for c in self.clubs])[self.which] + self.shift_yd
        sd = np.array([c.carry_sd_yd for c in self.clubs])[self.which]
        return np.asarray((centre - self.carry_yd) / sd)


def rack_club(i: int) -> Club:
    """Make number i of the rack a carried club."""
    name, kind, number, _ = RACK[i]
    return Club(name=name, kind=kind, number=number)


def relative_carry(i: int) -> float:
    """Give the expected carry of club i of the rack over that of a 7-iron."""
    return RACK[i][3] / SEVEN_IRON_YD


def bag_of(golfer: Golfer, clubs: Sequence[Truth]) -> Bag:
    """Make the bag as the program is told of it."""
    return Bag(player=golfer.player(), clubs=tuple(truth.club for truth in clubs))


def new_golfer(
    rng: np.random.Generator, world: World, handicap: float | None = None, length_yd: float | None = None
) -> Golfer:
    """Draw a golfer; a given handicap or 7-iron length (yd) is taken as it is, all else is drawn."""
    told_error, carry_z, side_z, share_z, bias_z, length_z, speed_z = rng.standard_normal(7)
    drawn = rng.uniform(0.0, 25.0)
    true_handicap = drawn if handicap is None else handicap
    usual = (225.0 - 2.5 * true_handicap) / 1.5 * np.exp(0.08 * length_z)
    length = float(usual) if length_yd is None else length_yd
    share = mishit_share(true_handicap)
    logit = np.log(share / (1.0 - share)) + 0.5 * share_z
    return Golfer(
        handicap=float(true_handicap),
        told_handicap=float(true_handicap + 2.5 * told_error),
        length_yd=length,
        told_driver_speed_mph=float(length * np.exp(0.10 * speed_z) * 1.5 / 2.3),
        carry_factor=float(world.spread_factor * np.exp(0.25 * carry_z)),
        side_factor=float(world.spread_factor * np.exp(0.25 * (0.5 * carry_z + np.sqrt(0.75) * side_z))),
        mishit_share=float(1.0 / (1.0 + np.exp(-logit))),
        side_bias_rad=float(1.8 * RAD_PER_DEG * bias_z),
    )


def new_truth(
    rng: np.random.Generator,
    world: World,
    golfer: Golfer,
    club: Club,
    expected_yd: float,
    centre_yd: float | None = None,
) -> Truth:
    """Draw one club's truth in a golfer's hands; a given centre (yd) is taken as it is."""
    centre_z, side_z, carry_eps, side_eps, rho_z = rng.standard_normal(5)
    sd = carry_sd_share(golfer.handicap) * expected_yd
    if world.spread_floor:
        sd = float(np.hypot(sd, 3.5 + 0.1 * golfer.handicap))
    return Truth(
        club=club,
        expected_yd=expected_yd,
        centre_yd=float(expected_yd * (1.0 + 0.05 * centre_z)) if centre_yd is None else centre_yd,
        side_yd=float(expected_yd * (golfer.side_bias_rad + 1.2 * RAD_PER_DEG * side_z)),
        carry_sd_yd=float(sd * golfer.carry_factor * np.exp(0.15 * carry_eps)),
        side_sd_yd=float(
            expected_yd * side_sd_rad(golfer.handicap) * golfer.side_factor * np.exp(0.15 * side_eps)
        ),
        correlation=float(np.clip(0.25 * rho_z, -0.7, 0.7)),
    )


def new_bag(rng: np.random.Generator, world: World, golfer: Golfer) -> tuple[Truth, ...]:
    """Draw all twelve clubs of the rack."""
    return tuple(
        new_truth(rng, world, golfer, rack_club(i), golfer.length_yd * relative_carry(i))
        for i in range(len(RACK))
    )


def drift_share(world: World, balls_before: Floats) -> Floats:
    """Warm-up and fatigue as a share of expected carry after so many balls; shape (n,), never above 0."""
    return np.asarray(-world.warm_up * np.exp(-balls_before / 6.0) - world.fatigue * balls_before / 50.0)


def wander_path(rng: np.random.Generator, world: World, n: int) -> Floats:
    """Form wander of n balls one after another: stationary autoregression, coefficient .85."""
    steps = rng.standard_normal(n)
    path = np.zeros(n)
    state = 0.0
    for i in range(n):
        state = steps[i] if i == 0 else 0.85 * state + np.sqrt(1.0 - 0.85**2) * steps[i]
        path[i] = world.wander_sd * state
    return path


def _solid_noise(rng: np.random.Generator, world: World, n: int) -> Floats:
    """Draw pairs of unit-variance errors, shape (n, 2); a t pair shares one chi-square."""
    z = rng.standard_normal((n, 2))
    if world.tails_df is None:
        return z
    df = world.tails_df
    return np.asarray(z * np.sqrt((df - 2.0) / rng.chisquare(df, (n, 1))))


def _losses(rng: np.random.Generator, world: World, n: int) -> Floats:
    if world.continuous_mishits:
        return np.minimum(rng.gamma(1.3, 0.10, n), 0.75)
    return np.minimum(0.08 + rng.exponential(0.12, n), 0.75)


def _spoil(
    rng: np.random.Generator, carry: Floats, side: Floats, bad: NDArray[np.bool_]
) -> tuple[Floats, Floats]:
    """Spoil shots in four ways, equally often: carry short, carry long, side thrown across, any carry."""
    n = len(carry)
    sort = rng.integers(0, 4, n)
    wrong_carry = np.select(
        [sort == 0, sort == 1, sort == 3],
        [carry * rng.uniform(0.3, 0.8, n), carry * rng.uniform(1.12, 1.5, n), rng.uniform(0.0, 280.0, n)],
        carry,
    )
    wrong_side = np.where(sort == 2, -2.0 * side + rng.normal(0.0, 25.0, n), side)
    return np.where(bad, wrong_carry, carry), np.where(bad, wrong_side, side)


def hit(
    rng: np.random.Generator,
    world: World,
    golfer: Golfer,
    clubs: Sequence[Truth],
    which: Sequence[int] | Ints,
    balls_before: int = 12,
) -> Visit:
    """Hit the clubs in the order `which` (indices into `clubs`) after `balls_before` warm-up balls."""
    order = np.asarray(which, dtype=np.int64)
    n = len(order)
    t = np.arange(n, dtype=np.float64) + balls_before

    def of(name: str) -> Floats:
        return np.array([getattr(club, name) for club in clubs], dtype=np.float64)[order]

    z = _solid_noise(rng, world, n)
    rho = of("correlation")
    mishit = rng.random(n) < golfer.mishit_share
    loss = _losses(rng, world, n)
    shift = drift_share(world, t) + wander_path(rng, world, n)
    centre = of("centre_yd")
    carry = centre * (1.0 + shift - mishit * loss) + of("carry_sd_yd") * z[:, 0]
    across = rho * z[:, 0] + np.sqrt(1.0 - rho**2) * z[:, 1]
    side = of("side_yd") + of("side_sd_yd") * across * np.where(mishit, 2.0, 1.0)
    bad = rng.random(n) < world.bad_read_share
    carry, side = _spoil(rng, carry, side, bad)
    kind = np.where(bad, BAD_READ, np.where(mishit, MISHIT, SOLID)).astype(np.int64)
    numbers = np.arange(n, dtype=np.int64) + balls_before + 1
    return Visit(tuple(clubs), order, numbers, carry, side, kind, centre * shift)


def mirrored_passes(counts: Sequence[int]) -> list[int]:
    """Order for a whole bag: half of each club's balls short clubs first, the other half on the way back."""
    up = [i for i in reversed(range(len(counts))) for _ in range((counts[i] + 1) // 2)]
    down = [i for i in range(len(counts)) for _ in range(counts[i] // 2)]
    return up + down


def one_pass(counts: Sequence[int]) -> list[int]:
    """Order for a whole bag: every club's balls at once, short clubs first."""
    return [i for i in reversed(range(len(counts))) for _ in range(counts[i])]


def alternated(pairs: int) -> list[int]:
    """Order of two clubs in mirrored pairs: A B, B A, A B, ..."""
    return [club for pair in range(pairs) for club in ((0, 1) if pair % 2 == 0 else (1, 0))]
