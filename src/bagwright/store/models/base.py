"""What the tables share: short ways to write optional fields, and a version against lost changes."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import Q


def figure(**more: Any) -> models.FloatField[float | None, float | None]:
    """An optional number; NULL is "not known"."""
    return models.FloatField(null=True, blank=True, **more)


def text(longest: int = 200, **more: Any) -> models.CharField[str, str]:
    """A short text; "" is "not said"."""
    return models.CharField(max_length=longest, blank=True, default="", **more)


def note(**more: Any) -> models.TextField[str, str]:
    """A long text of at most 2,000 characters; "" is "not said"."""
    return models.TextField(max_length=2000, blank=True, default="", **more)


def between(table: str, field: str, low: float, high: float) -> models.CheckConstraint:
    """A limit that the database itself holds: NULL, or within it. Infinity never passes."""
    return models.CheckConstraint(
        condition=Q(**{f"{field}__isnull": True}) | Q(**{f"{field}__gte": low, f"{field}__lte": high}),
        name=f"{table}_{field}_limits",
    )


class Versioned(models.Model):
    """A row that two people may change: saving needs the version one has seen."""

    version = models.PositiveIntegerField(default=1)
    created_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        abstract = True
