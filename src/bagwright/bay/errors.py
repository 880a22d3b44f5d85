"""Errors of the screens."""

from __future__ import annotations

from bagwright.errors import BagwrightError


class ChangedMeanwhileError(BagwrightError):
    """Somebody else changed the same thing since this person looked at it. Nothing was lost."""


class NotFoundError(BagwrightError):
    """There is no such thing for this account: it may not exist, or belong to somebody else."""
