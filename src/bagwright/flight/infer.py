"""Flight to launch: which strikes explain what was seen, each with its 90 % range.

The answer is the most probable launch (maximum a posteriori, Gauss-Newton with exact derivatives of the
flight) with ranges from the curvature there (Laplace; MacKay 2003, Information Theory, ch. 27), or from
weighted draws where a single figure of the flight leaves a curved ridge of launches. Beside the five launch
values two factors on drag and lift take part, as unsure as published laws are (see `prior`), so that the
law's doubt widens the ranges. What the figures do not fix stays as wide as it was believed beforehand, and
the answer says so. Figures that cannot belong to one shot are said to contradict each other.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from bagwright.errors import InputError
from bagwright.estimate import Estimate
from bagwright.flight import posterior
from bagwright.flight.posterior import (
    LAUNCH_VALUES,
    ROW,
    Ground,
    Problem,
    Solution,
    inward,
    normal_estimate,
    outward,
    quantile,
)
from bagwright.flight.seen import READINGS, Reading, Seen

if TYPE_CHECKING:
    from bagwright.air import Air, Wind
    from bagwright.flight.launch import Launch, Scale
    from bagwright.flight.prior import Prior

OPEN_SHARE = 0.80
"""A launch value is open when its range stays wider than this share of what was believed beforehand."""

CONTRADICTION_SD = 3.0


@dataclass(frozen=True, slots=True)
class Inferred:
    """Launch conditions that explain what was seen, and the flight that follows, each with its 90 % range.

    `before` is what was believed of the launch values beforehand; `fixed` and `open` name those that the
    figures do and do not fix. `kinds` are the chances of the kinds of club. `misfit_sd` is how badly the
    figures (and the club) contradict each other, in standard deviations of a normal; when they
    `contradict`, `worst` is the figure that fits worst and `rest_says` what the others make of it.
    `total_m` is None without a ground. `scale`
    are the factors on drag and lift that go with the most probable launch: `fly(x.launch(), scale=x.scale)`
    gives the values here.
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
    before: Mapping[str, Estimate]
    kinds: Mapping[str, float]
    fixed: tuple[str, ...]
    open: tuple[str, ...]
    misfit_sd: float
    contradicts: bool
    worst: str | None
    rest_says: Estimate | None
    scale: Scale
    seen: Seen
    law: str
    words: tuple[str, ...]

    def launch(self) -> Launch:
        """The most probable launch. Raises InputError when the figures lead to none that can be flown."""
        from bagwright.flight.launch import Launch

        return Launch(*(getattr(self, name).value for name in LAUNCH_VALUES))


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
    figure where it is known better than `seen.READINGS`. units: "yards" or "metres", for the words only.

    Raises InputError for nothing seen, for a total without ground, and for figures that no golf shot has.
    Left-handers need nothing special: sides are right of the target line for everybody.
    """
    figures = {n: inward(n, v) for n in READINGS if (v := getattr(seen, n)) is not None}
    if not figures and seen.club_speed_mps is None:
        raise InputError(
            "nothing was seen of the shot.", "Give at least one figure, such as carry or ball speed."
        )
    if seen.total_m is not None and ground is None:
        raise InputError(f"a total of {seen.total_m:.1f} m says nothing without the ground.", "Say the turf.")
    at = posterior.setting(air, wind, law, scale, ground, readings)
    believed = posterior.beliefs(seen)
    problems = [posterior.problem_of(figures, share, before, at) for share, before in believed]
    solutions = [posterior.solve(problem) for problem in problems]
    return _answer(seen, figures, believed, problems, solutions, law, units)


def _answer(
    seen: Seen, figures: dict[str, float], believed: list[tuple[float, Prior]], problems: list[Problem],
    solutions: list[Solution], law: str, units: str,
) -> Inferred:  # fmt: skip
    from bagwright.flight.infer_words import say
    from bagwright.flight.launch import Scale

    ground = problems[0].at.ground
    names = [n for n in ROW if n != "total_m" or ground is not None]
    found = posterior.ranges(names, problems, solutions)
    before = {name: _beforehand(name, believed) for name in LAUNCH_VALUES}
    is_open = tuple(n for n in LAUNCH_VALUES if _width(n, found[n]) > OPEN_SHARE * _width(n, before[n]))
    chances = posterior.weights(solutions)
    best = chances.index(max(chances))
    problem, solution = problems[best], solutions[best]
    misfit = misfit_sd(solution.cost, len(figures))
    contradicts = misfit > CONTRADICTION_SD
    worst, rest = _worst(figures, problem) if contradicts else (None, None)
    answer = Inferred(
        **{"total_m": None, **found},  # type: ignore[arg-type]
        before=before,
        kinds={p.kind: c for p, c in zip(problems, chances, strict=True) if p.kind is not None},
        fixed=tuple(n for n in LAUNCH_VALUES if n not in is_open),
        open=is_open,
        misfit_sd=misfit,
        contradicts=contradicts,
        worst=worst,
        rest_says=rest,
        scale=Scale(math.exp(solution.theta[5]), math.exp(solution.theta[6])),
        seen=seen,
        law=law,
        words=(),
    )
    return replace(answer, words=say(answer, believed[0][1].words if len(believed) == 1 else None, units))


def _width(name: str, range_: Estimate) -> float:
    return inward(name, range_.high) - inward(name, range_.low)


def _beforehand(name: str, believed: list[tuple[float, Prior]]) -> Estimate:
    """What was believed of a launch value before the figures: 90 % range over the kinds."""
    i = LAUNCH_VALUES.index(name)
    points = [
        (mean + sd * z, share)
        for share, mean, sd in [(share, before.mean[i], before.sd()[i]) for share, before in believed]
        for z in posterior._normal_points()
    ]
    return Estimate(*(outward(name, quantile(points, share)) for share in (0.5, 0.05, 0.95)))


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
    return 38.0 if tail <= 0.0 else max(0.0, float(-ndtri(tail / 2.0)))


def _worst(figures: Mapping[str, float], problem: Problem) -> tuple[str | None, Estimate | None]:
    """The figure without which the others fit best, and what they say of it; None where there is only one."""
    if len(figures) < 2:
        return next(iter(figures), None), None
    left = {name: _without(name, problem) for name in figures}
    solved = {name: posterior.solve(rest) for name, rest in left.items()}
    worst = min(solved, key=lambda name: solved[name].cost)
    return worst, normal_estimate(worst, left[worst], solved[worst])


def _without(name: str, problem: Problem) -> Problem:
    weight = list(problem.weight)
    weight[ROW[name]] = 0.0
    return replace(problem, weight=weight)
