"""The level: two factors on drag and lift that make a law agree with the player's own measured shots.

Published laws differ by 14 to 22 % in the carry of irons and wedges, so a law is not believed in absolute
terms there: where launch, carry and better also apex were measured, the factors are fitted to them, drawn
towards 1 by what is believed of the law (`prior.doubt_of_law`). Two numbers belong to the ball; where
several clubs were hit, each gets a small offset of its drag beside them. Figures that were adjusted to
other air and spin that was estimated set no level.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from bagwright.errors import InputError
from bagwright.estimate import Z90, Estimate
from bagwright.flight.launch import BALL_DIAMETER_M, Scale
from bagwright.flight.prior import doubt_of_law
from bagwright.flight.seen import READINGS, Reading
from bagwright.units import RAD_S_PER_RPM

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from bagwright.air import Air, Wind
    from bagwright.flight._level_fit import Fit
    from bagwright.flight.launch import Launches

    Floats = NDArray[np.float64]

CLUB_SHARE = 0.4
"""Sd of a club's own offset over the doubt of the law (judgement)."""

BALL_SPREAD = 0.015
"""Sd of ln drag and ln lift from ball to ball of one model (judgement).

Lyu et al. 2018 found more between models.
"""

BAD_WEIGHT = 0.35
"""A shot whose weight falls below this share of a good shot's is told as not fitting."""


@dataclass(frozen=True, slots=True)
class Level:
    """Factors on drag and lift from measured shots, each with its 90 % range.

    `scale` holds for clubs without shots of their own; `clubs` are the factors on drag of those that have.
    With `why_not` no level was set: the factors are 1 and their ranges are the law's own doubt.
    `second_open` says that only one combination of the two is fixed. `residual_sd` is the spread of ln
    carry about the level.
    """

    scale: Scale
    drag: Estimate
    lift: Estimate
    clubs: Mapping[str, Estimate] = field(default_factory=dict)
    carry_share: Estimate | None = None
    shots_used: int = 0
    shots_off: tuple[int, ...] = ()
    residual_sd: float | None = None
    second_open: bool = True
    why_not: str | None = None
    words: tuple[str, ...] = ()

    def scale_of(self, club: str) -> Scale:
        """The factors for one club; those of the ball when the club has no shots of its own."""
        own = self.clubs.get(club)
        return self.scale if own is None else Scale(own.value, self.scale.lift)


def level(
    launches: Launches,
    carry_m: Any,
    apex_m: Any = None,
    clubs: Sequence[str] | None = None,
    air: Air | None = None,
    wind: Wind | None = None,
    law: str = "D1",
    spin_measured: bool = True,
    adjusted: bool = False,
    readings: Mapping[str, Reading] | None = None,
) -> Level:
    """Fit the factors on drag and lift to measured shots.

    launches: measured launches (n); carry_m, apex_m: measured at the same shots, NaN where not; clubs: the
    club of each shot. air, wind: as flown (standard and calm when not given). Shots without a full launch
    or without carry are left out. Estimated spin, adjusted figures and too few shots set no level: see
    `why_not`. The answer does not hang on the order of the shots. Raises InputError when the columns do not
    fit together.
    """
    import numpy as np

    carry, apex, names = _columns(launches, carry_m, apex_m, clubs)
    ok = launches.sensible() & (carry > 1.0) & (launches.spin_rpm > 20.0)
    if not spin_measured or adjusted or not ok.any():
        return _none(launches, ok, spin_measured, adjusted)
    order = np.lexsort((*(getattr(launches, f)[ok] for f in _FIELDS), apex[ok], carry[ok], names[ok]))
    rows = np.flatnonzero(ok)[order]
    return _fitted(launches, rows, carry, apex, names, clubs is not None, air, wind, law, readings or {})


_FIELDS = ("ball_speed_mps", "launch_rad", "spin_rpm", "direction_rad", "spin_axis_rad")


def _columns(
    launches: Launches, carry_m: Any, apex_m: Any, clubs: Sequence[str] | None
) -> tuple[Any, Any, Any]:
    import numpy as np

    n = len(launches)
    columns = []
    for name, given in (("carry_m", carry_m), ("apex_m", apex_m)):
        try:
            column = np.full(n, np.nan) if given is None else np.asarray(given, dtype=np.float64)
        except (TypeError, ValueError) as error:
            raise InputError(
                f"level: {name} is not all numbers: {error}.", "Give a number or NaN a shot."
            ) from error
        if column.shape != (n,):
            raise InputError(
                f"level: {name} has shape {column.shape}, launches {n}.", "Give one number a launch."
            )
        columns.append(np.where(np.isfinite(column) & (column > 0.0), column, np.nan))
    if clubs is not None and len(clubs) != n:
        raise InputError(f"level: {len(clubs)} clubs for {n} launches.", "Give one club a launch.")
    names = np.array([str(c) for c in clubs] if clubs is not None else [""] * n, dtype=object)
    return columns[0], columns[1], names


def _none(launches: Launches, ok: Any, spin_measured: bool, adjusted: bool) -> Level:
    if adjusted:
        why = (
            "figures were adjusted to other air or another ball by the unit, so they say nothing of the level"
        )
    elif not spin_measured:
        why = "spin was estimated, not measured, so launch and carry do not check each other"
    else:
        why = "no shot has a full launch and a carry"
    doubt = doubt_of_law(_mean_ratio(launches, ok) if ok.any() else 0.3)
    wide = _factor(0.0, doubt)
    return Level(
        Scale(), wide, wide, why_not=why, words=(f"No level set: {why}. The law is used as published.",)
    )


