"""From figures to a belief about launches: problems by club kind, their solutions, weights and 90 % ranges.

Known club: one problem. Unknown club: one for each kind, weighted by how well it explains what was seen
(evidence by Laplace's method; MacKay 2003, Information Theory, ch. 28).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from bagwright.estimate import Z90, Estimate
from bagwright.flight import _inverse_draws as draws
from bagwright.flight import _inverse_flight as rows_of
from bagwright.flight import _inverse_solve as solver
from bagwright.flight._inverse_law import law_with_slopes
from bagwright.flight.launch import BALL_MASS_KG, BALL_RADIUS_M
from bagwright.flight.prior import KINDS, Prior, doubt_of_law, kind_of_loft, prior
from bagwright.flight.seen import READINGS, Reading, Seen
from bagwright.units import RAD_S_PER_RPM, STANDARD_GRAVITY_MPS2

if TYPE_CHECKING:
    from bagwright.air import Air, Wind
    from bagwright.flight.launch import Scale

TOLERANCE_M = 1e-5
DRAW_TOLERANCE_M = 1e-3
STEPS = 60
DRAWS = 96
NORMAL_POINTS = 64
"""Points that stand for a normal range when kinds of club are mixed."""

LEVELLED_SHARE = 0.35
"""What a level from the player's own shots leaves of the law's doubt (judgement)."""

Ground = Callable[[float, float, float], Estimate]
"""How far a ball runs (m, with its band): landing speed m/s, angle of descent rad, landing spin rpm."""

ROW: dict[str, int] = {
    "carry_m": rows_of.CARRY, "total_m": solver.TOTAL, "apex_m": rows_of.APEX, "descent_rad": rows_of.DESCENT,
    "time_s": rows_of.TIME, "offline_m": rows_of.OFFLINE, "curve_m": rows_of.CURVE,
    "ball_speed_mps": solver.BALL_SPEED, "launch_rad": solver.LAUNCH, "spin_rpm": solver.SPIN,
    "direction_rad": solver.DIRECTION, "spin_axis_rad": solver.AXIS,
    "landing_speed_mps": rows_of.LANDING_SPEED, "landing_spin_rpm": rows_of.LN_LANDING_SPIN,
}  # fmt: skip
"""Where each figure stands among the rows of the solver."""

LAUNCH_VALUES = ("ball_speed_mps", "launch_rad", "spin_rpm", "direction_rad", "spin_axis_rad")
_LOGS = ("ball_speed_mps", "spin_rpm", "landing_spin_rpm")
_LENGTHS = ("carry_m", "total_m", "apex_m", "time_s", "descent_rad", "landing_speed_mps")


def inward(name: str, value: float) -> float:
    """A figure as the solver has it: speed and spin as logarithms (spin of rad/s)."""
    if name == "ball_speed_mps":
        return math.log(value)
    return math.log(value * RAD_S_PER_RPM) if name in _LOGS else value


def outward(name: str, value: float) -> float:
    """The reverse of `inward`."""
    if name == "ball_speed_mps":
        return math.exp(value)
    return math.exp(value) / RAD_S_PER_RPM if name in _LOGS else value


@dataclass(frozen=True, slots=True)
class Setting:
    """Where the shot was flown: ball, air and wind in the solver's terms, law, scale, ground, errors."""

    ball: tuple[float, float, float, float, float]
    air: tuple[float, float]
    wind: tuple[float, float, float, float]
    law: Any
    ln_scale: tuple[float, float]
    levelled: bool
    ground: Ground | None
    readings: Mapping[str, Reading]


@dataclass(frozen=True, slots=True)
class Problem:
    """One inverse problem, ready for the solver."""

    kind: str | None
    share: float
    mean: list[float]
    root: list[list[float]]
    seen: list[float]
    weight: list[float]
    at: Setting


@dataclass(frozen=True, slots=True)
class Solution:
    """The most probable launch of a problem: parameters, rows, undamped factor, cost, evidence."""

    theta: list[float]
    q: list[float]
    rows: list[list[float]]
    low: list[list[float]]
    cost: float
    ground_sd: float
    bend: tuple[float, ...]
    weight: list[float]
    log_evidence: float
    settled: bool


def setting(
    air: Air | None, wind: Wind | None, law: str, scale: Scale | None, ground: Ground | None,
    readings: Mapping[str, Reading] | None,
) -> Setting:  # fmt: skip
    """Collect where a shot was flown; standard air, calm and the law as published when not given."""
    from bagwright.air import STANDARD

    air = air if air is not None else STANDARD
    six, decay, decay_per_s = law_with_slopes(law)
    drag, lift = (float(scale.drag), float(scale.lift)) if scale is not None else (1.0, 1.0)
    return Setting(
        (BALL_MASS_KG, BALL_RADIUS_M, STANDARD_GRAVITY_MPS2, decay, decay_per_s),
        (air.density_kg_m3, air.viscosity_pa_s),
        wind_constants(wind),
        six,
        (math.log(max(drag, 1e-9)), math.log(max(lift, 1e-9))),
        (drag, lift) != (1.0, 1.0),
        ground,
        readings or {},
    )


