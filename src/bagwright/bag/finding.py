"""A finding: what was found, about which clubs, how sure, and what to do next, in either system of units."""

from __future__ import annotations

from dataclasses import dataclass

from bagwright.estimate import Estimate, percent, probability_words
from bagwright.units import System, distance_unit


@dataclass(frozen=True, slots=True)
class Distance:
    """A distance inside a sentence, in metres, with its 90 % range where it is an estimate."""

    value_m: float | Estimate
    digits: int = 0

    def say(self, system: System) -> str:
        """Write the distance in the user's unit: "12 yd (90 % range 8 to 16)"."""
        unit = distance_unit(system)
        if isinstance(self.value_m, Estimate):
            shown = self.value_m.scaled(1.0 / unit.factor)
            low, high = self._plain(shown.low), self._plain(shown.high)
            return f"{self._plain(shown.value)} {unit.name} (90 % range {low} to {high})"
        return f"{self._plain(self.value_m / unit.factor)} {unit.name}"

    def _plain(self, value: float) -> str:
        text = f"{value:.{self.digits}f}"
        return "0" if float(text) == 0.0 else text.replace("-", "−")


Sentence = tuple[str | Distance, ...]


def say(sentence: Sentence, system: System = "yards") -> str:
    """Write a sentence with every distance in the user's unit."""
    return "".join(part if isinstance(part, str) else part.say(system) for part in sentence)


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding.

    `kind` is a fixed word to sort by; `probability` (0..1) that it holds, None where nothing was estimated.
    `next_step` is what to do about it, "" for nothing. For limits of the Rules: `item`, the `value` found,
    the `limit` and its `source`, which says whether it was read in its source or written from memory.
    """

    kind: str
    clubs: tuple[str, ...]
    sentence: Sentence
    next_sentence: Sentence = ()
    probability: float | None = None
    item: str = ""
    value: str = ""
    limit: str = ""
    source: str = ""

    @property
    def words(self) -> str:
        """The finding in yards; `say("metres")` has it in metres."""
        return self.say("yards")

    @property
    def next_step(self) -> str:
        """What to do about it, in yards."""
        return say(self.next_sentence)

    def say(self, system: System) -> str:
        """Write the finding in the user's units, with its probability in words and figures."""
        text = say(self.sentence, system)
        if self.probability is None:
            return text
        return f"{text} {probability_words(self.probability).capitalize()}: {percent(self.probability)}."

    def say_next(self, system: System) -> str:
        """Write the next step in the user's units."""
        return say(self.next_sentence, system)
