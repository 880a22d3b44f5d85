"""The limits of a form's figures: those of the bag file, said in the unit that the field is typed in."""

from __future__ import annotations

import re
from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext as _

from bagwright.bag.fields import BUILD_KEYS, CLUB_KEYS, PLAYER_KEYS, Key
from bagwright.report.words import number
from bagwright.web.forms import HouseForm, QuantityField

_SUFFIX = {"in": "in", "cm": "cm", "mph": "mph", "km/h": "kmh"}
_KEYS: dict[str, Key] = {key.name: key for key in (*PLAYER_KEYS, *CLUB_KEYS, *BUILD_KEYS)}
_MAY_BE_THOUSANDS = frozenset({"budget", "price", "head_volume_cm3", "lead_time_days"})
_GROUPED = re.compile(r"[+\-−]?[0-9]{1,3}([.,'\u2019\s][0-9]{3})+")
"""A number with marks between thousands, which another language reads as decimals: it is asked for again."""


class LimitedForm(HouseForm):
    """A form whose figures keep to the limits of the bag file; `MORE` adds what the file does not have."""

    MORE: ClassVar[dict[str, tuple[float, float]]] = {}

    def clean(self) -> dict[str, Any]:
        """Refuse figures beyond their limits, and those whose mark may stand for thousands or decimals."""
        cleaned = super().clean()
        for name, value in list(cleaned.items()):
            field = self.fields[name]
            if name in _MAY_BE_THOUSANDS and self._is_grouped(name):
                self.add_error(name, _("Write it without a mark between thousands, such as 1200."))
            elif isinstance(value, int | float) and not isinstance(value, bool) and name != "version":
                words = self._beyond(name, field, float(value))
                if words:
                    self.add_error(name, words)
        return cleaned

    def _is_grouped(self, name: str) -> bool:
        typed = str(self.data.get(self.add_prefix(name), "")).strip()
        return bool(_GROUPED.fullmatch(typed))

    def _beyond(self, name: str, field: forms.Field, value: float) -> str:
        """What is wrong with a value, in the field's unit; "" where nothing is."""
        limits = self.MORE.get(name)
        factor, unit = 1.0, ""
        if limits is None:
            key = _KEYS.get(name)
            if isinstance(field, QuantityField):
                unit = field.unit
                stem = name.removesuffix("_mps").removesuffix("_m")
                key = _KEYS.get(f"{stem}_{_SUFFIX[unit]}")
            if key is None:
                return ""
            limits, factor = (key.low, key.high), key.factor
        low, high = limits
        if low - 1e-9 <= value / factor <= high + 1e-9:
            return ""
        told = {"low": _plain(low), "high": _plain(high), "unit": unit}
        return (_("It must be between %(low)s and %(high)s %(unit)s.") % told).replace(" .", ".")


def _plain(value: float) -> str:
    return number(value, 0 if value == round(value) else 1)