def wind_constants(wind: Wind | None) -> tuple[float, float, float, float]:
    """Wind as the solver has it: x, y (m/s), roughness (m, 0 for uniform), reference height (m)."""
    if wind is None or wind.speed_mps == 0.0:
        return (0.0, 0.0, 0.0, 10.0)
    x, y = wind.components()
    return (x, y, wind.roughness_m if wind.profile == "log" else 0.0, wind.at_height_m)


def beliefs(seen: Seen) -> list[tuple[float, Prior]]:
    """What is believed beforehand: one prior for a known club, else one for each kind with its share."""
    kind = seen.club_kind
    if kind is None and seen.loft_rad is not None:
        kind = kind_of_loft(seen.loft_rad)
    if kind is not None:
        return [(1.0, prior(kind, seen.loft_rad, seen.club_speed_mps))]
    return [(k.weight, prior(name, None, seen.club_speed_mps)) for name, k in KINDS.items()]


def problem_of(figures: Mapping[str, float], share: float, before: Prior, at: Setting) -> Problem:
    """The inverse problem of one belief and the figures seen (in the solver's terms)."""
    ratio = BALL_RADIUS_M * math.exp(before.mean[2] - before.mean[0])
    doubt = doubt_of_law(ratio) * (LEVELLED_SHARE if at.levelled else 1.0)
    root = [[*row, 0.0, 0.0] for row in before.root]
    root += [[0.0] * 5 + [doubt, 0.0], [0.0] * 6 + [doubt]]
    seen, weight = [0.0] * solver.N_SEEN, [0.0] * solver.N_SEEN
    for name, value in figures.items():
        plain = outward(name, value)
        sd = at.readings.get(name, READINGS[name]).sd(plain)
        seen[ROW[name]] = value
        weight[ROW[name]] = 1.0 / (sd / plain if name in _LOGS else sd)
    return Problem(before.kind, share, [*before.mean, *at.ln_scale], root, seen, weight, at)


def solve(problem: Problem) -> Solution:
    """Search; with a ground, search again until the run that was assumed is the run at the answer."""
    at = problem.at
    bend: tuple[float, ...] = (0.0,) * 7
    weight = list(problem.weight)
    q, theta, work, small, rows, spare = solver.buffers()
    ground_sd = 0.0
    steps, cost = 0, 0.0
    if at.ground is not None:
        weight[solver.TOTAL] = 0.0
    for _ in range(6):
        steps, cost = solver.search(
            problem.mean, problem.root, problem.seen, weight, at.ball, at.air, at.wind, at.law, bend,
            TOLERANCE_M, STEPS, q, theta, work, small, rows, spare,
        )  # fmt: skip
        if at.ground is None:
            break
        before = rows[solver.TOTAL][0]
        bend, ground_sd = _run_near(at.ground, rows)
        if problem.weight[solver.TOTAL] > 0.0:
            weight[solver.TOTAL] = 1.0 / math.hypot(1.0 / problem.weight[solver.TOTAL], ground_sd)
        solver.look(theta, at.ball, at.air, at.wind, at.law, bend, 8, TOLERANCE_M, work, rows)
        if abs(rows[solver.TOTAL][0] - before) < 0.05:
            break
    low = [list(row) for row in small[7:14]]
    evidence = math.log(problem.share) - 0.5 * cost - sum(math.log(low[i][i]) for i in range(7))
    return Solution(
        list(theta),
        list(q),
        [list(row) for row in rows],
        low,
        cost,
        ground_sd,
        bend,
        weight,
        evidence,
        steps >= 0,
    )


def _run_near(ground: Ground, rows: list[list[float]]) -> tuple[tuple[float, ...], float]:
    """The run at this landing, its slopes, and its sd.

    Bounces come and go, so the run has no derivative; its slopes are taken over steps as wide as one bounce
    is fickle (5 % of speed, 1.5 degrees, 10 % of spin).
    """
    speed = max(rows[rows_of.LANDING_SPEED][0], 1.0)
    descent = min(max(rows[rows_of.DESCENT][0], math.radians(2.0)), math.radians(85.0))
    spin = rows[rows_of.LN_LANDING_SPIN][0]

    def run(v: float, d: float, w: float) -> float:
        return ground(v, d, math.exp(w) / RAD_S_PER_RPM).value

    here = ground(speed, descent, math.exp(spin) / RAD_S_PER_RPM)
    dv, dd, dw = 0.05 * speed, math.radians(1.5), 0.1
    by_speed = (run(speed + dv, descent, spin) - run(speed - dv, descent, spin)) / (2 * dv)
    by_descent = (run(speed, descent + dd, spin) - run(speed, descent - dd, spin)) / (2 * dd)
    by_spin = (run(speed, descent, spin + dw) - run(speed, descent, spin - dw)) / (2 * dw)
    sd = (here.high - here.low) / (2.0 * Z90)
    return (here.value, by_speed, by_descent, by_spin, speed, descent, spin), sd


