"""Forms of a visit's first steps: the place and the air, and the slot."""

from __future__ import annotations

import math
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils.formats import date_format
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from bagwright.air import MAX_WIND_MPS
from bagwright.bay.briefing import carried, gap_of, gaps, usual_measure
from bagwright.bay.visits import OFFERED
from bagwright.store.models import Visit
from bagwright.web.forms import HouseForm, PercentField, PressureField, QuantityField, TemperatureField
from bagwright.web.views.unit_input import UnitInput

WINDS = (
    ("", _("not said")), ("0", _("12 o'clock: head")), ("30", _("1 o'clock")), ("60", _("2 o'clock")),
    ("90", _("3 o'clock: from the right")), ("120", _("4 o'clock")), ("150", _("5 o'clock")),
    ("180", _("6 o'clock: tail")), ("210", _("7 o'clock")), ("240", _("8 o'clock")),
    ("270", _("9 o'clock: from the left")), ("300", _("10 o'clock")), ("330", _("11 o'clock")),
)  # fmt: skip
"""Where the wind comes from, seen from the tee with the target at 12."""
NOT_SAID = ("", _("not said"))
HINTS = {
    "temperature_k": _("Not said: 20 °C at sea level is taken. Cold air shortens every carry."),
    "pressure_pa": _("Measured here; not the weather report's, which is reduced to the sea."),
    "altitude_m": _("Used where no pressure is given."),
    "wind_mps": _("Outdoors only; noted, not taken out of the figures."),
    "wind_from_rad": _("Seen from the tee, the target at 12 o'clock."),
}
"""Of the fields that are not made from the table."""


class WindField(forms.ChoiceField):
    """Where the wind comes from, by the clock; radians inside."""

    def __init__(self, **more: Any) -> None:
        super().__init__(choices=WINDS, required=False, **more)

    def clean(self, value: Any) -> Any:
        """Radians clockwise from the target line, None where not said."""
        text = super().clean(value)
        return math.radians(float(text)) if text else None

    def prepare_value(self, value: Any) -> Any:
        """The nearest hour."""
        return str(round(math.degrees(value) / 30.0) * 30 % 360) if isinstance(value, float) else value


class IntakeForm(HouseForm):
    """Where and how the balls of this visit are hit; what was so last time is offered and says so."""

    temperature_k = TemperatureField(
        required=False, label=_("Temperature"), widget=UnitInput([("C", "°C"), ("F", "°F")])
    )
    pressure_pa = PressureField(
        required=False,
        label=_("Pressure at the place"),
        widget=UnitInput([("hPa", "hPa"), ("inHg", "inHg"), ("mmHg", "mmHg")]),
    )
    altitude_m = QuantityField(
        "altitude", digits=0, label=_("Altitude"), widget=UnitInput([("ft", "ft"), ("m", "m")])
    )
    humidity = PercentField(label=_("Humidity"))
    wind_mps = QuantityField(
        "wind",
        label=_("Wind"),
        widget=UnitInput([("mph", "mph"), ("km/h", "km/h"), ("m/s", "m/s"), ("kn", "kn")]),
    )
    wind_from_rad = WindField(label=_("Wind comes from"))

    class Meta:
        """Which fields, in which words."""

        model = Visit
        fields: ClassVar = [
            "place", "indoors", "surface", "ball", "temperature_k", "altitude_m", "pressure_pa", "humidity",
            "wind_mps", "wind_from_rad", "firmness", "device_grade", "adjusted", "spin", "aligned", "note",
        ]  # fmt: skip
        labels: ClassVar = {
            "place": _("Where"), "indoors": _("Indoors"), "surface": _("Surface"), "ball": _("Ball"),
            "firmness": _("Ground"), "device_grade": _("Grade of the unit"), "adjusted": _("The unit's figures are"),
            "spin": _("Spin is"), "aligned": _("Alignment"), "note": _("Note"),
        }  # fmt: skip
        help_texts: ClassVar = {
            "ball": _("Range balls fly shorter (common practice): name what is hit."),
            "surface": _("Mats flatter heavy strikes (common practice)."),
            "adjusted": _(
                "Some units show what the ball would do in standard air or with another ball. Not said: they are"
                " taken as measured, and the papers say that nobody said."
            ),
            "spin": _(
                "Not said: taken as measured. Spin that is only estimated says little of flight and stopping."
            ),
            "device_grade": _("How finely it reads carry: good about 1 %, middling 1.5 %, budget 2.5 %."),
            "aligned": _("Until it is checked, a side bias is shown as the player's or the set-up's."),
        }
        widgets: ClassVar[dict[str, Any]] = {
            "indoors": forms.Select(choices=[NOT_SAID, ("True", _("indoors")), ("False", _("outdoors"))]),
            "surface": forms.Select(choices=[NOT_SAID, ("mat", _("mat")), ("turf", _("turf")), ("tee", _("tee")),
                                             ("rough", _("rough")), ("sand", _("sand"))]),
            "device_grade": forms.Select(choices=[NOT_SAID, ("good", _("good")), ("mid", _("middling")),
                                                  ("budget", _("budget"))]),
            "firmness": forms.Select(choices=[NOT_SAID, ("soft", _("soft")), ("medium", _("medium")),
                                              ("firm", _("firm"))]),
            "adjusted": forms.Select(choices=[NOT_SAID, ("as measured", _("as measured")),
                                              ("adjusted", _("adjusted"))]),
            "spin": forms.Select(choices=[NOT_SAID, ("measured", _("measured")), ("estimated", _("estimated"))]),
            "aligned": forms.Select(choices=[NOT_SAID, ("checked", _("checked")),
                                             ("not checked", _("not checked"))]),
            "note": forms.Textarea(attrs={"rows": 2}),
        }  # fmt: skip

    def __init__(self, *args: Any, offered: Visit | None = None, **more: Any) -> None:
        super().__init__(*args, **more)
        for name in ("surface", "adjusted", "spin", "aligned"):
            select = self.Meta.widgets[name]
            self.fields[name].choices = list(select.choices)  # type: ignore[attr-defined]
        for name, words in HINTS.items():
            self.fields[name].help_text = words
            self._describe(name, self.fields[name])
        for field in self.fields.values():
            if isinstance(field.widget, UnitInput):
                field.widget.default = field.unit  # type: ignore[attr-defined]
                field.widget.told = gettext("Unit: %(what)s") % {"what": field.label}
        if offered is not None:
            self._say_from(offered)

    def _say_from(self, offered: Visit) -> None:
        """Name the visit that a value comes from, beside the value."""
        day = {"day": date_format(offered.started_at, "j M Y")}
        for name, field in self.fields.items():
            value = getattr(self.instance, name, None)
            if name in OFFERED and value not in (None, "") and value == getattr(offered, name):
                since = gettext("From %(day)s.") % day
                field.help_text = f"{since} {field.help_text}".strip()
                self._describe(name, field)

    def clean(self) -> dict[str, Any]:
        """Air and wind as golf is played in; no wind indoors."""
        data = super().clean()
        self._within(data, "temperature_k", 233.15, 333.15, gettext("−40 to 60 °C (−40 to 140 °F)"))
        self._within(data, "pressure_pa", 50_000.0, 110_000.0, gettext("500 to 1100 hPa"))
        self._within(data, "altitude_m", -500.0, 5_500.0, gettext("−500 to 5500 m (−1640 to 18 000 ft)"))
        self._within(data, "wind_mps", 0.0, MAX_WIND_MPS, gettext("0 to 40 m/s (0 to 89 mph)"))
        if data.get("indoors") and data.get("wind_mps"):
            self.add_error("wind_mps", gettext("There is no wind indoors: empty it, or say outdoors."))
        return data

    def _within(self, data: dict[str, Any], name: str, low: float, high: float, words: str) -> None:
        value = data.get(name)
        if value is not None and not low <= value <= high:
            self.add_error(
                name, ValidationError(gettext("It cannot be used: expected %(words)s.") % {"words": words})
            )


