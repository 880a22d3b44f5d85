"""Forms of the shop."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from bagwright.bay import shopping
from bagwright.errors import InputError
from bagwright.store.models import Account, RackClub, ShopSettings
from bagwright.web.forms import HouseForm, QuantityField
from bagwright.web.views.bags_forms import KIND_WORDS
from bagwright.web.views.players_limits import LimitedForm

UNITS = (("yards", _("yards")), ("metres", _("metres")))


class RackForm(LimitedForm):
    """One demo club."""

    length_m = QuantityField("club", digits=2, label=_("Length"))

    class Meta:
        """Which fields, in which words."""

        model = RackClub
        fields: ClassVar = [
            "name", "kind", "hand", "in_stock", "lent", "lent_to", "place", "checked_on", "loft_deg",
            "lie_angle_deg", "length_m", "head", "hosel_setting", "shaft", "shaft_weight_g", "shaft_flex",
            "swing_weight", "grip", "bounce_deg", "sole", "construction", "price", "lead_time_days", "note",
        ]  # fmt: skip
        labels: ClassVar = {
            "name": _("Name"), "kind": _("Kind"), "hand": _("Hand"), "in_stock": _("How many"), "lent": _("Lent"),
            "lent_to": _("Lent to"), "place": _("Where"), "checked_on": _("Looked over on"),
            "loft_deg": _("Loft, measured (deg)"), "lie_angle_deg": _("Lie angle, measured (deg)"),
            "head": _("Head"), "hosel_setting": _("Hosel setting"), "shaft": _("Shaft"),
            "shaft_weight_g": _("Shaft weight (g)"), "shaft_flex": _("Flex"), "swing_weight": _("Swing weight"),
            "grip": _("Grip"), "bounce_deg": _("Bounce (deg)"), "sole": _("Sole"),
            "construction": _("Construction"), "price": _("Price"), "lead_time_days": _("Waiting time (days)"),
            "note": _("Note"),
        }  # fmt: skip
        help_texts: ClassVar = {
            "checked_on": _("Head, sleeve, shaft and grip are looked over for damage before use."),
        }
        widgets: ClassVar = {
            "kind": forms.Select(choices=KIND_WORDS),
            "hand": forms.Select(choices=[("", "---"), ("right", _("right")), ("left", _("left"))]),
            "checked_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "note": forms.Textarea(attrs={"rows": 2}),
        }


class OwnForm(forms.ModelForm):  # type: ignore[type-arg]
    """Units and language of one account; empty is the shop's."""

    class Meta:
        """Which fields, in which words."""

        model = Account
        fields: ClassVar = ["units", "language"]
        labels: ClassVar = {"units": _("Units"), "language": _("Language")}
        widgets: ClassVar = {
            "units": forms.Select(choices=[("", _("as the shop"))]),
            "language": forms.Select(choices=[("", _("as the shop"))]),
        }

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["units"] = forms.ChoiceField(
            choices=[("", _("as the shop")), *UNITS], required=False, label=_("Units")
        )
        self.fields["language"] = forms.ChoiceField(
            choices=[("", _("as the shop")), *settings.LANGUAGES], required=False, label=_("Language")
        )


class ShopForm(HouseForm):
    """How this shop wants things shown, and which words mean left and right in a typed line."""

    left_words = forms.CharField(
        label=_("Words for left"), max_length=80, help_text=_('With commas, such as "L, left".')
    )
    right_words = forms.CharField(
        label=_("Words for right"), max_length=80, help_text=_('With commas, such as "R, right".')
    )
    units = forms.ChoiceField(choices=UNITS, label=_("Units"))
    language = forms.ChoiceField(choices=settings.LANGUAGES, label=_("Language"))
    paper = forms.ChoiceField(choices=(("a4", "A4"), ("letter", "Letter")), label=_("Paper"))

    class Meta:
        """Which fields, in which words."""

        model = ShopSettings
        fields: ClassVar = ["shop_name", "units", "language", "paper", "step_rules", "seller_interest"]
        labels: ClassVar = {
            "shop_name": _("Name of the shop"), "step_rules": _("Even step, percent of carry"),
            "seller_interest": _("The seller's interest"),
        }  # fmt: skip
        help_texts: ClassVar = {
            "step_rules": _('Such as "7-10"; empty is that.'),
            "seller_interest": _("Stands on every report: what the shop earns on."),
        }
        widgets: ClassVar = {"seller_interest": forms.Textarea(attrs={"rows": 2, "maxlength": 500})}

    def __init__(self, *args: Any, alone: Account | None = None, **more: Any) -> None:
        """Make the form; `alone` is the one account of a machine without accounts, whose own choice counts."""
        super().__init__(*args, **more)
        if alone is not None:
            self.initial["units"] = alone.units or self.instance.units
            self.initial["language"] = alone.language or self.instance.language
        left, right = shopping.side_words(self.instance)
        self.initial.update(left_words=", ".join(left), right_words=", ".join(right))
        self.initial["version"] = self.instance.version

    def clean_step_rules(self) -> str:
        """Even steps as a pair of percents, or none."""
        text = str(self.cleaned_data["step_rules"]).strip()
        try:
            shopping.check_steps(text)
        except InputError as error:
            raise ValidationError(str(error)) from error
        return text

    @property
    def sides(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """The words for left and for right, as typed."""
        return _words(self.cleaned_data["left_words"]), _words(self.cleaned_data["right_words"])


def _words(text: str) -> tuple[str, ...]:
    return tuple(word.strip() for word in text.split(",") if word.strip())
