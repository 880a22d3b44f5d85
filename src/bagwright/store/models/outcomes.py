"""What came out of a visit: decisions, papers, deliveries, predictions and links."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from bagwright.store.models.accounts import Account
from bagwright.store.models.base import between, note, text
from bagwright.store.models.clubs import Club
from bagwright.store.models.visits import Visit


class Decision(models.Model):
    """How a visit's question ended: accepted, kept, or left open, with the reason and what was known then."""

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="decisions")
    outcome = models.CharField(
        max_length=6, choices=(("accept", "accept"), ("keep", "keep"), ("open", "open"))
    )
    choice = models.ForeignKey(
        Club, null=True, blank=True, on_delete=models.SET_NULL, related_name="decisions"
    )
    player_word = note()
    reason = note()
    verdict = models.JSONField(default=dict)
    revision = models.PositiveIntegerField(default=0)
    made_by = models.ForeignKey(Account, null=True, on_delete=models.SET_NULL, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["-id"]


class Paper(models.Model):
    """A paper as it was handed over, byte for byte."""

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="papers")
    kind = models.CharField(
        max_length=8, choices=(("report", "report"), ("yardages", "yardages"), ("build", "build"))
    )
    club = models.ForeignKey(Club, null=True, blank=True, on_delete=models.SET_NULL, related_name="papers")
    content = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    units = text(10)
    language = text(10)
    made_by = models.ForeignKey(Account, null=True, on_delete=models.SET_NULL, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    for_workshop = models.BooleanField(default=False)
    """True when the workshop may open it."""

    class Meta:
        ordering: ClassVar = ["-id"]


class Prediction(models.Model):
    """What a report said of later shots: `level` of them were to fall between `low` and `high` (SI)."""

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="predictions")
    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="predictions")
    swing = models.CharField(max_length=13)
    quantity = models.CharField(max_length=20)
    level = models.FloatField()
    low = models.FloatField()
    high = models.FloatField()
    n_shots = models.PositiveIntegerField()
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints: ClassVar = [between("prediction", "level", 0.0, 1.0)]


class Delivery(models.Model):
    """The built club against its sheet: wanted and built values by field, in the club's own units."""

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="deliveries")
    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="deliveries")
    made = models.ForeignKey(Club, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    """The built club as one of its own, once it was accepted."""
    wanted = models.JSONField(default=dict)
    built = models.JSONField(default=dict)
    accepted = models.BooleanField(null=True, blank=True)
    despite = models.JSONField(default=list, blank=True)
    """The fields that were out of tolerance when it was accepted all the same."""
    despite_why = note()
    made_by = models.ForeignKey(Account, null=True, on_delete=models.SET_NULL, related_name="+")
    note = note()
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["-id"]


class ClubOutcome(models.Model):
    """How a check visit ended for one club."""

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="club_outcomes")
    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="outcomes")
    outcome = models.CharField(
        max_length=10,
        choices=(
            ("keep", "keep"),
            ("bend back", "bend back"),
            ("regrip", "regrip"),
            ("retest", "retest"),
        ),
    )
    reason = note()
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["visit", "club"], name="outcome_once_a_club"),
        ]


class PlayerLink(models.Model):
    """A link of limited life with which a player opens their own papers; only its hash is kept."""

    token_hash = models.CharField(max_length=64, unique=True)
    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="links")
    made_by = models.ForeignKey(Account, null=True, on_delete=models.SET_NULL, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    opened_at = models.DateTimeField(null=True, blank=True)
