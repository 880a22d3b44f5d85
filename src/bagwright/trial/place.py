"""Where a slot lies between its neighbours in the bag, and its spot."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scipy.special import ndtr

from bagwright.bag.club import Bag, Club
from bagwright.errors import InputError
from bagwright.estimate import Z90, Estimate
from bagwright.trial.result import StandIn
from bagwright.units import M_PER_YD
from bagwright.words import tell

if TYPE_CHECKING:
    from bagwright.dispersion.fit import Dispersions

LONGEST_SPOT_M = 400.0


@dataclass(frozen=True, slots=True)
class Neighbour:
    """A carried club beside the slot: its stock carry, measured or predicted."""

    club: Club
    carry_m: Estimate
    measured: bool


@dataclass(frozen=True, slots=True)
class Spot:
    """The carry a slot is for, where it comes from in words, and the neighbours on both sides."""

    carry_m: float
    source: str
    longer: Neighbour | None
    shorter: Neighbour | None


def middle_loft(clubs: Iterable[Club | None]) -> float | None:
    """Give the middle of the clubs' lofts in degrees, None where none is known."""
    lofts = sorted(club.loft_deg for club in clubs if club is not None and club.loft_deg is not None)
    return (lofts[0] + lofts[-1]) / 2.0 if lofts else None


def sd_of(estimate: Estimate) -> float:
    """Give the sd of a normal with this 90 % range."""
    return (estimate.high - estimate.low) / (2.0 * Z90)


def difference(one: Estimate, other: Estimate) -> Estimate:
    """One less the other, both normal and independent."""
    mean = one.value - other.value
    half = Z90 * (sd_of(one) ** 2 + sd_of(other) ** 2) ** 0.5
    return Estimate(mean, mean - half, mean + half)


def chance_between(carry: Estimate, low_m: float, high_m: float) -> float:
    """Probability (0..1) that a normal centre with this range lies between two carries."""
    sd = sd_of(carry)
    if sd <= 0.0:
        return float(low_m <= carry.value <= high_m)
    return float(ndtr((high_m - carry.value) / sd) - ndtr((low_m - carry.value) / sd))


def stock_carry(club: Club, fits: Dispersions) -> tuple[Estimate, bool]:
    """Give a club's stock carry, and whether it was measured; else predicted from the bag."""
    found = fits.get((club.name, "stock"))
    if found is not None:
        return found.carry_m, found.measured
    return fits.predict(club).carry_m, False


def neighbours(
    reference_m: float, loft_deg: float | None, bag: Bag | None, fits: Dispersions, without: Collection[str]
) -> tuple[Neighbour | None, Neighbour | None]:
    """Find the next longer and the next shorter carried club around a slot.

    Lofts say which clubs are on the longer side, as a slot is often contested just because its club carries
    like a neighbour; without lofts the carry `reference_m` does. The slot's own clubs and the putter are left
    out.
    """
    longer: list[Neighbour] = []
    shorter: list[Neighbour] = []
    for club in bag.with_status("carried") if bag is not None else ():
        if club.kind == "putter" or club.name in without:
            continue
        found = Neighbour(club, *stock_carry(club, fits))
        if loft_deg is not None and club.loft_deg is not None and club.loft_deg != loft_deg:
            is_longer = club.loft_deg < loft_deg
        else:
            is_longer = found.carry_m.value > reference_m
        (longer if is_longer else shorter).append(found)
    return (
        min(longer, key=lambda n: n.carry_m.value, default=None),
        max(shorter, key=lambda n: n.carry_m.value, default=None),
    )


def find_spot(
    present: Club | None,
    candidate_carries: Sequence[float],
    bag: Bag | None,
    fits: Dispersions,
    without: Collection[str],
    spot_m: float | None = None,
    loft_deg: float | None = None,
) -> Spot:
    """Find the slot's spot: the brief's carry, else midway between the neighbours, else the present club's.

    Without any of these it lies midway between the candidates, which favours none of them; `source` says so.
    `loft_deg` is the candidates' middle loft, used to find the neighbours where no club is in the slot.
    """
    own = stock_carry(present, fits)[0].value if present is not None else None
    middle = (min(candidate_carries) + max(candidate_carries)) / 2.0 if candidate_carries else None
    reference = next((value for value in (spot_m, own, middle) if value is not None), None)
    if reference is None:
        raise InputError(tell("The slot's carry cannot be known."), tell("Say which carry it is for."))
    if not 1.0 <= reference <= LONGEST_SPOT_M:
        raise InputError(
            tell("A carry of {reference:.1f} m is no spot for a slot.", reference=reference),
            tell("Give one between 1 and {longest_spot_m:.0f} m.", longest_spot_m=LONGEST_SPOT_M),
        )
    if present is not None:
        loft_deg = present.loft_deg
    longer, shorter = neighbours(reference, None if spot_m is not None else loft_deg, bag, fits, without)
    if spot_m is not None:
        return Spot(spot_m, tell("the brief's carry"), longer, shorter)
    if longer is not None and shorter is not None and longer.carry_m.value > shorter.carry_m.value:
        middle_m = (longer.carry_m.value + shorter.carry_m.value) / 2.0
        source = tell(
            "midway between {longer_club} and {shorter_club}",
            longer_club=longer.club.name,
            shorter_club=shorter.club.name,
        )
        return Spot(middle_m, source, longer, shorter)
    if present is not None and own is not None:
        return Spot(
            own, tell("the carry of {present}, now in the slot", present=present.name), longer, shorter
        )
    return Spot(reference, tell("midway between the candidates"), longer, shorter)


def stand_ins(spot: Spot, fits: Dispersions) -> tuple[StandIn, ...]:
    """List neighbours that might do the slot's job with another swing.

    The longer one gripped down or three-quarter, the shorter one flat out; each with the probability that its
    centre lands within reach of the spot.
    """
    within = max(4.0 * M_PER_YD, 0.04 * spot.carry_m)
    tries = [(spot.longer, "gripped-down"), (spot.longer, "three-quarter"), (spot.shorter, "flat-out")]
    found = []
    for neighbour, swing in tries:
        if neighbour is None:
            continue
        fit = fits.get((neighbour.club.name, swing))
        carry = fit.carry_m if fit is not None else fits.predict(neighbour.club, swing).carry_m
        chance = chance_between(carry, spot.carry_m - within, spot.carry_m + within)
        found.append(StandIn(neighbour.club.name, swing, carry, within, chance, fit is not None))
    return tuple(sorted(found, key=lambda s: -s.probability))
