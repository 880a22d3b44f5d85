"""A finding: what was found, about which clubs, how sure, and what to do next, in either system of units."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from bagwright.estimate import Estimate, percent, probability_words
from bagwright.units import System, distance_unit
from bagwright.words import figure, join, tell


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
            return tell(
                "{plain} {unit} (90 % range {low} to {high})",
                plain=self._plain(shown.value),
                unit=unit.name,
                low=low,
                high=high,
            )
        return tell("{plain} {unit}", plain=self._plain(self.value_m / unit.factor), unit=unit.name)

    def _plain(self, value: float) -> str:
        text = f"{value:.{self.digits}f}"
        return "0" if float(text) == 0.0 else figure(text.replace("-", "−"))


@dataclass(frozen=True, slots=True)
class Phrase:
    """A sentence with distances in it: a template of ours and its values. Made by `phrase`."""

    template: str
    values: Mapping[str, object]

    def say(self, system: System) -> str:
        """Write it with every distance in the user's unit."""
        told = {
            name: value.say(system) if isinstance(value, Distance) else value
            for name, value in self.values.items()
        }
        return tell(self.template, **told)


def phrase(template: str, /, **values: object) -> Phrase:
    """Make a sentence from a template and values; a `Distance` is written in the user's unit."""
    return Phrase(template, values)


Sentence = tuple[str | Distance | Phrase, ...]


def say(sentence: Sentence, system: System = "yards") -> str:
    """Write a sentence with every distance in the user's unit."""
    return join("", (part if isinstance(part, str) else part.say(system) for part in sentence))


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding; make it with `make_finding`.

    `kind` is a fixed word to sort by; `words` say it, `next_step` what to do about it ("" for nothing), both
    with yards until `in_system("metres")`; `probability` (0..1) that it holds, None where none was estimated.
    For limits of the Rules: `item`, the `value` found, the `limit` and its `source`, which says if it was
    read in its source or written from memory.
    """

    kind: str
    clubs: tuple[str, ...]
    words: str
    next_step: str = ""
    probability: float | None = None
    item: str = ""
    value: str = ""
    limit: str = ""
    source: str = ""
    _sentence: Sentence = field(default=(), repr=False)
    _next: Sentence = field(default=(), repr=False)

    def in_system(self, system: System) -> Finding:
        """Give the same finding with its distances in the user's units."""
        words = say(self._sentence, system) + _how_sure(self.probability)
        return replace(self, words=words, next_step=say(self._next, system))


def make_finding(
    kind: str,
    clubs: tuple[str, ...],
    sentence: Sentence,
    next_sentence: Sentence = (),
    probability: float | None = None,
    item: str = "",
    value: str = "",
    limit: str = "",
    source: str = "",
) -> Finding:
    """Make a finding from its sentences; the probability is put into words and figures behind the first."""
    bare = Finding(kind, clubs, "", "", probability, item, value, limit, source, sentence, next_sentence)
    return bare.in_system("yards")


def _how_sure(probability: float | None) -> str:
    if probability is None:
        return ""
    return tell(
        " {capitalize}: {percent}.",
        capitalize=probability_words(probability).capitalize(),
        percent=percent(probability),
    )
