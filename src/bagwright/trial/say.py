"""Numbers of a trial in plain language, in the user's units."""

from __future__ import annotations

from bagwright.estimate import Estimate, percent, probability_words
from bagwright.units import System, distance_unit


def distance(value_m: float, system: System, digits: int = 0) -> str:
    """Give a distance such as "7 yd" or "6 m"; the minus sign is a real one."""
    unit = distance_unit(system)
    text = f"{value_m / unit.factor:.{digits}f}"
    if float(text) == 0.0:
        text = text.lstrip("-")
    return f"{text.replace('-', '−')} {unit.name}"


def fine(value_m: float, system: System) -> str:
    """Give a small distance with one decimal below ten, so that a miss of 1.4 yd is not shown as 1."""
    digits = 1 if abs(value_m) / distance_unit(system).factor < 9.95 else 0
    return distance(value_m, system, digits)


def span(estimate: Estimate, system: System, digits: int = 0) -> str:
    """Give a 90 % range such as "−2 to +15 yd"."""
    unit = distance_unit(system)
    low, high = (f"{value / unit.factor:+.{digits}f}" for value in (estimate.low, estimate.high))
    return f"{_tidy(low)} to {_tidy(high)} {unit.name}"


def plain_span(estimate: Estimate, system: System) -> str:
    """Give a 90 % range of a distance from nought, such as "104 to 112 yd"."""
    unit = distance_unit(system)
    return f"{estimate.low / unit.factor:.0f} to {estimate.high / unit.factor:.0f} {unit.name}"


def share_span(estimate: Estimate) -> str:
    """Give a 90 % range of a share such as "4 to 21 %"."""
    return f"{100 * estimate.low:.0f} to {100 * estimate.high:.0f} %"


def sure(probability: float) -> str:
    """Give the word and the figure, never one without the other: "likely (83 %)"."""
    return f"{probability_words(probability)} ({percent(probability)})"


def odds(chance: float) -> str:
    """Give a chance as cases: "about 1 case in 8"."""
    if chance < 0.02:
        return "fewer than 1 case in 50"
    if chance > 0.45:
        return "about 1 case in 2"
    return f"about 1 case in {max(2, round(1.0 / chance))}"


def listed(names: tuple[str, ...] | list[str], last: str = "and") -> str:
    """Names in a row: "A", "A and B", "A, B and C"."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} {last} {names[-1]}"


def balls(count: int) -> str:
    """Such as "1 ball" or "6 balls"."""
    return f"{count} ball" if count == 1 else f"{count} balls"


def _tidy(signed: str) -> str:
    number = float(signed)
    if number == 0.0:
        return signed.lstrip("+-")
    return signed.replace("-", "−")