def sd_of(name: str, problem: Problem, solution: Solution) -> float:
    """Standard deviation of a figure under the normal approximation, in the solver's terms."""
    row = solution.rows[ROW[name]]
    sd = math.sqrt(solver.spread_of(row, problem.root, solution.low, [0.0] * 7))
    return math.hypot(sd, solution.ground_sd) if name == "total_m" else sd


def normal_estimate(name: str, problem: Problem, solution: Solution) -> Estimate:
    """90 % range of one figure from the normal approximation, in the figure's own unit."""
    value = solution.rows[ROW[name]][0]
    sd = sd_of(name, problem, solution)
    return _estimate(name, value, value - Z90 * sd, value + Z90 * sd)


def _estimate(name: str, value: float, low: float, high: float) -> Estimate:
    low, high = min(low, value), max(high, value)
    if name in _LENGTHS:
        low = max(low, 0.0)
    return Estimate(outward(name, value), outward(name, low), outward(name, high))


def weights(solutions: list[Solution]) -> list[float]:
    """Probability of each problem, from its evidence."""
    top = max(s.log_evidence for s in solutions)
    raw = [math.exp(s.log_evidence - top) for s in solutions]
    return [w / sum(raw) for w in raw]


def ranges(names: list[str], problems: list[Problem], solutions: list[Solution]) -> dict[str, Estimate]:
    """90 % range of every figure; its value is that of the most probable launch."""
    chances = weights(solutions)
    best = chances.index(max(chances))
    curved = draws.curved_row(problems[best].weight)
    if len(problems) == 1 and curved == -2:
        return {name: normal_estimate(name, problems[0], solutions[0]) for name in names}
    points: dict[str, list[tuple[float, float]]] = {name: [] for name in names}
    for problem, solution, chance in zip(problems, solutions, chances, strict=True):
        if chance < 0.005:
            continue
        cloud = _cloud(problem, solution, curved, max(12, math.ceil(DRAWS * chance)), names)
        for name in names:
            points[name] += [(v, chance * w) for v, w in cloud[name]]
    found = {}
    for name in names:
        low, high = quantile(points[name], 0.05), quantile(points[name], 0.95)
        found[name] = _estimate(name, solutions[best].rows[ROW[name]][0], low, high)
    return found


def _cloud(
    problem: Problem, solution: Solution, curved: int, n: int, names: list[str]
) -> dict[str, list[tuple[float, float]]]:
    """Points (value, weight) that stand for the posterior of one problem; the weights add up to 1."""
    if curved == -2:
        z = _normal_points()
        return {
            name: [
                (solution.rows[ROW[name]][0] + sd_of(name, problem, solution) * p, 1.0 / len(z)) for p in z
            ]
            for name in names
        }
    at = problem.at
    _, theta, work, small, _, spare = solver.buffers()
    for i in range(7):
        small[7 + i] = list(solution.low[i])
    basis = [[0.0] * 7 for _ in range(7)]
    drawn = [[0.0] * solver.N_SEEN for _ in range(n)]
    log_weight = [0.0] * n
    draws.ridge(
        curved, problem.mean, problem.root, problem.seen, solution.weight, at.ball, at.air, at.wind, at.law,
        solution.bend, DRAW_TOLERANCE_M, fixed_points(n), list(solution.q), theta, work, small,
        solution.rows, spare, basis, drawn, log_weight,
    )  # fmt: skip
    top = max(log_weight)
    raw = [math.exp(v - top) for v in log_weight]
    total = sum(raw)
    extra = fixed_points(n, 1)
    return {
        name: [
            (d[ROW[name]] + (solution.ground_sd * e[0] if name == "total_m" else 0.0), w / total)
            for d, e, w in zip(drawn, extra, raw, strict=True)
        ]
        for name in names
    }


@cache
def fixed_points(n: int, shift: int = 0) -> list[list[float]]:
    """Fixed quasi-random standard normal points (n, 7).

    Additive recurrence with the generalised golden ratio: Roberts 2018, "The unreasonable effectiveness of
    quasirandom sequences" (a note, no journal), from memory.
    """
    from scipy.special import ndtri

    ratio = 2.0
    for _ in range(60):
        ratio = (1.0 + ratio) ** (1.0 / 8.0)
    steps = [ratio ** -(j + 1) for j in range(7)]
    return [[float(ndtri((0.5 + (i + 1 + 577 * shift) * a) % 1.0)) for a in steps] for i in range(n)]


@cache
def _normal_points() -> list[float]:
    from scipy.special import ndtri

    return [float(ndtri((i + 0.5) / NORMAL_POINTS)) for i in range(NORMAL_POINTS)]


def quantile(points: list[tuple[float, float]], share: float) -> float:
    """Quantile of weighted points, straight between their middles."""
    ordered = sorted(points)
    total = sum(w for _, w in ordered)
    below, last_v, last_p = 0.0, ordered[0][0], 0.0
    for value, weight in ordered:
        middle = (below + 0.5 * weight) / total
        below += weight
        if middle >= share:
            if middle == last_p:
                return value
            return last_v + (value - last_v) * (share - last_p) / (middle - last_p)
        last_v, last_p = value, middle
    return ordered[-1][0]
