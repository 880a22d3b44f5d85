"""Numbers as people read them: in the reader's own units, each with its range or with how sure we are."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from bagwright.estimate import Estimate, percent, probability_words
from bagwright.units import M_PER_IN, RAD_PER_DEG, System, distance_unit, height_unit, speed_unit, spoken
from bagwright.words import figure, join, plain, tell, tell_n, template_n

if TYPE_CHECKING:
    from bagwright.distances.table import Step

NB = "\u00a0"
MINUS = "−"
NONE = "–"
"""Stands where something was not measured."""


def number(value: float, digits: int = 0) -> str:
    """Give a number with a true minus sign and never "-0": 112, −0.6."""
    text = f"{value:.{digits}f}"
    if float(text) == 0.0:
        text = text.lstrip("-")
    return figure(text.replace("-", MINUS))


def sure(probability: float) -> str:
    """Words and figure of a probability (0..1): "likely (83 %)"."""
    return tell(
        "{word} ({chance})",
        word=probability_words(probability),
        chance=chance(probability),
    )


def chance(probability: float) -> str:
    """Give a probability (0..1) in figures that do not break over two lines."""
    return percent(probability).replace(" ", NB)


def step_said(step: Step) -> str:
    """A step's word with how sure it is: "gap, likely (83 %)", "wide, a gap 31 %"; an even one is even."""
    if step.word == "wide":
        return tell("wide, a gap {chance}", chance=chance(step.p_gap))
    if step.word == "narrow":
        return tell("narrow, an overlap {chance}", chance=chance(step.p_overlap))
    if step.word == "even":
        return step.word
    how_sure = sure(step.p_gap if step.word == "gap" else step.p_overlap)
    return tell("{word}, {sure}", word=step.word, sure=how_sure)


def usual_side(right_probability: float | None) -> str:
    """Which side balls usually finish on, with how sure: "left 84 %", or "either side"."""
    if right_probability is None or math.isnan(right_probability):
        return NONE
    favoured = max(right_probability, 1.0 - right_probability)
    if favoured < 0.60:
        return tell("either side")
    return tell(
        "{value}\u00a0{chance}",
        value=tell("right") if right_probability > 0.5 else tell("left"),
        chance=chance(favoured),
    )


def joined(words: list[str] | tuple[str, ...]) -> str:
    """Give a list in a sentence: "A", "A and B", "A, B and C"."""
    if len(words) < 2:
        return join("", words)
    return tell("{names} and {last}", names=join(", ", words[:-1]), last=words[-1])


_COUNTED = {
    "ball": template_n("{n}\u00a0ball", "{n}\u00a0balls"),
    "more ball": template_n("{n}\u00a0more ball", "{n}\u00a0more balls"),
    "club": template_n("{n}\u00a0club", "{n}\u00a0clubs"),
    "mishit": template_n("{n}\u00a0mishit", "{n}\u00a0mishits"),
    "other bag": template_n("{n}\u00a0other bag", "{n}\u00a0other bags"),
}


def counted(n: int, one: str) -> str:
    """Give a count with its noun: "1 ball", "12 balls"."""
    return tell_n(*_COUNTED[one], n)


def one_in(probability: float) -> str:
    """Give a small chance as a share of cases: "about 1 case in 8"; larger ones in tenths."""
    if probability < 0.01:
        return tell("fewer than 1 case in 100")
    if probability <= 0.35:
        return tell("about 1 case in {n}", n=round(1.0 / probability))
    return tell("about {n} cases in 10", n=round(10 * probability))


