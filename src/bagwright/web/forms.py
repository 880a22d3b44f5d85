"""Fields that take quantities as people write them, in the reader's units, and give SI."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.formats import get_format, localize
from django.utils.translation import gettext as _

from bagwright.errors import InputError
from bagwright.units import (
    Dimension,
    System,
    celsius,
    fahrenheit,
    find_unit,
    parse_pressure_pa,
    parse_quantity,
    parse_temperature_k,
)

if TYPE_CHECKING:
    _ModelForm = forms.ModelForm[Any]
else:
    _ModelForm = forms.ModelForm

UNITS: dict[str, tuple[str, str]] = {
    "distance": ("yd", "m"),
    "body": ("in", "cm"),
    "club": ("in", "cm"),
    "altitude": ("ft", "m"),
    "speed": ("mph", "km/h"),
    "wind": ("mph", "km/h"),
}
"""What a bare number means for the reader of yards and of metres."""


class QuantityField(forms.CharField):
    """A length or speed: a bare number is in the reader's unit, which the label names; so is "178 cm"."""

    def __init__(self, what: str, digits: int = 1, **more: Any) -> None:
        more.setdefault("required", False)
        super().__init__(**more)
        self.widget.attrs["maxlength"] = "40"
        self.what = what
        self.digits = digits
        self.system: System = "yards"

    @property
    def unit(self) -> str:
        """The unit of a bare number."""
        return UNITS[self.what][0 if self.system == "yards" else 1]

    @property
    def dimension(self) -> Dimension:
        """Speed or length."""
        return "speed" if self.what in ("speed", "wind") else "length"

    def to_python(self, value: Any) -> float | None:  # type: ignore[override]
        """The quantity in SI; None where nothing was written."""
        text = super().to_python(value)
        if not text:
            return None
        try:
            return parse_quantity(text, self.dimension, self.unit)
        except InputError as error:
            raise ValidationError(str(error)) from error

    def prepare_value(self, value: Any) -> Any:
        """SI as a number of the reader's unit; what was typed stays as typed."""
        if isinstance(value, float | int):
            unit = find_unit(self.unit)
            factor = unit.factor if unit else 1.0
            return shortest(value / factor, self.digits)
        return value

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Compare what is shown with what came back."""
        return bool((self.prepare_value(initial) or "") != (data or ""))


class TemperatureField(forms.CharField):
    """A temperature: a bare number is in °F for the reader of yards, in °C for the reader of metres."""

    system: System = "yards"

    @property
    def unit(self) -> str:
        """The unit of a bare number."""
        return "F" if self.system == "yards" else "C"

    def to_python(self, value: Any) -> float | None:  # type: ignore[override]
        """Kelvin; None where nothing was written."""
        text = super().to_python(value)
        if not text:
            return None
        try:
            return parse_temperature_k(text if text[-1:].isalpha() else f"{text} {self.unit}")
        except InputError as error:
            raise ValidationError(str(error)) from error

    def prepare_value(self, value: Any) -> Any:
        """Kelvin in the reader's unit."""
        if isinstance(value, float):
            return shortest(fahrenheit(value) if self.unit == "F" else celsius(value), 1)
        return value


class PressureField(forms.CharField):
    """A pressure at the place: a bare number is in hPa."""

    unit = "hPa"

    def to_python(self, value: Any) -> float | None:  # type: ignore[override]
        """Pascal; None where nothing was written."""
        text = super().to_python(value)
        if not text:
            return None
        try:
            return parse_pressure_pa(text if text[-1:].isalpha() else f"{text} hPa")
        except InputError as error:
            raise ValidationError(str(error)) from error

    def prepare_value(self, value: Any) -> Any:
        """Pascal as hPa."""
        return shortest(value / 100.0, 1) if isinstance(value, float) else value


class PercentField(forms.FloatField):
    """A share, shown and typed in percent."""

    unit = "%"

    def __init__(self, **more: Any) -> None:
        super().__init__(min_value=0, max_value=100, localize=True, required=False, **more)

    def clean(self, value: Any) -> Any:
        """A share of 0 to 1."""
        found = super().clean(value)
        return None if found is None else found / 100.0

    def prepare_value(self, value: Any) -> Any:
        """A share in percent."""
        return shortest(value * 100.0, 1) if isinstance(value, float) else value


def shortest(value: float, digits: int) -> str:
    """A number with at most so many decimals, in the language's own way of writing it."""
    rounded = round(value, digits)
    return str(localize(int(rounded) if rounded == int(rounded) else rounded))


class HouseForm(_ModelForm):
    """A form whose fields know the reader's units, its errors their fields, and its row the version seen.

    `version` is hidden in the page: saving over somebody else's change is refused where it is handled.
    """

    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, system: System = "yards", **more: Any) -> None:
        super().__init__(*args, **more)
        if self.instance.pk and hasattr(self.instance, "version"):
            self.initial["version"] = self.instance.version
        for name, field in self.fields.items():
            shown = self.initial.get(name)
            if type(field) is forms.FloatField and isinstance(shown, float) and shown.is_integer():
                self.initial[name] = int(shown)
            field.system = system  # type: ignore[attr-defined]
            if isinstance(field, forms.FloatField | forms.IntegerField) and name != "version":
                field.localize = True
                setattr(field, "to_python", partial(_either_mark, field.to_python))  # noqa: B010
                field.widget.is_localized = True
                field.widget.input_type = "text"
                field.widget.attrs.setdefault("inputmode", "decimal")
                for limit in ("step", "min", "max"):
                    field.widget.attrs.pop(limit, None)
            if isinstance(field, QuantityField | TemperatureField | PressureField):
                field.widget.attrs["inputmode"] = "text" if self.is_bound else "decimal"
            field.widget.attrs.setdefault("autocomplete", "off")
            self._describe(name, field)

    def _describe(self, name: str, field: forms.Field) -> None:
        """Tie the hint to the field for screen readers."""
        if field.help_text:
            field.widget.attrs["aria-describedby"] = f"{self.add_prefix(name)}-hint"

    def full_clean(self) -> None:
        """Check everything, then tie each error to its field for screen readers."""
        super().full_clean()
        for name in self.errors:
            if name in self.fields:
                attrs = self.fields[name].widget.attrs
                attrs["aria-invalid"] = "true"
                told = (str(attrs.get("aria-describedby", "")), f"{self.add_prefix(name)}-wrong")
                attrs["aria-describedby"] = " ".join(part for part in told if part)

    def clean(self) -> dict[str, Any]:
        """Line ends as everywhere inside; control characters and direction overrides are refused in texts."""
        cleaned = super().clean() or {}
        for name, value in list(cleaned.items()):
            if not isinstance(value, str):
                continue
            cleaned[name] = text = value.replace("\r\n", "\n").replace("\r", "\n")
            lines = isinstance(self.fields[name].widget, forms.Textarea)
            if any(_unseen(char) and not (lines and char in "\n\t") for char in text):
                self.add_error(name, _("It holds control characters that cannot be seen: type it again."))
        return cleaned


def _either_mark(to_python: Callable[[Any], Any], value: Any) -> Any:
    """Read a lone comma or point as the decimal mark in every language: "50,5" is 50.5."""
    if isinstance(value, str) and value.count(",") + value.count(".") == 1:
        return to_python(value.strip().replace(",", ".").replace(".", get_format("DECIMAL_SEPARATOR")))
    return to_python(value)


def _unseen(char: str) -> bool:
    """True for control characters, halves of pairs, and marks that turn the direction of what follows."""
    overrides = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
    return char in overrides or unicodedata.category(char) in ("Cc", "Cs")
