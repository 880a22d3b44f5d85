"""What a slot must do, written before the first ball, and which builds on the rack can do it.

From the bag alone: the carry band between the neighbours, the descent, the lies and the side that is
tolerable. Each build of the rack is ranked by its chance of meeting the brief, from its own dispersion where
there is one, else from the player's other clubs by loft, which is wide.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scipy.special import ndtr

from bagwright.bag.club import Bag, Club
from bagwright.errors import InputError
from bagwright.estimate import Estimate, percent
from bagwright.shots.record import LIES, ShotTable
from bagwright.trial import say
from bagwright.trial.cautions import injury, people
from bagwright.trial.place import Neighbour, Spot, chance_between, find_spot, middle_loft, sd_of, stock_carry
from bagwright.trial.slot import Slot, find_slot
from bagwright.units import MPS_PER_MPH, RAD_PER_DEG, System
from bagwright.words import join, tell, term

if TYPE_CHECKING:
    from bagwright.dispersion.fit import Dispersion, Dispersions

STOPS_RAD = 45.0 * RAD_PER_DEG
"""Landing steeper than about this stops on a normal green; common practice, no source."""
RUNS_RAD = 38.0 * RAD_PER_DEG
"""Landing flatter than about this runs; common practice, no source."""
SLOW_MPS = 85.0 * MPS_PER_MPH
"""Driver head speed below which 45 degrees is often out of reach (judgement)."""
BAND_SHARE = 0.25
"""The band leaves this share of the gap free at either end: half of an even step (judgement)."""
LONE_BAND_SHARE = 0.04
"""Half width of the band as a share of carry where a neighbour is missing: about half a usual step."""
ALIKE = 0.05
"""Chances this near to each other put no build ahead: judgement, no source."""
_WORTH_SHARE = 0.25
_EIGHT_OF_TEN = 1.2815515655446004

_LIES_OF_KIND: dict[str, tuple[str, ...]] = {
    "driver": ("tee",),
    "wood": ("tee", "fairway"),
    "hybrid": ("tee", "fairway", "rough"),
    "iron": ("tee", "fairway", "rough"),
    "wedge": ("fairway", "rough", "sand"),
}
"""Lies that a kind of club is usually carried for; common practice, no source."""


@dataclass(frozen=True, slots=True)
class RankedBuild:
    """One build of the rack: its chance (0..1) of meeting the brief, its carry, and the reason in words."""

    club: str
    status: str
    probability: float
    carry_m: Estimate
    measured: bool
    reason: str


@dataclass(frozen=True, slots=True)
class BesideSlot:
    """A neighbour of the slot with its stock carry, measured or predicted."""

    club: str
    carry_m: Estimate
    measured: bool


@dataclass(frozen=True, slots=True)
class Brief:
    """What the slot must do and who might. Distances in metres, angles in radians.

    `descent_rad` is the descent wanted or None where stopping is not the club's job; `side_tolerance_m` how
    far from the line eight balls in ten of the neighbours finish, or what the user said.
    """

    slot: str
    present: str | None
    carry_low_m: float
    carry_high_m: float
    spot_m: float
    spot_from: str
    longer: BesideSlot | None
    shorter: BesideSlot | None
    descent_rad: float | None
    lies: tuple[str, ...]
    side_tolerance_m: float | None
    candidates: tuple[RankedBuild, ...]
    not_worth_hitting: tuple[RankedBuild, ...]
    sentence: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Wanted:
    """The brief's figures while builds are held against them."""

    low_m: float
    high_m: float
    descent_rad: float | None
    lies: tuple[str, ...]
    side_m: float | None


