"""Forms of delivery and check."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from bagwright.bag.measured import TOLERANCE
from bagwright.report.words import number
from bagwright.store.models import Club, ClubMeasurement
from bagwright.web.forms import QuantityField
from bagwright.web.templatetags.show import built_value
from bagwright.web.views.players_limits import LimitedForm
from bagwright.words import join, tell

STATES = (("", _("not looked at")), ("good", _("good")), ("worn", _("worn")))


class DeliveryForm(LimitedForm):
    """What was measured on the built club."""

    length_m = QuantityField("club", digits=2, label=_("Length"))

    class Meta:
        """Which fields, in which words."""

        model = Club
        fields: ClassVar = [
            "loft_deg", "lie_angle_deg", "length_m", "shaft_weight_g", "bounce_deg", "swing_weight", "shaft",
            "shaft_flex", "grip", "hosel_setting",
        ]  # fmt: skip
        labels: ClassVar = {
            "loft_deg": _("Loft (°)"), "lie_angle_deg": _("Lie angle (°)"), "shaft_weight_g": _("Shaft weight (g)"),
            "bounce_deg": _("Bounce (°)"), "swing_weight": _("Swing weight"), "shaft": _("Shaft"),
            "shaft_flex": _("Flex"), "grip": _("Grip"), "hosel_setting": _("Hosel setting"),
        }  # fmt: skip

    def __init__(self, *args: Any, wanted: Mapping[str, Any] | None = None, **more: Any) -> None:
        self.wanted = wanted or {}
        super().__init__(*args, **more)

    def _describe(self, name: str, field: forms.Field) -> None:
        """Say beside each field what the sheet asks for."""
        if self.wanted.get(name) not in (None, ""):
            told = {"value": built_value(self.wanted[name], name), "tolerance": tolerance_words(name)}
            field.help_text = tell("wanted {value}, {tolerance}", **told)
        elif name in self.Meta.fields:
            field.help_text = gettext("the sheet says nothing")
        super()._describe(name, field)


def tolerance_words(name: str) -> str:
    """How far a built field may be from the wanted one, as the build sheet prints it."""
    if name == "length_m":
        return join("", ("± 1/16\u00a0in (", number(1000.0 * TOLERANCE[name], 1), "\u00a0mm)"))
    if name in TOLERANCE:
        return join("", ("± ", built_value(TOLERANCE[name], name)))
    return gettext("± 1 point") if name == "swing_weight" else gettext("exactly this")


class MeasureForm(LimitedForm):
    """What a gauge and a look say of one club today."""

    grip_state = forms.ChoiceField(choices=STATES, required=False, label=_("Grip"))
    groove_state = forms.ChoiceField(choices=STATES, required=False, label=_("Grooves"))

    class Meta:
        """Which fields, in which words."""

        model = ClubMeasurement
        fields: ClassVar = ["loft_deg", "lie_angle_deg", "grip_state", "groove_state"]
        labels: ClassVar = {"loft_deg": _("Loft (°)"), "lie_angle_deg": _("Lie angle (°)")}

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields.pop("version", None)
        for name, field in self.fields.items():
            field.widget.attrs["aria-label"] = f"{field.label}, {self.instance.club.name[:60]}"
            field.widget.attrs["data-gauge"] = name
