"""Forms of delivery and check."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext_lazy as _

from bagwright.store.models import Club, ClubMeasurement
from bagwright.web.forms import QuantityField
from bagwright.web.views.players_limits import LimitedForm

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
