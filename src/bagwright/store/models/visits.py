"""Visits: one appointment with one player, what was planned, and the player's own word."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from bagwright.store.models.accounts import Account
from bagwright.store.models.base import Versioned, between, figure, note, text
from bagwright.store.models.clubs import Club

SWINGS = tuple((s, s) for s in ("stock", "gripped-down", "flat-out", "three-quarter", "half"))


class StandingVisits(models.Manager["Visit"]):
    """The visits that count: those put aside are no part of lists, of earlier balls, or of the record."""

    def get_queryset(self) -> models.QuerySet[Visit]:
        """Every visit that was not put aside."""
        return super().get_queryset().filter(put_aside_at__isnull=True)


class Visit(Versioned):
    """One appointment. Conditions are as in `bagwright.shots.record.Conditions`, air in SI beside the words.

    `revision` grows with everything that a live screen shows; `shot_count` numbers the shots.
    """

    player = models.ForeignKey("store.Player", on_delete=models.CASCADE, related_name="visits")
    coach = models.ForeignKey(Account, null=True, on_delete=models.SET_NULL, related_name="visits")
    kind = models.CharField(
        max_length=8,
        choices=(("fitting", "fitting"), ("delivery", "delivery"), ("check", "check")),
        default="fitting",
    )
    started_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True, blank=True)
    put_aside_at = models.DateTimeField(null=True, blank=True)
    """When it was put aside, begun by mistake or not to be counted. Nothing is deleted; it can come back."""
    put_aside_why = text(500)
    place = text()
    indoors = models.BooleanField(null=True, blank=True)
    surface = models.CharField(
        max_length=10,
        choices=(("mat", "mat"), ("turf", "turf"), ("tee", "tee"), ("rough", "rough"), ("sand", "sand")),
        blank=True,
        default="",
    )
    ball = text()
    temperature_k = figure()
    pressure_pa = figure()
    altitude_m = figure()
    humidity = figure()
    wind_mps = figure()
    wind_from_rad = figure()
    """Where the wind comes from, clockwise from the target line: 0 head, pi/2 from the right."""
    firmness = text(20)
    device_grade = text(20)
    """How finely the unit reads. Named where two visits differ in it; no range is widened by it, since the
    unit's reading error is in the scatter of its balls already, and adding it would count it twice."""
    adjusted = models.CharField(
        max_length=12,
        choices=(("as measured", "as measured"), ("adjusted", "adjusted")),
        blank=True,
        default="",
    )
    spin = models.CharField(
        max_length=10,
        choices=(("measured", "measured"), ("estimated", "estimated")),
        blank=True,
        default="",
    )
    aligned = models.CharField(
        max_length=12,
        choices=(("checked", "checked"), ("not checked", "not checked")),
        blank=True,
        default="",
    )
    safety_at = models.DateTimeField(null=True, blank=True)
    flat_out_at = models.DateTimeField(null=True, blank=True)
    """When the caution about top-effort swings was shown and acknowledged."""
    minutes = models.PositiveSmallIntegerField(default=60)
    balls = models.PositiveSmallIntegerField(null=True, blank=True)
    measure = models.CharField(max_length=5, choices=(("miss", "miss"), ("carry", "carry")), default="miss")
    spot_m = figure()
    width_m = figure()
    slot = models.ForeignKey(
        Club, null=True, blank=True, on_delete=models.SET_NULL, related_name="visits_as_slot"
    )
    """The club now in the slot, if one is."""
    slot_words = text()
    rules = models.JSONField(default=list, blank=True)
    """Wishes for the order, such as "A last"."""
    brief = models.JSONField(null=True, blank=True)
    hide_numbers = models.BooleanField(default=False)
    """True until the player has rated: the player's screen then shows no numbers."""
    entry_form = models.JSONField(null=True, blank=True)
    watched_folder = text(500)
    shot_count = models.PositiveIntegerField(default=0)
    revision = models.PositiveIntegerField(default=0)
    note = note()
    parent = models.ForeignKey("self", null=True, blank=True, on_delete=models.SET_NULL, related_name="later")
    """The visit that a delivery or check visit comes back to."""

    objects = StandingVisits()
    with_put_aside = models.Manager["Visit"]()

    class Meta:
        ordering: ClassVar = ["-started_at", "-id"]
        constraints: ClassVar = [
            between("visit", "temperature_k", 200.0, 350.0),
            between("visit", "pressure_pa", 30_000.0, 120_000.0),
            between("visit", "altitude_m", -500.0, 6_000.0),
            between("visit", "humidity", 0.0, 1.0),
            between("visit", "wind_mps", 0.0, 40.0),
            between("visit", "wind_from_rad", -6.2832, 6.2832),
            between("visit", "spot_m", 1.0, 400.0),
            between("visit", "width_m", 1.0, 200.0),
            between("visit", "minutes", 5, 600),
            between("visit", "balls", 1, 1000),
        ]


class Candidate(models.Model):
    """A build that takes part in a visit's trial, in the order of the rows on the board."""

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="candidates")
    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="+")
    position = models.PositiveSmallIntegerField()
    present = models.BooleanField(default=False)
    added_after = models.PositiveIntegerField(default=0)
    """How many balls had been hit when it joined."""
    left_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["position", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["visit", "club"], name="candidate_once_a_visit"),
        ]


class PlannedBall(models.Model):
    """One ball of the order: waiting, hit or skipped."""

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="queue")
    n = models.PositiveIntegerField()
    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="+")
    swing = models.CharField(max_length=13, choices=SWINGS, default="stock")
    warm_up = models.BooleanField(default=False)
    first_after_change = models.BooleanField(default=False)
    state = models.CharField(
        max_length=7,
        choices=(("waiting", "waiting"), ("hit", "hit"), ("skipped", "skipped")),
        default="waiting",
    )
    shot = models.OneToOneField(
        "store.ShotRecord", null=True, blank=True, on_delete=models.SET_NULL, related_name="planned"
    )

    class Meta:
        ordering: ClassVar = ["n"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["visit", "n"], name="planned_ball_once"),
        ]


class Rating(models.Model):
    """The player's own word on one candidate: 1 (poor) to 5 (very good), and free words."""

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="ratings")
    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="ratings")
    look = models.PositiveSmallIntegerField(null=True, blank=True)
    feel = models.PositiveSmallIntegerField(null=True, blank=True)
    sound = models.PositiveSmallIntegerField(null=True, blank=True)
    turf = models.PositiveSmallIntegerField(null=True, blank=True)
    confidence = models.PositiveSmallIntegerField(null=True, blank=True)
    words = note()
    before_numbers = models.BooleanField(default=False)
    """True when it was given before the player saw any number."""
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["visit", "club"], name="rating_once_a_club"),
            *[between("rating", side, 1, 5) for side in ("look", "feel", "sound", "turf", "confidence")],
        ]


def open_visits(account: Account) -> models.QuerySet[Visit]:
    """Visits of this account that are not finished, newest first."""
    return Visit.objects.filter(
        Q(player__coach=account) | Q(player__shares__account=account), finished_at__isnull=True
    ).distinct()
