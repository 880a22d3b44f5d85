"""Flight to launch: which strikes explain what was seen, each with its 90 % range.

The answer is the most probable launch (maximum a posteriori) with ranges from the curvature there (Laplace;
MacKay 2003, Information Theory, ch. 27): Gauss-Newton with exact derivatives of the flight. Beside the five
launch values two factors on drag and lift take part, as unsure as published laws are (see `prior`), so that
the law's doubt widens the ranges. What the figures do not fix stays as wide as it was believed beforehand,
and the answer says so. Figures that cannot belong to one shot are said to contradict each other.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from bagwright.errors import InputError
from bagwright.estimate import Estimate
from bagwright.flight import _inverse_flight as rows_of
from bagwright.flight import _inverse_solve as solver
from bagwright.flight._inverse_law import law_with_slopes
from bagwright.flight.prior import BALL_MASS_KG, BALL_RADIUS_M, Prior, doubt_of_law, prior
from bagwright.flight.seen import READINGS, RPM, Reading, Seen

if TYPE_CHECKING:
    from collections.abc import Mapping

    from bagwright.air import Air, Wind
    from bagwright.flight.launch import Scale

Z90 = 1.6448536269514722
GRAVITY_MPS2 = 9.80665
TOLERANCE_M = 1e-7
STEPS = 60

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
OPEN_SHARE = 0.80
"""A launch value is open when its range stays wider than this share of what was believed beforehand."""

CONTRADICTION_SD = 3.0


@dataclass(frozen=True, slots=True)
class Inferred:
    """Launch conditions that explain what was seen, and the flight that follows, each with its 90 % range.

    `fixed` and `open` name launch values that the figures do and do not fix; `misfit_sd` is how badly the
    figures (and the club) contradict each other, in standard deviations of a normal; `worst` the figure that
    fits worst when they contradict. `total_m` is None without a ground to run on.
    """

    ball_speed_mps: Estimate
    launch_rad: Estimate
    spin_rpm: Estimate
    direction_rad: Estimate
    spin_axis_rad: Estimate
    carry_m: Estimate
    total_m: Estimate | None
    apex_m: Estimate
    descent_rad: Estimate
    time_s: Estimate
    offline_m: Estimate
    curve_m: Estimate
    landing_speed_mps: Estimate
    landing_spin_rpm: Estimate
    before: dict[str, Estimate]
    fixed: tuple[str, ...]
    open: tuple[str, ...]
    misfit_sd: float
    contradicts: bool
    worst: str | None
    rest_says: Estimate | None
    seen: Seen
    law: str
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Problem:
    """One inverse problem, ready for the solver."""

    mean: list[float]
    root: list[list[float]]
    seen: list[float]
    weight: list[float]
    ball: tuple[float, float, float, float]
    air: tuple[float, float]
    wind: tuple[float, float, float, float]
    law: Callable[[float, float], tuple[float, ...]]
    ground: Ground | None
    ground_sd: float = 0.0


@dataclass(frozen=True, slots=True)
class _Solution:
    """The most probable launch of a problem: parameters, rows, undamped factor, cost."""

    theta: list[float]
    rows: list[list[float]]
    low: list[list[float]]
    cost: float
    ground_sd: float


def infer(
    seen: Seen,
    air: Air | None = None,
    wind: Wind | None = None,
    law: str = "D1",
    scale: Scale | None = None,
    ground: Ground | None = None,
    readings: Mapping[str, Reading] | None = None,
    units: str = "yards",
) -> Inferred:
    """Find the launch conditions that explain what was seen.

    seen: figures of one shot, at least one of them. air, wind: as flown; standard air and calm when not
    given. scale: the level of drag and lift from the player's own shots; with it the law's doubt shrinks to
    what a level leaves open. ground: run of the ball, needed when a total was seen. readings: error of each
    figure where it is known better than `seen.READINGS`. units: of the words only.

    Raises InputError for nothing seen, for a total without ground, and for figures that no golf shot has.
    Left-handers need nothing special: sides are right of the target line for everybody.
    """
    figures = _figures(seen)
    if not figures and seen.club_speed_mps is None:
        raise InputError(
            "nothing was seen of the shot.", "Give at least one figure, such as carry or ball speed."
        )
    if seen.total_m is not None and ground is None:
        raise InputError(f"a total of {seen.total_m:.1f} m says nothing without the ground.", "Say the turf.")
    before = prior(seen.club_kind, seen.loft_rad, seen.club_speed_mps)
    problem = _problem(figures, before, air, wind, law, scale, ground, readings or {})
    solution = _solve(problem)
    return _answer(seen, figures, before, problem, solution, law, units)


def _figures(seen: Seen) -> dict[str, float]:
    """The figures seen, by name, in the solver's terms (speed and spin as logarithms)."""
    return {name: _inward(name, value) for name in READINGS if (value := getattr(seen, name)) is not None}


