"""Flight to launch for many shots at once: the answers of `infer`, as arrays, on all cores."""

from __future__ import annotations

import math
import os
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from bagwright.errors import InputError
from bagwright.estimate import Z90
from bagwright.flight import _inverse_solve as solver
from bagwright.flight import posterior
from bagwright.flight.launch import BALL_RADIUS_M
from bagwright.flight.posterior import DRAWS, ROW, STEPS, fixed_points
from bagwright.flight.prior import KINDS, doubt_of_law, kind_of_loft, prior
from bagwright.flight.seen import RANGES, READINGS, Reading
from bagwright.units import RAD_S_PER_RPM

if TYPE_CHECKING:
    from bagwright.air import Air, Wind
    from bagwright.flight.launch import Scale

Floats = NDArray[np.float64]
SEARCH_TOLERANCE_M = 1e-6
CHUNK = 256
FIGURES = tuple(name for name in ROW if name != "total_m")
_LOGS = ("ball_speed_mps", "spin_rpm", "landing_spin_rpm")


@dataclass(frozen=True, slots=True, eq=False)
class InferredMany:
    """Launches that explain many shots: `value`, `low`, `high` by figure, arrays (n,) in the figure's unit.

    NaN where nothing was seen of a shot. `kind` is the most probable kind of club and `kind_chance` how
    probable; `misfit_sd` as in `Inferred`; `settled` is False where the search did not end cleanly.
    """

    value: Mapping[str, Floats]
    low: Mapping[str, Floats]
    high: Mapping[str, Floats]
    kind: NDArray[np.str_]
    kind_chance: Floats
    misfit_sd: Floats
    settled: NDArray[np.bool_]


def infer_many(
    columns: Mapping[str, Any],
    club_kind: str | Sequence[str | None] | None = None,
    air: Air | None = None,
    wind: Wind | None = None,
    scale: Scale | None = None,
    readings: Mapping[str, Reading] | None = None,
) -> InferredMany:
    """Find the launches that explain many shots under the default law.

    columns: figures by the names of `Seen`, each (n,), NaN where not seen; a total is not taken here
    (subtract a run first). club_kind: one for all or one a shot, None where unknown. scale may hold arrays
    (n,). Where the club is unknown, the range is that of a mix of normals, one for each kind.
    Raises InputError for unknown columns, columns of other lengths and figures that no golf shot has.
    """
    given = _checked(columns)
    n = len(next(iter(given.values())))
    kinds = _kinds(club_kind, given, n)
    at = posterior.setting(air, wind, "D1", None, None, readings)
    ln_scale = _ln_scale(scale, n)
    seen, weight = _figures(given, n, at.readings)
    some = (weight > 0.0).any(axis=1) | np.isfinite(given.get("club_speed_mps", np.full(n, np.nan)))
    answers = [_of_kind(k, kinds, some, given, seen, weight, ln_scale, scale is not None, at) for k in KINDS]
    return _mixed(n, answers, (weight > 0.0).sum(axis=1))


def _checked(columns: Mapping[str, Any]) -> dict[str, Floats]:
    given: dict[str, Floats] = {}
    for name, values in columns.items():
        if name not in RANGES or name == "total_m":
            known = ", ".join(k for k in RANGES if k != "total_m")
            raise InputError(f"infer_many: {str(name)[:40]!r} is not a figure it takes.", f"Known: {known}.")
        try:
            array = np.asarray(values, dtype=np.float64)
        except (TypeError, ValueError) as error:
            raise InputError(
                f"infer_many: {name} is not all numbers: {error}.", "Use NaN for missing."
            ) from error
        if array.ndim != 1:
            raise InputError(f"infer_many: {name} has {array.ndim} dimensions.", "Give one number a shot.")
        low, high, unit = RANGES[name]
        bad = np.flatnonzero(~(np.isnan(array) | ((array >= low) & (array <= high))))
        if len(bad):
            raise InputError(
                f"infer_many: {name}[{bad[0]}] is {array[bad[0]]:g} {unit}, outside {low:.4g} to {high:.4g}.",
                "Check the figure and its unit, or make it NaN.",
            )
        given[name] = array
    lengths = {len(a) for a in given.values()}
    if len(lengths) != 1:
        raise InputError(f"infer_many: columns of lengths {sorted(lengths)}.", "Give one length to all.")
    return given


