"""A number and how sure we are of it, in figures and in words."""

from __future__ import annotations

from dataclasses import dataclass

from bagwright.words import tell

LEVEL = 0.90
"""Share of cases that a range is meant to hold: every range in the program is a 90 % range."""

Z90 = 1.6448536269514722
"""Half the width of a normal's 90 % range in standard deviations: the normal's 95 % quantile."""

_WORDS = (
    (0.60, tell("cannot tell")),
    (0.75, tell("slight lean")),
    (0.90, tell("likely")),
    (0.97, tell("very likely")),
)


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value with its 90 % range, all three in the unit that the field's name carries."""

    value: float
    low: float
    high: float

    def scaled(self, factor: float) -> Estimate:
        """Return the same estimate in a unit `factor` times smaller (factor > 0)."""
        return Estimate(self.value * factor, self.low * factor, self.high * factor)

    def shifted(self, by: float) -> Estimate:
        """Return the same estimate with `by` added to all three numbers."""
        return Estimate(self.value + by, self.low + by, self.high + by)


def probability_words(probability: float) -> str:
    """Words that go beside a probability (0..1) of the favoured side; never used without the figure.

    Dual words and figures after Budescu et al. (2012); the bands are the project's own.
    """
    if not 0.0 <= probability <= 1.0:
        raise ValueError(f"a probability lies between 0 and 1, but got {probability}")
    for limit, words in _WORDS:
        if probability < limit:
            return words
    return tell("almost certain") if probability > 0.97 else tell("very likely")


def percent(probability: float) -> str:
    """Return a probability as shown to people: whole percent, capped at ">97 %" and "<3 %"."""
    if probability > 0.97:
        return ">97 %"
    if probability < 0.03:
        return "<3 %"
    return tell("{probability:.0f} %", probability=100 * probability)