def _inward(name: str, value: float) -> float:
    if name == "ball_speed_mps":
        return math.log(value)
    return math.log(value * RPM) if name == "spin_rpm" else value


def _sd_inward(name: str, value: float, reading: Reading) -> float:
    sd = reading.sd(value)
    return sd / value if name in ("ball_speed_mps", "spin_rpm") else sd


def _problem(
    figures: dict[str, float], before: Prior, air: Air | None, wind: Wind | None, law: str,
    scale: Scale | None, ground: Ground | None, readings: Mapping[str, Reading],
) -> _Problem:  # fmt: skip
    from bagwright.air import STANDARD

    air = air if air is not None else STANDARD
    six, decay = law_with_slopes(law)
    ratio = BALL_RADIUS_M * math.exp(before.mean[2] - before.mean[0])
    doubt = doubt_of_law(ratio) * (LEVELLED_SHARE if _levelled(scale) else 1.0)
    mean = [*before.mean, math.log(scale.drag), math.log(scale.lift)] if scale else [*before.mean, 0.0, 0.0]
    root = [[*row, 0.0, 0.0] for row in before.root]
    root += [[0.0] * 5 + [doubt, 0.0], [0.0] * 6 + [doubt]]
    seen, weight = [0.0] * solver.N_SEEN, [0.0] * solver.N_SEEN
    for name, value in figures.items():
        plain = _outward(name, value)
        seen[ROW[name]] = value
        weight[ROW[name]] = 1.0 / _sd_inward(name, plain, readings.get(name, READINGS[name]))
    ball = (BALL_MASS_KG, BALL_RADIUS_M, GRAVITY_MPS2, decay)
    return _Problem(
        mean, root, seen, weight, ball, (air.density_kg_m3, air.viscosity_pa_s), _wind(wind), six, ground
    )  # fmt: skip


LEVELLED_SHARE = 0.35
"""What a level from the player's own shots leaves of the law's doubt (judgement)."""


def _levelled(scale: Scale | None) -> bool:
    return scale is not None and (scale.drag != 1.0 or scale.lift != 1.0)


def _wind(wind: Wind | None) -> tuple[float, float, float, float]:
    if wind is None or wind.speed_mps == 0.0:
        return (0.0, 0.0, 0.0, 10.0)
    x, y = wind.components()
    return (x, y, wind.roughness_m if wind.profile == "log" else 0.0, wind.at_height_m)


def _outward(name: str, value: float) -> float:
    if name in ("ball_speed_mps",):
        return math.exp(value)
    return math.exp(value) / RPM if name in ("spin_rpm", "landing_spin_rpm") else value


def _solve(problem: _Problem) -> _Solution:
    """Search; with a ground, search again until the run that was assumed is the run at the answer."""
    total = solver.TOTAL
    bend: tuple[float, ...] = (0.0,) * 7
    weight = list(problem.weight)
    q, theta, work, small, rows, spare = solver.buffers()
    passes = 6 if problem.ground is not None else 1
    ground_sd = 0.0
    for again in range(passes):
        if problem.ground is not None and again == 0:
            weight[total] = 0.0
        _, cost = solver.search(
            problem.mean, problem.root, problem.seen, weight, problem.ball, problem.air, problem.wind,
            problem.law, bend, TOLERANCE_M, STEPS, q, theta, work, small, rows, spare,
        )  # fmt: skip
        if problem.ground is None:
            break
        bend, ground_sd = _run_near(problem.ground, rows)
        if problem.weight[total] > 0.0:
            weight[total] = 1.0 / math.hypot(1.0 / problem.weight[total], ground_sd)
    low = [list(row) for row in small[7:14]]
    return _Solution(list(theta), [list(row) for row in rows], low, cost, ground_sd)