def write_brief(
    slot: str | Sequence[str],
    bag: Bag,
    fits: Dispersions | None = None,
    *,
    spot_m: float | None = None,
    descent_rad: float | None = None,
    lies: Sequence[str] | None = None,
    side_tolerance_m: float | None = None,
    system: System = "yards",
) -> Brief:
    """Write the brief of a slot from the bag: what it must do, and the rack ranked by the chance of doing it.

    `slot` names the slot ("50 wedge") or its candidates. What the user says of carry, descent, lies or side
    replaces what the bag suggests; without `fits` all carries are estimated from player and lofts. The club
    now in the slot is always worth hitting. Raises InputError for unknown names, lies or figures that cannot
    be used.
    """
    fits = fits if fits is not None else _nothing_hit(bag)
    found = find_slot(slot, bag)
    clubs = [club for entry in found.entries if (club := bag.find(entry.club)) is not None]
    without = {club.name for club in clubs}
    carries = [stock_carry(club, fits)[0].value for club in clubs]
    spot = find_spot(found.present, carries, bag, fits, without, spot_m, middle_loft(clubs))
    _check(descent_rad, lies, side_tolerance_m)
    wanted = _wanted(clubs, spot, bag, fits, descent_rad, lies, side_tolerance_m)
    ranked = sorted((_held(club, wanted, fits, system) for club in clubs), key=lambda one: -one.probability)
    least = _WORTH_SHARE * ranked[0].probability
    present = found.present.name if found.present is not None else None
    worth = tuple(one for one in ranked if one.probability >= least or one.club == present)
    return Brief(
        slot=found.label,
        present=present,
        carry_low_m=wanted.low_m,
        carry_high_m=wanted.high_m,
        spot_m=spot.carry_m,
        spot_from=spot.source,
        longer=_beside(spot.longer),
        shorter=_beside(spot.shorter),
        descent_rad=wanted.descent_rad,
        lies=wanted.lies,
        side_tolerance_m=wanted.side_m,
        candidates=worth,
        not_worth_hitting=tuple(one for one in ranked if one not in worth),
        sentence=_sentence(found, spot, wanted, worth, system),
        cautions=_cautions(bag, found, worth),
    )


def _nothing_hit(bag: Bag) -> Dispersions:
    """Return what the player and the lofts alone suggest, before any ball."""
    from bagwright.dispersion.fit import fit_dispersion

    return fit_dispersion(ShotTable.of(()), bag.player, bag)


def _check(descent_rad: float | None, lies: Sequence[str] | None, side_m: float | None) -> None:
    for lie in lies or ():
        if lie not in LIES:
            raise InputError(
                tell('"{lie}" is no lie.', lie=lie[:40]),
                tell("Use {lies}.", lies=join(", ", map(term, LIES))),
            )
    if descent_rad is not None and not 0.0 < descent_rad < 1.5:
        raise InputError(
            tell("A descent of {descent_rad:.1f} degrees is none.", descent_rad=descent_rad / RAD_PER_DEG),
            tell("Give 1 to 85 degrees."),
        )
    if side_m is not None and not 0.0 < side_m < 200.0:
        raise InputError(
            tell("A side of {side_m:.1f} m cannot be tolerated or not.", side_m=side_m),
            tell("Give a distance from 0 to 200 m."),
        )


def _wanted(
    clubs: Sequence[Club],
    spot: Spot,
    bag: Bag,
    fits: Dispersions,
    descent_rad: float | None,
    lies: Sequence[str] | None,
    side_m: float | None,
) -> _Wanted:
    low, high = carry_band(spot)
    kinds = {club.kind for club in clubs}
    used = tuple(lie for club in clubs for lie in club.use if lie in LIES)
    usual = tuple(lie for kind in sorted(kinds) for lie in _LIES_OF_KIND.get(kind, ()))
    if descent_rad is None and kinds != {"driver"}:
        speed = bag.player.driver_speed_mps
        descent_rad = RUNS_RAD if speed is not None and speed < SLOW_MPS else STOPS_RAD
    if side_m is None:
        side_m = _neighbours_side(spot, fits)
    return _Wanted(low, high, descent_rad, tuple(dict.fromkeys(lies or used or usual)), side_m)


def carry_band(spot: Spot) -> tuple[float, float]:
    """Return the carries (metres) that keep a fair step to both neighbours.

    A quarter of the gap stays free at either end; where a neighbour is missing, 4 % of the carry on that
    side. The spot always lies inside, also where the user put it nearer a neighbour.
    """
    lone = LONE_BAND_SHARE * spot.carry_m
    low, high = spot.carry_m - lone, spot.carry_m + lone
    if spot.longer is not None and spot.shorter is not None:
        gap = max(spot.longer.carry_m.value - spot.shorter.carry_m.value, 0.0)
        if gap > 0.0:
            low = spot.shorter.carry_m.value + BAND_SHARE * gap
            high = spot.longer.carry_m.value - BAND_SHARE * gap
    return min(low, spot.carry_m), max(high, spot.carry_m)


def _neighbours_side(spot: Spot, fits: Dispersions) -> float | None:
    """How far from the line eight balls in ten of the neighbours finish, the mean of those there are."""
    found = []
    for neighbour in (spot.longer, spot.shorter):
        if neighbour is not None:
            fit = _fit(neighbour.club, fits)
            found.append(abs(fit.offline_m.value) + _EIGHT_OF_TEN * fit.offline_sd_m.value)
    return sum(found) / len(found) if found else None


def _fit(club: Club, fits: Dispersions) -> Dispersion:
    found = fits.get((club.name, "stock"))
    return found if found is not None else fits.predict(club)


