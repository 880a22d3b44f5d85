"""A whole bag restated: every club's own carry there, with its range."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from bagwright.estimate import Estimate
from bagwright.restate.doubt import ball_ratio, change, doubted, together
from bagwright.restate.landing import Landing, carries_by_air, landing
from bagwright.restate.setting import Setting

if TYPE_CHECKING:
    from bagwright.bag.club import Bag
    from bagwright.dispersion.dispersions import Dispersions
    from bagwright.dispersion.results import Dispersion
    from bagwright.flight.level import Level
    from bagwright.restate.strike_of_club import ClubStrikes
    from bagwright.shots.record import Conditions, ShotTable


@dataclass(frozen=True, slots=True)
class BagRow:
    """One club and swing here and there; metres and radians, each with its 90 % range.

    The carry there holds the doubt of the carry here and that of the change. `side_m` is how far the
    landing moves to the right. Height, descent and total are None where they were not measured.
    """

    club: str
    swing: str
    n_shots: int
    carry_here_m: Estimate
    carry_there_m: Estimate
    change_m: Estimate
    side_m: Estimate
    apex_there_m: Estimate | None
    descent_there_rad: Estimate | None
    total_there_m: Estimate | None


@dataclass(frozen=True, slots=True)
class RestatedBag:
    """Rows in the order of the fits, the level they rest on, and the clubs without a known strike."""

    rows: tuple[BagRow, ...]
    level: Level
    unknown: tuple[tuple[str, str], ...]


def restate_bag(
    fits: Dispersions,
    table: ShotTable,
    bag: Bag | None,
    here: Setting,
    there: Setting,
    *,
    conditions: Mapping[str, Conditions] | None = None,
    law: str = "D1",
    level: Level | None = None,
) -> RestatedBag:
    """Give every club's solid strikes `here` as they would fly `there`.

    `fits` is the fit of `table`. Errors as `restate_shots`.
    """
    from bagwright.restate.strike_of_club import club_strikes

    strikes = club_strikes(fits, table, bag, here, conditions, law, level)
    rows = rows_there(strikes, here, there, law)
    return RestatedBag(rows, strikes.level, strikes.unknown)


def rows_there(strikes: ClubStrikes, here: Setting, there: Setting, law: str) -> tuple[BagRow, ...]:
    """The rows of one place."""
    if not strikes.fits:
        return ()
    a = landing(strikes.launches, here, law, strikes.scale)
    _, by_air = carries_by_air(strikes.launches, here, there, law, strikes.scale)
    b = landing(strikes.launches, there, law, strikes.scale)
    return tuple(
        _row(fit, i, a, b, float(by_air[i] / a.carry_m[i]), (here, there), strikes.seen[i])
        for i, fit in enumerate(strikes.fits)
        if a.flew[i] and b.flew[i]
    )


def _row(
    fit: Dispersion,
    i: int,
    a: Landing,
    b: Landing,
    by_air: float,
    settings: tuple[Setting, Setting],
    seen: float,
) -> BagRow:
    k = float(b.carry_m[i] / a.carry_m[i])
    by = change(fit.carry_m.value, k / ball_ratio(*settings).value, by_air, *settings, seen)
    carry = together(fit.carry_m, by)
    side = float(b.offline_m[i] - k * a.offline_m[i]) + (k - 1.0) * fit.offline_m.value
    apex = None if fit.apex_m is None else _by_ratio(fit.apex_m, float(b.apex_m[i] / a.apex_m[i]), seen)
    return BagRow(
        fit.club, fit.swing, fit.n_shots, fit.carry_m, carry, by, doubted(side, seen), apex,
        _descent(fit, float(b.descent_rad[i] - a.descent_rad[i]), seen),
        _total(fit, carry, float(b.run_m[i] - a.run_m[i])),
    )  # fmt: skip


def _by_ratio(here: Estimate, ratio: float, seen: float) -> Estimate:
    """A figure times a ratio, with the doubt of the change."""
    return together(here, doubted(here.value * (ratio - 1.0), seen))


def _descent(fit: Dispersion, by: float, seen: float) -> Estimate | None:
    return None if fit.descent_rad is None else together(fit.descent_rad, doubted(by, seen))


RUN_SHARE = 0.4
"""Half range of a change of run as a share of it: runs are bands of about that width (docs/turf.md)."""


def _total(fit: Dispersion, carry: Estimate, by_run: float) -> Estimate | None:
    """Carry there and the run that was measured, changed as the run is worked out; never less than none."""
    if fit.total_m is None:
        return None
    ran = max(fit.total_m.value - fit.carry_m.value + by_run, min(0.0, fit.total_m.value - fit.carry_m.value))
    half = RUN_SHARE * abs(by_run)
    return together(carry, Estimate(ran, ran - half, ran + half))
