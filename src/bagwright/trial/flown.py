"""The flight of a build's median solid strike: how it is struck, how it flies, lands, runs and holds a green.

The figures of all solid strikes with one build and swing are brought together: medians of what was measured
at the strike, and the player's own carry, height and descent as fitted. One inference finds the launch that
explains them together, with the doubt that published laws of drag and lift leave; what was not measured comes
out of it as inferred, with its wide range. Two factors on drag and lift then let the drawn flight end at the
player's own carry (and reach the measured height), so that no flight law sets anybody's distances.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from bagwright.errors import BagwrightError
from bagwright.estimate import Z90, Estimate
from bagwright.trial.said import Said
from bagwright.words import tell, term

if TYPE_CHECKING:
    from bagwright.air import Air
    from bagwright.bag.club import Club
    from bagwright.dispersion.fit import Dispersion, Dispersions
    from bagwright.flight.infer import Inferred
    from bagwright.flight.launch import Launch, Scale
    from bagwright.shots.record import ShotTable

STRIKE = ("ball_speed_mps", "launch_rad", "spin_rpm")
NAMES = {"ball_speed_mps": tell("ball speed"), "launch_rad": tell("launch"), "spin_rpm": tell("spin")}
PRIOR_BALLS = 4.0
"""Weight, in balls, of the usual spread against the spread seen."""
USUAL_SD = {"ball_speed_mps": (0.03, 0.0), "launch_rad": (0.0, math.radians(1.3)), "spin_rpm": (0.08, 0.0)}
"""Usual spread of solid strikes as share and as fixed part: working judgements."""
SHARED_ERROR = 0.5
"""Share of a unit's reading error that all its balls have in common, so that more balls do not shrink it:
a working judgement."""
MEDIAN_FACTOR = math.sqrt(math.pi / 2.0)
"""Standard error of a median over that of a mean, for normal errors."""
GREEN_DEPTH_M = 10.0
REMEMBERED = 256
"""Flights, and paths, that are kept: some fifteen bags."""
LAW_SPEED_SD_MPS = 0.45
LAW_DESCENT_SD_RAD = math.radians(0.6)
LAW_SPIN_SD = 0.04
"""How far published laws that are led to the same carry and height still differ at landing (sd): measured on
drives to wedges with four laws in turn as the truth (a test repeats it)."""


@dataclass(frozen=True, slots=True)
class Flown:
    """The flight of one build's median solid strike; every figure with its 90 % range.

    `inferred` names the figures of the strike that were not measured; `worked_out` those of "apex" and
    "descent" that follow from the flight law and were not measured. `run_m` is the run on a normal fairway.
    `holds_green` is the chance (0..1) that a ball that lands on a normal green stops within `green_depth_m`,
    from a firm green's (low) to a soft one's (high). `drag_factor` and `lift_factor` let the flight end
    at the player's own carry in `air`; `launch` is the likeliest strike, which is drawn. `doubt` says what
    does not fit together, "" if nothing.
    """

    n_shots: int
    ball_speed_mps: Estimate
    launch_rad: Estimate
    spin_rpm: Estimate
    inferred: tuple[str, ...]
    carry_m: Estimate
    apex_m: Estimate
    descent_rad: Estimate
    worked_out: tuple[str, ...]
    landing_speed_mps: Estimate
    landing_spin_rpm: Estimate
    run_m: Estimate
    holds_green: Estimate
    green_depth_m: float
    drag_factor: float
    lift_factor: float
    air_said: bool
    doubt: str
    air: Air
    launch: Launch


def flown(
    table: ShotTable, fits: Dispersions, key: tuple[str, str], club: Club | None, said: Said | None = None
) -> Flown | None:
    """Work out the flight of a build with a swing from its solid strikes; None where too little is known.

    Too little is known without a carry, and where nothing was measured beside it: no ball speed, launch,
    spin, height or descent. What the figures contradict is said in `doubt`, never smoothed over.
    """
    fit = fits.get(key)
    if fit is None or not fit.measured:
        return None
    said = said if said is not None else Said()
    visits = _visits(table, fit)
    strike = _medians(table, fits, fit, said)
    if not strike and fit.apex_m is None and fit.descent_rad is None:
        return None
    air, air_said = _air(visits, said)
    seen = _seen(fit, strike, table, fits, club)
    return _worked_out(
        _Figures(
            fit.n_shots, fit.carry_m, fit.apex_m, fit.descent_rad, tuple(strike.items()), tuple(seen.items()),
            air, air_said,
        )
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Figures:
    """All that a flight rests on: equal figures give the same flight to the last bit, so it is remembered."""

    n_shots: int
    carry_m: Estimate
    apex_m: Estimate | None
    descent_rad: Estimate | None
    strike: tuple[tuple[str, Estimate], ...]
    seen: tuple[tuple[str, Any], ...]
    air: Air
    air_said: bool


@lru_cache(maxsize=REMEMBERED)
def _worked_out(of: _Figures) -> Flown | None:
    strike = dict(of.strike)
    found = _inferred(of, strike)
    return _flown(of, found, strike) if found is not None else None


@lru_cache(maxsize=REMEMBERED)
def path_of(one: Flown) -> tuple[tuple[float, float], ...]:
    """Give the flight from the side: (distance, height) in metres, from strike to landing."""
    from bagwright.flight.fly import fly
    from bagwright.flight.launch import Scale

    drawn = fly(
        one.launch, one.air, scale=Scale(one.drag_factor, one.lift_factor), path=True, tolerance=_ROUGHLY
    )
    if drawn.path is None:
        raise ValueError("a path was asked for and there is none")
    along = (
        (float(x), float(y), float(z))
        for x, y, z in zip(drawn.path.x_m, drawn.path.y_m, drawn.path.z_m, strict=True)
    )
    return tuple((math.hypot(x, y), max(z, 0.0)) for x, y, z in along)


def _visits(table: ShotTable, fit: Dispersion) -> Counter[str]:
    column = table.text("visit")
    return Counter(column[int(i)] for i in fit.shot_indices)


def _air(visits: Counter[str], said: Said) -> tuple[Air, bool]:
    """Give the air of the visit with most of the balls, and whether somebody said what it was."""
    from bagwright.air import STANDARD

    for visit, _ in visits.most_common():
        if visit in said.air and visit not in said.adjusted:
            return said.air[visit], True
    return STANDARD, False


def _kind(club: Club | None) -> str | None:
    kind = club.kind if club is not None else None
    return kind if kind in ("driver", "wood", "hybrid", "iron", "wedge") else None


def _medians(table: ShotTable, fits: Dispersions, fit: Dispersion, said: Said) -> dict[str, Estimate]:
    """Medians of what was measured at the strike, solid balls only, with their ranges."""
    solid = fits.solid_probability
    visits = table.text("visit")
    rows = [int(i) for i in fit.shot_indices if solid[int(i)] >= 0.5]
    found = {}
    for name in STRIKE:
        column = table.measure(name)
        kept = [i for i in rows if name != "spin_rpm" or visits[i] not in said.spin_estimated]
        values = [float(column[i]) for i in kept if math.isfinite(column[i]) and column[i] > 0.0]
        if values:
            found[name] = median_with_range(values, USUAL_SD[name])
    return found


def median_with_range(values: Iterable[float], usual: tuple[float, float]) -> Estimate:
    """Median of solid strikes with its 90 % range.

    The spread is the median absolute deviation times 1.4826 (normal errors), brought together with the usual
    spread (share of the median, fixed part) that counts as PRIOR_BALLS balls; Student's t with those and the
    balls' own degrees of freedom.
    """
    from scipy.special import stdtrit

    ordered = sorted(values)
    n = len(ordered)
    middle = _middle(ordered)
    expected = usual[0] * abs(middle) + usual[1]
    seen = 1.4826 * _middle(sorted(abs(value - middle) for value in ordered))
    freedom = PRIOR_BALLS + n - 1
    variance = (PRIOR_BALLS * expected**2 + (n - 1) * seen**2) / freedom
    half = float(stdtrit(freedom, 0.95)) * MEDIAN_FACTOR * math.sqrt(variance / n)
    return Estimate(middle, middle - half, middle + half)


def _middle(ordered: list[float]) -> float:
    n = len(ordered)
    return ordered[n // 2] if n % 2 else 0.5 * (ordered[n // 2 - 1] + ordered[n // 2])


def _seen(
    fit: Dispersion, strike: Mapping[str, Estimate], table: ShotTable, fits: Dispersions, club: Club | None
) -> dict[str, Any]:
    """Give what the inference is told, by its names."""
    told: dict[str, Any] = {"carry_m": fit.carry_m.value}
    told |= {name: value.value for name, value in strike.items()}
    for name, value in (("apex_m", fit.apex_m), ("descent_rad", fit.descent_rad)):
        if value is not None:
            told[name] = value.value
    told["club_kind"] = _kind(club)
    if club is not None and club.loft_deg is not None and club.kind != "putter":
        told["loft_rad"] = math.radians(club.loft_deg)
    column, solid = table.measure("club_speed_mps"), fits.solid_probability
    speeds = [
        float(column[int(i)])
        for i in fit.shot_indices
        if math.isfinite(column[int(i)]) and solid[int(i)] >= 0.5
    ]
    if speeds:
        told["club_speed_mps"] = _middle(sorted(speeds))
    return told


def _inferred(of: _Figures, strike: Mapping[str, Estimate]) -> Inferred | None:
    """Infer the launch; None where the figures are not those of a golf shot."""
    from bagwright.flight.infer import infer
    from bagwright.flight.seen import READINGS, Reading, Seen

    ranges = {"carry_m": of.carry_m, **strike}
    ranges |= {n: v for n, v in (("apex_m", of.apex_m), ("descent_rad", of.descent_rad)) if v is not None}
    readings = {
        name: Reading(0.0, math.hypot(_sd(value), SHARED_ERROR * READINGS[name].sd(value.value)))
        for name, value in ranges.items()
    }
    try:
        return infer(Seen(**dict(of.seen)), air=of.air, readings=readings)
    except BagwrightError:
        return None


def _sd(estimate: Estimate) -> float:
    return (estimate.high - estimate.low) / (2.0 * Z90)


def _flown(of: _Figures, found: Inferred, strike: Mapping[str, Estimate]) -> Flown:
    from bagwright.flight.launch import Launch
    from bagwright.turf import run
    from bagwright.turf.hold import holds

    launch = Launch(found.ball_speed_mps.value, found.launch_rad.value, found.spin_rpm.value)
    apex = of.apex_m if of.apex_m is not None else found.apex_m
    landing = landing_of(found)
    descent = of.descent_rad if of.descent_rad is not None else landing[1]
    scale = level_to(launch, of.air, of.carry_m.value, found.apex_m.value)
    held = holds(*landing, depth_m=GREEN_DEPTH_M)
    green = Estimate(
        held.probability, min(held.if_firm, held.probability), max(held.if_soft, held.probability)
    )
    return Flown(
        n_shots=of.n_shots,
        ball_speed_mps=strike.get("ball_speed_mps", found.ball_speed_mps),
        launch_rad=strike.get("launch_rad", found.launch_rad),
        spin_rpm=strike.get("spin_rpm", found.spin_rpm),
        inferred=tuple(NAMES[name] for name in STRIKE if name not in strike),
        carry_m=of.carry_m,
        apex_m=apex,
        descent_rad=descent,
        worked_out=tuple(n for n, v in (("apex", of.apex_m), ("descent", of.descent_rad)) if v is None),
        landing_speed_mps=landing[0],
        landing_spin_rpm=landing[2],
        run_m=run(*landing).run_m,
        holds_green=green,
        green_depth_m=GREEN_DEPTH_M,
        drag_factor=float(scale.drag),
        lift_factor=float(scale.lift),
        air_said=of.air_said,
        doubt=_doubt(found),
        air=of.air,
        launch=launch,
    )


def landing_of(found: Inferred) -> tuple[Estimate, Estimate, Estimate]:
    """Speed (m/s), angle (rad) and spin (rpm) at landing, with what laws of one carry and height leave."""
    spin = found.landing_spin_rpm
    return (
        _widened(found.landing_speed_mps, LAW_SPEED_SD_MPS),
        _widened(found.descent_rad, LAW_DESCENT_SD_RAD),
        _widened(spin, LAW_SPIN_SD * spin.value),
    )


def _widened(estimate: Estimate, sd: float) -> Estimate:
    more = Z90 * sd
    return Estimate(
        estimate.value,
        estimate.value - math.hypot(estimate.value - estimate.low, more),
        estimate.value + math.hypot(estimate.high - estimate.value, more),
    )


def _doubt(found: Inferred) -> str:
    if not found.contradicts:
        return ""
    worst = (
        tell(", {figure} most of all", figure=term(found.worst.rpartition("_")[0].replace("_", " ")))
        if found.worst
        else ""
    )
    return tell(
        "the figures of its strikes contradict each other ({misfit_sd:.1f} sd{worst})",
        misfit_sd=found.misfit_sd,
        worst=worst,
    )


_ROUGHLY = 1e-6
_STEP = 0.05
_TRIES = 8
_NEAR_M = 0.005
_LIMITS = (math.log(0.4), math.log(2.5))


def level_to(launch: Launch, air: Air, carry_m: float, apex_m: float) -> Scale:
    """Find factors on drag and lift with which a launch carries and climbs as given, both in metres.

    Newton's method in the logarithms of both with the slopes at the start. The carry is met within 5 mm; the
    height as nearly as the factors' limits (0.4 to 2.5) allow. Raises MachineError where no flight ends.
    """
    from bagwright.flight.fly import fly
    from bagwright.flight.launch import Scale

    def flight(drag: float, lift: float) -> tuple[float, float]:
        one = fly(launch, air, scale=Scale(math.exp(drag), math.exp(lift)), tolerance=_ROUGHLY)
        return one.carry_m, one.apex_m

    drag = lift = 0.0
    here = flight(drag, lift)
    by_drag, by_lift = flight(_STEP, 0.0), flight(0.0, _STEP)
    a, b = (by_drag[0] - here[0]) / _STEP, (by_lift[0] - here[0]) / _STEP
    c, d = (by_drag[1] - here[1]) / _STEP, (by_lift[1] - here[1]) / _STEP
    det = a * d - b * c
    for _ in range(_TRIES):
        far, high = carry_m - here[0], apex_m - here[1]
        if abs(far) < _NEAR_M and abs(high) < 10 * _NEAR_M:
            break
        drag = _held(drag + (d * far - b * high) / det)
        lift = _held(lift + (a * high - c * far) / det)
        here = flight(drag, lift)
    return Scale(math.exp(drag), math.exp(lift))


def _held(value: float) -> float:
    return min(max(value, _LIMITS[0]), _LIMITS[1])
