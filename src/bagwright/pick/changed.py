"""A player or a club that is changed: faster, with more or less loft, longer or shorter. Through the flight.

A change is laid on what the shots say: the club's own strike gets the change that the impact model gives the
same swing, both are flown, and the shot's carry and spread grow or shrink as the two flights do. All of it an
estimate; the doubt of the change is added to the doubt of the carry.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from bagwright.air import STANDARD, Air, Wind
from bagwright.bag.club import Bag, Club
from bagwright.dispersion.dispersions import Dispersions
from bagwright.errors import InputError
from bagwright.estimate import Z90
from bagwright.flight.launch import Launch
from bagwright.strokes.kernel import Kernel, Strike
from bagwright.strokes.patterns import PatternTable, Shot
from bagwright.words import tell

if TYPE_CHECKING:
    from bagwright.pick.doubt import Doubt

LEAST_RATIO = 0.3
"""A carry that shrinks to less of itself is no change of a club but another one (judgement)."""


@dataclass(frozen=True, slots=True)
class Change:
    """What is changed: everything of one club, or (club None) the speed of all.

    `faster` is the share by which every club moves faster, `loft_rad` more loft, `longer_m` a longer club.
    With `name` the changed club stands beside the present one under that name, as a build to choose from.
    """

    club: str | None = None
    faster: float = 0.0
    loft_rad: float = 0.0
    longer_m: float = 0.0
    name: str | None = None


def tables_of(
    bag: Bag, fits: Dispersions | None, winds: Sequence[Wind | None], changes: Sequence[Change] = ()
) -> list[PatternTable]:
    """Pattern tables of a player with these changes, one for each wind (None: calm), in their order.

    Raises InputError for a club that is not there, and for a change that the impact model does not know.
    """
    from bagwright.dispersion.fit import fit_dispersion
    from bagwright.shots.record import ShotTable
    from bagwright.strokes import putting
    from bagwright.strokes.by_lie import Ground
    from bagwright.strokes.flown_shots import Place
    from bagwright.strokes.ground import Grounds
    from bagwright.strokes.kernels import SWINGS, full_kernels, handicap_of, partial_kernels
    from bagwright.strokes.on_course import on_course
    from bagwright.strokes.own_lies import own_lies
    from bagwright.strokes.sayings import said_of
    from bagwright.strokes.table import Who, table_of, with_wind
    from bagwright.turf import FAIRWAY

    known = bag.player
    fits = fits if fits is not None else fit_dispersion(ShotTable.of([]), known, bag)
    full = full_kernels(bag, fits, {}, SWINGS)
    lies = own_lies(fits, full)
    said = [*said_of(bag, known, full, lies), *(_said(one) for one in changes)]
    for change in changes:
        full = _changed(full, bag, change)
    handicap = handicap_of(known)
    full = [on_course(kernel, handicap) for kernel in full]
    who = Who(handicap, putting.skill_of(handicap), Ground(known.turf, known.sand), lies, tuple(said))
    place = Place(STANDARD, STANDARD, Grounds(FAIRWAY, None))
    calm, strikes = table_of([*full, *partial_kernels(full, handicap)], who, place)
    return [with_wind(calm, strikes, STANDARD, wind) for wind in winds]


def doubt_with(bag: Bag, fits: Dispersions, clubs: Sequence[str], changes: Sequence[Change]) -> Doubt:
    """What the shots leave open of these clubs; a changed build moves with the club that it is made from."""
    from bagwright.pick.doubt import Doubt, doubt_of

    made_from = {one.name: one.club for one in changes if one.name is not None and one.club is not None}
    sources = [made_from.get(club, club) for club in clubs]
    known = list(dict.fromkeys(sources))
    found = doubt_of(bag, fits, known)
    at = [known.index(club) for club in sources]
    drawn = {axis: values[:, at] for axis, values in found.drawn.items()}
    return Doubt(tuple(clubs), drawn, found.ball[at], found.mishit[at], found.balls[at])


def _said(change: Change) -> str:
    parts = []
    if change.faster:
        parts.append(tell("{faster:+.1f} % speed", faster=100 * change.faster))
    if change.loft_rad:
        parts.append(tell("{loft:+.2g}° of loft", loft=math.degrees(change.loft_rad)))
    if change.longer_m:
        parts.append(tell("{longer:+.1f} cm of length", longer=100 * change.longer_m))
    who = change.club if change.club is not None else tell("All clubs")
    what = ", ".join(parts)
    return tell("{who}: {what}, by the impact and flight models, an estimate.", who=who, what=what)


def _changed(full: Sequence[Kernel], bag: Bag, change: Change) -> list[Kernel]:
    """All kernels, those of the changed club changed, or added under its new name."""
    if change.club is not None and all(kernel.shot.club != change.club for kernel in full):
        raise InputError(
            tell('There is no club "{name}" to change.', name=change.club[:60]),
            tell("Write the name as in the bag file."),
        )
    mine = [kernel for kernel in full if change.club in (None, kernel.shot.club)]
    launches = _launches(mine, STANDARD)
    found = {
        kernel.shot: _one(kernel, launch, change, bag) for kernel, launch in zip(mine, launches, strict=True)
    }
    if change.name is None:
        return [found.get(kernel.shot, kernel) for kernel in full]
    own = [replace(one, shot=Shot(change.name, one.shot.swing, one.shot.length_m)) for one in found.values()]
    return [*full, *own]


def _launches(kernels: Sequence[Kernel], air: Air) -> list[Launch]:
    from bagwright.strokes.strikes import base_strikes

    found = base_strikes(kernels, air)
    rows: Any = zip(found.ball_speed_mps, found.launch_rad, found.spin_rpm, strict=True)
    return [Launch(float(speed), float(launch), float(spin)) for speed, launch, spin in rows]


def _one(kernel: Kernel, launch: Launch, change: Change, bag: Bag) -> Kernel:
    """One shot after the change: carry and spreads in the ratio of the two flights."""
    from bagwright.flight.fly import fly
    from bagwright.impact import delivery_of, head_of, what_if

    head = head_of(kernel.kind)
    club = next((one for one in bag.clubs if one.name == kernel.shot.club), None)
    faster = change.faster * delivery_of(launch, head).club_speed_mps
    found = what_if(launch, head, change.loft_rad, faster, change.longer_m, _length(club, change.longer_m))
    before = fly(found.before.launch).carry_m
    ratio = 1.0 + found.carry_m.value / before
    if ratio < LEAST_RATIO:
        raise InputError(
            tell("{club} would hardly carry after this change.", club=kernel.shot.club),
            tell("Ask for a smaller change."),
        )
    doubt = (found.carry_m.high - found.carry_m.low) / (2 * Z90) * kernel.x_m / before
    after = found.after.launch
    square = ratio * ratio
    return replace(
        kernel, loft_deg=kernel.loft_deg + math.degrees(change.loft_rad), x_m=kernel.x_m * ratio,
        y_m=kernel.y_m * ratio, x_var_m2=kernel.x_var_m2 * square + doubt * doubt,
        y_var_m2=kernel.y_var_m2 * square, x_ball_m=kernel.x_ball_m * ratio, y_ball_m=kernel.y_ball_m * ratio,
        loss_m=kernel.loss_m * ratio, loss_sd_m=kernel.loss_sd_m * ratio,
        strike=Strike(after.ball_speed_mps, after.launch_rad, after.spin_rpm),
    )  # fmt: skip


def _length(club: Club | None, longer_m: float) -> float | None:
    """The club's present length where a change of it needs it."""
    if not longer_m:
        return None
    if club is None or club.build.length_m is None:
        raise InputError(
            tell("The present length of {club} is not known.", club=club.name if club else tell("the club")),
            tell("Measure it and add it to the bag file."),
        )
    return club.build.length_m
