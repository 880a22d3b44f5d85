"""Swings in the reader's words."""

from __future__ import annotations

from django import template
from django.utils.translation import gettext as _

register = template.Library()


@register.filter
def swing_words(swing: str) -> str:
    """A swing as a shot table names it, in words of the page."""
    known = {
        "stock": _("stock"),
        "gripped-down": _("gripped-down"),
        "three-quarter": _("three-quarter"),
        "half": _("half"),
        "flat-out": _("flat-out"),
    }
    return known.get(swing, swing)
