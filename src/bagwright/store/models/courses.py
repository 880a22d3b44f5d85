"""Courses of the house, where a player plays, and what strokes were worked out."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from bagwright.store.models.accounts import Account
from bagwright.store.models.base import Versioned, between, figure, text
from bagwright.store.models.clubs import Club
from bagwright.store.models.people import Player
from bagwright.store.models.visits import Visit


class CourseFile(Versioned):
    """A map or a scorecard as it was given. It is never changed: corrections lie beside it as overlays.

    A course is no personal data: all accounts of the house see all of them.
    """

    made_by = models.ForeignKey(Account, null=True, on_delete=models.SET_NULL, related_name="courses")
    name = models.CharField(max_length=200)
    file_name = models.CharField(max_length=200)
    source = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    heights = models.BinaryField(null=True, blank=True)
    """A file of heights of its ground as it was given: another one takes its place, or it is taken away."""
    heights_name = text()
    heights_sha256 = text(64)
    archived_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["name", "id"]
        constraints: ClassVar = [models.CheckConstraint(condition=~Q(name=""), name="course_has_a_name")]

    def __str__(self) -> str:
        return self.name


class CourseOverlay(models.Model):
    """One state of a course's corrections: the text of an overlay file. The newest one that stands counts."""

    course = models.ForeignKey(CourseFile, on_delete=models.CASCADE, related_name="overlays")
    content = models.TextField(max_length=1_000_000, blank=True, default="")
    said = text(200)
    """What was changed, in words, for the list of changes."""
    made_by = models.ForeignKey(Account, null=True, on_delete=models.SET_NULL, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["-id"]


class PlayedCourse(models.Model):
    """Where a player plays, from which tee, and how much of all rounds."""

    player = models.ForeignKey(Player, on_delete=models.CASCADE, related_name="played_courses")
    course = models.ForeignKey(CourseFile, on_delete=models.CASCADE, related_name="played_by")
    tee = text(60)
    weight = models.FloatField(default=1.0)

    class Meta:
        ordering: ClassVar = ["-weight", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["player", "course", "tee"], name="played_course_once"),
            between("playedcourse", "weight", 0.001, 1000.0),
        ]


class StrokesRun(models.Model):
    """One reckoning of a player's strokes on a course: asked for, under way, or done and kept."""

    player = models.ForeignKey(Player, on_delete=models.CASCADE, related_name="strokes_runs")
    visit = models.ForeignKey(
        Visit, null=True, blank=True, on_delete=models.SET_NULL, related_name="strokes_runs"
    )
    course = models.ForeignKey(CourseFile, on_delete=models.CASCADE, related_name="strokes_runs")
    candidate = models.ForeignKey(
        Club, null=True, blank=True, on_delete=models.SET_NULL, related_name="strokes_runs"
    )
    """The build that takes the slot of a visit's trial; None for the bag as it is carried."""
    tee = text(60)
    wind_mps = figure()
    wind_from_rad = figure()
    """Where the wind comes from, clockwise from north."""
    inputs = models.CharField(max_length=64)
    """Hash of everything that the answer depends on; the same hash has the same answer."""
    state = models.CharField(
        max_length=8,
        choices=tuple((word, word) for word in ("waiting", "running", "done", "failed", "stopped")),
        default="waiting",
    )
    share = models.FloatField(default=0.0)
    """How much of the work is done, 0..1."""
    words = text(500)
    """Why it failed or stopped."""
    result = models.JSONField(null=True, blank=True)
    arrays = models.BinaryField(null=True, blank=True)
    """Values and policy of every hole: NumPy's own compressed archive, without pickles."""
    asked_by = models.ForeignKey(Account, null=True, on_delete=models.SET_NULL, related_name="+")
    asked_at = models.DateTimeField(auto_now_add=True)
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["-id"]
        constraints: ClassVar = [
            between("strokesrun", "share", 0.0, 1.0),
            between("strokesrun", "wind_mps", 0.0, 60.0),
            between("strokesrun", "wind_from_rad", 0.0, 6.3),
        ]
