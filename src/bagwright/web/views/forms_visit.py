"""Forms of a visit."""

from __future__ import annotations

import math
from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext_lazy as _

from bagwright.store.models import Visit
from bagwright.web.forms import HouseForm, PercentField, PressureField, QuantityField, TemperatureField

WINDS = (
    ("", _("not said")), ("0", _("head")), ("45", _("head, from the right")), ("90", _("from the right")),
    ("135", _("tail, from the right")), ("180", _("tail")), ("225", _("tail, from the left")),
    ("270", _("from the left")), ("315", _("head, from the left")),
)  # fmt: skip


class WindField(forms.ChoiceField):
    """Where the wind comes from, eight ways round; radians inside."""

    def __init__(self, **more: Any) -> None:
        super().__init__(choices=WINDS, required=False, **more)

    def clean(self, value: Any) -> Any:
        """Radians clockwise from the target line, None where not said."""
        text = super().clean(value)
        return math.radians(float(text)) if text else None

    def prepare_value(self, value: Any) -> Any:
        """The nearest of the eight."""
        return str(round(math.degrees(value) / 45.0) * 45 % 360) if isinstance(value, float) else value


class IntakeForm(HouseForm):
    """Where and how the balls of this visit are hit."""

    temperature_k = TemperatureField(required=False, label=_("Temperature"))
    pressure_pa = PressureField(required=False, label=_("Pressure at the place"))
    altitude_m = QuantityField("altitude", digits=0, label=_("Altitude"))
    humidity = PercentField(label=_("Humidity"))
    wind_mps = QuantityField("wind", label=_("Wind"))
    wind_from_rad = WindField(label=_("Wind comes from"))

    class Meta:
        """Which fields, in which words."""

        model = Visit
        fields: ClassVar = [
            "place", "indoors", "surface", "ball", "temperature_k", "altitude_m", "pressure_pa", "humidity",
            "wind_mps", "wind_from_rad", "firmness", "device_grade", "adjusted", "spin", "aligned", "note",
        ]  # fmt: skip
        labels: ClassVar = {
            "place": _("Place"), "indoors": _("Indoors"), "surface": _("Surface"), "ball": _("Ball"),
            "firmness": _("Ground"), "device_grade": _("Grade of the unit"), "adjusted": _("The unit's figures are"),
            "spin": _("Spin is"), "aligned": _("Alignment"), "note": _("Note"),
        }  # fmt: skip
        help_texts: ClassVar = {
            "ball": _("Range balls fly shorter (common practice): name what is hit."),
            "pressure_pa": _("Measured here; not the weather report's, which is reduced to the sea."),
            "altitude_m": _("Used where no pressure is given."),
            "adjusted": _("Some units show what the ball would do in standard air or with another ball."),
            "aligned": _(
                "Unit and player aim at the same target. Until this is checked, a side bias may be the"
                " player's or the set-up's."
            ),
        }
        widgets: ClassVar = {
            "indoors": forms.Select(choices=[("", _("not said")), ("true", _("indoors")), ("false", _("outdoors"))]),
            "surface": forms.Select(choices=[("", _("not said")), ("mat", _("mat")), ("turf", _("turf")),
                                             ("tee", _("tee")), ("rough", _("rough")), ("sand", _("sand"))]),
            "device_grade": forms.Select(choices=[("", _("not said")), ("good", _("good")), ("mid", _("middling")),
                                                  ("budget", _("budget"))]),
            "firmness": forms.Select(choices=[("", _("not said")), ("soft", _("soft")), ("medium", _("medium")),
                                              ("firm", _("firm"))]),
            "adjusted": forms.Select(choices=[("", _("not said")), ("as measured", _("as measured")),
                                              ("adjusted", _("adjusted"))]),
            "spin": forms.Select(choices=[("", _("not said")), ("measured", _("measured")),
                                          ("estimated", _("estimated"))]),
            "aligned": forms.Select(choices=[("", _("not said")), ("checked", _("checked")),
                                             ("not checked", _("not checked"))]),
            "note": forms.Textarea(attrs={"rows": 2}),
        }  # fmt: skip


class SlotForm(HouseForm):
    """What the slot is, and how its candidates are measured."""

    spot_m = QuantityField("distance", digits=0, label=_("Carry that the slot is for"))
    width_m = QuantityField("distance", digits=0, label=_("Width that matters"))
    measure = forms.ChoiceField(
        widget=forms.RadioSelect, label=_("Decide by"), choices=[("miss", _("expected miss")), ("carry", _("carry"))],
        help_text=_("The expected miss from the spot; for the longest club of the bag, carry is usual."),
    )  # fmt: skip

    class Meta:
        """Which fields, in which words."""

        model = Visit
        fields: ClassVar = ["slot", "measure", "spot_m", "width_m"]
        labels: ClassVar = {"slot": _("Club now in the slot")}
        help_texts: ClassVar = {
            "slot": _("The club that may be replaced; it always takes part. Empty: the slot is free."),
            "spot_m": _("Left empty: midway between the neighbours."),
            "width_m": _("Full width; balls outside are counted. May stay empty."),
        }

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        field = self.fields["slot"]
        field.queryset = self.instance.player.clubs.filter(  # type: ignore[attr-defined]
            removed_at__isnull=True, status="carried"
        ).exclude(kind="putter")
        field.empty_label = _("a free place")  # type: ignore[attr-defined]


class PlanForm(forms.Form):
    """How many balls, in how much time, with which swings."""

    minutes = forms.IntegerField(
        min_value=10, max_value=300, initial=60, label=_("Minutes, handing over included")
    )
    balls = forms.IntegerField(min_value=4, max_value=300, required=False, label=_("Test balls"))
    warm_up = forms.IntegerField(min_value=10, max_value=15, initial=12, label=_("Warm-up balls"))
    block = forms.IntegerField(min_value=1, max_value=5, initial=3, label=_("Balls in a row"))
    swings = forms.MultipleChoiceField(
        required=False, widget=forms.CheckboxSelectMultiple, label=_("Swings beside the stock swing"),
        choices=[("gripped-down", _("gripped-down")), ("three-quarter", _("three-quarter")), ("half", _("half")),
                 ("flat-out", _("flat-out"))],
    )  # fmt: skip
    rules = forms.CharField(required=False, max_length=200, label=_("Wishes for the order"))

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["balls"].help_text = _("Empty: 12 for each candidate, as far as time allows.")
        self.fields["rules"].help_text = _('Such as "50 blade last"; several with commas.')
        for name in ("minutes", "balls", "warm_up", "block"):
            self.fields[name].widget.attrs["inputmode"] = "numeric"

    def wishes(self) -> dict[str, Any]:
        """What `make_plan` takes."""
        data = self.cleaned_data
        rules = tuple(rule.strip() for rule in data["rules"].split(",") if rule.strip())
        return {**data, "rules": rules, "swings": data["swings"] or None}
