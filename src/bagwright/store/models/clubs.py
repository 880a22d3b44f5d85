"""Clubs build by build: a player's own, and the shop's rack."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from bagwright.store.models.accounts import Account
from bagwright.store.models.base import Versioned, between, figure, note, text

KINDS = tuple((kind, kind) for kind in ("driver", "wood", "hybrid", "iron", "wedge", "putter"))
STATUSES = tuple((status, status) for status in ("carried", "candidate", "spare", "former"))


def build_limits(table: str) -> list[models.CheckConstraint]:
    """The limits of a build's figures: those of the bag file, in SI."""
    limits = (
        ("loft_deg", -20.0, 80.0),
        ("stamped_loft_deg", -20.0, 80.0),
        ("lie_angle_deg", 40.0, 90.0),
        ("length_m", 0.2, 2.0),
        ("shaft_weight_g", 10.0, 300.0),
        ("bounce_deg", -10.0, 30.0),
        ("head_volume_cm3", 1.0, 2000.0),
        ("groove_age_months", 0.0, 1200.0),
        ("grip_age_months", 0.0, 1200.0),
        ("price", 0.0, 1e9),
        ("lead_time_days", 0.0, 3650.0),
    )
    return [between(table, field, low, high) for field, low, high in limits]


class BuildFields(models.Model):
    """What a club is, with the names and units of `bagwright.bag.club.Club` and `Build`."""

    name = models.CharField(max_length=200)
    kind = models.CharField(max_length=8, choices=KINDS)
    number = text(20)
    head = text()
    loft_deg = figure()
    stamped_loft_deg = figure()
    hosel_setting = text()
    length_m = figure()
    lie_angle_deg = figure()
    stamped_lie_angle_deg = figure()
    shaft = text()
    shaft_weight_g = figure()
    shaft_flex = text()
    swing_weight = text()
    grip = text()
    bounce_deg = figure()
    sole = text()
    groove_age_months = figure()
    grip_age_months = figure()
    head_volume_cm3 = figure()
    construction = text()
    use = models.JSONField(default=list, blank=True)
    also = models.JSONField(default=list, blank=True)
    price = figure()
    lead_time_days = figure()
    note = note()

    class Meta:
        abstract = True

    def __str__(self) -> str:
        return self.name


class RackClub(BuildFields, Versioned):
    """A demo club of the shop: for which hand, how many, where, lent to whom."""

    hand = models.CharField(max_length=5, choices=(("right", "right"), ("left", "left")))
    in_stock = models.PositiveSmallIntegerField(default=1)
    lent = models.PositiveSmallIntegerField(default=0)
    lent_to = text()
    place = text()
    checked_on = models.DateField(null=True, blank=True)
    """When head, sleeve, shaft and grip were last looked at for damage."""
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["kind", "name", "id"]
        constraints: ClassVar = [
            *build_limits("rackclub"),
            models.CheckConstraint(condition=~Q(name=""), name="rackclub_has_a_name"),
            models.CheckConstraint(
                condition=Q(lent__lte=models.F("in_stock")), name="rackclub_lent_of_stock"
            ),
        ]

    @property
    def free(self) -> int:
        """How many can be hit today."""
        return self.in_stock - self.lent


class Club(BuildFields, Versioned):
    """One build of one player. A changed setting is another build; a build is retired, never overwritten."""

    player = models.ForeignKey("store.Player", on_delete=models.CASCADE, related_name="clubs")
    status = models.CharField(max_length=9, choices=STATUSES, default="carried")
    position = models.PositiveSmallIntegerField(default=0)
    rack = models.ForeignKey(
        RackClub, null=True, blank=True, on_delete=models.SET_NULL, related_name="copies"
    )
    made_from = models.ForeignKey("self", null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    """The build that this one was made from by changing a setting, or the tested one of a built club."""
    proposed = models.JSONField(default=list, blank=True)
    removed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["position", "id"]
        constraints: ClassVar = [
            *build_limits("club"),
            models.CheckConstraint(condition=~Q(name=""), name="club_has_a_name"),
            models.UniqueConstraint(
                fields=["player", "name"],
                condition=Q(removed_at__isnull=True),
                name="club_name_once_a_player",
            ),
        ]


class ClubMeasurement(models.Model):
    """What a gauge said of one club on one day."""

    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="measurements")
    visit = models.ForeignKey(
        "store.Visit", null=True, on_delete=models.SET_NULL, related_name="measurements"
    )
    measured_on = models.DateField()
    loft_deg = figure()
    lie_angle_deg = figure()
    dynamic_lie_deg = figure()
    """How the sole met the turf at impact: degrees, toe down positive; from a board or the face."""
    length_m = figure()
    swing_weight = text()
    bounce_deg = figure()
    grip_state = text(40)
    groove_state = text(40)
    note = note()

    class Meta:
        ordering: ClassVar = ["-measured_on", "-id"]
        constraints: ClassVar = [
            between("measurement", "loft_deg", -20.0, 80.0),
            between("measurement", "lie_angle_deg", 40.0, 90.0),
            between("measurement", "dynamic_lie_deg", -30.0, 30.0),
            between("measurement", "length_m", 0.2, 2.0),
            between("measurement", "bounce_deg", -10.0, 30.0),
        ]


class AgreedBag(models.Model):
    """The bag that player and professional agreed on at the end of a visit, club by club as it was then."""

    player = models.ForeignKey("store.Player", on_delete=models.CASCADE, related_name="agreed_bags")
    visit = models.ForeignKey("store.Visit", null=True, on_delete=models.SET_NULL, related_name="agreed_bags")
    made_by = models.ForeignKey(Account, null=True, on_delete=models.SET_NULL, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    clubs = models.JSONField()
    distances = models.JSONField(default=list)

    class Meta:
        ordering: ClassVar = ["-made_at", "-id"]
