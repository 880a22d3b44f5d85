"""A change of the bag that is only looked at: a club in or out, or bent by a degree; nothing is stored."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

from django.utils.translation import gettext as _

from bagwright.bag.club import Bag
from bagwright.bag.club import Club as CoreClub
from bagwright.distances.newclub import COMMON_M_PER_DEG
from bagwright.errors import InputError
from bagwright.estimate import Z90, Estimate
from bagwright.store.models import Club

if TYPE_CHECKING:
    from bagwright.dispersion.fit import Dispersion, Dispersions, Draws

MOST = 20
"""Most steps of one try."""
MOST_BENT_DEG = 4.0
"""Farther than this no head is bent; a club of that loft is another club."""
NO_LOFT_LINE = ("driver", "putter")
"""Kinds whose carry does not follow the loft line of the rest."""

What = Literal["in", "out", "weaker", "stronger"]
WHATS: tuple[What, ...] = ("in", "out", "weaker", "stronger")


@dataclass(frozen=True, slots=True)
class Try:
    """One step: a club (by its number in the store) in or out of the bag, or a degree weaker or stronger."""

    what: What
    club_id: int

    @property
    def text(self) -> str:
        """The step as an address says it."""
        return f"{self.what}:{self.club_id}"


def tries_of(texts: Sequence[str]) -> tuple[Try, ...]:
    """The steps that an address names, such as "out:12". Raises InputError for others, or too many."""
    if len(texts) > MOST:
        raise InputError(
            _("%(n)s steps are more than a try holds.") % {"n": len(texts)},
            _("Begin again from the bag as it is."),
        )
    found = []
    for text in texts:
        word, _colon, number = text.partition(":")
        what = next((one for one in WHATS if one == word), None)
        if what is None or not number.isdecimal() or len(number) > 18:
            raise InputError(
                _('"%(value)s" is nothing that can be tried.') % {"value": text[:40]},
                _("Use the buttons of the page."),
            )
        found.append(Try(what, int(number)))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Tried:
    """The bag after some steps: its clubs, which of them moved, and by how many degrees each is bent."""

    bag: Bag
    moved: frozenset[str]
    bent: Mapping[str, float]


def try_on(bag: Bag, rows: Mapping[int, Club], tries: Sequence[Try]) -> Tried:
    """Take the steps one after the other. Raises InputError for a club that is not this player's."""
    place: dict[str, Literal["in", "out"]] = {}
    bent: dict[str, float] = {}
    for one in tries:
        row = rows.get(one.club_id)
        if row is None:
            raise InputError(
                _("A club of this try is not in the player's bag any more."),
                _("Begin again from the bag as it is."),
            )
        if one.what in ("in", "out"):
            place[row.name] = "in" if one.what == "in" else "out"
        else:
            bent[row.name] = bent.get(row.name, 0.0) + (1.0 if one.what == "weaker" else -1.0)
    clubs = tuple(_changed(club, place.get(club.name), bent.get(club.name, 0.0)) for club in bag.clubs)
    moved = {old.name for old, new in zip(bag.clubs, clubs, strict=True) if old.status != new.status}
    return Tried(
        replace(bag, clubs=clubs), frozenset(moved), {name: by for name, by in bent.items() if by != 0.0}
    )


def _changed(club: CoreClub, place: Literal["in", "out"] | None, by: float) -> CoreClub:
    if place == "in":
        club = replace(club, status="carried")
    elif place == "out" and club.status == "carried":
        club = replace(club, status="spare")
    if by == 0.0:
        return club
    if club.loft_deg is None or club.kind in NO_LOFT_LINE:
        raise InputError(
            _("What a degree of loft does to the %(name)s cannot be told.") % {"name": club.name[:60]},
            _("Measure its loft first; a driver's carry does not follow the loft line."),
        )
    if abs(by) > MOST_BENT_DEG:
        raise InputError(
            _("%(name)s cannot be bent by %(by)s degrees.") % {"name": club.name[:60], "by": f"{by:+.0f}"},
            _("At most %(most)s degrees; beyond that it is another club.") % {"most": f"{MOST_BENT_DEG:.0f}"},
        )
    return replace(club, build=replace(club.build, loft_deg=club.loft_deg + by))


