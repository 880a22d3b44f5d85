"""Picks of the best bag: asked for, under way, or done and kept with the problem that they were made on."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from bagwright.store.models.accounts import Account
from bagwright.store.models.base import between, text
from bagwright.store.models.people import Player


class PickRun(models.Model):
    """One search for a player's best bag."""

    player = models.ForeignKey(Player, on_delete=models.CASCADE, related_name="pick_runs")
    asked = models.JSONField()
    """Courses, tees and winds with their shares, and what the bag must be."""
    inputs = models.CharField(max_length=64)
    """Hash of everything that the answer depends on; the same hash has the same answer."""
    state = models.CharField(
        max_length=8,
        choices=tuple((word, word) for word in ("waiting", "running", "done", "failed", "stopped")),
        default="waiting",
    )
    share = models.FloatField(default=0.0)
    """How many of the holes are worked out, 0..1."""
    standing = models.JSONField(null=True, blank=True)
    """How far the search is: bags, strokes of the best one, the proven bound."""
    words = text(500)
    """Why it failed."""
    result = models.JSONField(null=True, blank=True)
    asked_by = models.ForeignKey(Account, null=True, on_delete=models.SET_NULL, related_name="+")
    asked_at = models.DateTimeField(auto_now_add=True)
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["-id"]
        constraints: ClassVar = [between("pickrun", "share", 0.0, 1.0)]


class PickProblem(models.Model):
    """What a pick was made on, for a player's newest pick: apart from the run, as it has tens of MB."""

    run = models.OneToOneField(PickRun, on_delete=models.CASCADE, related_name="kept", primary_key=True)
    problem = models.BinaryField()
    """The problem, on which any bag can be worked out: NumPy's own compressed archive, without pickles."""
    draws = models.BinaryField()
    """How its options move with what the shots leave open, and draws of that: the same kind of archive."""
    proof = models.BinaryField()
    """The proof, or the state of a search that was stopped: JSON, compressed."""
