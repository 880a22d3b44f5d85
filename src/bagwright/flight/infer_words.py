"""The answer of `infer` in words: what is fixed, what is open, what contradicts."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from bagwright.estimate import percent
from bagwright.units import M_PER_FT, M_PER_YD, MPS_PER_MPH

if TYPE_CHECKING:
    from bagwright.estimate import Estimate
    from bagwright.flight.infer import Inferred

NAMES = {
    "carry_m": "carry", "total_m": "total", "apex_m": "apex", "descent_rad": "landing angle", "time_s":
    "time", "offline_m": "side", "curve_m": "curve", "ball_speed_mps": "ball speed", "launch_rad": "launch",
    "spin_rpm": "spin", "direction_rad": "direction", "spin_axis_rad": "spin axis",
}  # fmt: skip


def figure(name: str, value: float, units: str) -> str:
    """One value with its unit."""
    number, unit = _in_unit(name, value, units)
    return f"{_digits(name, number)} {unit}"


def between(name: str, range_: Estimate, units: str) -> str:
    """A range with its unit, low to high."""
    low, unit = _in_unit(name, range_.low, units)
    high, _ = _in_unit(name, range_.high, units)
    return f"{_digits(name, low)} to {_digits(name, high)} {unit}"


def _in_unit(name: str, value: float, units: str) -> tuple[float, str]:
    yards = units == "yards"
    if name.endswith("_rad"):
        return math.degrees(value), "deg"
    if name == "spin_rpm":
        return value, "rpm"
    if name == "time_s":
        return value, "s"
    if name.endswith("_mps"):
        return (value / MPS_PER_MPH, "mph") if yards else (value, "m/s")
    if name == "apex_m":
        return (value / M_PER_FT, "ft") if yards else (value, "m")
    return (value / M_PER_YD, "yd") if yards else (value, "m")


def _digits(name: str, number: float) -> str:
    if name == "spin_rpm":
        return f"{round(number, -2 if number >= 1000 else -1):,.0f}"
    return f"{number:.1f}" if name.endswith(("_rad", "_s", "apex_m", "_mps")) else f"{number:.0f}"


def _list(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def say(answer: Inferred, before: str | None, units: str) -> tuple[str, ...]:
    """Sentences that go with the answer, the most important first."""
    seen = [n for n in NAMES if getattr(answer.seen, n) is not None]
    lines = _contradiction(answer, units) + _open(answer, [NAMES[n] for n in seen], units)
    lines.append(_before(answer, before))
    if answer.total_m is not None:
        lines.append("The run is a band, not a number: it hangs on the ground more than on the strike.")
    return tuple(lines)


def _contradiction(answer: Inferred, units: str) -> list[str]:
    if not answer.contradicts or answer.worst is None:
        return []
    name = answer.worst
    value = figure(name, getattr(answer.seen, name), units)
    if answer.rest_says is None:
        expected = "; no such club hits it so"
    else:
        expected = f"; from the others it would be {between(name, answer.rest_says, units)}"
    return [
        f"These figures contradict each other ({answer.misfit_sd:.1f} sd): {NAMES[name]} {value} fits worst"
        f"{expected}. Check it before using this answer."
    ]


def _open(answer: Inferred, seen: list[str], units: str) -> list[str]:
    alone = " alone" if len(seen) == 1 else ""
    by = _list(seen) if seen else "club speed"
    return [
        f"{NAMES[n]} is not fixed by {by}{alone}: {between(n, getattr(answer, n), units)}"
        for n in answer.open
    ]


def _before(answer: Inferred, before: str | None) -> str:
    if before is not None:
        return f"{before[0].upper()}{before[1:]}."
    likely = sorted(answer.kinds.items(), key=lambda pair: -pair[1])
    told = ", ".join(f"{kind} {percent(chance)}" for kind, chance in likely if chance >= 0.05)
    return f"The club was not said; by these figures: {told}. Naming the club narrows the ranges."
