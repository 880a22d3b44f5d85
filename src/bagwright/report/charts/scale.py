"""Round axis limits, worked out here so that two charts of the same numbers always agree."""

from __future__ import annotations

import math
from collections.abc import Iterable

_STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)


def nice_step(span: float, parts: int) -> float:
    """Give the round step (1, 2, 2.5 or 5 times a power of ten) that cuts `span` > 0 into at most `parts`."""
    raw = span / parts
    power = 10.0 ** math.floor(math.log10(raw))
    return next(power * step for step in _STEPS if power * step >= raw * (1 - 1e-9))


def limits(
    values: Iterable[float], *, parts: int = 4, at_least: float = 1.0, zero: bool = False
) -> tuple[float, float]:
    """Round lower and upper limit around `values`, spanning `at_least`.

    NaN is skipped; no values at all give (0, at_least).
    `zero` starts the axis at 0, for shares and widths.
    """
    known = [value for value in values if math.isfinite(value)]
    if not known:
        return 0.0, at_least
    low, high = (0.0 if zero else min(known)), max(known)
    if high - low < at_least:
        middle = (low + high) / 2
        low, high = (0.0, at_least) if zero else (middle - at_least / 2, middle + at_least / 2)
    step = nice_step(high - low, parts)
    return step * math.floor(low / step + 1e-9), step * math.ceil(high / step - 1e-9)
