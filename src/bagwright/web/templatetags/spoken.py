"""The words of a ball's marks in the reader's language."""

from __future__ import annotations

from django import template

from bagwright.web.views.spoken import mishit

register = template.Library()
register.filter("mark_word", mishit)
