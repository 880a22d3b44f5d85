"""What the tables share: short ways to write optional fields, and a version against lost changes."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _


def figure(**more: Any) -> models.FloatField[float | None, float | None]:
    """An optional number; NULL is "not known"."""
    return models.FloatField(null=True, blank=True, **more)


def text(longest: int = 200, **more: Any) -> models.CharField[str, str]:
    """A short text; "" is "not said"."""
    return models.CharField(max_length=longest, blank=True, default="", **more)


def note(**more: Any) -> models.TextField[str, str]:
    """A long text of at most 2,000 characters; "" is "not said"."""
    return models.TextField(max_length=2000, blank=True, default="", **more)


class Between(models.CheckConstraint):
    """A limit of one field, NULL or within it: the database holds it, and a row is checked by it beforehand.

    Django would ask the database for each limit of a row; the comparison needs nobody and knows the field.
    """

    def __init__(self, *, table: str, field: str, low: float, high: float) -> None:
        self.table, self.field, self.low, self.high = table, field, low, high
        super().__init__(
            condition=Q(**{f"{field}__isnull": True}) | Q(**{f"{field}__gte": low, f"{field}__lte": high}),
            name=f"{table}_{field}_limits",
        )

    def deconstruct(self) -> Any:
        """As the plain constraint that it is to the database, so that migrations know no other."""
        _path, args, kwargs = super().deconstruct()
        return "django.db.models.CheckConstraint", args, kwargs

    def clone(self) -> Between:
        """Another one like it."""
        return Between(table=self.table, field=self.field, low=self.low, high=self.high)

    def validate(self, model: Any, instance: models.Model, exclude: Any = None, using: Any = None) -> None:
        """Raise ValidationError on the field whose value lies outside; no number at all (NaN) does too."""
        value = getattr(instance, self.field)
        if value is None or (exclude and self.field in exclude) or self.low <= value <= self.high:
            return
        raise ValidationError(
            {self.field: _("This is more, or less, than can be: check the number and its unit.")}
        )


def between(table: str, field: str, low: float, high: float) -> Between:
    """A limit that the database itself holds: NULL, or within it. Infinity never passes."""
    return Between(table=table, field=field, low=low, high=high)


class Versioned(models.Model):
    """A row that two people may change: saving needs the version one has seen."""

    version = models.PositiveIntegerField(default=1)
    created_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        abstract = True
