"""Strokes and winds in the reader's words."""

from __future__ import annotations

import math

from django import template
from django.utils.translation import gettext as _

from bagwright.bay import oncourse
from bagwright.bay.figurewords import rounded
from bagwright.report.strokes.plan import Step
from bagwright.report.strokes.sheet import aim_words
from bagwright.report.strokes.spot import Choice
from bagwright.report.words import NONE, Show, number
from bagwright.store.models import StrokesRun
from bagwright.units import M_PER_FT, System

register = template.Library()

AT_PIN_M = 0.5
"""An aim that passes nearer to the pin is at the pin."""


@register.filter
def strokes(value: float | None, digits: int = 1) -> str:
    """Strokes as "4.2"."""
    return NONE if value is None else number(value, digits)


@register.filter
def aim(step: Step, system: System) -> str:
    """Where a shot is aimed, as the hole sheet has it: "9 right, at 235"."""
    return aim_words(step, Show(system))


@register.filter
def pin_aim(choice: Choice, system: System) -> str:
    """Where a shot from a spot is aimed: "at the pin", "12 yd left of the pin"."""
    length = Show(system).distance(abs(choice.aim_side_m))
    if choice.aim_side_m > AT_PIN_M:
        return _("%(length)s right of the pin") % {"length": length}
    if choice.aim_side_m < -AT_PIN_M:
        return _("%(length)s left of the pin") % {"length": length}
    return _("at the pin")


@register.filter
def within(bound: float | None) -> str:
    """How exactly something was worked out: "within 0.003"; what is smaller is said to be."""
    if bound is None or not math.isfinite(bound):
        return _("not known how exactly")
    if bound < 0.001:
        return _("within 0.001")
    return _("within %(bound)s") % {"bound": rounded(bound, 3)}


@register.filter
def round_words(run: StrokesRun) -> str:
    """A round's strokes with what a round spreads; ≈ before it where a hole did not come to rest."""
    if not run.result:
        return NONE
    mark = "" if all(hole["converged"] for hole in run.result["result"]["holes"]) else "≈ "
    return mark + _("%(strokes)s ± %(sd)s a round") % {
        "strokes": rounded(run.result["strokes"], 1), "sd": rounded(run.result["sd"], 1),
    }  # fmt: skip


@register.filter
def wind_words(run: StrokesRun, system: System) -> str:
    """A run's wind: "calm", or its speed and where it comes from."""
    return oncourse.air_of(run, system)


@register.filter
def run_state(state: str) -> str:
    """How a run stands, in words."""
    known = {
        "waiting": _("waits"), "running": _("is worked out"), "done": _("done"), "failed": _("failed"),
        "stopped": _("stopped"), "old": _("of an earlier version"),
    }  # fmt: skip
    return known.get(state, state)


@register.filter
def rise(value: float | None, system: System) -> str:
    """The green over the tee as "+12", in feet beside yards, in metres beside metres."""
    if value is None:
        return NONE
    size = round(abs(value) / (M_PER_FT if system == "yards" else 1.0))
    return "0" if size == 0 else ("+" if value > 0 else "−") + rounded(size, 0)


@register.filter
def over_par(value: float, par: int) -> str:
    """Strokes against par: "+1.2"."""
    difference = value - par
    return ("+" if difference >= 0 else "−") + rounded(abs(difference), 1)
