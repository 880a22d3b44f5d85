"""Numbers in the reader's units: thin doors to `bagwright.report.words`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import template
from django.utils.formats import localize
from django.utils.translation import gettext as _

from bagwright.distances.table import Step
from bagwright.estimate import Estimate, probability_words
from bagwright.report import words
from bagwright.report.words import NONE, Show
from bagwright.units import M_PER_IN, MPS_PER_KMH, MPS_PER_MPH, RAD_PER_DEG, System
from bagwright.words import join, tell, term

register = template.Library()


@register.filter
def distance(metres: float | None, system: System) -> str:
    """Metres as "112 yd"."""
    return NONE if metres is None else Show(system).distance(metres)


@register.filter
def bare(metres: float | None, system: System) -> str:
    """Metres as "112"."""
    return NONE if metres is None else Show(system).bare(metres)


@register.filter
def tenth(metres: float | None, system: System) -> str:
    """Metres with one decimal in the reader's language, no unit: what a form's field holds."""
    return "" if metres is None else str(localize(round(Show(system).inside(metres), 1)))


@register.filter
def ranged(estimate: Estimate | None, system: System) -> str:
    """An estimate in metres as "112 yd (108 to 116)"."""
    return Show(system).distance_ranged(estimate)


@register.filter
def side(metres: float | None, system: System) -> str:
    """A measured side, positive right, as "12 right"."""
    return NONE if metres is None else words.sided(Show(system).inside(metres))


@register.filter
def side_ranged(estimate: Estimate | None, system: System) -> str:
    """A side with its range as "3 left (7 left to 1 right)"."""
    return Show(system).side(estimate)


@register.filter
def speed(mps: float | None, system: System) -> str:
    """Metres a second as "104 mph", beside metres as "167 km/h"."""
    if mps is None:
        return NONE
    unit, name = (MPS_PER_MPH, "mph") if system == "yards" else (MPS_PER_KMH, "km/h")
    return join("", (words.number(mps / unit), f"\u00a0{name}"))


@register.filter
def degrees(radians: float | None) -> str:
    """Radians as "14.5°"."""
    return NONE if radians is None else join("", (words.number(radians / RAD_PER_DEG, 1), "°"))


@register.filter
def chance(probability: float | None) -> str:
    """A probability as "83 %", capped at the ends."""
    return NONE if probability is None else words.chance(probability)


@register.filter
def sure(probability: float | None) -> str:
    """A probability that something holds as "likely (83 %)", an unlikely one as "very likely not (7 %)"."""
    if probability is None:
        return NONE
    if probability >= 0.40:
        return words.sure(probability)
    return tell(
        "{words} not ({chance})", words=probability_words(1.0 - probability), chance=words.chance(probability)
    )


@register.filter
def step_said(step: Step) -> str:
    """The word of a step between two clubs with how sure it is."""
    return words.step_said(step)


@register.filter
def item(mapping: Any, key: Any) -> Any:
    """One value of a mapping by a key that a variable holds."""
    return mapping.get(key)


@register.filter
def club_length(metres: float | None, system: System) -> str:
    """A club's length as "35.5 in" or "90.2 cm"."""
    return NONE if metres is None else Show(system).length(metres)


@register.filter
def ranged1(estimate: Estimate | None, system: System) -> str:
    """An estimate in metres with one decimal: "3.4 yd (1.5 to 5.4)"."""
    return Show(system).distance_ranged(estimate, 1)


@register.filter
def terms(names: Sequence[str]) -> str:
    """Words of the trade that the core uses as names, such as lies, in a row and in the reader's language."""
    return join(", ", [term(name) for name in names])


@register.filter
def turned(estimate: Estimate) -> Estimate:
    """The same estimate seen the other way round: a loss of 0.4 (−1.6 to 2.5) for a gain of −0.4 (−2.5 to 1.6)."""
    return Estimate(-estimate.value, -estimate.high, -estimate.low)


@register.filter
def share(estimate: Estimate | None) -> str:
    """A share of balls as "6 % (2 to 14)"."""
    return words.share(estimate)


@register.filter
def height_ranged(estimate: Estimate | None, system: System) -> str:
    """A height of flight as "72 ft (66 to 79)"."""
    return Show(system).height(estimate)


@register.filter
def degrees_ranged(estimate: Estimate | None) -> str:
    """An angle in radians as "47° (45 to 49)"."""
    return words.degrees(estimate)


@register.filter
def field_words(name: str) -> str:
    """A field of a build in words."""
    return {
        "loft_deg": _("Loft"), "lie_angle_deg": _("Lie angle"), "length_m": _("Length"), "grip": _("Grip"),
        "shaft_weight_g": _("Shaft weight"), "bounce_deg": _("Bounce"), "swing_weight": _("Swing weight"),
        "shaft": _("Shaft"), "shaft_flex": _("Flex"), "hosel_setting": _("Hosel setting"),
    }.get(name, name)  # fmt: skip


@register.filter
def built_value(value: float | str | None, name: str) -> str:
    """A field's value with its unit; lengths in inches and centimetres, as a workshop reads them."""
    if value is None or value == "":
        return NONE
    if name == "length_m":
        inches, cm = words.number(float(value) / M_PER_IN, 2), words.number(100.0 * float(value), 1)
        return join("", (inches, "\u00a0in (", cm, "\u00a0cm)"))
    unit = {"_deg": "°", "_g": "\u00a0g"}.get("_" + name.rpartition("_")[2])
    return join("", (words.number(float(value), 1), unit)) if unit else str(value)


@register.filter
def outcome_words(name: str) -> str:
    """How a check ends, in words."""
    known = {"keep": _("keep"), "bend back": _("bend back"), "regrip": _("regrip"), "retest": _("retest")}
    return known.get(name, name)


@register.filter
def times(estimate: Estimate | None) -> str:
    """A ratio with its range as "× 1.2 (0.8 to 1.7)"."""
    if estimate is None:
        return NONE
    value, low, high = (words.number(one, 1) for one in (estimate.value, estimate.low, estimate.high))
    return tell("× {value} ({low} to {high})", value=value, low=low, high=high)


@register.filter
def paper_words(kind: str) -> str:
    """A paper that was handed over, in words."""
    known = {"report": _("Report"), "yardages": _("Yardage card"), "build": _("Build sheet")}
    return known.get(kind, kind)


@register.filter
def kind_words(kind: str) -> str:
    """A kind of club, in words."""
    known = {
        "driver": _("driver"), "wood": _("wood"), "hybrid": _("hybrid"), "iron": _("iron"),
        "wedge": _("wedge"), "putter": _("putter"),
    }  # fmt: skip
    return known.get(kind, kind)


@register.filter
def status_words(status: str) -> str:
    """Where a club belongs, in words."""
    known = {
        "carried": _("carried"), "candidate": _("candidate"), "spare": _("spare"), "former": _("former"),
    }  # fmt: skip
    return known.get(status, status)
