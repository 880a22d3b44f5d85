"""The form of a player."""

from __future__ import annotations

import datetime
from typing import Any, ClassVar

from django import forms
from django.forms.boundfield import BoundField
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from bagwright.store.models import Player
from bagwright.web.forms import QuantityField
from bagwright.web.views.players_limits import LimitedForm

DAY = {"type": "date"}
CHOICES = {
    "hand": (("right", _("right")), ("left", _("left"))),
    "sex": (("female", _("female")), ("male", _("male"))),
}


class PlayerForm(LimitedForm):
    """Everything that intake asks of a player; only name and hand are needed to begin."""

    driver_speed_mps = QuantityField("speed", label=_("Driver head speed"))
    height_m = QuantityField("body", label=_("Height"))
    wrist_to_floor_m = QuantityField("body", label=_("Wrist to floor"))

    FIRST: ClassVar = ("name", "hand", "handicap", "driver_speed_mps")
    CONSENT: ClassVar = ("born_in", "consent_on", "consent_by", "guardian")
    HEALTH: ClassVar = ("pain", "injury")
    BODY: ClassVar = ("sex", "height_m", "wrist_to_floor_m", "hand_size")
    GAME: ClassVar = ("goals", "courses", "ball", "divot", "turf", "sand", "club_limit")
    MONEY: ClassVar = ("budget", "currency", "contact", "next_check_on")
    MORE: ClassVar = {"budget": (0.0, 1e9)}

    class Meta:
        """Which fields, in which words."""

        model = Player
        fields: ClassVar = [
            "name", "hand", "handicap", "driver_speed_mps", "born_in", "sex", "height_m", "wrist_to_floor_m",
            "hand_size", "injury", "pain", "goals", "courses", "ball", "divot", "turf", "sand", "club_limit",
            "budget", "currency", "consent_on", "consent_by", "guardian", "contact", "next_check_on",
        ]  # fmt: skip
        labels: ClassVar = {
            "name": _("Name"), "hand": _("Hand"), "handicap": _("Handicap"), "born_in": _("Year of birth"),
            "sex": _("Sex"), "hand_size": _("Hand size"), "injury": _("Injuries, medical conditions"),
            "pain": _("Has pain today"), "goals": _("Goals"), "courses": _("Courses and tees mostly played"),
            "ball": _("Ball played"), "divot": _("Divots"), "turf": _("Turf"), "sand": _("Sand"),
            "club_limit": _("Clubs at most"), "budget": _("Budget"), "currency": _("Currency"),
            "consent_on": _("Consent given on"), "consent_by": _("Consent given by"),
            "guardian": _("Guardian of a minor"), "contact": _("Contact"),
            "next_check_on": _("Check again on"),
        }  # fmt: skip
        help_texts: ClassVar = {
            "handicap": _("A handicap better than scratch is typed with its plus: +2."),
            "born_in": _("Ball limits are halved under 18 and from 65; under 18 a guardian is needed."),
            "sex": _("Used only to guess a speed where neither speed nor handicap is known."),
            "hand_size": _("For the grip: such as medium large, or 7.5 in."),
            "injury": _("Health data: note only what the player agreed to."),
            "pain": _("Ball limits are halved. Stop at any pain."),
            "divot": _("Such as shallow, medium, deep."),
            "turf": _("Such as firm, soft, sandy ground."),
            "sand": _("Such as deep and soft, or a thin layer on hard ground."),
            "club_limit": _("At most 14; fewer is often right for juniors, beginners and those who carry."),
            "currency": _("Such as EUR. Prices of clubs are in it too."),
            "consent_on": _("A visit keeps personal data: no visit starts without consent."),
            "consent_by": _("The player's name, or for a minor the guardian's."),
            "guardian": _("Somebody must be able to agree for a minor and be told of a visit: no visit starts"
                          " without the name."),
        }  # fmt: skip
        widgets: ClassVar = {
            "injury": forms.Textarea(attrs={"rows": 2}),
            "goals": forms.Textarea(attrs={"rows": 2}),
            "courses": forms.Textarea(attrs={"rows": 2}),
            "consent_on": forms.DateInput(attrs=DAY, format="%Y-%m-%d"),
            "next_check_on": forms.DateInput(attrs=DAY, format="%Y-%m-%d"),
        }

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        stored = self.initial.get("handicap")
        if isinstance(stored, float) and stored < 0:
            self.initial["handicap"] = f"+{-stored:g}"
        self.fields["handicap"].widget.attrs["inputmode"] = "text"  # the keys of figures have no plus
        for name, words in CHOICES.items():
            self.fields[name].choices = [("", "---"), *words]  # type: ignore[attr-defined]
        for name in ("consent_on", "next_check_on"):
            day = self.fields[name]
            day.localize = False
            day.input_formats = ["%Y-%m-%d"]  # type: ignore[attr-defined]

    def clean_handicap(self) -> float | None:
        """Golfers write a handicap better than scratch with a plus; inside it is below zero."""
        value: float | None = self.cleaned_data["handicap"]
        typed = str(self.data.get(self.add_prefix("handicap"), "")).strip()
        return -value if value is not None and typed.startswith("+") else value

    def clean_born_in(self) -> int | None:
        """A year in which somebody may have been born who swings a club."""
        year: int | None = self.cleaned_data["born_in"]
        latest = timezone.localdate().year - 2
        if year is not None and not 1900 <= year <= latest:
            raise forms.ValidationError(
                gettext("It must be a year between 1900 and %(latest)s.") % {"latest": latest}
            )
        return year

    def clean_consent_on(self) -> datetime.date | None:
        """Nobody has agreed tomorrow."""
        day: datetime.date | None = self.cleaned_data["consent_on"]
        if day is not None and day > timezone.localdate():
            raise forms.ValidationError(gettext("It lies in the future."))
        return day

    def clean(self) -> dict[str, Any]:
        """Consent has a day and a name, or neither."""
        cleaned = super().clean()
        if cleaned.get("consent_on") and not cleaned.get("consent_by"):
            self.add_error("consent_by", gettext("Who gave it: the player, or for a minor the guardian."))
        if cleaned.get("consent_by") and not cleaned.get("consent_on") and "consent_on" not in self.errors:
            self.add_error("consent_on", gettext("On which day it was given."))
        return cleaned

    def groups(self) -> list[tuple[Any, Any, list[BoundField], bool]]:
        """The fields after the first ones: words, a remark, fields, and whether the group stands open."""
        remarks = {
            "health": _("With an injury or a medical condition, ask a licensed practitioner before hitting."
                        " These notes are health data: keep them only with consent, and no longer than"
                        " needed."),
        }  # fmt: skip
        parts = (
            (_("Consent and age"), "", self.CONSENT, not self.instance.consent_on),
            (_("Health"), remarks["health"], self.HEALTH, False),
            (_("Body"), "", self.BODY, False),
            (_("Game"), "", self.GAME, False),
            (_("Budget and contact"), "", self.MONEY, False),
        )
        return [
            (
                words,
                remark,
                [self[name] for name in names],
                first or any(name in self.errors for name in names),
            )
            for words, remark, names, first in parts
        ]

    def first(self) -> list[BoundField]:
        """The fields that are enough to begin."""
        return [self[name] for name in self.FIRST]
