"""A number with its unit chosen beside it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString


class UnitInput(forms.TextInput):
    """A text field for a number and a list of its units; a number typed with its unit stands for itself.

    `default` is the unit that the reader's own numbers are in, `told` what the list is called for screen
    readers.
    """

    def __init__(self, units: Sequence[tuple[str, str]], attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs)
        self.units = tuple(units)
        self.default = self.units[0][0]
        self.told = ""

    def value_from_datadict(self, data: Any, files: Any, name: str) -> Any:
        """The number with its unit, where another than the reader's own was chosen and none was typed."""
        text = str(super().value_from_datadict(data, files, name) or "").strip()
        unit = data.get(f"{name}-unit", "")
        plain = not text or text[-1:].isalpha()
        if plain or unit == self.default or unit not in dict(self.units):
            return text
        return f"{text} {unit}"

    def render(
        self, name: str, value: Any, attrs: dict[str, Any] | None = None, renderer: Any = None
    ) -> SafeString:
        """The field and the list of units."""
        text, unit = str(value if value is not None else ""), self.default
        for each, _words in self.units:
            if text.endswith(f" {each}"):
                text, unit = text.removesuffix(f" {each}").strip(), each
        field = super().render(name, text or None, attrs, renderer)
        options = format_html_join(
            "",
            '<option value="{}"{}>{}</option>',
            ((each, SafeString(" selected") if each == unit else "", words) for each, words in self.units),
        )
        return format_html(
            '<span class="with-unit">{}<select name="{}-unit" aria-label="{}">{}</select></span>',
            field,
            name,
            self.told,
            options,
        )
