"""Which clubs stand in the table, with which numbers, and the joint draws of their carries."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import ndtri

from bagwright.bag.club import Bag, Club
from bagwright.bag.names import split_club_name
from bagwright.dispersion.prior import swing_prior
from bagwright.distances.table import ClubDistance, Fits, Fitted, SwingDistance, Used
from bagwright.estimate import Z90, Estimate
from bagwright.words import tell

if TYPE_CHECKING:
    from bagwright.distances.table import Floats

N_DRAWS = 2048
_KEY = 14


@dataclass(frozen=True, slots=True)
class Row:
    """One club of the table: what it is, its stock dispersion, and draws (n,) of carry and spread.

    `status` is the club's own, "by name" for every build hit when there is no bag, else "not in the bag".
    """

    club: Club | None
    name: str
    status: str
    fit: Fitted
    used: Used
    carry: Floats
    spread: Floats
    partial_hit: bool
    """True when three-quarter and half swings were hit with it."""

    @property
    def in_steps(self) -> bool:
        """True for clubs that the steps are counted between."""
        return self.status in ("carried", "by name")

    @property
    def kind(self) -> str:
        """Kind of club, "" where nobody knows."""
        return self.club.kind if self.club else ""

    @property
    def loft_deg(self) -> float | None:
        """Measured or stamped loft, None where nobody knows."""
        return self.club.loft_deg if self.club else None


def estimate(values: Floats) -> Estimate:
    """Median and 90 % range of draws (n,)."""
    low, middle, high = np.quantile(values, (0.05, 0.5, 0.95))
    return Estimate(float(middle), float(low), float(high))


def normals(stream: int, n: int = N_DRAWS) -> Floats:
    """Draw standard normals (n,), one for each of n equal slices, in an order that only `stream` decides."""
    rng = np.random.Generator(np.random.PCG64([_KEY, stream]))
    drawn: Floats = ndtri((rng.permutation(n) + 0.5) / n)
    return drawn


def table_rows(fits: Fits, bag: Bag | None) -> tuple[Row, ...]:
    """Every club with a carry, longest first: the carried ones, hit or not, and others that were hit."""
    entries = _entries(fits, bag)
    keys = [(name, "stock") for name, _, _ in entries]
    hit = [key for key in keys if key in fits and fits[key].measured]
    draws = fits.draws(hit, N_DRAWS) if hit else None
    rows = []
    for (name, club, status), key in zip(entries, keys, strict=True):
        if draws is not None and key in hit:
            j = hit.index(key)
            drawn = draws.carry_m[:, j], draws.carry_sd_m[:, j]
            rows.append(Row(club, name, status, fits[key], "measured", *drawn, _partial_hit(name, fits)))
        elif club is not None:
            fit = fits.predict(club)
            drawn = _predicted_draws(fit, len(rows))
            rows.append(Row(club, name, status, fit, "predicted", *drawn, _partial_hit(name, fits)))
    return tuple(sorted(rows, key=lambda row: -float(np.median(row.carry))))


def _partial_hit(name: str, fits: Fits) -> bool:
    keys = ((name, "three-quarter"), (name, "half"))
    return all(key in fits and fits[key].measured for key in keys)


def _entries(fits: Fits, bag: Bag | None) -> list[tuple[str, Club | None, str]]:
    """Name, club and status of every row; a name that is not in the bag keeps what its own words say."""
    entries: list[tuple[str, Club | None, str]] = []
    for club in bag or ():
        hit = (club.name, "stock") in fits and fits[(club.name, "stock")].measured
        if club.kind != "putter" and (club.status == "carried" or hit):
            entries.append((club.name, club, club.status))
    known = {club.name for club in bag} if bag else set()
    for name, swing in fits:
        said = split_club_name(name)[0]
        if swing != "stock" or name in known or not fits[(name, swing)].measured:
            continue
        if said is None or said.kind != "putter":
            entries.append((name, _club_of(name), tell("by name") if bag is None else tell("not in the bag")))
    return entries


def _club_of(name: str) -> Club | None:
    """Make the club that a name without a bag speaks of, None where it says nothing."""
    said, _ = split_club_name(name)
    if said is None:
        return None
    return Club(name, said.kind, said.number, stamped_loft_deg=said.loft_deg, bounce_deg=said.bounce_deg)


def _predicted_draws(fit: Fitted, stream: int) -> tuple[Floats, Floats]:
    """Draws for a club that was not hit, independent of the others: wide rather than falsely sure."""
    carry, spread = fit.carry_m, fit.carry_sd_m
    sd = (carry.high - carry.low) / (2.0 * Z90)
    log_sd = np.log(spread.high / spread.low) / (2.0 * Z90)
    z = normals(2 * stream), normals(2 * stream + 1)
    return carry.value + sd * z[0], spread.value * np.exp(log_sd * z[1])


def swing_carry(row: Row, swing: str, fits: Fits, stream: int) -> tuple[Floats, Used]:
    """Draws (n,) of the carry of another swing: its own balls, else the stock swing times the usual ratio."""
    key = (row.name, swing)
    if key in fits and fits[key].measured:
        carry = fits[key].carry_m
        return carry.value + (carry.high - carry.low) / (2.0 * Z90) * normals(1000 + stream), "measured"
    ratio = swing_prior(swing)
    return row.carry * (ratio.centre + ratio.centre_sd * normals(2000 + stream)), "predicted"


def club_row(row: Row, fits: Fits) -> ClubDistance:
    """Show the row as the table has it."""
    club, fit = row.club, row.fit
    return ClubDistance(
        club=row.name,
        kind=row.kind,
        number=club.number if club else None,
        status=row.status,
        loft_deg=row.loft_deg,
        carry_m=fit.carry_m,
        carry_sd_m=fit.carry_sd_m,
        offline_m=fit.offline_m,
        offline_sd_m=fit.offline_sd_m,
        right_probability=fit.right_probability,
        mishit_share=fit.mishit_share,
        total_m=fit.total_m,
        apex_m=fit.apex_m,
        descent_rad=fit.descent_rad,
        n_shots=fit.n_shots if row.used == "measured" else 0,
        used=row.used,
        swings=_swings(row, fits),
        bounce_deg=club.bounce_deg if club else None,
        sole=club.sole if club else None,
        groove_age_months=club.groove_age_months if club else None,
        quality=fit.quality,
    )


def _swings(row: Row, fits: Fits) -> tuple[SwingDistance, ...]:
    """Other swings that were hit, and the usual ones that follow from the stock swing."""
    usual = ["gripped-down", "flat-out"] + (["three-quarter", "half"] if row.kind == "wedge" else [])
    hit = [swing for name, swing in fits if name == row.name and swing not in ("stock", *usual)]
    out = []
    for i, swing in enumerate([*usual, *hit]):
        key = (row.name, swing)
        if key in fits and fits[key].measured:
            out.append(SwingDistance(swing, fits[key].carry_m, fits[key].n_shots, "measured"))
        elif swing in usual:
            out.append(SwingDistance(swing, estimate(swing_carry(row, swing, fits, i)[0]), 0, "predicted"))
    return tuple(out)