@dataclass(frozen=True)
class Show:
    """Prints metres and radians in one system: yards and feet, or metres."""

    system: System

    @cached_property
    def unit(self) -> str:
        """The short name of the unit of distance: "yd" or "m"."""
        return distance_unit(self.system).name

    @cached_property
    def unit_word(self) -> str:
        """The unit of distance in full: "yards" or "metres"."""
        return tell("yards") if self.system == "yards" else tell("metres")

    @cached_property
    def per_unit_m(self) -> float:
        """Metres in one unit of distance."""
        return distance_unit(self.system).factor

    def inside(self, metres: float) -> float:
        """Give a distance in the reader's unit."""
        return metres / self.per_unit_m

    def scaled(self, estimate: Estimate) -> Estimate:
        """Give an estimate in metres, in the reader's unit."""
        return estimate.scaled(1.0 / self.per_unit_m)

    def bare(self, metres: float, digits: int = 0) -> str:
        """Give a distance without its unit."""
        return number(self.inside(metres), digits)

    def distance(self, metres: float, digits: int = 0) -> str:
        """Give a distance with its unit: "112 yd"."""
        return tell("{bare}\u00a0{unit}", bare=self.bare(metres, digits), unit=self.unit)

    def ranged(self, estimate: Estimate | None, digits: int = 0) -> str:
        """Give a distance with its 90 % range and no unit: "112 (108 to 116)"."""
        if estimate is None:
            return NONE
        return spanned(self.scaled(estimate), digits)

    def distance_ranged(self, estimate: Estimate | None, digits: int = 0) -> str:
        """Give a distance with unit and 90 % range: "112 yd (108 to 116)"."""
        if estimate is None:
            return NONE
        shown = self.scaled(estimate)
        return tell(
            "{number}\u00a0{unit} ({low}\u00a0to\u00a0{high})",
            number=number(shown.value, digits),
            unit=self.unit,
            low=number(shown.low, digits),
            high=number(shown.high, digits),
        )

    def plus_minus(self, estimate: Estimate | None) -> str:
        """Give a distance with the half width of its 90 % range: "112 ±4", for where there is little room."""
        if estimate is None:
            return NONE
        shown = self.scaled(estimate)
        half = max(shown.high - shown.value, shown.value - shown.low)
        return tell(
            "{number}\u00a0±{value}", number=number(shown.value), value=max(1, math.ceil(half - 1e-09))
        )

    def side(self, estimate: Estimate | None) -> str:
        """Give a side with its range in words: "3 left (7 left to 1 right)"."""
        if estimate is None:
            return NONE
        shown = self.scaled(estimate)
        return tell(
            "{sided} ({sided_2} to {sided_3})",
            sided=sided(shown.value),
            sided_2=sided(shown.low),
            sided_3=sided(shown.high),
        )

    def height(self, estimate: Estimate | None) -> str:
        """Give a height of flight with its range: "72 ft (66 to 79)"."""
        if estimate is None:
            return NONE
        unit = height_unit(self.system)
        shown = estimate.scaled(1.0 / unit.factor)
        return tell(
            "{number}\u00a0{unit} ({low}\u00a0to\u00a0{high})",
            number=number(shown.value),
            unit=unit.name,
            low=number(shown.low),
            high=number(shown.high),
        )

    def speed(self, estimate: Estimate | None) -> str:
        """Give a speed with its range: "104 mph (102 to 106)"."""
        if estimate is None:
            return NONE
        unit = speed_unit(self.system)
        name = spoken(unit)
        shown = estimate.scaled(1.0 / unit.factor)
        return tell(
            "{number}\u00a0{name} ({low}\u00a0to\u00a0{high})",
            number=number(shown.value),
            name=name,
            low=number(shown.low),
            high=number(shown.high),
        )

    def band(self, estimate: Estimate | None) -> str:
        """Give the range of a distance alone, for what has no likeliest value worth naming: "3 to 9"."""
        if estimate is None:
            return NONE
        shown = self.scaled(estimate)
        return tell("{number}\u00a0to\u00a0{low}", number=number(shown.low), low=number(shown.high))

    def length(self, metres: float) -> str:
        """Give a club's length: inches beside yards, centimetres beside metres."""
        if self.system == "yards":
            return tell("{number}\u00a0in", number=number(metres / M_PER_IN, 2))
        return tell("{number}\u00a0cm", number=number(100 * metres, 1))


def sided(value: float, digits: int = 0) -> str:
    """Give a signed side as a word, positive right: "3 right", "4 left", "0"."""
    text = number(abs(value), digits)
    if float(text) == 0.0:
        return "0"
    return tell("{text}\u00a0{value}", text=text, value=tell("right") if value > 0 else tell("left"))


def spanned(estimate: Estimate, digits: int = 0) -> str:
    """Give a number with its 90 % range: "1.32 (1.29 to 1.35)"."""
    low, high = number(estimate.low, digits), number(estimate.high, digits)
    return tell(
        "{number} ({low}\u00a0to\u00a0{high})", number=number(estimate.value, digits), low=low, high=high
    )


def part_of(estimate: Estimate, digits: int = 0) -> str:
    """Give a number with the half width of its 90 % range, rounded up: "72 ±4"."""
    half = max(estimate.high - estimate.value, estimate.value - estimate.low)
    shown = max(1.0, math.ceil(half * 10**digits - 1e-9)) / 10**digits
    return tell("{number} ±{low}", number=number(estimate.value, digits), low=number(shown, digits))


def share(estimate: Estimate | None) -> str:
    """Give a share (0..1) of balls in percent with its range: "6 % (2 to 14)"."""
    if estimate is None:
        return NONE
    shown = estimate.scaled(100.0)
    return tell(
        "{number}\u00a0% ({low}\u00a0to\u00a0{high})",
        number=number(shown.value),
        low=number(shown.low),
        high=number(shown.high),
    )


def held(estimate: Estimate | None) -> str:
    """Give a chance (0..1) with its range, capped as chances are: "72 % (40 to 92)", ">97 %", "<3 %"."""
    if estimate is None:
        return NONE
    if estimate.low > 0.97 or estimate.high < 0.03:
        return chance(estimate.value)
    ends = tell(
        "{bare_percent}\u00a0to\u00a0{bare_percent_2}",
        bare_percent=_bare_percent(estimate.low),
        bare_percent_2=_bare_percent(estimate.high),
    )
    return tell("{chance} ({ends})", chance=chance(estimate.value), ends=ends)


def _bare_percent(probability: float) -> str:
    return plain(percent(probability)).removesuffix(" %")


def turning(estimate: Estimate | None) -> str:
    """Give a spin in rpm with its range, to the next ten: "6300 (6150 to 6450)"."""
    if estimate is None:
        return NONE
    value, low, high = (round(x, -1) for x in (estimate.value, estimate.low, estimate.high))
    return tell(
        "{number} ({low}\u00a0to\u00a0{high})",
        number=number(value),
        low=number(low),
        high=number(high),
    )


def degrees(estimate: Estimate | None) -> str:
    """Give an angle in radians as degrees with its range: "47° (45 to 49)"."""
    if estimate is None:
        return NONE
    shown = estimate.scaled(1.0 / RAD_PER_DEG)
    return tell(
        "{number}° ({low}\u00a0to\u00a0{high})",
        number=number(shown.value),
        low=number(shown.low),
        high=number(shown.high),
    )


def plain_degrees(value: float | None) -> str:
    """Give a measured angle in degrees, with a decimal only where there is one: "50°", "50.5°"."""
    if value is None:
        return NONE
    return tell("{number}°", number=number(value, 0 if abs(value - round(value)) < 0.05 else 1))