def _run_near(ground: Ground, rows: list[list[float]]) -> tuple[tuple[float, ...], float]:
    """The run at this landing, its slopes, and its sd; slopes over steps as wide as a bounce is fickle."""
    speed = max(rows[rows_of.LANDING_SPEED][0], 1.0)
    descent = min(max(rows[rows_of.DESCENT][0], math.radians(2.0)), math.radians(85.0))
    spin = rows[rows_of.LN_LANDING_SPIN][0]

    def run(v: float, d: float, w: float) -> Estimate:
        return ground(v, d, math.exp(w) / RPM)

    here = run(speed, descent, spin)
    dv, dd, dw = 0.05 * speed, math.radians(1.5), 0.1
    by_speed = (run(speed + dv, descent, spin).value - run(speed - dv, descent, spin).value) / (2 * dv)
    by_descent = (run(speed, descent + dd, spin).value - run(speed, descent - dd, spin).value) / (2 * dd)
    by_spin = (run(speed, descent, spin + dw).value - run(speed, descent, spin - dw).value) / (2 * dw)
    sd = (here.high - here.low) / (2.0 * Z90)
    return (here.value, by_speed, by_descent, by_spin, speed, descent, spin), sd


def _estimate(name: str, problem: _Problem, solution: _Solution) -> Estimate:
    """90 % range of one figure from the normal posterior, in the figure's own unit."""
    row = solution.rows[ROW[name]]
    sd = math.sqrt(solver.spread_of(row, problem.root, solution.low, [0.0] * 7))
    if name == "total_m":
        sd = math.hypot(sd, solution.ground_sd)
    low, high = row[0] - Z90 * sd, row[0] + Z90 * sd
    if name in ("carry_m", "total_m", "apex_m", "time_s", "descent_rad", "landing_speed_mps"):
        low = max(low, 0.0)
    return Estimate(_outward(name, row[0]), _outward(name, low), _outward(name, high))


def _believed(name: str, before: Prior) -> Estimate:
    i = LAUNCH_VALUES.index(name)
    sd = before.sd()[i]
    m = before.mean[i]
    return Estimate(_outward(name, m), _outward(name, m - Z90 * sd), _outward(name, m + Z90 * sd))


def _answer(
    seen: Seen, figures: dict[str, float], before: Prior, problem: _Problem, solution: _Solution,
    law: str, units: str,
) -> Inferred:  # fmt: skip
    from bagwright.flight.infer_words import say

    names = [n for n in ROW if n != "total_m" or problem.ground is not None]
    found = {name: _estimate(name, problem, solution) for name in names}
    sds = before.sd()
    is_open = []
    for i, name in enumerate(LAUNCH_VALUES):
        row = solution.rows[ROW[name]]
        share = math.sqrt(solver.spread_of(row, problem.root, solution.low, [0.0] * 7)) / sds[i]
        if share > OPEN_SHARE:
            is_open.append(name)
    fixed = tuple(n for n in LAUNCH_VALUES if n not in is_open)
    misfit = misfit_sd(solution.cost, len(figures))
    contradicts = misfit > CONTRADICTION_SD
    worst = _worst(figures, problem, solution) if contradicts else None
    rest = _rest_says(worst, problem) if worst is not None and len(figures) > 1 else None
    answer = Inferred(
        **{"total_m": None, **found},  # type: ignore[arg-type]
        before={n: _believed(n, before) for n in LAUNCH_VALUES}, fixed=fixed, open=tuple(is_open),
        misfit_sd=misfit, contradicts=contradicts, worst=worst, rest_says=rest, seen=seen, law=law, words=(),
    )  # fmt: skip
    return replace(answer, words=say(answer, before.words, units))


def misfit_sd(cost: float, n_figures: int) -> float:
    """How unusual the misfit is, as standard deviations of a normal: the chi-square tail turned into a z.

    The cost at the most probable launch is chi-square with as many degrees as there are figures when prior
    and errors hold (linear case; Box 1980, J. R. Stat. Soc. A 143:383). 0 when nothing is unusual; capped
    at 38.
    """
    from scipy.special import chdtrc, ndtri

    if n_figures == 0:
        return 0.0
    tail = float(chdtrc(n_figures, cost))
    if tail <= 0.0:
        return 38.0
    return max(0.0, float(-ndtri(tail / 2.0)) if tail < 1.0 else 0.0)


def _worst(figures: dict[str, float], problem: _Problem, solution: _Solution) -> str:
    """The figure farthest from what all others say, in its own standard deviations (deletion residual)."""

    def off(name: str) -> float:
        i = ROW[name]
        w = problem.weight[i]
        held = w * w * solver.spread_of(solution.rows[i], problem.root, solution.low, [0.0] * 7)
        return abs(problem.seen[i] - solution.rows[i][0]) * w / math.sqrt(max(1.0 - held, 1e-9))

    return max(figures, key=off)


def _rest_says(worst: str, problem: _Problem) -> Estimate:
    """What the other figures say of the worst one."""
    weight = list(problem.weight)
    weight[ROW[worst]] = 0.0
    rest = replace(problem, weight=weight)
    return _estimate(worst, rest, _solve(rest))