def _held(club: Club, wanted: _Wanted, fits: Dispersions, system: System) -> RankedBuild:
    """Hold one build against the brief: chance of the carry, times that of a measured descent."""
    fit = _fit(club, fits)
    chance = chance_between(fit.carry_m, wanted.low_m, wanted.high_m)
    how = tell("measured") if fit.measured else tell("estimated from the player's other clubs")
    carry = tell(
        "{distance} (90 % range {plain_span}), {how}",
        distance=say.distance(fit.carry_m.value, system),
        plain_span=say.plain_span(fit.carry_m, system),
        how=how,
    )
    middle = fit.carry_m.value
    if middle > wanted.high_m:
        reasons = [
            tell(
                "carries {carry}: {distance} beyond the band",
                carry=carry,
                distance=say.distance(middle - wanted.high_m, system),
            )
        ]
    elif middle < wanted.low_m:
        reasons = [
            tell(
                "carries {carry}: {distance} short of the band",
                carry=carry,
                distance=say.distance(wanted.low_m - middle, system),
            )
        ]
    else:
        reasons = [tell("carries {carry}: inside the band", carry=carry)]
    if wanted.descent_rad is not None and fit.descent_rad is not None:
        steep = _chance_above(fit.descent_rad, wanted.descent_rad)
        chance *= steep
        reasons.append(
            tell(
                "descends at {descent_rad_value:.0f}°: {percent} steep enough",
                descent_rad_value=fit.descent_rad.value / RAD_PER_DEG,
                percent=percent(steep),
            )
        )
    missing = [lie for lie in wanted.lies if club.use and lie not in club.use]
    if missing:
        chance = 0.0
        reasons.append(tell("not for {listed}", listed=say.listed([term(lie) for lie in missing])))
    return RankedBuild(club.name, club.status, chance, fit.carry_m, fit.measured, join("; ", reasons))


def _chance_above(estimate: Estimate, wanted: float) -> float:
    sd = sd_of(estimate)
    return float(ndtr((estimate.value - wanted) / sd)) if sd > 0.0 else float(estimate.value >= wanted)


def _beside(neighbour: Neighbour | None) -> BesideSlot | None:
    if neighbour is None:
        return None
    return BesideSlot(neighbour.club.name, neighbour.carry_m, neighbour.measured)


def _sentence(slot: Slot, spot: Spot, wanted: _Wanted, worth: Sequence[RankedBuild], system: System) -> str:
    parts = [
        tell(
            "The slot should carry {distance} ({source}), {distance_2} to {distance_3} will do",
            distance=say.distance(spot.carry_m, system),
            source=spot.source,
            distance_2=say.distance(wanted.low_m, system),
            distance_3=say.distance(wanted.high_m, system),
        )
    ]
    if wanted.descent_rad is not None:
        parts.append(
            tell("descend at {descent_rad:.0f}° or steeper", descent_rad=wanted.descent_rad / RAD_PER_DEG)
        )
    if wanted.lies:
        parts.append(tell("work from {listed}", listed=say.listed([term(lie) for lie in wanted.lies])))
    if wanted.side_m is not None:
        parts.append(
            tell(
                "keep eight balls in ten within {distance} of the line",
                distance=say.distance(wanted.side_m, system),
            )
        )
    return _promising(join(", ", parts), worth)


def _promising(parts: str, worth: Sequence[RankedBuild]) -> str:
    """The first build by its chance, or the first two where their chances say that neither is ahead."""
    first = worth[0]
    if len(worth) > 1 and abs(first.probability - worth[1].probability) < ALIKE:
        return tell(
            "{parts}. Nobody is ahead: {first_club} ({percent} to meet the brief),"
            " {second_club} ({percent_2}).",
            parts=parts,
            first_club=first.club,
            percent=percent(first.probability),
            second_club=worth[1].club,
            percent_2=percent(worth[1].probability),
        )
    return tell(
        "{parts}. Most promising: {first_club} ({percent} to meet the brief).",
        parts=parts,
        first_club=first.club,
        percent=percent(first.probability),
    )


def _cautions(bag: Bag, slot: Slot, worth: Sequence[RankedBuild]) -> tuple[str, ...]:
    found = [*injury(bag.player), *people(bag.player)]
    if slot.present is None:
        found.append(tell("No carried club is in this slot now, so there is nothing to keep."))
    if any(not one.measured for one in worth):
        found.append(
            tell("Builds that were not hit are estimated from loft, which is wide: stamped lofts mislead.")
        )
    return tuple(found)
