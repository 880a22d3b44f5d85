"""Forms of the order of balls: what is wished for, and a setting that joins."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.formats import get_format
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from bagwright.store.models import Candidate, Club

SWINGS = [
    ("gripped-down", _("gripped-down: hands one to two inches down, same effort")),
    ("three-quarter", _("three-quarter")),
    ("half", _("half")),
    ("flat-out", _("flat-out: top effort used on a course")),
]
USUAL_BLOCK, USUAL_WARM_UP, USUAL_MINUTES = 3, 12, 60


class DegreesField(forms.FloatField):
    """An angle in degrees; a lone comma or point is the decimal mark in every language."""

    def __init__(self, **more: Any) -> None:
        super().__init__(localize=True, widget=forms.TextInput(attrs={"inputmode": "decimal"}), **more)

    def to_python(self, value: Any) -> float | None:  # type: ignore[override]
        """Read "50,5" as 50.5."""
        if isinstance(value, str) and value.count(",") + value.count(".") == 1:
            value = value.strip().replace(",", ".").replace(".", get_format("DECIMAL_SEPARATOR"))
        return super().to_python(value)


def read_by_screens(form: forms.Form) -> None:
    """Tie hints and errors to their fields, for screen readers."""
    errors = form.errors if form.is_bound else {}
    for name, field in form.fields.items():
        parts = [f"{form.add_prefix(name)}-hint"] if field.help_text else []
        if name in errors:
            field.widget.attrs["aria-invalid"] = "true"
            parts.append(f"{form.add_prefix(name)}-wrong")
        if parts:
            field.widget.attrs["aria-describedby"] = " ".join(parts)


class PlanForm(forms.Form):
    """How many balls, in how much time, with which swings."""

    minutes = forms.IntegerField(min_value=10, max_value=300, label=_("Minutes, handing over included"))
    balls = forms.IntegerField(min_value=4, max_value=300, required=False, label=_("Test balls"))
    warm_up = forms.IntegerField(min_value=10, max_value=15, label=_("Warm-up balls"))
    block = forms.IntegerField(min_value=1, max_value=5, label=_("Balls in a row"))
    swings = forms.MultipleChoiceField(
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label=_("Swings beside the stock swing"),
        choices=SWINGS,
    )
    first = forms.ChoiceField(required=False, label=_("Hit before all others"))
    last = forms.ChoiceField(required=False, label=_("Hit after all others"))
    rules = forms.CharField(required=False, max_length=400, label=_("Other wishes"))

    def __init__(
        self,
        data: Any = None,
        *,
        names: Sequence[str] = (),
        kinds: Collection[str] = (),
        wishes: dict[str, Any] | None = None,
    ) -> None:
        asked = wishes or {}
        usual = ["three-quarter"] if "wedge" in kinds else []
        rules = list(asked.get("rules", ()))
        ends = {
            end: next((name for name in names if f"{name} {end}" in rules), "") for end in ("first", "last")
        }
        others = [rule for rule in rules if rule not in {f"{ends[end]} {end}" for end in ends}]
        initial = {
            "minutes": asked.get("minutes", USUAL_MINUTES),
            "balls": asked.get("balls"),
            "warm_up": asked.get("warm_up", USUAL_WARM_UP),
            "block": asked.get("block", USUAL_BLOCK),
            "swings": asked.get("swings", usual),
            "rules": ", ".join(others),
            **ends,
        }
        super().__init__(data, initial=initial)
        anyone = [("", _("nobody")), *((name, name) for name in names)]
        for end in ends:
            self.fields[end].choices = anyone  # type: ignore[attr-defined]
        self.fields["balls"].help_text = _("Empty: 12 for each candidate, as far as time allows.")
        self.fields["warm_up"].help_text = _("10 to 15, short clubs to long; what was hit already counts.")
        self.fields["block"].help_text = _("3 to 5 is usual; clubs alternate, mirrored.")
        self.fields["last"].help_text = _(
            "Then warming up and tiring are not balanced for it: a wider answer."
        )
        self.fields["rules"].help_text = _("Such as “50 blade before 50 cavity”; several with commas.")
        for name in ("minutes", "balls", "warm_up", "block"):
            self.fields[name].widget.input_type = "text"
            self.fields[name].widget.attrs["inputmode"] = "numeric"
        read_by_screens(self)

    def wishes(self) -> dict[str, Any]:
        """What `make_plan` takes."""
        data = dict(self.cleaned_data)
        rules = [" ".join(rule.split()) for rule in data.pop("rules").split(",") if rule.strip()]
        for end in ("first", "last"):
            name = data.pop(end)
            if name:
                rules.append(f"{name} {end}")
        return {**data, "rules": rules, "swings": list(data["swings"])}


class SettingForm(forms.Form):
    """Another setting of a candidate, tried in mid-visit: a build of its own."""

    prefix = "setting"
    of = forms.ModelChoiceField(Club.objects.none(), label=_("Build"), empty_label=None)
    what = forms.ChoiceField(
        label=_("What is different"),
        choices=[
            ("hosel_setting", _("hosel setting")),
            ("shaft", _("shaft")),
            ("grip", _("grip")),
            ("swing_weight", _("swing weight")),
        ],
    )
    value = forms.CharField(max_length=60, label=_("How it is now"))
    loft_deg = DegreesField(required=False, min_value=-20, max_value=80, label=_("Loft now (degrees)"))

    def __init__(self, data: Any = None, *, candidates: Sequence[Candidate] = ()) -> None:
        super().__init__(data)
        of = Club.objects.filter(pk__in=[candidate.club_id for candidate in candidates])
        self.fields["of"].queryset = of  # type: ignore[attr-defined]
        self.fields["value"].help_text = _("Such as “+1°” or the shaft's weight and flex.")
        self.fields["loft_deg"].help_text = _("As measured with this setting; empty where it is not known.")
        read_by_screens(self)

    def clean_value(self) -> str:
        """One line that can be seen."""
        text = " ".join(str(self.cleaned_data["value"]).split())
        if not text.isprintable():
            raise ValidationError(gettext("It holds characters that cannot be seen: type it again."))
        return text
