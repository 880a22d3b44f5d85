"""Sentences of the core on pages; templates write them in the reader's language by themselves."""

from __future__ import annotations

from django import template

from bagwright.words import first_upper, plain, term

register = template.Library()
register.filter("first_upper", first_upper)
register.filter("term", term)
register.filter("plain", plain)
