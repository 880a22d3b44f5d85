"""From a bag and its player to the table of shot patterns: the one door to where shots come down."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

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
from bagwright.strokes.own_lies import OwnLie, own_lies
from bagwright.strokes.patterns import RUN_LIES, PatternTable
from bagwright.turf import FAIRWAY, Turf

_GREEN = RUN_LIES.index("green")


@dataclass(frozen=True, slots=True)
class Who:
    """What a table needs of the player beside the kernels."""

    handicap: float
    skill: putting.PuttingSkill
    ground: Ground = field(default_factory=Ground)
    own: Mapping[tuple[str, Lie], OwnLie] = field(default_factory=dict)
    said: tuple[str, ...] = ()


def patterns_of(
    bag: Bag,
    player: Player | None = None,
    fits: Dispersions | None = None,
    *,
    wind: Wind | None = None,
    turf: Turf = FAIRWAY,
    air: Air | None = None,
    air_here: Air = STANDARD,
    own: Mapping[str, Iterable[str]] | None = None,
    stimp_ft: float | None = None,
    swings: Sequence[str] = SWINGS,
) -> PatternTable:
    """Where the shots of every carried club and candidate come down from every lie, and the player's putts.

    `player` (else the bag's) gives handicap, sand and turf. `fits` are the dispersions of the player's shots;
    without them everything comes from handicap, speed and lofts (wide). `wind.from_rad` counts clockwise from
    north here. `turf` gives the firmness of all ground, `stimp_ft` the greens' speed. `air` is the course's,
    `air_here` the visit's. `own` adds the player's rules by club: "not from rough", "only from tee". `swings`
    are those that every club has beside the ones it was hit with.

    Raises InputError for a bag without a club to hit.
    """
    known = player if player is not None else bag.player
    if fits is None:
        fits = fit_dispersion(ShotTable.of([]), known, bag)
    full = full_kernels(bag, fits, own or {}, swings)
    if not full:
        raise InputError("The bag holds no club to hit.", 'Give a club the status "carried" or "candidate".')
    handicap, word = handicap_of(known)
    lies = own_lies(fits, full)
    who = Who(
        handicap, putting.skill_of(handicap), Ground(known.turf, known.sand), lies, _said(full, lies, word)
    )
    place = Place(air_here, air if air is not None else air_here, wind, Grounds(turf, stimp_ft))
    return table_of([*full, *partial_kernels(full, handicap)], who, place)


def table_of(kernels: Sequence[Kernel], who: Who, place: Place) -> PatternTable:
    """The table of given kernels: lies, flight, ground, wind and putts come to them here."""
    lies = by_lie(kernels, who.own, who.handicap, who.ground)
    flown = flown_shots(kernels, lies.x_m, place)
    putts = putting.putts_of(who.skill)
    run_sd = _pitch_runs(kernels, lies, flown)
    return PatternTable(
        shots=tuple(kernel.shot for kernel in kernels),
        parts=parts_of(kernels, lies, flown.carry_m, run_sd[..., _GREEN]),
        allowed=lies.allowed,
        tan_descent=flown.tan_descent,
        run_m=flown.run_m,
        run_sd_m=run_sd,
        wind_x_m=flown.wind_x_m,
        wind_y_m=flown.wind_y_m,
        wind_from_rad=place.wind.from_rad if place.wind is not None and place.wind.speed_mps > 0.0 else None,
        putt_m=putts.distance_m,
        putts=putts.mean,
        putts_square=putts.square,
        said=who.said,
    )


RUN_OF_PITCH = 0.6
"""Most of a pitch's sd along the line that its run may be: the published leaves have the run in them."""


def _pitch_runs(kernels: Sequence[Kernel], lies: ByLie, flown: FlownShots) -> Floats:
    """Spread of the runs (6, n, 4), that of a pitch held within its whole spread by lie."""
    partial = np.array([kernel.partial for kernel in kernels], dtype=bool)
    most = RUN_OF_PITCH * lies.x_sd_m / np.maximum(flown.run_sd_m[..., _GREEN], 1e-9)
    held: Floats = flown.run_sd_m * np.where(partial, np.minimum(most, 1.0), 1.0)[..., None]
    return held


def _said(kernels: Sequence[Kernel], lies: Mapping[tuple[str, Lie], OwnLie], word: str) -> tuple[str, ...]:
    """What was assumed, in words."""
    unhit = list(dict.fromkeys(k.shot.club for k in kernels if k.shot.swing == "stock" and not k.n_shots))
    said = [word] if word else []
    if unhit:
        said.append(f"never hit, so from the rest of the bag or the handicap, wide: {', '.join(unhit)}")
    flown = list(dict.fromkeys(k.shot.club for k in kernels if k.strike.ball_speed_mps is not None))
    if not flown:
        said.append("no ball speed was measured: descent, run and wind by loft and carry")
    own = sorted({club for (club, _), mine in lies.items() if mine.n})
    if own:
        said.append(f"from rough or sand as the player hit them: {', '.join(own)}")
    said.append("the day's side (some 3 degrees) is taken as seen and aimed off")
    return tuple(said)


def in_winds(
    bag: Bag, rose: Iterable[tuple[float, Wind]], *, player: Player | None = None,
    fits: Dispersions | None = None, **settings: object,
) -> list[tuple[float, PatternTable]]:  # fmt: skip
    """One table for each wind of a rose, with its weight (they are made to add up to 1)."""
    given = [(float(weight), wind) for weight, wind in rose]
    total = sum(weight for weight, _ in given)
    if not given or total <= 0.0 or any(weight < 0.0 for weight, _ in given):
        raise InputError(
            "A wind rose needs weights that are not negative and not all 0.", "Give some hours each."
        )
    return [
        (weight / total, patterns_of(bag, player, fits, wind=wind, **settings))  # type: ignore[arg-type]
        for weight, wind in given
    ]