def _mean_ratio(launches: Launches, rows: Any) -> float:
    ratio = BALL_DIAMETER_M / 2.0 * launches.spin_rpm[rows] * RAD_S_PER_RPM / launches.ball_speed_mps[rows]
    return float(ratio.mean())


def _factor(log_value: float, sd: float) -> Estimate:
    return Estimate(math.exp(log_value), math.exp(log_value - Z90 * sd), math.exp(log_value + Z90 * sd))


def _launch_sd(launches: Launches, rows: Any, readings: Mapping[str, Reading]) -> Floats:
    """Errors of the launch each flight starts from (n, 7), in the solver's terms, and of the ball."""
    import numpy as np

    def of(name: str) -> Reading:
        return readings.get(name, READINGS[name])

    sd = np.empty((len(rows), 7))
    for k, name in enumerate(_FIELDS):
        value = np.abs(getattr(launches, name)[rows])
        sd[:, k] = of(name).share * value + of(name).fixed
        if name in ("ball_speed_mps", "spin_rpm"):
            sd[:, k] /= value
    sd[:, 5:] = BALL_SPREAD
    return sd


def _fitted(
    launches: Launches, rows: Any, carry: Floats, apex: Floats, names: Any, by_club: bool, air: Air | None,
    wind: Wind | None, law: str, readings: Mapping[str, Reading],
) -> Level:  # fmt: skip
    import numpy as np

    from bagwright.flight import _level_fit as fitting
    from bagwright.flight.posterior import setting

    at = setting(air, wind, law, None, None, None)
    theta = np.zeros((len(rows), 7))
    for k, name in enumerate(_FIELDS):
        theta[:, k] = getattr(launches, name)[rows]
    theta[:, 0] = np.log(theta[:, 0])
    theta[:, 2] = np.log(theta[:, 2] * RAD_S_PER_RPM)
    y = np.log(np.column_stack([carry[rows], apex[rows]]))
    seen = np.isfinite(y)
    compiled = law == "D1" and len(rows) >= fitting.COMPILE_FROM
    flown = fitting.tangents(theta, at, compiled)
    flew = flown[:, 0, 0] > 1.0
    theta, y, seen, flown, rows = theta[flew], y[flew], seen[flew], flown[flew], rows[flew]
    if not len(rows):
        return _none(launches, np.zeros(len(launches), dtype=bool), True, False)
    device = np.column_stack(
        [
            readings.get(name, READINGS[name]).share
            + readings.get(name, READINGS[name]).fixed / np.exp(y[:, k])
            for k, name in enumerate(("carry_m", "apex_m"))
        ]
    )
    _, slopes = fitting.logs(flown)
    precision = fitting.precisions(slopes, _launch_sd(launches, rows, readings), device, seen)
    labels, club = np.unique(names[rows].astype(str), return_inverse=True)
    doubt = doubt_of_law(_mean_ratio(launches, rows))
    offsets = len(labels) if by_club and len(labels) > 1 else 0
    prior_sd = np.array([doubt, doubt] + [CLUB_SHARE * doubt] * offsets)
    found = fitting.fit(theta, y, precision, seen, club.astype(np.int64), prior_sd, at, compiled, flown)
    where = fitting.tangents(fitting.shifted(theta, found.u, club), at, compiled)
    return _level(found, rows, seen, y, flown, where, labels[:offsets] if offsets else labels[:0], doubt)


def _level(
    found: Fit, rows: Any, seen: Any, y: Floats, flown: Floats, where: Floats, labels: Any, doubt: float
) -> Level:
    import numpy as np

    u, sd = found.u, np.sqrt(np.diag(found.cov))
    clubs = {}
    for k, label in enumerate(labels):
        both = found.cov[0, 0] + found.cov[2 + k, 2 + k] + 2.0 * found.cov[0, 2 + k]
        clubs[str(label)] = _factor(float(u[0] + u[2 + k]), math.sqrt(float(both)))
    widest = math.sqrt(float(np.linalg.eigvalsh(found.cov[:2, :2])[-1]))
    open_ = widest > 0.7 * doubt
    share = np.log(where[:, 0, 0] / flown[:, 0, 0])
    slope = (where[:, 0, 6:8] / where[:, :1, 0]).mean(axis=0)
    share_sd = math.sqrt(float(slope @ found.cov[:2, :2] @ slope))
    good = (found.weight > BAD_WEIGHT * np.median(found.weight)) & seen[:, 0]
    gap = y[good, 0] - np.log(where[good, 0, 0])
    off = tuple(sorted(int(i) for i in rows[found.weight <= BAD_WEIGHT * np.median(found.weight)]))
    result = Level(
        Scale(math.exp(float(u[0])), math.exp(float(u[1]))),
        _factor(float(u[0]), float(sd[0])),
        _factor(float(u[1]), float(sd[1])),
        clubs,
        _factor(float(share.mean()), share_sd),
        len(rows),
        off,
        float(np.sqrt(np.mean(gap**2))) if len(gap) else None,
        bool(open_),
    )
    return _told(result, bool(seen[:, 1].any()))


def _told(found: Level, apex_seen: bool) -> Level:
    from dataclasses import replace

    from bagwright.flight.level_words import say

    return replace(found, words=say(found, apex_seen))
