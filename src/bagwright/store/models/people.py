"""Players: personal data, often minors'."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from bagwright.store.models.accounts import Account
from bagwright.store.models.base import Versioned, between, figure, note, text


class PlayerQuerySet(models.QuerySet["Player"]):
    """Players as one account may see them."""

    def seen_by(self, account: Account) -> PlayerQuerySet:
        """The players of this account, and those shared with it. Everybody else's do not exist for it."""
        return self.filter(Q(coach=account) | Q(shares__account=account)).distinct()

    def changed_by(self, account: Account) -> PlayerQuerySet:
        """The players that this account may change."""
        return self.filter(Q(coach=account) | Q(shares__account=account, shares__may_change=True)).distinct()


class Player(Versioned):
    """Who hits. Fields named as in `bagwright.bag.club.Player` are the same thing in the same unit."""

    coach = models.ForeignKey(Account, on_delete=models.PROTECT, related_name="players")
    name = models.CharField(max_length=200)
    hand = models.CharField(max_length=5, choices=(("right", "right"), ("left", "left")))
    sex = models.CharField(
        max_length=6, choices=(("female", "female"), ("male", "male")), blank=True, default=""
    )
    born_in = models.PositiveSmallIntegerField(null=True, blank=True)
    """Year of birth: all that the ball limits and the guardian's note need."""
    handicap = figure()
    driver_speed_mps = figure()
    height_m = figure()
    wrist_to_floor_m = figure()
    hand_size = text(40)
    injury = note()
    pain = models.BooleanField(default=False)
    ball = text()
    goals = note()
    courses = note()
    divot = text()
    turf = text()
    sand = text()
    budget = figure()
    currency = text(10)
    club_limit = models.PositiveSmallIntegerField(default=14)
    contact = text()
    consent_on = models.DateField(null=True, blank=True)
    consent_by = text()
    guardian = text()
    next_check_on = models.DateField(null=True, blank=True, db_index=True)
    archived_at = models.DateTimeField(null=True, blank=True)
    is_demo = models.BooleanField(default=False)

    objects = PlayerQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["name", "id"]
        indexes: ClassVar = [models.Index(fields=["coach", "archived_at", "name"])]
        constraints: ClassVar = [
            models.CheckConstraint(condition=~Q(name=""), name="player_has_a_name"),
            models.CheckConstraint(condition=Q(hand__in=["right", "left"]), name="player_hand_known"),
            between("player", "born_in", 1900, 2200),
            between("player", "handicap", -12.0, 60.0),
            between("player", "driver_speed_mps", 8.9, 71.6),
            between("player", "height_m", 0.5, 2.6),
            between("player", "wrist_to_floor_m", 0.2, 1.4),
            between("player", "budget", 0.0, 1e9),
            between("player", "club_limit", 1, 14),
        ]

    def __str__(self) -> str:
        return self.name


class PlayerShare(models.Model):
    """A colleague who may see, perhaps change, somebody else's player."""

    player = models.ForeignKey(Player, on_delete=models.CASCADE, related_name="shares")
    account = models.ForeignKey(Account, on_delete=models.CASCADE, related_name="shared_players")
    may_change = models.BooleanField(default=False)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["player", "account"], name="player_shared_once"),
        ]
