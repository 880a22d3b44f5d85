"""Numbers of a trial in plain language, in the user's units."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from bagwright.estimate import Estimate, percent, probability_words
from bagwright.units import System, distance_unit
from bagwright.words import figure, join, tell, tell_n


def distance(value_m: float, system: System, digits: int = 0) -> str:
    """Give a distance such as "7 yd" or "6 m"; the minus sign is a real one."""
    unit = distance_unit(system)
    text = f"{value_m / unit.factor:.{digits}f}"
    if float(text) == 0.0:
        text = text.lstrip("-")
    return tell("{text} {unit}", text=figure(text.replace("-", "−")), unit=unit.name)


def fine(value_m: float, system: System) -> str:
    """Give a small distance with one decimal below ten, so that a miss of 1.4 yd is not shown as 1."""
    digits = 1 if abs(value_m) / distance_unit(system).factor < 9.95 else 0
    return distance(value_m, system, digits)


def span(estimate: Estimate, system: System, digits: int = 0) -> str:
    """Give a 90 % range such as "−2 to +15 yd"."""
    unit = distance_unit(system)
    low, high = ends(estimate, system, digits)
    return tell("{low} to {high} {unit}", low=low, high=high, unit=unit.name)


def ends(estimate: Estimate, system: System, digits: int = 0) -> tuple[str, str]:
    """Give the ends of a 90 % range in the user's unit, with their signs."""
    unit = distance_unit(system)
    low, high = (f"{value / unit.factor:+.{digits}f}" for value in (estimate.low, estimate.high))
    return _tidy(low), _tidy(high)


def plain_span(estimate: Estimate, system: System) -> str:
    """Give a 90 % range of a distance from nought, such as "104 to 112 yd"."""
    unit = distance_unit(system)
    return tell(
        "{low:.0f} to {high:.0f} {unit}",
        low=estimate.low / unit.factor,
        high=estimate.high / unit.factor,
        unit=unit.name,
    )


def share_span(estimate: Estimate) -> str:
    """Give a 90 % range of a share such as "4 to 21 %"."""
    return tell(
        "{low:.0f} to {high:.0f} %",
        low=100 * estimate.low,
        high=100 * estimate.high,
    )


def sure(probability: float) -> str:
    """Give the word and the figure, never one without the other: "likely (83 %)"."""
    return tell(
        "{word} ({percent})",
        word=probability_words(probability),
        percent=percent(probability),
    )


def odds(chance: float) -> str:
    """Give a chance as cases: "about 1 case in 8"."""
    if chance < 0.02:
        return tell("fewer than 1 case in 50")
    if chance > 0.45:
        return tell("about 1 case in 2")
    return tell("about 1 case in {cases}", cases=max(2, round(1.0 / chance)))


def listed(names: Sequence[str], last: Literal["and", "or"] = "and") -> str:
    """Names in a row: "A", "A and B", "A, B and C"."""
    if len(names) < 2:
        return join("", names)
    both = {"names": join(", ", names[:-1]), "last": names[-1]}
    return tell("{names} or {last}", **both) if last == "or" else tell("{names} and {last}", **both)


def balls(count: int) -> str:
    """Such as "1 ball" or "6 balls"."""
    return tell_n("{n} ball", "{n} balls", count)


def _tidy(signed: str) -> str:
    number = float(signed)
    if number == 0.0:
        return figure(signed.lstrip("+-"))
    return figure(signed.replace("-", "−"))