class SlotForm(HouseForm):
    """What the slot is, and how its candidates are measured."""

    where = forms.ChoiceField(required=False, label=_("Club now in the slot"))
    spot_m = QuantityField("distance", digits=0, label=_("Carry that the slot is for"))
    width_m = QuantityField("distance", digits=0, label=_("Width that matters"))
    measure = forms.ChoiceField(
        required=False, widget=forms.RadioSelect, label=_("Decide by"),
        choices=[("", _("what is usual for the slot")), ("miss", _("expected miss from the spot")), ("carry", _("carry"))],
    )  # fmt: skip

    class Meta:
        """Which fields, in which words."""

        model = Visit
        fields: ClassVar = ["measure", "spot_m", "width_m"]

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.clubs = {str(club.pk): club for club in carried(self.instance)}
        self.gaps = {gap.value: gap for gap in gaps(self.instance)}
        self.fields["where"].choices = [  # type: ignore[attr-defined]
            ("", _("a free place")),
            (_("Carried clubs"), [(key, club.name) for key, club in self.clubs.items()]),
            (_("Gaps between two clubs"), [(key, gap.words) for key, gap in self.gaps.items()]),
        ]
        hints = {
            "where": _("The club that may be replaced; it always takes part. Or a gap that may be filled."),
            "spot_m": _("Left empty: midway between the neighbours."),
            "width_m": _("Full width; balls outside are counted. Left empty: what the neighbours do."),
            "measure": _(
                "Usual is: a driver by carry, since going far is its job; every other slot by the expected"
                " miss from its spot."
            ),
        }
        for name, words in hints.items():
            self.fields[name].help_text = words
            self._describe(name, self.fields[name])
        gap = gap_of(self.instance)
        self.initial["where"] = gap.value if gap else str(self.instance.slot_id or "")
        if self.instance.measure == usual_measure(self.instance.slot):
            self.initial["measure"] = ""

    def clean_where(self) -> Any:
        """The club or the gap itself, None for a free place."""
        key = self.cleaned_data["where"]
        return self.clubs.get(key) or self.gaps.get(key)

    def clean(self) -> dict[str, Any]:
        """Distances that a slot can have."""
        data = super().clean()
        for name, high in (("spot_m", 400.0), ("width_m", 200.0)):
            value = data.get(name)
            if value is not None and not 1.0 <= value <= high:
                self.add_error(
                    name, gettext("It cannot be used: expected 1 to %(high)s m.") % {"high": int(high)}
                )
        return data
