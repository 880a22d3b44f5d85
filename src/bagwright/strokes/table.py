"""From a bag and its player to the table of shot patterns: the one door to where shots come down."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TypedDict, Unpack

import numpy as np

from bagwright.air import STANDARD, Air, Wind
from bagwright.bag.club import Bag, Player
from bagwright.course.lies import Lie
from bagwright.dispersion.dispersions import Dispersions
from bagwright.dispersion.fit import fit_dispersion
from bagwright.errors import InputError
from bagwright.shots.record import ShotTable
from bagwright.strokes import putting
from bagwright.strokes.by_lie import ByLie, Floats, Ground, by_lie
from bagwright.strokes.flown_shots import FlownShots, Place, flown_shots
from bagwright.strokes.ground import Grounds
from bagwright.strokes.kernel import Kernel
from bagwright.strokes.kernels import SWINGS, full_kernels, handicap_of, partial_kernels
from bagwright.strokes.mixture import parts_of
from bagwright.strokes.on_course import on_course
from bagwright.strokes.own_lies import OwnLie, own_lies
from bagwright.strokes.patterns import RUN_LIES, PatternTable
from bagwright.strokes.sayings import said_of
from bagwright.strokes.strikes import Strikes
from bagwright.strokes.wind import wind_shift
from bagwright.turf import FAIRWAY, Turf
from bagwright.words import join, tell

_GREEN = RUN_LIES.index("green")


@dataclass(frozen=True, slots=True)
class Who:
    """What a table needs of the player beside the kernels."""

    handicap: float
    skill: putting.PuttingSkill
    ground: Ground = field(default_factory=Ground)
    own: Mapping[tuple[str, Lie], OwnLie] = field(default_factory=dict)
    said: tuple[str, ...] = ()


class Options(TypedDict, total=False):
    """What may be said of course, day and player beside bag and shots.

    `turf` gives the firmness of all ground, `stimp_ft` the greens' speed. `air` is the course's, `air_here`
    the visit's. `own` adds the player's rules by club: "not from rough", "only from tee". `swings` are those
    that every club has beside the ones it was hit with.
    """

    turf: Turf
    stimp_ft: float | None
    air: Air | None
    air_here: Air
    own: Mapping[str, Iterable[str]]
    swings: Sequence[str]


def patterns_of(
    bag: Bag,
    player: Player | None = None,
    fits: Dispersions | None = None,
    *,
    wind: Wind | None = None,
    **options: Unpack[Options],
) -> PatternTable:
    """Where the shots of every carried club and candidate come down from every lie, and the player's putts.

    `player` (else the bag's) gives handicap, sand and turf. `fits` are the dispersions of the player's shots;
    without them everything comes from handicap, speed and lofts (wide). `wind.from_rad` counts clockwise from
    north here; None is calm. `options` as `Options`.

    Raises InputError for a bag without a club to hit, and for a rule of `own` that names no lie or a club
    that is not in the bag.
    """
    return in_winds(bag, [(1.0, wind)], player, fits, **options)[0][1]


def in_winds(
    bag: Bag,
    rose: Iterable[tuple[float, Wind | None]],
    player: Player | None = None,
    fits: Dispersions | None = None,
    **options: Unpack[Options],
) -> list[tuple[float, PatternTable]]:
    """One table for each wind of a rose (None: calm), with its weight; the weights are made to add up to 1.

    Everything but the winds is worked out once. Raises InputError as `patterns_of`, and for weights that are
    negative or all 0.
    """
    given = [(float(weight), wind) for weight, wind in rose]
    total = sum(weight for weight, _ in given)
    if not total > 0.0 or not np.isfinite(total) or any(weight < 0.0 for weight, _ in given):
        raise InputError(
            tell("A wind rose needs weights that are not negative and not all 0."),
            tell("Give some hours to each wind."),
        )
    known = player if player is not None else bag.player
    if fits is None:
        fits = fit_dispersion(ShotTable.of([]), known, bag)
    kernels, who = _player(bag, known, fits, options)
    here = options.get("air_here", STANDARD)
    there = options.get("air")
    grounds = Grounds(options.get("turf", FAIRWAY), options.get("stimp_ft"))
    place = Place(here, there if there is not None else here, grounds)
    calm, strikes = table_of(kernels, who, place)
    return [(weight / total, with_wind(calm, strikes, place.air, wind)) for weight, wind in given]


def _player(bag: Bag, known: Player, fits: Dispersions, options: Options) -> tuple[list[Kernel], Who]:
    """Every shot of the player, and what else the table needs of them."""
    own = options.get("own", {})
    strange = sorted(set(own) - {club.name for club in bag.clubs})
    if strange:
        raise InputError(
            tell("There is no club of this name in the bag: {names}.", names=join(", ", strange)),
            tell("Write the names as in the bag file."),
        )
    full = full_kernels(bag, fits, own, options.get("swings", SWINGS))
    if not full:
        raise InputError(
            tell("The bag holds no club to hit."), tell('Give a club the status "carried" or "candidate".')
        )
    handicap = handicap_of(known)
    lies = own_lies(fits, full)
    said = said_of(bag, known, full, lies)
    full = [on_course(kernel, handicap) for kernel in full]
    who = Who(handicap, putting.skill_of(handicap), Ground(known.turf, known.sand), lies, said)
    return [*full, *partial_kernels(full, handicap)], who


def table_of(kernels: Sequence[Kernel], who: Who, place: Place) -> tuple[PatternTable, Strikes]:
    """The table of given kernels in calm air, and the strikes behind it: lies, flight, ground and putts."""
    lies = by_lie(kernels, who.own, who.handicap, who.ground)
    flown = flown_shots(kernels, lies.x_m, lies.spin, place)
    putts = putting.putts_of(who.skill)
    run_sd = _pitch_runs(kernels, lies, flown)
    shape = flown.carry_m.shape
    table = PatternTable(
        shots=tuple(kernel.shot for kernel in kernels),
        parts=parts_of(kernels, lies, flown.carry_m, run_sd[..., _GREEN]),
        allowed=lies.allowed,
        tan_descent=flown.tan_descent,
        run_m=flown.run_m,
        run_sd_m=run_sd,
        wind_x_m=np.zeros((*shape, 3)),
        wind_y_m=np.zeros((*shape, 2)),
        wind_from_rad=None,
        putt_m=putts.distance_m,
        putts=putts.mean,
        putts_square=putts.square,
        said=who.said,
    )
    return table, flown.strikes


def with_wind(calm: PatternTable, strikes: Strikes, air: Air, wind: Wind | None) -> PatternTable:
    """The same shots in a wind; `wind.from_rad` clockwise from north. None or no speed: as they are."""
    if wind is None or wind.speed_mps == 0.0:
        return calm
    along, across = wind_shift(strikes, air, wind)
    said = (*calm.said, tell("In a wind, runs and spreads are taken as in calm air."))
    return replace(calm, wind_x_m=along, wind_y_m=across, wind_from_rad=wind.from_rad, said=said)


RUN_OF_PITCH = 0.6
"""Most of a pitch's sd along the line that its run may be: the published leaves have the run in
them. How much: judgement."""


def _pitch_runs(kernels: Sequence[Kernel], lies: ByLie, flown: FlownShots) -> Floats:
    """Spread of the runs (6, n, 4), that of a pitch held within its whole spread by lie."""
    partial = np.array([kernel.partial for kernel in kernels], dtype=bool)
    most = RUN_OF_PITCH * lies.x_sd_m / np.maximum(flown.run_sd_m[..., _GREEN], 1e-9)
    held: Floats = flown.run_sd_m * np.where(partial, np.minimum(most, 1.0), 1.0)[..., None]
    return held