def _kinds(club_kind: Any, given: Mapping[str, Floats], n: int) -> NDArray[Any]:
    """Kind of club of every shot, "" where unknown; a loft without kind chooses it."""
    if club_kind is None or isinstance(club_kind, str):
        kinds = np.array([club_kind or ""] * n, dtype=object)
    else:
        kinds = np.array([k or "" for k in club_kind], dtype=object)
    unknown = sorted({str(k) for k in kinds} - {"", *KINDS})
    if len(kinds) != n or unknown:
        what = (
            f"{len(kinds)} club kinds for {n} shots"
            if not unknown
            else f"club kind {unknown[0]!r} is not known"
        )
        raise InputError(f"infer_many: {what}.", f"Use one of {', '.join(KINDS)} a shot.")
    loft = given.get("loft_rad")
    if loft is not None:
        for i in np.flatnonzero((kinds == "") & np.isfinite(loft)):
            kinds[i] = kind_of_loft(float(loft[i]))
    return kinds


def _ln_scale(scale: Scale | None, n: int) -> Floats:
    if scale is None:
        return np.zeros((n, 2))
    drag, lift = (np.broadcast_to(np.asarray(v, dtype=np.float64), (n,)) for v in (scale.drag, scale.lift))
    return np.log(np.maximum(np.column_stack([drag, lift]), 1e-9))


def _figures(given: Mapping[str, Floats], n: int, readings: Mapping[str, Reading]) -> tuple[Floats, Floats]:
    """Figures and weights as the solver has them, (n, N_SEEN) each."""
    seen, weight = np.zeros((n, solver.N_SEEN)), np.zeros((n, solver.N_SEEN))
    for name, value in given.items():
        if name not in READINGS:
            continue
        reading = readings.get(name, READINGS[name])
        sd = reading.share * np.abs(value) + reading.fixed
        known = np.isfinite(value)
        if name in _LOGS:
            sd = sd / value
            value = np.log(value * (RAD_S_PER_RPM if name == "spin_rpm" else 1.0))
        seen[known, ROW[name]] = value[known]
        weight[known, ROW[name]] = 1.0 / sd[known]
    return seen, weight


@dataclass(frozen=True, slots=True, eq=False)
class _Part:
    """Answers under one kind of club for the shots `rows`."""

    kind: str
    rows: NDArray[np.int64]
    value: Floats
    low: Floats
    high: Floats
    cost: Floats
    log_evidence: Floats
    settled: NDArray[np.bool_]


def _of_kind(
    kind: str, kinds: NDArray[Any], some: NDArray[np.bool_], given: Mapping[str, Floats], seen: Floats,
    weight: Floats, ln_scale: Floats, levelled: bool, at: posterior.Setting,
) -> _Part:  # fmt: skip
    """Solve every shot that is, or may be, of this kind."""
    rows = np.flatnonzero(((kinds == kind) | (kinds == "")) & some)
    m = len(rows)
    mean, root = _beliefs(kind, rows, given, ln_scale, levelled)
    theta, value, low, high = np.zeros((m, 7)), *(np.zeros((m, solver.N_SEEN)) for _ in range(3))
    steps, cost, evidence = np.zeros(m, dtype=np.int64), np.zeros(m), np.zeros(m)
    if m:
        from bagwright.flight._inverse_many import compiled

        _, search = compiled()
        normals = np.array(fixed_points(DRAWS))
        air, wind = np.tile(at.air, (m, 1)), np.tile(at.wind, (m, 1))
        some_seen, some_weight = seen[rows], weight[rows]

        def run(a: int) -> None:
            c = slice(a, a + CHUNK)
            search(
                mean[c], root[c], some_seen[c], some_weight[c], at.ball, air[c], wind[c], SEARCH_TOLERANCE_M,
                STEPS, normals, theta[c], low[c], high[c], value[c], steps[c], cost[c], evidence[c],
            )  # fmt: skip

        with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
            list(pool.map(run, range(0, m, CHUNK)))
    share = np.where(kinds[rows] == "", KINDS[kind].weight, 1.0)
    return _Part(kind, rows, value, low, high, cost, np.log(share) + evidence, steps >= 0)