def carry_a_degree(own: Estimate | None) -> Estimate:
    """Metres of carry that a degree of loft takes: by the player's own line, doubted by common practice.

    The own line runs between clubs that differ in more than loft, so its slope is not known better than the
    usual 2 to 4 yards are wide.
    """
    low, high = COMMON_M_PER_DEG
    usual = 0.5 * (high - low) / Z90
    middle = 0.5 * (low + high) if own is None else own.value
    own_sd = 0.0 if own is None else (own.high - own.low) / (2.0 * Z90)
    half = Z90 * math.hypot(usual, own_sd)
    return Estimate(middle, middle - half, middle + half)


class DrawnOnce:
    """The player's fits, whose joint draws are made once for several bags of the same clubs."""

    def __init__(self, fits: Dispersions) -> None:
        self._fits = fits
        self._drawn: dict[tuple[tuple[tuple[str, str], ...], int], Draws] = {}

    def __iter__(self) -> Iterator[tuple[str, str]]:
        return iter(self._fits)

    def __contains__(self, key: object, /) -> bool:
        return key in self._fits

    def __getitem__(self, key: tuple[str, str], /) -> Dispersion:
        return self._fits[key]

    def predict(self, club: CoreClub, swing: str = "stock") -> Dispersion:
        """A club that was not hit."""
        return self._fits.predict(club, swing)

    def draws(self, keys: Sequence[tuple[str, str]], n: int = 2048) -> Draws:
        """Joint draws; the same clubs in the same order get the same ones, as ever."""
        wanted = (tuple(keys), n)
        if wanted not in self._drawn:
            self._drawn[wanted] = self._fits.draws(keys, n)
        return self._drawn[wanted]


class TriedFits:
    """The player's fits with some clubs bent: those count as not hit, and their carry as shifted and wide."""

    def __init__(self, fits: DrawnOnce, bent: Mapping[str, float], a_degree: Estimate) -> None:
        self._fits, self._bent, self._a_degree = fits, bent, a_degree

    def __iter__(self) -> Iterator[tuple[str, str]]:
        return (key for key in self._fits if key[0] not in self._bent)

    def __contains__(self, key: object, /) -> bool:
        return isinstance(key, tuple) and key[0] not in self._bent and key in self._fits

    def __getitem__(self, key: tuple[str, str], /) -> Dispersion:
        return self._fits[key]

    def draws(self, keys: Sequence[tuple[str, str]], n: int = 2048) -> Draws:
        """Joint draws of clubs that are as they were hit."""
        return self._fits.draws(keys, n)

    def predict(self, club: CoreClub, swing: str = "stock") -> Dispersion:
        """A club that was not hit as it would be now."""
        by, key = self._bent.get(club.name, 0.0), (club.name, swing)
        if by == 0.0 or key not in self._fits or not self._fits[key].measured:
            return self._fits.predict(club, swing)
        hit = self._fits[key]
        unknown: dict[str, Any] = {"total_m": None, "apex_m": None, "descent_rad": None}
        return replace(
            hit, carry_m=bent_carry(hit.carry_m, by, self._a_degree), measured=False, n_shots=0, **unknown
        )


def bent_carry(carry: Estimate, by_deg: float, a_degree: Estimate) -> Estimate:
    """The carry after `by_deg` degrees more loft: as it was hit, less what that many degrees take."""
    half = math.hypot(0.5 * (carry.high - carry.low), by_deg * 0.5 * (a_degree.high - a_degree.low))
    middle = carry.value - by_deg * a_degree.value
    return Estimate(middle, middle - half, middle + half)
