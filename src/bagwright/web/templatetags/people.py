"""How figures of players are written."""

from __future__ import annotations

from django import template

from bagwright.bay.figurewords import rounded
from bagwright.report.words import NONE

register = template.Library()


@register.filter
def handicap(value: float | None) -> str:
    """A handicap as golfers write it: better than scratch has a plus."""
    if value is None:
        return NONE
    digits = 0 if value == round(value) else 1
    return f"{'+' if value < 0 else ''}{rounded(abs(value), digits)}"
