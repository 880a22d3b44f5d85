"""The form of one build."""

from __future__ import annotations

import re
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.forms.boundfield import BoundField
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from bagwright.bag.fields import MAX_LIST, MAX_TEXT
from bagwright.bag.names import parse_club_name
from bagwright.store.models import Club
from bagwright.web.forms import QuantityField
from bagwright.web.views.players_limits import LimitedForm

KIND_WORDS = (
    ("", "---"), ("driver", _("driver")), ("wood", _("wood")), ("hybrid", _("hybrid")), ("iron", _("iron")),
    ("wedge", _("wedge")), ("putter", _("putter")),
)  # fmt: skip
STATUS_WORDS = (
    ("carried", _("carried")), ("candidate", _("candidate")), ("spare", _("spare")), ("former", _("former")),
)  # fmt: skip


class WordsField(forms.CharField):
    """Some short texts in one line, with commas between them."""

    def to_python(self, value: Any) -> list[str]:  # type: ignore[override]
        """A list of texts, each once."""
        text = super().to_python(value)
        parts = [part.strip() for part in re.split(r"[,;]", text or "")]
        found = list(dict.fromkeys(part for part in parts if part))
        if len(found) > MAX_LIST or any(len(part) > MAX_TEXT for part in found):
            raise ValidationError(
                gettext("At most %(n)s texts of %(long)s characters.") % {"n": MAX_LIST, "long": MAX_TEXT}
            )
        return found

    def validate(self, value: Any) -> None:
        """An empty list is no error."""

    def run_validators(self, value: Any) -> None:
        """The lengths were checked part by part."""

    def prepare_value(self, value: Any) -> Any:
        """The texts in one line."""
        return ", ".join(value) if isinstance(value, list | tuple) else value

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Compare what is shown with what came back."""
        return bool((self.prepare_value(initial) or "") != (data or ""))


class ClubForm(LimitedForm):
    """One build: what makes it this build, and plain facts."""

    length_m = QuantityField("club", digits=2, label=_("Length"))
    use = WordsField(required=False, label=_("Use"), help_text=_("Where it is for one thing: tee, low shot."))
    also = WordsField(
        required=False,
        label=_("Other spellings"),
        help_text=_("How shot tables may name this very build, with commas: 7i, seven."),
    )
    slip = forms.BooleanField(
        required=False,
        label=_("Only a slip is corrected; the club itself is as it was"),
        help_text=_("Then the build stays the same, and its balls stay with the corrected figures."),
    )

    FIRST: ClassVar = ("name", "kind", "loft_deg", "status")
    BUILD: ClassVar = (
        "lie_angle_deg", "length_m", "head", "hosel_setting", "shaft", "shaft_weight_g", "shaft_flex",
        "swing_weight", "grip",
    )  # fmt: skip
    FACTS: ClassVar = (
        "number", "stamped_loft_deg", "stamped_lie_angle_deg", "bounce_deg", "sole", "construction",
        "groove_age_months", "grip_age_months", "head_volume_cm3", "use", "also", "price", "lead_time_days",
        "note",
    )  # fmt: skip
    MORE: ClassVar = {"stamped_lie_angle_deg": (40.0, 90.0)}

    class Meta:
        """Which fields, in which words."""

        model = Club
        fields: ClassVar = [
            "name", "kind", "number", "status", "loft_deg", "lie_angle_deg", "length_m", "head",
            "hosel_setting", "shaft", "shaft_weight_g", "shaft_flex", "swing_weight", "grip",
            "stamped_loft_deg", "stamped_lie_angle_deg", "bounce_deg", "sole", "construction",
            "groove_age_months", "grip_age_months", "head_volume_cm3", "use", "also", "price",
            "lead_time_days", "note",
        ]  # fmt: skip
        labels: ClassVar = {
            "name": _("Name"), "kind": _("Kind"), "number": _("Number"), "status": _("Status"),
            "loft_deg": _("Loft, measured (°)"), "lie_angle_deg": _("Lie angle, measured (°)"),
            "head": _("Head"), "hosel_setting": _("Hosel setting"), "shaft": _("Shaft"),
            "shaft_weight_g": _("Shaft weight (g)"), "shaft_flex": _("Flex"),
            "swing_weight": _("Swing weight"), "grip": _("Grip"), "stamped_loft_deg": _("Loft, stamped (°)"),
            "stamped_lie_angle_deg": _("Lie angle, stamped (°)"), "bounce_deg": _("Bounce (°)"),
            "sole": _("Sole"), "construction": _("Construction"),
            "groove_age_months": _("Age of the grooves (months)"),
            "grip_age_months": _("Age of the grip (months)"), "head_volume_cm3": _("Head volume (cm³)"),
            "price": _("Price"), "lead_time_days": _("Waiting time (days)"), "note": _("Note"),
        }  # fmt: skip
        help_texts: ClassVar = {
            "name": _("As it shall be called in shots and papers: 7 iron, 50 wedge, 50 wedge soft shaft."),
            "kind": _("Left empty, it is read from the name where that says it."),
            "loft_deg": _("By a gauge. What is stamped misleads: makers differ by two clubs."),
            "number": _("Left empty, it is read from the name."),
            "swing_weight": _("Such as D2."),
            "hosel_setting": _("A changed setting is another build."),
            "construction": _("Forged, cast, hollow: decides what may be bent."),
        }
        widgets: ClassVar = {
            "note": forms.Textarea(attrs={"rows": 2}),
        }

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["kind"].choices = KIND_WORDS  # type: ignore[attr-defined]
        self.fields["status"].choices = STATUS_WORDS  # type: ignore[attr-defined]
        self.fields["kind"].required = False
        self.fields["status"].required = False

    def clean(self) -> dict[str, Any]:
        """Fill kind, number and stamped loft from a usual name where they were left out."""
        cleaned = super().clean()
        said = parse_club_name(cleaned.get("name") or "")
        if not cleaned.get("kind") and "kind" not in self.errors:
            if said is None:
                self.add_error("kind", gettext("The name alone does not say it: choose one."))
            else:
                cleaned["kind"] = said.kind
        if said is not None:
            cleaned["number"] = cleaned.get("number") or said.number or ""
            if cleaned.get("stamped_loft_deg") is None and "stamped_loft_deg" not in self.errors:
                cleaned["stamped_loft_deg"] = said.loft_deg
        cleaned["status"] = cleaned.get("status") or "carried"
        return cleaned

    def changes(self) -> dict[str, Any]:
        """What differs from the stored club: a length shown in rounded inches is no change of the length."""
        typed = {name: self.cleaned_data[name] for name in self.changed_data if name in self.Meta.fields}
        filled = {
            name: self.cleaned_data[name]
            for name in ("number", "stamped_loft_deg", "kind", "status")
            if name in self.cleaned_data and self.cleaned_data[name] != self.initial.get(name)
        }
        return typed | filled

    def first(self) -> list[BoundField]:
        """The fields that are enough to begin."""
        return [self[name] for name in self.FIRST]

    def build_is_wrong(self) -> bool:
        """True where a field of the build must be looked at, so that its group stands open."""
        return any(name in self.errors for name in self.BUILD)

    def facts_are_wrong(self) -> bool:
        """True where one of the plain facts must be looked at."""
        return any(name in self.errors for name in self.FACTS)

    def build(self) -> list[BoundField]:
        """What else makes it this build."""
        return [self[name] for name in self.BUILD]

    def facts(self) -> list[BoundField]:
        """Plain facts, which may change without making another build."""
        return [self[name] for name in self.FACTS]
