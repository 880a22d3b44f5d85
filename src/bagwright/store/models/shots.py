"""Shots: never deleted, never overwritten without the old value kept."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from bagwright.store.models.accounts import Account
from bagwright.store.models.base import between, figure, note, text
from bagwright.store.models.clubs import Club
from bagwright.store.models.visits import SWINGS, Visit


class Import(models.Model):
    """A shot table that joined a visit: its name, the hash of its bytes, and the account of its rows."""

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="imports")
    label = text(200)
    sha256 = models.CharField(max_length=64)
    content_checksum = models.CharField(max_length=64, blank=True, default="")
    """Hash of the values as they were stored, so that a flipped byte in the database shows."""
    rows_read = models.PositiveIntegerField(default=0)
    accepted = models.PositiveIntegerField(default=0)
    joined = models.PositiveIntegerField(default=0)
    account = models.JSONField(default=dict)
    answers = models.JSONField(default=dict)
    made_at = models.DateTimeField(auto_now_add=True)


class WaitingTable(models.Model):
    """A shot table kept whole while something of it is asked: nobody has to find and send the file again."""

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="waiting_tables")
    label = text(200)
    sha256 = models.CharField(max_length=64)
    content = models.BinaryField()
    made_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering: ClassVar = ["id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["visit", "label"], name="waiting_table_once"),
        ]


class ShotRecord(models.Model):
    """One strike, in SI, with the names of `bagwright.shots.record.Shot`.

    `client_key` is made where the shot was entered: the same key twice is the same shot. `undone_at` takes a
    shot out of every answer and can be taken back. `number` counts the balls of its visit by arrival, from 1.
    """

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="shots")
    number = models.PositiveIntegerField()
    client_key = models.CharField(max_length=64)
    club = models.ForeignKey(Club, on_delete=models.PROTECT, related_name="shots")
    swing = models.CharField(max_length=13, choices=SWINGS, default="stock")
    setting = text()
    ball = text()
    lie = text(10)
    change = text(20)
    note = note()
    carry_at_least = models.BooleanField(default=False)
    carry_m = figure()
    total_m = figure()
    offline_m = figure()
    offline_total_m = figure()
    apex_m = figure()
    ball_speed_mps = figure()
    club_speed_mps = figure()
    speed_ratio = figure()
    launch_rad = figure()
    direction_rad = figure()
    spin_rpm = figure()
    backspin_rpm = figure()
    sidespin_rpm = figure()
    spin_axis_rad = figure()
    descent_rad = figure()
    time_s = figure()
    attack_rad = figure()
    path_rad = figure()
    face_rad = figure()
    delivered_loft_rad = figure()
    impact_toe_m = figure()
    impact_high_m = figure()
    mark = models.CharField(
        max_length=8,
        choices=(("warm-up", "warm-up"), ("mishit", "mishit"), ("bad-read", "bad-read")),
        blank=True,
        default="",
    )
    mark_reason = text()
    mark_author = text(20)
    source = models.CharField(
        max_length=6,
        choices=(("typed", "typed"), ("table", "table"), ("api", "api")),
        default="typed",
    )
    imported = models.ForeignKey(
        Import, null=True, blank=True, on_delete=models.SET_NULL, related_name="shots"
    )
    source_row = models.PositiveIntegerField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)
    hit_at = models.DateTimeField(auto_now_add=True)
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["visit", "number"], name="shot_number_once"),
            models.UniqueConstraint(fields=["visit", "client_key"], name="shot_key_once"),
            models.CheckConstraint(condition=~Q(client_key=""), name="shot_has_a_key"),
            between("shot", "carry_m", 0.0, 600.0),
            between("shot", "total_m", 0.0, 700.0),
            between("shot", "offline_m", -400.0, 400.0),
            between("shot", "offline_total_m", -400.0, 400.0),
            between("shot", "apex_m", 0.0, 150.0),
            between("shot", "ball_speed_mps", 0.0, 120.0),
            between("shot", "club_speed_mps", 0.0, 90.0),
            between("shot", "speed_ratio", 0.0, 3.0),
            between("shot", "launch_rad", -1.6, 1.6),
            between("shot", "direction_rad", -3.2, 3.2),
            between("shot", "spin_rpm", 0.0, 30_000.0),
            between("shot", "backspin_rpm", -30_000.0, 30_000.0),
            between("shot", "sidespin_rpm", -30_000.0, 30_000.0),
            between("shot", "spin_axis_rad", -3.2, 3.2),
            between("shot", "descent_rad", 0.0, 1.6),
            between("shot", "time_s", 0.0, 30.0),
            between("shot", "attack_rad", -1.6, 1.6),
            between("shot", "path_rad", -1.6, 1.6),
            between("shot", "face_rad", -1.6, 1.6),
            between("shot", "delivered_loft_rad", -1.6, 1.6),
            between("shot", "impact_toe_m", -0.2, 0.2),
            between("shot", "impact_high_m", -0.2, 0.2),
        ]


class Change(models.Model):
    """One step that can be taken back: what a row was before and after it."""

    visit = models.ForeignKey(Visit, on_delete=models.CASCADE, related_name="changes")
    made_by = models.ForeignKey(Account, null=True, on_delete=models.SET_NULL, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    what = models.CharField(max_length=20)
    shot = models.ForeignKey(ShotRecord, null=True, on_delete=models.CASCADE, related_name="changes")
    before = models.JSONField(default=dict)
    after = models.JSONField(default=dict)
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["-id"]