def _beliefs(
    kind: str, rows: NDArray[np.int64], given: Mapping[str, Floats], ln_scale: Floats, levelled: bool
) -> tuple[Floats, Floats]:
    """Mean (m, 7) and root (m, 7, 7) of what is believed of each shot."""
    none = np.full(len(ln_scale), np.nan)
    pairs = np.column_stack([given.get("loft_rad", none)[rows], given.get("club_speed_mps", none)[rows]])
    distinct, which = np.unique(pairs, axis=0, return_inverse=True)
    means, roots = np.zeros((len(distinct), 7)), np.zeros((len(distinct), 7, 7))
    for i, (loft, speed) in enumerate(distinct):
        one = prior(
            kind, None if math.isnan(loft) else float(loft), None if math.isnan(speed) else float(speed)
        )
        means[i, :5], roots[i, :5, :5] = one.mean, one.root
        doubt = doubt_of_law(BALL_RADIUS_M * math.exp(one.mean[2] - one.mean[0]))
        roots[i, 5, 5] = roots[i, 6, 6] = doubt
    mean, root = means[which.reshape(-1)], roots[which.reshape(-1)]
    mean[:, 5:] = ln_scale[rows]
    moved = (ln_scale[rows] != 0.0).any(axis=1) if levelled else np.zeros(len(rows), dtype=bool)
    root[moved, 5:, 5:] *= posterior.LEVELLED_SHARE
    return mean, root


def _mixed(n: int, parts: list[_Part], n_figures: NDArray[np.int64]) -> InferredMany:
    """Put the kinds together: the most probable one gives the values, the mix of normals the ranges."""
    evidence = np.full((len(parts), n), -np.inf)
    value, low, high = (np.full((len(parts), n, solver.N_SEEN), np.nan) for _ in range(3))
    cost, settled = np.zeros((len(parts), n)), np.zeros((len(parts), n), dtype=bool)
    for k, part in enumerate(parts):
        evidence[k, part.rows] = part.log_evidence
        value[k, part.rows], low[k, part.rows], high[k, part.rows] = part.value, part.low, part.high
        cost[k, part.rows], settled[k, part.rows] = part.cost, part.settled
    top = evidence.max(axis=0)
    known = np.isfinite(top)
    chance = np.where(known, np.exp(evidence - np.where(known, top, 0.0)), np.nan)
    chance /= chance.sum(axis=0)
    best = np.where(known, evidence.argmax(axis=0), 0)
    pick = np.arange(n)
    ends_low, ends_high = low[best, pick], high[best, pick]
    mixed = known & (np.isfinite(evidence).sum(axis=0) > 1)
    if mixed.any():
        ends_low[mixed] = _mix_quantile(chance[:, mixed], low[:, mixed], high[:, mixed], 0.05)
        ends_high[mixed] = _mix_quantile(chance[:, mixed], low[:, mixed], high[:, mixed], 0.95)
    top_value = value[best, pick]
    names = np.array([part.kind for part in parts])
    spent = np.where(known, cost[best, pick], np.nan)
    return InferredMany(
        _by_name(top_value),
        _by_name(np.fmin(ends_low, top_value)),
        _by_name(np.fmax(ends_high, top_value)),
        np.where(known, names[best], ""),
        np.where(known, chance[best, pick], np.nan),
        _misfits(spent, n_figures),
        settled[best, pick] & known,
    )


def _misfits(cost: Floats, n_figures: NDArray[np.int64]) -> Floats:
    """`infer.misfit_sd` for arrays."""
    from scipy.special import chdtrc, ndtri

    tail = chdtrc(np.maximum(n_figures, 1), cost)
    z = np.where(tail > 0.0, -ndtri(np.maximum(tail, 1e-320) / 2.0), 38.0)
    return np.asarray(np.where(n_figures > 0, np.maximum(z, 0.0), np.where(np.isnan(cost), np.nan, 0.0)))


def _mix_quantile(chance: Floats, low: Floats, high: Floats, share: float) -> Floats:
    """Quantile of a mix of normals given by chances (k, n) and 90 % ranges (k, n, m), by bisection."""
    from scipy.special import ndtr

    middle, sd = 0.5 * (low + high), np.maximum((high - low) / (2.0 * Z90), 1e-12)
    a, b = np.nanmin(low - 4.0 * sd, axis=0), np.nanmax(high + 4.0 * sd, axis=0)
    for _ in range(40):
        m = 0.5 * (a + b)
        below = np.nansum(chance[:, :, None] * ndtr((m - middle) / sd), axis=0) < share
        a, b = np.where(below, m, a), np.where(below, b, m)
    return np.asarray(0.5 * (a + b))


def _by_name(rows: Floats) -> dict[str, Floats]:
    found = {}
    for name in FIGURES:
        column = rows[:, ROW[name]]
        if name in _LOGS:
            column = np.exp(column) / (1.0 if name == "ball_speed_mps" else RAD_S_PER_RPM)
        found[name] = column
    return found
